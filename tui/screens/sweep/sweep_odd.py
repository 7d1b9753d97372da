"""What F7 does about the first thing in a sweep that looks odd."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial

from core.book.connection import Book
from core.jobs.sweep import sweep_entry
from core.jobs.sweep.sweep_session import SweepSession
from tui.screens.sweep import sweep_views as views
from tui.screens.sweep.sweep_views import SweepDisplay


@dataclass(frozen=True)
class OddOffer:
    """One offer: an act to store, or a reading to go to."""

    act: Callable[[Book, SweepSession], SweepSession] | None = None
    said: str = ""
    """What to say when the act is stored."""
    left: SweepDisplay = field(default_factory=SweepDisplay)
    """What is known, without what the act has dealt with."""
    reading_id: str = ""
    """The reading to be read again."""


def offer(known: SweepDisplay) -> OddOffer | None:
    """The correction offered first; None when nothing looks odd."""
    if known.slips and known.slips[0].suggested_in is None:
        return OddOffer(reading_id=known.slips[0].reading_id)
    if known.slips:
        together = views.corrected_together(known.slips)
        changes = [(s.reading_id, s.suggested_in or 0.0) for s in together]
        act = partial(sweep_entry.correct, changes=changes)
        return OddOffer(act, "Corrected; typed value kept", views.without(known, together))
    if known.turned:
        first = known.turned[0]
        turn = partial(
            sweep_entry.turn, station_in=first.station_in, first_mark_rad=first.first_mark_rad
        )
        return OddOffer(turn, "Turned; typed order kept", views.without_turn(known))
    return None


def confirmation(known: SweepDisplay) -> OddOffer:
    """The first odd reading is right as it is."""
    first = known.slips[0]
    act = partial(sweep_entry.confirm, reading_id=first.reading_id)
    return OddOffer(act, "Kept as right", views.without(known, [first]))
