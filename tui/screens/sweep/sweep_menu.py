"""F12 on the sweep screen. Each line keeps its number, whatever can be done just now."""

from __future__ import annotations

from core.base.records import FULL_SWEEPS
from core.jobs.sweep.extra_readings import FIRST_AGAIN, HALF_TURN, ExtraKind
from core.jobs.sweep.sweep_session import SweepSession
from tui.screens.sweep.sweep_views import SweepDisplay
from tui.widgets.menu import MenuItem

FINISH = {
    "hold check": "Finish this hold check and compare",
    "quick check": "Finish this quick check: the next hit",
    FIRST_AGAIN: "Finish, and say what has moved",
    HALF_TURN: "Finish, and say what the wheels add",
}
NOT_NOW = "not now"


def menu_items(session: SweepSession | None, known: SweepDisplay, what: str = "") -> list[MenuItem]:
    """All that a sweep can be asked for; what cannot be done now says so.

    `what` : kind of the extra readings, if these are some.
    """
    running = session is not None and not session.finished
    purpose = session.sweep.purpose if session is not None else ""
    full = session is None or session.sweep.purpose in FULL_SWEEPS
    left = session.counts[1] - session.counts[0] if session is not None else 0
    note = f"{left} not read" if left else "all read"
    none = "" if session is not None else NOT_NOW
    return [
        MenuItem(
            "finish",
            FINISH.get(what) or FINISH.get(purpose, "Finish this sweep and see the shape"),
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
        MenuItem("again", "First station again; half-turn test", none if full else NOT_NOW),
    ]


def again_items(made: dict[ExtraKind, bool]) -> list[MenuItem]:
    """What can be read once more for a full sweep; `made` = begun or done, by kind."""
    without = {kind: "" if made[kind] else NOT_NOW for kind in made}
    return [
        MenuItem(FIRST_AGAIN, "First station once more", "finds a warm bar, a shaft that slid"),
        MenuItem(HALF_TURN, "Half-turn test", "finds wheels that look like a bend"),
        MenuItem(
            f"without {FIRST_AGAIN}", "Count without the first station again", without[FIRST_AGAIN]
        ),
        MenuItem(f"without {HALF_TURN}", "Count without the half-turn test", without[HALF_TURN]),
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
        "again": "Only a full sweep has these readings.",
    }.get(choice, "That cannot be done now.")
