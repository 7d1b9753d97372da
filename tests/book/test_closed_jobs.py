"""Closed is closed: no function of the book enters anything on a closed job."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from core.book import (
    choices,
    customers,
    hits,
    jobs,
    measurements,
    penetrant_checks,
    quotes,
    releases,
    sweeps,
)
from core.book.audit import events_of
from core.book.connection import Book
from core.book.errors import ClosedJob, Refused
from core.book.readings import (
    correct_reading,
    readings_of,
    take_reading,
    take_readings,
    undo_reading,
)
from tests.support.book_helpers import SmallJob, add_job, open_fixed, read_all

Act = Callable[[Book, SmallJob], object]


def _check(b: Book, s: SmallJob) -> str:
    return penetrant_checks.checks_of(b, s.job.id)[0].id


ACTS: dict[str, Act] = {
    "sweep": lambda b, s: sweeps.start_sweep(
        b, job_id=s.job.id, purpose="final", roller_a_in=1, roller_b_in=9, stations_in=[1],
        marks_deg=[0],
    ),
    "sweep set-up": lambda b, s: sweeps.change_sweep(b, s.sweep.id, gauge="other"),
    "finish": lambda b, s: sweeps.finish_sweep(b, s.sweep.id),
    "reading": lambda b, s: take_reading(
        b, s.sweep.id, station_in=6, clock_deg=0, value_in=0.001, raw="1"
    ),
    "readings": lambda b, s: take_readings(
        b, s.sweep.id, [{"station_in": 6, "clock_deg": 0, "value_in": 0.002, "raw": "2"}]
    ),
    "correction": lambda b, s: correct_reading(
        b, readings_of(b, s.sweep.id)[0].id, value_in=0.5, raw="500"
    ),
    "undo reading": lambda b, s: undo_reading(b, s.sweep.id),
    "quick check": lambda b, s: sweeps.add_quick_check(
        b, job_id=s.job.id, round_no=1, sweep_id=s.sweep.id
    ),
    "hit": lambda b, s: hits.add_hit(
        b, job_id=s.job.id, round_no=2, method="heat", station_in=1, clock_deg=1, angle_rad=0.1
    ),
    "correct hit": lambda b, s: hits.correct_hit(
        b, hits.hits_of(b, s.job.id)[0].id, clock_deg=9.0
    ),
    "hit reading": lambda b, s: hits.add_reading(
        b, job_id=s.job.id, hit_id=hits.hits_of(b, s.job.id)[0].id, kind="load", value_in=0.01
    ),
    "undo hit reading": lambda b, s: hits.undo_reading(b, hits.readings_of_job(b, s.job.id)[0]),
    "undo hit": lambda b, s: hits.undo_hit(b, s.job.id),
    "penetrant": lambda b, s: penetrant_checks.start_checks(
        b, job_id=s.job.id, standard="x", areas=[("log", 5, 6)]
    ),
    "stage": lambda b, s: penetrant_checks.stage(b, [_check(b, s)], "wiped_at"),
    "result": lambda b, s: penetrant_checks.set_result(b, _check(b, s), result="crack"),
    "condition": lambda b, s: penetrant_checks.state_condition(
        b, s.job.id, standard="x", cold=True, short_dwell=False
    ),
    "measurement": lambda b, s: measurements.take_measurement(
        b, job_id=s.job.id, subject="bore", what="diameter", raw="1", value_in=1.0
    ),
    "undo measurement": lambda b, s: measurements.undo_measurement(b, s.job.id),
    "choice": lambda b, s: choices.choose(
        b, job_id=s.job.id, subject="parts", name="nut", number=1.0
    ),
    "quote": lambda b, s: quotes.save_quote(b, job_id=s.job.id, kind="both", text="x"),
    "second paper": lambda b, s: releases.close_job(
        b, job_id=s.job.id, state="returned", by="Ada", ticket_text="x", ticket_html="x"
    ),
    "job": lambda b, s: jobs.change_job(b, s.job.id, complaint="other"),
}  # fmt: skip


@pytest.fixture(scope="module")
def closed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Book, SmallJob]:
    book = open_fixed(tmp_path_factory.mktemp("closed") / "shop.db")
    small = add_job(book)
    read_all(book, small.sweep)
    hits.add_hit(
        book, job_id=small.job.id, round_no=1, method="press", station_in=12, clock_deg=45,
        angle_rad=0.002,
    )  # fmt: skip
    hit_id = hits.hits_of(book, small.job.id)[0].id
    hits.add_reading(book, job_id=small.job.id, hit_id=hit_id, kind="load", value_in=0.01)
    penetrant_checks.start_checks(book, job_id=small.job.id, standard="x", areas=[("taper", 0, 4)])
    penetrant_checks.stage(book, [_check(book, small)], "penetrant_at")
    measurements.take_measurement(
        book, job_id=small.job.id, subject="bore", what="diameter", raw="1", value_in=1.0
    )
    jobs.set_state(book, small.job.id, "released")
    return book, small


@pytest.mark.parametrize("name", ACTS)
def test_a_closed_job_takes_no_entries(closed: tuple[Book, SmallJob], name: str) -> None:
    book, small = closed
    before = list(book.con.iterdump())
    with pytest.raises(ClosedJob, match="is closed \\(released\\)"):
        ACTS[name](book, small)
    assert list(book.con.iterdump()) == before


def test_a_note_may_be_added_later(closed: tuple[Book, SmallJob]) -> None:
    book, small = closed
    assert jobs.add_note(book, job_id=small.job.id, text="owner says it runs well").text


def test_opening_it_again_needs_a_name_and_lets_entries_in(tmp_path: Path) -> None:
    with open_fixed(tmp_path / "shop.db") as book:
        small = add_job(book)
        jobs.set_state(book, small.job.id, "returned")
        book.by = ""
        with pytest.raises(Refused, match="give a name"):
            jobs.set_state(book, small.job.id, "open")
        jobs.set_state(book, small.job.id, "open", by="Bo")
        ACTS["reading"](book, small)
        told = [(e.what, e.new) for e in events_of(book, "job", small.job.id)]
        assert ("opened again by", "Bo") in told
        customers.change_customer(book, small.customer.id, phone="1")
