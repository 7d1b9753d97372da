"""Any sequence of acts at two benches: undo is exact, nothing is replaced unasked."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.base.errors import ShaftlogError
from core.base.reading_log import confirmed, place_key
from core.book import sweeps
from core.book.connection import Book
from core.jobs.sweep import sweep_entry
from core.jobs.sweep.sweep_session import Cursor, SweepSession, resume
from tests.support.book_helpers import add_job, add_sweep, open_fixed

KINDS = (
    "take", "take", "take", "block", "choose", "station", "confirm", "correct", "turn", "undo",
    "other", "reload", "finish", "reopen", "off", "move",
)  # fmt: skip
ACTS = st.lists(st.tuples(st.sampled_from(KINDS), st.integers(0, 15)), max_size=40)
Shown = dict[object, tuple[str, float | None, bool]]


@contextmanager
def empty_sweep(closing: bool) -> Iterator[tuple[Book, SweepSession]]:
    with tempfile.TemporaryDirectory() as folder, open_fixed(Path(folder) / "shop.db") as book:
        book.con.execute("PRAGMA synchronous = OFF")  # only for the speed of the test
        sweep = add_sweep(book, add_job(book).job.id, closing=closing)
        yield book, sweep_entry.open_session(book, sweep.id)


def shown(session: SweepSession) -> Shown:
    """All that a screen can show of the readings: what, which value, looked at again."""
    sure = confirmed(session.rows)
    return {place_key(r): (r.kind, r.value_in, r.id in sure) for r in session.readings}


def one_act(book: Book, session: SweepSession, what: str, number: int) -> SweepSession:
    """An act of this bench; raises when it is refused."""
    rows = session.readings
    row = rows[number % len(rows)] if rows else None
    if what == "take":
        return sweep_entry.take(book, session, str(number))[0]
    if what == "block":
        return sweep_entry.block(book, session)[0]
    if what == "confirm" and row is not None:
        return sweep_entry.confirm(book, session, row.id)
    if what == "correct" and row is not None and row.value_in is not None:
        return sweep_entry.correct(book, session, [(row.id, number / 1000)])
    if what == "turn" and row is not None:
        return sweep_entry.turn(book, session, row.station_in, 0.0)
    return session


def other_act(book: Book, session: SweepSession, what: str, number: int) -> None:
    """Something at another bench, or at another screen."""
    sweep_id, stations = session.sweep.id, session.stations_in
    if what == "finish":
        sweeps.finish_sweep(book, sweep_id)
    elif what == "reopen":
        sweeps.reopen_sweep(book, sweep_id)
    elif what == "off" and len(stations) > 1:
        sweeps.change_sweep(book, sweep_id, stations_in=stations[1:])
    elif what == "move" and stations:
        sweep_entry.move_station(book, sweep_id, stations[0], 20.0 + number, 72.0)
    elif what == "other":
        other = sweep_entry.open_session(book, sweep_id)
        other = other.choose(Cursor(number % 3, number % 4))
        sweep_entry.take(book, other, f"{number}.5")


def moved(session: SweepSession, what: str, number: int) -> SweepSession:
    """A move of the cursor."""
    if what == "choose":
        return session.choose(Cursor(number % 3, number % 4))
    return session.to_station(number % max(len(session.stations_in), 1))


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(ACTS, st.booleans())
def test_any_acts(acts: list[tuple[str, int]], closing: bool) -> None:
    with empty_sweep(closing) as (book, session):
        past: list[Shown] = []
        for what, number in acts:
            before, cursor = shown(session), session.cursor
            chosen, now = session.chosen, session.current
            try:
                if what in ("choose", "station"):
                    session = moved(session, what, number)
                elif what in ("other", "finish", "reopen", "off", "move"):
                    other_act(book, session, what, number)
                    session = sweep_entry.reload(book, session)
                    past = []  # what was shown before is not what an undo brings back now
                elif what == "undo":
                    session, gone = sweep_entry.undo(book, session)
                    if gone and past:
                        assert shown(session) == past.pop()
                else:
                    fresh = one_act(book, session, what, number)
                    if fresh is not session:
                        past.append(before)
                    session = fresh
            except ShaftlogError:
                session = sweep_entry.reload(book, session)
                assert shown(session) == before or what in ("other", "move")
                continue
            check(book, session)
            if what in ("take", "block"):
                changed = {
                    k for k in before | shown(session) if before.get(k) != shown(session).get(k)
                }
                assert len(changed) <= 1
                assert now is None or chosen, f"{what} at {cursor} replaced {now} unasked"
                assert session.complete or session.is_empty(session.cursor)


def check(book: Book, session: SweepSession) -> None:
    """What the session holds is what the book holds."""
    again = resume(sweeps.sweep(book, session.sweep.id), session.rows)
    fresh = sweep_entry.open_session(book, session.sweep.id)
    assert fresh == again
    assert (session.rows, session.counts) == (fresh.rows, fresh.counts)
    assert len({place_key(r) for r in session.readings}) == len(session.readings)
    assert not fresh.stations_in or fresh.complete or fresh.is_empty(fresh.cursor)
