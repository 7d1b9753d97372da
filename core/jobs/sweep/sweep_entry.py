"""The acts of a sweep at a bench: what the session gives is stored, and the session goes on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from core.base.errors import BadReadings
from core.base.reading_log import ReadingEntry
from core.base.records import OPEN_STATES, Job, Reading, RidingArea, Shaft, Sweep
from core.base.times import moment
from core.base.units import MM_PER_IN, Unit, format_typed
from core.book import choices, history, jobs, readings, settings, sweeps
from core.book.connection import Book
from core.book.gate import check_sweep
from core.book.settings import ShopSettings
from core.jobs.sweep.sweep_session import REOPEN, SweepSession, resume
from core.runout.stations import END_IN, station_list, with_station

if TYPE_CHECKING:
    from core.analysis.next_station import NextStation
    from core.runout.line import ShaftLine
    from core.runout.verdict import Area

ORDER = "order of reading"
"""Subject of the choice; without one a sweep is read along its list."""
TELLS = "where it tells most"

METRIC_END_IN = 25 / MM_PER_IN
"""`END_IN` as a metric shop chalks it."""


@dataclass(frozen=True)
class SweepJob:
    """The job on the rollers: everything about it that a sweep needs and does not change."""

    job: Job
    shaft: Shaft
    areas: tuple[RidingArea, ...]
    shop: ShopSettings

    @property
    def unit(self) -> Unit:
        """Unit for typing and reading the dial."""
        return dial_unit(self.shop)

    def stations_in(self, spacing_in: float, rollers_in: Sequence[float]) -> tuple[float, ...]:
        """Stations along the shaft at this spacing, on the rollers and in the riding areas."""
        return station_list(
            length_in=self.shaft.length_in,
            spacing_in=spacing_in,
            rollers_in=rollers_in,
            areas_in=[(area.from_in, area.to_in) for area in self.areas],
            inset_in=METRIC_END_IN if self.unit == "mm" else END_IN,
        )

    @property
    def closed(self) -> bool:
        """Whether the job has left the shop."""
        return self.job.state not in OPEN_STATES


def dial_unit(shop: ShopSettings) -> Unit:
    """The unit in which a shop types and reads the dial."""
    return "in" if shop.unit == "in" else "mm" if shop.unit == "mm" else "thou"


def sweep_job(book: Book, job_id: str) -> SweepJob:
    """Read what a sweep needs of its job."""
    job = jobs.job(book, job_id)
    shaft = history.shaft_of(book, job)
    shop = settings.as_of(book, job.closed_at)
    return SweepJob(job, shaft, history.areas_of(book, job), shop)


def unfinished_sweep(book: Book, job_id: str, purpose: str = "") -> Sweep | None:
    """The newest sweep of a job that is not finished, of one purpose if it is named."""
    found = sweeps.sweeps_of(book, job_id)
    waiting = [s for s in found if s.finished_at is None and purpose in ("", s.purpose)]
    return waiting[-1] if waiting else None


def open_session(book: Book, sweep_id: str) -> SweepSession:
    """A sweep at the slot where it stopped."""
    unit = dial_unit(settings.load(book))
    return resume(sweeps.sweep(book, sweep_id), _rows(book, sweep_id), unit, by=book.by)


def reload(book: Book, session: SweepSession) -> SweepSession:
    """The same place with what is in the book now: another bench may have written."""
    sweep_id = session.sweep.id
    return session.seen(sweeps.sweep(book, sweep_id), _rows(book, sweep_id))


def take(book: Book, session: SweepSession, text: str) -> tuple[SweepSession, str]:
    """Store what was typed at the cursor; the next session and what was taken, in words.

    Nothing changes when it raises.
    """
    entry = session.take(text)
    fresh = _store(book, session, [entry], entered=True)
    if entry.kind == "high spot":
        said = f"{text.strip()} deg"
    else:
        said = f"{format_typed(entry.value_in or 0.0, session.unit)} {session.unit}"
    return fresh, f"{'Corrected' if entry.seen else 'Taken'}: {said}"


def block(book: Book, session: SweepSession) -> tuple[SweepSession, str]:
    """Store that the plunger was blocked at the mark under the cursor."""
    return _store(book, session, [session.block()], entered=True), "Blocked mark noted"


def correct(
    book: Book, session: SweepSession, changes: Sequence[tuple[str, float]]
) -> SweepSession:
    """Store offered values (reading id, inches) as one act; the typed ones stay in the book."""
    return _store(book, session, session.correct(changes))


def confirm(book: Book, session: SweepSession, reading_id: str) -> SweepSession:
    """Store that a reading was looked at again and is right."""
    return _store(book, session, [session.confirm(reading_id)])


def turn(
    book: Book, session: SweepSession, station_in: float, first_mark_rad: float
) -> SweepSession:
    """Store a station's readings again as rolled the other way round."""
    return _store(book, session, session.turn(station_in, first_mark_rad))


def undo(book: Book, session: SweepSession) -> tuple[SweepSession, tuple[Reading, ...]]:
    """Take back the newest act made at this bench; () when there is none."""
    gone = session.last_act()
    if not gone:
        return session, ()
    with book.write():
        _check_open(book, session.sweep.id)
        readings.undo_reading(book, session.sweep.id, seen=gone)
    return session.after_undo(_rows(book, session.sweep.id), gone), gone


def finish(book: Book, session: SweepSession) -> SweepSession:
    """Mark the sweep as finished: it takes nothing more until it is opened again."""
    with book.write():
        _check_open(book, session.sweep.id)
        sweeps.finish_sweep(book, session.sweep.id)
    return reload(book, session)


def reopen(book: Book, session: SweepSession) -> SweepSession:
    """Open a finished sweep for more readings."""
    with book.write():
        sweeps.reopen_sweep(book, session.sweep.id)
    return reload(book, session)


def move_station(
    book: Book, sweep_id: str, old_in: float, new_in: float, length_in: float
) -> tuple[float, ...]:
    """The list with one station at another place; its readings go there with it."""
    with book.write():
        sweep = sweeps.sweep(book, sweep_id)
        rest = tuple(s for s in sweep.stations_in if s != old_in)
        stations = with_station(rest, new_in, length_in)
        sweeps.change_sweep(book, sweep_id, stations_in=stations)
        readings.move_readings(book, sweep_id, old_in, new_in)
    return stations


def goes_by_itself(book: Book, sweep: Sweep) -> bool:
    """Whether the program goes to the station that tells most."""
    return choices.texts(book, sweep.job_id, ORDER).get(sweep.id) == TELLS


def choose_order(book: Book, sweep: Sweep, tells: bool) -> None:
    """Say in which order this sweep is read."""
    if tells != goes_by_itself(book, sweep):
        value = TELLS if tells else ""
        choices.choose(book, job_id=sweep.job_id, subject=ORDER, name=sweep.id, value=value)


def begin_sweep(book: Book, job_id: str, *, tells: bool, **setup: Any) -> Sweep:
    """A new sweep as set up (`core.book.sweeps.start_sweep`); refused while the bar is warm."""
    from core.jobs.heat.cooling import check_cold  # loads numpy

    check_cold(book, job_id, moment(book.now()))
    with book.write():
        sweep = sweeps.start_sweep(book, job_id=job_id, **setup)
        choose_order(book, sweep, tells)
    return sweep


def station_to_read(
    line: ShaftLine | None,
    stations_in: Sequence[float],
    *,
    read_in: Sequence[float],
    length_in: float | None,
    areas: Sequence[Area],
    limit_in: float,
) -> NextStation | None:
    """The station of the list to read after those of the line; None in it = enough is read.

    `line` is None while fewer than two stations are read (both ends come first) and when those
    read (`read_in`) make no line: then there is nothing to say.
    """
    from core.analysis.next_station import NextStation, next_station  # loads numpy

    listed = sorted(stations_in)
    if line is None:
        ends = [x for x in (*listed[-1:], *listed[:1]) if x not in read_in]
        return NextStation(ends[0], "Both ends are read first.") if ends else None
    whole_in = length_in if length_in is not None else listed[-1] + END_IN
    return next_station(line, length_in=whole_in, areas=areas, limit_in=limit_in, among_in=listed)


def _store(
    book: Book, session: SweepSession, entries: Sequence[ReadingEntry], *, entered: bool = False
) -> SweepSession:
    """Store one act and go on; `entered`: it was typed at the cursor."""
    corrected = not entered or any(entry.seen is not None for entry in entries)
    with book.write():
        _check_open(book, session.sweep.id)
        new = readings.store_act(book, session.sweep.id, entries)
    return session.after(_rows(book, session.sweep.id), new, corrected=corrected)


def _check_open(book: Book, sweep_id: str) -> None:
    """Raise when the job was closed or the sweep finished, here or at another bench."""
    check_sweep(book, sweep_id)
    if sweeps.sweep(book, sweep_id).finished_at is not None:
        raise BadReadings(f"Another bench finished this sweep. {REOPEN}")


def _rows(book: Book, sweep_id: str) -> tuple[Reading, ...]:
    return readings.readings_of(book, sweep_id, all_rows=True)
