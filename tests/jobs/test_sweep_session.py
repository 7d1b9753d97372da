"""The rules of sweep entry, without a screen: what is asked for, what may be replaced, undo."""

from __future__ import annotations

import pytest

from core.base.errors import ShaftlogError
from core.base.reading_log import confirmed
from core.book import readings, sweeps
from core.book.connection import Book
from core.book.errors import Overtaken
from core.book.opening import open_book
from core.jobs.sweep import sweep_entry
from core.jobs.sweep.sweep_session import Cursor, SweepSession, resume
from tests.support.book_helpers import SmallJob, add_sweep
from tui.screens.sweep import sweep_goto as goto


def session_of(book: Book, small: SmallJob, **changes: object) -> SweepSession:
    """A sweep of three stations and four marks, opened."""
    return sweep_entry.open_session(book, add_sweep(book, small.job.id, **changes).id)  # type: ignore[arg-type]


def take(book: Book, session: SweepSession, *texts: str) -> SweepSession:
    """Type numbers at the cursor; `*` blocks."""
    for text in texts:
        if text == "*":
            session, _ = sweep_entry.block(book, session)
        else:
            session, _ = sweep_entry.take(book, session, text)
    return session


def active(session: SweepSession) -> dict[tuple[float, float | None, str], str]:
    return {(r.station_in, r.clock_deg, r.kind): r.raw for r in session.readings}


def fill(book: Book, session: SweepSession) -> SweepSession:
    while not session.complete:
        session = take(book, session, str(1 + len(session.readings)))
    return session


def test_entries_run_round_each_station_and_then_on(book: Book, small: SmallJob) -> None:
    session = session_of(book, small)
    seen = []
    while not session.complete:
        seen.append((session.station_in, session.slot and session.slot.clock_deg))
        session = take(book, session, "1")
    assert seen == [(s, c) for s in (6.0, 12.0, 18.0) for c in (0.0, 90.0, 180.0, 270.0)]
    assert session.counts == (12, 12)


def test_after_the_last_mark_a_number_is_refused(book: Book, small: SmallJob) -> None:
    session = fill(book, session_of(book, small))
    before = active(session)
    for text in ("5", "*"):
        with pytest.raises(ShaftlogError, match="All is read"):
            take(book, session, text)
    assert active(sweep_entry.reload(book, session)) == before


def test_a_finished_sweep_takes_nothing_until_it_is_opened_again(
    book: Book, small: SmallJob
) -> None:
    session = take(book, session_of(book, small), "1", "2")
    sweeps.finish_sweep(book, session.sweep.id)
    with pytest.raises(ShaftlogError, match="bench finished this"):
        take(book, session, "3")  # this bench has not seen it yet
    session = sweep_entry.reload(book, session)
    with pytest.raises(ShaftlogError, match="finished"):
        take(book, session, "3")
    with pytest.raises(ShaftlogError, match="finished"):
        sweep_entry.undo(book, session)
    assert len(sweep_entry.reload(book, session).readings) == 2
    sweeps.reopen_sweep(book, session.sweep.id)
    session = take(book, sweep_entry.reload(book, session), "3")
    assert len(session.readings) == 3


def test_a_reading_is_replaced_only_where_the_person_went(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small), "1", "2", "3", "4").to_station(0)
    with pytest.raises(ShaftlogError, match="is read already: 1"):
        take(book, session, "9")
    session = take(book, session.choose_mark(1), "9")
    assert active(session)[(6.0, 90.0, "mark")] == "9"


def test_after_a_correction_entry_goes_on_where_it_was(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small), *"123456")
    assert session.cursor == Cursor(1, 2)
    session = take(book, session.choose(Cursor(0, 1)), "9")
    assert session.cursor == Cursor(1, 2)
    session = take(book, session.choose_mark(-1).choose_mark(-1), "8")
    assert session.cursor == Cursor(1, 2)
    assert not session.chosen


def test_after_a_correction_at_another_station_entry_goes_on_where_it_was(
    book: Book, small: SmallJob
) -> None:
    session = take(book, session_of(book, small), "1", "2", "3", "4")
    session = take(book, session.to_station(2), "5")
    home = session.cursor
    assert home == Cursor(2, 1)
    full = take(book, session.to_station(0).choose(Cursor(0, 2)), "8")
    assert (full.cursor, active(full)[6.0, 180.0, "mark"]) == (home, "8")
    begun = take(book, full.to_station(1), "6")
    named = goto.answered(begun.to_station(2), "0", question="clock", home=begun.home)
    assert take(book, named, "7").cursor == begun.cursor


def test_after_a_correction_a_mark_filled_meanwhile_is_passed(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small), "1", "2")
    readings.take_reading(
        book, session.sweep.id, station_in=6, clock_deg=180, value_in=0.001, raw="other"
    )
    session = take(book, session.choose(Cursor(0, 0)), "9")
    assert session.cursor == Cursor(0, 3)


def test_a_mark_filled_at_another_bench_is_not_replaced_unasked(
    book: Book, small: SmallJob
) -> None:
    session = take(book, session_of(book, small), "1").choose(Cursor(0, 2))
    readings.take_reading(
        book, session.sweep.id, station_in=6, clock_deg=180, value_in=0.001, raw="other"
    )
    with pytest.raises(Overtaken, match="other"):
        take(book, session, "9")
    session = sweep_entry.reload(book, session)
    for _ in range(2):
        with pytest.raises(ShaftlogError, match="is read already: other"):
            take(book, session, "9")
    session = take(book, session.choose(session.cursor), "9")
    assert active(session)[(6.0, 180.0, "mark")] == "9"


def test_the_bench_whose_reading_was_changed_learns_it(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small), "1", "2")
    other = sweep_entry.open_session(book, session.sweep.id)
    take(book, other.choose(Cursor(0, 1)), "7")
    fresh = sweep_entry.reload(book, session)
    assert [(was.raw, now and now.raw) for was, now in fresh.changed_here(session)] == [("2", "7")]
    assert sweep_entry.reload(book, fresh).changed_here(fresh) == ()


def test_undo_leaves_the_entries_of_another_bench_alone(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small), "1")
    take(book, sweep_entry.open_session(book, session.sweep.id), "7")
    session = sweep_entry.reload(book, session)
    session, gone = sweep_entry.undo(book, session)
    assert [row.raw for row in gone] == ["1"]
    assert active(session) == {(6.0, 90.0, "mark"): "7"}
    assert sweep_entry.undo(book, session)[1] == ()


def test_a_turned_station_is_one_act_for_undo(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small), "1", "2", "*", "4")
    before, cursor = active(session), session.cursor
    session = sweep_entry.turn(book, session, 6.0, 0.0)
    assert active(session)[(6.0, 90.0, "mark")].startswith("4")
    assert active(session)[(6.0, 180.0, "blocked")].startswith("blocked")
    session, gone = sweep_entry.undo(book, session)
    assert len(gone) == 4
    assert active(session) == before
    assert session.cursor == cursor


def test_corrections_of_two_readings_are_one_act(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small), "1", "2")
    before = active(session)
    changes = [(row.id, 0.009) for row in session.readings]
    session = sweep_entry.correct(book, session, changes)
    assert [row.value_in for row in session.readings] == [0.009, 0.009]
    session, _ = sweep_entry.undo(book, session)
    assert active(session) == before


def test_readings_go_with_a_station_that_is_moved_and_undo_takes_the_last_entry(
    book: Book, small: SmallJob
) -> None:
    session = take(book, session_of(book, small), "1", "2")
    session = take(book, session.choose(Cursor(0, 0)), "5")
    sweep_entry.move_station(book, session.sweep.id, 6.0, 7.0, 72.0)
    session = sweep_entry.reload(book, session)
    assert session.stations_in == (7.0, 12.0, 18.0)
    assert sorted(r.station_in for r in session.readings) == [7.0, 7.0]
    session, gone = sweep_entry.undo(book, session)
    assert [row.raw for row in gone] == ["5 (moved from 6 in)"]
    assert active(session)[(7.0, 0.0, "mark")] == "1"


def test_the_first_mark_that_is_not_blocked_closes_the_roll(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small, closing=True), "*", "2", "3", "4")
    assert session.slot is not None
    assert (session.slot.kind, session.slot.clock_deg) == ("closing", 90.0)
    session = take(book, session, "2")
    assert session.station_in == 12.0
    # Blocked only later: the closing reading of a mark that is not the first one does not count.
    session = take(book, session.choose(Cursor(0, 1)), "*")
    assert [slot.clock_deg for slot in session.slots(0)][-1] == 180.0
    assert session.empty_slots(0) == [4]


def test_a_blocked_mark_is_asked_for_again_only_by_going_to_it(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small, closing=True), "*", "1")
    asked = []
    while not session.complete:
        asked.append((session.station_in, session.slot and session.slot.clock_deg))
        session = take(book, session, "2")
    assert (6.0, 0.0) not in asked
    again = sweep_entry.open_session(book, session.sweep.id)
    assert again.complete
    first = again.to_station(0).choose(Cursor(0, 0))
    assert first.current is not None
    assert first.current.kind == "blocked"
    read = take(book, first, "7")
    assert active(read)[6.0, 0.0, "mark"] == "7", "the plunger was freed: the mark is read"
    assert read.slot is not None
    assert (read.station_in, read.slot.kind, read.slot.clock_deg) == (6.0, "closing", 0.0)


def test_a_roll_with_all_marks_blocked_asks_for_no_closing_mark(
    book: Book, small: SmallJob
) -> None:
    session = take(book, session_of(book, small, closing=True), "*", "*", "*", "*")
    assert session.station_in == 12.0


def test_a_blocked_mark_fills_its_slot(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small), "*")
    assert session.cursor == Cursor(0, 1)
    assert session.empty_slots(0) == [1, 2, 3]


def test_reading_goes_on_round_the_shaft_not_back_to_a_gap(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small), "1").choose(Cursor(0, 2))
    session = take(book, session, "3")
    assert session.cursor == Cursor(0, 3)
    assert take(book, session, "4").cursor == Cursor(0, 1)


def test_the_quick_way_asks_for_tir_then_high_spot(book: Book, small: SmallJob) -> None:
    session = session_of(book, small, marks_deg=())
    with pytest.raises(ShaftlogError, match="cannot be negative"):
        take(book, session, "-4")
    session = take(book, session, "4", "90")
    assert session.station_in == 12.0
    assert [r.kind for r in session.readings] == ["tir", "high spot"]


def test_marks_of_an_imported_sweep_are_shown_too(book: Book, small: SmallJob) -> None:
    sweep = add_sweep(book, small.job.id)
    readings.take_reading(book, sweep.id, station_in=6, clock_deg=22.5, value_in=0.001, raw="1")
    session = sweep_entry.open_session(book, sweep.id)
    assert [s.clock_deg for s in session.slots(0)] == [0.0, 90.0, 180.0, 270.0, 22.5]
    assert [s.clock_deg for s in session.slots(1)] == [0.0, 90.0, 180.0, 270.0]


def test_an_empty_list_of_stations_has_no_slot(book: Book, small: SmallJob) -> None:
    session = session_of(book, small, stations_in=())
    assert session.station_in is None
    assert session.slot is None
    assert not session.complete
    with pytest.raises(ShaftlogError, match="list of stations is empty"):
        take(book, session, "1")


def test_a_station_taken_off_the_list_leaves_the_cursor_where_it_can(
    book: Book, small: SmallJob
) -> None:
    session = take(book, session_of(book, small), *"123456")
    sweeps.change_sweep(book, session.sweep.id, stations_in=(12.0, 18.0))
    assert sweep_entry.reload(book, session).cursor == Cursor(0, 2)
    sweeps.change_sweep(book, session.sweep.id, stations_in=(18.0,))
    session = sweep_entry.reload(book, session)
    assert (session.station_in, session.cursor) == (18.0, Cursor(0, 0))


@pytest.mark.parametrize("text", ["5-", "1-5", "3/4", "1 5", "1..5", "2.5e2", "--4", "/"])
def test_what_is_no_plain_number_is_refused(book: Book, small: SmallJob, text: str) -> None:
    session = session_of(book, small)
    with pytest.raises(ShaftlogError):
        take(book, session, text)
    assert sweep_entry.reload(book, session).readings == ()


@pytest.mark.parametrize("undone", range(4))
def test_opened_again_it_asks_for_what_it_asked_for_before(
    book: Book, small: SmallJob, undone: int
) -> None:
    session = take(book, session_of(book, small), "1", "2", "3", "4", "5")
    for _ in range(undone):
        session, _ = sweep_entry.undo(book, session)
    again = resume(session.sweep, session.rows)
    assert (again.cursor, again.readings) == (session.cursor, session.readings)


def test_opened_anew_undo_takes_back_no_reading_of_another_name(
    book: Book, small: SmallJob
) -> None:
    session = take(book, session_of(book, small), "1")
    with open_book(book.path, by="bench two") as other:
        theirs = sweep_entry.open_session(other, session.sweep.id)
        take(other, theirs, "2")
    again = sweep_entry.open_session(book, session.sweep.id)
    _, gone = sweep_entry.undo(book, again)
    assert [row.raw for row in gone] == ["1"]


def test_confirmed_stays_confirmed_through_an_undo(book: Book, small: SmallJob) -> None:
    session = take(book, session_of(book, small), "1")
    first = session.readings[0]
    session = sweep_entry.confirm(book, session, first.id)
    assert len(confirmed(session.rows)) == 1
    session = take(book, session.choose(Cursor(0, 0)), "7")
    assert not confirmed(session.rows)
    session, _ = sweep_entry.undo(book, session)
    assert len(confirmed(session.rows)) == 1
    session, _ = sweep_entry.undo(book, session)
    assert not confirmed(session.rows)
    assert [r.raw for r in session.readings] == ["1"]
