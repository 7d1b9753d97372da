"""Merging a laptop's book: by ids, twice is once, conflicts listed and never silently settled."""

from __future__ import annotations

import os
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from core.base.records import QuoteLine
from core.book import audit as events
from core.book import customers, hits, jobs, quotes, shafts
from core.book.connection import Book
from core.book.errors import BookError, ClosedJob, NewerBook, Refused
from core.book.opening import open_book
from core.book.privacy import erase as privacy
from core.book.readings import correct_reading, readings_of, take_reading
from core.book.search import find as search
from core.book.upkeep import check
from core.book.upkeep.conflicts import open_conflicts, settle
from core.book.upkeep.merge import merge_book
from core.book.upkeep.tables import ENTERED, WITH_ID
from tests.support.book_helpers import SmallJob, Ticker, add_job, add_sweep, open_fixed, read_all


@dataclass
class Two:
    ours: Book
    theirs: Book
    small: SmallJob


@pytest.fixture
def two(path: Path, tmp_path: Path) -> Iterator[Two]:
    """Two books that were one until this morning."""
    with open_fixed(path) as book:
        small = add_job(book)
        take_reading(book, small.sweep.id, station_in=6, clock_deg=0, value_in=0.001, raw="1")
    other = tmp_path / "laptop.db"
    shutil.copyfile(path, other)
    now = Ticker()
    now.moment = now.moment.replace(hour=12)
    ours = open_book(path, by="shop", now=now)
    theirs = open_book(other, by="laptop", now=now)
    yield Two(ours, theirs, small)
    ours.close()
    theirs.close()


def everything(book: Book) -> dict[str, list[tuple[object, ...]]]:
    tables = [
        row[0]
        for row in book.rows(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE '%search%' "
            "AND name NOT LIKE '%sqlite%'"
        )
    ]
    return {table: sorted(book.rows(f"SELECT * FROM {table}"), key=repr) for table in tables}


def test_new_rows_of_every_table_come_over(two: Two) -> None:
    new = add_job(two.theirs, name="Norquist, Bo", boat="Far Wren")
    read_all(two.theirs, new.sweep)
    hits.add_hit(
        two.theirs,
        job_id=new.job.id,
        round_no=1,
        method="press",
        station_in=30,
        clock_deg=10,
        angle_rad=0.002,
    )
    quotes.save_quote(
        two.theirs, job_id=new.job.id, kind="repair", text="x", lines=[QuoteLine("hit", 1, 2, 2)]
    )
    jobs.add_note(two.theirs, job_id=new.job.id, text="from the yard")
    looked = merge_book(two.ours, two.theirs.path)
    assert looked.dry_run
    assert dict(looked.added)["reading"] == 12
    assert len(jobs.open_jobs(two.ours)) == 1
    done = merge_book(two.ours, two.theirs.path, dry_run=False)
    assert done.added == looked.added
    assert not done.conflicts
    assert readings_of(two.ours, new.sweep.id) == readings_of(two.theirs, new.sweep.id)
    assert quotes.quotes_of(two.ours, new.job.id) == quotes.quotes_of(two.theirs, new.job.id)
    assert [f.tag for f in search.find(two.ours, "norquist yard")] == ["26-002"]
    assert check.check_book(two.ours.path).sound


def test_twice_is_once_and_both_ways_end_alike(two: Two) -> None:
    add_job(two.theirs, name="Norquist, Bo")
    add_job(two.ours, name="Umland, Pia")
    customers.change_customer(two.theirs, two.small.customer.id, phone="555-0177")
    merge_book(two.ours, two.theirs.path, dry_run=False)
    first = everything(two.ours)
    again = merge_book(two.ours, two.theirs.path, dry_run=False)
    assert sum(count for _, count in again.added) == 0
    assert again.taken == 0
    assert everything(two.ours) == first
    merge_book(two.theirs, two.ours.path, dry_run=False)
    assert everything(two.theirs) == everything(two.ours)


def test_a_tag_given_out_twice(two: Two) -> None:
    theirs = add_job(two.theirs, name="Norquist, Bo")
    ours = add_job(two.ours, name="Umland, Pia")
    assert theirs.job.tag == ours.job.tag == "26-002"
    report = merge_book(two.ours, two.theirs.path, dry_run=False)
    ((changed, tag),) = [(t.job_id, t.new) for t in report.retagged]
    older, younger = sorted((theirs.job.id, ours.job.id))
    assert changed == younger, "the job that was opened first keeps its tag"
    assert tag.startswith("26-002")
    assert tag != "26-002"
    assert not merge_book(two.ours, two.theirs.path, dry_run=False).conflicts
    merge_book(two.theirs, two.ours.path, dry_run=False)
    for book in (two.ours, two.theirs):
        assert jobs.job(book, older).tag == "26-002"
        assert jobs.job(book, younger).tag == tag


def test_what_only_one_side_changed_is_taken(two: Two) -> None:
    customers.change_customer(two.theirs, two.small.customer.id, phone="555-0177")
    shafts.change_shaft(two.ours, two.small.shaft.id, notes="pitted")
    report = merge_book(two.ours, two.theirs.path, dry_run=False)
    assert not report.conflicts
    assert report.taken == 1
    assert customers.customer(two.ours, two.small.customer.id).phone == "555-0177"
    assert shafts.shaft(two.ours, two.small.shaft.id).notes == "pitted"


def test_what_both_changed_is_listed_and_the_later_counts(two: Two) -> None:
    customers.change_customer(two.ours, two.small.customer.id, phone="555-0111")
    customers.change_customer(two.theirs, two.small.customer.id, phone="555-0122")
    report = merge_book(two.ours, two.theirs.path, dry_run=False)
    assert [(c.field, c.counts, c.other) for c in report.conflicts] == [
        ("phone", "555-0122", "555-0111")
    ]
    assert "'555-0122' there was entered later and counts" in report.words
    assert customers.customer(two.ours, two.small.customer.id).phone == "555-0122"
    told = events.events_of(two.ours, "customer", two.small.customer.id)
    assert [e.old for e in told if e.what == "merge conflict: phone"] == ["555-0111"]
    again = merge_book(two.ours, two.theirs.path, dry_run=False)
    assert [c.field for c in again.conflicts] == ["phone"], "listed until it is settled"
    told = events.events_of(two.ours, "customer", two.small.customer.id)
    assert len([e for e in told if e.what.startswith("merge")]) == 1


@pytest.mark.parametrize(("take", "phone"), [("counts", "555-0122"), ("other", "555-0111")])
def test_a_settled_conflict_is_not_listed_again(two: Two, take: str, phone: str) -> None:
    customers.change_customer(two.ours, two.small.customer.id, phone="555-0111")
    customers.change_customer(two.theirs, two.small.customer.id, phone="555-0122")
    (conflict,) = merge_book(two.ours, two.theirs.path, dry_run=False).conflicts
    settle(two.ours, conflict, take=take)
    assert merge_book(two.ours, two.theirs.path, dry_run=False).conflicts == ()
    assert customers.customer(two.ours, two.small.customer.id).phone == phone


def test_a_state_settled_the_other_way_takes_its_moment_along(two: Two) -> None:
    """Found: the job was 'waiting' and still had the moment it was closed."""
    job_id = two.small.job.id
    jobs.set_state(two.ours, job_id, "returned")
    jobs.set_state(two.theirs, job_id, "waiting", waiting_for="parts")
    merge_book(two.ours, two.theirs.path, dry_run=False)
    jobs.set_state(two.theirs, job_id, "open", by="Bo")
    jobs.set_state(two.ours, job_id, "open", by="Ada")
    jobs.set_state(two.ours, job_id, "returned")
    (conflict,) = merge_book(two.ours, two.theirs.path, dry_run=False).conflicts
    assert (conflict.field, conflict.counts, conflict.other) == ("state", "returned", "open")
    settle(two.ours, conflict, take="other")
    job = jobs.job(two.ours, job_id)
    assert (job.state, job.closed_at) == ("open", None)


def test_a_conflict_on_a_closed_job_is_settled_after_it_is_opened_again(two: Two) -> None:
    jobs.change_job(two.ours, two.small.job.id, complaint="shakes")
    jobs.change_job(two.theirs, two.small.job.id, complaint="leaks")
    (conflict,) = merge_book(two.ours, two.theirs.path, dry_run=False).conflicts
    jobs.set_state(two.ours, two.small.job.id, "returned")
    with pytest.raises(ClosedJob):
        settle(two.ours, conflict, take="other")
    jobs.set_state(two.ours, two.small.job.id, "open", by="Ada")
    settle(two.ours, conflict, take="other")
    assert jobs.job(two.ours, two.small.job.id).complaint == "shakes"


def test_mends_of_readings_merge(two: Two) -> None:
    (first,) = readings_of(two.theirs, two.small.sweep.id)
    correct_reading(two.theirs, first.id, value_in=0.002, raw="2")
    merge_book(two.ours, two.theirs.path, dry_run=False)
    assert [r.raw for r in readings_of(two.ours, two.small.sweep.id)] == ["2"]


def test_one_reading_mended_on_both_sides_is_a_conflict(two: Two) -> None:
    (first,) = readings_of(two.theirs, two.small.sweep.id)
    correct_reading(two.theirs, first.id, value_in=0.002, raw="2")
    correct_reading(two.ours, first.id, value_in=0.003, raw="3")
    report = merge_book(two.ours, two.theirs.path, dry_run=False)
    (conflict,) = report.conflicts
    assert conflict.words.startswith(
        "reading 26-001, as received sweep, station 6 in, clock 0 deg: '3, 02 Mar "
    )
    assert "here was entered later and counts; '2, 02 Mar" in conflict.words
    assert "there stays in the log" in conflict.words
    assert [r.raw for r in readings_of(two.ours, two.small.sweep.id)] == ["3"]
    rows = readings_of(two.ours, two.small.sweep.id, all_rows=True)
    assert {r.raw for r in rows} == {"1", "2", "3"}
    settle(two.ours, conflict, take="other")
    assert [r.raw for r in readings_of(two.ours, two.small.sweep.id)] == ["2"]


def test_marks_read_in_both_books_are_listed_and_one_counts(two: Two) -> None:
    """Found: both readings stood, the laptop's was shown, the report did not list them."""
    for book, values in ((two.ours, (18.0, 23.5)), (two.theirs, (19.0, 23.5))):
        for clock, thou in zip((180.0, 225.0), values, strict=True):
            take_reading(
                book, two.small.sweep.id, station_in=6, clock_deg=clock, value_in=thou / 1000,
                raw=f"{thou:g}",
            )  # fmt: skip
    report = merge_book(two.ours, two.theirs.path, dry_run=False)
    assert [(c.field, c.counts[:2], c.other[:2]) for c in report.conflicts] == [
        ("station 6 in, clock 180 deg", "19", "18")
    ]
    (one,) = report.conflicts
    assert one.counts.endswith("(laptop)"), one.counts
    assert one.other.endswith("(shop)"), one.other
    assert [r.raw for r in readings_of(two.ours, two.small.sweep.id)] == ["1", "19", "23.5"]
    assert len(readings_of(two.ours, two.small.sweep.id, all_rows=True)) == 5
    merge_book(two.theirs, two.ours.path, dry_run=False)
    shown = [r.id for r in readings_of(two.ours, two.small.sweep.id)]
    assert [r.id for r in readings_of(two.theirs, two.small.sweep.id)] == shown


def test_marks_read_in_both_books_stay_listed_until_they_are_settled(two: Two) -> None:
    """Found: after the report was closed nothing listed them again."""
    for book, thou in ((two.ours, 18), (two.theirs, 19)):
        take_reading(
            book, two.small.sweep.id, station_in=6, clock_deg=180.0, value_in=thou / 1000,
            raw=f"{thou}",
        )  # fmt: skip
    for _ in range(2):
        (one,) = merge_book(two.ours, two.theirs.path, dry_run=False).conflicts
    (left,) = open_conflicts(two.ours)
    assert left.name == "26-001, as received sweep"
    assert (left.field, left.counts, left.other) == (one.field, one.counts, one.other)
    settle(two.ours, left, take="other")
    assert [r.raw for r in readings_of(two.ours, two.small.sweep.id)] == ["1", "18"]
    assert open_conflicts(two.ours) == ()
    assert merge_book(two.ours, two.theirs.path, dry_run=False).conflicts == ()


def test_entries_on_a_job_that_was_closed_elsewhere_are_said(two: Two) -> None:
    jobs.set_state(two.ours, two.small.job.id, "returned")
    take_reading(
        two.theirs, two.small.sweep.id, station_in=6, clock_deg=90.0, value_in=0.002, raw="2"
    )
    for base, other in ((two.ours, two.theirs), (two.theirs, two.ours)):
        report = merge_book(base, other.path, dry_run=False)
        assert "26-001 was closed (returned)" in report.words
        assert "1 reading made after that at another bench came in" in report.words


def test_two_jobs_begun_on_one_shaft_at_two_benches_are_said(two: Two) -> None:
    jobs.set_state(two.ours, two.small.job.id, "returned")
    jobs.set_state(two.theirs, two.small.job.id, "returned")
    for book in (two.ours, two.theirs):
        jobs.start_job(book, shaft_id=two.small.shaft.id)
    words = merge_book(two.ours, two.theirs.path, dry_run=False).words
    assert re.search(r"26-002 and 26-002\w+ are open on the same shaft: go on in one", words)


@pytest.mark.slow
def test_a_killed_merge_leaves_no_copy_of_the_other_book(two: Two, tmp_path: Path) -> None:
    """Killed in the middle: nothing of the other book lies in the folder for temporary files."""
    away = tmp_path / "away"
    away.mkdir()
    path, other = two.ours.path, two.theirs.path
    code = (
        "import os, signal, sys\n"
        "from core.book.opening import open_book\n"
        "from core.book.upkeep import merge_rows\n"
        "from core.book.upkeep.merge import merge_book\n"
        "merge_rows.ROWS_A_STEP = 1\n"
        f"book = open_book({str(path)!r})\n"
        "def kill(done, total):\n"
        "    if done: os.kill(os.getpid(), signal.SIGKILL)\n"
        f"merge_book(book, {str(other)!r}, dry_run=False, progress=kill)\n"
    )
    env = os.environ | {"TMPDIR": str(away), "SQLITE_TMPDIR": str(away)}
    ran = subprocess.run([sys.executable, "-c", code], env=env, check=False)
    assert ran.returncode == -signal.SIGKILL
    assert list(away.iterdir()) == []


def test_a_removed_area_does_not_come_back(two: Two) -> None:
    (area,) = shafts.areas_of(two.ours, two.small.shaft.id)
    shafts.remove_area(two.ours, area.id)
    merge_book(two.ours, two.theirs.path, dry_run=False)
    assert shafts.areas_of(two.ours, two.small.shaft.id) == ()
    report = merge_book(two.theirs, two.ours.path, dry_run=False)
    assert "removed there" in report.words
    assert shafts.areas_of(two.theirs, two.small.shaft.id) == ()


def test_job_state_follows_with_its_dates(two: Two) -> None:
    jobs.set_state(two.theirs, two.small.job.id, "returned")
    report = merge_book(two.ours, two.theirs.path, dry_run=False)
    assert not report.conflicts
    assert jobs.job(two.ours, two.small.job.id) == jobs.job(two.theirs, two.small.job.id)


def test_a_customer_deleted_here_does_not_come_back(two: Two) -> None:
    privacy.erase_customer(two.ours, two.small.customer.id)
    jobs.add_note(two.theirs, job_id=two.small.job.id, text="Haldorsen called from 206 555-0142")
    customers.change_customer(two.theirs, two.small.customer.id, phone="206 555-0143")
    merge_book(two.ours, two.theirs.path, dry_run=False)
    held = repr(everything(two.ours))
    assert "Haldorsen" not in held
    assert "555-014" not in held


def test_a_dry_run_changes_nothing(two: Two) -> None:
    add_job(two.theirs, name="Norquist, Bo")
    customers.change_customer(two.theirs, two.small.customer.id, phone="555-0177")
    before, other = everything(two.ours), two.theirs.path.read_bytes()
    report = merge_book(two.ours, two.theirs.path)
    assert "would be" in report.words
    assert everything(two.ours) == before
    assert two.theirs.path.read_bytes() == other


def test_itself_newer_damaged_and_missing_are_refused(two: Two, tmp_path: Path) -> None:
    before = everything(two.ours)
    with pytest.raises(Refused, match="this very book"):
        merge_book(two.ours, two.ours.path, dry_run=False)
    link = tmp_path / "link.db"
    link.symlink_to(two.ours.path)
    with pytest.raises(Refused, match="this very book"):
        merge_book(two.ours, link, dry_run=False)
    newer = tmp_path / "newer.db"
    shutil.copyfile(two.ours.path, newer)
    con = sqlite3.connect(newer)
    con.execute("PRAGMA user_version = 99")
    con.close()
    with pytest.raises(NewerBook):
        merge_book(two.ours, newer, dry_run=False)
    two.theirs.checkpoint()
    damaged = tmp_path / "damaged.db"
    data = bytearray(two.theirs.path.read_bytes())
    data[4096 * 3 : 4096 * 30] = b"\x5a" * (4096 * 27)
    damaged.write_bytes(data)
    for place in (damaged, tmp_path / "none.db", tmp_path):
        with pytest.raises(BookError):
            merge_book(two.ours, place, dry_run=False)
    assert everything(two.ours) == before


def test_sweep_going_on_at_both_benches(two: Two) -> None:
    """Readings of one sweep taken on both sides come together."""
    more = add_sweep(two.theirs, two.small.job.id, "working")
    read_all(two.theirs, more)
    take_reading(two.ours, two.small.sweep.id, station_in=6, clock_deg=90, value_in=0.002, raw="2")
    merge_book(two.ours, two.theirs.path, dry_run=False)
    assert len(readings_of(two.ours, two.small.sweep.id)) == 2
    assert len(readings_of(two.ours, more.id)) == 12


def test_no_table_is_forgotten_by_merge_and_rescue(book: Book) -> None:
    made = {
        row[0]
        for row in book.rows("SELECT name FROM sqlite_master WHERE type = 'table'")
        if not row[0].startswith(("search_", "sqlite_", "_sqlite_"))
    }
    of_the_moment = {"draft", "presence"}  # left out of merges and rescues
    assert made == {*ENTERED, *of_the_moment}
    for table in WITH_ID:
        for reference in book.rows(f"PRAGMA foreign_key_list({table})"):
            assert ENTERED.index(reference[2]) <= ENTERED.index(table), (table, reference[2])
