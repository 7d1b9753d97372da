"""Search as typed: what is found, in which order, and that the index keeps step."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.base.dial_unit import show_dial_in
from core.book import customers, jobs, shafts
from core.book.connection import Book
from core.book.opening import open_book
from core.book.search import find as search
from core.book.search import index as search_index
from tests.bench.search_speed import measure
from tests.support import big_book
from tests.support.book_helpers import SmallJob, add_job


@pytest.fixture
def three(book: Book) -> dict[str, SmallJob]:
    return {
        "hal": add_job(book, notes="keyway end peened"),
        "oy": add_job(book, name="Østby Fisheries", phone="(907) 555-0117", boat="Northern Skua"),
        "sea": add_job(
            book, name="O'Brien, Leif", phone="5550199", boat="Sea Breeze", complaint="vibrates"
        ),
    }


def tags(book: Book, typed: str) -> list[str]:
    return [found.tag for found in search.find(book, typed)]


@pytest.mark.parametrize(
    ("typed", "who"),
    [
        ("h", "hal"),
        ("hal", "hal"),
        ("HALDORSEN ines", "hal"),
        ("ines hald", "hal"),
        ("orsen", "hal"),
        ("petr", "hal"),
        ("26-001", "hal"),
        ("26001", "hal"),
        ("001", "hal"),
        ("0142", "hal"),
        ("206-555-0142", "hal"),
        ("(206) 555 0142", "hal"),
        ("206.555.01", "hal"),
        ("555-0142", "hal"),
        ("keyway", "hal"),
        ("peen", "hal"),
        ("haldrosen", "hal"),
        ("haldorsn", "hal"),
        ("jaldorsen", "hal"),
        ("haldoorsen", "hal"),
        ("haldprs", "hal"),
        ("ostby", "oy"),
        ("ØSTBY", "oy"),
        ("907", "oy"),
        ("0117", "oy"),
        ("skua fish", "oy"),
        ("norhtern", "oy"),
        ("obrien", "sea"),
        ("o'brien", "sea"),
        ("brien", "sea"),
        ("seabreeze", "sea"),
        ("sea bre", "sea"),
        ("0199", "sea"),
        ("vibr", "sea"),
        ("vibrates port", "sea"),
    ],
)
def test_finds(book: Book, three: dict[str, SmallJob], typed: str, who: str) -> None:
    assert tags(book, typed)[:1] == [three[who].job.tag]


@pytest.mark.parametrize("typed", ["1.25", "1-1/4", "1.250", "1 1/4", '1-1/4"', "S316", "s31600"])
def test_finds_material_and_diameter(book: Book, three: dict[str, SmallJob], typed: str) -> None:
    assert set(tags(book, typed)) == {small.job.tag for small in three.values()}


@pytest.mark.parametrize(("unit", "found"), [("thou", False), ("mm", True)])
def test_a_whole_number_is_millimetres_in_a_metric_shop(
    book: Book, small: SmallJob, unit: str, found: bool
) -> None:
    """Found: only '50 mm' found the shaft that the list shows with 50 mm."""
    show_dial_in(unit)
    shafts.change_shaft(book, small.shaft.id, diameter_in=50 / 25.4)
    assert tags(book, "50 mm") == [small.job.tag]
    assert tags(book, "50") == ([small.job.tag] if found else [])
    assert tags(book, "49") == []


@pytest.mark.parametrize("typed", ["1.5", "1-1/2", "zzz", "26-9", "0143"])
def test_does_not_find(book: Book, three: dict[str, SmallJob], typed: str) -> None:
    assert tags(book, typed) == []


@pytest.mark.parametrize("typed", ["", "   ", "---", "!?", '"', "'", "*", "()", "[/]", "\x00\x1b"])
def test_nothing_but_punctuation_gives_the_newest(
    book: Book, three: dict[str, SmallJob], typed: str
) -> None:
    assert tags(book, typed) == ["26-003", "26-002", "26-001"]


@pytest.mark.parametrize(
    "typed",
    [
        'a"b',
        "a OR b",
        "NEAR(a b)",
        "a*",
        "-a",
        "^a",
        "who:a",
        "a" * 500,
        "😀",
        "日本",
        "ä́",
        "% _",
        "a/",
    ],
)
def test_no_text_breaks_the_search(book: Book, three: dict[str, SmallJob], typed: str) -> None:
    search.find(book, typed)


def test_names_come_before_notes_and_newer_before_older(book: Book) -> None:
    first = add_job(book, name="Anker, Olga")
    add_job(book, name="Zander, Bo", complaint="lost the anker in the propeller")
    third = add_job(book, name="Anker, Bo")
    assert tags(book, "anker")[:2] == [third.job.tag, first.job.tag]
    assert len(tags(book, "anker")) == 3


def test_one_for_each_shaft(book: Book, small: SmallJob) -> None:
    jobs.set_state(book, small.job.id, "returned")
    again = jobs.start_job(book, shaft_id=small.shaft.id)
    assert tags(book, "hald") == [again.tag, small.job.tag]
    found = search.find_page(book, "hald", one_per_shaft=True).found
    assert [f.tag for f in found] == [again.tag]
    by_old_tag = search.find_page(book, small.job.tag, one_per_shaft=True).found
    assert [f.tag for f in by_old_tag] == [again.tag], "the last visit, whichever was found"


def test_index_follows_every_change(book: Book, small: SmallJob) -> None:
    customers.change_customer(book, small.customer.id, name="Quist, Pia", phone="555-0150")
    customers.change_vessel(book, small.vessel.id, name="Early Tern")
    shafts.change_shaft(book, small.shaft.id, material="N05500", diameter_in=2.0)
    jobs.change_job(book, small.job.id, complaint="whips at speed")
    jobs.add_note(book, job_id=small.job.id, text="taper blued eighty percent")
    for typed in ("quist", "0150", "tern", "n055", "2.000", "whips", "blued"):
        assert tags(book, typed) == [small.job.tag], typed
    for typed in ("0142", "petrel", "s316", "1.25", "log"):
        assert tags(book, typed) == [], typed
    assert tags(book, "haldorsen") == [small.job.tag], "the name before a correction finds it too"
    words = {row[0] for row in book.rows("SELECT word FROM search_word")}
    assert "quist" in words
    assert "petrel" not in words


def test_index_follows_what_another_program_wrote(book: Book, small: SmallJob) -> None:
    """Even a write by other means leaves the job on the list; the next write works it off."""
    book.con.execute("UPDATE customer SET name = 'Uldahl, Vera'")
    jobs.add_note(book, job_id=small.job.id, text="x")
    assert tags(book, "uldahl") == [small.job.tag]


def test_rebuild_gives_the_same_answers(book: Book, three: dict[str, SmallJob]) -> None:
    typed = ("h", "orsen", "1.25", "0117", "seabreeze", "")
    before = [tags(book, text) for text in typed]
    assert search_index.rebuild(book) == 3
    assert [tags(book, text) for text in typed] == before


@pytest.mark.slow
def test_fast_in_a_book_of_some_size(tmp_path: Path) -> None:
    """The full-size figure comes from `tests.bench.search_speed`; here only a gross slip shows."""
    with open_book(tmp_path / "big.db") as book:
        big_book.fill(book, 800, 3)
        assert len(search.find(book, "e")) == search.LIMIT
        last = book.one("SELECT tag FROM job ORDER BY opened_at DESC LIMIT 1")
        assert last is not None
        assert search.find(book, "")[0].tag == last[0]
        assert search.find(book, last[0])[0].tag == last[0]
        busy = sorted(own for _, own, _ in measure(book, ["albatross blue", "haldoresn", "1-1/4"]))
        assert busy[len(busy) // 2] < 15
