"""Keeping the book: backups, a look for damage, other books, files in and out."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.book.upkeep import backup, copies
from core.book.upkeep.copies import BackupFile
from tui.base.commands import Command, verb
from tui.screens.upkeep.background_job import ChoreScreen
from tui.widgets.menu import Menu, MenuItem
from tui.widgets.plain import plain

ITEMS = (
    MenuItem("back_up", "Back up now"),
    MenuItem("backups", "Backups: see them, put one in place"),
    MenuItem("check", "Look the book over for damage"),
    MenuItem("merge", "Take in another book, such as a laptop's from the yard"),
    MenuItem("export", "Write a job or the whole book to a file"),
    MenuItem("import", "Take in a sweep from a CSV file"),
    MenuItem("import_cards", "Take in paper cards of earlier years from a CSV file"),
)
KINDS = {
    "daily": "of the day",
    "by-hand": "by hand",
    "before-update": "before an update",
    "before-merge": "before a merge",
    "set-aside": "replaced",
}


class KeepingScreen(ChoreScreen):
    """The menu, and how things stand."""

    HEADING = "Keeping the book"
    HOW_TO = (
        "A backup is made each day by itself; 1 makes one now. Backups lie beside the book: copy "
        "their folder to a stick now and then, as a disk that dies takes both. Nothing here writes "
        "over a file: a book that a backup replaces is kept beside it under another name."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "back_up", "Back up", "Make a backup now"),
    )
    DEFAULT_CSS = """
    KeepingScreen #book-state { height: auto; max-height: 8; margin: 0 0 1 0; }
    """

    def body(self) -> ComposeResult:
        """State above, menu below."""
        yield Static(id="book-state")
        yield Menu(ITEMS)

    def refresh_view(self) -> None:
        """Book and backups as they stand now."""
        self.query_one("#book-state", Static).update(plain(state_words(self.context.book_path)))

    def on_menu_chosen(self, event: Menu.Chosen) -> None:
        """Do it, or open its screen."""
        name = event.item.name
        if name == "back_up":
            self.action_back_up()
        else:
            self.context.go(name)

    def action_back_up(self) -> None:
        """F4."""
        place = self.context.book_path
        self.chore("Backing up ...", lambda: backup.by_hand(place, self.progress), self._backed_up)

    def _backed_up(self, made: BackupFile) -> None:
        self.refresh_view()
        self.say(f"Backed up and checked: {made.path.name}, {size_words(made.size_bytes)}.", "done")


def state_words(place: Path) -> str:
    """The book, its newest backup, where backups lie."""
    made = copies.list_backups(place)
    lines = [f"Book     {place}, {size_words(_size(place))}"]
    if made:
        newest = made[0]
        lines.append(
            f"Backups  {len(made)}; newest {newest.at:%d %b %Y %H:%M}, {kind_words(newest)}"
        )
        lines.append(f"         in {copies.backup_folder(place)}")
        lines.append("         Same disk as the book: copy them to a stick now and then.")
    else:
        lines.append("Backups  NONE YET. 1 makes one.")
    return "\n".join(lines)


def kind_words(made: BackupFile) -> str:
    """Why a backup was made."""
    return KINDS.get(made.kind, made.kind)


def size_words(size_bytes: int) -> str:
    """A file size for people."""
    return f"{size_bytes / 1e6:.1f} MB" if size_bytes >= 1e5 else f"{size_bytes / 1e3:.0f} kB"


def _size(place: Path) -> int:
    """The file with its log."""
    parts = (place, Path(f"{place}-wal"))
    return sum(part.stat().st_size for part in parts if part.exists())
