"""What the figures of a key say, in words: verdict, side fit, top, peening, strength, sizes."""

from __future__ import annotations

from core.base.errors import ShaftlogError
from core.base.quantities import FORCE, STRESS, TORQUE
from core.base.units import format_angle, format_dial, format_length, format_shop_size, format_size
from core.fitting.keys.checklist import tick_lines, ticks_of
from core.fitting.keys.fit import KEY_U95_IN, KeyCheck, SideFit
from core.fitting.keys.key_job import STANDARDS, KeyResult, KeySetup, key_result, passes_of
from core.fitting.keys.peening import PEENING_CAUTION
from core.fitting.keys.sizes import Standard, standard_key, standards_differ
from core.fitting.measured.band import IN_DOUBT
from core.fitting.measured.facts import FitFacts, metal
from core.fitting.measured.measurements import MeasurementSet
from core.fitting.measured.report import TROUBLE, Report, chapters, sentence, shout

BAD_SIDES = {"too tight", "too loose", "tight and loose"}
TURN_CAUTION = (
    "A keyed shaft can turn with the propeller or the starter: lock the drive out before hands go "
    "near key and coupling. A key that is driven in with a hammer can fly: safety glass."
)


def key_report(figures: MeasurementSet, facts: FitFacts) -> tuple[KeyResult, Report]:
    """The check and its words, for the set that `figures` is seen from."""
    result = key_result(figures, facts)
    sizes = _size_lines(result.setup)
    differs = standards_differ(result.setup.shaft_in)
    mind = [differs] if differs else []
    if result.check is None or result.shaft_side is None:
        words = f"{TROUBLE}: {result.trouble}"
        shown = chapters(("Mind the key", mind), ("Standard keys", sizes))
        return result, Report(None, words, "", shown, (), verdicts=(TROUBLE.lower(),))
    check = result.check
    fits = result.shaft_side.verdict.word == "right" and not passes_of(figures)
    peening = _peening_lines(figures, check, fits=fits)
    refused = [tick.check.bad for tick in ticks_of(figures) if tick.answer == "no"]
    report = Report(
        good=False if refused else _good(check, result.shaft_side),
        verdict=shout(check.top.word, check.top.words),
        summary="; ".join((_sides(check, result.shaft_side), *refused)),
        verdicts=(
            check.top.word,
            *_side_words(check, result.shaft_side),
            *(bad.lower() for bad in refused),
        ),
        chapters=chapters(
            ("Is this figure right?", [doubt.sentence for doubt in check.doubts]),
            ("Mind the key", mind),
            ("Sides", _side_lines(result, check)),
            ("Peening", [] if fits else peening),
            ("Strength at the engine's torque", _strength_lines(figures, facts, result, check)),
            ("Line of the keyways", [sentence(words) + "." for words in check.alignment]),
            ("Check list after the trial fit", tick_lines(figures)),
        ),
        bench=chapters(("Peening", peening if fits else []), ("Standard keys", sizes)),
        missing=(*check.missing, *_unlooked(figures)),
        cautions=(TURN_CAUTION,),
        notes=tuple(sentence(note) + "." for note in check.notes),
        left_open=_unlooked(figures),
    )
    return result, report


def _good(check: KeyCheck, shaft_side: SideFit) -> bool | None:
    words = {shaft_side.verdict.word, check.hub_side.verdict.word}
    if check.top.word == "key-bound" or words & BAD_SIDES:
        return False
    return True if check.top.word == "clear" and words == {"right"} else None


def _unlooked(figures: MeasurementSet) -> tuple[str, ...]:
    """Lines of the check list without an answer."""
    left = [tick.check.name for tick in ticks_of(figures) if not tick.answer]
    return (f"check list after the trial fit: {', '.join(left)}",) if left else ()


def _sides(check: KeyCheck, shaft_side: SideFit) -> str:
    if check.doubts:
        return f"Sides: {IN_DOUBT.words}"
    shaft, hub = shaft_side.verdict.word, check.hub_side.verdict.word
    return f"Sides: in the shaft {shaft.upper()}, in the hub {hub.upper()}"


def _side_words(check: KeyCheck, shaft_side: SideFit) -> tuple[str, ...]:
    if check.doubts:
        return ()
    shaft, hub = shaft_side.verdict.word, check.hub_side.verdict.word
    return f"in the shaft {shaft}", f"in the hub {hub}"


def _side_lines(result: KeyResult, check: KeyCheck) -> list[str]:
    assert result.shaft_side is not None
    lines = []
    if passes := check.peening.widths_in if check.peening else ():
        lines.append(f"As peened, {format_length(passes[-1])} over the lower edges:")
    for fit in (result.shaft_side, check.hub_side):
        verdict = fit.verdict.words
        lines.append(f"{sentence(fit.words)}: {verdict}." if fit.least_in is not None
                     else f"In the {fit.where}: {fit.words}.")  # fmt: skip
        if fit.worn_in is not None:
            worn = format_dial(fit.worn_in)
            lines.append(f"Widest less narrowest place of the {fit.where} keyway: {worn}.")
    if check.backlash_rad:
        slack = check.backlash_rad * result.setup.diameter_in / 2
        lines.append(
            f"Free turn of the hub: {format_angle(check.backlash_rad)}, {format_dial(slack)} at "
            "the shaft's surface."
        )
    return lines


def _peening_lines(
    figures: MeasurementSet, check: KeyCheck, *, fits: bool, u95_in: float = KEY_U95_IN
) -> list[str]:
    work = check.peening
    passes = passes_of(figures)
    if work is None or check.doubts or not (passes or work.to_gain_in > u95_in):
        return []
    lines = ["The side fit is right; to bring the key closer still:"] if fits else []
    lines += [
        f"Wanted {format_length(work.wanted_width_in)} over the lower edges, the key was "
        f"{format_length(work.start_width_in)}.",
        sentence(work.words) + ".",
    ]
    for number, (width, gain) in enumerate(zip(work.widths_in, work.gained_in, strict=True), 1):
        lines.append(f"Pass {number}: {format_length(width)}, gained {format_dial(gain)}.")
    if work.passes_left:
        lines.append(f"About {work.passes_left} more at this pace.")
    return [*lines, PEENING_CAUTION]


def _strength_lines(
    figures: MeasurementSet, facts: FitFacts, result: KeyResult, check: KeyCheck
) -> list[str]:
    stress = check.stress
    if stress is None:
        return []
    lines = [
        sentence(stress.words) + ".",
        f"Torque {TORQUE.text(stress.torque_lbf_in)}, {FORCE.text(stress.force_lbf)} on the "
        f"key's side, working length {format_length(stress.working_length_in, 2)}.",
        f"Shear {STRESS.text(stress.shear_psi)}; bearing {STRESS.text(stress.shaft_bearing_psi)} "
        f"in the shaft, {STRESS.text(stress.hub_bearing_psi)} in the hub. Friction of the fit "
        "is not counted.",
    ]
    names = (
        ("key", result.setup.key_material, ""),
        ("shaft", facts.material, facts.condition),
        ("hub", figures.word("coupling setup", "hub material"), ""),
    )
    for part, name, condition in names:
        found = metal(name, condition)
        if found is not None and found.yield_stress is not None:
            figure = found.yield_stress
            memory = ", FROM MEMORY" if figure.from_memory else ""
            lines.append(
                f"Yield of the {part}: {found.name} {STRESS.text(figure.value)}, "
                f"{figure.condition}{memory}."
            )
    return lines


def _size_lines(setup: KeySetup) -> list[str]:
    """What each standard gives for this shaft."""
    return [_size_line(standard, setup) for standard in STANDARDS]


def _size_line(standard: Standard, setup: KeySetup) -> str:
    try:
        key = standard_key(
            diameter_in=setup.shaft_in,
            standard=standard,
            shape=setup.shape if standard == "B17.1" else "square",
        )
    except ShaftlogError as error:
        return f"{standard}: {error}"
    limits = ""
    if key.width_min_in is not None and key.width_max_in is not None:
        least = format_length(key.width_min_in, unit=False)
        limits = f", keyway {least} to {format_length(key.width_max_in)}"
    depth = key.depth
    side = "" if key.side_depth_in is None else f", {format_length(key.side_depth_in)} deep at side"
    return (
        f"{standard}, {format_shop_size(key.diameter_in)} shaft: key {format_size(key.width_in)} x "
        f"{format_size(key.height_in)}{limits}{side}; S {format_length(depth.shaft_s_in)}, "
        f"T {format_length(depth.hub_t_in)} ({key.status})."
    )
