"""Which sweeps of a job count, and for what; no book, no screen."""

from __future__ import annotations

import pytest

from core.base.records import Hit, Sweep
from core.jobs.evidence import JobSweeps, rest_hours


def sweep(purpose: str, at: str, *, took_min: int = 30) -> Sweep:
    """A finished sweep of 1 June, begun at hh:mm."""
    hour, minute = (int(part) for part in at.split(":"))
    end = hour * 60 + minute + took_min
    started = f"2026-06-{1 + hour // 24:02d}T{hour % 24:02d}:{minute:02d}:00.000Z"
    day, rest = divmod(end, 24 * 60)
    finished = f"2026-06-{1 + day:02d}T{rest // 60:02d}:{rest % 60:02d}:00.000Z"
    return Sweep(
        f"{purpose} {at}", "job", purpose, started, finished, 10.0, 60.0, 1, (0.0, 90.0), 0.0005,
        None, 0.1, "dial", "Ada", (10.0, 60.0), False,
    )  # fmt: skip


def hit(at: str, round_no: int = 1) -> Hit:
    hour, minute = (int(part) for part in at.split(":"))
    moment = f"2026-06-{1 + hour // 24:02d}T{hour % 24:02d}:{minute:02d}:00.000Z"
    return Hit(
        f"hit {at}", "job", round_no, "press", 40.0, 180.0, 0.004, None, None, None, "Ada", moment
    )


RECEIVED = sweep("as received", "8:00")
WORKING = sweep("working", "10:00")
SECOND = sweep("working", "12:00")
CHECK = sweep("hold check", "26:00")
FINAL = sweep("final", "27:00")


def test_without_hits_the_newest_sweep_is_start_and_end() -> None:
    found = JobSweeps((RECEIVED, WORKING))
    assert found.start is WORKING
    assert found.as_received is RECEIVED
    assert found.leaving is found.after is WORKING
    assert found.hold_check is None


def test_a_sweep_as_received_alone_is_not_shown_twice() -> None:
    found = JobSweeps((RECEIVED,))
    assert found.leaving is RECEIVED
    assert found.after is None


def test_hits_divide_the_sweeps_into_rounds() -> None:
    found = JobSweeps((RECEIVED, WORKING, SECOND), (hit("9:00"), hit("9:10"), hit("11:00", 2)))
    assert found.start is RECEIVED
    assert found.after_round(1) is WORKING
    assert found.after_round(2) is SECOND
    assert found.since_hit == (SECOND,)


def test_nothing_swept_since_the_last_hit_shows_nothing() -> None:
    found = JobSweeps((RECEIVED, WORKING), (hit("9:00"), hit("11:00")))
    assert found.leaving is None
    assert found.since_hit == ()


def test_the_newest_sweep_shows_the_shaft_as_it_leaves_whatever_it_was_called() -> None:
    """A shaft that moved in its rest is not judged by the final sweep before the rest."""
    early = sweep("final", "10:00")
    found = JobSweeps((RECEIVED, early, CHECK), (hit("9:00"),))
    assert found.leaving is CHECK


def test_a_hold_check_before_the_last_hit_does_not_count() -> None:
    found = JobSweeps((RECEIVED, WORKING, CHECK), (hit("9:00"), hit("27:00", 2)))
    assert found.hold_check is None


@pytest.mark.parametrize(("hours", "before"), [(0.0, SECOND), (12.0, SECOND), (15.0, WORKING)])
def test_before_of_a_hold_check_is_the_newest_sweep_that_rested_long_enough(
    hours: float, before: Sweep
) -> None:
    found = JobSweeps((RECEIVED, WORKING, SECOND, CHECK, FINAL), (hit("9:00"),))
    assert found.before_rest(CHECK, hours) is before


def test_with_too_short_a_rest_the_newest_is_compared_and_the_hours_are_stated() -> None:
    soon = sweep("hold check", "10:31")
    found = JobSweeps((RECEIVED, WORKING, soon), (hit("9:00"),))
    before = found.before_rest(soon, 12.0)
    assert before is WORKING
    assert rest_hours(before, soon) == pytest.approx(1 / 60)


def test_a_sweep_of_another_state_is_never_before() -> None:
    found = JobSweeps((RECEIVED, CHECK), (hit("9:00"),))
    assert found.before_rest(CHECK, 12.0) is None


def test_a_sweep_after_a_hold_check_is_after_the_rest_too() -> None:
    """What was read before the rest says nothing of it, whatever its purpose."""
    later = sweep("working", "28:00")
    found = JobSweeps((RECEIVED, WORKING, CHECK, later), (hit("9:00"),))
    assert [found.after_rest(1, one) for one in (WORKING, CHECK, later, FINAL)] == [
        False, True, True, True,
    ]  # fmt: skip
    again = JobSweeps(found.full, (hit("9:00"), hit("27:30", 2)))
    assert not again.after_rest(2, later), "hit since that rest"
