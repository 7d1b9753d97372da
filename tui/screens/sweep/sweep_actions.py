"""What the sweep screen does with the book: open, take, block, mend, undo. No widgets here."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from core.base.errors import BadReadings
from core.base.records import OPEN_STATES, Job, Reading, RidingArea, Shaft, Sweep
from core.base.units import Unit, parse_clock_rad
from core.book import jobs, settings, shafts, sweeps
from core.book.connection import Book
from core.book.readings import (
    correct_reading,
    readings_of,
    take_reading,
    take_readings,
    undo_reading,
)
from core.book.settings import ShopSettings
from core.jobs.resume import resume_point, true_clock_rad
from core.runout.misreadings import turned_clocks_deg
from core.runout.stations import with_station
from tui.screens.sweep.sweep_input import parse_reading_in
from tui.screens.sweep.sweep_state import SweepState, start_state
from tui.screens.sweep.sweep_views import SlipDisplay, TurnDisplay, as_typed, unit_of


@dataclass(frozen=True)
class SweepActions:
    """The job on the rollers: everything about it that the sweep needs and does not change."""

    job: Job
    shaft: Shaft
    areas: tuple[RidingArea, ...]
    shop: ShopSettings

    @property
    def unit(self) -> Unit:
        """Unit for typing and reading the dial."""
        return unit_of(self.shop)

    @property
    def read_only(self) -> bool:
        """Whether the job has left the shop."""
        return self.job.state not in OPEN_STATES


def open_desk(book: Book, job_id: str) -> SweepActions:
    """Read what stands about a job."""
    job = jobs.job(book, job_id)
    shaft = shafts.shaft(book, job.shaft_id)
    return SweepActions(job, shaft, shafts.areas_of(book, shaft.id), settings.load(book))


def unfinished_sweep(book: Book, job_id: str, purpose: str = "") -> Sweep | None:
    """The newest sweep of a job that is not finished, of one purpose if it is named."""
    found = sweeps.sweeps_of(book, job_id)
    waiting = [s for s in found if s.finished_at is None and purpose in ("", s.purpose)]
    return waiting[-1] if waiting else None


def open_state(book: Book, desk: SweepActions, sweep_id: str) -> SweepState:
    """A sweep at the place where it stopped."""
    stop = resume_point(book, sweep_id)
    sweep = sweeps.sweep(book, sweep_id)
    readings = readings_of(book, sweep_id)
    return start_state(sweep, readings, stop.station_no, stop.mark_no, desk.unit)


def reload(book: Book, state: SweepState) -> SweepState:
    """The same place with what stands in the book now (another bench may have written)."""
    sweep = sweeps.sweep(book, state.sweep.id)
    fresh = replace(state, sweep=sweep, readings=readings_of(book, sweep.id))
    return fresh.at(fresh.cursor.station_no, fresh.cursor.place_no)


def take(book: Book, desk: SweepActions, state: SweepState, text: str) -> tuple[SweepState, str]:
    """Store what was typed at the cursor; gives the next state and words of what was taken.

    Nothing changes when it raises.
    """
    _check_open(desk)
    station_in, place = state.station_in, state.place
    if station_in is None or place is None:
        raise BadReadings("The list of stations is empty. F8 makes one.")
    was = state.standing
    value_in: float | None = None
    clock_deg = place.clock_deg
    if place.kind == "high spot":
        typed_deg = math.degrees(parse_clock_rad(text, what="Clock of the high spot"))
        # Typed as chalked on the shaft, stored as called out: the mirror is its own inverse.
        clock_deg = math.degrees(true_clock_rad(typed_deg, state.sweep.direction))
        said = f"{typed_deg:g} deg"
    else:
        what = "TIR" if place.kind == "tir" else "Reading"
        value_in = parse_reading_in(text, desk.unit, state.sweep.dial_turn_in, what)
        if place.kind == "tir" and value_in < 0:
            raise BadReadings("A TIR cannot be negative: type how far the pointer swings in all.")
        said = f"{as_typed(value_in, desk.unit)} {desk.unit}"
    take_reading(
        book,
        state.sweep.id,
        station_in=station_in,
        clock_deg=clock_deg,
        value_in=value_in,
        raw=text,
        kind=place.kind,
        in_place_of=was.id if was is not None else None,
    )
    verb = "Mended" if was is not None else "Taken"
    return _after(book, state, mended=was is not None), f"{verb}: {said}"


def block(book: Book, desk: SweepActions, state: SweepState) -> tuple[SweepState, str]:
    """Store that the plunger was blocked at the mark under the cursor."""
    _check_open(desk)
    station_in, place = state.station_in, state.place
    if station_in is None or place is None:
        raise BadReadings("The list of stations is empty. F8 makes one.")
    if place.kind != "mark":
        raise BadReadings(
            "Only a mark can be blocked. Type the number, or + and Enter for the next station."
        )
    was = state.standing
    take_reading(
        book,
        state.sweep.id,
        station_in=station_in,
        clock_deg=place.clock_deg,
        value_in=None,
        raw="blocked",
        kind="blocked",
        in_place_of=was.id if was is not None else None,
    )
    return _after(book, state, mended=was is not None), "Blocked mark noted"


def undo(book: Book, desk: SweepActions, state: SweepState) -> tuple[SweepState, Reading | None]:
    """Take the last entry back; the cursor goes to its place."""
    _check_open(desk)
    gone = undo_reading(book, state.sweep.id)
    fresh = reload(book, state)
    if gone is None:
        return fresh, None
    number = fresh.find_station(gone.station_in)
    if number is None:
        return fresh, gone
    kind = "mark" if gone.kind == "blocked" else gone.kind
    for place_no, place in enumerate(fresh.places(number)):
        same_clock = kind != "mark" or place.clock_deg == gone.clock_deg
        if place.kind == kind and same_clock:
            return fresh.at(number, place_no).settled(), gone
    return fresh.at(number).settled(), gone


def accept_mend(
    book: Book, desk: SweepActions, state: SweepState, slips: list[SlipDisplay]
) -> SweepState:
    """Store the offered values as new readings; the typed ones stay in the book, marked."""
    _check_open(desk)
    with book.write():
        for slip in slips:
            typed = as_typed(slip.typed_in, desk.unit)
            value = as_typed(slip.suggested_in or 0.0, desk.unit)
            correct_reading(
                book,
                slip.reading_id,
                value_in=slip.suggested_in,
                raw=f"{value} {desk.unit} (offered mend of {typed})",
            )
    return reload(book, state)


def confirm(book: Book, desk: SweepActions, state: SweepState, slip: SlipDisplay) -> SweepState:
    """Enter an odd reading once more as it stands: looked at again, it is right."""
    _check_open(desk)
    standing = next((r for r in state.readings if r.id == slip.reading_id), None)
    if standing is None:
        raise BadReadings("That reading has been changed since. Look at it again: F7 goes there.")
    raw = f"{as_typed(slip.typed_in, desk.unit)} {desk.unit} (looked at again: right)"
    correct_reading(book, standing.id, value_in=standing.value_in, raw=raw)
    return reload(book, state)


def turn_round(book: Book, desk: SweepActions, state: SweepState, turn: TurnDisplay) -> SweepState:
    """Enter a station's readings again as rolled the other way round from its first mark."""
    _check_open(desk)
    here = [
        r
        for r in state.readings
        if r.station_in == turn.station_in and r.kind in ("mark", "blocked")
    ]
    clocks_deg = turned_clocks_deg(
        turn.first_mark_rad, state.sweep.direction, [r.clock_deg or 0.0 for r in here]
    )
    again = [
        {
            "station_in": r.station_in,
            "clock_deg": clock_deg,
            "value_in": r.value_in,
            "raw": f"{r.raw} (station turned round)",
            "kind": r.kind,
        }
        for r, clock_deg in zip(here, clocks_deg, strict=True)
    ]
    take_readings(book, state.sweep.id, again)
    return reload(book, state)


def move_station(
    book: Book, sweep_id: str, old_in: float, new_in: float, length_in: float
) -> tuple[float, ...]:
    """The list with one station in another place; its readings are entered again there.

    The readings at the old place stay in the book, but a station off the list does not count.
    """
    sweep = sweeps.sweep(book, sweep_id)
    rest = tuple(s for s in sweep.stations_in if s != old_in)
    stations = with_station(rest, new_in, length_in)
    here = [r for r in readings_of(book, sweep_id) if r.station_in == old_in]
    again = [
        {
            "station_in": new_in,
            "clock_deg": r.clock_deg,
            "value_in": r.value_in,
            "raw": f"{r.raw} (moved from {old_in:g} in)",
            "kind": r.kind,
        }
        for r in here
    ]
    with book.write():
        sweeps.change_sweep(book, sweep_id, stations_in=stations)
        take_readings(book, sweep_id, again)
    return stations


def _after(book: Book, state: SweepState, *, mended: bool) -> SweepState:
    """The state after an entry at the cursor."""
    fresh = state.with_readings(readings_of(book, state.sweep.id))
    return fresh.after_entry(mended=mended)


def _check_open(desk: SweepActions) -> None:
    if desk.read_only:
        raise BadReadings(
            f"Job {desk.job.tag} is {desk.job.state}: it can be looked at, not added to. Start a "
            "new job on the shaft from its history."
        )
