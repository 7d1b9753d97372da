"""Paper cards of earlier years: read, taken in once, found, taken up by a new visit, erased."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from core.base.dial_unit import show_dial_in
from core.base.errors import ShaftlogError, Stopped
from core.book import customers, shafts
from core.book.cards import old_cards
from core.book.cards.card_search import rebuild_cards
from core.book.connection import Book
from core.book.opening import open_book
from core.book.privacy.erase import customer_by_words, erase_customer
from core.book.upkeep import stoppable
from core.book.upkeep.check import check_book
from core.book.upkeep.merge import merge_book
from core.jobs.card_import import read_cards
from core.jobs.card_import.card_words import first_cards
from core.jobs.card_import.read_cards import (
    diameter_of,
    first_columns,
    headings_of,
    parse_card_columns,
    read_card_file,
    year_of,
)
from core.jobs.card_import.store_cards import CardPlan, plan_cards, read_for, store_cards
from core.jobs.find_jobs import find_cards

FILE = """customer,vessel,shaft,size,year,outcome,note
Haldorsen,Gannet,port,1-3/4 x 96,1998,straightened,hit a rock
Haldorsen,Gannet,stbd,1-3/4,1998,returned,
Haldorsen,Gannet,port,1.75,2004,replaced,worn; Haldorsen paid
Vask,Tin Pelican,,50 mm,ca 80,scrap,
,,,,1999,,nobody
haldorsen , GANNET,port,1-3/4 x 96,1998,straightened,hit a rock
"""


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(tmp_path / "shop.db") as one:
        yield one


def take_in(book: Book, text: str = FILE) -> CardPlan:
    plan = plan_cards(book, read_for(book, text.encode(), "cards.csv", {}), "cards.csv")
    store_cards(book, plan, {})
    return plan


def found(book: Book, typed: str) -> list[tuple[int | None, str]]:
    return [(one.card.year, one.card.shaft) for one in find_cards(book, typed)]


def test_what_is_left_out_is_listed(book: Book) -> None:
    plan = take_in(book)
    assert [len(plan.cards), len(plan.customers)] == [4, 2]
    assert (plan.doubled, plan.empty, plan.undated) == ((7,), (6,), (5,))
    for words in ("4 cards came in", "(line 7)", "(line 6)", "(line 5)"):
        assert words in plan.words(done=True)
    vask = next(one for one in plan.cards if one.vessel == "Tin Pelican")
    assert (vask.year, vask.note) == (None, "Year on the card: ca 80")
    again = take_in(book)
    assert (again.cards, again.customers, len(again.doubled)) == ((), (), 5)


def test_the_first_lines_show_how_they_are_understood() -> None:
    """Found: a column taken for another one was seen only after all cards were in."""
    shown = first_cards(read_card_file(FILE.encode(), "cards.csv", {})).splitlines()
    assert shown[1] == (
        "  line 2: 1998: Haldorsen, Gannet, port, 1-3/4 x 96 (1-3/4 in diameter), straightened, "
        "hit a rock"
    )
    vague = FILE.replace("1-3/4 x 96", "about two").replace("1998", "")
    shown = first_cards(read_card_file(vague.encode(), "cards.csv", {})).splitlines()
    assert "no year: Haldorsen, Gannet, port, about two (no diameter)" in shown[1]


def test_found_as_jobs_are(book: Book) -> None:
    take_in(book)
    assert found(book, "hald 1998 stbd") == [(1998, "stbd")]
    assert found(book, "1.75 port") == [(2004, "port"), (1998, "port")]
    assert found(book, "50 mm") == [(None, "")]
    assert found(book, "replaced") == [(2004, "port")]
    assert found(book, "rock gannet") == [(1998, "port")]
    assert sorted(found(book, "1998")) == [(1998, "port"), (1998, "stbd")]
    assert found(book, "") == found(book, "zzz") == []
    before = found(book, "gannet")
    assert rebuild_cards(book) == 4
    assert found(book, "gannet") == before


@pytest.mark.parametrize("read_only", [False, True])
def test_a_long_beginning_finds_all_words_that_begin_so(book: Book, read_only: bool) -> None:
    """Words past the beginnings that the index keeps are asked for one by one."""
    text = "customer,vessel\nStraightline,A\nStraightner,B\nStrait,C\n"
    take_in(book, text)
    with book.reopen(read_only=read_only) as own:
        for typed, count in (("straigh", 2), ("straightn", 1), ("straightx", 0), ("strai", 3)):
            assert len(find_cards(own, typed)) == count


def test_a_renamed_customer_is_found_by_the_new_name(book: Book) -> None:
    take_in(book)
    who = customer_by_words(book, "Haldorsen")
    customers.change_customer(book, who.id, name="Brisk Ferries")
    assert len(found(book, "brisk")) == 3
    assert found(book, "haldorsen port 1998") == []


@pytest.mark.parametrize(
    ("size", "diameter_in"),
    [("1-3/4 x 96", 1.75), ("50 mm", 50 / 25.4), ("2", 2.0), ("45", None), ("?", None), ("", None),
     ("1 1/2 by 60", 1.5), ("1.75in", 1.75)],
)  # fmt: skip
def test_sizes_are_read_or_left_alone(size: str, diameter_in: float | None) -> None:
    assert diameter_of(size) == (None if diameter_in is None else pytest.approx(diameter_in))


@pytest.mark.parametrize(
    ("size", "mm"),
    [("45", 45.0), ("50 x 2400", 50.0), ("38,1", 38.1), ("1-3/4 x 96", 44.45), ("2 in", 50.8),
     ("1.75", None), ("5000", None)],
)  # fmt: skip
def test_sizes_on_the_cards_of_a_metric_shop_are_in_mm(size: str, mm: float | None) -> None:
    """Found: '50' was 50 inches and not read, '2.5' was read as inches."""
    show_dial_in("mm")
    assert diameter_of(size) == (None if mm is None else pytest.approx(mm / 25.4))


@pytest.mark.parametrize(
    ("text", "year"),
    [("1998", 1998), ("12/5/1998", 1998), ("98", None), ("1997 or 1998", None), ("19981", None)],
)
def test_years_are_read_or_left_alone(text: str, year: int | None) -> None:
    assert year_of(text) == year


def test_other_headings_and_other_signs_between_columns(book: Book) -> None:
    mapping = parse_card_columns(["customer=Owner", "vessel=Boat name", "size=Dia"])
    data = "Owner;Boat name;Dia\nPell;Umbrella;1,5 in\n".encode("utf-16")
    file = read_card_file(data, "f", mapping)
    assert (file.cards[0].customer, file.cards[0].vessel) == ("Pell", "Umbrella")
    plan = plan_cards(book, file, "f")
    store_cards(book, plan, mapping)
    assert plan_cards(book, read_for(book, data, "f", {}), "f").doubled == (2,)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name,boat\nx,y\n", "line 1: no column is called customer or vessel; it has name, boat"),
        ("customer\n", "a header but no card"),
        ('customer\n"x', ""),
    ],
)
def test_files_that_are_none(text: str, words: str) -> None:
    if not words:
        assert read_card_file(text.encode(), "f", {}).cards[0].customer == "x"
        return
    with pytest.raises(ShaftlogError, match=words):
        read_card_file(text.encode(), "f", {})


def test_stopped_halfway_nothing_is_stored(book: Book) -> None:
    plan = plan_cards(book, read_for(book, FILE.encode(), "f", {}), "f")

    def stop(*_: object) -> None:
        raise ShaftlogError("stopped")

    with pytest.raises(ShaftlogError):
        store_cards(book, plan, {}, stop)
    assert old_cards.all_cards(book) == ()
    assert customers.customers(book) == ()


def test_the_progress_of_cards_runs_from_reading_to_the_index(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Found: stopping while the cards were made findable was not possible."""
    monkeypatch.setattr(read_cards, "LINES_A_REPORT", 1)
    monkeypatch.setattr(stoppable, "STEPS_A_REPORT", 10)
    seen: list[float] = []

    def note(done: int, of: int) -> None:
        assert 0 <= done <= of
        seen.append(done / of)

    file = read_for(book, FILE.encode(), "f", {}, note)
    plan = plan_cards(book, file, "f", note)
    seen.clear()
    with pytest.raises(Stopped):
        store_cards(book, plan, {}, stop_after(0.45))
    assert old_cards.all_cards(book) == ()
    store_cards(book, plan, {}, note)
    assert seen[-1] == 1.0
    assert any(0.4 < share < 1.0 for share in seen)


def stop_after(share: float) -> Callable[[int, int], None]:
    def stop(done: int, of: int) -> None:
        if done > share * of:
            raise Stopped("Stopped.")

    return stop


def test_the_headings_of_a_file_are_found_under_the_names_used_last() -> None:
    headings = headings_of("\ufeffOwner;Boat name;Note\nx;y;z\n".encode(), "f")
    assert headings == ("Owner", "Boat name", "Note")
    found = first_columns(headings, {"customer": "owner", "year": "Date"})
    assert {name: heading for name, heading in found.items() if heading} == {
        "customer": "Owner", "note": "Note"
    }  # fmt: skip


def test_a_new_visit_takes_up_all_cards_of_the_place(book: Book) -> None:
    take_in(book)
    (card, *_) = find_cards(book, "hald port 1998")
    vessel = customers.add_vessel(book, customer_id=card.card.customer_id, name="Gannet")
    shaft = shafts.add_shaft(book, vessel_id=vessel.id, diameter_in=1.75, length_in=96)
    assert old_cards.take_up(book, card.card.id, shaft.id) == 2
    assert [one.year for one in old_cards.cards_of_shaft(book, shaft.id)] == [2004, 1998]


def test_erased_with_the_customer_and_not_taken_in_again(book: Book) -> None:
    take_in(book)
    who = customer_by_words(book, "Haldorsen")
    erase_customer(book, who.id)
    assert found(book, "haldorsen") == []
    assert "Haldorsen" not in " ".join(one.note for one in old_cards.all_cards(book))
    assert len(found(book, "gannet")) == 3
    again = take_in(book)
    assert (len(again.erased), len(again.doubled)) == (4, 1)
    assert b"aldorsen" not in Path(book.path).read_bytes()


def test_two_sites_that_took_the_same_cards_in_have_them_once(tmp_path: Path, book: Book) -> None:
    with open_book(tmp_path / "other.db") as other:
        take_in(other)
        take_in(other, "customer,note\nPell,only there\n")
    take_in(book)
    merge_book(book, tmp_path / "other.db", dry_run=False)
    assert len(old_cards.all_cards(book)) == 5
    assert len(customers.customers(book)) == 3
    assert len(found(book, "pell")) == 1
    book.checkpoint()
    assert check_book(book.path).sound
