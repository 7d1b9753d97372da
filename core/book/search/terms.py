"""The pieces asked for as terms of the search index, and what the index answers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from core.book.connection import Book
from core.book.search import words
from core.book.search.typed import Period, Piece, SearchRequest

MOST_WORDS = 40
FEW_DOCUMENTS = 200
"""Fewer documents than this are compared one by one."""
_PROBED = 3
"""Pieces tried for that, the longest first."""
_KEPT_READY = 5
"""Length of the beginnings that both word indexes keep (`core.book.schema.m0002`)."""


Words = tuple[str, ...]
"""Words of the index, one of which must be met; one that ends in a star is a beginning."""
Ways = tuple[tuple[str, tuple[Words, ...]], ...]
"""Table to look in and what each piece must meet there."""


@dataclass(frozen=True)
class PieceWords:
    """One piece as words of the index, in three widths; without any the book has no such word."""

    text: str
    """The plain word as typed, without punctuation."""
    whole: Words = ()
    meant: Words = ()
    """What it means, or words that begin with it."""
    loose: Words = ()
    marks: Words = ()
    """The words of its meaning that the book has."""


@dataclass(frozen=True)
class Query:
    """All that must be met, in the period if there is one."""

    pieces: tuple[PieceWords, ...]
    period: Period | None
    before: Period | None
    """What lies in this period was found before, by another reading of what was typed."""

    @property
    def known(self) -> bool:
        """Whether the book has a word for each piece."""
        return all(piece.loose for piece in self.pieces)

    @property
    def ways(self) -> Ways:
        """Where to look for what, best matches first; each finds all that the one before finds."""
        if not self.pieces or not self.known:
            return ()
        found = (
            ("search_who", tuple(piece.whole for piece in self.pieces)),
            ("search_who", tuple(piece.meant for piece in self.pieces)),
            ("search_all", tuple(piece.loose for piece in self.pieces)),
        )
        return tuple(dict.fromkeys(way for way in found if all(way[1])))


def query_of(book: Book, asked: SearchRequest, before: Period | None = None) -> Query:
    """What was asked in terms of this book's index."""
    pieces = [terms for piece in asked.pieces for terms in _terms(book, piece)]
    return Query(tuple(pieces), asked.period, before)


def _terms(book: Book, piece: Piece) -> list[PieceWords]:
    marks = _in_book(book, piece.marks)
    if piece.exact:
        exact = marks or (begins_with(book, piece.half) if piece.half else ())
        if exact:
            return [PieceWords("", exact, exact, exact, exact)]
        marks = ()
    maybe = _in_book(book, piece.maybe)
    for beginning in piece.texts:
        begin = begins_with(book, beginning) or begins_with(book, words.JOINED + beginning)
        if begin:
            loose = (*begin, *marks, *maybe)
            meant = (*marks, beginning) if marks else begin
            return [PieceWords(beginning, (beginning,), meant, loose, marks)]
    text = piece.texts[0] if piece.texts else ""
    if piece.groups:
        return [terms for group in piece.groups for terms in _terms(book, group)]
    meant = marks or maybe
    return [PieceWords(text, meant, meant, meant, marks)]


def _in_book(book: Book, marks: Sequence[str]) -> tuple[str, ...]:
    if not marks:
        return ()
    places = ", ".join("?" * len(marks))
    found = book.rows(f"SELECT word FROM search_word WHERE word IN ({places})", marks)
    return tuple(str(row[0]) for row in found)


def begins_with(book: Book, beginning: str) -> Words:
    """The words of the book that begin so; empty when there is none.

    The index keeps short beginnings ready. Of longer ones it would sort all places first, so the
    words themselves are asked for, unless they are too many.
    """
    most = 1 if len(beginning) <= _KEPT_READY else MOST_WORDS
    found = book.rows(
        "SELECT word FROM search_word WHERE word >= ? AND word < ? LIMIT ?",
        (beginning, beginning + chr(0x10FFFF), most),
    )
    if len(found) == most:
        return (beginning + "*",)
    return tuple(str(row[0]) for row in found)


def match(
    book: Book, table: str, pieces: Sequence[Words], period: Period | None, limit: int
) -> list[int]:
    """Numbers of the documents in which every piece is met, newest first."""
    return _match(book, table, _together(pieces), period, limit)


def match_parts(book: Book, parts: Sequence[str], period: Period | None, limit: int) -> list[int]:
    """Numbers of the documents that hold all these parts of words, newest first."""
    return _match(book, "search_part", _together([(part,) for part in parts]), period, limit)


def _match(book: Book, table: str, query: str, period: Period | None, limit: int) -> list[int]:
    within, values = _within(period, "rowid")
    sql = f"SELECT rowid FROM {table} WHERE {table} MATCH ?{within} ORDER BY rowid DESC LIMIT ?"
    return [row[0] for row in book.rows(sql, (query, *values, limit))]


def _together(pieces: Iterable[Words]) -> str:
    terms = ([f'"{word.rstrip("*")}"' + " *" * word.endswith("*") for word in p] for p in pieces)
    return " AND ".join("(" + " OR ".join(one) + ")" for one in terms)


def few(
    book: Book, pieces: Sequence[Words], period: Period | None
) -> dict[int, tuple[str, str]] | None:
    """The documents of a piece that few have, newest first: words of names and other words, each
    with a blank at both ends. None when every piece is met in many: then let the index compare.

    The index reads the places of every piece to the end before it finds that they do not meet.
    """
    if len(pieces) < 2:
        return None
    longest = sorted(pieces, key=lambda words: -max(map(len, words)))
    for piece in longest[:_PROBED]:
        numbers = match(book, "search_all", [piece], period, FEW_DOCUMENTS)
        if len(numbers) < FEW_DOCUMENTS:
            return texts_of(book, numbers)
    return None


def texts_of(book: Book, numbers: Sequence[int]) -> dict[int, tuple[str, str]]:
    """Words of names and other words of documents, each with a blank at both ends."""
    marks = ", ".join("?" * len(numbers))
    sql = f"SELECT doc_no, who, rest FROM search_doc WHERE doc_no IN ({marks}) ORDER BY doc_no DESC"
    return {no: (f" {who} ", f" {rest} ") for no, who, rest in book.rows(sql, tuple(numbers))}


def is_met(text: str, piece: Words) -> bool:
    """Whether one of the words is in a text that has a blank at both ends."""
    return any((f" {word[:-1]}" if word[-1] == "*" else f" {word} ") in text for word in piece)


def newest(book: Book, period: Period | None, limit: int) -> list[int]:
    """Numbers of the newest documents (of a period)."""
    within, values = _within(period, "doc_no")
    sql = f"SELECT doc_no FROM search_doc WHERE 1{within} ORDER BY doc_no DESC LIMIT ?"
    return [row[0] for row in book.rows(sql, (*values, limit))]


def count(book: Book, queries: Sequence[Query]) -> int:
    """How many documents meet one of the readings; all of them when there is no reading."""
    if not queries:
        return _count(book, None, None)
    total = 0
    for query in queries:
        if query.known:
            last = query.ways[-1] if query.ways else None
            total += _count(book, last, query.period)
            total -= _count(book, last, query.before) if query.before else 0
    return total


def _count(book: Book, way: tuple[str, tuple[Words, ...]] | None, period: Period | None) -> int:
    within, values = _within(period, "doc_no" if way is None else "rowid")
    if way is None:
        row = book.one(f"SELECT count(*) FROM search_doc WHERE 1{within}", values)
    else:
        sql = f"SELECT count(*) FROM {way[0]} WHERE {way[0]} MATCH ?{within}"
        row = book.one(sql, (_together(way[1]), *values))
    return 0 if row is None else int(row[0])


def _within(period: Period | None, column: str) -> tuple[str, tuple[object, ...]]:
    if period is None:
        return "", ()
    return f" AND {column} >= ? AND {column} < ?", (period.first, period.end)
