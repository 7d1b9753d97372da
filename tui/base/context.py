"""What a screen or a background service knows of the app.

The app is the one class that fulfils `Context`. Nothing below it imports the app or the route
table: a screen opens another one by its name, `self.context.go("plot", job_id)`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Protocol

if TYPE_CHECKING:
    from textual.widget import Widget

    from core.book.connection import Book

Tone = Literal["hint", "done", "stop"]
"""What a message is: a hint, something done, or something refused."""


class Context(Protocol):
    """The open book, the clock, the message line and the way to other screens."""

    book: Book
    book_path: Path
    clock: Callable[[], float]
    """Seconds since 1970."""
    last_job_id: str | None
    """The job last worked on (F10)."""
    running_clock: str
    """The penetrant clock in a few words for the top line; empty when none runs."""
    others: str
    """Names of the other benches that have the job in front open now; empty = nobody."""

    @property
    def bench(self) -> str:
        """Name of this running program among those at the same book."""

    @property
    def is_closing(self) -> bool:
        """Whether no screen is left: the app is being closed."""

    @property
    def job_on_top(self) -> str | None:
        """The job of the screen in front."""

    def banner(self) -> Iterable[Widget]:
        """What every screen shows below its top line; nothing in a shop."""

    def follow_unit(self) -> None:
        """Show dial figures in the unit that the shop has now."""

    def practise(self) -> None:
        """Leave the book for the practice shaft, and come back to it afterwards."""

    def say(self, words: str, tone: Tone = "hint") -> None:
        """Show words in the message line of the screen in front."""

    def ring(self, words: str, *, bell: bool) -> None:
        """Show words, with the terminal's bell or without."""

    def go(self, name: str, job_id: str | None = None, /, **options: object) -> None:
        """Open a screen by its route name; an unknown option is refused."""

    def back(self) -> None:
        """Close the screen in front; the board stays."""

    def back_to_board(self) -> None:
        """Close every screen above the board."""

    def show_changes(self) -> None:
        """The book was changed elsewhere: the screen in front reads it again."""

    def look_at_clocks(self) -> None:
        """A penetrant stage began or ended: show it in the top line now."""

    def show_clock(self, words: str) -> None:
        """Show the running penetrant clock in the top line."""

    def show_others(self, names: str) -> None:
        """Show in the top line which other benches have this job open."""

    def close_book(self) -> None:
        """Close the book; everything entered is stored."""

    def stop(self, words: str) -> None:
        """Leave the program with an error."""
