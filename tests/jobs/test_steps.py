"""The steps of a job and what blocks its release, from facts alone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from core.base.times import moment
from core.book.opening import open_book
from core.jobs.blocks import release_blocks
from core.jobs.facts import board
from core.jobs.job_facts import JobFacts
from core.jobs.penetrant import board_counted
from core.jobs.release import full_facts
from core.jobs.steps import next_step, say_next, steps_of

DEMO = Path(__file__).resolve().parents[2] / "demo.db"
DONE = JobFacts(
    job_id="x",
    swept_as_received=True,
    swept_since_hit=True,
    hold_checked=True,
    final_swept=True,
    penetrant_areas=4,
    penetrant_clear=4,
    decision="repair",
    hits=3,
    rounds=1,
    bore_figures=8,
    seat_figures=8,
    face_figures=8,
    key_figures=6,
    verdict="true",
)


def blocks(facts: JobFacts) -> list[str]:
    return [block.what for block in release_blocks(facts)]


def test_nothing_blocks_a_job_with_everything_done() -> None:
    assert blocks(DONE) == []
    step = next_step(DONE)
    assert step is not None
    assert step.name == "release"


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"cracks": 1, "penetrant_clear": 3}, "Crack"),
        ({"penetrant_areas": 0, "penetrant_clear": 0}, "Penetrant check"),
        ({"penetrant_clear": 3}, "Penetrant check"),
        ({"sweep_in_hand": "s", "sweep_in_hand_purpose": "final"}, "Sweep in hand"),
        ({"swept_since_hit": False}, "Final sweep"),
        ({"hold_checked": False}, "Hold check"),
        ({"verdict": "not true"}, "Verdict"),
        ({"verdict": "too close to call"}, "Verdict"),
        ({"bore_figures": 0}, "Coupling bore"),
        ({"seat_figures": 0}, "Coupling bore"),
        ({"face_figures": 0}, "Coupling face"),
        ({"key_figures": 0}, "Key"),
    ],
)
def test_each_thing_missing_blocks_and_says_why(change: dict[str, object], what: str) -> None:
    facts = replace(DONE, **change)  # type: ignore[arg-type]
    found = release_blocks(facts)
    assert what in [block.what for block in found]
    assert all(block.why and block.place for block in found)


def test_no_check_no_release_even_when_the_check_was_not_ordered() -> None:
    facts = replace(DONE, work=(), penetrant_areas=0, penetrant_clear=0)
    assert blocks(facts) == ["Penetrant check"]


def test_what_was_not_ordered_does_not_block() -> None:
    facts = replace(
        DONE,
        work=("penetrant", "straighten"),
        bore_figures=0,
        seat_figures=0,
        face_figures=0,
        key_figures=0,
    )
    assert blocks(facts) == []
    states = {step.name: step.state for step in steps_of(facts)}
    assert states["bore"] == states["face"] == states["key"] == "not wanted"


def test_a_new_job_starts_with_the_sweep() -> None:
    step = next_step(JobFacts("x"))
    assert step is not None
    assert (step.name, step.place, step.purpose) == ("sweep", "sweep", "as received")


def test_a_sweep_in_hand_comes_first() -> None:
    facts = replace(DONE, sweep_in_hand="s", sweep_in_hand_purpose="hold check", hold_checked=False)
    step = next_step(facts)
    assert step is not None
    assert step.name == "hold"


def test_a_shaft_true_as_received_needs_no_hits_and_no_second_sweep() -> None:
    facts = replace(
        DONE, hits=0, rounds=0, hold_checked=False, final_swept=False, decision="repair"
    )
    states = {step.name: step.state for step in steps_of(facts)}
    assert states["straighten"] == "done"
    assert states["final"] == "done"
    assert states["hold"] == "not wanted"
    assert blocks(facts) == []


def test_not_true_after_the_hold_check_goes_back_to_straighten() -> None:
    facts = replace(DONE, verdict="not true")
    step = next_step(facts)
    assert step is not None
    assert step.name == "straighten"


def test_replace_skips_the_straightening() -> None:
    facts = JobFacts(
        "x", swept_as_received=True, penetrant_areas=1, penetrant_clear=1, decision="replace"
    )
    states = {step.name: step.state for step in steps_of(facts)}
    assert states["straighten"] == states["hold"] == states["final"] == "not wanted"


@pytest.mark.parametrize("state", ["released", "replaced", "returned"])
def test_a_closed_job_has_no_next_step(state: str) -> None:
    facts = replace(DONE, state=state, released=state == "released")
    assert next_step(facts) is None
    assert say_next(facts) == state.capitalize()


def test_waiting_says_for_whom() -> None:
    assert say_next(replace(DONE, state="waiting", waiting_for="owner")) == "Waiting for owner"


def test_never_more_than_one_next() -> None:
    for change in ({}, {"cracks": 1}, {"decision": ""}, {"hits": 0}, {"sweep_in_hand": "s"}):
        states = [step.state for step in steps_of(replace(DONE, **change))]  # type: ignore[arg-type]
        assert states.count("next") <= 1


def test_straightened_spots_are_looked_at_once_the_straightening_is_done() -> None:
    """In the middle of the rounds the next step is the straightening; after it, the spots."""
    working = replace(
        DONE, hold_checked=False, final_swept=False, verdict="not true",
        penetrant_areas=7, penetrant_clear=5, penetrant_spots_left=2,
    )  # fmt: skip
    assert say_next(working).startswith("Straighten")
    penetrant = steps_of(working)[1]
    assert penetrant.say == "5 of 7 areas clear, straightened spots left"
    assert next_step(replace(working, penetrant_spots_left=1)).name == "penetrant"
    straight = replace(working, verdict="true", final_swept=True)
    assert next_step(straight).name == "penetrant"
    assert "Penetrant check" in blocks(straight)


@pytest.mark.parametrize(
    ("change", "step", "why"),
    [
        ({"rested_hours": 0.02}, "hold", "a rest of 0.0 h; the shop asks for 12 h"),
        ({"rested_hours": None}, "hold", "no full sweep before the rest"),
        ({"measured_bent": ("bore",)}, "bore", "measured before the last hit"),
        ({"measured_bent": ("face",)}, "face", "measured before the last hit"),
        ({"measured_bent": ("key",)}, "key", "measured before the last hit"),
        ({"faults": (("key", "KEY-BOUND"),)}, "key", "KEY-BOUND"),
        ({"penetrant_again": (("taper", "wiped late."),)}, "penetrant", "taper has to be done"),
        ({"penetrant_unseen": ("thread",)}, "penetrant", "not looked at yet: thread"),
        ({"sweep_troubles": ("the sweep 'final' cannot",)}, "final", "the sweep 'final' cannot"),
        ({"verdict": "not true", "verdict_areas": "taper 3.1"}, "straighten", "taper 3.1"),
    ],
)
def test_nothing_is_done_on_the_card_and_in_the_way_of_the_release(
    change: dict[str, object], step: str, why: str
) -> None:
    facts = replace(DONE, rested_hours=14.0, rest_asked_hours=12.0)
    assert blocks(facts) == []
    facts = replace(facts, **change)  # type: ignore[arg-type]
    (block,) = release_blocks(facts)
    assert why in block.text
    states = {one.name: one for one in steps_of(facts)}
    assert states[step].state in ("next", "open")
    assert states["release"].say == "1 thing in the way"


def test_every_block_belongs_to_a_step_that_is_not_done() -> None:
    for facts in (JobFacts("x"), replace(DONE, work=(), cracks=1), JobFacts("x", hits=2, rounds=1)):
        states = {step.name: step.state for step in steps_of(facts)}
        assert all(states[block.step] != "done" for block in release_blocks(facts))


def test_a_job_that_straightens_asks_for_a_hold_check_before_its_first_hit() -> None:
    states = {step.name: step for step in steps_of(JobFacts("x", swept_as_received=True))}
    assert states["hold"].state == "open"
    assert states["hold"].say == "after the last hit"


def test_the_board_says_when_a_step_rests_on_what_was_not_judged() -> None:
    """Found: the board said 'Key' of a job whose card went back to straightening."""
    judged = replace(DONE, key_figures=0)
    assert say_next(judged).startswith("Key")
    assert say_next(replace(judged, verdict="")).startswith("If good: Key")
    swept_only = replace(judged, bore_figures=0, seat_figures=0, face_figures=0, verdict="")
    assert say_next(swept_only).startswith("If good: ")
    assert not say_next(replace(swept_only, swept_since_hit=False)).startswith("If good")
    assert not say_next(replace(judged, verdict="", hold_checked=False)).startswith("If good")


def test_the_board_never_says_another_step_than_the_card_without_a_word() -> None:
    with open_book(DEMO, read_only=True) as book:
        for line in board_counted(book, board(book), moment(book.now())):
            facts = full_facts(book, line.job.id)
            of_card, of_board = next_step(facts), line.next
            # Areas at bends are found by the numerics, which the board does not load.
            told = line.facts.not_judged or facts.penetrant_unseen or facts.state != "open"
            if of_card is not None and not told:
                assert of_board.startswith(of_card.title), line.job.tag
