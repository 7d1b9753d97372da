"""What is remembered of a sweep, and that it is in the unit that the shop has now."""

from __future__ import annotations

import shutil
from pathlib import Path

from core.base.dial_unit import show_dial_in
from core.book import jobs, sweeps
from core.book.opening import open_book
from core.jobs.evaluate import evaluate_sweep
from core.jobs.rounds import work_before

DEMO = Path(__file__).resolve().parents[2] / "demo.db"


def test_places_follow_a_change_of_unit(tmp_path: Path) -> None:
    """Found: a shop changed to mm still read inches of the sweeps it had looked at before."""
    place = Path(shutil.copy(DEMO, tmp_path / "shop.db"))
    with open_book(place, read_only=True) as book:
        sweep = sweeps.sweeps_of(book, jobs.job_by_tag(book, "26-002").id)[0]
        inches = [verdict.area.name for verdict in evaluate_sweep(book, sweep).verdicts]
        show_dial_in("mm")
        millimetres = [verdict.area.name for verdict in evaluate_sweep(book, sweep).verdicts]
    assert inches[-1] == "between 94.0 and 95.0 in"
    assert millimetres[-1].endswith("mm")


def test_a_sweep_after_hits_is_computed_once(tmp_path: Path) -> None:
    """Found: hits read from the book twice were not equal, so that nothing was remembered."""
    place = Path(shutil.copy(DEMO, tmp_path / "shop.db"))
    with open_book(place, read_only=True) as book:
        last = sweeps.sweeps_of(book, jobs.job_by_tag(book, "25-049").id)[-1]
        assert work_before(book, last).made
        assert evaluate_sweep(book, last) is evaluate_sweep(book, last)
