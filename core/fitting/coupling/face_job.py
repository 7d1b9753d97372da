"""Face and pilot of one job's coupling: which readings to take, and what they say together.

Dial readings stand under 'face' and 'pilot', radii of the flange under 'flange', choices under
'face setup'. Inches, clocks in degrees as chalked on the shaft. Figures by
`core.fitting.coupling.face`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.base.errors import ShaftlogError
from core.base.units import each_inch, format_angle, format_clock, format_dial
from core.fitting.coupling.face import LATHE_CAUTION, FaceFit, FaceRing, compare_faces, fit_face
from core.fitting.coupling.face_ring import FACE_MARKS
from core.fitting.coupling.limits import coupling_limit_in, coupling_limits
from core.fitting.coupling.pilot import PilotFit, fit_pilot
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementRequest, MeasurementSet
from core.fitting.measured.report import Report, chapters, sentence
from core.runout.readings import LEAST_MARKS as LEAST_PILOT_MARKS

SETUP, FLANGE = "face setup", "flange"
SUBJECTS = ("face", "pilot", FLANGE)
A, B, INNER = "face reading", "opposite reading", "inner reading"
PILOT = "reading"
MARK_COUNTS = (4, 6, 8, 12)
PILOTS = ("spigot", "recess", "none")
"""A raised pilot, one that is bored in, or no pilot."""
HIDDEN_CAUTION = (
    "Roll the shaft by hand with the drive locked out; keep fingers, sleeves and rags clear of "
    "rollers, key and flange bolts."
)
RIM_DIAMETERS, RIM_STRAY = 1.5, 0.65
"""Usual radius of a flange's rim in shaft diameters, and how far from it, share of it, nobody is
asked: a rim inside the shaft itself is asked about. Common practice, no source."""
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class FaceSetup:
    """What was chosen for reading this face."""

    dials: int
    marks_deg: tuple[float, ...]
    inner: bool
    """An inner circle is read as well, for the dish."""
    pilot: str
    gap_limit_in: float
    gap_limit_set: bool
    """Whether somebody set it for this job; else the printed one."""


def face_setup(figures: MeasurementSet) -> FaceSetup:
    """The choices made, the usual ones for the rest."""
    count = int(figures.number(SETUP, "marks") or 8)
    pilot = figures.word(SETUP, "pilot", PILOTS[0])
    gap_in = figures.length_in(SETUP, "gap limit")
    return FaceSetup(
        dials=2 if figures.word(SETUP, "dials") == "2" else 1,
        marks_deg=tuple(360.0 * n / count for n in range(count)),
        inner=figures.word(SETUP, "inner circle") == "yes",
        pilot=pilot if pilot in PILOTS else PILOTS[0],
        gap_limit_in=gap_in or coupling_limit_in("gap"),
        gap_limit_set=gap_in is not None,
    )


def clocks_of(figures: MeasurementSet, setup: FaceSetup) -> tuple[float, ...]:
    """The marks: those planned and those already read, round the shaft."""
    taken = [*figures.all_of("face"), *figures.all_of("pilot")]
    read = {m.clock_deg for m in taken if m.clock_deg is not None}
    return tuple(sorted(read | set(setup.marks_deg)))


def face_wanted(figures: MeasurementSet, facts: FitFacts) -> tuple[MeasurementRequest, ...]:
    """The figures to take: radii, face mark by mark, inner circle, pilot."""
    setup = face_setup(figures)
    clocks = clocks_of(figures, setup)
    rim_in = figures.length_in(FLANGE, "rim radius")
    radii = [
        MeasurementRequest(
            FLANGE,
            "rim radius",
            "Radius of the flange's rim",
            near_in=RIM_DIAMETERS * facts.diameter_in,
            stray=RIM_STRAY,
            hint="Half the flange's outside diameter.",
        ),
        MeasurementRequest(
            FLANGE,
            "dial radius",
            "Radius of the dial",
            near_in=rim_in,
            stray=0.95,
            hint="From the middle of the shaft to the plunger.",
        ),
    ]
    if setup.inner:
        radii.append(
            MeasurementRequest(
                FLANGE,
                "inner radius",
                "Radius of the inner circle",
                near_in=rim_in,
                stray=0.99,
                hint="The same dial, nearer to the middle, not set to zero again.",
            )
        )
    dials = (A, B) if setup.dials == 2 else (A,)
    face = [_dial("face", what, clock) for clock in clocks for what in dials]
    inner = [_dial("face", INNER, clock) for clock in clocks] if setup.inner else []
    pilot = [_dial("pilot", PILOT, clock) for clock in clocks] if setup.pilot != "none" else []
    return (*radii, *face, *inner, *pilot)


_NAMES = {A: "Face", B: "Opposite dial", INNER: "Inner circle", PILOT: "Pilot"}
_HINTS = {
    A: "Positive = plunger pushed in = face stands proud there.",
    B: "The second dial, half a turn on, at the same moment: mark under dial A stays the clock.",
    INNER: "Same dial setting as the outer circle.",
    PILOT: "Dial on the pilot, marks as before.",
}


def _dial(subject: str, what: str, clock_deg: float) -> MeasurementRequest:
    label = f"{_NAMES[what]} at clock {clock_deg:g}"
    return MeasurementRequest(
        subject, what, label, None, clock_deg, kind="dial", hint=_HINTS[what], part=what
    )


@dataclass(frozen=True, eq=False)
class FaceResult:
    """All that one set says."""

    setup: FaceSetup
    face: FaceFit | None
    pilot: PilotFit | None
    report: Report
    points: Points = ()
    """(clock in degrees, what the dial showed in thou) for a picture of the face."""
    curve: Points = ()
    """The fitted face all the way round, same units."""


def face_result(figures: MeasurementSet, facts: FitFacts) -> FaceResult:
    """Fits, verdicts and words of the set that `figures` is seen from."""
    setup = face_setup(figures)
    face, face_words = _try_face(figures, facts, setup)
    pilot, pilot_words = _try_pilot(figures, facts, setup)
    report = Report(
        good=_good(face, pilot, setup),
        verdict=_face_verdict(face, face_words),
        summary=_pilot_verdict(pilot, pilot_words, setup),
        verdicts=_verdict_words(face, pilot, setup),
        chapters=chapters(
            ("Face", [] if face is None else _face_lines(face)),
            ("Before and after facing", _change_lines(figures, facts, face)),
            ("Pilot", [] if pilot is None else _pilot_lines(pilot)),
            ("Limits", _limit_lines(facts, setup)),
        ),
        bench=chapters(("Limits in print", _printed_limits())),
        missing=_missing(figures, setup, face, pilot),
        cautions=(HIDDEN_CAUTION, LATHE_CAUTION),
        notes=() if face is None else tuple(n for n in face.notes if n != LATHE_CAUTION),
    )
    points = _points(figures, setup)
    return FaceResult(setup, face, pilot, report, points, () if face is None else _curve(face))


def _ring(figures: MeasurementSet, what: str) -> dict[float, float]:
    return {
        m.clock_deg: m.value_in
        for m in figures.all_of("face", what)
        if m.clock_deg is not None and m.value_in is not None
    }


def _try_face(
    figures: MeasurementSet, facts: FitFacts, setup: FaceSetup
) -> tuple[FaceFit | None, str]:
    """The fit, or why there is none."""
    first, second = _ring(figures, A), _ring(figures, B)
    clocks = sorted(set(first) & set(second)) if setup.dials == 2 else sorted(first)
    if len(clocks) < FACE_MARKS:
        of = " by both dials" if setup.dials == 2 else ""
        return None, f"{FACE_MARKS} marks or more{of} are needed, {len(clocks)} read"
    rim_in = figures.length_in(FLANGE, "rim radius")
    radius_in = figures.length_in(FLANGE, "dial radius")
    if rim_in is None or radius_in is None:
        return None, "radius of dial and rim needed: one or both are missing"
    try:
        return fit_face(
            clock_rad=[math.radians(c) for c in clocks],
            reading_in=[first[c] for c in clocks],
            opposite_in=[second[c] for c in clocks] if setup.dials == 2 else None,
            radius_in=radius_in,
            rim_radius_in=rim_in,
            inner=_inner(figures, setup),
            resolution_in=facts.resolution_in,
            repeatability_in=facts.repeatability_in,
            face_limit_in=facts.face_limit_in,
            gap_limit_in=setup.gap_limit_in,
            rule=facts.rule,
        ), ""
    except ShaftlogError as error:
        return None, str(error)


def _inner(figures: MeasurementSet, setup: FaceSetup) -> FaceRing | None:
    """The inner circle, once it is read at enough marks."""
    read = _ring(figures, INNER)
    radius_in = figures.length_in(FLANGE, "inner radius")
    if not setup.inner or radius_in is None or len(read) < FACE_MARKS or setup.dials == 2:
        return None
    return FaceRing(radius_in, [math.radians(c) for c in read], list(read.values()))


def _try_pilot(
    figures: MeasurementSet, facts: FitFacts, setup: FaceSetup
) -> tuple[PilotFit | None, str]:
    read = [
        (math.radians(m.clock_deg), m.value_in)
        for m in figures.all_of("pilot", PILOT)
        if m.clock_deg is not None and m.value_in is not None
    ]
    if len(read) < LEAST_PILOT_MARKS:
        return None, f"{LEAST_PILOT_MARKS} marks or more are needed, {len(read)} read"
    try:
        return fit_pilot(
            clock_rad=[clock for clock, _ in read],
            reading_in=[value for _, value in read],
            resolution_in=facts.resolution_in,
            repeatability_in=facts.repeatability_in,
            internal=setup.pilot == "recess",
            limit_in=facts.pilot_limit_in,
            rule=facts.rule,
        ), ""
    except ShaftlogError as error:
        return None, str(error)


def _good(face: FaceFit | None, pilot: PilotFit | None, setup: FaceSetup) -> bool | None:
    words = [] if face is None else [face.face_word, face.gap_word]
    if pilot is not None:
        words.append(pilot.word)
    if "not true" in words:
        return False
    whole = face is not None and (pilot is not None or setup.pilot == "none")
    return True if whole and set(words) == {"true"} else None


def _verdict_words(
    face: FaceFit | None, pilot: PilotFit | None, setup: FaceSetup
) -> tuple[str, ...]:
    found = [f"face {face.face_word if face else 'not measured'}"]
    if face is not None and face.gap_word != face.face_word:
        found.append(f"gap at the rim {face.gap_word}")
    if setup.pilot != "none":
        found.append(f"pilot {pilot.word if pilot else 'not measured'}")
    return tuple(found)


def _face_verdict(face: FaceFit | None, why: str) -> str:
    if face is None:
        return f"FACE NOT MEASURED: {why}"
    best, low, high = face.rim_in
    return (
        f"FACE {face.face_word.upper()}: {format_dial(best)} TIR at the rim "
        f"({format_dial(low, unit=False)} to {format_dial(high, unit=False)}), limit "
        f"{format_dial(face.face_limit_in)}"
    )


def _pilot_verdict(pilot: PilotFit | None, why: str, setup: FaceSetup) -> str:
    if setup.pilot == "none":
        return "No pilot on this coupling."
    if pilot is None:
        return f"PILOT NOT MEASURED: {why}"
    fit = pilot.fit
    return (
        f"PILOT {pilot.word.upper()}: {format_dial(fit.tir_in)} TIR "
        f"({format_dial(fit.tir_low_in, unit=False)} to "
        f"{format_dial(fit.tir_high_in, unit=False)}), limit {format_dial(pilot.limit_in)}"
    )


def _face_lines(face: FaceFit) -> list[str]:
    lines = [
        f"Tilt {format_angle(face.tilt_rad, 2)}, proud at clock "
        f"{format_clock(face.high_spot_rad)}; {format_dial(face.tir_in)} TIR at the dial's "
        f"radius, the dial{'s' if face.dials == 2 else ''} showed "
        f"{format_dial(face.shown_tir_in)}.",
        *[sentence(words) + "." for words in face.words[1:]],
    ]
    if face.wave_in is not None:
        lines.append(f"Two-lobed wave {format_dial(face.wave_in)} either way.")
    return lines


def _change_lines(figures: MeasurementSet, facts: FitFacts, face: FaceFit | None) -> list[str]:
    """The face of this set against that of set 1."""
    if face is None or (figures.set_of("face") or 1) == 1:
        return []
    first = figures.of_set(1)
    before, why = _try_face(first, facts, face_setup(first))
    if before is None:
        return [f"Set 1 cannot be compared: {why}."]
    return [sentence(compare_faces(before, face).words) + "."]


def _pilot_lines(pilot: PilotFit) -> list[str]:
    fit = pilot.fit
    where = "recess" if pilot.internal else "spigot"
    lines = [
        f"Centre of the {where} off the shaft's axis towards clock "
        f"{format_clock(pilot.eccentric_rad)}; the dial showed {format_dial(fit.shown_tir_in)}."
    ]
    odd = [f"clock {format_clock(slip.clock_rad)}" for slip in fit.slips]
    if odd:
        lines.append(f"A reading does not fit the others: {', '.join(odd)}. Read it again.")
    return lines


def _limit_lines(facts: FitFacts, setup: FaceSetup) -> list[str]:
    origin = "set for this job" if setup.gap_limit_set else "the usual one, nobody set another"
    return [
        f"Face {format_dial(facts.face_limit_in)}, pilot {format_dial(facts.pilot_limit_in)}: shop "
        f"settings, rule {facts.rule}. Gap {format_dial(setup.gap_limit_in)}: {origin}."
    ]


def _printed_limits() -> list[str]:
    """What the shop's settings can be compared with."""
    table = {limit.name: limit for limit in coupling_limits()}
    face, pilot, gap, per = (table[n] for n in ("face", "pilot", "gap", "gap_per_in"))
    return [
        f"Face {format_dial(face.value_in)} {face.basis} ({face.condition}), {face.source}.",
        f"Pilot {format_dial(pilot.value_in)}: {pilot.condition} ({pilot.status}).",
        f"Gap {format_dial(gap.value_in)}: {gap.condition}, {gap.source}.",
        f"Or {format_dial(per.value_in)} of gap for each {each_inch()} of flange ({per.status}).",
        "The coupling standard's own figures (SAE J756, withdrawn) could not be read.",
    ]


def _missing(
    figures: MeasurementSet, setup: FaceSetup, face: FaceFit | None, pilot: PilotFit | None
) -> tuple[str, ...]:
    words = []
    for what, name in (("rim radius", "radius of the rim"), ("dial radius", "radius of the dial")):
        if figures.length_in(FLANGE, what) is None:
            words.append(f"{name}: no gap, no verdict on the face")
    if face is None:
        words.append("face")
    else:
        words += face.missing
    if pilot is None and setup.pilot != "none":
        words.append("pilot")
    return tuple(words)


def _points(figures: MeasurementSet, setup: FaceSetup) -> Points:
    first, second = _ring(figures, A), _ring(figures, B)
    if setup.dials == 1:
        return tuple((clock, 1000 * value) for clock, value in sorted(first.items()))
    both = sorted(set(first) & set(second))
    return tuple((clock, 500 * (first[clock] - second[clock])) for clock in both)


def _curve(face: FaceFit) -> Points:
    """The fitted face round the dial's circle, in the unit of the points."""
    degrees = np.arange(0, 360, 10)
    turn = np.radians(degrees)
    height = face.outer.level_in + face.outer.tilt_in @ np.array([np.cos(turn), np.sin(turn)])
    if face.outer.wave_in is not None:
        height = height + face.outer.wave_in @ np.array([np.cos(2 * turn), np.sin(2 * turn)])
    return tuple(zip(map(float, degrees), map(float, 1000 * height), strict=True))
