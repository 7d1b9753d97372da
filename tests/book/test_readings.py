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
from core.jobs.sweep.sweep_entry import open_session
from core.jobs.sweep.sweep_readings import readings_for_core
from core.jobs.sweep.sweep_session import SweepSession
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
    assert [[r.raw for r in gone] for gone in taken_back] == [["2"], ["5"], ["1"], []]
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


def asked_for(session: SweepSession) -> tuple[float | None, float | None, str]:
    """Station, clock and kind of what is read next."""
    slot = session.slot
    assert slot is not None
    return session.station_in, slot.clock_deg, slot.kind


@pytest.mark.parametrize("taken", range(13))
def test_resume_after_any_number_of_readings(book: Book, small: SmallJob, taken: int) -> None:
    every = [(s, m) for s in STATIONS_IN for m in MARKS_DEG]
    for station_in, clock_deg in every[:taken]:
        take(book, small, station_in, clock_deg, 1)
    session = open_session(book, small.sweep.id)
    assert session.counts == (taken, 12)
    assert session.complete == (taken == 12)
    if taken < 12:
        assert asked_for(session) == (*every[taken], "mark")


def test_resume_stays_at_the_station_last_worked_on(book: Book, small: SmallJob) -> None:
    take(book, small, 18, 0, 1)
    assert asked_for(open_session(book, small.sweep.id)) == (18.0, 90.0, "mark")
    for clock_deg in MARKS_DEG[1:]:
        take(book, small, 18, clock_deg, 1)
    assert asked_for(open_session(book, small.sweep.id)) == (6.0, 0.0, "mark")


def test_the_closing_mark_counts_against_the_first_mark_as_it_is_now(
    book: Book, small: SmallJob
) -> None:
    """The first mark was read again later, then blocked: the closing reading follows."""
    sweep = add_sweep(book, small.job.id, "working", closing=True)

    def put(clock_deg: float, thou: float | None, kind: str = "mark") -> None:
        take_reading(
            book,
            sweep.id,
            station_in=6,
            clock_deg=clock_deg,
            value_in=None if thou is None else thou / 1000,
            raw=str(thou),
            kind=kind,
        )

    for clock_deg, thou in zip(MARKS_DEG, (5, 1, 2, 3), strict=True):
        put(clock_deg, thou)
    put(0.0, 0, "closing")
    put(0.0, 0)
    station = readings_for_core(book, sweep.id).stations[0]
    assert (station.reading_in[0], station.closing_in) == (0.0, 0.0)
    put(0.0, None, "blocked")
    assert readings_for_core(book, sweep.id).stations[0].closing_in is None
    put(90.0, 1.5, "closing")
    station = readings_for_core(book, sweep.id).stations[0]
    assert (station.reading_in[0], station.closing_in) == (0.001, 0.0015)


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
