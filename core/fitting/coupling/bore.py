"""Coupling bore against shaft seat: size and form of each, the fit, the verdict, the way out.

Clearance is bore less seat: positive = loose, negative = interference. Depth and the two clocks
are those of `core.fitting.coupling.bore_shape`. What was not measured is named, and costs its
answer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from core.base.errors import ShaftlogError
from core.base.positive import check_positive
from core.base.units import format_dial, format_length
from core.fitting.coupling.bore_repair import SLEEVE_WALL_IN, Remedy, remedies
from core.fitting.coupling.bore_shape import (
    LOBES_NOTE,
    CrossSection,
    DiameterReading,
    PartShape,
    measure_part,
)
from core.fitting.coupling.fits import class_band, class_limits, practice_words
from core.fitting.coupling.taper import (
    LEAST_BLUE_SHARE,
    TAPER_TOLERANCE_IN_PER_FT,
    TaperFit,
    fit_taper,
)
from core.fitting.measured.band import (
    IN_DOUBT,
    Band,
    BandVerdict,
    Rule,
    clearance_words,
    judge_band,
)
from core.fitting.measured.unit_check import UnitDoubt, unit_doubt, unit_doubts

__all__ = [
    "BoreFit",
    "BoreKind",
    "Clearance",
    "DiameterReading",
    "PartShape",
    "Remedy",
    "TaperFit",
    "UnitDoubt",
    "fit",
    "unit_doubt",
]

BoreKind = Literal["straight", "split", "tapered"]
Shapes = tuple[PartShape | None, PartShape | None]

BORE_U95_IN = 0.0002
"""95 % uncertainty of one diameter, bore gauge set by a mike; common practice, no source."""
STRAIGHT_STRAY_SHARE = 0.05
TAPER_STRAY_SHARE = 0.30
"""How far a diameter may lie from nominal before its unit is asked about."""
NO_BAND = BandVerdict("not measured", "no band chosen: set the shop's band or choose a class")
SPLIT_NOTE = (
    "Split coupling: measure the bore with its bolts loose, then check that the split still has a "
    "gap with the bolts tight. A closed split grips nothing."
)
CLOSED_SPLIT = "THE SPLIT IS CLOSED: the bolts clamp the hub, not the shaft. Open the split."


@dataclass(frozen=True)
class Clearance:
    """Bore less seat over the length where both were measured, inches."""

    least_in: float
    """Tightest place, as if the narrowest bore met the widest seat of that depth."""
    mean_in: float
    most_in: float
    u95_in: float
    """95 % uncertainty of each figure, from both gauges."""

    @property
    def interference_in(self) -> tuple[float, float, float]:
        """Least, mean, most interference: what `press_fit` asks for."""
        return -self.most_in, -self.mean_in, -self.least_in

    @property
    def safe_interference_in(self) -> tuple[float, float, float]:
        """The same, least and most wider by what the gauges may be off."""
        least, mean, most = self.interference_in
        return least - self.u95_in, mean, most + self.u95_in

    @property
    def words(self) -> str:
        """'0.2 thou interference to 0.8 thou clearance, mean 0.3 thou clearance, +-0.3 thou'."""
        return (
            f"{clearance_words(self.least_in)} to {clearance_words(self.most_in)}, mean "
            f"{clearance_words(self.mean_in)}, +-{format_dial(self.u95_in)}"
        )


@dataclass(frozen=True)
class BoreFit:
    """All that the diameters say."""

    kind: BoreKind
    bore: PartShape | None
    seat: PartShape | None
    clearance: Clearance | None
    """None for tapers, for parts not measured, and while a figure is in doubt."""
    band: Band | None
    verdict: BandVerdict
    class_words: tuple[str, ...]
    """Bore and seat each against the chosen class; empty without one."""
    taper: TaperFit | None
    remedies: tuple[Remedy, ...]
    doubts: tuple[UnitDoubt, ...]
    """Figures to ask about before believing any of this."""
    missing: tuple[str, ...]
    notes: tuple[str, ...]


def fit(
    *,
    bore: Sequence[DiameterReading],
    seat: Sequence[DiameterReading],
    kind: BoreKind = "straight",
    nominal_in: float | None = None,
    band: Band | None = None,
    fit_class: str | None = None,
    bore_u95_in: float = BORE_U95_IN,
    seat_u95_in: float = BORE_U95_IN,
    setback_in: float | None = None,
    rule: Rule = "guarded",
    hub_outside_in: float | None = None,
    sleeve_wall_in: float = SLEEVE_WALL_IN,
    split_gap_in: float | None = None,
    wanted_interference_in: float | None = None,
    blue_share: float | None = None,
    least_blue_share: float = LEAST_BLUE_SHARE,
    taper_tolerance_in_per_ft: float = TAPER_TOLERANCE_IN_PER_FT,
) -> BoreFit:
    """Fit of a coupling on its shaft.

    `band` is the shop's own; `fit_class` (B4.1 or ISO 286, needs `nominal_in`) is used without
    it. `setback_in`: shaft end stands this far inside the coupling face (None = not
    measured). Raises ShaftlogError for impossible figures and for depths of bore and seat
    that nowhere meet.

    References: class limits `core.fitting.coupling.fits`; rule ISO 14253-1; bands: shop setting,
    as the sources contradict each other.
    """
    check_positive(bore_uncertainty_in=bore_u95_in, seat_uncertainty_in=seat_u95_in)
    doubts = _doubts(bore, seat, kind, nominal_in)
    shapes = measure_part("bore", bore, bore_u95_in), measure_part("seat", seat, seat_u95_in)
    wanted, class_words = _wanted(band, fit_class, nominal_in, shapes)
    if not doubts:
        _refuse_thin_hub(shapes[0], hub_outside_in)
    clearance = taper = None
    if not doubts and kind == "tapered":
        share = (blue_share, least_blue_share)
        taper = _taper(shapes, wanted_interference_in, share, taper_tolerance_in_per_ft, setback_in)
    elif not doubts:
        clearance = _clearance(shapes, setback_in or 0.0)
    verdict = _verdict(kind, clearance, wanted, taper, bool(doubts), rule)
    return BoreFit(
        kind=kind,
        bore=shapes[0],
        seat=shapes[1],
        clearance=clearance,
        band=wanted,
        verdict=verdict,
        class_words=() if doubts else class_words,
        taper=taper,
        remedies=_remedies(shapes, verdict, wanted, hub_outside_in, sleeve_wall_in),
        doubts=doubts,
        missing=_missing(kind, shapes, split_gap_in, blue_share, fit_class, nominal_in),
        notes=_notes(kind, split_gap_in),
    )


def _refuse_thin_hub(bore: PartShape | None, hub_outside_in: float | None) -> None:
    check_positive(hub_outside_in=hub_outside_in)
    if bore is not None and hub_outside_in is not None and hub_outside_in <= bore.most_in:
        raise ShaftlogError(
            f"The bore ({format_length(bore.most_in)}) is not smaller than the hub outside "
            f"({format_length(hub_outside_in)}): no wall is left. Check which figure is which."
        )


def _remedies(
    shapes: Shapes,
    verdict: BandVerdict,
    band: Band | None,
    hub_outside_in: float | None,
    sleeve_wall_in: float,
) -> tuple[Remedy, ...]:
    unfit = verdict.word in {"too loose", "too tight", "tight and loose"}
    if not unfit or shapes[0] is None or shapes[1] is None or band is None:
        return ()
    return remedies(
        bore=shapes[0],
        seat=shapes[1],
        band=band,
        hub_outside_in=hub_outside_in,
        sleeve_wall_in=sleeve_wall_in,
    )


def _doubts(
    bore: Sequence[DiameterReading],
    seat: Sequence[DiameterReading],
    kind: BoreKind,
    nominal_in: float | None,
) -> tuple[UnitDoubt, ...]:
    share = TAPER_STRAY_SHARE if kind == "tapered" else STRAIGHT_STRAY_SHARE
    if nominal_in is not None:
        stray = unit_doubt(nominal_in)
        if stray is not None:
            return (stray,)
    return unit_doubts([r.value_in for r in (*bore, *seat)], nominal_in, stray_share=share)


def _wanted(
    band: Band | None,
    fit_class: str | None,
    nominal_in: float | None,
    shapes: Shapes,
) -> tuple[Band | None, tuple[str, ...]]:
    """The band to judge by, and each part against the class."""
    if fit_class is None or nominal_in is None:
        return band, ()
    limits = class_limits(fit=fit_class, diameter_in=nominal_in)
    ranges = (
        (limits.hole_grade, limits.hole_low_in, limits.hole_high_in),
        (limits.shaft_grade, limits.shaft_low_in, limits.shaft_high_in),
    )
    words = tuple(
        _against_grade(shape, grade, nominal_in + low, nominal_in + high)
        for shape, (grade, low, high) in zip(shapes, ranges, strict=True)
        if shape is not None
    )
    return band or class_band(fit=fit_class, diameter_in=nominal_in), words


def _against_grade(shape: PartShape, grade: str, low_in: float, high_in: float) -> str:
    inside = low_in - 1e-9 <= shape.least_in and shape.most_in <= high_in + 1e-9
    edge = min(shape.least_in - low_in, high_in - shape.most_in)
    close = abs(edge) < shape.u95_in
    word = "too close to call" if close else "within" if inside else "OUTSIDE"
    name = f"{shape.what} {grade}".strip()
    return f"{name} {format_length(low_in)} to {format_length(high_in)}: {word}"


def _clearance(shapes: Shapes, setback_in: float) -> Clearance | None:
    bore, seat = shapes
    if bore is None or seat is None:
        return None
    shift = [(section, section.depth_in + setback_in) for section in seat.sections]
    low = max(bore.sections[0].depth_in, shift[0][1])
    high = min(bore.sections[-1].depth_in, shift[-1][1])
    if low > high + 1e-6 and len(bore.sections) > 1 and len(seat.sections) > 1:
        raise ShaftlogError(
            "The depths of bore and seat nowhere meet. Both count from the coupling face end; "
            "check the depths and how far the shaft end stands inside."
        )
    depths = {s.depth_in for s in bore.sections} | {depth for _, depth in shift}
    inside = [depth for depth in depths if low - 1e-6 <= depth <= high + 1e-6] or [low]
    bore_at = [(section, section.depth_in) for section in bore.sections]
    pairs = [(_at(bore_at, depth), _at(shift, depth)) for depth in sorted(inside)]
    means = [hole[1] - shaft[1] for hole, shaft in pairs]
    return Clearance(
        least_in=min(hole[0] - shaft[2] for hole, shaft in pairs),
        mean_in=sum(means) / len(means),
        most_in=max(hole[2] - shaft[0] for hole, shaft in pairs),
        u95_in=math.hypot(bore.u95_in, seat.u95_in),
    )


def _at(
    sections: Sequence[tuple[CrossSection, float]], depth_in: float
) -> tuple[float, float, float]:
    """Least, mean and most diameter at a depth, straight between the measured depths."""
    before = [pair for pair in sections if pair[1] <= depth_in + 1e-9] or [sections[0]]
    after = [pair for pair in sections if pair[1] >= depth_in - 1e-9] or [sections[-1]]
    (one, x0), (two, x1) = before[-1], after[0]
    share = 0.0 if x1 - x0 < 1e-9 else (depth_in - x0) / (x1 - x0)
    return (
        one.least_in + share * (two.least_in - one.least_in),
        one.mean_in + share * (two.mean_in - one.mean_in),
        one.most_in + share * (two.most_in - one.most_in),
    )


def _taper(
    shapes: Shapes,
    wanted_interference_in: float | None,
    blue_share: tuple[float | None, float],
    tolerance_in_per_ft: float,
    setback_in: float | None,
) -> TaperFit | None:
    bore, seat = shapes
    if bore is None or seat is None:
        return None
    if bore.taper_in_per_in is None or seat.taper_in_per_in is None:
        return None
    return fit_taper(
        bore=bore,
        seat=seat,
        wanted_interference_in=wanted_interference_in,
        blue_share=blue_share[0],
        least_blue_share=blue_share[1],
        tolerance_in_per_ft=tolerance_in_per_ft,
        setback_in=setback_in,
    )


def _verdict(
    kind: BoreKind,
    clearance: Clearance | None,
    band: Band | None,
    taper: TaperFit | None,
    doubtful: bool,
    rule: Rule,
) -> BandVerdict:
    if doubtful:
        return IN_DOUBT
    if kind == "tapered":
        if taper is None:
            return BandVerdict("not measured", "two depths or more on bore and seat: measure them")
        words = [w for w in (taper.touch_words, taper.angle_words, taper.blue_words) if w]
        return BandVerdict(taper.word, "; ".join(words))
    if clearance is None:
        return BandVerdict("not measured", "bore and seat are not both measured: cannot say")
    if band is None:
        return NO_BAND
    return judge_band(
        least_in=clearance.least_in,
        most_in=clearance.most_in,
        band=band,
        u95_in=clearance.u95_in,
        rule=rule,
    )


def _notes(kind: BoreKind, split_gap_in: float | None) -> tuple[str, ...]:
    if kind == "tapered":
        return (LOBES_NOTE,)
    if kind == "straight":
        return (LOBES_NOTE, practice_words())
    closed = split_gap_in is not None and split_gap_in <= 0
    tail = (SPLIT_NOTE, CLOSED_SPLIT) if closed else (SPLIT_NOTE,)
    return (LOBES_NOTE, practice_words(), *tail)


def _missing(
    kind: BoreKind,
    shapes: Shapes,
    split_gap_in: float | None,
    blue_share: float | None,
    fit_class: str | None,
    nominal_in: float | None,
) -> tuple[str, ...]:
    words = []
    for name, shape in zip(("bore", "shaft seat"), shapes, strict=True):
        words += [f"{name}: no diameters"] if shape is None else list(shape.missing)
    if kind == "split" and split_gap_in is None:
        words.append("gap of the split with the bolts tight")
    if kind == "tapered" and blue_share is None:
        words.append("blueing share")
    if fit_class is not None and nominal_in is None:
        words.append(f"nominal size: class {fit_class} needs it")
    return tuple(words)
