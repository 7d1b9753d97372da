"""A key and its two keyways as measured: what is impossible, what is in doubt, what is missing.

Inches; see `core.fitting.keys.sizes` for the sketch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.positive import check_length
from core.base.units import format_length
from core.fitting.keys.sizes import keyseat_depth, standard_key
from core.fitting.measured.unit_check import UnitDoubt, unit_doubts

ODD_WIDTH_SHARE = 0.6
"""Keys differ from the standard's width for the shaft, but hardly by more than this share."""
ODD_DEPTH_SHARE = 0.25


@dataclass(frozen=True)
class MeasuredKey:
    """The key as measured, inches; None = not measured."""

    width_in: float | None = None
    height_in: float | None = None
    length_in: float | None = None
    round_ends: int = 0
    """0, 1 or 2 rounded ends."""


@dataclass(frozen=True)
class MeasuredKeyway:
    """One keyway as measured, inches; empty or None = not measured."""

    widths_in: tuple[float, ...] = ()
    """Width at several places: ends, middle, top and bottom."""
    far_side_in: float | None = None
    """Shaft: S, floor to the far side. Hub: T, roof to the far side of the bore."""
    side_depth_in: float | None = None
    """Depth at the side, used when the far side was not measured."""
    length_in: float | None = None
    offset_in: float | None = None
    """Centre line beside the centre line of shaft or bore."""
    lead_in: float | None = None
    """Twist: run-off over the keyway's length."""


@dataclass(frozen=True)
class KeyParts:
    """Key, both keyways and the diameters they sit on, inches."""

    diameter_in: float
    bore_in: float | None
    key: MeasuredKey
    shaft: MeasuredKeyway
    hub: MeasuredKeyway
    diameter_known: bool = True
    """False = `diameter_in` is only near: good for telling units, not for depths."""

    @property
    def bore_or_shaft_in(self) -> float:
        """The bore; the shaft diameter where the bore was not measured."""
        return self.diameter_in if self.bore_in is None else self.bore_in

    @property
    def floor_in(self) -> float | None:
        """Height of the shaft keyway's floor above the centre; None = not measured."""
        if not self.diameter_known:
            return None
        if self.shaft.far_side_in is not None:
            return self.shaft.far_side_in - self.diameter_in / 2
        edge = self._edge_in(self.shaft, self.diameter_in)
        depth = self.shaft.side_depth_in
        return None if edge is None or depth is None else edge - depth

    @property
    def roof_in(self) -> float | None:
        """Height of the hub keyway's roof above the centre; None = not measured."""
        if not self.diameter_known:
            return None
        if self.hub.far_side_in is not None:
            return self.hub.far_side_in - self.bore_or_shaft_in / 2
        edge = self._edge_in(self.hub, self.bore_or_shaft_in)
        depth = self.hub.side_depth_in
        return None if edge is None or depth is None else edge + depth

    def _edge_in(self, way: MeasuredKeyway, across_in: float) -> float | None:
        """Height of the keyway's edge above the centre."""
        width = min(way.widths_in, default=self.key.width_in)
        if width is None or width >= across_in:
            return None
        return math.sqrt(across_in**2 - width**2) / 2


def refuse_impossible(parts: KeyParts) -> None:
    """Raise ShaftlogError for sizes that cannot be, and for a key longer than its keyway."""
    key = parts.key
    sizes: list[tuple[str, float | None]] = [
        ("shaft diameter", parts.diameter_in),
        ("bore", parts.bore_in),
        ("key width", key.width_in),
        ("key height", key.height_in),
        ("key length", key.length_in),
    ]
    for name, way in (("shaft", parts.shaft), ("hub", parts.hub)):
        sizes += [(f"{name} keyway width", width) for width in way.widths_in]
        sizes += [
            (f"{name} keyway to far side", way.far_side_in),
            (f"{name} keyway side depth", way.side_depth_in),
            (f"{name} keyway length", way.length_in),
        ]
    for what, value in sizes:
        check_length(what, value)
    if key.width_in is not None and key.width_in >= parts.diameter_in:
        raise ShaftlogError(
            f"A key {format_length(key.width_in)} wide does not go into a "
            f"{format_length(parts.diameter_in)} shaft. Check which figure is which."
        )
    keyway = parts.shaft.length_in
    if key.length_in is not None and keyway is not None and key.length_in > keyway:
        raise ShaftlogError(
            f"The key ({format_length(key.length_in)}) is longer than its keyway in the shaft "
            f"({format_length(keyway)}): it would ride up the end of the keyway. Shorten the key."
        )


def figures_in_doubt(parts: KeyParts) -> tuple[UnitDoubt, ...]:
    """Figures that may be in the wrong unit, against the standard key of this shaft."""
    diameter_in, shaft, hub = parts.diameter_in, parts.shaft, parts.hub
    found = unit_doubts([diameter_in])
    if found:
        return found
    found = unit_doubts([parts.bore_or_shaft_in], diameter_in)
    try:
        usual = standard_key(diameter_in=diameter_in)
    except ShaftlogError:
        return found
    depth = keyseat_depth(
        diameter_in=diameter_in, width_in=usual.width_in, height_in=usual.height_in
    )
    widths = [parts.key.width_in, *shaft.widths_in, *hub.widths_in]
    checks: tuple[tuple[list[float | None], float, float], ...] = (
        (widths, usual.width_in, ODD_WIDTH_SHARE),
        ([parts.key.height_in], usual.height_in, ODD_WIDTH_SHARE),
        ([shaft.far_side_in], depth.shaft_s_in, ODD_DEPTH_SHARE),
        ([hub.far_side_in], depth.hub_t_in, ODD_DEPTH_SHARE),
    )
    for values, near, share in checks:
        known = [value for value in values if value is not None]
        found += unit_doubts(known, near, stray_share=share)
    return found


def missing_figures(
    parts: KeyParts,
    torque_lbf_in: float | None,
    yields_psi: tuple[float | None, float | None, float | None],
) -> tuple[str, ...]:
    """Names of what was not measured or given, in the order of the screen.

    `yields_psi` : of key, shaft and hub.
    """
    key, shaft, hub = parts.key, parts.shaft, parts.hub

    def depth(way: MeasuredKeyway) -> float | None:
        return way.far_side_in if way.far_side_in is not None else way.side_depth_in

    wanted: tuple[tuple[object, str], ...] = (
        (key.width_in, "key width"),
        (key.height_in, "key height"),
        (key.length_in, "key length"),
        (shaft.widths_in or None, "width of the shaft keyway"),
        (depth(shaft), "depth of the shaft keyway"),
        (shaft.length_in, "length of the shaft keyway"),
        (hub.widths_in or None, "width of the hub keyway"),
        (depth(hub), "depth of the hub keyway"),
        (hub.length_in, "length of the hub keyway"),
        (torque_lbf_in, "engine torque"),
        (yields_psi[0], "yield of the key's material"),
        (yields_psi[1], "yield of the shaft's material"),
        (yields_psi[2], "yield of the hub's material"),
    )
    return tuple(words for value, words in wanted if value is None)
