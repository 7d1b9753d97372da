"""The shop's figures gathered from a book whose hours and shares are worked out by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.book import hits, jobs, shop_queries
from core.book.opening import open_book
from core.jobs.statistics.gather import Known, all_figures, bench_figures_of, job_bench
from tests.support import straightened_book
from tests.support.straightened_book import FORECAST_HOURS, TAKES_OUT

HOURS = (10 + 5 + 8.8 + 5 + 8.8) / 60
"""10 min from the quote to the first hit, 5 min to each sweep, 88 readings of 6 s; no night."""


@pytest.fixture(scope="module")
def pattern(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return straightened_book.make(tmp_path_factory.mktemp("figures") / "book.db")


def test_figures_of_the_made_book(pattern: Path) -> None:
    with open_book(pattern, read_only=True) as book:
        told = all_figures(book)
    assert told.bench is not None
    (response,), (hours,), (case,) = told.bench.responses, told.bench.hours, told.bench.forecasts
    assert response.jobs == 1
    assert response.shares == pytest.approx([TAKES_OUT] * 2, abs=0.02)
    assert hours.hits == 2
    assert hours.spread.median == pytest.approx(HOURS / 2)
    assert (case.tag, case.forecast_hours) == ("25-001", FORECAST_HOURS)
    assert case.took_hours == pytest.approx(HOURS)
    every = told.outcomes[0]
    assert (every.straightened, every.replaced, every.returned, every.no_hits) == (1, 1, 1, 0)
    assert [(job.where, job.waits_for) for job in told.waiting] == [("=1+1", "the owner's answer")]


def test_what_was_worked_out_is_kept_until_the_job_changes(
    pattern: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "book.db"
    path.write_bytes(pattern.read_bytes())
    worked: list[str] = []

    def counted(*of: object) -> object:
        worked.append("x")
        return job_bench(*of)  # type: ignore[arg-type]

    monkeypatch.setattr("core.jobs.statistics.gather.job_bench", counted)
    with open_book(path) as book:
        known: Known = {}
        seen: list[tuple[int, int]] = []
        bench_figures_of(book, known, progress=lambda done, of: seen.append((done, of)))
        bench_figures_of(book, known)
        assert (len(worked), seen) == (1, [(1, 1)])
        job_id = jobs.job_by_tag(book, "25-001").id
        jobs.set_state(book, job_id, "open", by="Ada")
        hits.undo_hit(book, job_id)
        told = bench_figures_of(book, known)
        assert len(worked) == 2
        assert told is not None
        assert told.hours[0].hits == 1
        assert bench_figures_of(book, known, cancelled=lambda: True) is None


def test_the_newest_jobs_of_each_material(tmp_path: Path) -> None:
    clock = straightened_book.Clock()
    with open_book(tmp_path / "book.db", now=clock) as book:
        for number, material in enumerate(("C46400", "S31600", "S31600", "S31600", "S31600")):
            clock.later(minutes=60)
            job_id = straightened_book.start(book, f"Dunlin {number}", material)
            if number == 2:
                continue
            made = {"round_no": 1, "method": "heat", "station_in": 9.0}
            hits.add_hit(book, job_id=job_id, clock_deg=0.0, angle_rad=0.001, **made)
        assert shop_queries.count_jobs_hit(book) == 4
        tags = [job.tag for job in shop_queries.newest_jobs_hit(book, 2, 9)]
        assert tags == ["25-005", "25-004", "25-001"]  # 25-003 has no hit, 25-002 is the third
        assert [job.tag for job in shop_queries.newest_jobs_hit(book, 9, 1)] == ["25-005"]
