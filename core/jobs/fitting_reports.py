"""Reports on what was measured on coupling, key and shaft end of a job, and what they block.

Figures that cannot be evaluated give a report that says so. Nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from core.base.errors import ShaftlogError
from core.base.records import Measurement
from core.book.connection import Book
from core.fitting.coupling import bore_job, face_job
from core.fitting.keys import key_job
from core.fitting.keys import key_text as key_words
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet
from core.fitting.measured.report import Report, trouble_report
from core.fitting.shaft import ends_job as end_job
from core.fitting.shaft import sizes_job
from core.jobs.measured import read_figures, read_fit_facts

ReportOf = Callable[[MeasurementSet, FitFacts], Report]


@dataclass(frozen=True)
class FittingReport:
    """One thing that is measured on a coupling or shaft end."""

    name: str
    """As jobs ask for it; '' = nothing that could stop a release."""
    title: str
    subjects: tuple[str, ...]
    report_of: ReportOf


@dataclass(frozen=True)
class MeasuredPart:
    """One thing of which something was measured."""

    part: FittingReport
    figures: MeasurementSet
    """Seen from the last set."""
    facts: FitFacts

    @property
    def rows(self) -> tuple[Measurement, ...]:
        """The figures in force of the last set."""
        return tuple(one for name in self.part.subjects for one in self.figures.all_of(name))

    @cached_property
    def report(self) -> Report:
        """What they say; figures that cannot be evaluated give a report that says so."""
        try:
            return self.part.report_of(self.figures, self.facts)
        except ShaftlogError as error:
            return trouble_report(error)


def measured_parts(book: Book, job_id: str) -> tuple[MeasuredPart, ...]:
    """Each thing of which something was measured; the last set counts."""
    facts = read_fit_facts(book, job_id)
    found = [
        MeasuredPart(part, read_figures(book, job_id, *part.subjects), facts) for part in PARTS
    ]
    return tuple(one for one in found if one.rows)


def coupling_faults(parts: Iterable[MeasuredPart]) -> tuple[tuple[str, str], ...]:
    """(step, what is wrong) of measured things that are not right or cannot be evaluated."""
    found = []
    for one in parts:
        report, step = one.report, one.part.name
        if step and (report.good is False or report.unsettled):
            words = [w.rstrip(".") for w in (report.verdict, report.summary) if w]
            found.append((step, "; ".join(words)))
        if step:
            found += [(step, line) for line in report.left_open]
    return tuple(found)


def _bore(figures: MeasurementSet, facts: FitFacts) -> Report:
    return bore_job.bore_result(figures, facts).report


def _face(figures: MeasurementSet, facts: FitFacts) -> Report:
    return face_job.face_result(figures, facts).report


def _key(figures: MeasurementSet, facts: FitFacts) -> Report:
    return key_words.key_report(figures, facts)[1]


def _end(figures: MeasurementSet, facts: FitFacts) -> Report:
    return end_job.end_result(figures, facts).report


def _sizes(figures: MeasurementSet, facts: FitFacts) -> Report:
    return sizes_job.sizes_result(figures, facts).report


PARTS = (
    FittingReport("bore", "Coupling bore", bore_job.SUBJECTS, _bore),
    FittingReport("face", "Coupling face and pilot", face_job.SUBJECTS, _face),
    FittingReport("key", "Key", key_job.SUBJECTS, _key),
    FittingReport("", "Shaft end", end_job.SUBJECTS, _end),
    FittingReport("", "Sizes and whirl", (sizes_job.SIZES,), _sizes),
)
