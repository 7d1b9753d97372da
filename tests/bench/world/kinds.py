"""Kinds of shaft and shop, each drawn from (seed, index).

`make(kind, seed, index)` gives a `World`; `KINDS` names them all with a sentence each.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from tests.bench.world.press import IDEAL, Press
from tests.bench.world.rig import Rig, Setup, Warm, pair
from tests.bench.world.shaft import Array, Roundness, Shaft, Vector, Zone

TURN = 2 * np.pi
EVERY_IN = 6.0
MEND_APART_IN = 12.0
KNOTS_APART_IN = 15.0


@dataclass(frozen=True)
class Riding:
    """A riding area: name, kind, from and to, limit on the TIR (None = the shop's own)."""

    name: str
    kind: str
    from_in: float
    to_in: float
    limit_in: float | None = 0.002


@dataclass(frozen=True)
class World:
    """One shaft in one shop."""

    shaft: Shaft
    setup: Setup
    press: Press
    areas: tuple[Riding, ...]
    seed: tuple[int, int]
    limit_in: float = 0.002
    bends: tuple[Zone, ...] = ()
    """What an accident did; bows and hits are not among them."""

    def rng(self, stream: int) -> np.random.Generator:
        """Random numbers of one stream: 1 readings, 2 hits, more as needed."""
        return np.random.default_rng([*self.seed, stream])

    def rig(self) -> Rig:
        """The shaft put on the bench."""
        return Rig(self.shaft, self.setup, self.rng(1))


Draw = Callable[[np.random.Generator, World], World]


def make(kind: str, seed: int, index: int) -> World:
    """World `index` of a kind."""
    rng = np.random.default_rng([seed, index, 0])
    return KINDS[kind][1](rng, _bare(rng, (seed, index)))


def vector(rng: np.random.Generator, low: float, high: float) -> Vector:
    """A vector of random size and clock."""
    size, clock = rng.uniform(low, high), rng.uniform(0, TURN)
    return float(size * np.cos(clock)), float(size * np.sin(clock))


def roundness(
    rng: np.random.Generator, length_in: float, oval_in: float, lobes_in: float
) -> Roundness:
    """Lobes (standard deviation of each part), four fifths of the variance common to the shaft."""
    knots = np.linspace(0, length_in, max(2, round(length_in / KNOTS_APART_IN)))

    def draw(sigma: float) -> Array:
        common = rng.normal(0, sigma, (1, 2)) * np.sqrt(0.8)
        return np.asarray(common + rng.normal(0, sigma, (knots.size, 2)) * np.sqrt(0.2))

    return Roundness(knots, draw(oval_in), draw(lobes_in))


def _bare(rng: np.random.Generator, seed: tuple[int, int]) -> World:
    """A straight, nearly round shaft on true rollers, with four riding areas."""
    length = float(rng.choice([84.0, 96.0, 108.0, 120.0]))
    a = float(np.round(rng.uniform(0.1, 0.22) * length, 1))
    b = float(np.round(rng.uniform(0.76, 0.9) * length, 1))
    x = np.arange(EVERY_IN / 2, length, EVERY_IN)
    clear = np.abs(x[:, None] - np.array([a, b])).min(axis=1) > 0.75
    setup = Setup((a, b), (a, b), tuple(x[clear].tolist()), repeatability_in=0.0002)
    areas = (
        Riding("coupling", "coupling", 2.0, 8.0),
        Riding("bearing", "bearing", float(round(0.31 * length)), float(round(0.46 * length))),
        Riding("log", "shaft log", float(round(0.56 * length)), float(round(0.65 * length))),
        Riding("taper", "taper", length - 13.0, length - 3.0),
    )
    shaft = Shaft(length, roundness=roundness(rng, length, 0.0001, 0.00005))
    return World(shaft, setup, Press(), areas, seed)


def bent(
    rng: np.random.Generator,
    world: World,
    *,
    count: int | None = None,
    zone_in: Vector = (0.0, 0.0),
    turn_rad: Vector = (0.002, 0.010),
    one_plane: bool = False,
) -> World:
    """The world with bends (1 to 3 unless said) at least 12 in from each other.

    `one_plane` : to and fro in one plane, each bend against the one before.
    """
    number = int(rng.integers(1, 4)) if count is None else count
    a, b = world.setup.rollers_in
    low, high = a + 4.0, b - 4.0
    apart = min(MEND_APART_IN, (high - low) / max(1, number))
    room = (high - low) - (number - 1) * apart
    places = low + np.sort(rng.uniform(0, room, number)) + apart * np.arange(number)
    plane = rng.uniform(0, TURN)
    zones = []
    for k, place in enumerate(places):
        turn = vector(rng, *turn_rad)
        if one_plane:
            size = float(np.hypot(*turn)) * (-1) ** k
            turn = float(size * np.cos(plane)), float(size * np.sin(plane))
        length = float(rng.uniform(*zone_in))
        zones.append(Zone(float(place), turn, length, peaked=bool(rng.integers(2))))
    shaft = replace(world.shaft, zones=(*world.shaft.zones, *zones))
    return replace(world, shaft=shaft, bends=(*world.bends, *zones))


def bowed(rng: np.random.Generator, world: World, length_in: float = 30.0) -> World:
    """The world with an even bow of 1 to 4 mrad."""
    a, b = world.setup.rollers_in
    middle = float(rng.uniform(a + length_in / 2, max(b - length_in / 2, a + length_in / 2 + 1)))
    return replace(
        world,
        shaft=world.shaft.after(Zone(middle, vector(rng, 0.001, 0.004), length_in, peaked=False)),
    )


def out_of_round(rng: np.random.Generator, world: World, oval_in: float) -> World:
    """The world with ovality of a standard deviation along the shaft, and lobes of 0.15 thou."""
    lobed = roundness(rng, world.shaft.length_in, oval_in, 0.00015)
    return replace(world, shaft=replace(world.shaft, roundness=lobed))


def eccentric(
    rng: np.random.Generator, world: World, by_in: float, over: float | None = None
) -> World:
    """One wheel of each pair eccentric; `over` = its diameter over the shaft's, drawn if None."""
    wheels = tuple(
        pair(
            by_in,
            float(rng.uniform(0, TURN)),
            float(rng.uniform(1.3, 2.5)) if over is None else over,
        )
        for _ in range(2)
    )
    return replace(world, setup=replace(world.setup, wheels=(wheels[0], wheels[1])))


def oval_seats(rng: np.random.Generator, world: World, sigma_in: float) -> World:
    """The two roller seats oval."""
    seats = rng.normal(0, sigma_in, (2, 2)).tolist()
    return replace(
        world,
        setup=replace(world.setup, seats_in=((*seats[0],), (*seats[1],))),  # type: ignore[arg-type]
    )


def told_wrong(rng: np.random.Generator, world: World, by_in: float) -> World:
    """One roller told off its place."""
    a, b = world.setup.rollers_in
    off = by_in * float(rng.choice([-1, 1]))
    told = (a + off, b) if rng.integers(2) else (a, b + off)
    return replace(world, setup=replace(world.setup, told_in=told))


def warm(rng: np.random.Generator, world: World, bow_in: float, minutes: float = 20.0) -> World:
    """A bar still warm when the first sweep begins."""
    cooling = Warm(bow_in, minutes, float(rng.uniform(0, TURN)))
    return replace(world, setup=replace(world.setup, warm=cooling))


def _shop(rng: np.random.Generator, world: World) -> World:
    """Everyday faults: oval seats 0.3 thou, wheels 0.1 thou off, readings that repeat to 0.3."""
    world = oval_seats(rng, eccentric(rng, world, 0.0001), 0.0003)
    return replace(world, setup=replace(world.setup, repeatability_in=0.0003))


def _zones(rng: np.random.Generator, world: World) -> World:
    world = _shop(rng, bent(rng, world, zone_in=(0.0, 6.0)))
    return bowed(rng, world) if world.seed[1] % 2 else world


def _kinks(rng: np.random.Generator, world: World) -> World:
    return replace(bent(rng, world), press=IDEAL)


def _mild(rng: np.random.Generator, world: World) -> World:
    press = Press(0.25, float(np.radians(5.0)), 0.2, (2.0, 5.0))
    return replace(_zones(rng, world), press=press)


def _to_and_fro(rng: np.random.Generator, world: World) -> World:
    return bent(rng, world, count=4 + world.seed[1] % 4, zone_in=(0.0, 4.0), one_plane=True)


def _crowd(rng: np.random.Generator, world: World) -> World:
    return bent(rng, world, count=4 + world.seed[1] % 4, zone_in=(0.0, 4.0))


def _zone(length_in: float) -> Draw:
    return lambda rng, world: bent(rng, world, zone_in=(length_in, length_in))


def _oval(sigma_in: float) -> Draw:
    return lambda rng, world: out_of_round(rng, _zones(rng, world), sigma_in)


KINDS: dict[str, tuple[str, Draw]] = {
    "kinks": ("sharp bends and sharp hits: 0.25 in, 5 degrees, 20 % scatter", _kinks),
    "zones": ("bends 0 to 6 in long, every other shaft bowed, everyday rollers, real hits", _zones),
    "mild": ("as zones, hits 2 to 5 in long, 0.25 in, 5 degrees, 20 %", _mild),
    "to_and_fro": ("4 to 7 bends to and fro in one plane, 0 to 4 in long, real hits", _to_and_fro),
    "crowd": ("4 to 7 bends in any plane, 0 to 4 in long, real hits", _crowd),
    "zone0": ("sharp bends, real hits", _zone(0.0)),
    "zone4": ("bends 4 in long", _zone(4.0)),
    "zone8": ("bends 8 in long", _zone(8.0)),
    "zone12": ("bends 12 in long", _zone(12.0)),
    "bow": ("a bow and no bend", lambda rng, world: bowed(rng, world)),
    "bow_kink": (
        "a bow and a sharp bend",
        lambda rng, world: bowed(rng, bent(rng, world, count=1)),
    ),
    "oval2": ("as zones, ovality of 0.2 thou", _oval(0.0002)),
    "oval4": ("as zones, ovality of 0.4 thou", _oval(0.0004)),
    "oval8": ("as zones, ovality of 0.8 thou", _oval(0.0008)),
    "seats": (
        "sharp bends, roller seats oval by 1 thou",
        lambda r, w: oval_seats(r, bent(r, w), 0.001),
    ),
    "roller1": ("sharp bends, a roller told 1 in off", lambda r, w: told_wrong(r, bent(r, w), 1.0)),
    "roller3": ("sharp bends, a roller told 3 in off", lambda r, w: told_wrong(r, bent(r, w), 3.0)),
    "warm4": ("sharp bends, warm: 4 thou, 20 minutes", lambda r, w: warm(r, bent(r, w), 0.004)),
    "warm12": ("sharp bends, warm: 12 thou, 20 minutes", lambda r, w: warm(r, bent(r, w), 0.012)),
    "wheel": (
        "sharp bends, a wheel of the shaft's own diameter 0.5 thou eccentric",
        lambda r, w: eccentric(r, bent(r, w), 0.0005, 1.0),
    ),
    "wheel15": (
        "sharp bends, a wheel 1.5 times the shaft's diameter 0.5 thou eccentric",
        lambda r, w: eccentric(r, bent(r, w), 0.0005, 1.5),
    ),
}
"""Name: (what it is, how it is drawn)."""
