"""Press and shrink fits: contact pressure, stresses, push-on force, torque held, heat to slip on.

::

            hub, outside D_o
       ______________________
      |______________________|   p = contact pressure at the fit, diameter d
      |  shaft, bore d_i     |   interference = shaft diameter - bore diameter (on diameter)
      |______________________|

Thick cylinders of two elastic materials, plane stress, constant pressure along the fit (Lame).
Not modelled: pressure peaks at the ends, the keyway, the flange beside the hub, roughness
flattened in pressing, spin. Lengths inches, stresses psi, forces lbf, torque lbf in, temperature F.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.positive import check_length, check_positive
from core.base.units import format_dial, format_length, format_station

FRICTION_LOW = 0.04
"""Friction coefficient implied by the published pressure factor table (0.040 to 0.044)."""
FRICTION_HIGH = 0.20
"""Dry steel pressed on steel; from memory, no source found."""
LEAST_WALL_IN = 1e-4
"""Outside less bore, below which there is no wall to speak of."""

CAUTIONS = (
    "Stand clear of the line of push: a part under load can fly. Use a guard and a gauge.",
    "Hot parts burn and hot oil can catch fire: gloves, face shield, no open flame near oil.",
    "Never heat a closed or plugged hub: trapped liquid bursts it.",
    "These figures do not replace the class society, local codes or the maker's own procedure.",
)


@dataclass(frozen=True)
class HubStress:
    """Stresses of the hub at its bore, where they are greatest, psi."""

    hoop_psi: float
    mises_psi: float
    """Von Mises, from hoop and radial = -pressure; no axial stress."""
    tresca_psi: float
    """Tresca: hoop + pressure."""
    growth_in: float
    """The hub's outside diameter grows by this, inches."""


@dataclass(frozen=True)
class ShaftStress:
    """Stresses of the shaft, psi; compression negative."""

    hoop_psi: float
    """Hoop stress at the fit."""
    tresca_psi: float
    """Tresca at the worst place: the bore when hollow."""


@dataclass(frozen=True)
class PressFit:
    """What one interference does."""

    diameter_in: float
    interference_in: float
    pressure_psi: float
    hub: HubStress
    shaft: ShaftStress
    hub_yield_psi: float | None
    shaft_yield_psi: float | None
    area_in2: float | None
    """Contact area; None when no length was given."""
    engine_torque_lbf_in: float | None
    friction: tuple[float, float]
    """Low and high friction coefficient."""
    missing: tuple[str, ...]
    """What was not given, and which answer it costs."""

    @property
    def push_lbf(self) -> tuple[float, float] | None:
        """Push-on force over the whole length at low and high friction; None = no length."""
        if self.area_in2 is None:
            return None
        low, high = self.friction
        grip = self.pressure_psi * self.area_in2
        return low * grip, high * grip

    @property
    def torque_lbf_in(self) -> tuple[float, float] | None:
        """Torque that friction alone holds, at low and high friction; None = no length."""
        if self.push_lbf is None:
            return None
        low, high = self.push_lbf
        return low * self.diameter_in / 2, high * self.diameter_in / 2

    @property
    def hub_yield_share(self) -> float | None:
        """Von Mises stress at the hub bore as a share of yield; 1 or more = it yields."""
        return None if self.hub_yield_psi is None else self.hub.mises_psi / self.hub_yield_psi

    @property
    def hub_words(self) -> str:
        """Plain words on the hub against yield, naming the criterion."""
        share = self.hub_yield_share
        if share is None:
            return "hub yield not known: cannot say"
        percent = f"hub bore at {share:.0%} of yield (von Mises)"
        if share >= 1:
            return f"{percent}: it yields and the grip is lost. Use less interference."
        return percent + (": little left" if share > 0.8 else "")

    @property
    def torque_words(self) -> str:
        """Plain words on friction grip against the engine's torque."""
        if self.torque_lbf_in is None:
            return "torque held by the fit: fit length not known, cannot say"
        if self.engine_torque_lbf_in is None:
            return "engine torque not known: cannot say whether the fit alone holds it"
        low, high = self.torque_lbf_in
        if low >= self.engine_torque_lbf_in:
            return "the fit alone holds the engine's torque even at low friction"
        if high < self.engine_torque_lbf_in:
            return "the fit alone does not hold the engine's torque: the key carries the rest"
        return "the fit may or may not hold the engine's torque: count on the key"


def _check_sizes(diameter_in: float, hub_outside_in: float, shaft_bore_in: float) -> None:
    check_length("fit diameter", diameter_in)
    check_length("hub outside diameter", hub_outside_in)
    if not hub_outside_in - diameter_in > LEAST_WALL_IN:
        raise ShaftlogError(
            f"The bore ({format_length(diameter_in)}) is not smaller than the hub outside "
            f"({format_length(hub_outside_in)}): no wall is left. Check which figure is which."
        )
    if not (shaft_bore_in >= 0 and diameter_in - shaft_bore_in > LEAST_WALL_IN):
        raise ShaftlogError(
            f"A hollow shaft needs a bore between 0 and {format_length(diameter_in)}; "
            f"{format_station(shaft_bore_in)} leaves no wall. Type 0 for a solid shaft."
        )


def _check_metals(**poissons: float) -> None:
    for name, value in poissons.items():
        if not 0 <= value < 0.5:
            what = name.replace("_", " ")
            raise ShaftlogError(f"The {what} lies between 0 and 0.5; here {value:g}.")


def contact_pressure_psi(
    *,
    diameter_in: float,
    hub_outside_in: float,
    interference_in: float,
    hub_e_psi: float,
    hub_poisson: float,
    shaft_e_psi: float,
    shaft_poisson: float,
    shaft_bore_in: float = 0.0,
) -> float:
    """Contact pressure, psi, of a diametral interference, inches.

    Raises
    ------
    ShaftlogError : no wall left, negative sizes or moduli, interference below zero.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., p.399, eq. 7-39.
    """
    _check_sizes(diameter_in, hub_outside_in, shaft_bore_in)
    check_positive(hub_modulus_psi=hub_e_psi, shaft_modulus_psi=shaft_e_psi)
    _check_metals(hub_poisson=hub_poisson, shaft_poisson=shaft_poisson)
    if not math.isfinite(interference_in) or interference_in < 0:
        raise ShaftlogError(
            f"Interference of {format_dial(interference_in)} is a clearance: nothing is pressed. "
            "Shaft less bore must be above zero for a press fit."
        )
    d2, o2, i2 = diameter_in**2, hub_outside_in**2, shaft_bore_in**2
    hub = ((o2 + d2) / (o2 - d2) + hub_poisson) / hub_e_psi
    shaft = ((d2 + i2) / (d2 - i2) - shaft_poisson) / shaft_e_psi
    return interference_in / (diameter_in * (hub + shaft))


def press_fit(
    *,
    diameter_in: float,
    hub_outside_in: float,
    interference_in: float,
    hub_e_psi: float,
    shaft_e_psi: float,
    hub_poisson: float = 0.29,
    shaft_poisson: float = 0.29,
    shaft_bore_in: float = 0.0,
    length_in: float | None = None,
    hub_yield_psi: float | None = None,
    shaft_yield_psi: float | None = None,
    engine_torque_lbf_in: float | None = None,
    friction_low: float = FRICTION_LOW,
    friction_high: float = FRICTION_HIGH,
) -> PressFit:
    """All that one interference does to hub and shaft.

    `interference_in` is shaft less bore, on diameter; `shaft_bore_in` 0 = solid shaft. Yields are
    tensile; what is None is named in `missing` and costs its answer. Raises ShaftlogError for a
    bore larger than the hub, no wall, negative sizes, or a clearance.

    References: pressure and hoop stress from Lame, see `contact_pressure_psi`; friction from the
    pressure factor table (`FRICTION_LOW`) and from memory (`FRICTION_HIGH`).
    """
    pressure = contact_pressure_psi(
        diameter_in=diameter_in,
        hub_outside_in=hub_outside_in,
        interference_in=interference_in,
        hub_e_psi=hub_e_psi,
        hub_poisson=hub_poisson,
        shaft_e_psi=shaft_e_psi,
        shaft_poisson=shaft_poisson,
        shaft_bore_in=shaft_bore_in,
    )
    check_positive(fit_length_in=length_in, engine_torque_lbf_in=engine_torque_lbf_in)
    check_positive(hub_yield_psi=hub_yield_psi, shaft_yield_psi=shaft_yield_psi)
    check_positive(friction_low=friction_low, friction_high=friction_high)
    if friction_high < friction_low:
        raise ShaftlogError("The high friction must not be below the low friction. Swap them.")
    area = None if length_in is None else math.pi * diameter_in * length_in
    return PressFit(
        diameter_in=diameter_in,
        interference_in=interference_in,
        pressure_psi=pressure,
        hub=_hub_stress(pressure, diameter_in, hub_outside_in, hub_e_psi),
        shaft=_shaft_stress(pressure, diameter_in, shaft_bore_in),
        hub_yield_psi=hub_yield_psi,
        shaft_yield_psi=shaft_yield_psi,
        area_in2=area,
        engine_torque_lbf_in=engine_torque_lbf_in,
        friction=(friction_low, friction_high),
        missing=_missing(length_in, hub_yield_psi, shaft_yield_psi, engine_torque_lbf_in),
    )


def _hub_stress(
    pressure_psi: float, diameter_in: float, outside_in: float, e_psi: float
) -> HubStress:
    d2, o2 = diameter_in**2, outside_in**2
    hoop = pressure_psi * (o2 + d2) / (o2 - d2)
    return HubStress(
        hoop_psi=hoop,
        mises_psi=math.sqrt(hoop**2 + hoop * pressure_psi + pressure_psi**2),
        tresca_psi=hoop + pressure_psi,
        growth_in=2 * pressure_psi * d2 * outside_in / (e_psi * (o2 - d2)),
    )


def _shaft_stress(pressure_psi: float, diameter_in: float, bore_in: float) -> ShaftStress:
    d2, i2 = diameter_in**2, bore_in**2
    at_fit = -pressure_psi * (d2 + i2) / (d2 - i2)
    return ShaftStress(at_fit, 2 * pressure_psi * d2 / (d2 - i2) if bore_in else pressure_psi)


def _missing(
    length_in: float | None,
    hub_yield_psi: float | None,
    shaft_yield_psi: float | None,
    engine_torque_lbf_in: float | None,
) -> tuple[str, ...]:
    wanted = (
        (length_in, "length of the fit: no push-on force, no torque held"),
        (hub_yield_psi, "yield of the hub: no verdict on the hub"),
        (shaft_yield_psi, "yield of the shaft: no verdict on the shaft"),
        (engine_torque_lbf_in, "engine torque: no verdict on grip"),
    )
    return tuple(words for value, words in wanted if value is None)
