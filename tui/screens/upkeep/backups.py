"""The backups beside the book, and putting one of them in its place."""

from __future__ import annotations

from contextlib import suppress
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.times import local_text
from core.book.errors import LockedBook
from core.book.opening import open_book
from core.book.privacy.text import restored_words
from core.book.upkeep import backup, calls, copies
from core.book.upkeep.copies import BackupContents, BackupFile
from tui.base.commands import Command, verb
from tui.base.context import Context
from tui.screens.upkeep.background_job import ChoreScreen
from tui.screens.upkeep.upkeep import kind_words
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain

COLUMNS = (
    Column("Made", 18),
    Column("Why", 15),
    Column("Jobs", 6, right=True),
    Column("Readings", 9, right=True),
    Column("Last entry", 18),
    Column(""),
)
PLACE, LEAVE = "place", "leave"


class BackupsScreen(ChoreScreen):
    """Newest first; Enter looks one over and asks."""

    HEADING = "Backups"
    HOW_TO = (
        "Enter looks the chosen backup over and says what it holds; then 1 puts it in the place "
        "of the book. The book in use is never thrown away: it is kept beside it as "
        "set-aside, and can be put back the same way (F6). All other benches must have left "
        "Shaftlog; those that have not are called."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "back_up", "Back up", "Make a backup now"),
        verb("data", "aside", "Set aside", "Show books that a backup has replaced instead"),
    )
    DEFAULT_CSS = """
    BackupsScreen ListBox { height: 1fr; }
    BackupsScreen #warning { height: auto; margin: 0 0 1 0; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.made: tuple[BackupFile, ...] = ()
        self.aside = False

    def body(self) -> ComposeResult:
        """A warning and the list."""
        yield Static(id="warning")
        yield ListBox(COLUMNS, empty="No backup yet: F4 makes one.")

    def refresh_view(self) -> None:
        """Read the folder."""
        place = self.context.book_path
        self.made = copies.books_set_aside(place) if self.aside else copies.list_backups(place)
        box = self.query_one(ListBox)
        box.empty = "No book was ever set aside." if self.aside else "No backup yet: F4 makes one."
        held = [copies.contents_of(one.path) for one in self.made]
        box.show([_row(*row) for row in zip(self.made, [*held, None][1:], held, strict=True)])
        words = "Enter: look it over, then choose whether it takes the place of the book."
        others = others_words(self.context)
        self.query_one("#warning", Static).update(plain(f"{words}\n{others}" if others else words))

    def action_back_up(self) -> None:
        """F4."""
        place = self.context.book_path
        self.chore("Backing up ...", lambda: backup.by_hand(place, self.progress), self._backed_up)

    def _backed_up(self, made: BackupFile) -> None:
        self.aside = False
        self.refresh_view()
        self.say(f"Backed up and checked: {made.path.name}.", "done")

    def action_aside(self) -> None:
        """F6."""
        self.aside = not self.aside
        self.refresh_view()
        self.say("Books that were set aside. F6: backups." if self.aside else "Backups.")

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """Look it over, then ask."""
        chosen = next(one for one in self.made if str(one.path) == event.row.name)
        self.chore(
            f"Looking {chosen.path.name} over ...",
            lambda: copies.look_into(chosen.path),
            lambda contents: self._ask(chosen, contents),
        )

    def _ask(self, chosen: BackupFile, contents: BackupContents) -> None:
        items = (MenuItem(LEAVE, "Leave the book as it is"), MenuItem(PLACE, "Put it in place"))
        question = question_words(chosen, contents, others_words(self.context))
        self.ask_which(question, items, lambda answer: self._do(answer, chosen))

    def _do(self, answer: str | None, chosen: BackupFile) -> None:
        if answer != PLACE:
            self.say("The book stays as it is.")
        elif self.book.read_only:
            self.say("The book is open for looking only: nothing can be put in its place.", "stop")
        else:
            put_in_place(self.context, chosen)


def _row(one: BackupFile, before: BackupContents | None, held: BackupContents | None) -> ListRow:
    made = (f"{one.at:%d %b %Y %H:%M}", kind_words(one))
    if held is None:
        return ListRow(str(one.path), (*made, "", "", "cannot be read", ""))
    last = local_text(held.newest_at, "%d %b %Y %H:%M") if held.newest_at else "none"
    less = before is not None and copies.much_less(held, before)
    note = "MUCH LESS" if less else ""
    return ListRow(str(one.path), (*made, str(held.jobs), str(held.readings), last, note))


def question_words(chosen: BackupFile, contents: BackupContents, others: str) -> str:
    """What the backup holds and what happens if it is put in place."""
    last = local_text(contents.newest_at, "%d %b %Y %H:%M") if contents.newest_at else "none"
    words = (
        f"{chosen.path.name} passes its check. It holds {many(contents.jobs, 'job')} "
        f"and {many(contents.readings, 'reading')}; last entry {last}. What was entered later is "
        "not in it.\n"
        "The book in use now is kept beside it as 'set-aside'."
    )
    return f"{words}\n{others}" if others else words


def others_words(context: Context) -> str:
    """Who else is at work, as far as known."""
    there = calls.at_work(context.book, context.bench)
    if not there:
        return ""
    names = ", ".join(sorted({one.by or one.bench.split(":")[0] for one in there}))
    return f"OTHER BENCHES ARE AT WORK ({names}): they must leave Shaftlog first."


def put_in_place(context: Context, chosen: BackupFile) -> None:
    """Close the book, put the backup in its place, open it again on the board."""
    old = context.book
    context.back_to_board()
    context.close_book()
    trouble: ShaftlogError | None = None
    kept, again = None, ""
    try:
        kept = backup.restore(context.book_path, chosen.path)
        again = restored_words(context.book_path, kept)
    except ShaftlogError as error:
        trouble = error
    try:
        context.book = open_book(context.book_path, by=old.by, create=False)
    except ShaftlogError as error:
        words = f"{trouble or ''} The book cannot be opened again: {error}".strip()
        context.stop(words)
        return
    context.last_job_id = None
    if trouble is None:
        aside = f"; the old book is kept as {kept.name}" if kept is not None else ""
        context.say(f"{chosen.path.name} is in place{aside}. {again}".strip(), "done")
    else:
        context.say(_refused(context, trouble), "stop")
    context.look_at_clocks()


def _refused(context: Context, trouble: ShaftlogError) -> str:
    """Why not; when others have the book open they are called."""
    if not isinstance(trouble, LockedBook):
        return str(trouble)
    with suppress(ShaftlogError):
        calls.call_all(
            context.book,
            context.bench,
            "Another bench wants to put a backup in place of the book: please leave Shaftlog "
            "(Esc to the board, F12).",
        )
        return (
            "Nothing was changed: another bench has the book open. It was called to leave; try "
            "again in a minute."
        )
    return str(trouble)
