"""What was done before a sweep, and the line of the sweep with that worked in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from core.base.records import Sweep
from core.book import jobs, sweeps
from core.book.connection import Book
from core.book.opening import open_book
from core.jobs.evaluate import evaluate_sweep
from core.jobs.rounds import work_before
from core.jobs.straightening import read_rounds, tell
from core.jobs.sweep.sweep_fits import fit_of
from core.jobs.sweep.sweep_readings import readings_for_core
from core.runout.checked_line import CheckedLine

DEMO = Path(__file__).resolve().parents[2] / "demo.db"
TAG = "25-049"
"""A job of the demo with three rounds, a quick check after each, then a full sweep, a hold check
and a final sweep."""


@pytest.fixture(scope="module")
def book() -> Iterator[Book]:
    with open_book(DEMO, read_only=True) as demo:
        yield demo


def newest(book: Book, purpose: str) -> Sweep:
    every = sweeps.sweeps_of(book, jobs.job_by_tag(book, TAG).id)
    return [sweep for sweep in every if sweep.purpose == purpose][-1]


def test_the_verdict_reckons_with_hits_and_checks_and_the_figures_stay_as_read(book: Book) -> None:
    sweep = newest(book, "working")
    worked = evaluate_sweep(book, sweep)
    assert isinstance(worked.known, CheckedLine)
    by_itself = fit_of(readings_for_core(book, sweep.id)).line
    assert (worked.known.sigma_in < by_itself.sigma_in).any()
    assert worked.line.ecc_in.tolist() == by_itself.ecc_in.tolist()


def test_a_sweep_knows_nothing_of_hits_after_it(book: Book) -> None:
    first = newest(book, "as received")
    assert work_before(book, first).rounds == ()
    assert evaluate_sweep(book, first).known is None


@pytest.mark.parametrize("purpose", ["hold check", "final"])
def test_a_quick_check_before_a_rest_does_not_speak_for_the_shaft_after_it(
    book: Book, purpose: str
) -> None:
    assert work_before(book, newest(book, "working")).rounds[-1].check is not None
    assert work_before(book, newest(book, purpose)).rounds[-1].check is None


def test_straighten_and_verdict_have_one_line(book: Book) -> None:
    """The line that the next hits are planned on is the one that the verdict reckons with."""
    story = tell(read_rounds(book, jobs.job_by_tag(book, TAG).id))
    known = evaluate_sweep(book, newest(book, "final")).known
    assert story is not None
    assert known is not None
    assert story.line is not None
    assert story.line.ecc_in.tolist() == known.ecc_in.tolist()
