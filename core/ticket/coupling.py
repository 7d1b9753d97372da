"""Coupling and key on the ticket: what `core.fitup` says of the figures, then the figures.

What cannot be worked out is said, and the figures are printed as measured. Nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from core.book.file import Book
from core.book.records import Measurement
from core.errors import ShaftlogError
from core.fitup import bore_job, face_job
from core.fitup.desk import Desk
from core.fitup.figures import Figures
from core.fitup.from_book import read_desk, read_figures
from core.key_fit import check_key
from core.key_parts import MeasuredKey, MeasuredKeyway
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
    bores_in = [one.value_in for one in figures.all_of("bore", "diameter") if one.value_in]
    check = check_key(
        diameter_in=desk.diameter_in,
        bore_in=sum(bores_in) / len(bores_in) if bores_in else None,
        key=MeasuredKey(
            width_in=figures.length_in("key", "width"),
            height_in=figures.length_in("key", "height"),
            length_in=figures.length_in("key", "length"),
        ),
        shaft=_keyway(figures, "shaft keyway"),
        hub=_keyway(figures, "hub keyway"),
        rule=desk.rule,
    )
    said = [
        check.shaft_side.words,
        check.hub_side.words,
        check.top.words,
        *check.alignment,
    ]
    said += [check.differs] if check.differs else []
    missing = [what for what in check.missing if "torque" not in what and "yield" not in what]
    return said + [f"Missing: {what}" for what in missing]


def _keyway(figures: Figures, subject: str) -> MeasuredKeyway:
    return MeasuredKeyway(
        widths_in=tuple(m.value_in for m in figures.all_of(subject, "width") if m.value_in),
        far_side_in=figures.length_in(subject, "far side"),
        side_depth_in=figures.length_in(subject, "depth"),
        length_in=figures.length_in(subject, "length"),
        offset_in=figures.length_in(subject, "offset"),
        lead_in=figures.length_in(subject, "lead"),
    )


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
    ("Key", ("key", "shaft keyway", "hub keyway"), _key_words),
)
