"""Shaft diameter and bearing span of one job: what was given, what the formulas say.

Choices are stored under 'sizes'; power and speed with the vessel. Inches. Formulas by
`core.fitting.shaft.sizing`.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.quantities import POWER, STRESS
from core.base.units import (
    each_inch,
    format_length,
    format_shop_size,
    format_size,
    in_shop_unit,
    length_unit,
)
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet
from core.fitting.measured.report import Report, chapters, sentence, trouble_report
from core.fitting.shaft.sizing import (
    DEFAULT_WHIRL_MARGIN,
    BearingSpan,
    bearing_span,
    next_size_in,
    rule_of_thumb_diameter_in,
    safety_factor_of,
    shaft_diameter_in,
    shaft_power_hp,
    shaft_power_share,
    sizing_rules,
    torsional_yield_psi,
)
from core.tables.materials import DENSITY, TORSIONAL_YIELD, E, Material, Property, material

SIZES = "sizes"
POWERS = ("brake", "shaft")
"""Power as rated at the engine, or as it arrives at the shaft."""
BLADES = ("2", "3", "4")
_SERVICE_BEFORE = {
    "light gasoline yacht": "light pleasure boat",
    "average yacht": "pleasure boat",
    "long-range cruiser": "ocean passages",
    "high-performance racing": "racing boat",
    "pilot or patrol boat": "duty in any weather",
    "inspected passenger vessel": "passengers under survey",
}
"""Names that jobs up to November 2026 stored -> the present ones; the factors are the same."""


@dataclass(frozen=True)
class SizesSetup:
    """What was given; None = not given."""

    power_hp: float | None
    """At the shaft."""
    shaft_rpm: float | None
    material: str
    torsional_psi: float | None
    service: str
    safety_factor: float | None
    diameter_in: float
    span_in: float | None
    whirl_margin: float
    propeller_in: float | None
    blades: int


def services() -> tuple[tuple[str, float], ...]:
    """Kinds of service and the safety factor of each, the high end where a range is printed."""
    return tuple((rule.case, rule.high) for rule in sizing_rules("safety_factor"))


def sizes_setup(figures: MeasurementSet, facts: FitFacts) -> SizesSetup:
    """What the book holds."""
    service = figures.word(SIZES, "service")
    service = _SERVICE_BEFORE.get(service, service)
    factor = figures.number(SIZES, "safety factor") or dict(services()).get(service)
    power = facts.engine_hp
    if power is not None and figures.word(SIZES, "power at", POWERS[0]) == "brake":
        power = shaft_power_hp(brake_power_hp=power)
    return SizesSetup(
        power_hp=power,
        shaft_rpm=facts.shaft_rpm,
        material=figures.word(SIZES, "material") or facts.material,
        torsional_psi=figures.number(SIZES, "torsional yield psi"),
        service=service,
        safety_factor=factor,
        diameter_in=figures.length_in(SIZES, "diameter") or facts.diameter_in,
        span_in=figures.length_in(SIZES, "bearing span"),
        whirl_margin=figures.number(SIZES, "whirl margin") or DEFAULT_WHIRL_MARGIN,
        propeller_in=figures.length_in(SIZES, "propeller diameter"),
        blades=int(figures.number(SIZES, "blades") or 3),
    )


@dataclass(frozen=True)
class ShaftMetal:
    """The figures of the shaft's material that sizing needs."""

    torsional_psi: float | None
    e: Property | None
    density: Property | None
    lines: tuple[str, ...]
    """What was taken and from where."""


def shaft_metal(setup: SizesSetup, condition: str) -> ShaftMetal:
    """From the table, a typed torsional yield first."""
    try:
        found: Material | None = material(setup.material)
    except ShaftlogError:
        found = None
    if found is None:
        return ShaftMetal(setup.torsional_psi, None, None, ())
    torsional, words = _torsional(found, setup, condition)
    e, density = found.figure(E, condition), found.figure(DENSITY, condition)
    lines = [words] if words else []
    lines += [_figure_words(name, figure) for name, figure in (("Modulus", e), ("Density", density))
              if figure is not None]  # fmt: skip
    return ShaftMetal(torsional, e, density, (*lines, *found.disagreements()))


def _torsional(found: Material, setup: SizesSetup, condition: str) -> tuple[float | None, str]:
    if setup.torsional_psi is not None:
        return setup.torsional_psi, f"Torsional yield {STRESS.text(setup.torsional_psi)} as typed."
    own = found.figure(TORSIONAL_YIELD, condition)
    if own is not None:
        return own.value, _figure_words("Torsional yield", own)
    tensile = found.yield_figure(condition)
    if tensile is None:
        return None, ""
    value = torsional_yield_psi(tensile_yield_psi=tensile.value)
    return value, (
        f"Torsional yield {STRESS.text(value)}, two thirds of: {_figure_words('yield', tensile)}"
    )


def _figure_words(name: str, figure: Property) -> str:
    memory = " FROM MEMORY" if figure.from_memory else f" {figure.source}"
    return f"{name} {figure.shown}, {figure.condition};{memory}."


@dataclass(frozen=True)
class SizesResult:
    """All that the formulas say."""

    setup: SizesSetup
    least_in: float | None
    """Least diameter for the safety factor."""
    factor: float | None
    """Safety factor of the shaft there is."""
    span: BearingSpan | None
    report: Report


def sizes_result(figures: MeasurementSet, facts: FitFacts) -> SizesResult:
    """Diameter, factor and span from what was given."""
    setup = sizes_setup(figures, facts)
    metal = shaft_metal(setup, facts.condition)
    try:
        least, factor = _strength(setup, metal)
        span = _span(setup, metal)
        thumb = _thumb_lines(setup)
    except ShaftlogError as error:
        report = trouble_report(error)
        return SizesResult(setup, None, None, None, report)
    verdict, good = _verdict(setup, least, factor)
    report = Report(
        good=False if span is not None and (span.margin or 9.0) <= 1 else good,
        verdict=verdict,
        summary=_summary(span),
        chapters=chapters(
            ("Diameter", _diameter_lines(setup, least, factor)),
            ("Bearing span", [] if span is None else _span_lines(setup, span)),
            ("Rule of thumb from the propeller", thumb),
            ("Material", list(metal.lines)),
            ("Bearings, as the trade says", _bearing_lines()),
        ),
        missing=_missing(setup, metal),
        cautions=() if span is None else span.notes,
        notes=_notes(setup),
    )
    return SizesResult(setup, least, factor, span, report)


def _summary(span: BearingSpan | None) -> str:
    if span is None:
        return "Whirl: not worked out, see what is missing"
    return f"{sentence(span.words)}. The published span has no margin in it"


def _strength(setup: SizesSetup, metal: ShaftMetal) -> tuple[float | None, float | None]:
    if setup.power_hp is None or setup.shaft_rpm is None or metal.torsional_psi is None:
        return None, None
    factor = safety_factor_of(
        diameter_in=setup.diameter_in,
        power_hp=setup.power_hp,
        shaft_rpm=setup.shaft_rpm,
        torsional_yield_psi=metal.torsional_psi,
    )
    if setup.safety_factor is None:
        return None, factor
    least = shaft_diameter_in(
        power_hp=setup.power_hp,
        shaft_rpm=setup.shaft_rpm,
        torsional_yield_psi=metal.torsional_psi,
        safety_factor=setup.safety_factor,
    )
    return least, factor


def _span(setup: SizesSetup, metal: ShaftMetal) -> BearingSpan | None:
    if setup.shaft_rpm is None or metal.e is None or metal.density is None:
        return None
    return bearing_span(
        diameter_in=setup.diameter_in,
        shaft_rpm=setup.shaft_rpm,
        e_psi=metal.e.value,
        density_lb_in3=metal.density.value,
        span_in=setup.span_in,
        wanted_margin=setup.whirl_margin,
    )


def _verdict(
    setup: SizesSetup, least_in: float | None, factor: float | None
) -> tuple[str, bool | None]:
    size = format_shop_size(setup.diameter_in)
    if factor is None:
        return "NOT WORKED OUT: see what is missing", None
    if least_in is None or setup.safety_factor is None:
        return f"SAFETY FACTOR {factor:.2f} for {size}: choose the service for a verdict", None
    wanted = f"{setup.safety_factor:g} wanted"
    if setup.diameter_in >= least_in:
        return f"STRONG ENOUGH: {size} has a safety factor of {factor:.2f}, {wanted}", True
    return f"TOO THIN: {size} has a safety factor of {factor:.2f}, {wanted}", False


def _diameter_lines(setup: SizesSetup, least_in: float | None, factor: float | None) -> list[str]:
    if factor is None:
        return []
    lines = [
        f"{POWER.text(setup.power_hp or 0.0)} at the shaft, {setup.shaft_rpm:,.0f} rpm; "
        f"{format_length(setup.diameter_in)} has a safety factor of {factor:.2f} against torsional "
        "yield."
    ]
    if least_in is not None:
        lines.append(
            f"Least diameter for a factor of {setup.safety_factor:g}"
            f"{f' ({setup.service})' if setup.service else ''}: {format_length(least_in, 3)}."
        )
        lines.append(_next_size(least_in))
    return lines


def _next_size(least_in: float) -> str:
    try:
        return f"Next size of SAE J755: {format_size(next_size_in(least_in))}."
    except ShaftlogError as error:
        return str(error)


def _span_lines(setup: SizesSetup, span: BearingSpan) -> list[str]:
    lines = [
        f"Published formula: {format_length(span.formula_in, 1)}. NO MARGIN IN IT: that span runs "
        "at the whirling speed.",
        f"With a margin of {span.wanted_margin:g}: {format_length(span.with_margin_in, 1)} at "
        "most.",
        f"Trade rule of 20 to 40 diameters: {format_length(span.rule_low_in, 0, unit=False)} to "
        f"{format_length(span.rule_high_in, 0)}.",
    ]
    if span.critical_rpm is not None and span.span_in is not None:
        lines.insert(
            0,
            f"The {format_length(span.span_in, 1)} in the boat whirl at {span.critical_rpm:,.0f} "
            f"rpm; the shaft turns at {setup.shaft_rpm:,.0f}.",
        )
    return lines


def _thumb_lines(setup: SizesSetup) -> list[str]:
    if setup.propeller_in is None:
        return []
    lines = []
    for strong, words in ((False, "bronze or nickel-copper"), (True, "high-strength stainless")):
        size = rule_of_thumb_diameter_in(
            propeller_diameter_in=setup.propeller_in, blades=setup.blades, high_strength=strong
        )
        lines.append(f"{setup.blades} blades, {words}: {format_length(size, 2)}.")
    return lines


def _bearing_lines() -> list[str]:
    """Clearance and wear as found; the sources do not agree."""
    lines = []
    for rule in ("bearing_clearance_in", "bearing_clearance_per_in", "bearing_wear_in"):
        for row in sizing_rules(rule):
            low = _as_printed(row.low)
            span = low if row.low == row.high else f"{low} to {_as_printed(row.high)}"
            case = in_shop_unit(row.case).replace("each inch", f"each {each_inch()}")
            lines.append(f"{sentence(case)}: {span} {length_unit()} ({row.status}).")
    return lines


def _as_printed(value_in: float) -> str:
    return f"{value_in:g}" if length_unit() == "in" else format_length(value_in, unit=False)


def _missing(setup: SizesSetup, metal: ShaftMetal) -> tuple[str, ...]:
    wanted = (
        (setup.power_hp, "engine power: no strength"),
        (setup.shaft_rpm, "shaft rpm: no strength, no whirl"),
        (metal.torsional_psi, f"torsional yield of '{setup.material}': no strength"),
        (metal.e, f"modulus of '{setup.material}': no span, no whirl"),
        (metal.density, f"density of '{setup.material}': no span, no whirl"),
        (setup.safety_factor, "service or safety factor: no verdict on the diameter"),
        (setup.span_in, "span between bearings in the boat: no whirl margin"),
    )
    return tuple(words for value, words in wanted if value is None)


def _notes(setup: SizesSetup) -> tuple[str, ...]:
    return (
        "Sizes are a first check; propulsion shafting belongs to licensed people and the class "
        "society.",
        f"Brake power counts with {shaft_power_share():.0%} at the shaft (Boat Mechanical Systems "
        "Handbook); the keyway is covered by the safety factor.",
        f"A whirl margin of {setup.whirl_margin:g} is "
        + ("common practice, no source." if setup.whirl_margin == DEFAULT_WHIRL_MARGIN
           else "the shop's own."),
    )  # fmt: skip
