"""Properties of the job book that hold for any entries in any order."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.base.text import clean_text
from core.base.times import moment, moment_text
from core.book import customers
from core.book.connection import Book
from core.book.ids import IdMaker
from core.book.readings import correct_reading, readings_of, take_reading, undo_reading
from core.book.search import find as search
from core.book.search import words
from core.jobs.sweep.sweep_entry import open_session
from core.jobs.sweep.sweep_session import true_clock_rad
from tests.support.book_helpers import (
    MARKS_DEG,
    STATIONS_IN,
    SmallJob,
    Ticker,
    add_job,
    open_fixed,
    reading_at,
)

FEW = settings(max_examples=25, deadline=None)
MANY = settings(max_examples=80, deadline=None)
PLACES = [(s, m) for s in STATIONS_IN for m in MARKS_DEG]

ENTRIES = st.lists(
    st.one_of(
        st.tuples(st.just("take"), st.integers(0, 11), st.integers(-500, 500)),
        st.tuples(st.just("block"), st.integers(0, 11), st.just(0)),
        st.tuples(st.just("mend"), st.integers(0, 11), st.integers(-500, 500)),
        st.tuples(st.just("undo"), st.just(0), st.just(0)),
    ),
    max_size=30,
)


@contextmanager
def small_book() -> Iterator[tuple[Book, SmallJob]]:
    with tempfile.TemporaryDirectory() as folder, open_fixed(Path(folder) / "shop.db") as book:
        book.con.execute("PRAGMA synchronous = OFF")  # only for the speed of the test
        yield book, add_job(book)


class Model:
    """What should stand: a plain dictionary and the history to undo."""

    def __init__(self) -> None:
        self.now: dict[int, float | None] = {}
        self.past: list[tuple[int, bool, float | None]] = []

    def put(self, place: int, value: float | None) -> None:
        self.past.append((place, place in self.now, self.now.get(place)))
        self.now[place] = value

    def undo(self) -> None:
        if self.past:
            place, was_there, value = self.past.pop()
            if was_there:
                self.now[place] = value
            else:
                del self.now[place]


def standing(book: Book, small: SmallJob) -> dict[int, float | None]:
    rows = readings_of(book, small.sweep.id)
    found = {PLACES.index((r.station_in, r.clock_deg or 0.0)): r.value_in for r in rows}
    assert len(found) == len(rows), "two readings stand at one mark"
    return found


@pytest.mark.slow
@FEW
@given(ENTRIES)
def test_any_entries_leave_what_a_plain_list_would(entries: list[tuple[str, int, int]]) -> None:
    model = Model()
    with small_book() as (book, small):
        for what, place, tenths in entries:
            station_in, clock_deg = PLACES[place]
            value_in = None if what == "block" else tenths * 1e-4
            if what == "undo":
                undo_reading(book, small.sweep.id)
                model.undo()
            elif what == "mend":
                held = reading_at(book, small.sweep.id, station_in, clock_deg)
                if held is not None:
                    correct_reading(book, held.id, value_in=value_in, raw=str(tenths))
                    model.put(place, value_in)
            else:
                take_reading(
                    book,
                    small.sweep.id,
                    station_in=station_in,
                    clock_deg=clock_deg,
                    value_in=value_in,
                    raw=str(tenths),
                    kind="blocked" if what == "block" else "mark",
                )
                model.put(place, value_in)
        assert standing(book, small) == model.now
        session = open_session(book, small.sweep.id)
        assert session.counts == (len(model.now), len(PLACES))
        if not session.complete:
            assert session.station_in is not None
            assert session.slot is not None
            place = (session.station_in, session.slot.clock_deg or 0.0)
            assert PLACES.index(place) not in model.now


@MANY
@given(st.floats(0, 360), st.sampled_from([1, -1]))
def test_mirroring_twice_is_the_same_clock(clock_deg: float, direction: int) -> None:
    once = true_clock_rad(clock_deg, direction)
    assert 0 <= once < 2 * math.pi + 1e-12
    twice = true_clock_rad(math.degrees(once), direction)
    assert math.isclose(math.cos(twice - math.radians(clock_deg)), 1.0, abs_tol=1e-12)


@MANY
@given(st.text(max_size=60))
def test_clean_text_is_harmless_and_stable(text: str) -> None:
    clean = clean_text(text, lines=True)
    assert clean_text(clean, lines=True) == clean
    assert not any(ord(c) < 32 and c != "\n" for c in clean)
    assert not any(0x7F <= ord(c) < 0xA0 for c in clean)
    clean.encode("utf-8")


@MANY
@given(st.text(max_size=80))
def test_any_text_finds_itself_among_its_words(text: str) -> None:
    """Every piece typed begins a word of the same text in the index."""
    index = words.words_of(text)
    for piece in pieces_of(text):
        assert any(word.startswith(piece) for word in index)


def pieces_of(text: str) -> list[str]:
    """The pieces of a text as the search folds them."""
    folded = (words.squeeze(piece) for piece in words.fold(text).split())
    return [piece for piece in folded if piece]


@pytest.mark.slow
@FEW
@given(st.lists(st.text(min_size=1, max_size=20), min_size=1, max_size=4), st.text(max_size=30))
def test_names_are_found_and_no_text_breaks_the_search(names: list[str], typed: str) -> None:
    with small_book() as (book, small):
        for name in names:
            if clean_text(name):
                customers.change_customer(book, small.customer.id, name=name)
                if pieces_of(clean_text(name)):
                    found = search.find(book, clean_text(name))
                    assert [f.tag for f in found] == [small.job.tag]
        search.find(book, typed)


@pytest.mark.slow
@MANY
@given(st.integers(1, 60), st.floats(0, 3))
def test_ids_rise_also_within_one_millisecond(count: int, step_s: float) -> None:
    make = IdMaker(Ticker(step_s / 1000))
    ids = [make() for _ in range(count)]
    assert ids == sorted(set(ids))
    assert all(one[14] == "7" and one[19] in "89ab" and len(one) == 36 for one in ids)


@pytest.mark.slow
@MANY
@given(st.datetimes())
def test_moments_come_back(when: object) -> None:
    from datetime import UTC, datetime

    assert isinstance(when, datetime)
    text = moment_text(when)
    assert abs((moment(text) - when.replace(tzinfo=UTC)).total_seconds()) < 0.001
