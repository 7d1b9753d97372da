"""Reading the first station once more, and the half-turn test, from the sweep screen."""

from __future__ import annotations

from collections.abc import Callable

from core.base.records import Sweep
from core.book.connection import Book
from core.jobs.sweep import extra_readings
from core.jobs.sweep.extra_readings import EXTRA_KINDS, FIRST_AGAIN, ExtraKind
from tui.screens.base.screen import JobScreen
from tui.screens.sweep import sweep_text as text
from tui.screens.sweep.sweep_menu import again_items

AFTER = {"hold check": "hold", "quick check": "straighten"}  # any other purpose: the plot
OpenSweep = Callable[[str], None]
"""Goes on with the sweep of an id."""


def title(book: Book, sweep: Sweep) -> str:
    """What a sweep is, as the line over the pictures names it."""
    found = extra_readings.whose_extra(book, sweep)
    return found[0] if found else f"{sweep.purpose} sweep"


def ask(screen: JobScreen, sweep: Sweep, open_sweep: OpenSweep) -> None:
    """Which of them; also leaving one out again."""
    made = {
        kind: extra_readings.extra_of(screen.book, sweep, kind) is not None for kind in EXTRA_KINDS
    }

    def answered(choice: str | None) -> None:
        if choice is not None:
            with screen.in_words():
                _do(screen, sweep, choice, open_sweep)

    screen.ask_which("What is to be read once more?", again_items(made), answered)


def _do(screen: JobScreen, sweep: Sweep, choice: str, open_sweep: OpenSweep) -> None:
    kind: ExtraKind = next(k for k in EXTRA_KINDS if choice.endswith(k))
    if choice != kind:
        extra_readings.leave_extra_out(screen.book, sweep, kind)
        screen.refresh_view()
        screen.say(f"The sweep counts without it: {kind}.", "done")
        return
    open_sweep(extra_readings.begin_extra(screen.book, sweep, kind).id)
    screen.say(text.FIRST_AGAIN_HOW if kind == FIRST_AGAIN else text.HALF_TURN_HOW)


def go_on_after(screen: JobScreen, sweep: Sweep, open_sweep: OpenSweep) -> None:
    """After a sweep is finished: to what it was for; after extra readings to the sweep they belong
    to, with what they say."""
    from core.jobs.evaluate import extra_words  # loads numpy

    found = extra_readings.whose_extra(screen.book, sweep)
    if found is None:
        screen.context.go(AFTER.get(sweep.purpose, "plot"), screen.job_id)
        if sweep.purpose not in AFTER:
            screen.context.say(text.WHAT_NEXT)
        return
    kind, its_sweep = found
    open_sweep(its_sweep.id)
    with screen.in_words():
        screen.say(extra_words(screen.book, its_sweep, kind) or text.NOT_ALL_READ)
