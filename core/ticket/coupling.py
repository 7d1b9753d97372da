"""Coupling and key on the ticket: what `core.fitup` says of the figures, then the figures.

What cannot be worked out is said, and the figures are printed as measured. Nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from core.book.file import Book
from core.book.ids import local_text
from core.book.records import Measurement
from core.errors import ShaftlogError
from core.fitup import bore_job, end_job, face_job, key_job, key_words, sizes_job
from core.fitup.desk import Desk
from core.fitup.figures import Figures
from core.fitup.from_book import read_desk, read_figures
from core.ticket.data import Section

Words = Callable[[Figures, Desk], Sequence[str]]


def coupling_sections(
    book: Book, job_id: str, when: Callable[[str], str] = local_text
) -> tuple[Section, ...]:
    """A section for each thing of which something was measured; the last set counts.

    `when` turns a stored moment into the words people read.
    """
    desk = read_desk(book, job_id)
    found = []
    for title, subjects, words in PARTS:
        figures = read_figures(book, job_id, *subjects)
        rows = [one for subject in subjects for one in figures.all_of(subject)]
        if rows:
            lines = (*_said(words, figures, desk), *_as_measured(rows), _days(rows, when))
            found.append(Section(title, lines))
    return tuple(found)


def _said(words: Words, figures: Figures, desk: Desk) -> Sequence[str]:
    try:
        return words(figures, desk)
    except ShaftlogError as error:
        return [f"CANNOT BE WORKED OUT: {error}"]


def _bore_words(figures: Figures, desk: Desk) -> Sequence[str]:
    return bore_job.bore_result(figures, desk).report.for_ticket


def _face_words(figures: Figures, desk: Desk) -> Sequence[str]:
    return face_job.face_result(figures, desk).report.for_ticket


def _key_words(figures: Figures, desk: Desk) -> Sequence[str]:
    return key_words.key_report(figures, desk)[1].for_ticket


def _end_words(figures: Figures, desk: Desk) -> Sequence[str]:
    return end_job.end_result(figures, desk).report.for_ticket


def _sizes_words(figures: Figures, desk: Desk) -> Sequence[str]:
    return sizes_job.sizes_result(figures, desk).report.for_ticket


def _as_measured(rows: Sequence[Measurement]) -> list[str]:
    """The figures themselves, inches, one line for each thing measured."""
    newest = {(one.subject, one.what, one.depth_in, one.clock_deg): one for one in rows}
    by_name: dict[str, list[str]] = {}
    for one in newest.values():
        name = one.what if one.what.startswith(one.subject) else f"{one.subject} {one.what}"
        by_name.setdefault(name, []).append(_figure(one))
    return [f"Measured {name}: {', '.join(values)}" for name, values in by_name.items()]


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


PARTS: tuple[tuple[str, tuple[str, ...], Words], ...] = (
    ("Coupling bore", bore_job.SUBJECTS, _bore_words),
    ("Coupling face and pilot", face_job.SUBJECTS, _face_words),
    ("Key", key_job.SUBJECTS, _key_words),
    ("Shaft end", end_job.SUBJECTS, _end_words),
    ("Sizes and whirl", (sizes_job.SUBJECT,), _sizes_words),
)
