"""Where the next figure goes: entry moves on by itself, a correction returns to where entry was.

Pure. Places are kept as keys, because the list of figures asked for changes with what was measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.fitting.measured.measurements import (
    Key,
    MeasurementRequest,
    MeasurementSet,
    key_of,
    next_open,
)

Wanted = Sequence[MeasurementRequest]


@dataclass(frozen=True)
class FigureCursor:
    """The figure under the cursor and the one that entry goes on with."""

    at: Key | None = None
    """None = no figure is asked for: all are in, and a number typed is not taken."""
    entry: Key | None = None
    """Where entry goes on after a correction; None = all figures are in."""

    def index(self, wanted: Wanted) -> int | None:
        """Place in the list of figures; None = nowhere."""
        return _index(self.at, wanted)


def resume(wanted: Wanted, figures: MeasurementSet) -> FigureCursor:
    """Where to go on: the first open figure after the one taken last; nowhere when all are in."""
    own = [m for m in figures.taken if m.set_no == figures.set_no]
    places = {w.key: i for i, w in enumerate(wanted)}
    last = max((m for m in own if key_of(m) in places), key=lambda m: m.id, default=None)
    return _on_entry(wanted, figures, -1 if last is None else places[key_of(last)])


def moved(cursor: FigureCursor, by: int, wanted: Wanted) -> FigureCursor:
    """The cursor some figures on, round the list; entry still goes on where it was."""
    if not wanted:
        return cursor
    at = cursor.index(wanted)
    start = at if at is not None else (-1 if by > 0 else 0)
    return FigureCursor(wanted[(start + by) % len(wanted)].key, cursor.entry)


def moved_to_part(cursor: FigureCursor, by: int, wanted: Wanted) -> FigureCursor:
    """The cursor to the first figure of the next or previous part."""
    if not wanted:
        return cursor
    parts = list(dict.fromkeys(w.part or w.subject for w in wanted))
    at = cursor.index(wanted)
    now = -1 if at is None else parts.index(wanted[at].part or wanted[at].subject)
    part = parts[(now + by) % len(parts)] if at is not None or by > 0 else parts[-1]
    return FigureCursor(next(w.key for w in wanted if (w.part or w.subject) == part), cursor.entry)


def after_taking(
    cursor: FigureCursor, corrected: bool, wanted: Wanted, figures: MeasurementSet
) -> FigureCursor:
    """The cursor after a figure was stored at it.

    A correction returns to where entry was. Else on to the next open figure; when there is none,
    to the next pass of a row of passes, and nowhere when all are in.
    """
    at = cursor.index(wanted)
    if corrected:
        entry = _index(cursor.entry, wanted)
        return _on_entry(wanted, figures, len(wanted) - 1 if entry is None else entry - 1)
    found = _on_entry(wanted, figures, -1 if at is None else at)
    if found.at is None and at is not None and pass_follows(wanted, at, figures):
        return FigureCursor(wanted[at + 1].key, wanted[at + 1].key)
    return found


def pass_follows(wanted: Wanted, at: int, figures: MeasurementSet) -> bool:
    """Whether the figure after this one is the next, open one of a row of passes."""
    here, *after = wanted[at : at + 2]
    return any(w.part == here.part != "" and not figures.is_done(w) for w in after)


def _on_entry(wanted: Wanted, figures: MeasurementSet, after: int) -> FigureCursor:
    found = next_open(wanted, figures, after)
    key = None if found is None else wanted[found].key
    return FigureCursor(key, key)


def _index(key: Key | None, wanted: Wanted) -> int | None:
    return next((i for i, w in enumerate(wanted) if w.key == key), None)
