"""What limits the trust in the figures is on the ticket, in both its forms."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from html import unescape
from pathlib import Path

import pytest

from core.base.records import Job
from core.book import measurements, penetrant_checks, settings, sweeps
from core.book.connection import Book
from core.fitting.shaft.wear_job import DIAMETER, SUBJECT
from core.jobs.evaluate import evaluate_sweep
from core.jobs.hit_actions import HitEntry, note_hit
from core.jobs.penetrant import spots
from core.jobs.penetrant_actions import stamp_some, switch
from core.jobs.sweep import sweep_entry
from core.reports.sweep_report import as_text
from core.reports.ticket_collect import ticket_of
from core.reports.ticket_format import interval
from tests.support.bench_book import new_job, new_sweep
from tui.screens.sweep.sweep_known import known, question

Bench = tuple[Book, Job]


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    book, job = new_job(tmp_path / "shop.db")
    with book:
        yield book, job


def said(bench: Bench) -> tuple[str, str]:
    """Ticket text and page, each with runs of spaces as one."""
    ticket = ticket_of(bench[0], bench[1].id)
    return " ".join(ticket.text.split()), " ".join(unescape(ticket.html).split())


def test_a_reading_changed_without_being_read_again_and_a_blocked_mark(bench: Bench) -> None:
    book, job = bench
    sweep = new_sweep(book, job)
    session = sweep_entry.open_session(book, sweep.id)
    session, _ = sweep_entry.block(book, session)
    while not session.complete:
        session, _ = sweep_entry.take(book, session, str(3 + len(session.readings) % 4))
    odd = session.readings[2]
    session = sweep_entry.correct(book, session, [(odd.id, 0.0025)])
    sweep_entry.finish(book, session)
    for text in said(bench):
        assert "1 reading changed, not read again" in text
        assert "to 2.5" in text
        assert "1 mark blocked, not read" in text


def test_a_dwell_cut_short_has_its_name_and_wiping_late_is_stated(bench: Bench) -> None:
    book, job = bench
    now = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)
    book._now = lambda: now
    areas = spots(book, job.id, now, ())
    switch(book, job.id, "short_dwell", areas)
    stamp_some(book, job.id, areas[:1], areas)
    now += timedelta(minutes=150)
    check = penetrant_checks.newest_checks(book, job.id)[0]
    penetrant_checks.stage(book, [check.id], "wiped_at")
    for text in said(bench):
        assert "shorter dwell allowed, stated by" in text
        assert "Wiped after 150 min" in text


def test_diameters_miked_at_intake(bench: Bench) -> None:
    book, job = bench
    measurements.take_measurement(
        book,
        job_id=job.id,
        subject=SUBJECT,
        what=DIAMETER,
        raw="1.9975",
        value_in=1.9975,
        depth_in=20.0,
    )
    for text in said(bench):
        assert "1.9975 at 20 in" in text


def test_hours_of_rest_who_pressed_and_a_check_that_contradicts_the_hit(bench: Bench) -> None:
    book, job = bench
    full(book, job, "as received")
    entry = HitEntry(20.0, math.radians(90.0), 1e-3, by="Jo Ferry")
    note_hit(book, job.id, entry, seen=())
    full(book, job, "working")
    full(book, job, "hold check")
    for text in said(bench):
        assert "RESTED ONLY 0.0 h" in text
        assert "the shop asks for 12 h" in text
        assert "by Jo Ferry" in text
        assert "Readings after round 1 contradicted its hits" in text


def full(book: Book, job: Job, purpose: str) -> None:
    """A whole sweep of one purpose."""
    sweep = new_sweep(book, job)
    sweeps.change_sweep(book, sweep.id, purpose=purpose)
    session = sweep_entry.open_session(book, sweep.id)
    while not session.complete:
        session, _ = sweep_entry.take(book, session, str(3 + len(session.readings) % 4))
    sweep_entry.finish(book, session)


def test_a_station_has_one_interval_wherever_it_is_printed(bench: Bench) -> None:
    book, job = bench
    sweep = new_sweep(book, job, read=19)
    sweeps.finish_sweep(book, sweep.id)
    ticket = ticket_of(book, job.id)
    shown = known(question(book, sweep, settings.load(book))).stations
    here = {f"{x:g}": interval(one.low_in, one.high_in) for x, one in shown.items()}
    assert len(set(here.values())) > 5
    row = re.compile(r"^ *([\d.]+)(?: +[\d.]+){2} +([\d.]+ to [\d.]+) ", re.MULTILINE)
    cells = re.compile(
        r"<td[^>]*>([\d.]+)</td>(?:<td[^>]*>[\d.]+</td>){2}<td[^>]*>([^<]+ to [^<]+)<"
    )
    printed = {
        "ticket": dict(row.findall(ticket.text.partition("FULL RECORD")[2])),
        "page": dict(cells.findall(ticket.html)),
        "report": dict(row.findall(as_text(evaluate_sweep(book, sweep), "the sweep"))),
    }
    for paper, found in printed.items():
        assert found == here, paper
