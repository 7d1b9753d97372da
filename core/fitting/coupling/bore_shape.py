"""Size and form of one round part, bore or shaft seat, from diameters at depths and clocks.

::

    coupling face                      hub end
    (flange)                           (shaft comes in here)
      |-- depth 0 ------------------->|
      |  o      o         o      o    |     o = diameters read across two clocks or more
      |_______________________________|

Depth of bore and seat alike runs from the coupling face end towards the propeller, inches.
A two-point gauge (mike, telescoping gauge) sees size and ovality; it is blind to three lobes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.base.errors import ShaftlogError
from core.base.units import MOST_IN, format_clock, format_dial, format_length

LOBES_NOTE = (
    "A mike or telescoping gauge measures across two points: three lobes cannot be seen, and a "
    "lobed bore or seat fits tighter than it measures. Blue it, or turn it under a dial in a vee."
)
SAME_DEPTH_IN = 1e-6
QUARTER_TURN_SLACK_RAD = math.radians(20)


@dataclass(frozen=True)
class DiameterReading:
    """One diameter: how deep, across which clock, how much."""

    depth_in: float
    clock_rad: float
    value_in: float


@dataclass(frozen=True)
class CrossSection:
    """All diameters at one depth, inches."""

    depth_in: float
    mean_in: float
    least_in: float
    most_in: float
    clocks: int
    """How many clocks were read here."""
    apart_rad: float
    """Greatest angle between two of those clocks, 0 to 90 degrees, radians."""
    solved: bool = False
    """Three clocks or more, spread well enough to solve the ellipse: least and most are its own."""


@dataclass(frozen=True)
class EndForm:
    """How much wider one end is than the line through the rest, inches."""

    end: str
    """'face end' or 'hub end'."""
    excess_in: float
    """Positive = wider: bell mouth of a bore, swelling of a seat."""
    u95_in: float

    @property
    def seen(self) -> bool:
        """True when it is more than measuring uncertainty."""
        return abs(self.excess_in) > self.u95_in


@dataclass(frozen=True)
class PartShape:
    """Size and form of a bore or a seat, inches. Lobes are not in it: see `LOBES_NOTE`."""

    what: str
    sections: tuple[CrossSection, ...]
    mean_in: float
    least_in: float
    most_in: float
    u95_in: float
    """95 % uncertainty of one diameter; a gauge's zero error does not average out."""
    taper_in_per_in: float | None
    """Growth of diameter per inch towards the hub end, bell mouths left out; None = one depth."""
    taper_u95_in_per_in: float | None
    ends: tuple[EndForm, ...]
    """Both ends; empty with fewer than three depths."""
    ovality_in: float | None
    """Greatest difference of two diameters at one depth; None = one clock."""
    ovality_depth_in: float | None
    ovality_solved: bool
    """True = of the whole ellipse; False = of the clocks read, so it is at least this oval."""
    missing: tuple[str, ...]

    @property
    def length_in(self) -> float:
        """From first to last depth measured."""
        return self.sections[-1].depth_in - self.sections[0].depth_in

    @property
    def taper_in(self) -> float | None:
        """Growth of diameter over the measured length."""
        return None if self.taper_in_per_in is None else self.taper_in_per_in * self.length_in

    @property
    def even_sections(self) -> tuple[CrossSection, ...]:
        """Sections without the ends that are belled or tight: those that gave the taper."""
        if not self.ends:
            return self.sections
        first, last = (int(end.seen) for end in self.ends)
        return self.sections[first : len(self.sections) - last]

    @property
    def words(self) -> str:
        """One line: size, taper, ends, ovality."""
        parts = [f"{self.what} {format_length(self.least_in)} to {format_length(self.most_in)}"]
        if self.taper_in is not None and self.taper_u95_in_per_in is not None:
            big = abs(self.taper_in) > self.taper_u95_in_per_in * self.length_in
            end = "hub end" if self.taper_in > 0 else "face end"
            wide = f"taper {format_dial(abs(self.taper_in))}, wide at the {end}"
            parts.append(wide if big else "no taper seen")
        for end_form in self.ends:
            if end_form.seen:
                kind = "bell mouth" if end_form.excess_in > 0 else "tight"
                parts.append(f"{kind} at the {end_form.end} {format_dial(abs(end_form.excess_in))}")
        if self.ovality_in is not None:
            oval = self.ovality_in > math.sqrt(2) * self.u95_in
            parts.append(
                f"oval {format_dial(self.ovality_in)}{'' if self.ovality_solved else ' or more'}"
                if oval
                else ("no oval seen" if self.ovality_solved else "no oval at these clocks")
            )
        return "; ".join(parts)


def measure_part(what: str, readings: Sequence[DiameterReading], u95_in: float) -> PartShape | None:
    """Size and form of a part; None when nothing was measured.

    Parameters
    ----------
    what : 'bore' or 'seat', for the words.
    readings : diameters at depths and clocks.
    u95_in : 95 % uncertainty of one diameter, inches.

    References
    ----------
    Least squares line of diameter on depth; end forms against the depths between: common
    practice, no source.
    """
    if not readings:
        return None
    for reading in readings:
        if not (math.isfinite(reading.value_in) and 0 < reading.value_in < 1e6):
            raise ShaftlogError(f"A {what} diameter must be above zero. Measure it again.")
        if not abs(reading.depth_in) <= MOST_IN:
            raise ShaftlogError(f"A {what} depth cannot be that. Type the depth again.")
    sections = _sections(readings)
    ends = _ends(sections, u95_in)
    straight = _without_seen_ends(sections, ends)
    taper = _slope([(s.depth_in, s.mean_in) for s in straight])
    spread = _sum_squares([s.depth_in for s in straight])
    read_twice = [s for s in sections if s.clocks > 1]
    oval = max(read_twice, key=lambda s: s.most_in - s.least_in, default=None)
    return PartShape(
        what=what,
        sections=sections,
        mean_in=sum(s.mean_in for s in sections) / len(sections),
        least_in=min(s.least_in for s in sections),
        most_in=max(s.most_in for s in sections),
        u95_in=u95_in,
        taper_in_per_in=taper,
        taper_u95_in_per_in=None if taper is None else u95_in / math.sqrt(spread),
        ends=ends,
        ovality_in=None if oval is None else oval.most_in - oval.least_in,
        ovality_depth_in=None if oval is None else oval.depth_in,
        ovality_solved=oval is not None and oval.solved,
        missing=_missing(what, sections),
    )


def _sections(readings: Sequence[DiameterReading]) -> tuple[CrossSection, ...]:
    depths: list[float] = []
    for depth in sorted(reading.depth_in for reading in readings):
        if not depths or depth - depths[-1] > SAME_DEPTH_IN:
            depths.append(depth)
    found = []
    for depth in depths:
        here = [r for r in readings if abs(r.depth_in - depth) <= SAME_DEPTH_IN]
        values = [r.value_in for r in here]
        clocks = sorted({round(r.clock_rad % math.pi, 9) for r in here})
        ellipse = _ellipse(here) if len(clocks) > 2 else None
        mean, half = ellipse or (sum(values) / len(values), 0.0)
        found.append(
            CrossSection(
                depth_in=depth,
                mean_in=mean,
                least_in=min(values) if ellipse is None else mean - half,
                most_in=max(values) if ellipse is None else mean + half,
                clocks=len(clocks),
                apart_rad=_apart(clocks),
                solved=ellipse is not None,
            )
        )
    return tuple(found)


def _ellipse(here: Sequence[DiameterReading]) -> tuple[float, float] | None:
    """(mean diameter, half the ovality) from three clocks or more; None = clocks too close.

    The diameter of a slightly oval section is mean + a cos 2t + b sin 2t at clock t: three unknowns
    (geometry; no source). Taken only where the errors of a and b together are under twice that of
    one diameter.
    """
    twice = np.array([2 * reading.clock_rad for reading in here])
    design = np.column_stack([np.ones_like(twice), np.cos(twice), np.sin(twice)])
    normal = design.T @ design
    if np.linalg.matrix_rank(normal) < 3:
        return None
    spread = np.linalg.inv(normal)
    if spread[1, 1] + spread[2, 2] > 4:
        return None
    mean, a, b = spread @ design.T @ np.array([reading.value_in for reading in here])
    return float(mean), math.hypot(a, b)


def _apart(clocks_rad: Sequence[float]) -> float:
    """Greatest angle between two diameters (a diameter comes round after half a turn)."""
    gaps = [abs(a - b) for a in clocks_rad for b in clocks_rad]
    return max((min(gap, math.pi - gap) for gap in gaps), default=0.0)


def _sum_squares(depths_in: Sequence[float]) -> float:
    middle = sum(depths_in) / len(depths_in)
    return sum((depth - middle) ** 2 for depth in depths_in)


def _slope(points: Sequence[tuple[float, float]]) -> float | None:
    """Least-squares slope; None with fewer than two depths."""
    if len(points) < 2:
        return None
    x = sum(point[0] for point in points) / len(points)
    y = sum(point[1] for point in points) / len(points)
    across = sum((point[0] - x) * (point[1] - y) for point in points)
    return across / _sum_squares([point[0] for point in points])


def _ends(sections: Sequence[CrossSection], u95_in: float) -> tuple[EndForm, ...]:
    if len(sections) < 3:
        return ()
    between = [(s.depth_in, s.mean_in) for s in sections[1:-1]]
    first, last = sections[0], sections[-1]
    x = sum(point[0] for point in between) / len(between)
    y = sum(point[1] for point in between) / len(between)
    slope = _slope(between)
    if slope is None:
        slope = _least_taper(first, between[0], last)
        spread = 0.0
    else:
        spread = 1 / _sum_squares([point[0] for point in between])
    forms = []
    for end, section in (("face end", first), ("hub end", last)):
        reach = section.depth_in - x
        excess = section.mean_in - (y + slope * reach)
        u95 = u95_in * math.sqrt(1 + 1 / len(between) + spread * reach**2)
        forms.append(EndForm(end, excess, u95))
    return tuple(forms)


def _without_seen_ends(
    sections: Sequence[CrossSection], ends: Sequence[EndForm]
) -> Sequence[CrossSection]:
    """The depths that give the taper: a bell mouth is not mistaken for one."""
    if not ends:
        return sections
    first = 1 if ends[0].seen else 0
    last = len(sections) - (1 if ends[1].seen else 0)
    kept = sections[first:last]
    return kept if len(kept) > 1 else sections


def _least_taper(first: CrossSection, middle: tuple[float, float], last: CrossSection) -> float:
    """With three depths taper and bell mouth look alike: the least bell mouth is taken.

    Both ends wider (or both narrower) than the middle: no taper. Else the gentler of both slopes.
    """
    left = (middle[1] - first.mean_in) / (middle[0] - first.depth_in)
    right = (last.mean_in - middle[1]) / (last.depth_in - middle[0])
    return 0.0 if left * right <= 0 else min(left, right, key=abs)


def _missing(what: str, sections: Sequence[CrossSection]) -> tuple[str, ...]:
    words = []
    if len(sections) == 1:
        words.append(f"{what}: one depth only, taper and bell mouth unknown")
    elif len(sections) == 2:
        words.append(f"{what}: two depths only, bell mouth unknown")
    for section in sections:
        place = f"{what} at {format_length(section.depth_in, 2)}"
        if section.clocks < 2:
            words.append(f"{place}: one clock only, ovality unknown")
        elif section.clocks == 2 and not _crossed(section):
            words.append(
                f"{place}: clocks only {format_clock(section.apart_rad)} apart, ovality partly seen"
            )
    crossed = [section for section in sections if _crossed(section)]
    if crossed:
        depths = ", ".join(format_length(section.depth_in, 2) for section in crossed)
        at = "" if len(crossed) == len(sections) else f" at {depths}"
        words.append(f"{what}{at}: two clocks, an oval half way between not seen: mike a third")
    return tuple(words)


def _crossed(section: CrossSection) -> bool:
    """Two clocks, about square to each other."""
    return section.clocks == 2 and section.apart_rad >= math.pi / 2 - QUARTER_TURN_SLACK_RAD
