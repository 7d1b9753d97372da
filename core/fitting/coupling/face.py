"""Coupling face: tilt, its clock, TIR, dish, cut to clean up, gap at the rim; pilot runout.

::

        dial A at clock t            reading positive = face nearer the dial = stands proud
          |
     =====v=====  <- face            gap at the rim, butted to a true flange
     \\         /                        = TIR x rim radius / dial radius
          ^
        dial B, half a turn on       (A - B) / 2 cancels end float, and even waves with it

The face is that of the coupling on its own shaft. Inches, radians. Not modelled: end float with
one dial (hold the shaft against a stop), waves beyond two lobes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.base.errors import BadReadings
from core.base.units import format_clock, format_dial
from core.fitting.coupling.face_ring import (
    FaceRing,
    RingFit,
    check_ring,
    fit_ring,
    highest_less_lowest_in,
)
from core.fitting.coupling.limits import CouplingLimit, coupling_limit_in, coupling_limits
from core.fitting.coupling.pilot import PilotFit, fit_pilot
from core.runout.intervals import tir_interval
from core.runout.verdict import Rule, Word, judge

__all__ = [
    "LATHE_CAUTION",
    "CouplingLimit",
    "FaceChange",
    "FaceFit",
    "FaceRing",
    "PilotFit",
    "compare_faces",
    "coupling_limit_in",
    "coupling_limits",
    "fit_face",
    "fit_pilot",
]

DEFAULT_RESOLUTION_IN = 0.0005
DEFAULT_REPEATABILITY_IN = 0.0003
"""Standard deviation of a repeated face reading; common practice, no source."""
LATHE_CAUTION = (
    "Facing on the shaft: key taken out or keyway taped over, no loose sleeves or gloves, guard "
    "up, light cuts. A keyed shaft in the lathe grabs."
)
TWO_DIALS_NOTE = "Two opposite dials: end float cancels, and so do dish and two-lobed waves."
ONE_DIAL_NOTE = (
    "One dial: end float goes straight into the readings. Hold the shaft against a stop."
)


@dataclass(frozen=True, eq=False)
class FaceFit:
    """What the face readings say. Inches and radians."""

    outer: RingFit
    inner: RingFit | None
    dials: int
    readings: int
    rim_radius_in: float
    tir_low_in: float
    tir_high_in: float
    """95 % interval of `tir_in`."""
    face_limit_in: float
    gap_limit_in: float
    rule: Rule

    @property
    def tilt_rad(self) -> float:
        """Angle between the face and square."""
        return self.tir_in / (2 * self.outer.radius_in)

    @property
    def high_spot_rad(self) -> float:
        """Clock where the face stands proud, 0 .. 2 pi."""
        return float(np.arctan2(self.outer.tilt_in[1], self.outer.tilt_in[0]) % (2 * np.pi))

    @property
    def tir_in(self) -> float:
        """Full-turn TIR of the tilt at the dial's radius."""
        return 2 * float(np.hypot(*self.outer.tilt_in))

    @property
    def shown_tir_in(self) -> float:
        """What the dial showed (two dials: swing of the half difference)."""
        return self.outer.shown_in

    @property
    def rim_in(self) -> tuple[float, float, float]:
        """TIR at the rim with its 95 % interval: best, low, high. Also the gap when butted."""
        reach = self.rim_radius_in / self.outer.radius_in
        return self.tir_in * reach, self.tir_low_in * reach, self.tir_high_in * reach

    @property
    def wave_in(self) -> float | None:
        """Amplitude of a two-lobed wave; None with two dials, which cannot see it."""
        return None if self.outer.wave_in is None else float(np.hypot(*self.outer.wave_in))

    @property
    def dish_in(self) -> float | None:
        """Outer circle less inner circle: positive = hollow, negative = crowned.

        None without an inner circle, and with two dials: half differences have no level.
        """
        if self.inner is None or self.dials == 2:
            return None
        return self.outer.level_in - self.inner.level_in

    @property
    def dish_u95_in(self) -> float | None:
        """95 % uncertainty of the dish, both circles read with one setting of the dial."""
        if self.inner is None or self.dials == 2:
            return None
        return 1.96 * math.hypot(self.outer.level_sigma_in, self.inner.level_sigma_in)

    @property
    def clean_up_in(self) -> float:
        """Cut at the high spot that takes the whole face down to its lowest place."""
        return highest_less_lowest_in(self.outer, self.inner, self.rim_radius_in)

    @property
    def face_word(self) -> Word:
        """TIR at the rim against the face limit."""
        return judge(*self.rim_in, self.face_limit_in, self.rule)

    @property
    def gap_word(self) -> Word:
        """Gap at the rim against the gap limit."""
        return judge(*self.rim_in, self.gap_limit_in, self.rule)

    @property
    def missing(self) -> tuple[str, ...]:
        """What was not read, and what it costs."""
        if self.dials == 2:
            return ("dish: needs two circles read with one dial",)
        return () if self.inner is not None else ("inner circle: no dish",)

    @property
    def notes(self) -> tuple[str, ...]:
        """What to mind with this way of reading, and the caution for facing."""
        usual = TWO_DIALS_NOTE if self.dials == 2 else ONE_DIAL_NOTE
        return (*self._scatter_words(), usual, LATHE_CAUTION)

    def _scatter_words(self) -> tuple[str, ...]:
        scatter = self.outer.scatter_in
        if scatter is None:
            return ()
        off = f"The readings do not lie on a plane (they scatter {format_dial(scatter)})"
        if self.dials == 2:
            return (f"{off}: a burr, dirt, or a stand that gives? Read again.",)
        return (f"{off}: end float, or a warped face? Read with two dials opposite.",)

    @property
    def words(self) -> tuple[str, ...]:
        """The figures as plain sentences, the verdicts first."""
        best, low, high = self.rim_in
        between = f"{format_dial(low, unit=False)} to {format_dial(high)}"
        words = [
            f"face at the rim {format_dial(best)} TIR ({between}): {self.face_word}, limit "
            f"{format_dial(self.face_limit_in)}",
            f"gap when butted {format_dial(best)}, opposite clock "
            f"{format_clock(self.high_spot_rad)}: {self.gap_word}, limit "
            f"{format_dial(self.gap_limit_in)}",
            f"{format_dial(self.clean_up_in)} off the high spot cleans it up",
        ]
        if self.dish_in is not None and self.dish_u95_in is not None:
            words.append(_dish_words(self.dish_in, self.dish_u95_in))
        return tuple(words)


def fit_face(
    *,
    clock_rad: Sequence[float],
    reading_in: Sequence[float],
    radius_in: float,
    rim_radius_in: float,
    opposite_in: Sequence[float] | None = None,
    inner: FaceRing | None = None,
    resolution_in: float = DEFAULT_RESOLUTION_IN,
    repeatability_in: float | None = None,
    face_limit_in: float | None = None,
    gap_limit_in: float | None = None,
    rule: Rule = "guarded",
) -> FaceFit:
    """Fit the face readings (n,) at clocks (n,) round a circle.

    Parameters
    ----------
    radius_in, rim_radius_in : circle of the dial, and of the flange's rim.
    opposite_in : (n,) second dial half a turn on, same moments; None = one dial.
    inner : a smaller circle read with the same dial setting, for the dish.
    resolution_in, repeatability_in : of one dial; None = 0.0003 in.
    face_limit_in, gap_limit_in : None = the printed trade limits.

    Raises
    ------
    BadReadings : fewer than three marks, unequal lengths, a radius beyond the rim.

    References
    ----------
    Half difference of two opposite dials: geometry. Limits `core.fitting.coupling.limits`. Verdict
    ISO 14253-1, as `core.runout.verdict`.
    """
    outer = FaceRing(radius_in, clock_rad, reading_in, opposite_in)
    _check(outer, inner, rim_radius_in)
    repeat = DEFAULT_REPEATABILITY_IN if repeatability_in is None else repeatability_in
    noise = math.sqrt(repeat**2 + resolution_in**2 / 12)
    ring = fit_ring(outer, noise)
    low, high = tir_interval(ring.tilt_in, ring.tilt_cov_in2)
    return FaceFit(
        outer=ring,
        inner=None if inner is None else fit_ring(inner, noise),
        dials=1 if opposite_in is None else 2,
        readings=len(clock_rad),
        rim_radius_in=rim_radius_in,
        tir_low_in=low,
        tir_high_in=high,
        face_limit_in=coupling_limit_in("face") if face_limit_in is None else face_limit_in,
        gap_limit_in=coupling_limit_in("gap") if gap_limit_in is None else gap_limit_in,
        rule=rule,
    )


def _check(outer: FaceRing, inner: FaceRing | None, rim_radius_in: float) -> None:
    check_ring("face", outer)
    if not math.isfinite(rim_radius_in) or rim_radius_in < outer.radius_in:
        raise BadReadings(
            "The dial cannot read outside the rim: the rim's radius must be at least the dial's. "
            "Check for a diameter typed as a radius."
        )
    if inner is None:
        return
    check_ring("inner circle", inner)
    if inner.radius_in >= outer.radius_in:
        raise BadReadings("The inner circle must be smaller than the outer one. Swap them.")


def _dish_words(dish_in: float, u95_in: float) -> str:
    if abs(dish_in) <= u95_in:
        return f"flat within {format_dial(u95_in)}"
    if dish_in > 0:
        return f"hollow by {format_dial(dish_in)}: the rim carries"
    return f"crowned by {format_dial(-dish_in)}: it rocks on the middle, face it"


@dataclass(frozen=True)
class FaceChange:
    """What facing did to the TIR at the rim."""

    better: bool | None
    """None = the change is less than measuring uncertainty."""
    words: str


def compare_faces(before: FaceFit, after: FaceFit) -> FaceChange:
    """What facing did, from the two interval half-widths at the rim."""
    was, now = before.rim_in, after.rim_in
    unsure = math.hypot((was[2] - was[1]) / 2, (now[2] - now[1]) / 2)
    better = None if abs(was[0] - now[0]) <= unsure else was[0] > now[0]
    outcome = {None: "no change seen", True: "better", False: "worse"}[better]
    shown = f"rim TIR {format_dial(was[0])} before, {format_dial(now[0])} after: {outcome}"
    return FaceChange(better, shown)
