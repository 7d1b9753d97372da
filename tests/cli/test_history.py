"""`shaftlog history`: what is found, how many, and what is said of each."""

from __future__ import annotations

import json
from pathlib import Path

from core.book import customers
from core.book.opening import open_book
from tests.support.command_fixtures import Shaftlog, assert_refused


def test_history_finds_and_says_when_it_does_not(shaftlog: Shaftlog, book: Path) -> None:
    ran = shaftlog("history", "vask", "--brief", "--book", book)
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert [line.split()[0] for line in lines[1:-1]] == ["26-002", "22-031"]
    assert lines[-1] == "2 jobs"
    assert "555-" not in ran.out
    assert "555-0111" in shaftlog("history", "vask", "--with-phone", "--book", book).out
    by_phone = shaftlog("history", "0111", "--brief", "--book", book).out.splitlines()
    assert [line[:6] for line in by_phone[1:3]] == ["26-002", "22-031"]
    near = shaftlog("history", "pelicna", "--book", book)
    assert near.code == 0
    assert "slip or two of the finger away" in near.out
    assert "Tin Pelican" in near.out
    ran = shaftlog("history", "nobody-by-this-name", "--book", book)
    assert ran.code == 1
    assert "nothing found" in ran.out
    records = json.loads(shaftlog("history", "second", "--json", "--book", book).out)
    assert {one["vessel"] for one in records} == {"Second Supper"}
    assert all("phone" not in one for one in records)


def test_history_says_when_it_was_here_what_was_done_and_why(
    shaftlog: Shaftlog, book: Path
) -> None:
    """Found: tag, day, names and state only, too little to choose by."""
    ran = shaftlog("history", "22-031", "--book", book)
    about = ran.out.splitlines()[2]
    for words in ("Visit 1 of 2", "in the shop now (26-002)", "hits", "TIR in", "out", "Complaint"):
        assert words in about, about


def test_history_counts_and_pages(shaftlog: Shaftlog, book: Path) -> None:
    """Found: `--most 500` gave 120, `--most 0` one; the list ended without a word."""
    words = ("history", "open", "--brief", "--book", book)
    every = shaftlog(*words, "--most", "500").out.splitlines()
    count = len(every) - 2
    assert count > 4
    assert every[-1] == f"{count} jobs"
    first = shaftlog(*words, "--most", "3").out.splitlines()
    assert first[-1] == f"{count} jobs; 1 to 3 listed, --skip 3 lists the next"
    rest = shaftlog(*words, "--skip", "3").out.splitlines()
    assert first[1:-1] + rest[1:-1] == every[1:-1]
    for most in ("0", "-1", "many"):
        assert_refused(shaftlog(*words, "--most", most), "--most")


def test_history_shows_hostile_names_harmlessly(shaftlog: Shaftlog, book: Path) -> None:
    with open_book(book) as open_one:
        someone = customers.customers(open_one)[0]
        customers.change_customer(open_one, someone.id, name="漢字 \u202e[/b]\x1b[2J" * 20)
    ran = shaftlog("history", "漢字", "--book", book)
    assert ran.code == 0
    assert all(c == "\n" or c.isprintable() for c in ran.out)
