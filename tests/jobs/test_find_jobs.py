"""A repeat customer walks in: found by year, size, alloy, outcome, side, phone and bad typing."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from core.book import customers, jobs, shafts
from core.book.connection import Book
from core.book.ids import IdMaker
from core.book.opening import open_book
from core.jobs.find_jobs import find_jobs
from tests.support.book_helpers import Ticker, add_job

# day, customer, phone, boat, place, material, diameter, outcome
_JOBS = (
    ("2018-12-30", "Smith, Ann", "912 555 0101", "Odd Kettle", "port", "S31600", 1.5),
    ("2019-02-10", "Smith, Ann", "912 555 0101", "Odd Kettle", "starboard", "S31600", 1.5),
    ("2019-06-01", "Smithers, Bo", "+1 (206) 555-0134", "Lucky Fork", "stbd", "C46400", 1.75),
    ("2019-11-20", "Barrow Towing", "0044 20 7946 0123", "Port Comma", "centre", "S20910", 2.5),
    ("2020-01-05", "Quill, Mo", "555-0177", "Bronze Star", "centre", "N05500", 2.0),
    ("2022-03-01", "Haldorsen, Ines", "3025550142", "June", "spare", "S17400", 30 / 25.4),
    ("2022-05-01", "Underhill, Jo", "555-2019", "Tin Ladle", "port outer", "C63000", 2.5625),
    ("2026-02-01", "Underhill, Jo", "555-2019", "Tin Ladle", "port outer", "C63000", 2.5),
    ("2026-02-20", "Vesterby, Kai", "555 0150", "Left Sock", "only one", "G10450", 1.0),
)
_ENDED = {"19-002": "replaced", "20-001": "returned", "26-002": "waiting"}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    now = Ticker()
    path: Path = tmp_path_factory.mktemp("find") / "shop.db"
    with open_book(path, now=now, new_id=IdMaker(now, Random(3).randbytes)) as book:
        for day, name, phone, boat, place, material, diameter_in in _JOBS:
            now.moment = datetime.fromisoformat(day).replace(hour=12, tzinfo=UTC)
            owner = customers.add_customer(book, name=name, phone=phone)
            vessel = customers.add_vessel(book, customer_id=owner.id, name=boat)
            shaft = shafts.add_shaft(
                book, vessel_id=vessel.id, position=place, material=material,
                diameter_in=diameter_in, length_in=90.0,
            )  # fmt: skip
            job = jobs.start_job(book, shaft_id=shaft.id)
            if job.tag != "26-001":
                jobs.set_state(book, job.id, _ENDED.get(job.tag, "released"))
        yield book


def tags(book: Book, typed: str) -> list[str]:
    return [one.tag for one in find_jobs(book, typed).found]


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("Feb 2026", ["26-002", "26-001"]),
        ("2026 february", ["26-002", "26-001"]),
        ("20 feb 2026", ["26-002"]),
        ("2026-02", ["26-002", "26-001"]),
        ("smith 2019 stbd", ["19-002", "19-001"]),
        ("stbd smith 2019", ["19-002", "19-001"]),
        ("june 2022", ["22-001"]),
        ("released 2019", ["19-003", "19-001", "22-002"]),
        ("2031", []),
        ("smith 2022", []),
    ],
)
def test_by_year_and_month(shop: Book, typed: str, expected: list[str]) -> None:
    """Found: '2019' found tags that end so, 'Feb 2026' and a name with a year found nothing."""
    assert tags(shop, typed) == expected


def test_a_year_comes_before_the_phone_number_that_ends_so(shop: Book) -> None:
    page = find_jobs(shop, "2019")
    found = [one.tag for one in page.found]
    assert found == ["19-003", "19-002", "19-001", "26-001", "22-002"]
    assert (page.sure, page.total) == (3, 5)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("1-3/4", ["19-002"]),
        ("1.75", ["19-002"]),
        ("1 3/4 in", ["19-002"]),
        ('1-3/4"', ["19-002"]),
        ("1¾", ["19-002"]),
        ("44.45 mm", ["19-002"]),
        ("2.5", ["26-001", "19-003"]),
        ("2,5", ["26-001", "19-003"]),
        ("2-9/16", ["22-002"]),
        ("2.56", ["22-002"]),
        ("2.", ["20-001"]),
        ("2 in", ["20-001"]),
        ("44.4 mm", ["19-002"]),
        ("30 mm", ["22-001"]),
        ("30mm", ["22-001"]),
        ("1.1811", ["22-001"]),
        ("63.5", ["26-001", "19-003"]),
        ("2.5 stbd", []),
        ("2.5 open", ["26-001"]),
    ],
)
def test_by_size_that_size_and_no_other(shop: Book, typed: str, expected: list[str]) -> None:
    """Found: '2.5' listed the tags of 2025 first, '1-3/4' the tags that hold 134."""
    assert tags(shop, typed) == expected


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("naval brass", {"19-002"}),
        ("nickel aluminum bronze", {"26-001", "22-002"}),
        ("aluminium bronze", {"26-001", "22-002"}),
        ("nab", {"26-001", "22-002"}),
        ("nitrogen-strengthened stainless", {"19-003"}),
        ("22-13-5", {"19-003"}),
        ("17-4ph", {"22-001"}),
        ("17-4 ph", {"22-001"}),
        ("stainless", {"22-001", "19-003", "19-001", "18-001"}),
        ("stainl", {"22-001", "19-003", "19-001", "18-001"}),
        ("316", {"19-001", "18-001"}),
        ("type 316", {"19-001", "18-001"}),
        ("carbon steel", {"26-002"}),
        ("1045", {"26-002"}),
        ("nickel copper", {"20-001"}),
        ("UNS N05500", {"20-001"}),
    ],
)
def test_by_the_common_name_of_an_alloy(shop: Book, typed: str, expected: set[str]) -> None:
    assert set(tags(shop, typed)) == expected


def test_a_name_comes_before_the_alloy_of_that_name(shop: Book) -> None:
    assert tags(shop, "bronze") == ["20-001", "26-001", "22-002", "19-002"]


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("replaced", ["19-002"]),
        ("returned", ["20-001"]),
        ("waiting", ["26-002"]),
        ("open", ["26-001"]),
        ("closed 2019", ["19-003", "19-002", "19-001", "22-002"]),
        ("stbd", ["19-002", "19-001"]),
        ("starboard", ["19-002", "19-001"]),
        ("center", ["20-001", "19-003"]),
        ("port", ["19-003", "26-001", "22-002", "18-001"]),
        ("port released", ["22-002", "19-003", "18-001"]),
    ],
)
def test_by_outcome_and_side(shop: Book, typed: str, expected: list[str]) -> None:
    """A boat called Port comes before the shafts on the port side."""
    assert tags(shop, typed) == expected


@pytest.mark.parametrize(
    "typed",
    [
        "912 555 0101",
        "912-555-0101",
        "(912) 555-0101",
        "912.555.0101",
        "9125550101",
        "+1 912 555 0101",
        "1-912-555-0101",
        "+19125550101",
        "001 912 555 0101",
        "555 0101",
        "5550101",
        "0101",
        "+1 912",
        "912 555 0101 smith",
    ],
)
def test_by_a_phone_number_however_written(shop: Book, typed: str) -> None:
    """Found: with the country code the newest job was lost, since '+1' had to begin a word."""
    assert tags(shop, typed) == ["19-001", "18-001"]


@pytest.mark.parametrize(
    ("typed", "tag"),
    [
        ("206 555 0134", "19-002"),
        ("+1 206 555 0134", "19-002"),
        ("020 7946 0123", "19-003"),
        ("+44 20 7946 0123", "19-003"),
        ("302-555-0142", "22-001"),
    ],
)
def test_by_a_phone_number_stored_in_other_ways(shop: Book, typed: str, tag: str) -> None:
    assert tags(shop, typed) == [tag]


@pytest.mark.parametrize(
    "typed",
    ["haldrosne", "hadlorsem", "jaldorsn", "aldorsenn", "hxldxrsen", "haldorsen inez", "ahdlorsen"],
)
def test_two_slips_of_the_finger_in_a_name(shop: Book, typed: str) -> None:
    page = find_jobs(shop, typed)
    assert [one.tag for one in page.found] == ["22-001"]
    assert page.near == 1


def test_three_slips_are_another_name(shop: Book) -> None:
    assert tags(shop, "hxldxrsxn") == []


def test_a_state_that_changes_is_found_at_once(tmp_path: Path) -> None:
    with open_book(tmp_path / "b.db", now=Ticker()) as book:
        job = add_job(book).job
        assert tags(book, "released") == []
        jobs.set_state(book, job.id, "released")
        assert tags(book, "released") == [job.tag]
        assert tags(book, "open") == []


def test_each_visit_is_found_by_its_own_size_and_shown_with_its_own_owner(tmp_path: Path) -> None:
    with open_book(tmp_path / "b.db", now=Ticker()) as book:
        small = add_job(book, name="Quill, Mo", boat="Gray Mitten")
        shaft, vessel, first = small.shaft, small.vessel, small.job
        jobs.set_state(book, first.id, "released")
        second = jobs.start_job(book, shaft_id=shaft.id)
        shafts.change_shaft(book, shaft.id, why="turned down", diameter_in=1.2)
        customers.sold_to(book, vessel.id, name="New Owner Nell")
        assert tags(book, "1.25") == [first.tag]
        assert tags(book, "1.2") == [second.tag]
        names = {one.tag: one.customer_name for one in find_jobs(book, "mitten").found}
        assert names == {first.tag: "Quill, Mo", second.tag: "New Owner Nell"}


def test_contact_and_nickname_are_searched(tmp_path: Path) -> None:
    with open_book(tmp_path / "b.db", now=Ticker()) as book:
        small = add_job(book)
        customers.change_customer(
            book, small.customer.id, email="mo@example.com", address="7 Dock Street",
            notes="the yellow tug",
        )  # fmt: skip
        for typed in ("mo@example.com", "dock street", "yellow"):
            assert tags(book, typed) == [small.job.tag], typed


def test_pages_hold_every_job_once_in_one_order(tmp_path: Path) -> None:
    """Found: 4,519 boats of one name, 50 listed, and not a word of the others."""
    now = Ticker(3600.0)
    with open_book(tmp_path / "b.db", now=now) as book, book.write():
        owner = customers.add_customer(book, name="Quill, Mo")
        vessel = customers.add_vessel(book, customer_id=owner.id, name="Lucky Spoon")
        shaft = shafts.add_shaft(
            book, vessel_id=vessel.id, position="", material="", diameter_in=2.0, length_in=90.0
        )
        for _ in range(130):
            jobs.set_state(book, jobs.start_job(book, shaft_id=shaft.id).id, "released")
    with open_book(tmp_path / "b.db", now=now) as book:
        for typed in ("lucky", "lu", "2.0", "2026", "", "released quill"):
            whole = [one.tag for one in find_jobs(book, typed, limit=500).found]
            assert len(set(whole)) == len(whole) == 130, typed
            paged = []
            for first in range(0, 150, 50):
                page = find_jobs(book, typed, first=first)
                assert page.total == 130
                paged += [one.tag for one in page.found]
            assert paged == whole, typed
        few = find_jobs(book, "lucky", counted=False)
        assert (len(few.found), few.total, few.at_least) == (50, 50, True)
