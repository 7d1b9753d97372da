"""The shop's figures on small made records, every number worked out by hand beside it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import sqrt

import pytest

from core.base.errors import ShaftlogError
from core.book.shop_queries import JobMoments, Left, SweepMoments
from core.jobs.job_facts import JobFacts
from core.jobs.statistics.bench_figures import BenchFigures, ForecastCase, JobBench, bench_figures
from core.jobs.statistics.bench_time import (
    Straightening,
    straightening_time,
)
from core.jobs.statistics.outcome import outcomes
from core.jobs.statistics.spread import FEW, NINE_IN_TEN, part_of, spread_of
from core.jobs.statistics.waiting import OpenJob, waiting_groups, waiting_jobs, waits_for
from core.reports import shop_pages as pages
from core.reports.shop_sheet import COLUMNS, rows
from core.straightening.response import HitOutcome, response_for

DAY = 86_400.0


def test_spread_of_five_cases() -> None:
    spread = spread_of([10.0, 1.0, 3.0, 4.0, 2.0])
    assert spread is not None
    # in order 1 2 3 4 10: the second and the fourth stand at the quarters
    assert (spread.cases, spread.median, spread.low, spread.high) == (5, 3.0, 2.0, 4.0)
    assert (spread.least, spread.most, spread.few) == (1.0, 10.0, False)
    assert spread_of([]) is None
    four = spread_of([1.0, 2.0, 3.0, 4.0])
    assert four is not None
    assert four.few
    # three gaps between four cases: a quarter of the way is 0.75 gaps in
    assert (four.low, four.high) == (1.75, 3.25)


def test_the_interval_of_a_share_is_where_the_score_test_stands() -> None:
    part = part_of(12, 80)
    assert part.share == 0.15
    for end in part.interval:
        assert abs(end - 0.15) == pytest.approx(NINE_IN_TEN * sqrt(end * (1 - end) / 80))
    assert part_of(0, 10).interval[0] == 0.0
    assert part_of(10, 10).interval[1] == 1.0
    assert part_of(0, 0).interval == (0.0, 1.0)
    with pytest.raises(ShaftlogError, match="3 of 2"):
        part_of(3, 2)


def test_few_cases_never_become_per_cent() -> None:
    assert pages.part_words(part_of(1, FEW - 1)) == "1 of 4: too few for a share"
    assert "20 %" in pages.part_words(part_of(1, FEW))
    assert "half" not in pages.spread_words(spread_of([1.0, 2.0]), "h")
    assert "2 jobs: few" in pages.spread_words(spread_of([1.0, 2.0]), "h")
    assert "half within" in pages.spread_words(spread_of([1.0] * FEW), "h")


def sweep(start: float, count: int, step: float, *, full: bool = True) -> SweepMoments:
    """Readings from `start` on, the end 30 s after the last."""
    read = tuple(start + n * step for n in range(count))
    return SweepMoments(full, start, read[-1] + 30, read)


JOB = JobMoments(
    hits_s=(780.0, 1140.0),
    sweeps=(
        sweep(0, 11, 60),  # as received, 0 to 600, ends 630
        sweep(1500, 3, 60, full=False),  # quick check, 1500 to 1620, ends 1650
        sweep(2460, 21, 60),  # 2460 to 3660, ends 3690
        sweep(DAY, 21, 60),  # hold check the next day
    ),
    other_s=(1800.0, 2400.0),  # penetrant
)
# 150 to the first hit, 360 to the second, 360 to the check, 120 of reading it and 30 to its end;
# penetrant till 2400; 60 to the sweep, 1200 of reading it, 30 to its end
JOB_S = 150 + 360 + 360 + 120 + 30 + 60 + 1200 + 30


def test_hours_of_a_job_by_hand() -> None:
    assert straightening_time(JOB) == Straightening(pytest.approx(JOB_S / 3600))


@pytest.mark.parametrize(("gap_min", "counted_min"), [(30.0, 30.0), (31.0, 0.0), (900.0, 0.0)])
def test_a_long_gap_is_no_work(gap_min: float, counted_min: float) -> None:
    later = 60 * gap_min - 360  # the second hit comes so much later, and all that follows it

    def moved(s: SweepMoments) -> SweepMoments:
        return SweepMoments(
            s.full,
            s.started_s + later,
            (s.finished_s or 0) + later,
            tuple(r + later for r in s.readings_s),
        )

    job = JobMoments(
        (780.0, 1140.0 + later),
        (JOB.sweeps[0], *(moved(s) for s in JOB.sweeps[1:])),
        tuple(at + later for at in JOB.other_s),
    )
    assert straightening_time(job).hours == pytest.approx((JOB_S - 360 + 60 * counted_min) / 3600)


def test_jobs_that_cannot_be_told_say_why() -> None:
    assert straightening_time(JobMoments((), JOB.sweeps)).why == "no hits"
    unswept = replace(JOB, sweeps=JOB.sweeps[:2])
    assert straightening_time(unswept).why == "not swept since the last hit"
    imported = replace(JOB, sweeps=(*JOB.sweeps[:2], sweep(2460, 21, 0.01)))
    assert straightening_time(imported).why == "sweeps from a file"


def job(tag: str, hours: float | None, **known: object) -> JobBench:
    base = JobBench(tag, "S31600", ("press",), 4, Straightening(hours, "" if hours else "no hits"))
    return replace(base, **known)  # type: ignore[arg-type]


RECORDS = tuple(HitOutcome("S31600", "press", 0.01, 0.008) for _ in range(2))
JOBS = (
    job("26-001", 2.0, forecast_hours=4.0, records=RECORDS),
    job("26-002", 1.0, hits=1, forecast_hours=1.0),
    job("26-003", 3.0, methods=("press", "heat")),
    job("26-004", None, forecast_hours=2.0),
)


def test_bench_figures_by_hand() -> None:
    told = bench_figures(JOBS, 9)
    assert (told.jobs, told.jobs_in_book) == (4, 9)
    # 2 h / 4 hits and 1 h / 1 hit; the job with both methods stands by itself
    press, both = told.hours
    assert (press.method, press.hits, press.spread.median) == ("press", 5, 0.75)
    assert (both.method, both.hits, both.spread.median) == ("press and heat", 4, 0.75)
    assert [case.ratio for case in told.forecasts] == [0.5, 1.0]
    assert told.ratio is not None
    assert told.ratio.median == 0.75
    assert told.left_out == (("no hits", 1),)
    (one,) = told.responses
    assert (one.material, one.method, one.jobs, one.shares) == ("S31600", "press", 1, (0.8, 0.8))
    # scatter^2 = 6 * 0.2^2 / 7; group spread^2 = (8 * 0.15^2 + 0.2^2 - scatter^2 / 2) / 9
    own, start = 2 * 7 / 0.24, 9 / (0.18 + 0.04 - 0.12 / 7)
    assert one.response.mean == pytest.approx((0.8 * own + start) / (own + start))
    assert one.response.mean == pytest.approx(0.8864, abs=1e-4)
    assert one.response == response_for(RECORDS, "S31600", "press")  # as the planner has it


def test_a_share_of_heat_is_a_share_of_the_most_by_mechanics() -> None:
    hot = [HitOutcome("S31600", "heat", 0.001, 0.0003)]
    figures = bench_figures((job("26-001", 2.0, records=(*RECORDS, *hot)),), 1)
    units = {row[1]: row[3] for row in rows((), (), figures) if row[0] == "share taken out"}
    assert units == {
        "S31600 press": "of what was asked",
        "S31600 heat": "of the most by mechanics",
    }


def test_a_hit_measured_badly_counts_but_is_not_drawn() -> None:
    bad = HitOutcome("S31600", "press", 0.01, 0.001, sigma_rad=0.006)
    (one,) = bench_figures((job("26-001", 2.0, records=(*RECORDS, bad)),), 1).responses
    assert one.response.n_hits == 3
    assert one.shares == (0.8, 0.8)


LEFT = (
    Left("2025", "released", True, 6),
    Left("2025", "released", False, 2),
    Left("2025", "replaced", True, 1),
    Left("2025", "replaced", False, 1),
    Left("2024", "returned", False, 3),
)


def test_outcomes_by_hand() -> None:
    every, this, last = outcomes(LEFT)
    assert (every.year, every.jobs, every.given_up) == ("all", 13, 1)
    assert (this.straightened, this.no_hits, this.replaced, this.returned) == (6, 2, 2, 0)
    assert (this.replaced_part.cases, this.replaced_part.of) == (2, 8)
    assert (last.year, last.jobs, last.returned) == ("2024", 3, 3)
    assert outcomes(()) == ()


@pytest.mark.parametrize(
    ("facts", "what", "outside"),
    [
        (JobFacts("j"), "dial and rollers", False),
        (JobFacts("j", state="waiting", waiting_for="parts"), "parts", True),
        (JobFacts("j", state="waiting"), "somebody (not said)", True),
        (JobFacts("j", swept_as_received=True, penetrant_areas=2, penetrant_running=1),
         "penetrant clock", False),
        (JobFacts("j", swept_as_received=True, penetrant_areas=2, cracks=1),
         "a word on the crack", True),
        (JobFacts("j", swept_as_received=True, penetrant_areas=1, penetrant_clear=1),
         "our offer", False),
        (JobFacts("j", swept_as_received=True, penetrant_areas=1, penetrant_clear=1,
                  decision="both"), "the owner's answer", True),
        (JobFacts("j", swept_as_received=True, penetrant_areas=1, penetrant_clear=1,
                  decision="repair"), "press", False),
        (JobFacts("j", swept_as_received=True, swept_since_hit=True, penetrant_areas=1,
                  penetrant_clear=1, hits=2, verdict="true"), "rest before the hold check", False),
        (JobFacts("j", swept_as_received=True, swept_since_hit=True, penetrant_areas=1,
                  penetrant_clear=1, hits=2, verdict="true", rest_over=True),
         "dial and rollers", False),
        (JobFacts("j", swept_as_received=True, final_swept=True, swept_since_hit=True,
                  penetrant_areas=1, penetrant_clear=1), "coupling bench", False),
    ],
)  # fmt: skip
def test_what_a_job_waits_for(facts: JobFacts, what: str, outside: bool) -> None:
    assert waits_for(facts)[:2] == (what, outside)


def open_job(tag: str, idle_days: float, facts: JobFacts, due: str = "") -> OpenJob:
    return OpenJob(tag, tag, "Dunlin", facts, 0.0, (10 - idle_days) * DAY, due)


def test_waiting_jobs_in_order_and_in_groups() -> None:
    owner = JobFacts("j", state="waiting", waiting_for="the owner's answer")
    told = waiting_jobs(
        (
            open_job("26-001", 9, JobFacts("j"), "2026-02-11"),
            open_job("26-002", 2, owner, "Friday"),
            open_job("26-003", 5, JobFacts("j"), "2026-02-12"),
        ),
        10 * DAY,
        date(2026, 2, 12),
    )
    assert [one.tag for one in told] == ["26-002", "26-001", "26-003"]
    assert [one.overdue for one in told] == [False, True, False]
    assert [(one.idle_days, one.in_shop_days) for one in told] == [(2, 10), (9, 10), (5, 10)]
    dial, other = waiting_groups(told)
    assert (dial.waits_for, dial.jobs, dial.longest_days) == ("dial and rollers", 2, 9)
    assert (other.waits_for, other.outside) == ("the owner's answer", True)


@pytest.mark.parametrize("width", [77, 117])
def test_pages_keep_to_the_width_and_say_how_many_cases(width: int) -> None:
    case = ForecastCase("26-001", 3.0, 2.0)
    long = [
        job(f"26-{n:03d}", float(n), material="漢字 " * 9, records=RECORDS) for n in range(1, 9)
    ]
    told: BenchFigures = replace(bench_figures(long, 50), forecasts=(case,) * 9)
    owner = JobFacts("j", state="waiting", waiting_for="somebody " * 9)
    waiting = waiting_jobs([open_job("26-002", 2, owner)], 10 * DAY, date(2026, 2, 12))
    shown = {
        "response": pages.response_page(told, width),
        "hours": pages.hours_page(told, width, most=5),
        "outcome": pages.outcome_page(outcomes(LEFT), width),
        "waiting": pages.waiting_page(waiting, waiting_groups(waiting), width),
    }
    for lines in shown.values():
        assert max(map(len, lines)) <= width
    assert "8 of 50 jobs with hits" in " ".join(shown["response"])
    assert "and 4 older" in shown["hours"]
    assert "gap over 30 min is not counted" in " ".join(shown["hours"])
    assert "2 of 8, 25 %" in " ".join(shown["outcome"])
    empty = bench_figures((), 0)
    for lines in (pages.response_page(empty, width), pages.hours_page(empty, width)):
        assert pages.NO_HITS in lines


def test_strip_and_bars() -> None:
    assert pages._strip((0.5, 1.0, 1.0, 2.0), 16) == "·····o····2····>"
    assert pages.bar(0.01, 100, 10) == "█"
    assert pages.bar(50, 100, 10) == "█████"
    assert pages.bar(0, 100, 10) == pages.bar(1, 0, 10) == ""


def test_the_sheet_leaves_ends_of_few_cases_empty() -> None:
    sheet = {(row[0], row[1]): row for row in rows((), outcomes(LEFT), bench_figures(JOBS, 4))}
    assert all(len(row) == len(COLUMNS) for row in sheet.values())
    assert sheet["bench hours per hit", "press"][2:7] == ("0.750", "h", "", "", "2 jobs")
    assert sheet["new shaft, of straightened and new", "2025"][2] == "0.250"
    assert sheet["new shaft, of straightened and new", "2024"][2:6] == ("", "share", "", "")
