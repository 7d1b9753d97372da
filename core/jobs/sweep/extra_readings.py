"""Extra readings of a sweep: its first station once more, its ends after a half turn of the wheels.

They are kept as a small sweep of their own, set up as the sweep they belong to, and a choice of the
job names it; leaving them out is a new choice. `sweep_readings` joins them to their sweep.
"""

from __future__ import annotations

from typing import Literal

from core.base.errors import ShaftlogError
from core.base.records import FULL_SWEEPS, Sweep
from core.book import choices, hits, sweeps
from core.book.connection import Book
from core.jobs.sweep.sweep_entry import open_session

ExtraKind = Literal["first station again", "half turn"]
FIRST_AGAIN: ExtraKind = "first station again"
HALF_TURN: ExtraKind = "half turn"
EXTRA_KINDS: tuple[ExtraKind, ...] = (FIRST_AGAIN, HALF_TURN)


def extra_of(book: Book, sweep: Sweep, kind: ExtraKind) -> Sweep | None:
    """The readings of a kind that belong to a sweep, begun or done; None = none, or left out."""
    named = choices.texts(book, sweep.job_id, kind).get(sweep.id, "")
    return sweeps.sweep(book, named) if named else None


def whose_extra(book: Book, extra: Sweep) -> tuple[ExtraKind, Sweep] | None:
    """What extra readings are, and of which sweep; None = it is a sweep by itself."""
    for kind in EXTRA_KINDS if extra.purpose not in FULL_SWEEPS else ():
        for sweep_id, named in choices.texts(book, extra.job_id, kind).items():
            if named == extra.id:
                return kind, sweeps.sweep(book, sweep_id)
    return None


def extra_done(book: Book, sweep: Sweep, kind: ExtraKind) -> Sweep | None:
    """The extra readings of a kind, once all of them are read."""
    extra = extra_of(book, sweep, kind)
    return extra if extra is not None and open_session(book, extra.id).complete else None


def why_no_extra(book: Book, sweep: Sweep, kind: ExtraKind) -> str:
    """Why a sweep cannot have these readings; '' when it can."""
    if sweep.purpose not in FULL_SWEEPS:
        return "Only a full sweep has these readings."
    if not sweep.marks_deg:
        return "A sweep read the quick way cannot be compared: it needs marks."
    if any(hit.at > sweep.started_at for hit in hits.hits_of(book, sweep.job_id)):
        return "The shaft was hit since: it has another shape now. Sweep it again first."
    if len(_stations_read(book, sweep)) < (2 if kind == HALF_TURN else 1):
        return "Read the stations of the sweep first."
    return ""


def begin_extra(book: Book, sweep: Sweep, kind: ExtraKind) -> Sweep:
    """The small sweep that takes these readings, begun now if there is none.

    Raises
    ------
    ShaftlogError : why it cannot be.
    """
    if reason := why_no_extra(book, sweep, kind):
        raise ShaftlogError(reason)
    with book.write():
        begun = extra_of(book, sweep, kind)
        if begun is not None:
            return begun
        read = _stations_read(book, sweep)
        stations = (min(read), max(read)) if kind == HALF_TURN else (read[0],)
        extra = sweeps.start_like(book, sweep, stations)
        choices.choose(book, job_id=sweep.job_id, subject=kind, name=sweep.id, value=extra.id)
    return extra


def leave_extra_out(book: Book, sweep: Sweep, kind: ExtraKind) -> None:
    """The sweep counts without these readings again; they stay in the book."""
    if extra_of(book, sweep, kind) is None:
        raise ShaftlogError("There are no such readings to leave out.")
    choices.choose(book, job_id=sweep.job_id, subject=kind, name=sweep.id)


def _stations_read(book: Book, sweep: Sweep) -> list[float]:
    """Stations of a sweep with all marks read, in the order of reading."""
    session = open_session(book, sweep.id)
    full = {x for n, x in enumerate(session.stations_in) if not session.empty_slots(n)}
    return [x for x in dict.fromkeys(row.station_in for row in session.readings) if x in full]
