"""Taking another book in (a laptop from the yard), by ids; running it twice changes nothing.

    plan = merge_book(book, "laptop.db", dry_run=True)   # look first
    done = merge_book(book, "laptop.db", dry_run=False)

Rows only the other book has are added. Where both have a row and a field differs, the event logs
say which book changed it: if only one did, its value counts; if both did, the later change counts
and the difference is listed as a conflict and written to the event log. Marks read in both books
are listed in the same way. Merged in either order, two books end with the same rows. Settings,
drafts and presence stay as they are. The other file is copied first and never changed; the copy has
no name on the disk, so that nothing of it is left when the program is killed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from core.base.counting import many
from core.book.connection import Book
from core.book.errors import FolderMissing, Refused, plain_words
from core.book.upkeep.conflicts import Conflict, open_conflicts
from core.book.upkeep.merge_rows import Merger, OtherBook
from core.book.upkeep.merge_tags import Retagged
from core.book.upkeep.private_copy import private_copy
from core.book.upkeep.stoppable import share


@dataclass(frozen=True)
class MergeReport:
    """What a merge did, or would do."""

    dry_run: bool
    added: tuple[tuple[str, int], ...]
    """Table and number of rows new to our book."""
    taken: int
    """Fields brought up to date, because only the other book had changed them."""
    conflicts: tuple[Conflict, ...]
    retagged: tuple[Retagged, ...]
    notes: tuple[str, ...]

    @property
    def words(self) -> str:
        """The report as text."""
        came = "would come in" if self.dry_run else "came in"
        done = "would be" if self.dry_run else "was" if self.taken == 1 else "were"
        lines = [
            f"{many(count, table.replace('_', ' '))} {came}" for table, count in self.added if count
        ]
        lines += [f"{many(self.taken, 'field')} {done} brought up to date"] if self.taken else []
        lines += [
            f"tag {t.old} was given out in both books: the younger job is now {t.new}"
            for t in self.retagged
        ]
        lines += [conflict.words for conflict in self.conflicts]
        lines += self.notes
        return "\n".join(lines) if lines else "Nothing new in the other book."


_COPY_SHARE = 0.2
"""Of the work is copying the other book."""


class _OnlyLooking(Exception):
    """Ends the transaction of a dry run."""


def merge_book(
    book: Book,
    other_path: str | Path,
    *,
    dry_run: bool = True,
    progress: Callable[[int, int], None] | None = None,
) -> MergeReport:
    """Merge another book into this one, in one transaction; a dry run stores nothing.

    `progress(done, total)` is called all along; what it raises ends the merge, and nothing of it is
    kept.

    Raises `Refused` for the book itself, `NewerBook`, `DamagedBook` or `NotABook` for a file that
    cannot be merged; nothing is changed then.
    """
    other_place = Path(other_path)
    if not other_place.exists():
        raise FolderMissing(f"There is no job book at {other_place}. Check the name.")
    if book.path.exists() and other_place.samefile(book.path):
        raise Refused("That is this very book. Name the other book to merge.")
    # Only a copy is read: it may have to be brought up to date, and the other program may have the
    # original open.
    copying = share(progress, 0.0, _COPY_SHARE)
    with private_copy(other_place, copying) as con, plain_words(str(other_place)):
        merger = Merger(book, OtherBook(con), share(progress, _COPY_SHARE, 1.0))
        try:
            with book.write():
                merger.run()
                left = open_conflicts(book)
                if dry_run:
                    raise _OnlyLooking
        except _OnlyLooking:
            pass
    listed = {(one.table, one.row_id, one.field) for one in merger.conflicts}
    earlier = [one for one in left if (one.table, one.row_id, one.field) not in listed]
    return MergeReport(
        dry_run,
        tuple(merger.added.items()),
        merger.taken,
        (*merger.conflicts, *earlier),
        tuple(merger.retagged),
        tuple(merger.notes),
    )
