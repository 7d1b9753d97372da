"""Coupling and key on the ticket: what `core.fitup` says of the figures, then the figures.

What cannot be worked out is said, and the figures are printed as measured. Nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.records import Measurement
from core.base.times import local_text
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
from core.reports.ticket_data import TicketSection

Told = Callable[[MeasurementSet, FitFacts], Report]


@dataclass(frozen=True)
class FittingReport:
    """One thing that is measured on a coupling or shaft end."""

    name: str
    """As jobs ask for it; '' = nothing that could stop a release."""
    title: str
    subjects: tuple[str, ...]
    told: Told


def coupling_sections(
    book: Book, job_id: str, when: Callable[[str], str] = local_text
) -> tuple[TicketSection, ...]:
    """A section for each thing of which something was measured; the last set counts.

    `when` turns a stored moment into the words people read.
    """
    facts = read_fit_facts(book, job_id)
    found = []
    for part in PARTS:
        figures = read_figures(book, job_id, *part.subjects)
        rows = [one for subject in part.subjects for one in figures.all_of(subject)]
        if rows:
            measured = f"{_as_measured(rows)} {_days(rows, when)}"
            said = _told(part, figures, facts).for_ticket
            found.append(TicketSection(part.title, (*said, measured)))
    return tuple(found)


def coupling_blocks(book: Book, job_id: str) -> tuple[str, ...]:
    """Measured things that are not in order, or not worked out: each stops a release."""
    facts = read_fit_facts(book, job_id)
    found = []
    for part in PARTS:
        figures = read_figures(book, job_id, *part.subjects)
        if part.name and any(figures.all_of(subject) for subject in part.subjects):
            report = _told(part, figures, facts)
            if report.good is False or report.unsettled:
                words = [w.rstrip(".") for w in (report.verdict, report.summary) if w]
                found.append(f"{part.title}: {'; '.join(words)}")
            found += [f"{part.title}: {line}" for line in report.left_open]
    return tuple(found)


def _told(part: FittingReport, figures: MeasurementSet, facts: FitFacts) -> Report:
    try:
        return part.told(figures, facts)
    except ShaftlogError as error:
        return trouble_report(error)


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


def _as_measured(rows: Sequence[Measurement]) -> str:
    """The figures themselves, inches, each thing measured with its places."""
    newest = {(one.subject, one.what, one.depth_in, one.clock_deg): one for one in rows}
    by_name: dict[str, list[str]] = {}
    for one in newest.values():
        name = one.what if one.what.startswith(one.subject) else f"{one.subject} {one.what}"
        by_name.setdefault(name, []).append(_figure(one))
    things = [f"{name} {', '.join(values)}" for name, values in by_name.items()]
    return f"As measured: {'; '.join(things)}."


def _days(rows: Sequence[Measurement], when: Callable[[str], str]) -> str:
    """The day, or the first and the last day, on which the figures were taken."""
    days = sorted({when(one.taken_at)[:10] for one in rows})
    return f"Taken {days[0]}." if len(days) == 1 else f"Taken {days[0]} to {days[-1]}."


def _figure(one: Measurement) -> str:
    """One measured figure with its place."""
    value = one.raw if one.value_in is None else f"{one.value_in:.4f}"
    places = [
        *([] if one.depth_in is None else [f"{one.depth_in:g} in"]),
        *([] if one.clock_deg is None else [f"{one.clock_deg:g} deg"]),
    ]
    return f"{value} ({', '.join(places)})" if places else value


PARTS = (
    FittingReport("bore", "Coupling bore", bore_job.SUBJECTS, _bore),
    FittingReport("face", "Coupling face and pilot", face_job.SUBJECTS, _face),
    FittingReport("key", "Key", key_job.SUBJECTS, _key),
    FittingReport("", "Shaft end", end_job.SUBJECTS, _end),
    FittingReport("", "Sizes and whirl", (sizes_job.SUBJECT,), _sizes),
)
