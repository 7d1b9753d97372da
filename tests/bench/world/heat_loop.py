"""Shafts straightened by heat spots alone, in the second world.

    python -m tests.bench.world.heat_loop --seed 31 --n 300
    python -m tests.bench.world.heat_loop --seed 31 --n 300 --again   metal is heated again

A shop's true share is 0.4 to 1.6 of what the model of heated fibres gives (`MODEL_SHARE` of the
ceiling), unknown at the start; single spots scatter by 40 %. After each round the whole bar is
bowed by 4 thou, which falls to 37 % in 20 minutes; a mark is read until the program calls the bar
cold, and only then is anything read for the shape. The shop's record goes from shaft to shaft in
groups of five, each shaft with a diameter of its own. Spots go where the program plans them, clear
of spots made before; riding areas are heated too, as there is no press.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import atan2

import numpy as np

from core.base.errors import ShaftlogError
from core.runout.line import ShaftLine
from core.runout.sweep_fit import fit_sweep
from core.straightening.heat_spots import (
    FIRST_SHARE,
    ROUND_RECORD,
    HeatedSpot,
    SpotSize,
    ceiling_rad,
    cooling,
    plan_spot,
    size_for,
    wait_between_min,
)
from core.straightening.history import RecordedHit, RepairHistory, Round
from core.straightening.plan import PlannedHit
from core.straightening.response import HitOutcome, Response, response_for
from tests.bench.world.kinds import World, make
from tests.bench.world.loop import Bench, every_station
from tests.bench.world.rig import Warm
from tests.bench.world.rounds import work_in_rounds
from tests.bench.world.shaft import Zone

MODEL_SHARE = 0.30
"""Of the ceiling: the middle of what heated fibres reach (`tests.bench.world.heat`)."""
SCATTER = 0.40
BOW_IN, DECAY_MIN = 0.004, 20.0
MOST_SPOTS = 60
SHAFTS_A_SHOP = 5
STEEL = {"rise_f": 1130.0, "expansion_per_f": 6.7e-6, "e_psi": 29e6, "yield_psi": 48e3}


@dataclass
class Ended:
    """One shaft worked to its end."""

    story: RepairHistory
    finished: bool
    over: bool
    warm_in: float
    """Greatest bow left when anything was read for the shape."""


def straighten(
    world: World, share: float, response: Response, diameter_in: float, again: bool = False
) -> Ended:
    """Follow the program with a torch until nothing is left to take out.

    `again`: metal heated before is heated again, and gives as much.
    """
    bench = Bench(world, world.rig())
    rng = world.rng(7)
    bows_in = [0.0]
    heated: list[HeatedSpot] = []

    def sweep() -> ShaftLine:
        return fit_sweep(bench.measure_rollers(bench.sweep(every_station)), strict=False).line

    def work(
        hits: tuple[PlannedHit, ...], story: RepairHistory, _: Sequence[Round]
    ) -> tuple[RecordedHit, ...]:
        learnt = story.responses.get("heat", response)
        made: list[RecordedHit] = []
        for hit in hits:
            before = [] if again else heated
            made.append(_heat(bench, hit, learnt, share, diameter_in, rng, before))
        bows_in.append(_cool(bench, rng))
        return tuple(made)

    story, finished = work_in_rounds(
        world,
        sweep(),
        response,
        method="heat",
        work=work,
        check=bench.read,
        sweep=sweep,
        most=MOST_SPOTS,
    )
    return Ended(story, finished, bench.over_at_a_station, max(bows_in))


def _heat(
    bench: Bench,
    hit: PlannedHit,
    learnt: Response,
    share: float,
    diameter_in: float,
    rng: np.random.Generator,
    heated: list[HeatedSpot],
) -> RecordedHit:
    """The spot of one bend in one round, where the program plans it. Where no place is clear of the
    spots before, the bend is heated again where it is."""

    def most(size: SpotSize) -> float:
        return ceiling_rad(diameter_in, size, **STEEL)

    wanted = hit.angle_rad * (1.0 if learnt.n_hits >= ROUND_RECORD else FIRST_SHARE)
    size = size_for(wanted, learnt.mean, most)
    side = atan2(-hit.kappa_rad[1], -hit.kappa_rad[0])
    try:
        at = plan_spot(
            hit.station_in,
            (float(hit.kappa_rad[0]), float(hit.kappa_rad[1])),
            side,
            most(size),
            size,
            diameter_in=diameter_in,
            response=learnt,
            heated=heated,
            ends_in=(0.0, bench.world.shaft.length_in),
        ).station_in
    except ShaftlogError:
        at = hit.station_in
    press = bench.world.press
    off = press.clock_sigma_rad * rng.normal()
    taken = share * MODEL_SHARE * max(0.0, 1 + SCATTER * rng.normal()) * most(size)
    way = -hit.kappa_rad / hit.angle_rad
    c, s = np.cos(off), np.sin(off)
    turn = taken * np.array([c * way[0] - s * way[1], s * way[0] + c * way[1]])
    place = at + press.place_sigma_in * rng.normal()
    bench.rig.shaft = bench.rig.shaft.after(
        Zone(float(place), (float(turn[0]), float(turn[1])), size.length_in, peaked=False)
    )
    bench.rig.minutes += 3.0
    heated.append(HeatedSpot(at, side, size))
    return RecordedHit(float(at), side, most(size), "heat")


def _cool(bench: Bench, rng: np.random.Generator) -> float:
    """Read one mark until the program calls the bar cold; the bow that is left then."""
    rig = bench.rig
    began, clock = rig.minutes, float(rng.uniform(0, 2 * np.pi))
    minutes: list[float] = []
    shown: list[float] = []
    dial = bench.world.setup.resolution_in
    apart = wait_between_min(DECAY_MIN, dial)
    while not (minutes and cooling(minutes, shown, dial, apart).is_cold):
        rig.minutes += 1.0
        left = BOW_IN * np.exp(-(rig.minutes - began) / DECAY_MIN)
        minutes.append(rig.minutes - began)
        shown.append(float(np.round((left + rng.normal(0, 0.0001)) / dial) * dial))
    rig.setup = replace(
        rig.setup, warm=Warm(BOW_IN * float(np.exp(began / DECAY_MIN)), DECAY_MIN, clock)
    )
    return float(left)


def main() -> None:
    """Print the figures of many shafts."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--n", type=int, default=60)
    parser.add_argument("--kind", default="zones")
    parser.add_argument("--again", action="store_true")
    args = parser.parse_args()
    ended, held = [], []
    record: list[HitOutcome] = []
    share = 1.0
    for k in range(args.n):
        rng = np.random.default_rng([args.seed, k, 9])
        if k % SHAFTS_A_SHOP == 0:
            record, share = [], float(rng.uniform(0.4, 1.6))
        response = response_for(record, "G10450", "heat")
        if len(record) >= 10:
            held.append(_holds(response, share))
        world = make(args.kind, args.seed, k)
        one = straighten(world, share, response, float(rng.uniform(1.5, 3.0)), args.again)
        ended.append(one)
        record += one.story.records("G10450")
    print(
        f"spots {np.mean([len(e.story.hits) for e in ended]):.2f}  rounds "
        f"{np.mean([len(e.story.rounds) for e in ended]):.2f}  unfinished "
        f"{sum(not e.finished for e in ended)} of {args.n}  finished, a station over "
        f"{sum(e.finished and e.over for e in ended)}  greatest bow left when read "
        f"{1000 * max(e.warm_in for e in ended):.2f} thou  forecast of the share after 10 spots "
        f"holds {sum(held)} of {len(held)}"
    )


def _holds(response: Response, share: float) -> bool:
    """Whether the 90 % interval of the mean share holds the truth."""
    return bool(abs(response.mean - share * MODEL_SHARE) <= 1.645 * response.mean_sigma)


if __name__ == "__main__":
    main()
