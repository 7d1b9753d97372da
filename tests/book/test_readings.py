"""Readings: append-only, mended and taken back without losing anything, resumed where stopped."""

from __future__ import annotations

import math

import pytest

from core.base.records import Reading
from core.book import audit as events
from core.book.connection import Book
from core.book.errors import Refused
from core.book.readings import (
    correct_reading,
    readings_of,
    take_reading,
    take_readings,
    undo_reading,
)
from core.jobs.resume import readings_for_core, resume_point
from tests.support.book_helpers import MARKS_DEG, STATIONS_IN, SmallJob, add_sweep, read_all


def take(book: Book, small: SmallJob, station_in: float, clock_deg: float, thou: float) -> Reading:
    return take_reading(
        book,
        small.sweep.id,
        station_in=station_in,
        clock_deg=clock_deg,
        value_in=thou / 1000,
        raw=f"{thou:g}",
    )


def values(book: Book, small: SmallJob) -> list[str]:
    return [r.raw for r in readings_of(book, small.sweep.id)]


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE reading SET value_in = 9",
        "UPDATE reading SET raw = 'x'",
        "UPDATE reading SET replaced_by = id, value_in = 9",
        "DELETE FROM reading",
    ],
)
def test_a_reading_cannot_be_rewritten_or_deleted(book: Book, small: SmallJob, sql: str) -> None:
    take(book, small, 6, 0, 1)
    with pytest.raises(Refused, match="never"), book.write() as con:
        con.execute(sql)
    assert values(book, small) == ["1"]


def test_a_mark_once_set_stays(book: Book, small: SmallJob) -> None:
    first = take(book, small, 6, 0, 1)
    correct_reading(book, first.id, value_in=0.002, raw="2")
    with pytest.raises(Refused), book.write() as con:
        con.execute("UPDATE reading SET replaced_by = NULL WHERE id = ?", (first.id,))
    with pytest.raises(Refused, match="replaced already"):
        correct_reading(book, first.id, value_in=0.003, raw="3")


def test_mend_keeps_the_old_row(book: Book, small: SmallJob) -> None:
    first = take(book, small, 6, 0, 1)
    take(book, small, 6, 90, 5)
    new = correct_reading(book, first.id, value_in=0.002, raw="2")
    assert values(book, small) == ["5", "2"]
    every = {r.id: r for r in readings_of(book, small.sweep.id, all_rows=True)}
    assert every[first.id].replaced_by == new.id
    assert every[first.id].raw == "1"


def test_reading_a_mark_again_replaces_it(book: Book, small: SmallJob) -> None:
    take(book, small, 6, 0, 1)
    take(book, small, 12, 0, 7)
    take(book, small, 6, 0, 2)
    assert sorted(values(book, small)) == ["2", "7"]


def test_blocked_and_read_replace_each_other(book: Book, small: SmallJob) -> None:
    first = take(book, small, 6, 0, 1)
    correct_reading(book, first.id, value_in=None, raw="*")
    assert [r.kind for r in readings_of(book, small.sweep.id)] == ["blocked"]
    take(book, small, 6, 0, 3)
    assert [r.kind for r in readings_of(book, small.sweep.id)] == ["mark"]


def test_undo_goes_back_one_entry_at_a_time(book: Book, small: SmallJob) -> None:
    first = take(book, small, 6, 0, 1)
    take(book, small, 6, 90, 5)
    correct_reading(book, first.id, value_in=0.002, raw="2")
    taken_back = [undo_reading(book, small.sweep.id) for _ in range(4)]
    assert [r.raw if r else None for r in taken_back] == ["2", "5", "1", None]
    assert values(book, small) == []
    assert len(readings_of(book, small.sweep.id, all_rows=True)) == 4
    told = events.events_of(book, "sweep", small.sweep.id)
    assert [e.old for e in told if e.what == "reading taken back"] == ["2", "5", "1"]


def test_undo_of_a_mend_brings_the_first_value_back(book: Book, small: SmallJob) -> None:
    first = take(book, small, 6, 0, 1)
    take(book, small, 6, 90, 5)
    correct_reading(book, first.id, value_in=0.002, raw="2")
    undo_reading(book, small.sweep.id)
    assert sorted(values(book, small)) == ["1", "5"]


@pytest.mark.parametrize("taken", range(13))
def test_resume_after_any_number_of_readings(book: Book, small: SmallJob, taken: int) -> None:
    every = [(s, m) for s in STATIONS_IN for m in MARKS_DEG]
    for station_in, clock_deg in every[:taken]:
        take(book, small, station_in, clock_deg, 1)
    point = resume_point(book, small.sweep.id)
    assert (point.taken, point.wanted, point.complete) == (taken, 12, taken == 12)
    if taken < 12:
        assert (point.station_in, point.clock_deg) == every[taken]
        assert point.kind == "mark"


def test_resume_stays_at_the_station_last_worked_on(book: Book, small: SmallJob) -> None:
    take(book, small, 18, 0, 1)
    point = resume_point(book, small.sweep.id)
    assert (point.station_in, point.clock_deg) == (18.0, 90.0)
    for clock_deg in MARKS_DEG[1:]:
        take(book, small, 18, clock_deg, 1)
    point = resume_point(book, small.sweep.id)
    assert (point.station_in, point.clock_deg) == (6.0, 0.0)


def test_resume_after_undo_asks_for_the_same_mark(book: Book, small: SmallJob) -> None:
    take(book, small, 6, 0, 1)
    take(book, small, 6, 90, 1)
    undo_reading(book, small.sweep.id)
    point = resume_point(book, small.sweep.id)
    assert (point.station_in, point.clock_deg, point.mark_no) == (6.0, 90.0, 1)


def test_blocked_marks_count_as_done(book: Book, small: SmallJob) -> None:
    take_reading(
        book,
        small.sweep.id,
        station_in=6,
        clock_deg=0,
        value_in=None,
        raw="*",
        kind="blocked",
    )
    assert resume_point(book, small.sweep.id).clock_deg == 90.0


def test_closing_mark_and_quick_way(book: Book, small: SmallJob) -> None:
    closing = add_sweep(book, small.job.id, "working", stations_in=(6.0, 12.0), closing=True)
    for clock_deg in MARKS_DEG:
        take_reading(book, closing.id, station_in=6, clock_deg=clock_deg, value_in=0.001, raw="1")
    point = resume_point(book, closing.id)
    assert (point.kind, point.clock_deg, point.mark_no) == ("closing", 0.0, 4)
    take_reading(
        book, closing.id, station_in=6, clock_deg=0, value_in=0.0015, raw="1.5", kind="closing"
    )
    assert resume_point(book, closing.id).station_in == 12.0
    station = readings_for_core(book, closing.id).stations[0]
    assert (station.closing_in, len(station.clock_rad)) == (0.0015, 4)

    quick = add_sweep(book, small.job.id, "quick check", marks_deg=())
    kinds = []
    for _ in range(6):
        point = resume_point(book, quick.id)
        kinds.append(point.kind)
        tir = point.kind == "tir"
        take_reading(
            book,
            quick.id,
            station_in=point.station_in,
            clock_deg=None if tir else 80,
            value_in=0.004 if tir else None,
            raw="4" if tir else "80",
            kind=point.kind,
        )
    assert kinds == ["tir", "high spot"] * 3
    assert resume_point(book, quick.id).complete
    first = readings_for_core(book, quick.id).stations[0].quick
    assert first is not None
    assert first.tir_in == 0.004
    assert first.high_spot_rad == pytest.approx(math.radians(80))


def test_rolled_the_other_way_the_clock_is_mirrored(book: Book, small: SmallJob) -> None:
    back = add_sweep(book, small.job.id, "working", direction=-1)
    read_all(book, back)
    clocks = readings_for_core(book, back.id).stations[0].clock_rad
    assert clocks == pytest.approx([0, 3 * math.pi / 2, math.pi, math.pi / 2])


def test_readings_for_core_carry_everything(book: Book, small: SmallJob) -> None:
    read_all(book, small.sweep)
    got = readings_for_core(book, small.sweep.id)
    assert got.rollers_in == (10.0, 60.0)
    assert got.length_in == 72.0
    assert [s.station_in for s in got.stations] == list(STATIONS_IN)
    assert got.stations[1].reading_in == pytest.approx([12 * c * 1e-6 for c in MARKS_DEG])


@pytest.mark.parametrize(
    ("station_in", "clock_deg", "value_in"),
    [(6, 0, 1e9), (6, 0, float("nan")), (-1, 0, 0.1), (6, 1e4, 0.1), (6, float("nan"), 0.1)],
)
def test_impossible_readings_are_refused(
    book: Book, small: SmallJob, station_in: float, clock_deg: float, value_in: float
) -> None:
    with pytest.raises(Refused):
        take_reading(
            book,
            small.sweep.id,
            station_in=station_in,
            clock_deg=clock_deg,
            value_in=value_in,
            raw="?",
        )
    assert values(book, small) == []


def test_many_readings_go_in_together_or_not_at_all(book: Book, small: SmallJob) -> None:
    good = [
        {"station_in": 6.0, "clock_deg": float(c), "value_in": 0.001, "raw": "1"} for c in range(9)
    ]
    with pytest.raises(Refused):
        take_readings(
            book, small.sweep.id, [*good, {"station_in": -1, "clock_deg": 0, "value_in": 0}]
        )
    assert values(book, small) == []
    assert take_readings(book, small.sweep.id, good) == 9
    assert len(values(book, small)) == 9


def test_undo_goes_back_through_several_mends(book: Book, small: SmallJob) -> None:
    """Block, take, take again, then undo twice: the blocked mark stands again, then nothing."""
    place = {"station_in": small.sweep.stations_in[0], "clock_deg": 0.0}
    sweep_id = small.sweep.id
    take = take_reading
    take(book, sweep_id, **place, value_in=None, raw="*", kind="blocked")
    take(book, sweep_id, **place, value_in=0.001, raw="1", kind="mark")
    take(book, sweep_id, **place, value_in=0.002, raw="2", kind="mark")
    stood = []
    for _ in range(3):
        undo_reading(book, sweep_id)
        stood.append([(r.kind, r.value_in) for r in readings_of(book, sweep_id)])
    assert stood == [[("mark", 0.001)], [("blocked", None)], []]
