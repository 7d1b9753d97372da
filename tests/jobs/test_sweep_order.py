"""A sweep read where the next reading tells most: the choice, the station, the move."""

from __future__ import annotations

import numpy as np

from core.analysis.next_station import NextStation
from core.book.connection import Book
from core.jobs.sweep import sweep_entry
from core.jobs.sweep.sweep_entry import choose_order, goes_by_itself, station_to_read
from core.jobs.sweep.sweep_session import gone_on
from core.runout.line import ShaftLine
from tests.support.book_helpers import SmallJob, add_sweep

LIST = tuple(3.0 + 6.0 * n for n in range(12))


def unread(station_in: float | None) -> NextStation:
    return NextStation(station_in, "Nothing was read there.")


def test_the_choice_stands_with_the_sweep_and_can_be_taken_back(
    book: Book, small: SmallJob
) -> None:
    sweep, other = add_sweep(book, small.job.id), add_sweep(book, small.job.id)
    assert not goes_by_itself(book, sweep)
    choose_order(book, sweep, True)
    assert goes_by_itself(book, sweep)
    assert not goes_by_itself(book, other)
    choose_order(book, sweep, False)
    assert not goes_by_itself(book, sweep)


def following(line: ShaftLine | None, *read_in: float) -> NextStation | None:
    return station_to_read(line, LIST, read_in=read_in, length_in=None, areas=(), limit_in=0.002)


def test_both_ends_come_first_then_what_tells_most() -> None:
    for read, other in ((LIST[0], LIST[-1]), (LIST[-1], LIST[0])):
        first = following(None, read)
        assert first is not None
        assert first.station_in == other
    ends = np.array([LIST[0], LIST[-1]])
    line = ShaftLine(ends, np.full((2, 2), 0.01), np.full(2, 0.0002), np.array([10.0, 60.0]))
    second = following(line, LIST[0], LIST[-1])
    assert second is not None
    assert second.station_in in LIST[1:-1]


def test_a_sweep_that_makes_no_line_is_not_sent_back_to_an_end_that_is_read() -> None:
    assert following(None, LIST[0], LIST[-1]) is None


def test_the_session_goes_there_between_stations_only(book: Book, small: SmallJob) -> None:
    sweep = add_sweep(book, small.job.id)
    session = sweep_entry.open_session(book, sweep.id)
    moved = gone_on(session, unread(18.0))
    assert moved is not None
    assert moved.station_in == 18.0
    assert moved.at_rest
    assert gone_on(session, unread(None)) is None
    assert gone_on(session, unread(6.0)) is None
    begun, _ = sweep_entry.take(book, session, "1")
    assert gone_on(begun, unread(18.0)) is None
    assert gone_on(session.choose_mark(1), unread(18.0)) is None
    assert gone_on(sweep_entry.finish(book, session), unread(18.0)) is None
