"""One shaft straightened by the program, as the person at the bench would follow it.

The program sees readings and hits alone, and is asked through `core.analysis.sweep.analyse`,
`core.straightening.plan.line_and_hits` and `core.straightening.history.follow`, as the screens ask
it. What it finally says of each area is compared with the true shaft.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import atan2, hypot

import numpy as np

from core.analysis.area_verdicts import between_areas, judged_ends_in, limits_to_hit
from core.analysis.between import KnownLine
from core.analysis.half_turn import half_turn_test
from core.analysis.next_station import next_station
from core.analysis.repeat_station import repeated_station
from core.analysis.sweep import SweepAnalysis, analyse
from core.bends.find import find_bends
from core.runout.line import ShaftLine
from core.runout.readings import StationReadings, SweepReadings, WheelPart
from core.runout.sweep_fit import fit_sweep
from core.runout.verdict import Area, Verdict, judge_bend
from core.straightening.history import RecordedHit, RepairHistory, Round, StationsRead, follow
from core.straightening.plan import PlannedHit, line_and_hits
from core.straightening.response import Response
from tests.bench.world.ends import AreaEnd, Outcome
from tests.bench.world.kinds import World
from tests.bench.world.press import MINUTES_A_HIT
from tests.bench.world.rig import MINUTES_A_STATION, DialStation, Rig
from tests.bench.world.shaft import Shaft, Vector, fine

MOST_HITS = 60
MINUTES_TO_COOL = 90.0
MINUTES_TO_MEASURE = 3.0
CLOSEST_IN = 1.0
"""Nobody reads two stations closer together."""


@dataclass(frozen=True)
class Habits:
    """What the person does of what the program asks."""

    measure_rollers: bool = True
    """Lays a tape to a roller when a note asks for it."""
    repeat_first: bool = False
    """Reads the first station again after each full sweep; waits and sweeps again if it moved."""
    read_beside: bool = True
    """Reads a station on either side of one that lies off its neighbours, as its note asks."""
    read_asked: int = 0
    """How often, with nothing left to hit, the stations that the verdicts ask for are read. What is
    found over its limit then is left so: the verdicts are what is measured."""
    half_turn: bool = False
    """Turns the wheels half round before the shaft is called true, and reads the ends again."""


ASKED = Habits()
Sweeper = Callable[["Bench"], tuple[DialStation, ...]]
"""How a full sweep is read."""


@dataclass
class Bench:
    """The world and what was done to it so far."""

    world: World
    rig: Rig
    hit_places_in: list[float] = field(default_factory=list)
    rounds: list[Round] = field(default_factory=list)
    habits: Habits = field(default_factory=Habits)
    told_in: Vector | None = None
    """Stations of the rollers once they were measured."""
    asked: int = 0
    """How often stations that the verdicts ask for were read since the last full sweep."""
    wheels: WheelPart | None = None
    """What the wheels add to whatever is read now, once tested."""

    def readings(
        self, stations: Sequence[DialStation], repeat: DialStation | None = None
    ) -> SweepReadings:
        """As the program takes them."""
        setup = self.world.setup
        return SweepReadings(
            tuple(_station(s) for s in stations),
            rollers_in=self.told_in or setup.told_in,
            resolution_in=setup.resolution_in,
            length_in=self.world.shaft.length_in,
            repeat=None if repeat is None else _station(repeat),
            wheels=self.wheels,
        )

    @property
    def over_at_a_station(self) -> bool:
        """Whether a station of the sweep is truly at its limit or over."""
        setup = self.world.setup
        tir_in = self.rig.shaft.bend_tir_in(np.array(setup.stations_in), setup.rollers_in)
        return bool(tir_in.max() >= self.world.limit_in)

    def sweep(self, sweeper: Sweeper) -> SweepReadings:
        """A full sweep, read again later when the first station says that something moved."""
        self.asked = 0
        for _ in range(3):
            stations = sweeper(self)
            if not self.habits.repeat_first:
                return self.readings(stations)
            sweep = self.readings(stations, self.rig.read([stations[0].station_in])[0])
            repeated = repeated_station(sweep, fit_sweep(sweep, strict=False))
            if repeated is None or not repeated.moved:
                break
            self.rig.minutes += MINUTES_TO_COOL
        return sweep

    def measure_rollers(self, sweep: SweepReadings) -> SweepReadings:
        """The sweep with its rollers where they are, when the program asks for the tape."""
        if not self.habits.measure_rollers or self.told_in is not None:
            return sweep
        if any(r.words for r in find_bends(fit_sweep(sweep, strict=False).line).rollers):
            self.told_in = self.world.setup.rollers_in
            self.rig.minutes += MINUTES_TO_MEASURE
            return replace(sweep, rollers_in=self.told_in)
        return sweep

    def read_beside(self, sweep: SweepReadings, worked: SweepAnalysis) -> SweepReadings | None:
        """The sweep with stations half way to the neighbours of one that lies off them; None = no
        station does, or all that is read already."""
        if not self.habits.read_beside:
            return None
        x = [s.station_in for s in sweep.stations]
        asked: set[float] = set()
        for odd in worked.look_beside_in:
            at = x.index(odd)
            asked |= {(a + b) / 2 for a, b in pairwise(x[max(at - 1, 0) : at + 2])}
        return self.with_more(sweep, asked)

    def read_asked(self, sweep: SweepReadings, worked: SweepAnalysis) -> SweepReadings | None:
        """The sweep with the stations that its verdicts ask for; None = none, or often enough."""
        if self.asked >= self.habits.read_asked:
            return None
        self.asked += 1
        return self.with_more(
            sweep,
            {v.read_in for v in worked.verdicts if v.read_in is not None and v.word != "true"},
        )

    def with_more(self, sweep: SweepReadings, asked: set[float]) -> SweepReadings | None:
        """The sweep with more stations; None = they are read already."""
        x, rollers = [s.station_in for s in sweep.stations], np.array(self.world.setup.rollers_in)
        fresh: list[float] = []
        for a in sorted(asked):
            if min(abs(a - b) for b in (*x, *fresh)) > CLOSEST_IN and abs(rollers - a).min() > 0.5:
                fresh.append(a)
        if not fresh:
            return None
        more = [_station(s) for s in self.rig.read(fresh)]
        every = sorted((*sweep.stations, *more), key=lambda s: s.station_in)
        return replace(sweep, stations=tuple(every))

    def half_turn(self, sweep: SweepReadings) -> SweepReadings:
        """The sweep with what its wheels add taken off; the ends are read again for it."""
        x = [s.station_in for s in sweep.stations]
        for end, wheels in enumerate(self.world.setup.wheels):
            for number in range(len(wheels)):
                self.rig.turn_wheel(end, number)
        found = half_turn_test(sweep, self.readings(self.rig.read((min(x), max(x)))))
        self.wheels = replace(found, offset_in=-found.offset_in).part
        return replace(sweep, wheels=found.part)

    def read(self, station_in: Sequence[float]) -> StationsRead:
        """A quick check, fitted."""
        line = fit_sweep(self.readings(self.rig.read(station_in)), strict=False).line
        return StationsRead(line.station_in, line.ecc_in, line.sigma_in)

    def press(self, hits: Sequence[PlannedHit]) -> tuple[RecordedHit, ...]:
        """Make the hits of a round as planned."""
        rng = self.world.rng(1000 + len(self.hit_places_in))
        for hit in hits:
            kappa = np.asarray(hit.kappa_rad) * hit.ask_for_rad / hypot(*hit.kappa_rad)
            turn: Vector = (-float(kappa[0]), -float(kappa[1]))
            self.rig.shaft = self.world.press.hit(
                self.rig.shaft, hit.station_in, turn, self.hit_places_in, rng
            )
            self.rig.minutes += MINUTES_A_HIT
            self.hit_places_in.append(hit.station_in)
        return tuple(
            RecordedHit(h.station_in, atan2(-h.kappa_rad[1], -h.kappa_rad[0]), h.ask_for_rad)
            for h in hits
        )


def _station(read: DialStation) -> StationReadings:
    return StationReadings(read.station_in, read.clock_rad, read.reading_in)


def every_station(bench: Bench) -> tuple[DialStation, ...]:
    """A full sweep at the usual stations."""
    return bench.rig.read(bench.world.setup.stations_in)


def stations_that_tell(bench: Bench) -> tuple[DialStation, ...]:
    """A first sweep that goes where `next_station` sends it, among the usual stations."""
    world, listed = bench.world, bench.world.setup.stations_in
    read = list(bench.rig.read((listed[0], listed[-1])))
    while True:
        read.sort(key=lambda s: s.station_in)
        following = next_station(
            fit_sweep(bench.readings(read), strict=False).line,
            length_in=world.shaft.length_in,
            areas=core_areas(world),
            limit_in=world.limit_in,
            among_in=listed,
        )
        if following.station_in is None:
            return tuple(read)
        read += bench.rig.read([following.station_in])


def straighten(
    world: World,
    *,
    first: Sweeper = every_station,
    again: Sweeper = every_station,
    habits: Habits = ASKED,
) -> Outcome:
    """Follow the program until a full sweep leaves nothing to hit.

    `first` reads the sweep as received, `again` every later full sweep.
    """
    bench = Bench(world, world.rig(), habits=habits)
    sweep = bench.measure_rollers(bench.sweep(first))
    first_reads = bench.rig.read_stations
    start = fit_sweep(sweep, strict=False).line
    areas = core_areas(world)
    response = {"press": Response()}
    contradicted = 0
    while True:
        told = follow(start, bench.rounds, response)
        if told.line is not None:
            _, hits = line_and_hits(
                told.line,
                limit_in=hit_limits(told.line, areas, world),
                response=response["press"],
                hits_so_far=told.hits,
            )
        if told.line is not None and told.swept:
            worked = _analyse(sweep, areas, world, told)
            more = None if hits else bench.read_beside(sweep, worked)
            if not hits and more is None and habits.half_turn and bench.wheels is None:
                more = bench.half_turn(sweep)
            if not hits and more is None:
                more = bench.read_asked(sweep, worked)
            if more is not None:
                sweep = more
                line = fit_sweep(sweep, strict=False).line
                if bench.rounds:
                    bench.rounds[-1] = replace(bench.rounds[-1], sweep=line)
                else:
                    start = line
                continue
            if not hits or bench.asked or len(bench.hit_places_in) >= MOST_HITS:
                break
        if told.line is None or not hits:
            contradicted += told.line is None
            sweep = bench.sweep(again)
            line = fit_sweep(sweep, strict=False).line
            bench.rounds[-1] = replace(bench.rounds[-1], sweep=line)
            continue
        made = bench.press(hits)
        bench.rounds.append(Round(made, check=bench.read(hits[0].check_stations_in)))
    ending = "cap" if len(bench.hit_places_in) >= MOST_HITS else "left"
    ending = ending if hits else "finished"
    return _outcome(bench, worked, ending, first_reads, contradicted)


def core_areas(world: World) -> tuple[Area, ...]:
    """The riding areas as the program takes them."""
    return tuple(Area(a.name, a.kind, a.from_in, a.to_in, a.limit_in) for a in world.areas)


def _analyse(
    sweep: SweepReadings, areas: Sequence[Area], world: World, told: RepairHistory
) -> SweepAnalysis:
    return analyse(
        sweep,
        areas=areas,
        default_limit_in=world.limit_in,
        response=Response(),
        hits_so_far=told.hits,
        known=told.line,
        strict=False,
    )


def hit_limits(line: ShaftLine, areas: Sequence[Area], world: World) -> np.ndarray:
    """The limit at each station of a line, riding areas and what lies between them, inches."""
    ends = judged_ends_in(world.shaft.length_in, line.station_in.tolist())
    judged = (*areas, *between_areas(areas, *ends))
    return limits_to_hit(line, judged, world.limit_in)


def _outcome(
    bench: Bench, worked: SweepAnalysis, ending: str, first_reads: int, contradicted: int
) -> Outcome:
    world, rig = bench.world, bench.rig
    rollers, shaft = world.setup.rollers_in, rig.shaft
    places = np.array(world.setup.stations_in)
    hits = len(bench.hit_places_in)
    return Outcome(
        ending=ending,
        hits=hits,
        reads=rig.read_stations,
        first_reads=first_reads,
        minutes=MINUTES_A_HIT * hits + MINUTES_A_STATION * rig.read_stations,
        contradicted=contradicted,
        areas=tuple(_area_end(v, shaft, rollers, worked) for v in worked.verdicts),
        worst_at_station_in=float(shaft.bend_tir_in(places, rollers).max()),
        worst_in=float(shaft.bend_tir_in(fine(places[0], places[-1]), rollers).max()),
        notes=worked.notes,
        limit_in=world.limit_in,
    )


def _area_end(verdict: Verdict, shaft: Shaft, rollers: Vector, worked: SweepAnalysis) -> AreaEnd:
    area, stations = verdict.area, np.array(worked.station_in)
    x = fine(area.from_in, area.to_in)
    bend = shaft.bend_tir_in(x, rollers)
    inside = (stations >= area.from_in) & (stations <= area.to_in)
    here = stations[inside]
    fits = [worked.fits[k] for k in np.flatnonzero(inside)]
    words = {judge_bend(fit.runout, verdict.limit_in) for fit in fits}
    ends = area.from_in, area.to_in
    if area.kind == "between":
        ends = max(ends[0], stations[0]), min(ends[1], stations[-1])
    known = KnownLine(worked.known or worked.line, worked.fits, worked.turned)
    return AreaEnd(
        name=area.name,
        kind=area.kind,
        word=verdict.word,
        limit_in=verdict.limit_in,
        bend_tir_in=float(bend.max()),
        swing_in=float(shaft.swing_in(x, rollers).max()),
        at_station_in=float(shaft.bend_tir_in(here, rollers).max()) if here.size else 0.0,
        over_in=float((bend >= verdict.limit_in).mean() * (area.to_in - area.from_in)),
        by_stations=words == {"true"},
        straight=known.within(*ends, verdict.limit_in).is_straight,
        noted=bool(verdict.note),
        settle=verdict.settle,
    )
