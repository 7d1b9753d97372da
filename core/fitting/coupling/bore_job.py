"""The coupling bore of one job: which figures to measure, and what they say together.

Chosen things stand as measurements of the subject 'coupling setup', single figures of the hub under
'coupling', diameters under 'bore' and 'seat'. Inches. Verdicts by `core.fitting.coupling.bore`,
forces by `core.fitting.coupling.press_text`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.units import format_dial, format_length, format_shop_size
from core.fitting.coupling.bore import (
    BoreFit,
    Clearance,
    DiameterReading,
    fit,
)
from core.fitting.coupling.bore_setup import BoreSetup, bore_setup
from core.fitting.coupling.fits import class_limits, coupling_practices
from core.fitting.coupling.press_text import HEAT_CAUTIONS, LAW_CAUTION, PUSH_CAUTION, press_words
from core.fitting.measured.band import Band, clearance_words
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import (
    SKIPPED,
    MeasurementRequest,
    MeasurementSet,
    places_of,
)
from core.fitting.measured.report import (
    Report,
    ReportSection,
    chapters,
    sentence,
    shout,
    trouble_report,
)

HUB = "coupling"
DIAMETERS = ("bore", "seat")
SUBJECTS = (*DIAMETERS, HUB)
"""What is measured on the screen."""
DEPTHS_IN = (0.5, 1.75, 3.0)
MOST_PLACES = 8
TAPER_STRAY, STRAIGHT_STRAY = 0.30, 0.05
GOOD, BAD = {"right"}, {"too tight", "too loose", "tight and loose", "not right"}


def check_places(what: str, places: tuple[float, ...], most: float) -> None:
    """Raise ShaftlogError for a list of depths or clocks that cannot be measured at."""
    if not places:
        raise ShaftlogError(f"Type the {what} with blanks between them, such as 0.5 1.75 3.")
    if len(places) > MOST_PLACES:
        raise ShaftlogError(f"{len(places)} {what} are too many here: {MOST_PLACES} at most.")
    if places[0] < 0 or places[-1] > most:
        raise ShaftlogError(f"The {what} lie between 0 and {most:g}. Check the list.")


def bore_wanted(figures: MeasurementSet, facts: FitFacts) -> tuple[MeasurementRequest, ...]:
    """The figures to measure, in the order of the bench."""
    setup = bore_setup(figures, facts)
    stray = TAPER_STRAY if setup.kind == "tapered" else STRAIGHT_STRAY
    found = [
        MeasurementRequest(
            subject,
            "diameter",
            _label(subject, depth, clock),
            depth,
            clock,
            near_in=setup.nominal_in,
            stray=stray,
            hint=_DIAMETER_HINT,
        )
        for subject in DIAMETERS
        for depth in places_of(figures, subject, "diameter", setup.depths_in, DEPTHS_IN)
        for clock in setup.clocks_deg
    ]
    return (*found, *_hub_wanted(setup))


_DIAMETER_HINT = "Depth counts from the coupling face end, clock from the keyway."


def _label(subject: str, depth_in: float | None, clock_deg: float) -> str:
    name = "Bore" if subject == "bore" else "Shaft seat"
    place = "" if depth_in is None else f" at {format_length(depth_in, 2)}"
    return f"{name}{place}, clock {clock_deg:g}"


def _hub_wanted(setup: BoreSetup) -> list[MeasurementRequest]:
    found = [
        MeasurementRequest(
            HUB,
            "hub outside",
            "Hub outside diameter",
            near_in=2 * setup.nominal_in,
            stray=0.9,
            hint="Over the hub behind the flange; for the wall, the press and a sleeve.",
        ),
        MeasurementRequest(
            HUB,
            "hub length",
            "Length of the fit",
            near_in=2 * setup.nominal_in,
            stray=0.9,
            hint="Length over which bore and shaft touch; for the press and the torque held.",
        ),
    ]
    if setup.kind == "split":
        found.append(
            MeasurementRequest(
                HUB,
                "split gap",
                "Gap of the split, bolts tight",
                least_in=0.0,
                most_in=2.0,
                hint="Feeler in the split with the bolts tight; 0 = it is closed.",
            )
        )
    if setup.kind == "tapered":
        found.append(
            MeasurementRequest(
                HUB,
                "blueing share",
                "Blueing, part of the area in %",
                kind="share",
                hint="Blue the taper, push the hub on, pull it off: how much of it is marked?",
            )
        )
    found.append(
        MeasurementRequest(
            HUB,
            "setback",
            "Shaft end inside the face",
            least_in=0.0,
            most_in=24.0,
            optional=True,
            hint="How far the shaft end stands inside the coupling face.",
        )
    )
    return found


@dataclass(frozen=True)
class BoreResult:
    """All that one set says."""

    setup: BoreSetup
    fit: BoreFit | None
    """None when the figures contradict each other; `trouble` says how."""
    trouble: str
    report: Report


def bore_result(figures: MeasurementSet, facts: FitFacts) -> BoreResult:
    """Fit, verdict and words of the set that `figures` is seen from."""
    setup = bore_setup(figures, facts)
    try:
        worked = _fit(figures, facts, setup)
    except ShaftlogError as error:
        return BoreResult(setup, None, str(error), trouble_report(error))
    return BoreResult(setup, worked, "", _report(figures, facts, setup, worked))


def diameters(figures: MeasurementSet, subject: str) -> tuple[DiameterReading, ...]:
    """The diameters of bore or seat that stand."""
    return tuple(
        DiameterReading(m.depth_in or 0.0, math.radians(m.clock_deg or 0.0), m.value_in)
        for m in figures.all_of(subject, "diameter")
        if m.value_in is not None and m.raw != SKIPPED
    )


def _band(setup: BoreSetup, facts: FitFacts) -> Band | None:
    return None if setup.fit_class else facts.band


def _fit(figures: MeasurementSet, facts: FitFacts, setup: BoreSetup) -> BoreFit:
    share = figures.number(HUB, "blueing share")
    return fit(
        bore=diameters(figures, "bore"),
        seat=diameters(figures, "seat"),
        kind=setup.kind,
        nominal_in=setup.nominal_in,
        band=_band(setup, facts),
        fit_class=setup.fit_class,
        bore_u95_in=setup.bore_u95_in,
        seat_u95_in=setup.seat_u95_in,
        setback_in=figures.length_in(HUB, "setback"),
        rule=facts.rule,
        hub_outside_in=figures.length_in(HUB, "hub outside"),
        split_gap_in=figures.length_in(HUB, "split gap"),
        wanted_interference_in=setup.wanted_interference_in,
        blue_share=None if share is None else share / 100,
    )


def _report(figures: MeasurementSet, facts: FitFacts, setup: BoreSetup, worked: BoreFit) -> Report:
    word = worked.verdict.word
    press: tuple[ReportSection, ...] = ()
    press_missing: tuple[str, ...] = ()
    clearance = worked.clearance
    if clearance is not None and clearance.least_in < -1e-6:
        press, press_missing = press_words(figures, facts, setup, clearance)
    return Report(
        good=True if word in GOOD else False if word in BAD else None,
        verdict=shout(word, worked.verdict.words),
        verdicts=(word,),
        summary=clearance_line(clearance) if clearance else "",
        chapters=(
            *chapters(
                ("Is this figure right?", [doubt.sentence for doubt in worked.doubts]),
                ("Fit", _fit_lines(setup, facts, worked)),
                ("Form", [s.words for s in (worked.bore, worked.seat) if s is not None]),
                ("Taper", _taper_lines(worked)),
            ),
            *press,
            *chapters(("To make it fit", [sentence(r.words) for r in worked.remedies])),
        ),
        missing=(*worked.missing, *press_missing),
        cautions=() if worked.taper is None and not press else _cautions(bool(press)),
        notes=worked.notes,
        asides=tuple(practice_lines(setup)),
    )


def _cautions(pressed: bool) -> tuple[str, ...]:
    """Those for press and heat stand with their figures; a taper has them all here."""
    return (LAW_CAUTION,) if pressed else (PUSH_CAUTION, *HEAT_CAUTIONS, LAW_CAUTION)


def clearance_line(clearance: Clearance) -> str:
    """'Interference 0.4 to 1.0 thou, mean 0.7 thou; +-0.3 thou.'"""
    least, mean, most = clearance.least_in, clearance.mean_in, clearance.most_in
    unsure = f"+-{format_dial(clearance.u95_in)}"
    if least < 0 < most:
        return (
            f"{sentence(clearance_words(least))} to {clearance_words(most)}, mean "
            f"{clearance_words(mean)}; {unsure}."
        )
    name = "Clearance" if most > 0 else "Interference"
    low, high = sorted((abs(least), abs(most)))
    return (
        f"{name} {format_dial(low, unit=False)} to {format_dial(high)}, mean "
        f"{format_dial(abs(mean))}; {unsure}."
    )


def _fit_lines(setup: BoreSetup, facts: FitFacts, worked: BoreFit) -> list[str]:
    lines = []
    if worked.band is not None and setup.kind != "tapered":
        least, most = worked.band.least_in, worked.band.most_in
        lines.append(
            f"Wanted: {worked.band.name}, {format_dial(least, unit=False)} to "
            f"{format_dial(most)} clearance (minus = interference). Source: {worked.band.source}."
        )
        lines.append(f"Rule of acceptance: {facts.rule}.")
    lines += [sentence(words) for words in worked.class_words]
    if setup.fit_class and not worked.class_words and worked.band is None:
        lines.append(f"Class {setup.fit_class} is chosen.")
    return lines


def _taper_lines(worked: BoreFit) -> list[str]:
    taper = worked.taper
    if taper is None:
        return []
    lines = [
        f"Bore {taper.bore_taper_in_per_ft:.4f}, seat {taper.seat_taper_in_per_ft:.4f} in per "
        f"foot; they differ by {taper.mismatch_in_per_ft:+.4f} "
        f"+-{taper.mismatch_u95_in_per_ft:.4f}.",
        sentence(taper.angle_words) + ".",
        sentence(taper.blue_words) + ".",
        f"First touch with the shaft end {format_length(abs(taper.first_touch_in), 3)} "
        f"{'beyond' if taper.first_touch_in >= 0 else 'short of'} flush with the face end.",
    ]
    if taper.draw_up_in is not None:
        lines.append(
            f"Draw it up {format_length(taper.draw_up_in, 3)} from hand-tight for the interference "
            "wanted."
        )
    else:
        lines.append("Draw-up: no interference wanted has been set.")
    return lines


def practice_lines(setup: BoreSetup) -> list[str]:
    """What the trade says of straight bores, opinion by opinion."""
    if setup.kind == "tapered":
        return []
    return [f"{sentence(p.name)}: {p.text} ({p.source})." for p in coupling_practices()]


def class_words(name: str, nominal_in: float) -> str:
    """A class of fit at a size in words, for the set-up; raises when the table has no row."""
    limits = class_limits(fit=name, diameter_in=nominal_in)
    mark = "" if limits.printed else f" ({limits.status})"
    return (
        f"= {format_dial(limits.clearance_min_in, unit=False)} to "
        f"{format_dial(limits.clearance_max_in)} at {format_shop_size(nominal_in)}{mark}"
    )
