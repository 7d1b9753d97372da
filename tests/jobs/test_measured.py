"""Figures stored by two benches, left out, taken back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.book.connection import Book
from core.book.errors import Overtaken, Refused
from core.book.opening import open_book
from core.fitting.measured.measurements import MeasurementRequest
from core.jobs.measured import changed_words, leave_out, read_figures, take_back, take_figure
from tests.support.book_helpers import SmallJob

WIDTH = MeasurementRequest("key", "width", "Key width")


def test_the_second_bench_is_told_and_nothing_is_overwritten(book: Book, small: SmallJob) -> None:
    job = small.job.id
    seen = read_figures(book, job, "key")
    take_figure(book, job, WIDTH, "0.5001", 0.5001, seen)
    with pytest.raises(Overtaken, match=r"0\.5001.*0\.5009 is not stored"):
        take_figure(book, job, WIDTH, "0.5009", 0.5009, seen)
    assert read_figures(book, job, "key").find("key", "width").raw == "0.5001"
    take_figure(book, job, WIDTH, "0.5009", 0.5009, read_figures(book, job, "key"))
    assert read_figures(book, job, "key").find("key", "width").raw == "0.5009"


def test_a_figure_that_was_taken_is_not_left_out(book: Book, small: SmallJob) -> None:
    job = small.job.id
    take_figure(book, job, WIDTH, "1.8280", 1.8280, read_figures(book, job, "key"))
    with pytest.raises(Refused, match=r"is taken: 1\.8280"):
        leave_out(book, job, WIDTH, read_figures(book, job, "key"))
    assert read_figures(book, job, "key").find("key", "width").raw == "1.8280"


def test_undo_brings_back_the_figure_that_was_typed_over(book: Book, small: SmallJob) -> None:
    job = small.job.id
    for raw in ("0.5", "0.51"):
        take_figure(book, job, WIDTH, raw, float(raw), read_figures(book, job, "key"))
    back = take_back(book, job, ("key",), read_figures(book, job, "key"))
    assert back is not None
    gone, again = back
    assert (gone.raw, again.raw if again else None) == ("0.51", "0.5")
    back = take_back(book, job, ("key",), read_figures(book, job, "key"))
    assert back is not None
    assert (back[0].raw, back[1]) == ("0.5", None)
    assert take_back(book, job, ("key",), read_figures(book, job, "key")) is None


def test_undo_in_another_set_is_refused(book: Book, small: SmallJob) -> None:
    job = small.job.id
    take_figure(book, job, WIDTH, "0.5", 0.5, read_figures(book, job, "key", set_no=2))
    with pytest.raises(Refused, match="set 2"):
        take_back(book, job, ("key",), read_figures(book, job, "key", set_no=1))


def test_the_bench_whose_figure_was_changed_is_told(book: Book, small: SmallJob) -> None:
    """Found: its line went on saying 'Taken: 2.5001' beside 2.5009 in its table."""
    job = small.job.id
    depth = replace(WIDTH, depth_in=0.5)
    nothing = read_figures(book, job, "key")
    take_figure(book, job, depth, "0.5001", 0.5001, nothing)
    before = read_figures(book, job, "key")
    assert "measured this figure: 0.5001" in changed_words(nothing, before, depth.key)
    assert changed_words(nothing, before, WIDTH.key) == ""
    take_figure(book, job, depth, "0.5009", 0.5009, before)
    now = read_figures(book, job, "key")
    assert changed_words(before, now, None) == (
        "Another bench changed key width at 0.5 in: 0.5001 is now 0.5009."
    )
    take_back(book, job, ("key",), now)
    take_back(book, job, ("key",), read_figures(book, job, "key"))
    assert "0.5009 was taken back" in changed_words(now, read_figures(book, job, "key"), None)


def test_undo_leaves_the_figure_of_another_bench(book: Book, small: SmallJob) -> None:
    """Found: F5 at one bench took back what the other had measured."""
    job = small.job.id
    with open_book(book.path, by="Bo") as other:
        take_figure(other, job, WIDTH, "0.5", 0.5, read_figures(other, job, "key"))
    with pytest.raises(Refused, match=r"0\.5, was taken by Bo"):
        take_back(book, job, ("key",), read_figures(book, job, "key"))
    assert read_figures(book, job, "key").find("key", "width").raw == "0.5"
