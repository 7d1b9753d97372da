"""Figures of coupling, key and shaft end of one job: read, stored, left out, taken back."""

from __future__ import annotations

from typing import cast

from core.base.records import Measurement
from core.base.units import Unit, format_station
from core.book import choices, history, jobs, measurements, settings
from core.book.connection import Book
from core.book.errors import Overtaken, Refused
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import (
    SKIPPED,
    Key,
    MeasurementRequest,
    MeasurementSet,
    key_of,
    set_name,
)


def read_fit_facts(book: Book, job_id: str) -> FitFacts:
    """The facts of the job, its vessel and the shop."""
    job = jobs.job(book, job_id)
    shop = settings.as_of(book, job.closed_at)
    shaft = history.shaft_of(book, job)
    vessel = history.vessel_of(book, job)
    return FitFacts(
        tag=job.tag,
        diameter_in=shaft.diameter_in,
        length_in=shaft.length_in,
        material=shaft.material,
        condition=shaft.condition,
        engine_hp=vessel.engine_hp,
        shaft_rpm=vessel.shaft_rpm,
        band_least_in=shop.bore_clearance_least_in,
        band_most_in=shop.bore_clearance_most_in,
        face_limit_in=shop.face_limit_in,
        pilot_limit_in=shop.pilot_limit_in,
        rule=shop.rule,
        resolution_in=shop.resolution_in,
        repeatability_in=shop.repeatability_in,
        unit=cast("Unit", shop.unit),
    )


def read_figures(
    book: Book, job_id: str, *subjects: str, set_no: int | None = None
) -> MeasurementSet:
    """The measurements of a job that stand, seen from a set (None = newest of these subjects)."""
    figures = MeasurementSet(
        measurements.measurements_of(book, job_id), choices=choices.choices_of(book, job_id)
    )
    return figures.of_set(figures.last_set(*subjects) if set_no is None else set_no)


def take_figure(
    book: Book,
    job_id: str,
    wanted: MeasurementRequest,
    raw: str,
    value_in: float | None,
    seen: MeasurementSet,
) -> Measurement:
    """Store one figure in the set that was seen.

    Raises Overtaken when another bench has measured this figure since: nothing is stored then.
    """
    with book.write():
        now = read_figures(book, job_id, set_no=seen.set_no).at(wanted.key)
        before = seen.at(wanted.key)
        if now != before:
            ask_about_theirs(now, raw)
        return measurements.take_measurement(
            book,
            job_id=job_id,
            subject=wanted.subject,
            what=wanted.what,
            raw=raw,
            value_in=value_in,
            set_no=seen.set_no,
            depth_in=wanted.depth_in,
            clock_deg=wanted.clock_deg,
        )


def ask_about_theirs(taken: Measurement | None, raw: str) -> None:
    """Raise Overtaken where another bench has measured the figure, so that the person decides."""
    if taken is not None:
        raise Overtaken(
            f"Another bench measured this figure meanwhile: {taken.raw}. {raw} is not stored. "
            "Enter it again to put it in that place."
        )


def changed_words(before: MeasurementSet, now: MeasurementSet, here: Key | None) -> str:
    """What another bench did that this one must know, between two looks; '' = nothing.

    `here`: the figure that is asked for at this bench.
    """
    for old in reversed(before.taken):
        if old.set_no == now.set_no and old not in now.taken:
            new = now.at(key_of(old))
            becomes = f"is now {new.raw}" if new else "was taken back"
            return f"Another bench changed {place_words(old)}: {old.raw} {becomes}."
    found = now.at(here) if here is not None and before.at(here) is None else None
    return f"Another bench measured this figure: {found.raw}. Down goes on." if found else ""


def place_words(one: Measurement) -> str:
    """'bore diameter at 0.5 in, clock 90'."""
    depth = "" if one.depth_in is None else f" at {format_station(one.depth_in)}"
    clock = "" if one.clock_deg is None else f", clock {one.clock_deg:g}"
    return f"{one.subject} {one.what}{depth}{clock}"


def leave_out(
    book: Book, job_id: str, wanted: MeasurementRequest, seen: MeasurementSet
) -> Measurement:
    """Note that an open figure cannot be measured. A figure that was taken is never thrown away."""
    taken = seen.at(wanted.key)
    if taken is not None and taken.raw != SKIPPED:
        raise Refused(
            f"{wanted.label} is taken: {taken.raw}. Type another figure over it, or undo it first."
        )
    return take_figure(book, job_id, wanted, SKIPPED, None, seen)


def take_back(
    book: Book, job_id: str, subjects: tuple[str, ...], seen: MeasurementSet
) -> tuple[Measurement, Measurement | None] | None:
    """Undo the last figure of the set that was seen: it, and the figure that counts again.

    None = there is nothing to take back. Raises Refused when the last figure is in another set.
    """
    own = measurements.measurements_of(book, job_id, *subjects)
    last = max(own, key=lambda m: (m.taken_at, m.id), default=None)
    if last is None:
        return None
    if last.by != book.by:
        raise Refused(
            f"The last figure, {last.raw}, was taken by {last.by or 'another bench'}. Go to the "
            "figure that is wrong and type over it."
        )
    if last.set_no != seen.set_no:
        raise Refused(f"The last figure was taken in {set_name(last.set_no)}. F6 goes there.")
    gone = measurements.undo_measurement(book, job_id, *subjects)
    if gone is None:
        return None
    return gone, read_figures(book, job_id, set_no=gone.set_no).at(key_of(gone))
