"""Search as typed over the old cards: the same words, sizes, sides and years as over the jobs.

    for found in find_cards(book, "hal 1998 stbd"):
        ...

A card has a year and no day: its document number is a minute of that year's second half, so that a
year typed finds it and a month does not promise what no card says. Newest first.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from core.base.records import OldCard
from core.base.shop_records import NOT_NAMED
from core.book import rows
from core.book.connection import Book
from core.book.search import words
from core.book.search.changed import work_off
from core.book.search.terms import MOST_WORDS, Words, match
from core.book.search.typed import NO_ALLOYS, AlloyNames, Period, Piece, what_is_asked

CARDS_LISTED = 50
_KEPT_READY = 5
"""Length of the beginnings that the index keeps (`core.book.schema.m0012`)."""
_VOCABULARY = (
    "CREATE VIRTUAL TABLE IF NOT EXISTS temp.search_card_word "
    "USING fts5vocab (main, search_card, row)"
)
_UNDATED = 1900
"""Cards without a year are in the search as of this one, behind all others."""
_COLUMNS = ", ".join(f"old_card.{name}" for name in rows.columns(OldCard))
_SOURCE = (
    f"SELECT customer.name, {_COLUMNS} FROM old_card "
    "JOIN customer ON customer.id = old_card.customer_id"
)


@dataclass(frozen=True)
class FoundCard:
    """One card and whose it is."""

    card: OldCard
    customer_name: str


def find_cards(
    book: Book, typed: str, *, limit: int = CARDS_LISTED, alloys: AlloyNames = NO_ALLOYS
) -> tuple[FoundCard, ...]:
    """The newest cards that have everything typed; none for an empty line."""
    numbers: dict[int, None] = {}
    for asked in what_is_asked(typed, alloys):
        pieces = [one for piece in asked.pieces if (one := _piece_words(book, piece))]
        if pieces:
            met = match(book, "search_card", pieces, asked.period, limit)
        else:
            met = _of_period(book, asked.period, limit)
        numbers.update(dict.fromkeys(met))
    return _rows(book, list(numbers)[:limit])


def _piece_words(book: Book, piece: Piece) -> Words:
    """What a card may have for one thing typed: its meanings, or words that begin so."""
    typed = (text for text in (*piece.texts, piece.half) if text)
    begins = [word for text in typed for word in _words_beginning(book, text)]
    if piece.exact and piece.marks:
        return piece.marks
    return tuple(dict.fromkeys((*begins, *piece.marks, *piece.maybe)))


def _words_beginning(book: Book, beginning: str) -> Words:
    """The words of the cards that begin so, or the beginning itself with a star.

    The index keeps short beginnings ready; of longer ones it would sort all their places first,
    thirty times as long as it takes for the words themselves.
    """
    if len(beginning) > _KEPT_READY and not book.read_only:  # it is a table of this connection
        book.con.execute(_VOCABULARY)
        found = book.rows(
            "SELECT term FROM temp.search_card_word WHERE term >= ? AND term < ? LIMIT ?",
            (beginning, beginning + chr(0x10FFFF), MOST_WORDS),
        )
        if 0 < len(found) < MOST_WORDS:
            return tuple(str(row[0]) for row in found)
    return (f"{beginning}*",)


def _of_period(book: Book, period: Period | None, limit: int) -> list[int]:
    if period is None:
        return []
    within = "doc_no >= ? AND doc_no < ? ORDER BY doc_no DESC LIMIT ?"
    sql = f"SELECT doc_no FROM search_card_doc WHERE {within}"
    return [row[0] for row in book.rows(sql, (period.first, period.end, limit))]


def _rows(book: Book, numbers: list[int]) -> tuple[FoundCard, ...]:
    marks = ", ".join("?" * len(numbers))
    found = book.rows(
        f"SELECT doc_no, customer.name, {_COLUMNS} FROM search_card_doc "
        "JOIN old_card ON old_card.id = card_id "
        f"JOIN customer ON customer.id = old_card.customer_id WHERE doc_no IN ({marks})",
        numbers,
    )
    by_number = {row[0]: FoundCard(rows.from_row(OldCard, row[2:]), row[1]) for row in found}
    return tuple(by_number[number] for number in numbers if number in by_number)


def catch_up_cards(book: Book) -> int:
    """Bring the index of the cards up to date with `search_card_todo`; how many were looked at."""
    return work_off(
        book,
        "search_card_todo",
        "card_id",
        source=f"{_SOURCE} WHERE old_card.id = ?",
        take_out=_take_out,
        put_in=_put_in,
        rebuild=rebuild_cards,
    )


def rebuild_cards(book: Book) -> int:
    """Make the index of the cards again; how many cards."""
    with book.write() as con:
        con.execute("INSERT INTO search_card (search_card) VALUES ('delete-all')")
        con.execute("DELETE FROM search_card_doc")
        con.execute("DELETE FROM search_card_todo")
        con.executemany("INSERT INTO search_card_doc VALUES (?, ?, ?)", _documents(con))
        con.execute("INSERT INTO search_card (search_card) VALUES ('rebuild')")
        return int(con.execute("SELECT count(*) FROM search_card_doc").fetchone()[0])


def _documents(con: Any) -> Iterable[tuple[int, str, str]]:
    last_no = None
    for source in con.execute(f"{_SOURCE} ORDER BY old_card.year, old_card.id"):
        card = rows.from_row(OldCard, source[1:])
        number = _first_number(card)
        last_no = number if last_no is None else max(number, last_no + 1)
        yield last_no, card.id, _line(source[0], card)


def _put_in(con: Any, source: tuple[Any, ...]) -> None:
    card = rows.from_row(OldCard, source[1:])
    number, line = _first_number(card), _line(source[0], card)
    while con.execute("SELECT 1 FROM search_card_doc WHERE doc_no = ?", (number,)).fetchone():
        number += 1
    con.execute("INSERT INTO search_card_doc VALUES (?, ?, ?)", (number, card.id, line))
    con.execute("INSERT INTO search_card (rowid, words) VALUES (?, ?)", (number, line))


def _take_out(con: Any, card_id: str) -> None:
    doc = con.execute(
        "SELECT doc_no, words FROM search_card_doc WHERE card_id = ?", (card_id,)
    ).fetchone()
    if doc is not None:
        con.execute(
            "INSERT INTO search_card (search_card, rowid, words) VALUES ('delete', ?, ?)", doc
        )
        con.execute("DELETE FROM search_card_doc WHERE doc_no = ?", (doc[0],))


def _first_number(card: OldCard) -> int:
    year = _UNDATED if card.year is None else card.year
    return int((datetime(year, 7, 1) - datetime(1970, 1, 1)).total_seconds() // 60)


def _line(customer_name: str, card: OldCard) -> str:
    """The words of a card."""
    name = "" if customer_name == NOT_NAMED else customer_name
    text = " ".join((name, card.vessel, card.shaft, card.size, card.outcome, card.note))
    outcome = card.outcome.casefold()
    found = [
        *words.words_of(text),
        words.joined(name),
        words.joined(card.vessel),
        *words.side_marks(card.shaft),
        *(mark for word in outcome.split() for mark in words.state_marks(word)),
        *(words.size_marks(card.diameter_in) if card.diameter_in else ()),
        *([] if card.year is None else [str(card.year)]),
    ]
    return " ".join(dict.fromkeys(word for word in found if word))
