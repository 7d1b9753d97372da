"""The key of one job: which figures of key and keyways to measure, and what they say together.

Figures stand under 'key', 'shaft keyway' and 'hub keyway', choices under 'key setup', the check
list after the trial fit under 'key check' (`core.fitting.keys.checklist`). Inches. Verdicts by
`core.fitting.keys.trial_checks`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from core.base.errors import ShaftlogError
from core.base.units import format_length
from core.fitting.coupling.bore_job import diameters
from core.fitting.keys.fit import KEY_U95_IN, KeyCheck, SideFit, check_key, side_band
from core.fitting.keys.parts import ODD_DEPTH_SHARE, ODD_WIDTH_SHARE, MeasuredKey, MeasuredKeyway
from core.fitting.keys.sizes import Shape, Standard, StandardKey, standard_key
from core.fitting.measured.band import Band
from core.fitting.measured.facts import FitFacts, metal
from core.fitting.measured.measurements import (
    MOST_SETS,
    MeasurementRequest,
    MeasurementSet,
    number_list,
    places_of,
)

SETUP = "key setup"
KEY, SHAFT, HUB = "key", "shaft keyway", "hub keyway"
SUBJECTS = (KEY, SHAFT, HUB)
AT_KEY = "shaft diameter at the key"
PLACES_IN = (0.5, 2.5)
MOST_PASSES = 6
MOST_OFF_IN = 0.25
STANDARDS: tuple[Standard, ...] = ("J755", "B17.1")
SHAPES: tuple[Shape, ...] = ("square", "rectangular")
DiameterBy = Literal["typed", "seat", "bore", "job"]
"""Where the diameter at the key is from: typed for this key, the seat or bore as miked, the job."""


@dataclass(frozen=True)
class KeySetup:
    """What was chosen for this key."""

    places_in: tuple[float, ...]
    """Where the widths are measured, from the end of the keyway; empty = the usual places."""
    diameter_in: float
    """Of the shaft where the key sits."""
    shaft_in: float
    """What the standards go by: on a taper the straight shaft ahead of it."""
    diameter_by: DiameterBy
    fit_class: int
    least_in: float | None
    most_in: float | None
    """The shop's own side fit; None = the class."""
    wanted_side_in: float
    key_material: str
    round_ends: int
    shape: Shape


def key_setup(figures: MeasurementSet, facts: FitFacts) -> KeySetup:
    """The choices made, the usual ones for the rest."""
    diameter_in, diameter_by = _diameter_at_key(figures, facts)
    return KeySetup(
        places_in=number_list(figures.word(SETUP, "places")),
        diameter_in=diameter_in,
        shaft_in=facts.diameter_in if _on_taper(figures) else diameter_in,
        diameter_by=diameter_by,
        fit_class=2 if figures.word(SETUP, "class of fit") == "2" else 1,
        least_in=figures.length_in(SETUP, "least side clearance"),
        most_in=figures.length_in(SETUP, "most side clearance"),
        wanted_side_in=figures.length_in(SETUP, "side clearance aimed at") or 0.0,
        key_material=figures.word(SETUP, "key material"),
        round_ends=int(figures.number(SETUP, "rounded ends") or 0),
        shape="rectangular" if figures.word(SETUP, "shape") == "rectangular" else "square",
    )


def _on_taper(figures: MeasurementSet) -> bool:
    return figures.word("coupling setup", "kind") == "tapered"


def _diameter_at_key(figures: MeasurementSet, facts: FitFacts) -> tuple[float, DiameterBy]:
    """The shaft where the key sits: as typed, as miked on a straight seat, else the job's size."""
    typed = figures.length_in(SETUP, AT_KEY)
    if typed is not None:
        return typed, "typed"
    if not _on_taper(figures):
        if (seat := mean_in(figures, "seat")) is not None:
            return seat, "seat"
        if (bore := mean_in(figures, "bore")) is not None:
            return bore, "bore"
    return facts.diameter_in, "job"


def pass_name(number: int) -> str:
    """What the width after a peening pass is called in the book."""
    return f"width after pass {number}"


def passes_of(figures: MeasurementSet) -> tuple[float, ...]:
    """Widths over the key's lower edges after each pass, as far as they follow each other."""
    found = []
    for number in range(1, MOST_PASSES + 1):
        width_in = figures.length_in(KEY, pass_name(number))
        if width_in is None:
            break
        found.append(width_in)
    return tuple(found)


def usual_key(setup: KeySetup) -> StandardKey | None:
    """The B17.1 key for this shaft, for telling odd figures; None = none in the table."""
    try:
        return standard_key(diameter_in=setup.shaft_in)
    except ShaftlogError:
        return None


def key_wanted(figures: MeasurementSet, facts: FitFacts) -> tuple[MeasurementRequest, ...]:
    """The figures to measure: the key, both keyways, then the passes of peening."""
    setup = key_setup(figures, facts)
    usual = usual_key(setup)
    width = None if usual is None else usual.width_in
    height = None if usual is None else usual.height_in
    found = [
        _size(KEY, "width", "Key width", width, ODD_WIDTH_SHARE,
              "Over the middle of the key; then the keyways."),
        _size(KEY, "height", "Key height", height, ODD_WIDTH_SHARE, "Top to bottom."),
        _length(KEY, "Key length", setup),
    ]  # fmt: skip
    found += _keyway_wanted(figures, setup, SHAFT, "shaft", usual)
    found += _keyway_wanted(figures, setup, HUB, "hub", usual)
    done = len(passes_of(figures))
    for number in range(1, min(done + 1, MOST_PASSES) + 1):
        found.append(
            replace(
                _size(KEY, pass_name(number), f"Key over lower edges, pass {number}", width,
                      ODD_WIDTH_SHARE, "After peening the lower edges: measure over them."),
                optional=True, part="passes",
            )
        )  # fmt: skip
    return tuple(found)


def _size(
    subject: str, what: str, label: str, near_in: float | None, stray: float, hint: str,
    depth_in: float | None = None,
) -> MeasurementRequest:  # fmt: skip
    return MeasurementRequest(
        subject, what, label, depth_in, near_in=near_in, stray=stray, hint=hint
    )


def _length(subject: str, label: str, setup: KeySetup) -> MeasurementRequest:
    return _size(subject, "length", label, 2 * setup.diameter_in, 0.95, "End to end, rule or mike.")


def _keyway_wanted(
    figures: MeasurementSet, setup: KeySetup, subject: str, name: str, usual: StandardKey | None
) -> list[MeasurementRequest]:
    """Widths, depth, length of one keyway; offset and twist for whoever measures them."""
    near = None if usual is None else usual.width_in
    found = [
        _size(subject, "width", _width_label(name, place), near, ODD_WIDTH_SHARE,
              "Gauge blocks or a bore gauge between the sides.", place)
        for place in places_of(figures, subject, "width", setup.places_in, PLACES_IN)
    ]  # fmt: skip
    by_side = figures.length_in(subject, "depth") is not None
    by_far = figures.length_in(subject, "far side") is not None
    letter, hint = ("S", "Keyway floor to the far side of the shaft.")
    far = None if usual is None else usual.depth.shaft_s_in
    if subject == HUB:
        letter, hint = ("T", "Keyway roof to the far side of the bore.")
        far = None if usual is None else usual.depth.hub_t_in
    deep = None if usual is None else usual.height_in / 2
    found += [
        replace(_size(subject, "far side", f"{name.capitalize()} keyway to far side ({letter})",
                      far, ODD_DEPTH_SHARE, hint), optional=by_side and not by_far),
        replace(_size(subject, "depth", f"{name.capitalize()} keyway, depth at the side", deep,
                      ODD_WIDTH_SHARE, "Where the far side cannot be reached."), optional=True),
        _length(subject, f"{name.capitalize()} keyway length", setup),
    ]  # fmt: skip
    offset, twist = "off the centre line", "twist over its length"
    hints = "Middle of the keyway beside the middle of the shaft.", "Run-off end to end."
    for what, words, tip in (("offset", offset, hints[0]), ("twist", twist, hints[1])):
        label = f"{name.capitalize()} keyway, {words}"
        found.append(
            MeasurementRequest(
                subject, what, label, least_in=0, most_in=MOST_OFF_IN, optional=True, hint=tip
            )
        )
    return found


def _width_label(name: str, place_in: float | None) -> str:
    at = "" if place_in is None else f" at {format_length(place_in, 2)}"
    return f"{name.capitalize()} keyway width{at}"


def measured_key(figures: MeasurementSet, setup: KeySetup) -> MeasuredKey:
    """The key as measured before any peening."""
    return MeasuredKey(
        width_in=figures.length_in(KEY, "width"),
        height_in=figures.length_in(KEY, "height"),
        length_in=figures.length_in(KEY, "length"),
        round_ends=setup.round_ends,
    )


def measured_keyway(figures: MeasurementSet, subject: str) -> MeasuredKeyway:
    """A keyway as measured."""
    widths = [m.value_in for m in figures.all_of(subject, "width")]
    return MeasuredKeyway(
        widths_in=tuple(w for w in widths if w is not None),
        far_side_in=figures.length_in(subject, "far side"),
        side_depth_in=figures.length_in(subject, "depth"),
        length_in=figures.length_in(subject, "length"),
        offset_in=figures.length_in(subject, "offset"),
        lead_in=figures.length_in(subject, "twist"),
    )


@dataclass(frozen=True)
class KeyResult:
    """All that one set says. Words: `core.fitting.keys.key_text`."""

    setup: KeySetup
    key: MeasuredKey
    shaft: MeasuredKeyway
    hub: MeasuredKeyway
    check: KeyCheck | None
    """None when the figures contradict each other; `trouble` says how."""
    shaft_side: SideFit | None
    """The side fit in the shaft after the last pass of peening (the lower edges ride there)."""
    trouble: str = ""


def key_result(figures: MeasurementSet, facts: FitFacts) -> KeyResult:
    """The check of the set that `figures` is seen from."""
    setup = key_setup(figures, facts)
    key = measured_key(figures, setup)
    shaft, hub = measured_keyway(figures, SHAFT), measured_keyway(figures, HUB)
    try:
        check = _check(figures, facts, setup, key)
        passes = passes_of(figures)
        after = check
        if passes:
            after = _check(figures, facts, setup, replace(key, width_in=passes[-1]))
    except ShaftlogError as error:
        return KeyResult(setup, key, shaft, hub, None, None, str(error))
    return KeyResult(setup, key, shaft, hub, check, after.shaft_side)


def _check(figures: MeasurementSet, facts: FitFacts, setup: KeySetup, key: MeasuredKey) -> KeyCheck:
    def yield_psi(name: str, condition: str = "") -> float | None:
        found = metal(name, condition)
        return None if found is None or found.yield_stress is None else found.yield_stress.value

    check = check_key(
        diameter_in=setup.diameter_in,
        shaft_in=setup.shaft_in,
        key=key,
        shaft=measured_keyway(figures, SHAFT),
        hub=measured_keyway(figures, HUB),
        bore_in=None if _on_taper(figures) else mean_in(figures, "bore"),
        diameter_known=not (_on_taper(figures) and setup.diameter_by == "job"),
        band=_band(setup, key),
        wanted_side_in=setup.wanted_side_in,
        widths_after_pass_in=passes_of(figures),
        engine_torque_lbf_in=facts.torque_lbf_in,
        key_yield_psi=yield_psi(setup.key_material),
        shaft_yield_psi=yield_psi(facts.material, facts.condition),
        hub_yield_psi=yield_psi(figures.word("coupling setup", "hub material")),
        rule=facts.rule,
    )
    return _as_far_as_known(check, figures, setup)


def _as_far_as_known(check: KeyCheck, figures: MeasurementSet, setup: KeySetup) -> KeyCheck:
    """Room over the key depends on the diameter there: the diameter used is given with it."""
    if not _on_taper(figures):
        return replace(check, notes=(*check.notes, *_taken_for(figures, setup)))
    notes = tuple(note for note in check.notes if not note.startswith("bore not measured"))
    if setup.diameter_by == "typed":
        drawn_up = "on a taper the hub is taken as drawn up: the bore at the key is the shaft there"
        return replace(check, notes=(*notes, drawn_up))
    words = "key on top: on a taper the shaft's diameter at the middle of the key is needed"
    return replace(
        check,
        top=check.top if check.doubts else replace(check.top, words=words),
        missing=(*check.missing, AT_KEY),
        notes=notes,
    )


def _taken_for(figures: MeasurementSet, setup: KeySetup) -> tuple[str, ...]:
    """What a straight shaft was taken for where it was not miked, or not miked as typed."""
    if setup.diameter_by == "bore":
        return ("seat not measured: the shaft is taken as the bore for the room on top",)
    taken, seat_in = format_length(setup.diameter_in), mean_in(figures, "seat")
    if setup.diameter_by == "job":
        return (f"seat not measured: the shaft is taken as the job's size, {taken}",)
    if seat_in is None or abs(seat_in - setup.diameter_in) <= KEY_U95_IN:
        return ()
    return (f"the shaft is taken as typed, {taken}; its seat was miked {format_length(seat_in)}",)


def mean_in(figures: MeasurementSet, subject: str) -> float | None:
    """Bore or seat as measured last on the coupling screen, its mean; None = not measured."""
    read = diameters(figures.of_set(MOST_SETS), subject)
    return sum(r.value_in for r in read) / len(read) if read else None


def _band(setup: KeySetup, key: MeasuredKey) -> Band | None:
    """The shop's own side fit, else the class; None leaves it to the core's default."""
    if setup.least_in is not None and setup.most_in is not None:
        return Band(setup.least_in, setup.most_in, "the shop's side fit")
    if key.width_in is None or setup.fit_class == 1:
        return None
    return side_band(width_in=key.width_in, fit_class=setup.fit_class)
