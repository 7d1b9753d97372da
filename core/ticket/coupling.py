"""Coupling and key on the ticket: what `core.fitup` says of the figures, then the figures.

What cannot be worked out is said, and the figures are printed as measured. Nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from core.book.file import Book
from core.book.records import Measurement
from core.errors import ShaftlogError
from core.fitup import bore_job, end_job, face_job, key_job, key_words
from core.fitup.desk import Desk
from core.fitup.figures import Figures
from core.fitup.from_book import read_desk, read_figures
from core.ticket.data import Section

Words = Callable[[Figures, Desk], Sequence[str]]


def coupling_sections(book: Book, job_id: str) -> tuple[Section, ...]:
    """A section for each thing of which something was measured; the last set counts."""
    desk = read_desk(book, job_id)
    found = []
    for title, subjects, words in PARTS:
        figures = read_figures(book, job_id, *subjects)
        rows = [one for subject in subjects for one in figures.all_of(subject)]
        if rows:
            found.append(Section(title, (*_said(words, figures, desk), *_as_measured(rows))))
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


def _as_measured(rows: Sequence[Measurement]) -> list[str]:
    """The figures themselves, inches, one line for each thing measured."""
    by_name: dict[str, list[str]] = {}
    for one in rows:
        name = one.what if one.what.startswith(one.subject) else f"{one.subject} {one.what}"
        by_name.setdefault(name, []).append(_figure(one))
    return [f"Measured {name}: {', '.join(values)}" for name, values in by_name.items()]


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
)
