"""Shear and bearing stress in a key at the engine's torque. Inches, lbf, psi, lbf in."""

from __future__ import annotations

from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.positive import check_positive
from core.base.units import format_length

SHEAR_SHARE = 0.577
"""Shear yield over tensile yield by von Mises (distortion energy)."""
DEFAULT_STRENGTH_FACTOR = 2.0
"""Least factor a shop may ask for; common practice, no source."""


@dataclass(frozen=True)
class KeyStress:
    """What the torque does to the key and the keyway sides. Friction of the fit is not counted."""

    torque_lbf_in: float
    force_lbf: float
    """Force on the key's side: torque over half the shaft diameter."""
    working_length_in: float
    """Length that carries: the key in both keyways, rounded ends taken off."""
    shear_psi: float
    shaft_bearing_psi: float
    hub_bearing_psi: float
    shear_factor: float | None
    """Shear yield (0.577 of tensile yield, von Mises) over shear stress; None = yield unknown."""
    bearing_factor: float | None
    """Least of yield over bearing stress: key, shaft and hub as far as their yields are known."""
    wanted_factor: float
    words: str


def key_stress(
    *,
    torque_lbf_in: float,
    diameter_in: float,
    width_in: float,
    working_length_in: float,
    shaft_side_in: float,
    hub_side_in: float,
    key_yield_psi: float | None = None,
    shaft_yield_psi: float | None = None,
    hub_yield_psi: float | None = None,
    wanted_factor: float = DEFAULT_STRENGTH_FACTOR,
) -> KeyStress:
    """Stresses of one key; `*_side_in` is the height of its side bearing on shaft and on hub.

    `diameter_in` is the shaft where the key sits (middle of the key on a taper).

    References: Shigley's Mechanical Engineering Design, keys and pins: F = T / r,
    shear = F / (t l), bearing on half the key's height; shear yield 0.577 of tensile yield.
    """
    check_positive(torque_lbf_in=torque_lbf_in, shaft_diameter_in=diameter_in)
    check_positive(key_width_in=width_in, working_length_in=working_length_in)
    check_positive(key_side_in_the_shaft_in=shaft_side_in, key_side_in_the_hub_in=hub_side_in)
    force = 2 * torque_lbf_in / diameter_in
    shear = force / (width_in * working_length_in)
    on_shaft = force / (shaft_side_in * working_length_in)
    on_hub = force / (hub_side_in * working_length_in)
    shear_factor = None if key_yield_psi is None else SHEAR_SHARE * key_yield_psi / shear
    pairs = (
        (key_yield_psi, max(on_shaft, on_hub)),
        (shaft_yield_psi, on_shaft),
        (hub_yield_psi, on_hub),
    )
    sides = (("shaft", shaft_yield_psi), ("hub", hub_yield_psi))
    unknown = " and ".join(name for name, value in sides if value is None)
    bearing_factor = min((y / stress for y, stress in pairs if y is not None), default=None)
    return KeyStress(
        torque_lbf_in=torque_lbf_in,
        force_lbf=force,
        working_length_in=working_length_in,
        shear_psi=shear,
        shaft_bearing_psi=on_shaft,
        hub_bearing_psi=on_hub,
        shear_factor=shear_factor,
        bearing_factor=bearing_factor,
        wanted_factor=wanted_factor,
        words=_words(shear_factor, bearing_factor, wanted_factor, unknown),
    )


def _words(shear: float | None, bearing: float | None, wanted: float, unknown: str) -> str:
    """`unknown`: parts whose yield is not known; the softest side yields first."""
    if shear is None or bearing is None:
        return "yield of the key not known: stresses only, no verdict"
    least, where = min((shear, "shear"), (bearing, "bearing on the sides"))
    if least < 1:
        return f"the key yields in {where} at this torque (factor {least:.2f})"
    if least < wanted:
        return f"weak in {where}: factor {least:.2f}, wanted {wanted:.2f}"
    enough = f"strong enough: least factor {least:.2f} ({where}), wanted {wanted:.2f}"
    if unknown:
        return f"the key itself is {enough}; yield of the {unknown} not known, not judged"
    return enough


def working_length_in(
    *, key_length_in: float, width_in: float, hub_length_in: float | None, round_ends: int = 0
) -> float:
    """Length of the key that carries: its straight sides inside the hub.

    Each rounded end takes half a width off. A key longer than the hub is taken as flush at one
    end, with a rounded end there if it has one: the other end is outside the hub, and its
    rounding counts only as far as it reaches into the hub. Geometry; common practice, no source.
    """
    half = width_in / 2
    length = key_length_in - round_ends * half
    if hub_length_in is not None and hub_length_in < key_length_in:
        flush, outside = min(round_ends, 1), max(round_ends - 1, 0)
        length = min(hub_length_in, key_length_in - outside * half) - flush * half
    if length <= 0:
        raise ShaftlogError(
            f"A key {format_length(key_length_in)} long with {round_ends} rounded ends has no "
            "straight length left. Check length and width."
        )
    return length
