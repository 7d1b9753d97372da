"""Help for the tests of the measuring screens: typing figures, and what the book holds of them."""

from __future__ import annotations

import asyncio

from textual import events
from textual.pilot import Pilot

from core.base.records import Measurement
from core.book import choices, measurements
from tests.support.app_helpers import first_job
from tui.app import ShaftlogApp

KEYS = {".": "full_stop", "-": "minus", "+": "plus", ",": "comma", " ": "space"}
CHARACTERS = {"asterisk": "*", "slash": "/", "enter": "\r", "escape": "\x1b"}


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Press keys as fast as they come out of a gauge cable; returns when all have been done."""
    app = pilot.app
    assert isinstance(app, ShaftlogApp)
    for key in keys:
        character = key if len(key) == 1 else CHARACTERS.get(key)
        app.post_message(events.Key(KEYS.get(key, key), character))
    await app._animator.wait_until_complete()
    await asyncio.sleep(0)
    while app.is_running and (
        app._typed or app._key_at_work is not None or not app._message_queue.empty()
    ):
        await asyncio.sleep(0.01)
    await pilot.pause()


async def enter(pilot: Pilot[None], *figures: str) -> None:
    """Type figures or words, each with Enter."""
    await press(pilot, *(key for figure in figures for key in (*figure, "enter")))


def stored(app: ShaftlogApp, *subjects: str, all_rows: bool = False) -> tuple[Measurement, ...]:
    """The measurements of the first job."""
    return measurements.measurements_of(app.book, first_job(app), *subjects, all_rows=all_rows)


def value_of(app: ShaftlogApp, subject: str, what: str, **place: float) -> float | None:
    """The newest figure at a place, or the figure of a choice."""
    chosen = choices.numbers(app.book, first_job(app), subject)
    if what in chosen:
        return chosen[what]
    found = [
        m
        for m in stored(app, subject)
        if m.what == what and all(getattr(m, name) == value for name, value in place.items())
    ]
    return found[-1].value_in if found else None
