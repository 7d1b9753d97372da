"""What is in the way of a release, and which step each thing keeps open. Pure."""

from __future__ import annotations

from core.base.counting import many
from core.base.light_dataclass import dataclass
from core.jobs.job_facts import JobFacts


@dataclass(frozen=True)
class Block:
    """One thing in the way of the release."""

    what: str
    why: str
    place: str
    """Name of the screen where it can be put right."""
    step: str
    """Name of the step it keeps open."""
    short: str = ""
    """The same in a few words, for the card."""

    @property
    def text(self) -> str:
        """One line for screen and ticket."""
        return f"{self.what}: {self.why}"


def release_blocks(facts: JobFacts) -> tuple[Block, ...]:
    """What is in the way of the release; empty = nothing. Each can be overruled by a person
    with a name and a written reason."""
    found = [
        *_name_blocks(facts),
        *_penetrant_blocks(facts),
        *_sweep_blocks(facts),
        *_verdict_blocks(facts),
        *_coupling_blocks(facts),
    ]
    return tuple(found)


def _name_blocks(facts: JobFacts) -> list[Block]:
    if not facts.not_named:
        return []
    return [Block("Intake", f"no name yet: {', '.join(facts.not_named)}", "intake", "release")]


def _penetrant_blocks(facts: JobFacts) -> list[Block]:
    def block(why: str, short: str = "", what: str = "Penetrant check") -> Block:
        return Block(what, why, "penetrant", "penetrant", short)

    if facts.cracks:
        why = f"a crack was seen in {many(facts.cracks, 'area')}: the shaft must not run"
        return [block(why, what="Crack")]
    if not facts.penetrant_areas:
        return [block("no area has been checked for cracks", "no check, no release")]
    found = []
    named = len(facts.penetrant_unseen) + len(facts.penetrant_again)
    left = facts.penetrant_areas - facts.penetrant_clear - named
    if left > 0:
        found.append(block(f"{left} of {facts.penetrant_areas} areas have no clear result"))
    if facts.penetrant_unseen:
        found.append(block(f"not looked at yet: {', '.join(facts.penetrant_unseen)}"))
    found += [
        block(f"{name} has to be done again: {why.rstrip('.')}", f"{name} again")
        for name, why in facts.penetrant_again
    ]
    return found


def _sweep_blocks(facts: JobFacts) -> list[Block]:
    found = [Block("Sweep", why, "sweep", "final") for why in facts.sweep_troubles]
    if facts.sweep_in_hand:
        why = f"the sweep '{facts.sweep_in_hand_purpose}' was begun and not finished"
        home = {"as received": "sweep", "hold check": "hold", "final": "final"}
        step = home.get(facts.sweep_in_hand_purpose, "straighten")
        found.append(Block("Sweep in hand", why, "sweep", step, "a sweep is not finished"))
    if not facts.swept_since_hit:
        when = "after the last hit" if facts.hits else "on this job"
        found.append(Block("Final sweep", f"no full sweep was finished {when}", "sweep", "final"))
    if facts.hits and not facts.hold_checked:
        why = "not swept again after a rest: nobody knows whether the set stays"
        found.append(Block("Hold check", why, "hold", "hold"))
    elif facts.hits and (facts.rested_hours or 0.0) < facts.rest_asked_hours:
        found.append(_short_rest(facts))
    return found


def _short_rest(facts: JobFacts) -> Block:
    """A hold check after too short a rest says little."""
    asked = f"the shop asks for {facts.rest_asked_hours:g} h"
    if facts.rested_hours is None:
        why, short = "no full sweep before the rest to compare with", "nothing to compare with"
    else:
        why = f"swept again after a rest of {facts.rested_hours:.1f} h; {asked}"
        short = f"rested {facts.rested_hours:.1f} of {facts.rest_asked_hours:g} h"
    return Block("Hold check", why, "hold", "hold", short)


def _verdict_blocks(facts: JobFacts) -> list[Block]:
    if not facts.swept_since_hit or facts.verdict in ("", "true"):
        return []
    if facts.verdict == "not true":
        why = "the last sweep shows more runout than a limit allows"
    else:
        why = "the last sweep cannot tell whether the limits are kept"
    straightened = facts.hits or "straighten" in facts.work
    step = "straighten" if straightened else "final"
    areas = f": {facts.verdict_areas}" if facts.verdict_areas else ""
    return [Block("Verdict", why + areas, "plot", step, facts.verdict)]


def _coupling_blocks(facts: JobFacts) -> list[Block]:
    found = []
    for name, (title, place, missing) in MEASURED.items():
        if name in facts.work and not is_measured(facts, name):
            found.append(Block(title, missing, place, name))
        if name in facts.measured_bent:
            why = "measured before the last hit, on a bent shaft: measure it again"
            found.append(Block(title, why, place, name, "measured before the hits: again"))
        found += [
            Block(title, why, place, name, "see Release")
            for step, why in facts.faults
            if step == name
        ]
    return found


MEASURED = {
    "bore": ("Coupling bore", "coupling", "bore and shaft seat are not both measured"),
    "face": ("Coupling face", "face", "the face has not been read"),
    "key": ("Key", "key", "key and keyways have not been measured"),
}
"""Step: its title, its screen, what is missing."""


def is_measured(facts: JobFacts, name: str) -> bool:
    return {
        "bore": facts.bore_figures > 0 and facts.seat_figures > 0,
        "face": facts.face_figures > 0,
        "key": facts.key_figures > 0,
    }[name]
