"""The first station read again, and the half-turn test: kept beside the sweep, used, left out."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from core.base.errors import ShaftlogError
from core.base.records import Sweep
from core.book import sweeps
from core.book.connection import Book
from core.jobs.evaluate import evaluate_sweep, extra_words
from core.jobs.evidence import sweeps_that_count
from core.jobs.sweep import extra_readings
from core.jobs.sweep.extra_readings import FIRST_AGAIN, HALF_TURN, ExtraKind
from core.jobs.sweep.sweep_readings import readings_for_core
from tests.support.book_helpers import SmallJob, add_sweep, read_all

MARKS = tuple(45.0 * n for n in range(8))
PLACES = (4.0, 20.0, 32.0, 44.0, 56.0)
ROLLERS = (10.0, 50.0)
WHEEL_IN = 0.0006
"""Eccentricity of both pairs of wheels towards clock 0."""

Dial = Callable[[float, float], float]


def wobble(size_in: float) -> Dial:
    """A straight shaft moved off its axis towards clock 0, read to a tenth of a thou."""
    return lambda _, clock: round(size_in * math.cos(math.radians(clock)), 4)


def swept(book: Book, small: SmallJob, dial: Dial) -> Sweep:
    sweep = add_sweep(
        book, small.job.id, stations_in=PLACES, marks_deg=MARKS, resolution_in=0.0001,
        roller_a_in=ROLLERS[0], roller_b_in=ROLLERS[1],
    )  # fmt: skip
    read_all(book, sweep, dial)
    return sweep


def read_extra(book: Book, sweep: Sweep, kind: ExtraKind, dial: Dial) -> Sweep:
    extra = extra_readings.begin_extra(book, sweep, kind)
    read_all(book, extra, dial)
    return extra


def test_the_first_station_read_again_says_what_moved(book: Book, small: SmallJob) -> None:
    sweep = swept(book, small, wobble(0.0002))
    assert extra_words(book, sweep, FIRST_AGAIN) == ""
    extra = read_extra(book, sweep, FIRST_AGAIN, wobble(0.0030))
    assert extra.stations_in == (4.0,)
    assert "has moved" in extra_words(book, sweep, FIRST_AGAIN)
    assert any("has moved" in note for note in evaluate_sweep(book, sweep).notes)


def test_a_first_station_that_reads_as_it_did_is_said_to(book: Book, small: SmallJob) -> None:
    sweep = swept(book, small, wobble(0.0002))
    read_extra(book, sweep, FIRST_AGAIN, wobble(0.0002))
    assert "nothing moved" in extra_words(book, sweep, FIRST_AGAIN)


def test_the_half_turn_test_takes_the_wheels_off_the_sweep(book: Book, small: SmallJob) -> None:
    sweep = swept(book, small, wobble(WHEEL_IN))
    before = evaluate_sweep(book, sweep)
    assert before.line.bend_tir_in.max() == pytest.approx(2 * WHEEL_IN, abs=1e-4)
    extra = read_extra(book, sweep, HALF_TURN, wobble(-WHEEL_IN))
    assert extra.stations_in == (4.0, 56.0)
    after = evaluate_sweep(book, sweep)
    assert after.line.bend_tir_in.max() < 1e-4
    assert "Eccentric wheels add" in extra_words(book, sweep, HALF_TURN)
    assert any("Eccentric wheels add" in note for note in after.notes)


def test_left_out_the_sweep_counts_as_before(book: Book, small: SmallJob) -> None:
    sweep = swept(book, small, wobble(WHEEL_IN))
    plain = readings_for_core(book, sweep.id)
    for kind in (FIRST_AGAIN, HALF_TURN):
        read_extra(book, sweep, kind, wobble(-WHEEL_IN))
    assert readings_for_core(book, sweep.id) != plain
    for kind in (FIRST_AGAIN, HALF_TURN):
        extra_readings.leave_extra_out(book, sweep, kind)
        with pytest.raises(ShaftlogError, match="no such readings"):
            extra_readings.leave_extra_out(book, sweep, kind)
    assert readings_for_core(book, sweep.id) == plain


def test_half_read_they_do_not_count_and_are_gone_on_with(book: Book, small: SmallJob) -> None:
    sweep = swept(book, small, wobble(WHEEL_IN))
    plain = readings_for_core(book, sweep.id)
    extra = extra_readings.begin_extra(book, sweep, HALF_TURN)
    assert readings_for_core(book, sweep.id) == plain
    assert extra_readings.begin_extra(book, sweep, HALF_TURN) == extra
    assert extra_readings.whose_extra(book, extra) == (HALF_TURN, sweep)
    assert extra_readings.whose_extra(book, sweep) is None


def test_they_are_no_sweep_of_the_shaft(book: Book, small: SmallJob) -> None:
    sweep = swept(book, small, wobble(WHEEL_IN))
    extra = read_extra(book, sweep, HALF_TURN, wobble(-WHEEL_IN))
    for one in (sweep, extra):
        sweeps.finish_sweep(book, one.id)
    assert [s.id for s in sweeps_that_count(book, small.job.id).full] == [sweep.id]


def test_what_cannot_be_compared_is_refused_in_words(book: Book, small: SmallJob) -> None:
    quick = add_sweep(book, small.job.id, marks_deg=())
    with pytest.raises(ShaftlogError, match="needs marks"):
        extra_readings.begin_extra(book, quick, FIRST_AGAIN)
    empty = add_sweep(book, small.job.id)
    with pytest.raises(ShaftlogError, match="Read the stations"):
        extra_readings.begin_extra(book, empty, HALF_TURN)
    check = add_sweep(book, small.job.id, "quick check")
    with pytest.raises(ShaftlogError, match="Only a full sweep"):
        extra_readings.begin_extra(book, check, FIRST_AGAIN)
