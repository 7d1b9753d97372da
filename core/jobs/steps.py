"""The steps of a job: which one comes next, and what stands in the way of its release.

Pure: the facts come in (`core.jobs.facts` gathers them), the steps go out. Nothing is worked out
from readings here; whoever has the verdict of the last sweep puts it into the facts.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.base.counting import many


@dataclass(frozen=True)
class JobFacts:
    """What has happened on a job so far."""

    job_id: str
    state: str = "open"
    waiting_for: str = ""
    work: tuple[str, ...] = ("penetrant", "straighten", "bore", "face", "key")
    sweep_in_hand: str | None = None
    """Id of the newest sweep not finished; None = none."""
    sweep_in_hand_purpose: str = ""
    readings_in_hand: int = 0
    """Readings taken so far in the sweep in hand."""
    swept_as_received: bool = False
    """A full sweep as received has been finished."""
    swept_since_hit: bool = False
    """A full sweep of any purpose has been finished after the last hit (or ever, without hits)."""
    rest_over: bool = False
    """The rest before the hold check has passed since that sweep."""
    hold_checked: bool = False
    """A hold check has been finished after the last hit."""
    final_swept: bool = False
    """A final sweep has been finished after the last hit."""
    checked_since_hit: bool = False
    """A quick check has been finished after the last hit."""
    penetrant_areas: int = 0
    penetrant_clear: int = 0
    """Areas seen clear in their last check (or let go on by an overrule)."""
    cracks: int = 0
    """Areas with a crack that nobody has overruled."""
    penetrant_running: int = 0
    """Areas with penetrant on and no result."""
    penetrant_spots_left: int = 0
    """Straightened spots among the areas that have no clear result."""
    decision: str = ""
    """Kind of the last quote: '', 'repair', 'replace' or 'both' (owner still to answer)."""
    hits: int = 0
    rounds: int = 0
    bore_figures: int = 0
    seat_figures: int = 0
    face_figures: int = 0
    key_figures: int = 0
    released: bool = False
    verdict: str = ""
    """Of the last full sweep: 'true', 'not true', 'too close to call'; '' = not known."""


@dataclass(frozen=True)
class Step:
    """One step of a job as it stands on the job card."""

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


@dataclass(frozen=True)
class Block:
    """One thing that stands in the way of the release."""

    what: str
    why: str
    place: str
    """Name of the screen where it can be put right."""


def steps_of(facts: JobFacts) -> tuple[Step, ...]:
    """All steps in the order of the bench, the first that can be done now marked 'next'."""
    plain = (
        _sweep_in(facts),
        _penetrant(facts),
        _decide(facts),
        _straighten(facts),
        _hold(facts),
        _final(facts),
        _measured(facts, "bore", "coupling", "Coupling bore", _bore_say(facts)),
        _measured(facts, "face", "face", "Coupling face", _count_say(facts.face_figures)),
        _measured(facts, "key", "key", "Key", _count_say(facts.key_figures)),
        _release(facts),
    )
    if facts.state not in ("open", "waiting"):
        return plain
    return _mark_next(facts, plain)


def next_step(facts: JobFacts) -> Step | None:
    """The step to do next; None when the job is closed."""
    for step in steps_of(facts):
        if step.state == "next":
            return step
    return None


def say_next(facts: JobFacts) -> str:
    """The next step in a few words, for the board."""
    if facts.state == "waiting":
        return f"Waiting for {facts.waiting_for}" if facts.waiting_for else "Waiting"
    step = next_step(facts)
    if step is None:
        return facts.state.capitalize()
    return f"{step.title}: {step.say}" if step.say else step.title


def _mark_next(facts: JobFacts, plain: tuple[Step, ...]) -> tuple[Step, ...]:
    """Put 'next' on one step: the sweep in hand first of all, then the first still open.

    Straightened spots are looked at once the straightening is done.
    """
    chosen = next((s for s in plain if s.state == "open"), None)
    if chosen is not None and chosen.name == "penetrant" and _only_spots_left(facts):
        chosen = next((s for s in plain if s.name == "straighten" and s.state == "open"), chosen)
    if facts.sweep_in_hand and facts.sweep_in_hand_purpose != "as received":
        chosen = next((s for s in plain if _holds_sweep(facts, s)), chosen)
    return tuple(_with_state(s, "next") if s is chosen else s for s in plain)


def _holds_sweep(facts: JobFacts, step: Step) -> bool:
    """True for the step the sweep in hand belongs to."""
    home = {"hold check": "hold", "final": "final"}
    return step.name == home.get(facts.sweep_in_hand_purpose, "straighten")


def _with_state(step: Step, state: str) -> Step:
    return Step(step.name, step.place, step.title, state, step.say, step.purpose)


def _in_hand_say(facts: JobFacts, purpose: str) -> str:
    if not facts.sweep_in_hand or facts.sweep_in_hand_purpose != purpose:
        return ""
    return f"go on, {facts.readings_in_hand} readings taken"


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
    # Whoever has started to hit has decided, and a shaft swept as final needs no decision.
    if facts.hits or facts.final_swept:
        return Step("repair", "repair", title, "done")
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
        return Step("hold", "hold", title, "done")
    if not facts.hits or facts.decision == "replace":
        return Step("hold", "hold", title, "not wanted")
    if say := _in_hand_say(facts, "hold check"):
        return Step("hold", "sweep", title, "open", say, "hold check")
    say = "rest is over: sweep it again" if facts.rest_over else "after a rest"
    return Step("hold", "hold", title, "open", say)


def _final(facts: JobFacts) -> Step:
    title = "Final sweep"
    if facts.decision == "replace":
        return Step("final", "sweep", title, "not wanted", "", "final")
    if facts.final_swept:
        return Step("final", "sweep", title, "done", "", "final")
    # A hold check, or any sweep found true with no hit since, shows the state that leaves.
    if facts.swept_since_hit and (facts.hold_checked or facts.verdict == "true"):
        return Step("final", "sweep", title, "done", "the last sweep stands", "final")
    return Step("final", "sweep", title, "open", _in_hand_say(facts, "final"), "final")


def _count_say(figures: int) -> str:
    return many(figures, "figure") if figures else ""


def _bore_say(facts: JobFacts) -> str:
    if facts.bore_figures and not facts.seat_figures:
        return "bore measured, shaft seat not"
    if facts.seat_figures and not facts.bore_figures:
        return "shaft seat measured, bore not"
    return _count_say(facts.bore_figures + facts.seat_figures)


def _measured(facts: JobFacts, name: str, place: str, title: str, say: str) -> Step:
    done = {
        "bore": facts.bore_figures > 0 and facts.seat_figures > 0,
        "face": facts.face_figures > 0,
        "key": facts.key_figures > 0,
    }[name]
    if done:
        return Step(name, place, title, "done", say)
    return Step(name, place, title, "open" if name in facts.work else "not wanted", say)


def _release(facts: JobFacts) -> Step:
    if facts.released:
        return Step("release", "release", "Release", "done")
    count = len(release_blocks(facts))
    say = f"{many(count, 'step')} in the way" if count else ""
    return Step("release", "release", "Release", "open", say)


def release_blocks(facts: JobFacts) -> tuple[Block, ...]:
    """What stands in the way of the release; empty = nothing. Each can be overruled by a person
    with a name and a written reason."""
    found = [
        *_penetrant_blocks(facts),
        *_sweep_blocks(facts),
        *_verdict_blocks(facts),
        *_coupling_blocks(facts),
    ]
    return tuple(found)


def _penetrant_blocks(facts: JobFacts) -> list[Block]:
    if facts.cracks:
        why = f"a crack was seen in {many(facts.cracks, 'area')}: the shaft must not run"
        return [Block("Crack", why, "penetrant")]
    if not facts.penetrant_areas:
        return [Block("Penetrant check", "no area has been checked for cracks", "penetrant")]
    left = facts.penetrant_areas - facts.penetrant_clear
    if left:
        why = f"{left} of {facts.penetrant_areas} areas have no clear result"
        return [Block("Penetrant check", why, "penetrant")]
    return []


def _sweep_blocks(facts: JobFacts) -> list[Block]:
    found = []
    if facts.sweep_in_hand:
        why = f"the sweep '{facts.sweep_in_hand_purpose}' was begun and not finished"
        found.append(Block("Sweep in hand", why, "sweep"))
    if not facts.swept_since_hit:
        when = "after the last hit" if facts.hits else "on this job"
        found.append(Block("Final sweep", f"no full sweep was finished {when}", "sweep"))
    if facts.hits and not facts.hold_checked:
        why = "not swept again after a rest: nobody knows whether the set stays"
        found.append(Block("Hold check", why, "sweep"))
    return found


def _verdict_blocks(facts: JobFacts) -> list[Block]:
    if not facts.swept_since_hit or facts.verdict in ("", "true"):
        return []
    if facts.verdict == "too close to call":
        why = "the last sweep cannot tell whether the limits are kept"
    else:
        why = "the last sweep shows more runout than a limit allows"
    return [Block("Verdict", why, "plot")]


def _coupling_blocks(facts: JobFacts) -> list[Block]:
    wanted = {
        "bore": Block("Coupling bore", "bore and shaft seat are not both measured", "coupling"),
        "face": Block("Coupling face", "the face has not been read", "face"),
        "key": Block("Key", "key and keyways have not been measured", "key"),
    }
    done = {
        "bore": facts.bore_figures > 0 and facts.seat_figures > 0,
        "face": facts.face_figures > 0,
        "key": facts.key_figures > 0,
    }
    return [block for name, block in wanted.items() if name in facts.work and not done[name]]
