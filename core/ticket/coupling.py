"""Coupling and key on the ticket: measured figures of the book worked out and put in words.

Names the measurements go by (`Measurement.subject` and `.what`; the last set of each counts)::

    bore, seat                  diameter (at depths and clocks)
    face                        face reading, opposite reading (at clocks),
                                facing radius, rim radius
    pilot                       pilot reading (at clocks)
    key                         width, height, length
    shaft keyway, hub keyway    width (at depths), depth, far side, length, offset, lead

What cannot be worked out is said, and the figures are printed as measured. Nothing is guessed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from core.band import Band
from core.book.records import Measurement
from core.book.settings import ShopSettings
from core.bore import DiameterReading, fit
from core.errors import ShaftlogError
from core.face import fit_face
from core.key_fit import check_key
from core.key_parts import MeasuredKey, MeasuredKeyway
from core.pilot import fit_pilot
from core.ticket.data import Section
from core.units import format_clock, format_thou
from core.verdict import Rule

KEY_SUBJECTS = ("key", "shaft keyway", "hub keyway")


def coupling_sections(
    measured: Sequence[Measurement], shop: ShopSettings, diameter_in: float
) -> tuple[Section, ...]:
    """Sections for bore, face, pilot and key, each only when something was measured."""
    figures = _Figures(measured, shop, diameter_in)
    made = [
        _section("Coupling bore", figures, ("bore", "seat"), _bore_words),
        _section("Coupling face", figures, ("face",), _face_words),
        _section("Pilot", figures, ("pilot",), _pilot_words),
        _section("Key", figures, KEY_SUBJECTS, _key_words),
    ]
    known = {"bore", "seat", "face", "pilot", *KEY_SUBJECTS}
    rest = dict.fromkeys(one.subject for one in measured if one.subject not in known)
    made += [
        Section(subject.capitalize(), tuple(_as_measured(figures.of(subject)))) for subject in rest
    ]
    return tuple(section for section in made if section is not None)


class _Figures:
    """The last set of every subject, by subject and name."""

    def __init__(
        self, measured: Sequence[Measurement], shop: ShopSettings, diameter_in: float
    ) -> None:
        self.shop = shop
        self.diameter_in = diameter_in
        self.rule: Rule = "simple" if shop.acceptance_rule == "simple" else "guarded"
        last: dict[str, int] = {}
        for one in measured:
            last[one.subject] = max(one.set_no, last.get(one.subject, 0))
        self._rows = [one for one in measured if one.set_no == last[one.subject]]

    def of(self, subject: str, what: str | None = None) -> list[Measurement]:
        return [m for m in self._rows if m.subject == subject and what in (None, m.what)]

    def values(self, subject: str, what: str) -> tuple[float, ...]:
        return tuple(m.value_in for m in self.of(subject, what) if m.value_in is not None)

    def one(self, subject: str, what: str) -> float | None:
        found = self.values(subject, what)
        return found[-1] if found else None

    def round_the_clock(
        self, subject: str, what: str
    ) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Clocks (radians) and values of readings taken round a circle."""
        rows = [m for m in self.of(subject, what) if None not in (m.clock_deg, m.value_in)]
        return (
            tuple(math.radians(m.clock_deg or 0.0) for m in rows),
            tuple(m.value_in or 0.0 for m in rows),
        )


def _section(
    title: str,
    figures: _Figures,
    subjects: Sequence[str],
    words: Callable[[_Figures], list[str]],
) -> Section | None:
    """The words of one part, then the figures they come from."""
    rows = [one for subject in subjects for one in figures.of(subject)]
    if not rows:
        return None
    try:
        said = words(figures)
    except ShaftlogError as error:
        said = [f"Not worked out: {error}"]
    return Section(title, (*said, *_as_measured(rows)))


def _as_measured(rows: Sequence[Measurement]) -> list[str]:
    """The figures themselves, inches, one line for each thing measured."""
    by_name: dict[str, list[str]] = {}
    for one in rows:
        name = one.what if one.what.startswith(one.subject) else f"{one.subject} {one.what}"
        by_name.setdefault(name, []).append(_figure(one))
    return [f"Measured {name}: {', '.join(values)}" for name, values in by_name.items()]


def _figure(one: Measurement) -> str:
    """One measured figure with its place."""
    value = one.raw if one.value_in is None else f"{one.value_in:.4f}"
    places = [
        *([] if one.depth_in is None else [f"{one.depth_in:g} in"]),
        *([] if one.clock_deg is None else [f"{one.clock_deg:g} deg"]),
    ]
    return f"{value} ({', '.join(places)})" if places else value


def _bore_words(figures: _Figures) -> list[str]:
    shop = figures.shop
    band = Band(shop.bore_clearance_least_in, shop.bore_clearance_most_in, "the shop's band")
    bore = fit(
        bore=_diameters(figures, "bore"),
        seat=_diameters(figures, "seat"),
        band=band,
        rule=figures.rule,
    )
    said = [f"{bore.verdict.word.upper()}: {bore.verdict.words}"]
    if bore.clearance is not None:
        said.append(f"Bore on seat: {bore.clearance.words}.")
    said += [part.words for part in (bore.bore, bore.seat) if part is not None]
    said += [f"Missing: {what}" for what in bore.missing]
    return said + list(bore.notes)


def _diameters(figures: _Figures, subject: str) -> list[DiameterReading]:
    return [
        DiameterReading(one.depth_in, math.radians(one.clock_deg or 0.0), one.value_in)
        for one in figures.of(subject, "diameter")
        if one.depth_in is not None and one.value_in is not None
    ]


def _face_words(figures: _Figures) -> list[str]:
    radius_in = figures.one("face", "facing radius")
    if radius_in is None:
        return ["Not worked out: the radius at which the dial stood was not measured."]
    clock_rad, reading_in = figures.round_the_clock("face", "face reading")
    _, opposite_in = figures.round_the_clock("face", "opposite reading")
    face = fit_face(
        clock_rad=clock_rad,
        reading_in=reading_in,
        opposite_in=opposite_in or None,
        radius_in=radius_in,
        rim_radius_in=figures.one("face", "rim radius") or radius_in,
        resolution_in=figures.shop.resolution_in,
        repeatability_in=figures.shop.repeatability_in,
        face_limit_in=figures.shop.face_limit_in,
        rule=figures.rule,
    )
    return [*face.words, *face.missing]


def _pilot_words(figures: _Figures) -> list[str]:
    clock_rad, reading_in = figures.round_the_clock("pilot", "pilot reading")
    pilot = fit_pilot(
        clock_rad=clock_rad,
        reading_in=reading_in,
        resolution_in=figures.shop.resolution_in,
        repeatability_in=figures.shop.repeatability_in,
        limit_in=figures.shop.pilot_limit_in,
        rule=figures.rule,
    )
    one = pilot.fit
    return [
        f"{pilot.word.upper()}: pilot {format_thou(one.tir_in)} TIR"
        f" ({format_thou(one.tir_low_in, unit=False)} to {format_thou(one.tir_high_in)}),"
        f" limit {format_thou(pilot.limit_in)}, high spot {format_clock(one.high_spot_rad)}"
    ]


def _key_words(figures: _Figures) -> list[str]:
    bores_in = figures.values("bore", "diameter")
    check = check_key(
        diameter_in=figures.diameter_in,
        bore_in=sum(bores_in) / len(bores_in) if bores_in else None,
        key=MeasuredKey(
            width_in=figures.one("key", "width"),
            height_in=figures.one("key", "height"),
            length_in=figures.one("key", "length"),
        ),
        shaft=_keyway(figures, "shaft keyway"),
        hub=_keyway(figures, "hub keyway"),
        rule=figures.rule,
    )
    said = [
        check.shaft_side.words,
        check.hub_side.words,
        check.top.words,
        *check.alignment,
    ]
    said += [check.differs] if check.differs else []
    missing = [what for what in check.missing if "torque" not in what and "yield" not in what]
    return said + [f"Missing: {what}" for what in missing]


def _keyway(figures: _Figures, subject: str) -> MeasuredKeyway:
    return MeasuredKeyway(
        widths_in=figures.values(subject, "width"),
        far_side_in=figures.one(subject, "far side"),
        side_depth_in=figures.one(subject, "depth"),
        length_in=figures.one(subject, "length"),
        offset_in=figures.one(subject, "offset"),
        lead_in=figures.one(subject, "lead"),
    )
