"""Propeller shaft ends: the standard tapers, and a measured end against them.

::

    straight shaft D |------ taper length L ------| thread |
    _________________|
                      \\______________________     _________
                         keyway (3/4 in per ft)|___|        |
                      /~~~~~~~~~~~~~~~~~~~~~~~~    ~~~~~~~~~
    _________________|         small end d

SAE J755: 3/4 in per foot on diameter (1:16), so d = D - L / 16. Metric: 1:10, as far as a trade
sheet goes. Lengths inches; every figure carries its status.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.positive import check_length
from core.base.units import MM_PER_IN, format_length, format_size
from core.tables.reader import Row, number, read_table

NEAR_SIZE_IN = 0.010
KNOWN_TAPERS = (
    ("SAE J755, 3/4 in per foot (1:16)", 0.750),
    ("SAE J755 from 6 in, 1 in per foot (1:12)", 1.000),
    ("metric 1:10", 1.200),
)
"""Name and taper on diameter, inch per foot."""
TAPER_MATCH_IN_PER_FT = 0.010


@dataclass(frozen=True)
class Dimension:
    """One standard figure with its limits, inches unless it counts threads."""

    what: str
    low: float | None
    nominal: float | None
    high: float | None
    status: str
    """'published...', 'derived...', 'from memory', 'not printed'."""

    @property
    def verified(self) -> bool:
        """True when the figure was read in print."""
        return self.status.startswith("published")


@dataclass(frozen=True)
class StandardEnd:
    """One shaft end of a standard."""

    standard: str
    diameter_in: float
    taper_in_per_ft: float
    figures: tuple[Dimension, ...]
    source: str
    hub_taper_tolerance_in_per_ft: float | None = None
    """How much less than the shaft's the hub's taper may be; None = not printed."""

    def figure(self, what: str) -> Dimension | None:
        """A figure by its name; None when the table has none."""
        return next((figure for figure in self.figures if figure.what == what), None)


FIGURES = (
    "small end",
    "taper length",
    "keyway width",
    "keyway side depth",
    "thread diameter",
    "threads per inch",
    "thread length",
    "hub small end",
    "hub draw",
)
"""Names of the figures, in the order of the screen."""


def standard_end(*, diameter_in: float) -> StandardEnd:
    """The J755 shaft end for a shaft diameter, inches.

    Raises
    ------
    ShaftlogError : no such size in the table (3/4 to 5-1/2 in).

    References
    ----------
    SAE J755 as scanned, a propeller maker's page of SAE dimensions, a summary of J755-2015.
    """
    rows = read_table("shaft_ends_sae_j755")
    check_length("shaft diameter", diameter_in)
    row = min(rows, key=lambda r: abs(float(r["diameter_in"]) - diameter_in))
    size = float(row["diameter_in"])
    if abs(size - diameter_in) > NEAR_SIZE_IN:
        sizes = ", ".join(format_size(float(r["diameter_in"]), unit=False) for r in rows)
        raise ShaftlogError(
            f"J755 has no shaft of {format_length(diameter_in)}. Its sizes here: {sizes} in."
        )
    return StandardEnd(
        standard="SAE J755",
        diameter_in=size,
        taper_in_per_ft=float(row["taper_in_per_ft"]),
        figures=_inch(row),
        source=row["source"],
        hub_taper_tolerance_in_per_ft=abs(float(row["hub_taper_tolerance_in_per_ft"])),
    )


def _inch(row: Row) -> tuple[Dimension, ...]:
    printed = row["status"]
    small, hub = float(row["small_end_in"]), float(row["hub_small_end_in"])
    taper = float(row["taper_in_per_ft"]) / 12
    thread = row["thread_status"] or "not printed"
    depth = row["keyway_depth_status"] or "not printed"
    low, high = number(row, "keyway_side_depth_min_in"), number(row, "keyway_side_depth_max_in")
    middle = None if low is None or high is None else (low + high) / 2
    small_low, small_high = number(row, "small_end_min_in"), number(row, "small_end_max_in")
    width = number(row, "keyway_width_in")
    width_low, width_high = number(row, "keyway_width_min_in"), number(row, "keyway_width_max_in")
    return (
        Dimension("small end", small_low, small, small_high, printed),
        Dimension("taper length", None, float(row["taper_length_in"]), None, printed),
        Dimension("keyway width", width_low, width, width_high, printed),
        Dimension("keyway side depth", low, middle, high, depth),
        Dimension("thread diameter", None, number(row, "thread_diameter_in"), None, thread),
        Dimension("threads per inch", None, number(row, "thread_tpi"), None, thread),
        _thread_length(float(row["diameter_in"])),
        Dimension("hub small end", None, hub, None, printed),
        Dimension("hub draw", None, (small - hub) / taper, None, "derived from both small ends"),
    )


def _thread_length(diameter_in: float) -> Dimension:
    for row in read_table("shaft_thread_lengths_trade"):
        if abs(float(row["diameter_in"]) - diameter_in) < 1e-6:
            return Dimension(
                "thread length", None, float(row["thread_length_in"]), None, row["status"]
            )
    return Dimension("thread length", None, None, None, "not printed")


def metric_end(*, diameter_mm: float) -> StandardEnd:
    """The 1:10 metric end (trade sheet said to follow ISO 4566): 25 and 30 mm only.

    Raises
    ------
    ShaftlogError : any other size; the standard's own table could not be read.
    """
    for row in read_table("shaft_ends_metric"):
        if abs(float(row["diameter_mm"]) - diameter_mm) < 0.25:
            figures = (
                _mm(row, "small end", "small_end_min_mm", "small_end_max_mm"),
                _mm(row, "taper length", "taper_length_min_mm", "taper_length_max_mm"),
                _mm(row, "keyway width", "key_width_mm", "key_width_mm"),
                _mm(row, "thread diameter", "thread_diameter_mm", "thread_diameter_mm"),
                Dimension(
                    "threads per inch",
                    None,
                    MM_PER_IN / float(row["thread_pitch_mm"]),
                    None,
                    row["status"],
                ),
                _mm(row, "thread length", "thread_length_mm", "thread_length_mm"),
            )
            size = float(row["diameter_mm"]) / MM_PER_IN
            return StandardEnd("metric 1:10", size, 1.2, figures, row["source"])
    raise ShaftlogError(
        f"No figures for a {diameter_mm:g} mm shaft end: only 25 and 30 mm are known here. "
        "Measure the old shaft and the propeller."
    )


def _mm(row: Row, what: str, low: str, high: str) -> Dimension:
    least, most = float(row[low]) / MM_PER_IN, float(row[high]) / MM_PER_IN
    limits = (None, None) if least == most else (least, most)
    return Dimension(what, limits[0], (least + most) / 2, limits[1], row["status"])


@dataclass(frozen=True)
class TaperName:
    """What taper was measured."""

    taper_in_per_ft: float
    name: str
    """Known taper it agrees with; empty when none."""
    words: str


def identify_taper(
    *, large_in: float, small_in: float, length_in: float, u95_in: float = 0.0005
) -> TaperName:
    """Taper from two diameters and the length between them, and which known taper it is."""
    for what, value in (("large end", large_in), ("small end", small_in), ("length", length_in)):
        check_length(what, value)
    if small_in >= large_in:
        raise ShaftlogError("The small end is not smaller than the large end. Swap them.")
    taper = 12 * (large_in - small_in) / length_in
    slack = TAPER_MATCH_IN_PER_FT + 12 * math.sqrt(2) * u95_in / length_in
    for name, known in KNOWN_TAPERS:
        if abs(taper - known) <= slack:
            return TaperName(taper, name, f"{taper:.3f} in per foot: {name}")
    return TaperName(taper, "", f"{taper:.3f} in per foot: no known shaft taper, measure again")


@dataclass(frozen=True)
class EndComparison:
    """One measured figure of a shaft end against the standard."""

    what: str
    measured: float | None
    figure: Dimension | None
    word: str
    """'within', 'under', 'over', 'near', 'off', 'not measured' or 'no figure'."""
    words: str


LENGTH_SLACK_IN = 1 / 32
SIZE_SLACK_IN = 0.005
"""How far from a nominal without limits is still called near; common practice, no source."""


def compare_end(*, measured: dict[str, float], standard: StandardEnd) -> tuple[EndComparison, ...]:
    """Measured figures, by the names of `FIGURES` (inches), against a standard end."""
    unknown = sorted(set(measured) - set(FIGURES))
    if unknown:
        raise ShaftlogError(
            f"No figure of a shaft end is called '{unknown[0]}'. Known: {', '.join(FIGURES)}."
        )
    return tuple(_compare(what, measured.get(what), standard.figure(what)) for what in FIGURES)


def _compare(what: str, value: float | None, figure: Dimension | None) -> EndComparison:
    check_length(what, value)
    if figure is None or figure.nominal is None:
        return EndComparison(what, value, figure, "no figure", "no standard figure: keep measured")
    mark = "" if figure.verified else f" ({figure.status})"
    wanted = _range_words(what, figure) + mark
    if value is None:
        return EndComparison(what, None, figure, "not measured", f"not measured; standard {wanted}")
    word = _word(what, value, figure)
    return EndComparison(what, value, figure, word, f"{word}; standard {wanted}")


def _word(what: str, value: float, figure: Dimension) -> str:
    if figure.low is not None and figure.high is not None:
        if value < figure.low - 1e-9:
            return "under"
        return "over" if value > figure.high + 1e-9 else "within"
    slack = LENGTH_SLACK_IN if what in {"taper length", "thread length"} else SIZE_SLACK_IN
    nominal = figure.nominal or 0.0
    return "near" if abs(value - nominal) <= slack else "off"


def _range_words(what: str, figure: Dimension) -> str:
    if what == "threads per inch":
        return f"{figure.nominal:g}"
    if figure.low is not None and figure.high is not None:
        return f"{format_length(figure.low, unit=False)} to {format_length(figure.high)}"
    return format_length(figure.nominal or 0.0)


@dataclass(frozen=True)
class HubDraw:
    """How far a propeller hub can still be drawn up, inches."""

    draw_in: float
    words: str


def hub_draw(
    *, shaft_small_end_in: float, hub_small_end_in: float, standard: StandardEnd
) -> HubDraw:
    """Draw left before the shaft's small end comes flush with the hub's small end.

    (shaft small end - hub small end) / taper: the hub's bore ends smaller than the shaft's
    taper, so that the nut pulls the hub up and does not bottom on the shaft.
    """
    check_length("shaft's small end", shaft_small_end_in)
    check_length("hub's small end", hub_small_end_in)
    draw = 12 * (shaft_small_end_in - hub_small_end_in) / standard.taper_in_per_ft
    figure = standard.figure("hub draw")
    usual = None if figure is None else figure.nominal
    beside = "" if usual is None else f" (standard {format_length(usual, 2)})"
    if draw <= 0:
        words = "the taper's end comes through the hub: the nut may bottom on the shaft"
        return HubDraw(draw, f"{words}; shim or fit another hub{beside}")
    return HubDraw(draw, f"{format_length(draw, 2)} of draw left at the small end{beside}")
