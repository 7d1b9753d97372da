"""The forecast of one job on the desk: how long it may take, how few plays say nothing."""

from __future__ import annotations

from itertools import count

import pytest

from core.base.errors import ShaftlogError
from core.book import jobs
from core.book.connection import Book
from core.book.opening import open_book
from core.demo.copy import demo_copy
from core.jobs.repair_offer import FORECAST_S, LEAST_PLAYS, QuoteInputs, ask, play
from core.straightening.forecast import PLAYS


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> QuoteInputs:
    """A bent shaft of the demo that waits for its offer."""
    book: Book
    with open_book(demo_copy(tmp_path_factory.mktemp("demo") / "shop.db")) as book:
        return ask(book, jobs.job_by_tag(book, "26-002").id)


@pytest.mark.slow
def test_time_over_ends_it_with_enough_plays(asked: QuoteInputs) -> None:
    seconds = count(0.0, FORECAST_S / 5)  # each look at the clock is a fifth of the time later
    _, told = play(asked, clock=lambda: next(seconds))
    assert LEAST_PLAYS <= len(told.hits) < PLAYS
    assert not told.complete


@pytest.mark.slow
def test_with_time_enough_all_plays_are_made(asked: QuoteInputs) -> None:
    _, told = play(asked, clock=lambda: 0.0)
    assert len(told.hits) == PLAYS
    assert told.complete


def test_stopped_at_once_it_says_so_and_no_figure(asked: QuoteInputs) -> None:
    looks = count()
    with pytest.raises(ShaftlogError, match="after 3 plays: too few"):
        play(asked, cancelled=lambda: next(looks) >= 3)
