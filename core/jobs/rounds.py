"""The rounds of hits of one job as the book has them, and the line they leave a sweep with.

Reading touches the book and is quick; the rest is pure and may run on another thread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from core.base.errors import ShaftlogError
from core.base.records import Hit, Shaft, Sweep
from core.book import history, jobs, sweeps
from core.book.connection import Book
from core.jobs.evidence import JobSweeps, sweeps_that_count
from core.jobs.heat.cooling import warm_sweeps
from core.jobs.press_setup import shown_set_rad
from core.jobs.sweep.sweep_entry import open_session
from core.jobs.sweep.sweep_fits import as_recorded, fit_of
from core.jobs.sweep.sweep_readings import readings_for_core
from core.runout.checked_line import CheckedLine
from core.runout.readings import SweepReadings
from core.straightening.history import RecordedHit, Round, StationsRead, follow

END = "9999"
"""After every moment of the book."""


@dataclass(frozen=True)
class RawRound:
    """One round as the book has it."""

    number: int
    hits: tuple[Hit, ...]
    check: SweepReadings | None
    sweep: SweepReadings | None


@dataclass(frozen=True)
class WorkBefore:
    """What was done to a shaft before a sweep: where it started and the rounds since."""

    shaft: Shaft
    start: SweepReadings | None
    """The last full sweep before the first hit."""
    rounds: tuple[RawRound, ...] = ()
    """The last one ends with the sweep that is asked about."""

    @property
    def made(self) -> tuple[RecordedHit, ...]:
        """The hits."""
        return tuple(as_recorded(hit) for one in self.rounds for hit in one.hits)

    @property
    def rested(self) -> WorkBefore:
        """The same before a sweep after a rest: the quick check before it says nothing of that."""
        if not self.rounds:
            return self
        return replace(self, rounds=(*self.rounds[:-1], replace(self.rounds[-1], check=None)))

    def line_with(self, readings: SweepReadings) -> CheckedLine | None:
        """The line of a sweep after this work, hits and checks worked in; None = the sweep tells
        no more with them, or does not agree with them."""
        if self.start is None or not self.rounds:
            return None
        try:
            rounds = [round_for_core(one, self.shaft) for one in self.rounds]
            rounds[-1] = replace(rounds[-1], sweep=fit_of(readings).line)
            line = follow(fit_of(self.start).line, rounds).line
        except ShaftlogError:
            return None
        return line if isinstance(line, CheckedLine) else None


def read_rounds_of(book: Book, found: JobSweeps) -> tuple[RawRound, ...]:
    """The rounds of a job."""
    return tuple(
        _read_round(book, found, number, END, found.after_round(number))
        for number in sorted({hit.round_no for hit in found.hits})
    )


def work_before(book: Book, sweep: Sweep) -> WorkBefore:
    """What this job did to its shaft before a sweep began."""
    shaft = history.shaft_of(book, jobs.job(book, sweep.job_id))
    found = sweeps_that_count(book, sweep.job_id)
    until = sweep.started_at
    found = replace(found, hits=tuple(hit for hit in found.hits if hit.at <= until))
    numbers = sorted({hit.round_no for hit in found.hits})
    rounds = tuple(
        _read_round(
            book, found, number, until, found.after_round(number) if number < numbers[-1] else None
        )
        for number in numbers
    )
    work = WorkBefore(shaft, readings_of_sweep(book, found.start), rounds)
    return work.rested if numbers and found.after_rest(numbers[-1], sweep) else work


def _read_round(
    book: Book, found: JobSweeps, number: int, until: str, sweep: Sweep | None
) -> RawRound:
    own = tuple(hit for hit in found.hits if hit.round_no == number)
    rested = sweep is not None and found.after_rest(number, sweep)
    check = None if rested else _check(book, check_after(book, own, until))
    return RawRound(number, own, check, readings_of_sweep(book, sweep))


def check_after(book: Book, made: Sequence[Hit], until: str = END) -> str | None:
    """Id of the newest quick check of a round that was begun after its last hit and before then;
    None = none.

    A check that stood before a hit was noted cannot judge that hit.
    """
    last = made[-1]
    of_round = [
        sweeps.sweep(book, check.sweep_id)
        for check in sweeps.quick_checks_of(book, last.job_id)
        if check.round_no == last.round_no
    ]
    warm = warm_sweeps(book, last.job_id)
    after = [s for s in of_round if last.at <= s.started_at < until and s.id not in warm]
    return max(after, key=lambda sweep: sweep.started_at).id if after else None


def _check(book: Book, sweep_id: str | None) -> SweepReadings | None:
    """A quick check counts once every station of it has been read."""
    if sweep_id is None:
        return None
    complete = open_session(book, sweep_id).complete
    if not complete and sweeps.sweep(book, sweep_id).finished_at is None:
        return None
    return readings_for_core(book, sweep_id)


def readings_of_sweep(book: Book, sweep: Sweep | None) -> SweepReadings | None:
    """Its readings as the computing takes them."""
    return None if sweep is None else readings_for_core(book, sweep.id)


def round_for_core(raw: RawRound, shaft: Shaft) -> Round:
    """A round as the computing takes it."""
    made = tuple(as_recorded(hit, shown_set_rad(shaft, hit)) for hit in raw.hits)
    check = None
    if raw.check is not None:
        fit = fit_of(raw.check)
        check = StationsRead(
            np.asarray(fit.line.station_in), np.asarray(fit.line.ecc_in), fit.line.sigma_in
        )
    sweep = None if raw.sweep is None else fit_of(raw.sweep).line
    return Round(made, check, sweep)
