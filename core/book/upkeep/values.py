"""What SQLite cannot know of a book: a value agrees with its typed text, a time is a time."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator

from core.base.errors import ShaftlogError
from core.base.times import moment
from core.base.units import PER_INCH, parse_length_in, parse_number
from core.book.errors import READ_ERRORS
from core.book.upkeep.tables import ENTERED

_MOST = 20
_ROUNDED_IN = 6e-5
"""A typed text may show a value rounded to its last printed digit, inches."""
_ADDED = re.compile(r" \(moved from .*\)$")
_OF_SWEEP = "SELECT station_in, clock_deg, raw, value_in FROM reading WHERE value_in IS NOT NULL"
_OF_JOB = "SELECT subject, what, raw, value_in FROM measurement WHERE value_in IS NOT NULL"


def findings(con: sqlite3.Connection) -> list[str]:
    """What is wrong, one line each; a table that cannot be read is another one's finding."""
    found: list[str] = []
    for lines in (_readings(con), _measurements(con), _times(con)):
        try:
            for line in lines:
                found.append(line)
                if len(found) >= _MOST:
                    return found
        except READ_ERRORS:
            continue
        except (TypeError, ValueError, AttributeError):
            found.append("a value is of another kind than its column")  # text, number or nothing
    return found


def agrees(raw: str, value_in: float) -> bool:
    """Whether a typed text can mean this value, in any unit; text that is no number cannot tell.

    The sign is left out: a file of readings may count the other way.
    """
    text = _ADDED.sub("", raw)
    meant = list(_meanings(text))
    return not meant or any(abs(abs(one) - abs(value_in)) <= _ROUNDED_IN for one in meant)


def _meanings(text: str) -> Iterator[float]:
    try:
        number = float(text)
    except ValueError:
        yield from _parsed(text)
    else:
        yield from (number / per_inch for per_inch in PER_INCH.values())


def _parsed(text: str) -> Iterator[float]:
    for unit in PER_INCH:
        try:
            yield parse_length_in(text, unit)
        except ShaftlogError:
            continue
    try:
        yield parse_number(text)
    except ShaftlogError:
        return


def _readings(con: sqlite3.Connection) -> Iterator[str]:
    for station_in, clock_deg, raw, value_in in con.execute(_OF_SWEEP):
        if not agrees(raw, value_in):
            clock = "" if clock_deg is None else f", {clock_deg:g} deg"
            yield (
                f"reading at {station_in:g} in{clock}: {raw!r} was typed, "
                f"{value_in * 1000:g} thou is stored"
            )


def _measurements(con: sqlite3.Connection) -> Iterator[str]:
    for subject, what, raw, value_in in con.execute(_OF_JOB):
        if not agrees(raw, value_in):
            yield f"{subject}, {what}: {raw!r} was typed, {value_in:g} is stored"


def _times(con: sqlite3.Connection) -> Iterator[str]:
    for table in ENTERED:
        names = [row[1] for row in con.execute(f"PRAGMA table_info({table})")]
        for name in (one for one in names if one == "at" or one.endswith("_at")):
            for (text,) in con.execute(f"SELECT {name} FROM {table} WHERE {name} <> ''"):
                try:
                    moment(text)
                except ShaftlogError:
                    yield f"{table}, {name}: {text!r} is no time"
