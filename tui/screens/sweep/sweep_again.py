"""Reading the first station once more, and the half-turn test, from the sweep screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.base.records import Sweep
from core.book.connection import Book
from core.jobs import extra_readings
from core.jobs.extra_readings import AGAIN, KINDS, Kind
from tui.screens.sweep import sweep_text as text
from tui.screens.sweep.sweep_menu import again_items

if TYPE_CHECKING:
    from tui.screens.sweep.sweep import SweepScreen


def title(book: Book, sweep: Sweep) -> str:
    """What a sweep is, as the line over the pictures names it."""
    found = extra_readings.belongs_to(book, sweep)
    return found[0] if found else f"{sweep.purpose} sweep"


def ask(screen: SweepScreen) -> None:
    """Which of them; also leaving one out again."""
    if screen.session is None:
        return
    book, sweep = screen.book, screen.session.sweep
    made = {kind: extra_readings.extra_of(book, sweep, kind) is not None for kind in KINDS}
    screen.ask_which(
        "What is to be read once more?", again_items(made), lambda said: _chosen(screen, said)
    )


def _chosen(screen: SweepScreen, choice: str | None) -> None:
    if choice is None or screen.session is None:
        return
    book, sweep = screen.book, screen.session.sweep
    kind: Kind = next(k for k in KINDS if choice.endswith(k))
    with screen.in_words():
        if choice != kind:
            extra_readings.leave_out(book, sweep, kind)
            screen.refresh_view()
            screen.say(f"The sweep counts without it: {kind}.", "done")
            return
        extra = extra_readings.begin(book, sweep, kind)
        screen.open_sweep(extra.id)
        screen.say(text.FIRST_AGAIN_HOW if kind == AGAIN else text.HALF_TURN_HOW)


def back_to_its_sweep(screen: SweepScreen) -> bool:
    """After extra readings are finished: to the sweep they belong to, with what they say."""
    if screen.session is None:
        return False
    found = extra_readings.belongs_to(screen.book, screen.session.sweep)
    if found is None:
        return False
    kind, sweep = found
    screen.open_sweep(sweep.id)
    with screen.in_words():
        screen.say(extra_readings.words(screen.book, sweep, kind) or text.NOT_ALL_READ)
    return True
