"""Which reading comes next: the places of a sweep, what stands in them, and the cursor.

Plain data without screen or book, so that every move can be tested by itself. A *place* is one
entry that a station asks for: a mark, the closing mark, or (the quick way) the TIR and the clock
of the high spot.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from core.base.records import Reading, Sweep
from core.base.units import Unit

SAME_STATION_IN = 0.01
SAME_CLOCK_DEG = 0.01


@dataclass(frozen=True)
class ReadingSlot:
    """One entry of a station."""

    kind: str
    """'mark', 'closing', 'tir' or 'high spot', as the book names the kinds."""
    clock_deg: float | None = None
    """Clock as called out while rolling (and as stored); None for TIR and high spot."""


QUICK_PLACES = (ReadingSlot("tir"), ReadingSlot("high spot"))


@dataclass(frozen=True)
class Cursor:
    """The station and the place to be read next, as numbers counted from 0."""

    station_no: int = 0
    place_no: int = 0


@dataclass(frozen=True)
class SweepState:
    """A sweep with everything that stands in it, and where the bench is."""

    sweep: Sweep
    readings: tuple[Reading, ...] = ()
    cursor: Cursor = Cursor()
    home: Cursor = Cursor()
    """Where reading goes on after an earlier reading has been mended."""
    unit: Unit = "thou"
    """Unit in which this shop types and reads the dial."""
    _by_place: dict[tuple[float, str, float | None], Reading] = field(
        default_factory=dict, compare=False, repr=False
    )

    def __post_init__(self) -> None:
        found = {(r.station_in, _family(r.kind), _key_clock(r)): r for r in self.readings}
        object.__setattr__(self, "_by_place", found)

    # -- what there is ---------------------------------------------------------------------------

    @property
    def stations_in(self) -> tuple[float, ...]:
        """The stations of the list, in the order in which they are read."""
        return self.sweep.stations_in

    @property
    def station_in(self) -> float | None:
        """The station under the dial; None when the list is empty."""
        stations = self.stations_in
        return stations[self.cursor.station_no] if self.cursor.station_no < len(stations) else None

    @property
    def place(self) -> ReadingSlot | None:
        """The place to be read next."""
        places = self.places(self.cursor.station_no)
        return places[self.cursor.place_no] if self.cursor.place_no < len(places) else None

    def places(self, station_no: int) -> tuple[ReadingSlot, ...]:
        """What a station asks for, and whatever else was read there (an imported sweep)."""
        if not 0 <= station_no < len(self.stations_in):
            return ()
        if not self.sweep.marks_deg:
            return QUICK_PLACES
        marks = list(self.sweep.marks_deg)
        station_in = self.stations_in[station_no]
        more = {
            clock
            for (station, family, clock) in self._by_place
            if station == station_in and family == "mark" and clock is not None
        }
        places = [ReadingSlot("mark", clock) for clock in marks + sorted(more - set(marks))]
        if self.sweep.closing or self._closing_at(station_in):
            places.append(ReadingSlot("closing", marks[0]))
        return tuple(places)

    def _closing_at(self, station_in: float) -> bool:
        return any(s == station_in and family == "closing" for s, family, _ in self._by_place)

    def reading(self, station_no: int, place: ReadingSlot) -> Reading | None:
        """The reading that stands in a place; a blocked mark counts as one."""
        if not 0 <= station_no < len(self.stations_in):
            return None
        clock = place.clock_deg if place.kind == "mark" else None
        return self._by_place.get((self.stations_in[station_no], place.kind, clock))

    @property
    def standing(self) -> Reading | None:
        """The reading under the cursor, if there is one (entering now would mend it)."""
        return self.reading(self.cursor.station_no, self.place) if self.place else None

    def empty_places(self, station_no: int) -> list[int]:
        """Numbers of the places of a station that wait for a reading."""
        places = self.places(station_no)
        return [n for n, place in enumerate(places) if self.reading(station_no, place) is None]

    def is_started(self, station_no: int) -> bool:
        """Whether anything stands at a station."""
        return len(self.empty_places(station_no)) < len(self.places(station_no))

    @property
    def counts(self) -> tuple[int, int]:
        """(entries made, entries the sweep asks for)."""
        numbers = range(len(self.stations_in))
        wanted = sum(len(self.places(n)) for n in numbers)
        return wanted - sum(len(self.empty_places(n)) for n in numbers), wanted

    @property
    def complete(self) -> bool:
        """Whether nothing is left to read."""
        taken, wanted = self.counts
        return wanted > 0 and taken == wanted

    # -- moves -----------------------------------------------------------------------------------

    def with_readings(self, readings: Iterable[Reading]) -> SweepState:
        """The same place in the sweep with other readings."""
        return replace(self, readings=tuple(readings))

    def at(self, station_no: int, place_no: int | None = None) -> SweepState:
        """The cursor somewhere else; without a place at the first one that is empty there."""
        station_no = min(max(station_no, 0), max(len(self.stations_in) - 1, 0))
        if place_no is None:
            place_no = next(iter(self.empty_places(station_no)), 0)
        last = max(len(self.places(station_no)) - 1, 0)
        return replace(self, cursor=Cursor(station_no, min(max(place_no, 0), last)))

    def settled(self) -> SweepState:
        """The same, with the cursor remembered as the place where reading goes on."""
        return replace(self, home=self.cursor)

    def after_entry(self, *, mended: bool) -> SweepState:
        """Where to go after an entry at the cursor: on in this roll, or to the next open station.

        After a mend of an earlier reading: back to where reading goes on.
        """
        home = self.home
        if mended and home.place_no in self.empty_places(home.station_no):
            return replace(self, cursor=home)
        here = self.cursor.station_no
        empty = self.empty_places(here)
        after = [n for n in empty if n > self.cursor.place_no] or empty
        if after:
            return self.at(here, after[0]).settled()
        count = len(self.stations_in)
        for step in range(1, count):
            number = (here + step) % count
            if self.empty_places(number):
                return self.at(number).settled()
        return self.settled()

    def find_station(self, station_in: float) -> int | None:
        """Number of a station of the list."""
        near = [n for n, s in enumerate(self.stations_in) if abs(s - station_in) < SAME_STATION_IN]
        return near[0] if near else None

    def find_clock(self, clock_deg: float) -> int | None:
        """Number of the place with this clock (as called out) at the station under the dial."""
        for number, place in enumerate(self.places(self.cursor.station_no)):
            clock = place.clock_deg
            if place.kind == "mark" and clock is not None:
                apart = abs((clock - clock_deg + 180) % 360 - 180)
                if apart < SAME_CLOCK_DEG:
                    return number
        return None


def _family(kind: str) -> str:
    """A blocked mark stands in the place of a mark."""
    return "mark" if kind == "blocked" else kind


def _key_clock(reading: Reading) -> float | None:
    """Only marks are told apart by their clock."""
    return reading.clock_deg if _family(reading.kind) == "mark" else None


def start_state(
    sweep: Sweep,
    readings: Iterable[Reading],
    station_no: int,
    place_no: int,
    unit: Unit = "thou",
) -> SweepState:
    """A sweep opened at the place where it stopped."""
    return SweepState(sweep, tuple(readings), unit=unit).at(station_no, place_no).settled()
