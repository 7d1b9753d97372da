"""Shaft diameter and bearing span from power, speed and material, with the whirl margin.

The diameter formula puts the shaft at torsional yield divided by a safety factor. The published
span formula puts the span exactly AT the first whirling speed of a bar on two knife edges: it
holds no margin in itself, so the margin is always shown beside it. Not modelled: propeller
overhang and weight, water carried along, soft bearings, keyways (the safety factor covers them).
Lengths inches, power hp, stresses psi, torque lbf in.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.positive import check_positive
from core.base.units import format_length
from core.tables.reader import read_table

GRAVITY_IN_S2 = 386.09
TORQUE_PER_HP = 63025.0
"""lbf in for one hp at one rpm: 12 x 33000 / (2 pi)."""
SIZING_CONSTANT = 321000.0
"""16 x 63025 / pi = 320983.7, as printed in the formula."""
SPAN_CONSTANT = 3.21
"""(pi / 2) sqrt(g) / 4 x 60 / 144 = 3.215, as printed in the formula."""
DEFAULT_WHIRL_MARGIN = 1.25
"""First whirling speed over shaft speed that a shop may ask for; common practice, no source."""
SPAN_WARNING = (
    "The published span formula has no margin in itself: it sets the span at the first whirling "
    "speed of the bare bar. Stay under it. Propulsion design belongs to licensed people."
)


def torque_lbf_in(*, power_hp: float, shaft_rpm: float) -> float:
    """Torque of the shaft, lbf in. `shaft_rpm` is after the gear, not the engine's.

    References: Machinery's Handbook; 63025 = 12 x 33000 / (2 pi), rounded.
    """
    check_positive(power_hp=power_hp, shaft_rpm=shaft_rpm)
    return TORQUE_PER_HP * power_hp / shaft_rpm


def shaft_power_hp(*, brake_power_hp: float) -> float:
    """Power at the shaft from the engine's rated brake power."""
    check_positive(brake_power_hp=brake_power_hp)
    return shaft_power_share() * brake_power_hp


def shaft_power_share() -> float:
    """Shaft power as a share of rated brake power.

    Source: Boat Mechanical Systems Handbook, formula 1-2, by the table of sizing rules.
    """
    return sizing_rules("shaft_power_factor")[0].low


def torsional_yield_psi(*, tensile_yield_psi: float) -> float:
    """Torsional yield used for sizing: two thirds of tensile yield (steel, nickel alloys).

    Source: ABYC P-6, July 2002, by the table of sizing rules.
    """
    check_positive(tensile_yield_psi=tensile_yield_psi)
    return sizing_rules("torsional_yield_share")[0].low * tensile_yield_psi


def shaft_diameter_in(
    *, power_hp: float, shaft_rpm: float, torsional_yield_psi: float, safety_factor: float
) -> float:
    """Least shaft diameter, inches: (321000 hp SF / (yield rpm))^(1/3).

    Parameters
    ----------
    power_hp : power at the shaft.
    shaft_rpm : speed of the shaft.
    torsional_yield_psi : yield in torsion.
    safety_factor : see `safety_factors`; it covers the keyway.

    References
    ----------
    Boat Mechanical Systems Handbook, formula 1-2.
    """
    check_positive(power_hp=power_hp, shaft_rpm=shaft_rpm)
    check_positive(torsional_yield_psi=torsional_yield_psi, safety_factor=safety_factor)
    cube = SIZING_CONSTANT * power_hp * safety_factor / (torsional_yield_psi * shaft_rpm)
    return float(cube ** (1 / 3))


def safety_factor_of(
    *, diameter_in: float, power_hp: float, shaft_rpm: float, torsional_yield_psi: float
) -> float:
    """Safety factor that an existing diameter has: the sizing formula turned round."""
    check_positive(diameter_in=diameter_in, power_hp=power_hp, shaft_rpm=shaft_rpm)
    check_positive(torsional_yield_psi=torsional_yield_psi)
    return diameter_in**3 * torsional_yield_psi * shaft_rpm / (SIZING_CONSTANT * power_hp)


def next_size_in(diameter_in: float) -> float:
    """The next standard shaft of the J755 table at or above a computed diameter, inches."""
    check_positive(diameter_in=diameter_in)
    sizes = [float(row["diameter_in"]) for row in read_table("shaft_ends_sae_j755")]
    for size in sizes:
        if size >= diameter_in - 0.005:
            return size
    raise ShaftlogError(
        f"{format_length(diameter_in)} is above the largest shaft of the table "
        f"({format_length(sizes[-1])}). Check power and speed; ask a naval architect."
    )


@dataclass(frozen=True)
class SizingRule:
    """One line of the shop's rules of thumb, with where it comes from."""

    case: str
    low: float
    high: float
    """Equal to `low` when only one figure is given."""
    status: str
    source: str


def sizing_rules(rule: str) -> tuple[SizingRule, ...]:
    """Rows of one rule: 'safety_factor', 'propeller_divisor', 'span_diameters', 'bearing_wear_in'
    and the others of the table."""
    rows = [row for row in read_table("shaft_sizing_rules") if row["rule"] == rule]
    if not rows:
        raise ShaftlogError(f"There is no sizing rule called '{rule}'.")
    return tuple(
        SizingRule(
            row["case"],
            float(row["low"]),
            float(row["high"] or row["low"]),
            row["status"],
            row["source"],
        )
        for row in rows
    )


def rule_of_thumb_diameter_in(
    *, propeller_diameter_in: float, blades: int, high_strength: bool
) -> float:
    """Shaft diameter from the propeller alone: its diameter over a divisor, inches.

    `high_strength` is True for high-strength stainless, False for bronze or nickel-copper.

    References: Boat Mechanical Systems Handbook, formula 1-2.
    """
    check_positive(propeller_diameter_in=propeller_diameter_in)
    metal = "high-strength stainless" if high_strength else "bronze or nickel-copper"
    for rule in sizing_rules("propeller_divisor"):
        if rule.case == f"{blades} blades, {metal} shaft":
            return propeller_diameter_in / rule.low
    raise ShaftlogError(f"The rule of thumb knows 2, 3 and 4 blades, not {blades}.")


def formula_span_in(
    *, diameter_in: float, shaft_rpm: float, e_psi: float, density_lb_in3: float
) -> float:
    """Bearing span of the published formula, inches; no margin in itself.

    L_ft = sqrt(3.21 D / rpm) (E / density)^(1/4).

    References: two boat-building pages print the same form; 3.21 is recomputed as 3.215 from the
    first whirling speed of a bar on two knife edges.
    """
    check_positive(diameter_in=diameter_in, shaft_rpm=shaft_rpm)
    check_positive(e_psi=e_psi, density_lb_in3=density_lb_in3)
    stiff = (e_psi / density_lb_in3) ** 0.25
    return float(12 * math.sqrt(SPAN_CONSTANT * diameter_in / shaft_rpm) * stiff)


def critical_rpm(
    *, diameter_in: float, span_in: float, e_psi: float, density_lb_in3: float
) -> float:
    """First whirling speed of a uniform round bar on two knife edges, rpm.

    omega = (pi / L)^2 (D / 4) sqrt(E g / density).

    Source: textbook formula of vibration, Euler beam on pins.
    """
    check_positive(diameter_in=diameter_in, span_in=span_in)
    check_positive(e_psi=e_psi, density_lb_in3=density_lb_in3)
    wave_in_s = math.sqrt(e_psi * GRAVITY_IN_S2 / density_lb_in3)
    return (math.pi / span_in) ** 2 * diameter_in / 4 * wave_in_s * 30 / math.pi


@dataclass(frozen=True)
class BearingSpan:
    """What a bearing span means for one shaft. Lengths inches."""

    formula_in: float
    """The published formula: at the whirling speed, no margin."""
    with_margin_in: float
    """Longest span that keeps the wanted margin."""
    wanted_margin: float
    span_in: float | None
    """The span in the boat; None = not measured."""
    critical_rpm: float | None
    """First whirling speed of that span."""
    margin: float | None
    """Whirling speed over shaft speed; 1 or less = the shaft runs through whirl."""
    rule_low_in: float
    rule_high_in: float
    """Trade rule of 20 to 40 shaft diameters."""
    words: str
    notes: tuple[str, ...]


def bearing_span(
    *,
    diameter_in: float,
    shaft_rpm: float,
    e_psi: float,
    density_lb_in3: float,
    span_in: float | None = None,
    wanted_margin: float = DEFAULT_WHIRL_MARGIN,
) -> BearingSpan:
    """Span by formula, span with margin, and the margin of the span there is.

    Span with margin = formula span from the exact constant / sqrt(margin), since whirling speed
    goes with one over span squared.
    """
    check_positive(wanted_whirl_margin=wanted_margin)
    formula = formula_span_in(
        diameter_in=diameter_in,
        shaft_rpm=shaft_rpm,
        e_psi=e_psi,
        density_lb_in3=density_lb_in3,
    )
    at_one_inch = critical_rpm(
        diameter_in=diameter_in, span_in=1.0, e_psi=e_psi, density_lb_in3=density_lb_in3
    )
    allowed = math.sqrt(at_one_inch / (shaft_rpm * wanted_margin))
    critical = margin = None
    if span_in is not None:
        check_positive(span_in=span_in)
        critical = at_one_inch / span_in**2
        margin = critical / shaft_rpm
    rule = sizing_rules("span_diameters")[0]
    return BearingSpan(
        formula_in=formula,
        with_margin_in=allowed,
        wanted_margin=wanted_margin,
        span_in=span_in,
        critical_rpm=critical,
        margin=margin,
        rule_low_in=rule.low * diameter_in,
        rule_high_in=rule.high * diameter_in,
        words=_span_words(margin, wanted_margin),
        notes=(
            SPAN_WARNING,
            "Water carried round the shaft and the propeller's overhang lower the whirling speed.",
        ),
    )


def _span_words(margin: float | None, wanted: float) -> str:
    if margin is None:
        return "span in the boat not given: no whirl margin"
    if margin <= 1:
        return f"whirl: the shaft runs at or above its whirling speed (ratio {margin:.2f})"
    if margin < wanted:
        return f"too little whirl margin: ratio {margin:.2f}, wanted {wanted:.2f}"
    return f"whirl margin in order: ratio {margin:.2f}, wanted {wanted:.2f}"
