"""A coupling or propeller on a taper: angle match, first touch, draw-up, blueing.

Depth runs from the small end (shaft end) towards the large end, as in
`core.fitting.coupling.bore_shape`. Drawing up moves the hub towards the large end; interference
grows by the taper for each inch of draw.
Lengths inches; taper is change of diameter per inch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.units import format_dial, format_inch, format_length
from core.fitting.coupling.bore_shape import PartShape
from core.fitting.measured.band import BandWord

TAPER_TOLERANCE_IN_PER_FT = 0.0020
"""Hub taper may be less than the shaft's by this: SAE J755-2015, sizes to 1-1/4 in."""
LEAST_BLUE_SHARE = 0.70
"""Least contact by blueing; class-society practice from memory."""


def draw_up_in(*, interference_in: float, taper_in_per_in: float) -> float:
    """Axial draw for an interference on diameter: interference / taper.

    A 3/4 in per foot taper is 0.0625 in per in, so a thou takes 0.016 in. Roughness flattens
    first, so measure from hand-tight under a set load.
    """
    if not math.isfinite(taper_in_per_in) or taper_in_per_in <= 0:
        raise ShaftlogError("Draw-up needs a taper above zero. A straight bore has none.")
    if not math.isfinite(interference_in) or interference_in < 0:
        raise ShaftlogError("Draw-up needs an interference of zero or more.")
    return interference_in / taper_in_per_in


@dataclass(frozen=True)
class TaperFit:
    """How two tapers meet, inches."""

    bore_taper_in_per_ft: float
    seat_taper_in_per_ft: float
    mismatch_in_per_ft: float
    """Bore taper less seat taper; negative = the large end touches first (wanted)."""
    mismatch_u95_in_per_ft: float
    gap_in: float
    """Gap on diameter at the end that does not touch, over the common length."""
    word: BandWord
    """'right', 'not right' or 'not measured' (blueing not noted)."""
    angle_words: str
    first_touch_in: float
    """How far the shaft end stands beyond flush with the depth-0 end at first touch."""
    touch_words: str
    """What is wrong when the setback measured contradicts the diameters; '' = nothing."""
    draw_up_in: float | None
    """Draw for the wanted interference; None = none wanted."""
    blue_share: float | None
    blue_words: str


def fit_taper(
    *,
    bore: PartShape,
    seat: PartShape,
    wanted_interference_in: float | None = None,
    blue_share: float | None = None,
    least_blue_share: float = LEAST_BLUE_SHARE,
    tolerance_in_per_ft: float = TAPER_TOLERANCE_IN_PER_FT,
    setback_in: float | None = None,
) -> TaperFit:
    """Compare the tapers of bore and seat.

    `setback_in`: how far the shaft end was measured inside the depth-0 end, hub hand-tight or
    drawn up (negative = beyond it); None = not measured.

    Raises
    ------
    ShaftlogError : fewer than two depths, parts that taper opposite ways, a share outside 0..1.

    References
    ----------
    Hub taper tolerance: SAE J755-2015. Draw-up = interference / taper: geometry.
    """
    bore_taper, seat_taper = _tapers_in_per_in(bore, seat)
    if blue_share is not None and not 0 <= blue_share <= 1:
        raise ShaftlogError("The blueing share lies between 0 and 100 %. Type it again.")
    mismatch = bore_taper - seat_taper
    u95 = math.hypot(bore.taper_u95_in_per_in or 0.0, seat.taper_u95_in_per_in or 0.0)
    low = max(bore.sections[0].depth_in, seat.sections[0].depth_in)
    high = min(bore.sections[-1].depth_in, seat.sections[-1].depth_in)
    gaps = [_line_in(bore, x) - _line_in(seat, x) for x in (low, high)]
    tight = _tight_ends(bore, seat)
    first = min([*tight, *((gap, "") for gap in gaps)])
    angle_words = _angle_words(12 * mismatch, 12 * u95, tolerance_in_per_ft, gaps)
    draw = None
    if wanted_interference_in is not None:
        draw = draw_up_in(interference_in=wanted_interference_in, taper_in_per_in=seat_taper)
    touch_in = first[0] / seat_taper
    touch_words = ""
    if setback_in is not None:
        unsure_in = math.hypot(bore.u95_in, seat.u95_in)
        touch_words = _touch_words(touch_in, setback_in, draw or 0.0, seat, unsure_in)
    word = _word(12 * mismatch, 12 * u95, tolerance_in_per_ft, blue_share, least_blue_share)
    return TaperFit(
        bore_taper_in_per_ft=12 * bore_taper,
        seat_taper_in_per_ft=12 * seat_taper,
        mismatch_in_per_ft=12 * mismatch,
        mismatch_u95_in_per_ft=12 * u95,
        gap_in=abs(gaps[1] - gaps[0]),
        word="not right" if touch_words else word,
        angle_words=f"{angle_words}; {first[1]} first" if first[1] else angle_words,
        first_touch_in=touch_in,
        touch_words=touch_words,
        draw_up_in=draw,
        blue_share=blue_share,
        blue_words=_blue_words(blue_share, least_blue_share),
    )


def _tapers_in_per_in(bore: PartShape, seat: PartShape) -> tuple[float, float]:
    """Both tapers, or an error in words."""
    if bore.taper_in_per_in is None or seat.taper_in_per_in is None:
        raise ShaftlogError("A taper needs two depths or more on bore and seat. Measure them.")
    if bore.taper_in_per_in <= 0 or seat.taper_in_per_in <= 0:
        raise ShaftlogError(
            "These readings get smaller towards the hub end: depth counts from the small end. "
            "Check the depths, or choose a straight bore."
        )
    return bore.taper_in_per_in, seat.taper_in_per_in


def _touch_words(
    touch_in: float, setback_in: float, draw_in: float, seat: PartShape, unsure_in: float
) -> str:
    """Where the shaft end is, against where the diameters put it: at first touch, or drawn up.

    The difference counts on the diameter (difference times taper), against the uncertainty of the
    diameters. Geometry; no source.
    """
    seen_in = -setback_in
    off_in = seen_in - min(max(seen_in, touch_in), touch_in + draw_in)
    on_diameter_in = abs(off_in) * (seat.taper_in_per_in or 0.0)
    if on_diameter_in <= unsure_in:
        return ""
    return (
        f"the shaft end was measured {_side(seen_in)} the face end, by the diameters it touches "
        f"{_side(touch_in)}: {format_length(abs(off_in), 3)} apart, {format_dial(on_diameter_in)} "
        "on the diameter. Measure both again, or look for what holds the hub off"
    )


def _side(beyond_in: float) -> str:
    return f"{format_length(abs(beyond_in), 3)} {'beyond' if beyond_in >= 0 else 'inside'}"


def _line_in(part: PartShape, depth_in: float) -> float:
    """Diameter of the part's fitted line at a depth, belled and tight ends left out."""
    even = part.even_sections
    middle = sum(s.depth_in for s in even) / len(even)
    mean = sum(s.mean_in for s in even) / len(even)
    return mean + (part.taper_in_per_in or 0.0) * (depth_in - middle)


def _tight_ends(bore: PartShape, seat: PartShape) -> list[tuple[float, str]]:
    """(gap there, words) of ends of bore or seat that stand in the way of the even tapers."""
    found = []
    for part, other, sign in ((bore, seat, -1), (seat, bore, 1)):
        for end, section in zip(part.ends, (part.sections[0], part.sections[-1]), strict=False):
            if end.seen and sign * end.excess_in > 0:
                gap = -sign * (section.mean_in - _line_in(other, section.depth_in))
                found.append((gap, f"the {part.what} is tight at the {end.end} and touches there"))
    return found


def _word(
    mismatch: float, u95: float, tolerance: float, share: float | None, least: float
) -> BandWord:
    if mismatch > u95 or mismatch < -tolerance - u95:
        return "not right"
    if share is None:
        return "not measured"
    return "right" if share >= least else "not right"


def _angle_words(mismatch: float, u95: float, tolerance: float, gaps: list[float]) -> str:
    gap = format_dial(abs(gaps[1] - gaps[0]))
    if mismatch > u95:
        return f"bore taper too steep: only the small end touches, {gap} gap at the large end"
    if mismatch < -tolerance - u95:
        return f"bore taper too slow: only the large end touches, {gap} gap at the small end"
    if mismatch < -u95:
        return f"large end touches first, {gap} at the small end: within the hub tolerance"
    return f"tapers agree within measuring uncertainty ({format_inch(u95)} per foot)"


def _blue_words(share: float | None, least: float) -> str:
    if share is None:
        return "blueing share not noted: cannot say how much touches"
    verdict = "enough" if share >= least else "too little, lap or fit it again"
    return f"blueing {share:.0%} of the area, wanted {least:.0%} (from memory): {verdict}"
