"""The propeller end of one job's shaft: figures to measure, against which standard, what it says.

Figures are stored under 'shaft end', choices under 'shaft end setup'. Inches; threads per inch
and the like are read from the text typed. Figures of the standards by `core.fitting.shaft.ends`.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.units import MM_PER_IN, format_inch, format_shop_size
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementRequest, MeasurementSet
from core.fitting.measured.report import Report, chapters, sentence, trouble_report
from core.fitting.shaft.ends import (
    FIGURES,
    EndComparison,
    HubDraw,
    StandardEnd,
    TaperName,
    compare_end,
    hub_draw,
    identify_taper,
    metric_end,
    standard_end,
)

SETUP, END = "shaft end setup", "shaft end"
SUBJECTS = (END,)
STANDARDS = ("by size", "J755", "metric 1:10", "none")
SHAFT_DIAMETER, SHAFT_LENGTH = "shaft diameter", "overall length"
THREADS = "threads per inch"
EXTRAS = ("propeller nut thickness", "jam nut thickness", "cotter hole")
"""Figures that no table here has: measured for the order sheet."""
GOOD, BAD = {"within", "near"}, {"under", "over", "off"}
_LENGTHS = {"taper length", "thread length"}
_HINTS = {
    SHAFT_DIAMETER: "Ahead of the taper, where it is not worn.",
    SHAFT_LENGTH: "End to end; a tape will do.",
    "small end": "Diameter at the small end of the taper.",
    "taper length": "From where the taper begins to its small end.",
    "keyway width": "At the propeller end.",
    "keyway side depth": "Floor to the edge, at the side.",
    "thread diameter": "Over the crests.",
    THREADS: "Count with a gauge, or crests in one inch of the rule.",
    "hub small end": "Bore of the propeller at its small end.",
    "cotter hole": "Diameter of the hole for the cotter pin.",
}


@dataclass(frozen=True)
class EndResult:
    """All that the figures of the end say."""

    standard: StandardEnd | None
    why_none: str
    """Why no standard end is there to compare with."""
    taper: TaperName | None
    draw: HubDraw | None
    compared: tuple[EndComparison, ...]
    report: Report


def standard_of(figures: MeasurementSet, facts: FitFacts) -> tuple[StandardEnd | None, str]:
    """The standard end to compare with, or why there is none."""
    chosen = figures.word(SETUP, "standard", STANDARDS[0])
    diameter_in = figures.length_in(END, SHAFT_DIAMETER) or facts.diameter_in
    if chosen == "none":
        return None, "no standard is chosen"
    try:
        if chosen == "metric 1:10":
            return metric_end(diameter_mm=diameter_in * MM_PER_IN), ""
        return standard_end(diameter_in=diameter_in), ""
    except ShaftlogError as error:
        if chosen != STANDARDS[0]:
            return None, str(error)
    try:
        return metric_end(diameter_mm=diameter_in * MM_PER_IN), ""
    except ShaftlogError:
        return (
            None,
            f"neither J755 nor the metric sheet has a {format_shop_size(diameter_in)} shaft",
        )


def end_wanted(figures: MeasurementSet, facts: FitFacts) -> tuple[MeasurementRequest, ...]:
    """The figures to measure, in the order of the bench."""
    standard = standard_of(figures, facts)[0]
    found = [
        MeasurementRequest(
            END,
            SHAFT_DIAMETER,
            "Shaft diameter ahead of the taper",
            near_in=facts.diameter_in,
            hint=_HINTS[SHAFT_DIAMETER],
        ),
        MeasurementRequest(
            END,
            SHAFT_LENGTH,
            "Overall length of the shaft",
            near_in=facts.length_in,
            hint=_HINTS[SHAFT_LENGTH],
        ),
    ]
    for what in FIGURES:
        if what == "hub draw":
            continue
        figure = None if standard is None else standard.figure(what)
        found.append(
            MeasurementRequest(
                END,
                what,
                what.capitalize(),
                kind="count" if what == THREADS else "size",
                near_in=None if figure is None else figure.nominal,
                stray=0.5 if what in _LENGTHS else 0.25,
                hint=_HINTS.get(what, ""),
            )
        )
    found += [
        MeasurementRequest(
            END,
            what,
            what.capitalize(),
            near_in=facts.diameter_in,
            stray=0.95,
            optional=True,
            hint=_HINTS.get(what, "No table here has it: fit it to this shaft."),
        )
        for what in EXTRAS
    ]
    return tuple(found)


def measured_end(figures: MeasurementSet) -> dict[str, float]:
    """The figures of the end by the names of `core.fitting.shaft.ends.FIGURES`."""
    found: dict[str, float] = {}
    for what in FIGURES:
        value = figures.number(END, what) if what == THREADS else figures.length_in(END, what)
        if value is not None:
            found[what] = value
    return found


def end_result(figures: MeasurementSet, facts: FitFacts) -> EndResult:
    """Taper, draw and every figure against the standard."""
    standard, why_none = standard_of(figures, facts)
    measured = measured_end(figures)
    try:
        taper = _taper(figures, facts, measured)
        draw = _draw(standard, measured)
        compared = () if standard is None else _compared(standard, measured)
    except ShaftlogError as error:
        report = trouble_report(error)
        return EndResult(standard, why_none, None, None, (), report)
    verdict = _verdict(standard, why_none, compared)
    report = Report(
        good=_good(compared, taper),
        verdict=verdict,
        verdicts=(verdict.partition(":")[0].lower(),),
        summary=taper.words if taper else "",
        chapters=chapters(
            ("Propeller hub", [] if draw is None else [sentence(draw.words) + "."]),
            ("Against the standard", [f"{sentence(c.what)}: {c.words}" for c in compared]),
        ),
        missing=_missing(figures, facts),
        cautions=(
            "Blunt the thread's end and the keyway's edges before hands go over them; lift "
            "a long shaft with two slings or two people.",
        ),
        notes=_notes(standard),
    )
    return EndResult(standard, why_none, taper, draw, compared, report)


def _compared(standard: StandardEnd, measured: dict[str, float]) -> tuple[EndComparison, ...]:
    """Every figure that is measured here; the draw follows from two of them."""
    found = compare_end(measured=measured, standard=standard)
    return tuple(one for one in found if one.what != "hub draw")


def _taper(
    figures: MeasurementSet, facts: FitFacts, measured: dict[str, float]
) -> TaperName | None:
    if "small end" not in measured or "taper length" not in measured:
        return None
    return identify_taper(
        large_in=figures.length_in(END, SHAFT_DIAMETER) or facts.diameter_in,
        small_in=measured["small end"],
        length_in=measured["taper length"],
    )


def _draw(standard: StandardEnd | None, measured: dict[str, float]) -> HubDraw | None:
    if standard is None or "small end" not in measured or "hub small end" not in measured:
        return None
    return hub_draw(
        shaft_small_end_in=measured["small end"],
        hub_small_end_in=measured["hub small end"],
        standard=standard,
    )


def _good(compared: tuple[EndComparison, ...], taper: TaperName | None) -> bool | None:
    words = {c.word for c in compared}
    if words & BAD or (taper is not None and not taper.name):
        return False
    return True if words & GOOD and "not measured" not in words else None


def _verdict(
    standard: StandardEnd | None, why_none: str, compared: tuple[EndComparison, ...]
) -> str:
    if standard is None:
        return f"NO STANDARD END: {why_none}. Keep what is measured."
    name = f"{standard.standard}, {format_shop_size(standard.diameter_in)} shaft"
    off = [f"{c.what} {c.word}" for c in compared if c.word in BAD]
    if off:
        return f"NOT TO STANDARD: {', '.join(off)} ({name})"
    known = [c for c in compared if c.word in GOOD]
    if not known:
        return f"NOT MEASURED: the end is compared with {name}"
    wanted = [c for c in compared if c.word != "no figure"]
    if len(known) < len(wanted):
        return f"TO STANDARD SO FAR: {len(known)} of {len(wanted)} figures agree ({name})"
    return f"TO STANDARD: all {len(known)} figures agree ({name})"


def _missing(figures: MeasurementSet, facts: FitFacts) -> tuple[str, ...]:
    return tuple(
        w.label[:1].lower() + w.label[1:]
        for w in end_wanted(figures, facts)
        if not w.optional and figures.find(w.subject, w.what) is None
    )


def _notes(standard: StandardEnd | None) -> tuple[str, ...]:
    if standard is None:
        return ("Nut, jam nut and cotter are fitted to this shaft: no table here has them.",)
    memory = [f.what for f in standard.figures if "memory" in f.status or "not" in f.status]
    doubt = f"Not verified or not printed: {', '.join(memory)}." if memory else ""
    hub = standard.hub_taper_tolerance_in_per_ft
    hub_words = "" if hub is None else f"Hub taper may be less by {format_inch(hub)} per foot."
    return tuple(w for w in (f"Source: {standard.source}.", doubt, hub_words) if w)
