"""What a sweep asks for and what was read so far: stations, slots, and the order of reading.

A *slot* is one entry that a station asks for: a mark, the closing mark, or (the quick way) the TIR
and the clock of the high spot. Plain data without screen or book.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from core.base import reading_log
from core.base.errors import BadReadings
from core.base.reading_log import PlaceKey, place_key
from core.base.records import Reading, Sweep

SAME_STATION_IN = 0.01
SAME_CLOCK_DEG = 0.01


@dataclass(frozen=True)
class ReadingSlot:
    """One entry of a station."""

    kind: str
    """'mark', 'closing', 'tir' or 'high spot', as the book names the kinds."""
    clock_deg: float | None = None
    """Clock as called out while rolling (and as stored); None for TIR and high spot."""


QUICK_SLOTS = (ReadingSlot("tir"), ReadingSlot("high spot"))


@dataclass(frozen=True)
class Cursor:
    """A station and a slot of it, both counted from 0."""

    station_no: int = 0
    slot_no: int = 0


@dataclass(frozen=True)
class SweepSlots:
    """A sweep and all its rows."""

    sweep: Sweep
    rows: tuple[Reading, ...] = ()
    """All rows, replaced ones too, in the order stored."""

    @cached_property
    def readings(self) -> tuple[Reading, ...]:
        """The active readings in the order stored."""
        return reading_log.active(self.rows)

    @cached_property
    def _by_place(self) -> dict[PlaceKey, Reading]:
        return {place_key(row): row for row in self.readings}

    @property
    def finished(self) -> bool:
        """Whether the sweep was finished."""
        return self.sweep.finished_at is not None

    @property
    def stations_in(self) -> tuple[float, ...]:
        """The stations of the list, in the order in which they are read."""
        return self.sweep.stations_in

    @cached_property
    def _read_at(self) -> dict[float, list[PlaceKey]]:
        found: dict[float, list[PlaceKey]] = {}
        for key in self._by_place:
            found.setdefault(key[0], []).append(key)
        return found

    @cached_property
    def _slots(self) -> tuple[tuple[ReadingSlot, ...], ...]:
        return tuple(self._slots_at(station_in) for station_in in self.stations_in)

    def slots(self, station_no: int) -> tuple[ReadingSlot, ...]:
        """What a station asks for, and whatever else was read there (an imported sweep)."""
        return self._slots[station_no] if 0 <= station_no < len(self._slots) else ()

    def _slots_at(self, station_in: float) -> tuple[ReadingSlot, ...]:
        if not self.sweep.marks_deg:
            return QUICK_SLOTS
        here = self._read_at.get(station_in, [])
        marks = self.sweep.marks_deg
        more = {clock for _, kind, clock in here if kind == "mark" and clock is not None}
        slots = [ReadingSlot("mark", clock) for clock in (*marks, *sorted(more - set(marks)))]
        if self.sweep.closing or any(kind == "closing" for _, kind, _ in here):
            clock = self._closing_mark(station_in)
            if clock is not None:
                slots.append(ReadingSlot("closing", clock))
        return tuple(slots)

    def _closing_mark(self, station_in: float) -> float | None:
        """The first mark of the roll that is not blocked; it is read once more at the end."""
        for clock in self.sweep.marks_deg:
            row = self._by_place.get((station_in, "mark", clock))
            if row is None or row.kind != "blocked":
                return clock
        return None

    def reading(self, station_no: int, slot: ReadingSlot) -> Reading | None:
        """The active reading in a slot; a blocked mark counts as one."""
        if not 0 <= station_no < len(self.stations_in):
            return None
        return self._by_place.get((self.stations_in[station_no], slot.kind, slot.clock_deg))

    @cached_property
    def _empty(self) -> tuple[list[int], ...]:
        return tuple(
            [n for n, slot in enumerate(slots) if self.reading(number, slot) is None]
            for number, slots in enumerate(self._slots)
        )

    def empty_slots(self, station_no: int) -> list[int]:
        """Numbers of the slots of a station that wait for a reading."""
        return self._empty[station_no] if 0 <= station_no < len(self._empty) else []

    def is_started(self, station_no: int) -> bool:
        """Whether anything was read at a station."""
        return len(self.empty_slots(station_no)) < len(self.slots(station_no))

    @cached_property
    def counts(self) -> tuple[int, int]:
        """(entries made, entries that the sweep asks for)."""
        numbers = range(len(self.stations_in))
        asked = sum(len(self.slots(n)) for n in numbers)
        return asked - sum(len(self.empty_slots(n)) for n in numbers), asked

    @property
    def complete(self) -> bool:
        """Whether nothing is left to read."""
        made, asked = self.counts
        return asked > 0 and made == asked

    def row(self, reading_id: str) -> Reading:
        """An active reading by its id."""
        for row in self.readings:
            if row.id == reading_id:
                return row
        raise BadReadings("That reading was changed in the meantime. Look at it again.")

    def is_empty(self, place: Cursor) -> bool:
        """Whether a slot waits for its reading."""
        return place.slot_no in self.empty_slots(place.station_no)

    def next_place(self, place: Cursor) -> Cursor:
        """The empty slot after a place: on in this roll, then what was left out of it, then the
        next station with an empty slot. The place itself when nothing is left to read."""
        here = place.station_no
        empty = [n for n in self.empty_slots(here) if n != place.slot_no]
        if behind := [n for n in empty if n > place.slot_no] or empty:
            return Cursor(here, behind[0])
        count = len(self.stations_in)
        for step in range(1, count):
            number = (here + step) % count
            if empty := self.empty_slots(number):
                return Cursor(number, empty[0])
        return place

    def find(self, row: Reading) -> Cursor | None:
        """Where a reading belongs; None when the list does not ask for it."""
        number = self.find_station(row.station_in)
        if number is None:
            return None
        key = place_key(row)
        for slot_no, slot in enumerate(self.slots(number)):
            if (slot.kind, slot.clock_deg) == key[1:]:
                return Cursor(number, slot_no)
        return None

    def find_station(self, station_in: float) -> int | None:
        """Number of a station of the list."""
        near = [n for n, s in enumerate(self.stations_in) if abs(s - station_in) < SAME_STATION_IN]
        return near[0] if near else None

    def find_clock(self, station_no: int, clock_deg: float) -> Cursor | None:
        """The mark with this clock (as called out) at a station."""
        for number, slot in enumerate(self.slots(station_no)):
            if slot.kind == "mark" and slot.clock_deg is not None:
                apart = abs((slot.clock_deg - clock_deg + 180) % 360 - 180)
                if apart < SAME_CLOCK_DEG:
                    return Cursor(station_no, number)
        return None
