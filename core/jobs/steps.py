"""The steps of a job: which one comes next, and what is in the way of its release.

Pure: facts in, steps out. `core.jobs.facts` gathers what a few queries give (enough for the board);
`core.jobs.release.full_facts` adds what has to be computed. A step with something in its way is
never 'done', so that card, board, release and ticket agree.
"""

from __future__ import annotations

from dataclasses import replace

from core.base.counting import many
from core.base.light_dataclass import dataclass
from core.jobs.blocks import MEASURED, Block, is_measured, release_blocks
from core.jobs.job_facts import JobFacts


@dataclass(frozen=True)
class Step:
    """One step of a job as the job card shows it."""

    name: str
    place: str
    """Name of the screen that does it."""
    title: str
    state: str
    """'done', 'next', 'open', 'blocked' or 'not wanted'."""
    say: str = ""
    """How far it is, in a few words."""
    purpose: str = ""
    """For sweeps: what the sweep is for."""


def steps_of(facts: JobFacts) -> tuple[Step, ...]:
    """All steps in the order of the bench, the first that can be done now marked 'next'."""
    blocks = release_blocks(facts)
    plain: tuple[Step, ...] = (
        _sweep_in(facts),
        _penetrant(facts),
        _decide(facts),
        _straighten(facts),
        _hold(facts),
        _final(facts),
        _measured(facts, "bore", _bore_say(facts)),
        _measured(facts, "face", _count_say(facts.face_figures)),
        _measured(facts, "key", _count_say(facts.key_figures)),
        _release(facts, len(blocks)),
    )
    if facts.decision != "replace":
        plain = tuple(_with_blocks(step, blocks) for step in plain)
    if facts.state not in ("open", "waiting"):
        return plain
    return _mark_next(facts, plain)


AFTER_VERDICTS = ("bore", "face", "key", "release")
"""Steps that come once the shaft was judged."""


def next_step(facts: JobFacts) -> Step | None:
    """The step to do next; None when the job is closed."""
    for step in steps_of(facts):
        if step.state == "next":
            return step
    return None


def say_next(facts: JobFacts) -> str:
    """The next step in a few words, for the board.

    The board judges neither the last sweep nor what was measured on coupling and key: where the
    step rests on that, it says so.
    """
    if facts.state == "waiting":
        return f"Waiting for {facts.waiting_for}" if facts.waiting_for else "Waiting"
    step = next_step(facts)
    if step is None:
        return facts.state.capitalize()
    text = f"{step.title}: {step.say}" if step.say else step.title
    return f"If good: {text}" if facts.not_judged and step.name in AFTER_VERDICTS else text


def _with_blocks(step: Step, blocks: tuple[Block, ...]) -> Step:
    """The step, open again when something in the way belongs to it."""
    own = [block for block in blocks if block.step == step.name]
    if not own or step.state not in ("done", "not wanted"):
        return step
    return replace(step, state="open", say=own[0].short or step.say)


def _mark_next(facts: JobFacts, plain: tuple[Step, ...]) -> tuple[Step, ...]:
    """Put 'next' on one step: the sweep in hand first of all, then the first still open.

    Straightened spots are looked at once the straightening is done.
    """
    chosen = next((s for s in plain if s.state == "open"), None)
    if chosen is not None and chosen.name == "penetrant" and _only_spots_left(facts):
        chosen = next((s for s in plain if s.name == "straighten" and s.state == "open"), chosen)
    if facts.sweep_in_hand and facts.sweep_in_hand_purpose != "as received":
        chosen = next((s for s in plain if _holds_sweep(facts, s)), chosen)
    return tuple(replace(s, state="next") if s is chosen else s for s in plain)


def _holds_sweep(facts: JobFacts, step: Step) -> bool:
    """True for the step the sweep in hand belongs to."""
    home = {"hold check": "hold", "final": "final"}
    return step.name == home.get(facts.sweep_in_hand_purpose, "straighten")


def _in_hand_say(facts: JobFacts, purpose: str) -> str:
    if not facts.sweep_in_hand or facts.sweep_in_hand_purpose != purpose:
        return ""
    return f"go on, {many(facts.readings_in_hand, 'reading')} taken"


def _sweep_in(facts: JobFacts) -> Step:
    done = facts.swept_as_received
    say = "" if done else _in_hand_say(facts, "as received")
    state = "done" if done else "open"
    return Step("sweep", "sweep", "Sweep as received", state, say, "as received")


def _penetrant(facts: JobFacts) -> Step:
    title = "Penetrant check"
    seen = f"{facts.penetrant_clear} of {facts.penetrant_areas} areas clear"
    if facts.cracks:
        say = f"crack in {facts.cracks} of {facts.penetrant_areas} areas: stop"
        return Step("penetrant", "penetrant", title, "blocked", say)
    if facts.penetrant_areas and facts.penetrant_clear == facts.penetrant_areas:
        return Step("penetrant", "penetrant", title, "done", seen)
    if "penetrant" not in facts.work and not facts.penetrant_areas:
        return Step("penetrant", "penetrant", title, "not wanted", "blocks the release")
    if _only_spots_left(facts):
        seen += ", straightened spots left"
    if facts.penetrant_running:
        seen = f"clock running on {facts.penetrant_running}, {seen}"
    return Step("penetrant", "penetrant", title, "open", seen if facts.penetrant_areas else "")


def _only_spots_left(facts: JobFacts) -> bool:
    left = facts.penetrant_areas - facts.penetrant_clear
    return bool(left) and left == facts.penetrant_spots_left and not facts.penetrant_running


def _decide(facts: JobFacts) -> Step:
    title = "Repair or replace"
    if "straighten" not in facts.work and not facts.decision:
        return Step("repair", "repair", title, "not wanted")
    if facts.decision in ("repair", "replace"):
        return Step("repair", "repair", title, "done", facts.decision)
    # Nobody weighed it: whoever hits has decided, and a shaft swept as final needs no decision.
    if facts.hits or facts.final_swept:
        return Step("repair", "repair", title, "not wanted")
    say = "owner to answer" if facts.decision == "both" else ""
    return Step("repair", "repair", title, "open", say)


def _straighten(facts: JobFacts) -> Step:
    title = "Straighten"
    hits = f"{many(facts.hits, 'hit')}, {many(facts.rounds, 'round')}" if facts.hits else ""
    finished = facts.final_swept or facts.hold_checked or facts.verdict == "true"
    if facts.cracks:
        return Step("straighten", "straighten", title, "blocked", "crack")
    if facts.decision == "replace" or ("straighten" not in facts.work and not facts.hits):
        return Step("straighten", "straighten", title, "not wanted", hits)
    if finished and facts.swept_since_hit and facts.verdict in ("", "true"):
        return Step("straighten", "straighten", title, "done", hits or "no hits needed")
    if facts.hits and not (facts.swept_since_hit or facts.checked_since_hit):
        hits += ", check the line"
    return Step("straighten", "straighten", title, "open", hits)


def _hold(facts: JobFacts) -> Step:
    title = "Hold check"
    if facts.hold_checked:
        return Step("hold", "hold", title, "done", _rest_say(facts))
    if facts.decision == "replace" or ("straighten" not in facts.work and not facts.hits):
        return Step("hold", "hold", title, "not wanted")
    if not facts.hits:
        true = facts.swept_since_hit and (facts.verdict == "true" or facts.final_swept)
        state, say = ("not wanted", "no hits made") if true else ("open", "after the last hit")
        return Step("hold", "hold", title, state, say)
    if say := _in_hand_say(facts, "hold check"):
        return Step("hold", "sweep", title, "open", say, "hold check")
    say = "rest is over: sweep it again" if facts.rest_over else "after a rest"
    return Step("hold", "hold", title, "open", say)


def _rest_say(facts: JobFacts) -> str:
    return "" if facts.rested_hours is None else f"rested {facts.rested_hours:.1f} h"


def _final(facts: JobFacts) -> Step:
    title = "Final sweep"
    if facts.decision == "replace":
        return Step("final", "sweep", title, "not wanted", "", "final")
    if facts.final_swept:
        return Step("final", "sweep", title, "done", "", "final")
    # A hold check, or any sweep found true with no hit since, shows the state that leaves.
    if facts.swept_since_hit and (facts.hold_checked or facts.verdict == "true"):
        return Step("final", "sweep", title, "done", "the last sweep counts", "final")
    return Step("final", "sweep", title, "open", _in_hand_say(facts, "final"), "final")


def _count_say(figures: int) -> str:
    return many(figures, "figure") if figures else ""


def _bore_say(facts: JobFacts) -> str:
    if facts.bore_figures and not facts.seat_figures:
        return "bore measured, shaft seat not"
    if facts.seat_figures and not facts.bore_figures:
        return "shaft seat measured, bore not"
    return _count_say(facts.bore_figures + facts.seat_figures)


def _measured(facts: JobFacts, name: str, say: str) -> Step:
    title, place, _ = MEASURED[name]
    if is_measured(facts, name):
        return Step(name, place, title, "done", say)
    return Step(name, place, title, "open" if name in facts.work else "not wanted", say)


def _release(facts: JobFacts, count: int) -> Step:
    if facts.released:
        return Step("release", "release", "Release", "done")
    say = f"{many(count, 'thing')} in the way" if count else ""
    return Step("release", "release", "Release", "open", say)
