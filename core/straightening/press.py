"""One press stroke on a solid round shaft: load, ram travel, what comes back, what stays.

The shaft lies on two blocks, the ram comes down half way between them::

                   | ram, load P
                   v
    ===============+===============      span 2h, moment M = P h / 2 under the ram
        ^                      ^
        block                  block

Elastic, perfectly plastic bar in plane bending (solid circle, radius R, yield stress sy). With
m = M/My, My = pi R^3 sy / 4, ky = sy / (E R) and the elastic core of half depth R/k, where k is
the curvature over ky::

    k <= 1:  m = k
    k >= 1:  m = (16/(3 pi)) (1-c^2)^(3/2) + (2/(pi c)) (asin c - c sqrt(1-c^2) (1-2c^2)),  c = 1/k

Angle that stays over the span: 2 h ky * integral_0^1 (k(m t) - m t) dt, which the complementary
energy of the section gives in closed form; travel by the first moment of the same curvature.
At m = 16/(3 pi) the section is all plastic and the shaft folds on as a hinge at constant load.

Source: elementary theory of elastic-plastic bending, worked out here; the ratio 16/(3 pi) is
printed in the usual textbooks; the values are checked against numerical integration of the
section. Not modelled: shear, the dents of ram and blocks, work hardening, stress locked in by
an earlier bend or hit, a shaft that rests crooked on its blocks. The first stroke is therefore a
prediction: creep up on it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import asin, ceil, cos, isfinite, pi, sin

import numpy as np
from numpy.typing import NDArray

from core.base.errors import ShaftlogError
from core.base.quantities import FORCE
from core.base.units import format_dial, format_length, format_station

PLASTIC_RATIO = 16 / (3 * pi)
"""Moment that makes the whole section yield, over the moment that starts it."""
NEAR_LIMIT_RATIO = 1.55
"""Moment ratio, nine tenths of the plastic limit, above which a stroke is better shared: from
there on the last few per cent of load leave as much set as all before. Common practice, no
source."""
SHORT_SPAN_DIAMETERS = 4.0
"""Blocks nearer than this many diameters: shear and dents matter, which this does not model."""
LONGEST_SPAN_IN = 2000.0


@dataclass(frozen=True)
class Stroke:
    """One stroke of the ram and what it leaves."""

    diameter_in: float
    span_in: float
    e_psi: float
    yield_psi: float
    load_lbf: float
    """Greatest load of the ram."""
    travel_in: float
    """Dial under the shaft at the ram, at that load, from where it stood unloaded."""
    stays_in: float
    """The same dial after release."""
    moment_ratio: float
    """Moment under the ram over the moment that starts to yield; up to 16/(3 pi)."""
    set_rad: float
    """Angle that stays."""

    @property
    def springs_back_in(self) -> float:
        """What the dial gives back on release, inches."""
        return self.travel_in - self.stays_in

    @property
    def yields_at_travel_in(self) -> float:
        """Travel up to which everything comes back, inches."""
        return (self.span_in / 2) ** 2 * _yield_curvature(self) / 3

    @property
    def yields_at_lbf(self) -> float:
        """Load up to which everything comes back, lbf."""
        return 2 * yield_moment_lbf_in(self.diameter_in, self.yield_psi) / (self.span_in / 2)


def yield_moment_lbf_in(diameter_in: float, yield_psi: float) -> float:
    """Moment at which the surface starts to yield, lbf in: pi d^3 sy / 32."""
    return pi * diameter_in**3 * yield_psi / 32


def moment_ratio(curvature_ratio: float) -> float:
    """M/My of a solid circle bent to `curvature_ratio` times its yield curvature."""
    if curvature_ratio <= 1:
        return curvature_ratio
    return _moment(asin(1 / curvature_ratio))


def stroke_for_set(
    diameter_in: float, span_in: float, e_psi: float, yield_psi: float, set_rad: float
) -> Stroke:
    """The stroke that leaves `set_rad` (>= 0) over a span of `span_in` between the blocks."""
    _check_bar(diameter_in, span_in, e_psi, yield_psi)
    if not isfinite(set_rad) or set_rad < 0:
        raise ShaftlogError(
            f"The angle to take out cannot be {set_rad:g}. Give its size, zero or more."
        )
    unit = span_in * yield_psi / (e_psi * diameter_in / 2)
    wanted = set_rad / unit
    hinge = max(0.0, wanted - _FULL_SET)
    core = pi / 2 if wanted == 0 else 0.0
    if wanted > 0 and hinge == 0:
        core = _solve(lambda angle: _set(angle) - wanted)
    return _stroke(diameter_in, span_in, e_psi, yield_psi, core, hinge * unit)


def warnings(
    stroke: Stroke, *, capacity_lbf: float | None = None, room_in: float | None = None
) -> tuple[str, ...]:
    """What the person at the press should hear before the stroke, most serious first.

    `room_in` : widest block spacing the shaft has room for at this place; None = not known.
    """
    said = []
    if capacity_lbf is not None and stroke.load_lbf > capacity_lbf:
        said.append(_over_capacity(stroke, capacity_lbf, room_in))
    if stroke.set_rad <= 0:
        said.append(
            "Below yield: it will all come back. Nothing stays until the dial under load has "
            f"passed {format_dial(stroke.yields_at_travel_in, 0)}."
        )
    if stroke.moment_ratio > NEAR_LIMIT_RATIO:
        said.append(_near_limit(stroke, room_in))
    if stroke.span_in < SHORT_SPAN_DIAMETERS * stroke.diameter_in:
        said.append(
            f"The blocks stand less than {SHORT_SPAN_DIAMETERS:g} diameters apart: ram and blocks "
            "will dent the shaft and the figures are too low. Spread them if you can."
        )
    return tuple(said)


def span_for_capacity_in(stroke: Stroke, capacity_lbf: float) -> float | None:
    """Shortest block spacing that leaves the same set within the press capacity; None = none."""
    if not isfinite(capacity_lbf) or capacity_lbf <= 0:
        raise ShaftlogError("The press capacity must be above zero. Put it right in the settings.")

    def load_lbf(span_in: float) -> float:
        bar = (stroke.diameter_in, span_in, stroke.e_psi, stroke.yield_psi)
        return stroke_for_set(*bar, stroke.set_rad).load_lbf

    low, high = stroke.diameter_in, LONGEST_SPAN_IN
    if load_lbf(high) > capacity_lbf:
        return None
    if load_lbf(low) <= capacity_lbf:
        return low
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if load_lbf(middle) > capacity_lbf else (low, middle)
    return high


def hits_to_share(stroke: Stroke) -> int:
    """Number of equal hits that keep each one clear of the plastic limit."""
    unit = stroke.span_in * _yield_curvature(stroke)
    most = _set(_NEAR_LIMIT_ANGLE) * unit
    return max(1, ceil(stroke.set_rad / most - 1e-9))


def room_for_blocks_in(station_in: float | None, length_in: float) -> float:
    """Widest block spacing with the ram half way at a station; None = the best place there is."""
    return length_in if station_in is None else 2 * min(station_in, length_in - station_in)


def needs_more(stroke: Stroke, capacity_lbf: float) -> str:
    """That the press is too weak for a stroke, with both loads."""
    needed, given = FORCE.text(stroke.load_lbf), FORCE.number(capacity_lbf)
    return f"Needs {needed}, the press gives {given}."


def _over_capacity(stroke: Stroke, capacity_lbf: float, room_in: float | None) -> str:
    span = span_for_capacity_in(stroke, capacity_lbf)
    said = f"{needs_more(stroke, capacity_lbf)} "
    if span is None:
        return said + "No block spacing will do on this press."
    if room_in is not None and span > room_in:
        return said + (
            f"It would take blocks {format_length(span + 0.05, 1)} apart, and the shaft has room "
            f"for {format_length(room_in, 1, unit=False)} here: no spacing will do."
        )
    return said + f"Blocks {format_length(span + 0.05, 1)} apart or more would do."


def _near_limit(stroke: Stroke, room_in: float | None) -> str:
    count = hits_to_share(stroke)
    hinge = stroke.moment_ratio >= PLASTIC_RATIO * (1 - 1e-9)
    how = "past" if hinge else "close to"
    apart = stroke.set_rad / (_set(_NEAR_LIMIT_ANGLE) * _yield_curvature(stroke))
    fits = room_in is None or apart <= room_in
    spread = f", or put the blocks {format_length(apart + 0.05, 1)} apart" if fits else ""
    return (
        f"This is {how} the load that folds the shaft like a hinge: a little more push leaves a "
        f"lot more set. Share it over {count} hits side by side along the shaft{spread}."
    )


def _check_bar(diameter_in: float, span_in: float, e_psi: float, yield_psi: float) -> None:
    checks = (
        (diameter_in, "The shaft diameter", "Measure it and give it in inches."),
        (span_in, "The spacing of the blocks", "Measure between the blocks."),
        (e_psi, "The elastic modulus", "Choose the material again or type its modulus."),
        (yield_psi, "The yield strength", "Choose the material again or type its yield."),
    )
    for value, what, remedy in checks:
        if not isfinite(value) or value <= 0:
            raise ShaftlogError(f"{what} cannot be {value:g}: it must be above zero. {remedy}")


def check_blocks_on_shaft(
    station_in: float, span_in: float, length_in: float
) -> tuple[float, float]:
    """Stations of the two blocks for a hit at `station_in`; they must lie on the shaft."""
    if not isfinite(span_in) or span_in <= 0:
        raise ShaftlogError("The blocks cannot stand at one place: give a spacing above zero.")
    if not 0 <= station_in <= length_in:
        raise ShaftlogError(
            f"A hit at {format_station(station_in)} is not on the shaft (0 to "
            f"{format_station(length_in)}). Check the station."
        )
    if span_in > length_in:
        raise ShaftlogError(
            f"Blocks {format_station(span_in)} apart do not fit under a shaft "
            f"{format_station(length_in)} long. Set them closer."
        )
    low, high = station_in - span_in / 2, station_in + span_in / 2
    if low < 0 or high > length_in:
        room = 2 * min(station_in, length_in - station_in)
        raise ShaftlogError(
            f"With {format_station(span_in)} between the blocks one of them misses the shaft. At "
            f"station {format_station(station_in)} there is room for {format_station(room)} at "
            "most."
        )
    return low, high


# --- the section. `angle` is asin(c), c = half depth of the elastic core over R: pi/2 at first
# yield, 0 when all is plastic. It keeps every expression smooth at both ends.


def _moment(angle: float) -> float:
    """M/My, 1 <= m <= 16/(3 pi)."""
    c, s = sin(angle), cos(angle)
    if c < 1e-5:
        return PLASTIC_RATIO
    return PLASTIC_RATIO * s**3 + (2 / (pi * c)) * (angle - c * s * (1 - 2 * c * c))


def _energy_less(angle: float) -> float:
    """Strain energy over My ky, less the part 16/(3 pi) k that grows without end."""
    c, s = sin(angle), cos(angle)
    core = 0.0 if c < 1e-5 else (angle - c * s * (1 - 2 * c * c)) / (16 * c * c)
    grows = 0.0 if c < 1e-5 else (s**3 - 1) / (3 * c)
    return (16 / pi) * (core + grows - (pi / 2 - angle - c * s) / 4)


def _set(angle: float) -> float:
    """Angle that stays, over span * ky: k - W/m - m/2 with the growing parts taken together."""
    m, c = _moment(angle), sin(angle)
    growing = 0.0 if c < 1e-5 else (1 - PLASTIC_RATIO / m) / c
    return growing - _energy_less(angle) / m - m / 2


_FULL_SET = 2 / PLASTIC_RATIO - PLASTIC_RATIO / 2
"""Angle that stays at the moment the section goes all plastic, over span * ky: 0.3293."""


def _travel(angle: float) -> float:
    """Travel under load over h^2 ky: (k m^2 - integral of m^2 dk from 0 to k) / (2 m^2).

    The integral is 1/3 up to first yield; beyond, the part that grows without end is taken out.
    """
    nodes, weights = _gauss()
    inner = angle + (pi / 2 - angle) * nodes
    c, s = np.sin(inner), np.cos(inner)
    moment = PLASTIC_RATIO * s**3 + (2 / (pi * c)) * (inner - c * s * (1 - 2 * c * c))
    gap = (PLASTIC_RATIO**2 - moment**2) * s / c**2
    beyond = (pi / 2 - angle) * float(weights @ gap) + PLASTIC_RATIO**2 - 1 / 3
    m, core = _moment(angle), sin(angle)
    growing = 0.0 if core < 1e-5 else (m * m - PLASTIC_RATIO**2) / core
    return (growing + beyond) / (2 * m * m)


@cache
def _gauss() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    nodes, weights = np.polynomial.legendre.leggauss(48)
    return (nodes + 1) / 2, weights / 2


def _solve(falling: Callable[[float], float]) -> float:
    """Angle in 0..pi/2 where a function that falls with the angle is zero, by halving."""
    low, high = 0.0, pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if falling(middle) > 0 else (low, middle)
    return (low + high) / 2


def _stroke(
    diameter_in: float, span_in: float, e_psi: float, yield_psi: float, angle: float, hinge: float
) -> Stroke:
    half, ky = span_in / 2, yield_psi / (e_psi * diameter_in / 2)
    m = _moment(angle)
    travel = half**2 * ky * _travel(angle) + hinge * half / 2
    return Stroke(
        diameter_in=diameter_in,
        span_in=span_in,
        e_psi=e_psi,
        yield_psi=yield_psi,
        load_lbf=2 * m * yield_moment_lbf_in(diameter_in, yield_psi) / half,
        travel_in=travel,
        stays_in=max(0.0, travel - m * half**2 * ky / 3),
        moment_ratio=m,
        set_rad=max(0.0, span_in * ky * _set(angle) + hinge),
    )


def _yield_curvature(stroke: Stroke) -> float:
    return stroke.yield_psi / (stroke.e_psi * stroke.diameter_in / 2)


_NEAR_LIMIT_ANGLE = _solve(lambda angle: _moment(angle) - NEAR_LIMIT_RATIO)
