"""F12 on the sweep screen. Each line keeps its number, whatever can be done just now."""

from __future__ import annotations

from core.jobs.sweep_session import SweepSession
from tui.screens.sweep.sweep_views import SweepDisplay
from tui.widgets.menu import MenuItem

FINISH = {
    "hold check": "Finish this hold check and compare",
    "quick check": "Finish this quick check: the next hit",
}
NOT_NOW = "not now"


def menu_items(session: SweepSession | None, known: SweepDisplay) -> list[MenuItem]:
    """All that a sweep can be asked for; what cannot be done now says so."""
    running = session is not None and not session.finished
    purpose = session.sweep.purpose if session is not None else ""
    left = session.counts[1] - session.counts[0] if session is not None else 0
    note = f"{left} not read" if left else "all read"
    none = "" if session is not None else NOT_NOW
    return [
        MenuItem(
            "finish",
            FINISH.get(purpose, "Finish this sweep and see the shape"),
            note if running else NOT_NOW,
            running and not left,
        ),
        MenuItem("shape", "See the shape so far", none),
        MenuItem("new", "Start a new sweep", strong=session is None),
        MenuItem("other", "Open another sweep of this job"),
        MenuItem("setup", "Dial, direction, rollers, marks of this sweep", none),
        MenuItem("stations", "List of stations", none),
        MenuItem("right", "The reading that looks odd is right", "" if known.slips else NOT_NOW),
        MenuItem(
            "reopen",
            "Open this finished sweep again",
            NOT_NOW if session is None or running else "it is finished",
        ),
    ]


def why_not(choice: str, session: SweepSession | None, known: SweepDisplay) -> str:
    """Why a line of the menu does nothing now; empty when it can be done."""
    item = next(i for i in menu_items(session, known) if i.name == choice)
    if item.note != NOT_NOW:
        return ""
    if session is None:
        return "No sweep is open yet. Press F12, then 3, to start one."
    return {
        "finish": "This sweep is finished already.",
        "reopen": "This sweep is not finished: go on reading.",
        "right": "No reading looks odd.",
    }.get(choice, "That cannot be done now.")
