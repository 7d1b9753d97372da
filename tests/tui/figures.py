"""Help for the tests of the measuring screens: typing figures, and what the book holds of them."""

from __future__ import annotations

from textual.pilot import Pilot

from core.book import measurements
from core.book.records import Measurement
from tests.tui.helpers import first_job
from tui.app import ShaftlogApp

KEYS = {".": "full_stop", "-": "minus", "+": "plus", ",": "comma", " ": "space"}


async def enter(pilot: Pilot[None], *figures: str) -> None:
    """Type figures, each with Enter, as from the number pad."""
    for figure in figures:
        await pilot.press(*(KEYS.get(char, char) for char in figure), "enter")
        await pilot.pause()


def stored(app: ShaftlogApp, *subjects: str, all_rows: bool = False) -> tuple[Measurement, ...]:
    """The measurements of the first job."""
    return measurements.measurements_of(app.book, first_job(app), *subjects, all_rows=all_rows)


def value_of(app: ShaftlogApp, subject: str, what: str, **place: float) -> float | None:
    """The newest figure that stands at a place."""
    found = [
        m
        for m in stored(app, subject)
        if m.what == what and all(getattr(m, name) == value for name, value in place.items())
    ]
    return found[-1].value_in if found else None
