"""Printing from a screen: the shop's command runs on a thread, its outcome is said here."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from core.base.errors import ShaftlogError
from core.book import settings
from tui.screens.base.screen import ShopScreen
from tui.widgets.menu import MenuItem

PAPER = (MenuItem("print", "Print it"), MenuItem("write", "Write it to a file"))


def print_or_write(
    screen: ShopScreen, job_id: str, what: str, text: str, write: Callable[[], None]
) -> None:
    """Write the paper to a file, or ask first where the shop has a print command."""

    def answered(name: str | None) -> None:
        if name == "write":
            write()
        elif name == "print":
            print_in_background(screen, job_id, what, text)

    if settings.load(screen.book).print_command.strip():
        screen.ask_which(f"The {what}:", PAPER, answered)
    else:
        write()


def print_in_background(screen: ShopScreen, job_id: str, what: str, text: str) -> None:
    """Print on a thread with its own connection to the book; said on the screen then shown."""
    from core.reports.printing import print_paper

    app, context, book = screen.app, screen.context, screen.book
    context.say(f"The {what} goes to the printer ...")

    def run() -> None:
        try:
            with book.reopen() as own:
                said = partial(context.say, print_paper(own, job_id, what, text), "done")
        except ShaftlogError as error:
            said = partial(context.say, str(error), "stop")
        if app.is_running:
            app.call_from_thread(said)

    app.run_worker(run, thread=True, name="printing")
