"""Taking another book in (a laptop from the yard), by ids; running it twice changes nothing.

    plan = merge_book(book, "laptop.db", dry_run=True)   # look first
    done = merge_book(book, "laptop.db", dry_run=False)

Rows only the other book has are added. Where both have a row and a field differs, the event logs
tell which side changed it: if only one did, its value is taken; if both did, ours stays and the
difference is listed as a conflict and written to the event log. Settings, drafts and presence stay
as they are. The other file is copied first and never touched.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from core.base.counting import many
from core.book.audit import note_change
from core.book.connection import Book
from core.book.errors import FolderMissing, Refused
from core.book.opening import open_book
from core.book.upkeep import backup
from core.book.upkeep.merge_rows import APPEND_ONLY, SETTLED, Conflict, Merger
from core.book.upkeep.merge_tags import Retagged

__all__ = ["Conflict", "MergeReport", "Retagged", "merge_book", "settle"]


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
        done = "would be" if self.dry_run else "were"
        lines = [
            f"{many(count, table.replace('_', ' '))} {came}" for table, count in self.added if count
        ]
        lines += [f"{many(self.taken, 'field')} {done} brought up to date"] if self.taken else []
        lines += [f"tag {t.old} is taken here: that job gets {t.new}" for t in self.retagged]
        lines += [conflict.words for conflict in self.conflicts]
        lines += self.notes
        return "\n".join(lines) if lines else "Nothing new in the other book."


def settle(book: Book, conflict: Conflict, *, take: str) -> None:
    """End a conflict: take 'ours' (it is not listed again) or 'theirs' (a change like others)."""
    if take not in ("ours", "theirs"):
        raise Refused("A conflict is settled by taking 'ours' or 'theirs'.")
    if conflict.table in APPEND_ONLY:
        raise Refused("Readings are not settled here: mend the one that stands in its sweep.")
    with book.write() as con:
        if take == "theirs":
            con.execute(
                f"UPDATE {conflict.table} SET {conflict.field} = ? WHERE id = ?",
                (conflict.their_value, conflict.row_id),
            )
            note_change(
                book,
                conflict.table,
                conflict.row_id,
                conflict.field,
                conflict.ours,
                conflict.theirs,
            )
        note_change(
            book,
            conflict.table,
            conflict.row_id,
            f"{SETTLED}{conflict.field}",
            conflict.ours,
            conflict.theirs,
        )


class _OnlyLooking(Exception):
    """Ends the transaction of a dry run."""


def merge_book(
    book: Book,
    other_path: str | Path,
    *,
    dry_run: bool = True,
    progress: Callable[[str], None] | None = None,
) -> MergeReport:
    """Merge another book into this one, in one transaction; a dry run stores nothing.

    Raises `Refused` for the book itself, `NewerBook`, `DamagedBook` or `NotABook` for a file that
    cannot be merged; nothing is changed then.
    """
    other_place = Path(other_path)
    if not other_place.exists():
        raise FolderMissing(f"There is no job book at {other_place}. Check the name.")
    if book.path.exists() and other_place.samefile(book.path):
        raise Refused("That is this very book. Name the other book to merge.")
    with tempfile.TemporaryDirectory(prefix="shaftlog-merge-") as folder:
        # Only a copy is opened: it may have to be brought up to date, and the other program may
        # have the original open.
        copy = backup.make_backup(other_place, Path(folder) / "other.db")
        with open_book(copy, create=False, before_migration=lambda _: None) as other:
            merger = Merger(book, other, progress or (lambda _: None))
            try:
                with book.write():
                    merger.run()
                    if dry_run:
                        raise _OnlyLooking
            except _OnlyLooking:
                pass
    return MergeReport(
        dry_run,
        tuple(merger.added.items()),
        merger.taken,
        tuple(merger.conflicts),
        tuple(merger.retagged),
        tuple(merger.notes),
    )
