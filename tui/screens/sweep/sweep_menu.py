"""F12 on the sweep screen: finish, start another, change the dial or direction, see the shape."""

from __future__ import annotations

from tui.screens.sweep.sweep_state import SweepState
from tui.screens.sweep.sweep_views import SweepDisplay
from tui.widgets.menu import MenuItem

FINISH = {
    "hold check": "Finish this hold check and compare",
    "quick check": "Finish this quick check: the next hit",
}


def menu_items(state: SweepState | None, known: SweepDisplay) -> list[MenuItem]:
    """What can be done now."""
    items = []
    if state is not None:
        taken, wanted = state.counts
        left = wanted - taken
        if state.sweep.finished_at is None:
            note = f"{left} not read" if left else "all read"
            words = FINISH.get(state.sweep.purpose, "Finish this sweep and see the shape")
            items.append(MenuItem("finish", words, note, not left))
        else:
            items.append(MenuItem("reopen", "Read on in this sweep", "it is finished"))
        items.append(MenuItem("shape", "See the shape so far"))
    items.append(MenuItem("new", "Start a new sweep", strong=state is None))
    items.append(MenuItem("other", "Open another sweep of this job"))
    if state is not None:
        items.append(MenuItem("setup", "Dial, direction, rollers, marks of this sweep"))
        items.append(MenuItem("stations", "List of stations"))
    if known.slips:
        items.append(MenuItem("right", "The reading that looks odd is right"))
    return items
