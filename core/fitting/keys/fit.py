"""A measured key in its two keyways: side fit, room on top, wear, twist, strength.

Concentric shaft and bore are taken for the room on top; see `core.fitting.keys.sizes` for the
sketch.
A figure that was not measured is named in `missing` and costs its answer; nothing is guessed.
Lengths inches, torque lbf in, stresses psi.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from core.base.errors import ShaftlogError
from core.base.units import format_dial, format_length
from core.fitting.keys.parts import (
    KeyParts,
    MeasuredKey,
    MeasuredKeyway,
    figures_in_doubt,
    missing_figures,
    refuse_impossible,
)
from core.fitting.keys.peening import Peening, peening
from core.fitting.keys.sizes import alignment_limits, standards_differ, width_tolerance
from core.fitting.keys.strength import (
    DEFAULT_STRENGTH_FACTOR,
    KeyStress,
    key_stress,
    working_length_in,
)
from core.fitting.measured.band import (
    IN_DOUBT,
    NOT_MEASURED,
    Band,
    BandVerdict,
    Rule,
    clearance_words,
    judge_band,
)
from core.fitting.measured.unit_check import UnitDoubt

KEY_U95_IN = 0.0003
"""95 % uncertainty of a keyway width or depth; common practice, no source."""
LEAST_TOP_IN = 0.005
"""Least room over the key: B17.1 Table 3, all class 1 rows."""

ROUNDING_IN = 1e-9

TopWord = Literal[
    "clear", "key-bound", "little room", "too close to call", "not measured", "in doubt"
]


@dataclass(frozen=True)
class SideFit:
    """The key between two keyway sides; clearance positive, interference negative. Inches."""

    where: str
    least_in: float | None
    most_in: float | None
    verdict: BandVerdict
    worn_in: float | None
    """Widest less narrowest place of the keyway: worn or bell-mouthed sides."""
    words: str


@dataclass(frozen=True)
class TopFit:
    """Room over the key. Inches."""

    clearance_in: float | None
    u95_in: float
    word: TopWord
    words: str


@dataclass(frozen=True)
class KeyCheck:
    """All that can be said of one key."""

    shaft_side: SideFit
    hub_side: SideFit
    top: TopFit
    backlash_rad: float | None
    """Free turn of the hub on the shaft, from both side fits."""
    peening: Peening | None
    stress: KeyStress | None
    alignment: tuple[str, ...]
    """Offset and twist of each keyway against the limits, in words."""
    differs: str
    """Warning where B17.1 and J755 want different keys; else empty."""
    doubts: tuple[UnitDoubt, ...]
    """Figures to ask about before believing any of this."""
    missing: tuple[str, ...]
    notes: tuple[str, ...]


def side_band(*, width_in: float, fit_class: int = 1) -> Band:
    """Side fit of a B17.1 class as a band; class 2 is from memory and its name says so."""
    tolerance = width_tolerance(width_in=width_in, fit_class=fit_class)
    if tolerance is None:
        raise ShaftlogError(
            f"B17.1 has no class {fit_class} row for a key {format_length(width_in)} wide. "
            "Set the shop's own band."
        )
    memory = "" if tolerance.status == "published" else ", from memory"
    return Band(
        tolerance.side_min_in,
        tolerance.side_max_in,
        f"B17.1 class {fit_class}{memory}",
        tolerance.status,
        tolerance.source,
    )


def check_key(
    *,
    diameter_in: float,
    shaft_in: float | None = None,
    key: MeasuredKey,
    shaft: MeasuredKeyway,
    hub: MeasuredKeyway,
    bore_in: float | None = None,
    diameter_known: bool = True,
    band: Band | None = None,
    wanted_side_in: float = 0.0,
    widths_after_pass_in: tuple[float, ...] = (),
    engine_torque_lbf_in: float | None = None,
    key_yield_psi: float | None = None,
    shaft_yield_psi: float | None = None,
    hub_yield_psi: float | None = None,
    wanted_factor: float = DEFAULT_STRENGTH_FACTOR,
    least_top_in: float = LEAST_TOP_IN,
    u95_in: float = KEY_U95_IN,
    rule: Rule = "guarded",
) -> KeyCheck:
    """Check a measured key in its measured keyways.

    `diameter_in` is the shaft where the key sits (middle of the key on a taper), `bore_in` the hub
    there (None = as the shaft, and said so); `shaft_in` the straight shaft ahead of a taper, which
    the standards go by (None = `diameter_in`); with `diameter_known` False nothing is said of
    top and strength. `band` is the wanted side fit (None = B17.1 class 1),
    `wanted_side_in` the side clearance peening aims at, `u95_in` the 95 % uncertainty of one width
    or depth. Raises ShaftlogError for impossible sizes and a key longer than the shaft keyway.

    References: ANSI B17.1-1967 Tables 2 and 3; key side close, room over the top: a marine diesel
    technical data sheet p.9. Peening: common practice, no source.
    """
    parts = KeyParts(diameter_in, bore_in, key, shaft, hub, diameter_known)
    refuse_impossible(parts)
    chosen = band or _default_band(key)
    doubts = figures_in_doubt(parts)
    judged = None if doubts else chosen
    fits = [
        _side_fit(where, key, way, judged, IN_DOUBT if doubts else NOT_MEASURED, u95_in, rule)
        for where, way in (("shaft", shaft), ("hub", hub))
    ]
    top = _top_fit(parts, least_top_in, u95_in)
    yields_psi = (key_yield_psi, shaft_yield_psi, hub_yield_psi)
    return KeyCheck(
        shaft_side=fits[0],
        hub_side=fits[1],
        top=replace(top, word="in doubt", words=IN_DOUBT.words) if doubts else top,
        backlash_rad=_backlash_rad(fits, diameter_in),
        peening=_peening(parts, wanted_side_in, widths_after_pass_in, u95_in),
        stress=None if doubts else _stress(parts, engine_torque_lbf_in, yields_psi, wanted_factor),
        alignment=_alignment("shaft", shaft) + _alignment("hub", hub),
        differs=standards_differ(shaft_in or diameter_in),
        doubts=doubts,
        missing=missing_figures(parts, engine_torque_lbf_in, yields_psi),
        notes=_notes(parts, chosen),
    )


def _backlash_rad(fits: list[SideFit], diameter_in: float) -> float | None:
    slack = [fit.least_in for fit in fits if fit.least_in is not None]
    if len(slack) < len(fits):
        return None
    return sum(max(0.0, gap) for gap in slack) * 2 / diameter_in


def _peening(
    parts: KeyParts, wanted_side_in: float, widths_in: tuple[float, ...], u95_in: float
) -> Peening | None:
    if parts.key.width_in is None or not parts.shaft.widths_in:
        return None
    return peening(
        key_width_in=parts.key.width_in,
        keyway_width_in=min(parts.shaft.widths_in),
        wanted_side_in=wanted_side_in,
        widths_after_pass_in=widths_in,
        u95_in=u95_in,
    )


def _default_band(key: MeasuredKey) -> Band | None:
    if key.width_in is None or width_tolerance(width_in=key.width_in) is None:
        return None
    return side_band(width_in=key.width_in)


def _side_fit(
    where: str,
    key: MeasuredKey,
    way: MeasuredKeyway,
    band: Band | None,
    otherwise: BandVerdict,
    u95: float,
    rule: Rule,
) -> SideFit:
    worn = max(way.widths_in) - min(way.widths_in) if len(way.widths_in) > 1 else None
    if key.width_in is None or not way.widths_in:
        return SideFit(where, None, None, NOT_MEASURED, worn, "cannot say: not all measured")
    least, most = min(way.widths_in) - key.width_in, max(way.widths_in) - key.width_in
    both = math.hypot(u95, u95)
    verdict = otherwise
    if band is not None:
        verdict = judge_band(least_in=least, most_in=most, band=band, u95_in=both, rule=rule)
    words = f"key in the {where}: {clearance_words(least)}"
    if worn is not None and worn > both:
        words += f" to {clearance_words(most)}; sides worn or belled by {format_dial(worn)}"
    return SideFit(where, least, most, verdict, worn, words)


def _top_fit(parts: KeyParts, least_top_in: float, u95_in: float) -> TopFit:
    floor, roof, key = parts.floor_in, parts.roof_in, parts.key
    u95 = math.sqrt(3) * u95_in
    if floor is None or roof is None or key.height_in is None:
        return TopFit(None, u95, "not measured", "key on top: not all measured, cannot say")
    room = roof - floor - key.height_in
    if room < -u95:
        words = f"KEY-BOUND by {format_dial(-room)}: the key carries the hub on its top"
        return TopFit(room, u95, "key-bound", words + ". Take it off the key's top.")
    if room <= u95:
        words = f"{format_dial(room)} over the key, within measuring uncertainty"
        return TopFit(room, u95, "too close to call", words + ": blue the key's top and try it")
    if room < least_top_in - ROUNDING_IN:
        words = (
            f"{format_dial(room)} over the key, less than the {format_dial(least_top_in)} wanted"
        )
        return TopFit(room, u95, "little room", words)
    return TopFit(room, u95, "clear", f"{format_dial(room)} over the key: clear")


def _stress(
    parts: KeyParts,
    torque_lbf_in: float | None,
    yields_psi: tuple[float | None, float | None, float | None],
    wanted_factor: float,
) -> KeyStress | None:
    key, floor, diameter_in = parts.key, parts.floor_in, parts.diameter_in
    if torque_lbf_in is None or key.width_in is None or key.length_in is None:
        return None
    if floor is None or key.height_in is None:
        return None
    # the key's side bears on the shaft up to the shaft's edge, and on the hub from the bore's edge
    shaft_edge = math.sqrt(diameter_in**2 - key.width_in**2) / 2
    hub_edge = math.sqrt(max(parts.bore_or_shaft_in, key.width_in) ** 2 - key.width_in**2) / 2
    shaft_side = min(key.height_in, shaft_edge - floor)
    hub_side = floor + key.height_in - hub_edge
    if shaft_side <= 0 or hub_side <= 0:
        raise ShaftlogError(
            "With these depths the key does not stand in both keyways. Measure the depths and the "
            "key's height again."
        )
    return key_stress(
        torque_lbf_in=torque_lbf_in,
        diameter_in=diameter_in,
        width_in=key.width_in,
        working_length_in=working_length_in(
            key_length_in=key.length_in,
            width_in=key.width_in,
            hub_length_in=parts.hub.length_in,
            round_ends=key.round_ends,
        ),
        shaft_side_in=shaft_side,
        hub_side_in=hub_side,
        key_yield_psi=yields_psi[0],
        shaft_yield_psi=yields_psi[1],
        hub_yield_psi=yields_psi[2],
        wanted_factor=wanted_factor,
    )


def _alignment(where: str, way: MeasuredKeyway) -> tuple[str, ...]:
    if way.length_in is None or (way.offset_in is None and way.lead_in is None):
        return ()
    limits = alignment_limits(length_in=way.length_in)
    found = (
        ("off centre", way.offset_in, limits.offset_in),
        ("twisted", way.lead_in, limits.lead_in),
    )
    return tuple(
        f"{where} keyway {what} by {format_dial(abs(value))}: "
        + ("within" if abs(value) <= limit else "OVER")
        + f" the {format_dial(limit)} of B17.1"
        for what, value, limit in found
        if value is not None
    )


def _notes(parts: KeyParts, band: Band | None) -> tuple[str, ...]:
    notes = []
    key_length, hub_length = parts.key.length_in, parts.hub.length_in
    if parts.bore_in is None:
        notes.append("bore not measured: taken as the shaft diameter for the room on top")
    if key_length and hub_length and key_length > hub_length:
        notes.append("the key is longer than the hub: only the length inside the hub carries")
    if band is None:
        notes.append("no band for the side fit: no row of B17.1 fits this key, set the shop's own")
    elif band.status not in {"published", "shop setting"}:
        notes.append(f"the band {band.name} is {band.status}: check it against a printed table")
    return tuple(notes)
