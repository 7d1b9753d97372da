"""Interference of a coupling put into words: pressure, hoop stress, push, torque held, heat."""

from __future__ import annotations

from collections.abc import Callable

from core.base.dial_unit import shown_dial_unit
from core.base.errors import ShaftlogError
from core.base.quantities import FORCE, POWER, STRESS, TEMPERATURE, TORQUE, Quantity
from core.base.units import format_dial
from core.fitting.coupling.bore import Clearance
from core.fitting.coupling.bore_setup import BoreSetup
from core.fitting.coupling.press_fit import CAUTIONS, PressFit, press_fit
from core.fitting.coupling.warm_fit import slip_on_heat
from core.fitting.measured.facts import FitFacts, Metal, metal
from core.fitting.measured.measurements import MeasurementSet
from core.fitting.measured.report import ReportSection, chapters, sentence

NAMES = ("least", "mean", "most")
POISSON = 0.29
"""Taken where the table has none for the material; the answer hardly depends on it."""

PUSH_CAUTION, *HEAT_CAUTIONS, LAW_CAUTION = CAUTIONS

Words = tuple[tuple[ReportSection, ...], tuple[str, ...]]
"""Chapters, and what is missing for them."""


def press_words(
    figures: MeasurementSet, facts: FitFacts, setup: BoreSetup, clearance: Clearance
) -> Words:
    """What the interference does, as far as sizes and materials are known."""
    outside = figures.length_in("coupling", "hub outside")
    hub, shaft = metal(setup.hub_material), metal(facts.material, facts.condition)
    missing = _missing(facts, outside, hub, shaft, setup)
    heat = heat_words(setup.nominal_in, clearance, hub)
    if outside is None or hub is None or shaft is None or hub.e is None or shaft.e is None:
        return chapters(("Press", ["Not worked out yet: see what is missing."]), heat), missing
    fits = [
        _press(figures, facts, setup, (outside, size_in), (hub, shaft)) if size_in > 0 else None
        for size_in in clearance.safe_interference_in
    ]
    worst = fits[2]
    if worst is None:
        return (), missing
    lines = [*_table(fits), _gauge_line(clearance), sentence(worst.hub_words) + "."]
    lines.append(_torque_line(fits[0]))
    lines += [_engine_line(facts), *hub.remarks, *shaft.remarks, PUSH_CAUTION]
    return chapters(("Press", lines), heat), missing


def _press(
    figures: MeasurementSet,
    facts: FitFacts,
    setup: BoreSetup,
    sizes_in: tuple[float, float],
    metals: tuple[Metal, Metal],
) -> PressFit:
    hub, shaft = metals
    assert hub.e is not None
    assert shaft.e is not None
    hub_yield = hub.yield_stress.value if hub.yield_stress else None
    return press_fit(
        diameter_in=setup.nominal_in,
        hub_outside_in=sizes_in[0],
        interference_in=sizes_in[1],
        hub_e_psi=hub.e.value,
        shaft_e_psi=shaft.e.value,
        hub_poisson=hub.poisson.value if hub.poisson else POISSON,
        shaft_poisson=shaft.poisson.value if shaft.poisson else POISSON,
        length_in=figures.length_in("coupling", "hub length"),
        hub_yield_psi=setup.hub_yield_psi or hub_yield,
        shaft_yield_psi=shaft.yield_stress.value if shaft.yield_stress else None,
        engine_torque_lbf_in=facts.torque_lbf_in,
    )


def _missing(
    facts: FitFacts,
    outside_in: float | None,
    hub: Metal | None,
    shaft: Metal | None,
    setup: BoreSetup,
) -> tuple[str, ...]:
    wanted = (
        (outside_in is None, "hub outside diameter: no pressure, no stress"),
        (hub is None, "hub material: no pressure, no heat"),
        (shaft is None, f"figures of the shaft material '{facts.material}': no pressure"),
        (hub is not None and hub.expansion is None, "thermal expansion of the hub: no heat"),
        (facts.torque_lbf_in is None, "engine power and shaft rpm: no verdict on grip"),
        (
            hub is not None and hub.yield_stress is None and setup.hub_yield_psi is None,
            "yield of the hub: no verdict on the hub",
        ),
    )
    return tuple(words for lacking, words in wanted if lacking)


def _table(fits: list[PressFit | None]) -> list[str]:
    """Rows of figures for least, mean and most interference."""
    rows: tuple[tuple[str, Callable[[PressFit], str]], ...] = (
        (
            f"Interference, {shown_dial_unit()}",
            lambda f: format_dial(f.interference_in, unit=False),
        ),
        (f"Pressure, {STRESS.unit}", lambda f: STRESS.number(f.pressure_psi)),
        (f"Hub hoop stress, {STRESS.unit}", lambda f: STRESS.number(f.hub.hoop_psi)),
        (f"Push-on force, {FORCE.unit}", lambda f: _range(f.push_lbf, FORCE)),
        (f"Torque held, {TORQUE.unit}", lambda f: _range(f.torque_lbf_in, TORQUE)),
    )
    lines = [f"{'':<21}" + "".join(f"{name:>18}" for name in NAMES)]
    for title, words in rows:
        cells = "".join(f"{'none' if f is None else words(f):>18}" for f in fits)
        lines.append(f"{title:<21}{cells}")
    lines.append("Low to high friction: 0.04 (printed) to 0.20 (from memory).")
    return lines


def _range(pair: tuple[float, float] | None, of: Quantity) -> str:
    return "no length" if pair is None else f"{of.number(pair[0])} - {of.number(pair[1])}"


def _gauge_line(clearance: Clearance) -> str:
    return (
        f"Least and most are {format_dial(clearance.u95_in)} wider, as much as the gauges may err."
    )


def _torque_line(least: PressFit | None) -> str:
    if least is None:
        return (
            "At the loosest place there may be no interference: count on the key, not on the grip."
        )
    return sentence(least.torque_words) + " (least interference)."


def _engine_line(facts: FitFacts) -> str:
    torque = facts.torque_lbf_in
    if torque is None:
        return "Engine torque: not known, as the engine's power or the shaft's rpm is missing."
    power = f"{POWER.typed(facts.engine_hp)} {POWER.unit}"
    engine = f"{power} at {facts.shaft_rpm:g} rpm, no loss in the gear"
    return f"Engine torque {TORQUE.text(torque)} ({engine})."


def heat_words(
    diameter_in: float, clearance: Clearance, hub: Metal | None
) -> tuple[str, list[str]]:
    """Heat for a slip-on over the most interference: title and sentences."""
    title = "Heat for a slip-on"
    if hub is None or hub.expansion is None:
        return title, []
    try:
        heat = slip_on_heat(
            diameter_in=diameter_in,
            interference_in=clearance.safe_interference_in[2],
            hub_expansion_per_f=hub.expansion.value,
        )
    except ShaftlogError as error:
        return title, [str(error)]
    memory = " (expansion from memory)" if hub.expansion.from_memory else ""
    return title, [
        f"Hub to {TEMPERATURE.text(heat.heat_to_f)} over a shaft at "
        f"{TEMPERATURE.text(heat.ambient_f)}: opens the bore by "
        f"{format_dial(heat.interference_in)} and {format_dial(heat.slip_clearance_in)} of sliding "
        f"room{memory}.",
        heat.caution,
        *HEAT_CAUTIONS,
    ]
