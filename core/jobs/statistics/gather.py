"""The shop's figures gathered from the book.

The list of open jobs and how the others left are a few queries; the bench figures follow some
jobs through their rounds, so they are worked out job by job, and what was worked out is kept as
long as nothing has changed on the job. Give a `Book` of the thread that calls.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from core.base.times import moment
from core.book import hits, quotes, settings, shop_queries
from core.book.connection import Book
from core.book.shop_queries import JobHit
from core.jobs import facts
from core.jobs.intake.due import day_of
from core.jobs.statistics.bench_figures import BenchFigures, JobBench, bench_figures
from core.jobs.statistics.bench_time import straightening_time
from core.jobs.statistics.outcome import OutcomeFigure, outcomes
from core.jobs.statistics.waiting import OpenJob, WaitingJob, waiting_jobs
from core.jobs.straightening import EARLIER_JOBS, read_rounds, shop_record
from core.straightening.repair_or_replace import STRAIGHTENING

MOST_JOBS = 120
"""Jobs followed in all; the newest of each material come first, as the planner takes them."""

Known = dict[str, tuple[str, JobBench]]
"""Job id -> the state of the job that was worked out, and what came of it."""


@dataclass(frozen=True)
class ShopFigures:
    """Everything of the shop's figures."""

    at: str
    """When, as stored."""
    shop: str
    """Name of the shop; '' = not set."""
    waiting: tuple[WaitingJob, ...]
    outcomes: tuple[OutcomeFigure, ...]
    """All together first, then by year; empty while nothing has left."""
    bench: BenchFigures | None = None
    """None = not worked out yet."""


def quick_figures(book: Book) -> ShopFigures:
    """All but the bench figures: some queries."""
    last = shop_queries.last_entries(book)
    found = []
    for line in facts.board(book):
        opened_s = moment(line.job.opened_at).timestamp()
        place = f"{line.vessel_name}, {line.position}" if line.position else line.vessel_name
        found.append(
            OpenJob(
                line.job.id,
                line.job.tag,
                place,
                line.facts,
                opened_s,
                last.get(line.job.id, opened_s),
                line.job.due,
            )
        )
    now = book.now()
    now_s = moment(now).timestamp()
    waiting = waiting_jobs(found, now_s, day_of(now))
    left = outcomes(shop_queries.jobs_that_left(book))
    return ShopFigures(now, settings.load(book).shop_name, waiting, left)


def bench_figures_of(
    book: Book,
    known: Known | None = None,
    *,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> BenchFigures | None:
    """The bench figures, some tens of milliseconds for each job not `known`; None = cancelled.

    `known` is filled with what was worked out. `progress` is called with (jobs done, jobs in all).
    """
    known = {} if known is None else known
    chosen = shop_queries.newest_jobs_hit(book, EARLIER_JOBS, MOST_JOBS)
    for done, job in enumerate(chosen, start=1):
        if cancelled is not None and cancelled():
            return None
        if known.get(job.job_id, ("",))[0] != job.stamp:
            known[job.job_id] = (job.stamp, job_bench(book, job))
        if progress is not None:
            progress(done, len(chosen))
    figures = tuple(known[job.job_id][1] for job in chosen)
    return bench_figures(figures, shop_queries.count_jobs_hit(book))


def all_figures(book: Book) -> ShopFigures:
    """Everything at once, for the command line."""
    return replace(quick_figures(book), bench=bench_figures_of(book))


def job_bench(book: Book, job: JobHit) -> JobBench:
    """One job followed through its rounds."""
    made = hits.hits_of(book, job.job_id)
    return JobBench(
        job.tag,
        job.material,
        tuple(dict.fromkeys(hit.method for hit in made)),
        len(made),
        straightening_time(shop_queries.moments_of(book, job.job_id)),
        _forecast_hours(book, job.job_id, made[0].at) if made else None,
        shop_record((read_rounds(book, job.job_id),)),
    )


def _forecast_hours(book: Book, job_id: str, before: str) -> float | None:
    """Bench hours of the last quote kept up to a moment; None = no such quote."""
    found = [
        line.quantity
        for quote in quotes.quotes_of(book, job_id)
        if quote.at <= before
        for line in quote.lines
        if line.label.endswith(STRAIGHTENING)
    ]
    return found[-1] if found else None
