"""The base of the screens that keep the book: long work in a thread; it shows how far it is."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from time import monotonic
from typing import ClassVar, TypeVar

from textual.app import App

from core.base.errors import ShaftlogError, Stopped
from core.book.connection import Book
from core.book.errors import ReadOnlyBook
from tui.base.commands import Command, verb
from tui.base.context import Context
from tui.screens.base.screen import ShopScreen

Found = TypeVar("Found")
PROGRESS_CELLS = 20
"""Cells of the bar of progress."""
SHOW_EVERY_S = 0.2


class ChoreScreen(ShopScreen):
    """A screen that can put one piece of work in a thread."""

    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("undo", "stop_work", "Stop", "Stop the work under way; nothing of it is kept",
             footer=False),
    )  # fmt: skip
    busy = ""
    """What goes on now, in words; empty = nothing."""
    stop_asked = False
    """Whether the work is to end at its next step."""
    _shown_at = 0.0
    show_on: App[object] | None = None
    """The app that the work under way reports to."""

    def chore(self, words: str, work: Callable[[], Found], done: Callable[[Found], object]) -> None:
        """Do `work` (with its own connection to the book), then `done` with what it gave.

        Leaving the screen does not stop it; then only trouble is reported, on any screen.
        """
        if self.busy:
            self.say(f"{self.busy} Wait until it is done.")
            return
        self.busy, self.stop_asked = words, False
        self.say(words)
        # A screen that was left meanwhile knows neither of them any more.
        app, context = self.app, self.context
        self.show_on = app

        def run() -> None:
            tell = self._work(context, work, done)
            if app.is_running:
                app.call_from_thread(tell)

        app.run_worker(run, thread=True, name="upkeep")

    def progress(self, done: int, of: int) -> None:
        """For work that can be stopped, called on its thread: how far it is. Raises `Stopped`."""
        if self.stop_asked:
            raise Stopped("Stopped. Nothing of it was kept.")
        app = self.show_on  # a screen that was left has no app of its own any more
        if app is not None and app.is_running and monotonic() - self._shown_at > SHOW_EVERY_S:
            self._shown_at = monotonic()
            filled = min(PROGRESS_CELLS * done // max(of, 1), PROGRESS_CELLS)
            bar = "#" * filled + "-" * (PROGRESS_CELLS - filled)
            words = f"{self.busy} [{bar}] {100 * done // max(of, 1)} %. F5 stops it."
            app.call_from_thread(self._show_progress, words)

    def _show_progress(self, words: str) -> None:
        if self.busy and not self.was_left and not self.stop_asked:
            self.say(words)

    def action_stop_work(self) -> None:
        """F5."""
        if not self.busy:
            self.say("No work is under way.")
            return
        self.stop_asked = True
        self.say(f"{self.busy} It stops at its next step; what cannot be halved goes on.")

    def _work(
        self, context: Context, work: Callable[[], Found], done: Callable[[Found], object]
    ) -> Callable[[], None]:
        try:
            found = work()
        except ShaftlogError as error:
            return partial(self._failed, context, str(error))
        except OSError as error:
            from core.cli.frame import file_trouble

            return partial(self._failed, context, file_trouble(error))
        return partial(self._finished, done, found)

    def _failed(self, context: Context, words: str) -> None:
        self.busy = ""
        if self.was_left:
            context.say(words, "stop")
        else:
            self.say(words, "stop")

    def _finished(self, done: Callable[[Found], object], found: Found) -> None:
        self.busy = ""
        if not self.was_left:
            self.say("")
            with self.in_words():
                done(found)


def refuse_read_only(book: Book, done: str = "taken in") -> None:
    """Raises ReadOnlyBook where nothing can be `done`."""
    if book.read_only:
        raise ReadOnlyBook(f"This book is open for looking only: nothing can be {done}.")


def files_near(book_path: Path, ending: str) -> tuple[tuple[str, str], ...]:
    """(path, '') of files that may be meant: beside the book, in its exports, in the home folder.

    For a `pick` field: part of a name finds it; another path can be typed in full.
    """
    folders = (book_path.parent, book_path.parent / "exports", Path.home())
    found: dict[str, None] = {}
    for folder in folders:
        try:
            names = sorted(p for p in folder.glob(f"*{ending}") if p.is_file())
        except OSError:
            continue
        found.update((str(p), None) for p in names if p != book_path)
    return tuple((name, "") for name in found)


def path_of(typed: str, what: str) -> Path:
    """A typed path; refused in words when there is no such file."""
    if not typed.strip():
        raise ShaftlogError(f"Which file? Type the path of {what}, or part of the name.")
    place = Path(typed.strip()).expanduser()
    try:
        there = place.is_file()
    except (OSError, ValueError):
        there = False
    if not there:
        raise ShaftlogError(f"There is no file {place}. Check the name, and that the stick is in.")
    return place
