"""What stands in the way of a release, and the paper of a job that ends without one."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from core.base.errors import ShaftlogError
from core.book import jobs, measurements, releases, settings, shafts, sweeps
from core.book.connection import Book
from core.book.errors import Refused
from core.book.opening import open_book
from core.book.readings import take_reading
from core.jobs.facts import facts_of
from core.jobs.release import done_for_release, missing_for_release
from core.jobs.steps import steps_of
from core.reports.closing import close_unreleased
from core.reports.ticket_collect import ticket_of

READY, BENT, LOOSE, PRESSED = "25-049", "26-002", "25-044", "26-009"


def job_of(book: Book, tag: str) -> str:
    return jobs.job_by_tag(book, tag).id


def finish_one(book: Book, job_id: str, purpose: str, *, read: int) -> None:
    """A finished sweep with readings at so many of its stations."""
    new = sweeps.start_sweep(
        book, job_id=job_id, purpose=purpose, roller_a_in=12, roller_b_in=90,
        stations_in=(6.0, 50.0, 80.0), marks_deg=range(0, 360, 45),
    )  # fmt: skip
    for station_in in new.stations_in[:read]:
        for mark in new.marks_deg:
            take_reading(book, new.id, station_in=station_in, clock_deg=mark, value_in=0.0, raw="0")
    sweeps.finish_sweep(book, new.id)


def test_nothing_is_in_the_way_of_a_shaft_that_is_ready(book: Path) -> None:
    with open_book(book) as one:
        assert missing_for_release(one, job_of(one, READY)) == ()


@pytest.mark.slow
def test_a_bent_shaft_read_only_as_received_is_stopped_by_its_verdict(book: Path) -> None:
    with open_book(book) as one:
        (why,) = [w for w in missing_for_release(one, job_of(one, BENT)) if "Verdict" in w]
    assert re.search(r"than a limit allows: coupling \d\d\.\d thou, limit 2\.0;", why)
    assert re.search(r"shaft log \d\d\.\d thou, limit 3\.0;", why)
    assert why.endswith("3 more")


def another_bar(one: Book) -> str:
    """Id of a new bar like that of the job that is ready."""
    return shafts.new_bar(one, jobs.job_by_tag(one, READY).shaft_id).id


def test_a_finished_sweep_without_readings_counts_as_missing(book: Path) -> None:
    with open_book(book) as one:
        job_id = jobs.start_job(one, shaft_id=another_bar(one)).id
        finish_one(one, job_id, "as received", read=0)
        finish_one(one, job_id, "final", read=0)
        missing = missing_for_release(one, job_id)
        assert any("no full sweep was finished on this job" in why for why in missing)
        assert not facts_of(one, job_id).final_swept
        assert steps_of(facts_of(one, job_id))[0].state == "next"
        assert done_for_release(one, job_id) == ()
        assert "No sweep on record" in ticket_of(one, job_id).text


def test_a_sweep_that_cannot_be_worked_out_is_said_and_counts_as_missing(book: Path) -> None:
    with open_book(book) as one:
        job_id = jobs.start_job(one, shaft_id=another_bar(one)).id
        finish_one(one, job_id, "final", read=1)
        missing = missing_for_release(one, job_id)
        assert any(
            w.startswith("Sweep: the sweep 'final' of") and "two stations" in w for w in missing
        )
        assert any("no full sweep was finished" in why for why in missing)
        finish_one(one, job_id, "final", read=3)
        missing = missing_for_release(one, job_id)
        assert not any("evaluated" in why or "no full sweep" in why for why in missing)


@pytest.mark.slow
def test_a_coupling_out_of_its_band_or_in_doubt_stops_the_release(book: Path) -> None:
    with open_book(book) as one:
        job_id = job_of(one, LOOSE)
        (why,) = [w for w in missing_for_release(one, job_id) if "Coupling bore" in w]
        assert "TOO LOOSE by 0.7 thou for the shop's band; Clearance" in why
        measurements.take_measurement(
            one, job_id=job_id, subject="bore", what="diameter", raw="44.45", value_in=44.45,
            depth_in=0.5, clock_deg=0.0,
        )  # fmt: skip
        (why,) = [w for w in missing_for_release(one, job_id) if "Coupling bore" in w]
        assert "IN DOUBT" in why


def test_a_check_list_left_open_stops_the_release(book: Path) -> None:
    with open_book(book) as one:
        job_id = job_of(one, READY)
        measurements.take_measurement(
            one, job_id=job_id, subject="key", what="width", set_no=2, raw="0.4999",
            value_in=0.4999,
        )  # fmt: skip
        missing = missing_for_release(one, job_id)
    assert any("Key: check list after the trial fit: trial fit, burrs" in why for why in missing)


@pytest.mark.slow
@pytest.mark.parametrize(("state", "head"), [
    ("replaced", "NOT RELEASED - REPLACED BY A NEW SHAFT"),
    ("returned", "NOT RELEASED - GIVEN BACK AS IT IS"),
])  # fmt: skip
def test_the_closing_paper_tells_what_was_found_and_is_frozen(
    book: Path, state: str, head: str
) -> None:
    with open_book(book) as one:
        job_id = job_of(one, BENT)
        (why,) = [w for w in missing_for_release(one, job_id) if "Verdict" in w]
        worst = re.findall(r"(\d+\.\d) thou", why)[-1]
        close_unreleased(one, job_id, state=state, by="Odo K", reason="not worth the hours")
        paper = ticket_of(one, job_id)
        job = jobs.job(one, job_id)
        assert job.state == state
        for form in (" ".join(paper.text.split()), paper.html):
            for words in (head, "not worth the hours", worst, "ithout a release by Odo K on"):
                assert words in form
        assert "OPEN: Coupling bore: bore and shaft seat are not both measured" in paper.text
        assert "Signed" in paper.text
        assert "DRAFT" not in paper.text
        settings.save(one, shop_name="Changed Afterwards")
        assert ticket_of(one, job_id).text == paper.text
        jobs.set_state(one, job_id, "open", by="Odo K")
        assert "DRAFT" in ticket_of(one, job_id).text
        jobs.set_state(one, job_id, state)
        afterwards = ticket_of(one, job_id).text
        assert head in afterwards
        assert "written from the job book afterwards" in afterwards
        assert len(releases.releases_of(one, job_id)) == 1


@pytest.mark.slow
def test_closing_is_all_or_nothing_and_wants_a_name_and_a_reason(book: Path) -> None:
    with open_book(book) as one:
        job_id = job_of(one, PRESSED)
        with pytest.raises(ShaftlogError, match="Why"):
            close_unreleased(one, job_id, state="returned", by="Odo K", reason=" ")
        with pytest.raises(Refused, match="name"):
            close_unreleased(one, job_id, state="returned", by=" ", reason="x")
        with pytest.raises(Refused, match="replaced or as returned"):
            releases.close_job(
                one, job_id=job_id, state="released", by="O", ticket_text="", ticket_html=""
            )
        assert jobs.job(one, job_id).state == "open"
        assert not [n for n in jobs.notes_of(one, job_id) if n.text == "x"]
