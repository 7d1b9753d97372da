"""The invented shop: complete, invented, and the same file every time."""

from __future__ import annotations

import re
import shutil
import sqlite3
from pathlib import Path

import pytest

from core.base.records import Job
from core.book import customers, hits, jobs, releases, shafts, sweeps
from core.book.opening import open_book
from core.demo.make import make_demo
from core.jobs.evaluate import evaluate_sweep
from core.jobs.facts import board, facts_of
from core.jobs.steps import next_step
from core.reports.ticket_collect import collect
from tests.support.command_fixtures import ROOT, Shaftlog, assert_refused
from tests.support.same_figures import first_difference

pytestmark = pytest.mark.slow

SHIPPED = ROOT / "demo.db"
REMAKE = "rm demo.db && python -m core.demo demo.db"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A copy of the shipped book, which is what the command makes."""
    return Path(shutil.copyfile(SHIPPED, tmp_path / "shop.db"))


def dump(path: Path) -> list[str]:
    con = sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)
    try:
        return list(con.iterdump())
    finally:
        con.close()


def test_shipped_book_is_what_the_command_makes(tmp_path: Path) -> None:
    """Alike to the last digit of each figure: the last bit of a sum differs by processor."""
    make_demo(tmp_path / "made.db")
    shipped, made = "\n".join(dump(SHIPPED)), "\n".join(dump(tmp_path / "made.db"))
    difference = first_difference(shipped, made)
    assert not difference, f"demo.db is old; {REMAKE}: {difference[:300]}"


def every_job(path: Path) -> dict[str, Job]:
    with open_book(path, read_only=True) as book:
        return {
            job.tag: job
            for customer in customers.customers(book)
            for vessel in customers.vessels_of(book, customer.id)
            for shaft in shafts.shafts_of(book, vessel.id)
            for job in jobs.jobs_of_shaft(book, shaft.id)
        }


def test_a_job_at_every_stage(shop: Path) -> None:
    found = every_job(shop)
    assert len(found) >= 12
    assert {job.state for job in found.values()} == {
        "open", "waiting", "released", "replaced", "returned",
    }  # fmt: skip
    with open_book(shop, read_only=True) as book:
        facts = {tag: facts_of(book, job.id) for tag, job in found.items()}
        places = {line.job.tag: next_step(line.facts) for line in board(book)}
    steps = {step.name for step in places.values() if step}
    assert {"sweep", "penetrant", "repair", "straighten", "hold", "key", "release"} <= steps
    assert any(f.sweep_in_hand_purpose == "as received" for f in facts.values())
    assert any(f.penetrant_running for f in facts.values())
    assert any(f.cracks for f in facts.values())
    assert any(f.rounds >= 2 for f in facts.values())


def test_customers_come_back_and_one_shaft_bends_at_the_same_place(shop: Path) -> None:
    with open_book(shop, read_only=True) as book:
        visits: dict[str, list[Job]] = {}
        for job in every_job(shop).values():
            visits.setdefault(job.shaft_id, []).append(job)
        assert sum(len(v) > 1 for v in visits.values()) >= 3
        again = [jobs.job_by_tag(book, tag) for tag in ("22-031", "26-002")]
        places = []
        for job in again:
            (first, *_) = sweeps.sweeps_of(book, job.id)
            worked = evaluate_sweep(book, first)
            biggest = max(worked.bends.bends, key=lambda b: b.angle_rad)
            places.append(biggest.station_in)
    assert again[0].shaft_id == again[1].shaft_id
    assert abs(places[0] - places[1]) < 1.5


@pytest.mark.slow
def test_straightened_shafts_are_true_and_their_tickets_frozen(shop: Path) -> None:
    with open_book(shop, read_only=True) as book:
        released = [j for j in every_job(shop).values() if j.state == "released"]
        assert len(released) >= 3
        for job in released:
            data = collect(book, job.id)
            assert data.before is not None
            assert data.after is not None
            assert max(s.tir_in for s in data.before.stations) > 0.020
            assert {area.verdict for area in data.after.areas} == {"true"}
            assert hits.hits_of(book, job.id)
            frozen = releases.last_release(book, job.id)
            assert frozen is not None
            assert "RELEASED" in frozen.ticket_text
            assert "<polyline" in frozen.ticket_html


def test_the_slips_in_it_are_found(shop: Path) -> None:
    with open_book(shop, read_only=True) as book:
        kinds = set()
        for tag in ("26-002", "26-005"):
            job = jobs.job_by_tag(book, tag)
            worked = evaluate_sweep(book, sweeps.sweeps_of(book, job.id)[0])
            kinds |= {slip.kind for _, slip in worked.slips}
    assert kinds == {"sign", "lost turn"}


def test_no_phone_in_it_can_ring(shop: Path) -> None:
    text = "\n".join(dump(shop))
    numbers = set(re.findall(r"\b\d{3}-\d{4}\b", text))
    assert numbers
    assert all(number.startswith("555-01") for number in numbers)
    assert set(re.findall(r"\w@([\w.]+)", text)) == {"example.invalid"}


def test_make_demo_never_overwrites(shaftlog: Shaftlog, tmp_path: Path) -> None:
    taken = tmp_path / "taken.db"
    taken.write_text("mine")
    assert_refused(shaftlog("make-demo", taken), "taken.db")
    assert taken.read_text() == "mine"
