"""One is one: no screen says '1 hits'."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from core.book.upkeep.copies import BackupContents, BackupFile
from core.jobs.job_facts import JobFacts
from core.jobs.steps import steps_of
from core.straightening.response import HitOutcome, response_for
from tui.screens.board.visit_text import hits_words
from tui.screens.release.release import missing_words
from tui.screens.straightening.straighten_text import response_text
from tui.screens.upkeep.backups import question_words


def test_one_hit_of_a_visit() -> None:
    assert hits_words([44.5], None, "thou") == "1 hit, at 44.5 in."
    assert hits_words([44.5, 60.0, 44.5], 0.0015, "thou").startswith("3 hits, at 44.5, 60.0 in; ")


def test_one_reading_of_a_sweep_in_hand() -> None:
    facts = JobFacts("", sweep_in_hand="1", sweep_in_hand_purpose="as received", readings_in_hand=1)
    assert steps_of(facts)[0].say == "go on, 1 reading taken"


def test_one_job_in_a_backup() -> None:
    file = BackupFile(Path("book.db"), "daily", datetime(2026, 1, 1, tzinfo=UTC), 1)
    assert "1 job and 1 reading;" in question_words(file, BackupContents(1, 1, ""), "")
    assert "2 jobs and 0 readings;" in question_words(file, BackupContents(2, 0, ""), "")


def test_the_response_says_why_it_is_not_what_the_hits_took_out() -> None:
    """Two hits that took out 89% each gave 'Response 95% (2 hits)' without a word."""
    made = [HitOutcome("S31600", "press", 0.004, 0.00356) for _ in range(2)]
    used = response_for(made, "S31600", "press")
    assert 0.90 < used.mean < 1.0
    words = response_text(used)
    assert f"Response {used.mean:.0%}" in words
    assert "2 measured hits, drawn towards 100%" in words
    assert "1 measured hit, drawn" in response_text(response_for(made[:1], "S31600", "press"))
    assert "No measured hits of this material yet" in response_text(response_for((), "x", "press"))


def test_the_number_of_things_in_the_way_comes_before_the_list() -> None:
    """The last line, 'and 2 more', had no room under five long ones: the card said 7, here 5."""
    first, *lines = missing_words([f"thing {n}" for n in range(7)], "free").splitlines()
    assert first.startswith("IN THE WAY, 7 things to be done")
    assert lines[-1] == "  and 2 more, see the ticket"
    assert missing_words(["one"], "free").startswith("IN THE WAY, 1 thing to be done")
