"""Words of the straighten screen."""

from __future__ import annotations

from core.base.units import format_angle, format_clock, format_thou
from core.jobs.straightening import HitToMake, StraighteningState, check_stations_in

PRESS_SAFETY = (
    "Press: blocks on both sides, nobody in line with the shaft, hands out, face shield. A shaft "
    "or a block that slips flies. Creep up on the travel; the first stroke is a prediction."
)
SAFETY = (
    "SAFETY: nobody in line with the shaft, hands out, face shield, blocks firm: what slips "
    "flies. Creep up. Heat: rags and solvent away, extinguisher at hand."
)
"""Both cautions as short as two lines of 80 columns, where the round stands."""
HEAT_SAFETY = "Heat: solvent, penetrant and rags away first; extinguisher at hand; see F7."


def headline(bench: StraighteningState, cracks: int) -> tuple[str, ...]:
    """What stands first, what to do next, and the sweep that is not used, if there is one."""
    first = _state_and_next(bench, cracks)
    return (*first, bench.raw.mixed) if bench.raw.mixed else first


def _state_and_next(bench: StraighteningState, cracks: int) -> tuple[str, str]:
    if cracks:
        return (
            "STOP: a crack was found.",
            "No hit until it is overruled in writing on the penetrant screen.",
        )
    story = bench.story
    if story is not None and story.line is None:
        said = " ".join(d for result in story.rounds[-1:] for d in result.doubts)
        return bench.trouble, f"{said} F7 and 4 begin the sweep.".strip()
    if bench.trouble:
        return bench.trouble, "The job card (F10) opens the sweep."
    assert story is not None
    worst = f"bend part of the TIR at worst {format_thou(bench.worst_now_in)}"
    if story.waits_for_check:
        made = len(story.rounds[-1].made)
        left = f", {len(bench.plan)} more to make" if bench.plan else ""
        return (
            f"{made} {'hit' if made == 1 else 'hits'} made since the last reading{left}; by the "
            f"plan {worst}.",
            f"F6 starts the quick check once the hits are made: {_stations(bench)} in.",
        )
    if not bench.plan:
        return (
            f"NOTHING MORE TO HIT: {worst}.",
            "Let it rest, then the hold check (F7). The verdicts stand on the shape screen.",
        )
    number = len(story.rounds) + 1
    count = f"{len(bench.plan)} {'hit' if len(bench.plan) == 1 else 'hits'}"
    return f"ROUND {number}: {count}; {worst}.", doubt_words(bench)


def _stations(bench: StraighteningState) -> str:
    assert bench.story is not None
    return ", ".join(f"{x:g}" for x in check_stations_in(bench.story))


def doubt_words(bench: StraighteningState) -> str:
    """What the readings after the last round say against its hits; else how the shaft answers."""
    story = bench.story
    if story is not None and story.rounds and story.rounds[-1].doubts:
        return story.rounds[-1].doubts[0]
    return response_words(bench)


def response_words(bench: StraighteningState) -> str:
    """The response used for the plan."""
    press = bench.responses["press"]
    if not press.n_hits:
        return "No record of this material yet: the plan takes what is asked for."
    return (
        f"Response {press.mean:.0%} of what is asked, give or take {press.scatter:.0%} "
        f"({press.n_hits} hits): set for that."
    )


def hit_cells(number: int, planned: HitToMake) -> tuple[str, ...]:
    """One line of the list."""
    hit, stroke = planned.hit, planned.stroke
    return (
        str(number),
        f"{hit.station_in:.2f}",
        format_clock(hit.high_side_rad, unit=""),
        f"{1000 * hit.angle_rad:.2f}",
        f"{1000 * hit.ask_for_rad:.2f}",
        f"{stroke.load_lbf:,.0f}" if stroke is not None else "?",
        format_thou(stroke.travel_in, 0, unit=False) if stroke is not None else "?",
        format_thou(stroke.stays_in, 1, unit=False) if stroke is not None else "?",
        format_thou(hit.worst_tir_after_in, 1, unit=False),
    )


def hit_words(planned: HitToMake, span_in: float) -> str:
    """What the bench does and sees at one hit, and the first thing to mind."""
    hit = planned.hit
    lines = [
        f"Ram: clock {format_clock(hit.high_side_rad)}, {hit.station_in:.2f} in, blocks "
        f"{span_in:g} in apart. Take out {format_angle(hit.angle_rad, 2)}."
    ]
    if planned.dial:
        told = (
            f"at {x:g} in {format_thou(before, unit=False)} before, "
            f"{format_thou(after, unit=False)} after"
            for x, before, after in planned.dial
        )
        lines.append(f"TIR {'; '.join(told)}.")
    if hit.check_stations_in:
        places = ", ".join(f"{x:g}" for x in hit.check_stations_in)
        lines.append(f"Quick check after the round at {places} in.")
    if planned.trouble:
        lines.append(f"Press: {planned.trouble}")
    if planned.warnings:
        more = len(planned.warnings) - 1
        count = f" ({more} more, F8 says all)" if more else ""
        lines.append(f"MIND{count}: {planned.warnings[0]}")
    return "\n".join(lines)
