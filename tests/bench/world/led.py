"""Shafts straightened with strokes led by what stays, with and without a dial left standing.

    python -m tests.bench.world.led --seed 31 --n 300
    python -m tests.bench.world.led --seed 31 --n 300 --fibre      every stroke in a fibre beam
    python -m tests.bench.world.led --seed 31 --n 300 --standing   one roll after each hit

Led: the set scatters by `LED_SCATTER` and by what the dial under the ram can show. Fibre: each
stroke is led load by load by `core.straightening.led_stroke` in a bar of hardening steel that an
accident may have bent the other way. Standing: after each hit the station that tells most is rolled
once; where that shows much left (`AGAIN_LIMITS`), a second stroke follows while the blocks stand.

Minutes: 6 a hit at a new place, 2 for a further stroke, 0.75 a roll at a dial that stands, 1.5 a
station moved to.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import atan2, hypot

import numpy as np

from core.bends.shapes import lift
from core.runout.line import ShaftLine
from core.runout.station_fit import fit_station
from core.runout.sweep_fit import fit_sweep
from core.straightening.after_hits import expected_after
from core.straightening.history import RecordedHit, RepairHistory, Round, StationsRead, follow
from core.straightening.led_stroke import LoadTried, next_load
from core.straightening.plan import PlannedHit
from core.straightening.press import stroke_for_set
from core.straightening.response import Response
from tests.bench.world.fibre import STEELS, FibreBar
from tests.bench.world.kinds import World, make
from tests.bench.world.loop import (
    MOST_HITS,
    Bench,
    core_areas,
    every_station,
    hit_limits,
)
from tests.bench.world.press import MINUTES_A_HIT
from tests.bench.world.rig import MINUTES_A_STATION
from tests.bench.world.rounds import work_in_rounds
from tests.bench.world.shaft import Zone

MINUTES_AGAIN, MINUTES_ROLL = 2.0, 0.75
LED_SCATTER = 0.08
DIAL_SIGMA_RAD = 3e-5
"""What a half-thou dial under the ram leaves open, blocks 24 in apart."""
AGAIN_LIMITS = 6.0
"""A second stroke must move the line by this many times the limit somewhere."""
MOST_STROKES = 3
DIAMETER_IN, BLOCKS_IN = 2.0, 24.0
STATED_YIELD = 1.1
"""Yield of the table over that of the bar, fibre."""
MOST_LOADS = 40


@dataclass
class Shop:
    """A bench, what it costs, and where ram and dial are."""

    bench: Bench
    fibre: bool
    standing: bool
    minutes: float = 0.0
    new_places: int = 0
    ram_at_in: float = 0.0
    dial_at_in: float | None = None

    def hit(self, hit: PlannedHit, again: bool) -> RecordedHit:
        """One stroke; where the blocks stand the ram is as far off as before."""
        bench, press = self.bench, self.bench.world.press
        rng = bench.world.rng(1000 + len(bench.hit_places_in))
        if not again:
            self.ram_at_in = hit.station_in + press.place_sigma_in * float(rng.normal())
            self.new_places += 1
        shown_rad = None
        if self.fibre:
            share, shown_rad = fibre_stroke(hit.ask_for_rad, rng)
        else:
            share = max(0.0, 1 + LED_SCATTER * rng.normal())
            share += DIAL_SIGMA_RAD * rng.normal() / hit.ask_for_rad
        off = press.clock_sigma_rad * rng.normal()
        c, s = np.cos(off), np.sin(off)
        turn = -share * hit.aim_for * np.array([[c, -s], [s, c]]) @ hit.kappa_rad
        zone = Zone(self.ram_at_in, (float(turn[0]), float(turn[1])), rng.uniform(*press.zone_in))
        bench.rig.shaft = bench.rig.shaft.after(zone)
        bench.hit_places_in.append(hit.station_in)
        self.minutes += MINUTES_AGAIN if again else MINUTES_A_HIT
        side = atan2(-hit.kappa_rad[1], -hit.kappa_rad[0])
        watched = self.roll(float(hit.watch_station_in or 0.0)) if self.standing else None
        return RecordedHit(
            hit.station_in, side, hit.ask_for_rad, watched=watched, shown_rad=shown_rad
        )

    def roll(self, place_in: float) -> StationsRead:
        """One roll at a dial that stands there, or is moved there first."""
        self.minutes += MINUTES_ROLL if place_in == self.dial_at_in else MINUTES_A_STATION
        self.dial_at_in = place_in
        setup, dial = self.bench.world.setup, self.bench.rig.read([place_in])[0]
        fit = fit_station(
            dial.clock_rad,
            dial.reading_in,
            resolution_in=setup.resolution_in,
            repeatability_in=setup.repeatability_in,
        )
        sigma = np.array([float(np.max(fit.ecc_sigma_in))])
        return StationsRead(np.array([place_in]), np.array([fit.ecc_in]), sigma)

    def check(self, places_in: tuple[float, ...]) -> StationsRead:
        """The quick check after a round."""
        self.minutes += MINUTES_A_STATION * len(places_in)
        self.dial_at_in = None
        return self.bench.read(places_in)

    def sweep(self) -> ShaftLine:
        """A full sweep."""
        before = self.bench.rig.read_stations
        sweep = self.bench.measure_rollers(self.bench.sweep(every_station))
        self.minutes += MINUTES_A_STATION * (self.bench.rig.read_stations - before)
        self.dial_at_in = None
        return fit_sweep(sweep, strict=False).line


def fibre_stroke(asked_rad: float, rng: np.random.Generator) -> tuple[float, float]:
    """Set reached over asked of one stroke, led load by load with a half-thou dial, and the angle
    that the dial showed."""
    steel = list(STEELS.values())[int(rng.integers(len(STEELS)))]
    bar = FibreBar(DIAMETER_IN, BLOCKS_IN, steel)
    if rng.random() < 0.5:
        bar.bend_to(-max(asked_rad, 0.001))
    start, zero = bar.set_rad, bar.deflection_in
    stated = STATED_YIELD * steel.yield_psi
    stroke = stroke_for_set(DIAMETER_IN, BLOCKS_IN, steel.e_psi, stated, asked_rad)
    tried: list[LoadTried] = []
    shown_rad = 0.0
    for _ in range(MOST_LOADS):
        following = next_load(stroke, tried)
        travel, shown_rad = following.travel_in, following.set_rad
        if travel is None:
            break
        bar.stroke(zero + travel - bar.deflection_in)
        tried.append(LoadTried(travel, round((bar.deflection_in - zero) / 0.0005) * 0.0005))
    return (bar.set_rad - start) / asked_rad, shown_rad


def second_stroke(
    now: ShaftLine, expected: ShaftLine, last: PlannedHit, allowed: np.ndarray
) -> PlannedHit | None:
    """What the last stroke lacks of its plan, if it is worth a stroke; None = leave it."""
    place = np.array([last.station_in])
    shape = lift(now.station_in, place, place, now.rollers_in)[:, 0]
    weight = shape / allowed**2
    kappa = weight @ (now.ecc_in - expected.ecc_in) / float(weight @ shape)
    if hypot(*kappa) * float(np.abs(shape / allowed).max()) < AGAIN_LIMITS:
        return None
    return replace(last, kappa_rad=kappa)


@dataclass(frozen=True)
class Ended:
    """One shaft worked to its end."""

    hits: int
    new_places: int
    minutes: float
    finished: bool
    over: bool


def straighten(world: World, *, fibre: bool = False, standing: bool = False) -> Ended:
    """Follow the program until a full sweep leaves nothing to hit."""
    shop = Shop(Bench(world, world.rig()), fibre, standing)
    start = shop.sweep()

    def work(
        hits: tuple[PlannedHit, ...], _: RepairHistory, rounds: Sequence[Round]
    ) -> tuple[RecordedHit, ...]:
        made: list[RecordedHit] = []
        for hit in hits:
            made += _strokes(shop, hit, start, rounds, made)
        return tuple(made)

    story, finished = work_in_rounds(
        world,
        start,
        Response(),
        method="press",
        work=work,
        check=shop.check,
        sweep=shop.sweep,
        most=MOST_HITS,
    )
    over = shop.bench.over_at_a_station
    return Ended(len(story.hits), shop.new_places, shop.minutes, finished, over)


def _strokes(
    shop: Shop,
    hit: PlannedHit,
    start: ShaftLine,
    rounds: Sequence[Round],
    made: list[RecordedHit],
) -> list[RecordedHit]:
    """The strokes at one place: the planned one, and what the standing dial says it lacks."""
    own: list[RecordedHit] = []
    stroke: PlannedHit | None = hit
    for number in range(MOST_STROKES if shop.standing else 1):
        before = follow(start, [*rounds, Round((*made, *own))] if made or own else rounds).line
        if stroke is None or before is None:
            break
        own.append(shop.hit(stroke, number > 0))
        after = follow(start, [*rounds, Round((*made, *own))]).line
        if not shop.standing or after is None:
            break
        allowed = hit_limits(after, core_areas(shop.bench.world), shop.bench.world) / 2
        stroke = second_stroke(after, expected_after(before, [stroke]), stroke, allowed)
    return own


def main() -> None:
    """Print the figures of many shafts."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--n", type=int, default=60)
    parser.add_argument("--kind", default="zones")
    parser.add_argument("--fibre", action="store_true")
    parser.add_argument("--standing", action="store_true")
    args = parser.parse_args()
    ended = []
    for k in range(args.n):
        world = make(args.kind, args.seed, k)
        ended.append(straighten(world, fibre=args.fibre, standing=args.standing))
    minutes = [e.minutes for e in ended]
    print(
        f"hits {np.mean([e.hits for e in ended]):.2f} (new places "
        f"{np.mean([e.new_places for e in ended]):.2f})  minutes {np.mean(minutes):.0f}, median "
        f"{np.median(minutes):.0f}, 90 % {np.quantile(minutes, 0.9):.0f}  unfinished "
        f"{sum(not e.finished for e in ended)} of {args.n}  finished, a station over "
        f"{sum(e.finished and e.over for e in ended)}"
    )


if __name__ == "__main__":
    main()
