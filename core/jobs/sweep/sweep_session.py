"""One sweep in the course of being read: what is asked for, what was read, what comes next.

Pure data without screen or book, so that every rule can be tested by itself. Each act (take,
block, correct, confirm, turn) gives the entries to store, or raises; after they are stored the
session goes on with the rows as they are in the book. `core.jobs.sweep.sweep_entry` joins the two.

Nothing is replaced unless the person went to that slot first (`chosen`), and nothing is entered
into a finished sweep.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from core.base import reading_log
from core.base.errors import BadReadings
from core.base.reading_log import ReadingEntry, place_key
from core.base.records import Reading, Sweep
from core.base.units import Unit, format_typed, parse_clock_rad, parse_reading_in
from core.jobs.sweep.sweep_slots import Cursor, ReadingSlot, SweepSlots

if TYPE_CHECKING:
    from core.analysis.next_station import NextStation

REOPEN = "Press F12, then 8, to open it again."
FINISHED = f"This sweep is finished. {REOPEN}"
START = Cursor()
NO_STATIONS = "The list of stations is empty. Press F8 to make one."


@dataclass(frozen=True)
class SweepSession(SweepSlots):
    """A sweep, all its rows, and where the bench is."""

    cursor: Cursor = START
    home: Cursor = START
    """Where reading goes on after an earlier reading was corrected."""
    chosen: bool = False
    """Whether the person went to this slot: only then may what was read there be replaced."""
    unit: Unit = "thou"
    """Unit in which this shop types and reads the dial."""
    elsewhere: frozenset[str] = field(default=frozenset())
    """Times of the acts of other benches: under another name, or stored while this was open."""

    # -- what there is -----------------------------------------------------------------------

    @property
    def station_in(self) -> float | None:
        """The station under the dial; None when the list is empty."""
        number = self.cursor.station_no
        return self.stations_in[number] if number < len(self.stations_in) else None

    @property
    def slot(self) -> ReadingSlot | None:
        """The slot under the cursor."""
        slots = self.slots(self.cursor.station_no)
        return slots[self.cursor.slot_no] if self.cursor.slot_no < len(slots) else None

    @property
    def asked(self) -> tuple[float | None, ReadingSlot | None]:
        """The station and slot that a number typed now is for."""
        return self.station_in, self.slot

    @property
    def current(self) -> Reading | None:
        """The active reading under the cursor, if there is one."""
        return self.reading(self.cursor.station_no, self.slot) if self.slot else None

    @property
    def at_rest(self) -> bool:
        """Whether the cursor is where entry goes on, not at a slot the person went to."""
        return self.cursor == self.home and not self.chosen

    # -- acts: each gives the entries to store, or raises --------------------------------------

    def take(self, text: str) -> ReadingEntry:
        """What was typed at the cursor, as an entry."""
        station_in, slot = self._open_slot()
        clock_deg, value_in = slot.clock_deg, None
        if slot.kind == "high spot":
            typed_deg = math.degrees(parse_clock_rad(text, what="Clock of the high spot"))
            # Typed as chalked on the shaft, stored as called out: the mirror is its own inverse.
            clock_deg = math.degrees(true_clock_rad(typed_deg, self.sweep.direction))
        else:
            what = "TIR" if slot.kind == "tir" else "Reading"
            value_in = parse_reading_in(text, self.unit, self.sweep.dial_turn_in, what=what)
            if slot.kind == "tir" and value_in < 0:
                raise BadReadings("A TIR cannot be negative. Type the whole swing of the pointer.")
        return self._entry(station_in, clock_deg, value_in, text, slot.kind)

    def block(self) -> ReadingEntry:
        """The plunger is blocked at the mark under the cursor."""
        station_in, slot = self._open_slot()
        if slot.kind != "mark":
            raise BadReadings("Only a mark can be blocked. Type a number, or + for the next one.")
        return self._entry(station_in, slot.clock_deg, None, "blocked", "blocked")

    def _entry(
        self,
        station_in: float,
        clock_deg: float | None,
        value_in: float | None,
        raw: str,
        kind: str,
    ) -> ReadingEntry:
        seen = self.current
        return ReadingEntry(
            station_in, clock_deg, value_in, raw, kind, None if seen is None else seen.id
        )

    def correct(self, changes: Sequence[tuple[str, float]]) -> tuple[ReadingEntry, ...]:
        """Offered values (reading id, inches); the typed ones stay in the book."""
        self._check_open()
        entries = []
        for reading_id, value_in in changes:
            row = self.row(reading_id)
            typed = "" if row.value_in is None else format_typed(row.value_in, self.unit)
            raw = f"{format_typed(value_in, self.unit)} {self.unit} (was {typed}, not read again)"
            entries.append(_again(row, raw, value_in=value_in))
        return tuple(entries)

    def confirm(self, reading_id: str) -> ReadingEntry:
        """The same value once more: looked at again, it is right."""
        self._check_open()
        row = self.row(reading_id)
        typed = "" if row.value_in is None else format_typed(row.value_in, self.unit)
        return _again(row, f"{typed} {self.unit} (looked at again: right)")

    def turn(self, station_in: float, first_mark_rad: float) -> tuple[ReadingEntry, ...]:
        """A station's readings as rolled the other way round from its first mark."""
        from core.runout.misreadings import turned_clocks_deg  # loads numpy

        self._check_open()
        here = [
            r for r in self.readings if r.station_in == station_in and r.kind in ("mark", "blocked")
        ]
        clocks_deg = turned_clocks_deg(
            first_mark_rad, self.sweep.direction, [r.clock_deg or 0.0 for r in here]
        )
        turned = []
        for row, clock_deg in zip(here, clocks_deg, strict=True):
            entry = _again(row, f"{row.raw} (station turned round)")
            was = self._by_place.get((station_in, "mark", clock_deg))
            seen = None if was is None else was.id
            turned.append(replace(entry, clock_deg=clock_deg, seen=seen))
        return tuple(turned)

    def last_act(self) -> tuple[Reading, ...]:
        """The readings that undo takes back: of the newest act made at this bench."""
        self._check_open()
        return reading_log.last_act(self.rows, self.elsewhere)

    def _check_open(self) -> None:
        if self.finished:
            raise BadReadings(FINISHED)

    def _open_slot(self) -> tuple[float, ReadingSlot]:
        """The station and slot under the cursor, if something may be entered there."""
        self._check_open()
        station_in, slot, now = self.station_in, self.slot, self.current
        if station_in is None or slot is None:
            raise BadReadings(NO_STATIONS)
        if now is not None and not self.chosen:
            if self.complete:
                raise BadReadings(
                    "All is read. F12 finishes; to change a reading go to its mark with Up or F6."
                )
            raise BadReadings(
                f"This mark is read already: {now.raw}. To change it go to it with Up, Down or F6."
            )
        return station_in, slot

    # -- going on --------------------------------------------------------------------------------

    def after(
        self, rows: Sequence[Reading], entered: Sequence[Reading], *, corrected: bool = False
    ) -> SweepSession:
        """The session after `entered` was stored here; `rows` as they are in the book now.

        An entry at the cursor goes on from there; after a correction entry goes on where it was.
        """
        own = {row.taken_at for row in entered}
        fresh = self._with_rows(rows, own)
        return fresh.go_on(fresh.home if corrected else fresh.cursor)

    def after_undo(self, rows: Sequence[Reading], gone: Sequence[Reading]) -> SweepSession:
        """The session after an act was taken back: at its slot if that is empty, else going on."""
        fresh = self._with_rows(rows, ())
        for row in gone:
            place = fresh.find(row)
            if place is not None and fresh.is_empty(place):
                return fresh.to(place)
        return fresh.go_on(fresh.home)

    def seen(self, sweep: Sweep, rows: Sequence[Reading]) -> SweepSession:
        """The same place with what is in the book now; acts that are new are not of this bench.

        What the person chose to replace is no longer chosen when another reading is there now.
        """
        fresh = replace(self._with_rows(rows, ()), sweep=sweep)
        if sweep.stations_in != self.stations_in:
            fresh = fresh._same_stations(self.stations_in)
        fresh = fresh._inside()
        same = fresh.station_in == self.station_in and fresh.current == self.current
        return fresh if same else replace(fresh, chosen=False)

    def _with_rows(self, rows: Sequence[Reading], own: Collection[str]) -> SweepSession:
        known = {row.taken_at for row in self.rows}
        strange = {row.taken_at for row in rows} - known - set(own)
        return replace(self, rows=tuple(rows), elsewhere=self.elsewhere | strange)

    def _same_stations(self, before_in: tuple[float, ...]) -> SweepSession:
        """The list of stations changed: stay at the stations of before where they are still on."""

        def moved(place: Cursor) -> Cursor | None:
            if place.station_no >= len(before_in):
                return Cursor()
            number = self.find_station(before_in[place.station_no])
            return None if number is None else Cursor(number, place.slot_no)

        cursor, home = moved(self.cursor), moved(self.home)
        if cursor is None or home is None:
            return self.go_on(cursor or home or Cursor(self.cursor.station_no))
        return replace(self, cursor=cursor, home=home)

    def _inside(self) -> SweepSession:
        """The cursor inside the list, whatever was taken out of it."""
        last = max(len(self.stations_in) - 1, 0)

        def inside(place: Cursor) -> Cursor:
            number = min(place.station_no, last)
            most = max(len(self.slots(number)) - 1, 0)
            return Cursor(number, min(place.slot_no, most))

        return replace(self, cursor=inside(self.cursor), home=inside(self.home))

    def changed_here(self, before: SweepSession) -> tuple[tuple[Reading, Reading | None], ...]:
        """Readings of this bench that another bench changed since `before`: (was, is now)."""
        mine = [row for row in before.readings if row.taken_at not in self.elsewhere]
        still = {row.id for row in self.readings}
        return tuple(
            (row, self._by_place.get(place_key(row))) for row in mine if row.id not in still
        )

    # -- moves -----------------------------------------------------------------------------------

    def go_on(self, place: Cursor) -> SweepSession:
        """To where entry goes on from a place: the place itself if empty, else the next one."""
        return self.to(place if self.is_empty(place) else self.next_place(place))

    def to(self, place: Cursor) -> SweepSession:
        """Entry goes on at a place."""
        return replace(self, cursor=place, home=place, chosen=False)._inside()

    def choose(self, place: Cursor) -> SweepSession:
        """To a slot that the person named: what was read there may be replaced."""
        return replace(self, cursor=place, chosen=True)._inside()

    def choose_mark(self, by: int) -> SweepSession:
        """The slot above or below."""
        slot_no = max(self.cursor.slot_no + by, 0)
        return self.choose(Cursor(self.cursor.station_no, slot_no))

    def to_station(self, number: int) -> SweepSession:
        """Another station, at its first empty slot; entry goes on there, if it has one."""
        if empty := self.empty_slots(number):
            return self.to(Cursor(number, empty[0]))
        return replace(self, cursor=Cursor(number), chosen=False)._inside()

    def to_read_again(self, place: Cursor, home: Cursor) -> SweepSession:
        """To a slot that the person named; after a correction entry goes on at `home`."""
        found = self.choose(place)
        return found if found.current is None else replace(found, home=home)


def resume(
    sweep: Sweep, rows: Sequence[Reading], unit: Unit = "thou", *, by: str = ""
) -> SweepSession:
    """A sweep opened at the slot where it stopped, which the rows tell.

    `by` is the name at this bench: readings under another name are not taken back here.
    Entry goes on after the last entry that was no correction. Entries taken back since then are
    asked for again, the first of them first.
    """
    others = frozenset(row.taken_at for row in rows if by and row.by and row.by != by)
    session = SweepSession(sweep, tuple(rows), unit=unit, elsewhere=others)
    place: Cursor | None = None
    for row in reversed(session.rows):
        at = session.find(row)
        if at is None or reading_log.is_copy(rows, row) or reading_log.is_correction(rows, row):
            continue
        if place is None and not session.is_empty(at):
            return session.go_on(at)
        if place is not None and (not session.is_empty(at) or not _leads_to(session, at, place)):
            break
        place = at
    return session.go_on(place or Cursor())


def _leads_to(session: SweepSession, at: Cursor, place: Cursor) -> bool:
    """Whether reading goes from one slot on to another, both empty now."""
    if at.station_no == place.station_no:
        return at.slot_no < place.slot_no
    return all(n <= at.slot_no for n in session.empty_slots(at.station_no))


def gone_on(session: SweepSession, following: NextStation) -> SweepSession | None:
    """The session at the station to read next; None = it stays where it is.

    A station begun is read to its end, and a person who chose a place stays there.
    """
    station_in = following.station_in
    number = None if station_in is None else session.find_station(station_in)
    here = session.cursor.station_no
    begun = session.is_started(here) and bool(session.empty_slots(here))
    if number is None or number == here or begun or session.chosen or session.finished:
        return None
    return session.to_station(number)


def true_clock_rad(clock_deg: float, direction: int) -> float:
    """Clock of the shaft in radians, 0 to 2 pi, for a mark called out while rolling that way."""
    return math.radians((direction * clock_deg) % 360.0)


def _again(row: Reading, raw: str, value_in: float | None = None) -> ReadingEntry:
    """A reading entered once more at its place, with another value if one is given."""
    value = row.value_in if value_in is None else value_in
    return ReadingEntry(row.station_in, row.clock_deg, value, raw, row.kind, row.id)
