"""Search as typed over all jobs ever done.

    for found in search.find(book, "hal 0142"):
        ...

Every piece typed must be met by a word that begins with it; jobs whose names, tag or phone match
come before those that match elsewhere, whole words before beginnings, and then the newest first.
When that finds too little, pieces inside words count, and then words one slip of the finger away.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from core.book.connection import Book
from core.book.search import words

LIMIT = 50
_LOOKED_AT = 120
"""Newest matches that are weighed against each other."""
_ENOUGH = 8
_LEAST_FOR_TYPO = 4
_MOST_WORDS = 40
_MOST_THIRDS = 8
_KEPT_READY = 5
"""Length of the beginnings that both word indexes keep (`schema_0002`)."""

Pieces = tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Found:
    """One job found."""

    job_id: str
    shaft_id: str
    tag: str
    state: str
    opened_at: str
    customer_name: str
    phone: str
    vessel_name: str
    position: str
    material: str
    diameter_in: float
    complaint: str
    how: str
    """'newest' (nothing typed), 'words', 'inside' or 'nearly' (one slip away)."""


def find(
    book: Book, typed: str, *, limit: int = LIMIT, one_per_shaft: bool = False
) -> tuple[Found, ...]:
    """Jobs for what has been typed so far, best first; only blanks or punctuation: the newest.

    `one_per_shaft` keeps the best (newest) job of each shaft, for intake.
    """
    pieces = words.pieces_of(typed)
    if not pieces:
        newest = _newest(book, limit * 2)
        return tuple(_rows(book, newest, "newest", limit, one_per_shaft)[:limit])
    known = [_known(book, piece) or _known(book, [words.JOINED + piece[0]]) for piece in pieces]
    picked = _by_words(book, pieces, known) if all(known) else []
    found = list(_rows(book, picked, "words", limit, one_per_shaft))
    # Of several pieces, parts of words and slips are looked for only when they find nothing as
    # they stand.
    enough = 1 if len(pieces) > 1 else _ENOUGH
    if len(found) < enough:
        _add(found, _rows(book, _inside(book, pieces), "inside", limit, one_per_shaft))
    if len(found) < enough:
        _add(found, _rows(book, _nearly(book, pieces, known), "nearly", limit, one_per_shaft))
    if one_per_shaft:
        found = _one_each(found)
    return tuple(found[:limit])


def _add(found: list[Found], more: Iterable[Found]) -> None:
    have = {one.job_id for one in found}
    found += [one for one in more if one.job_id not in have]


def _newest(book: Book, limit: int) -> list[int]:
    sql = "SELECT doc_no FROM search_doc ORDER BY doc_no DESC LIMIT ?"
    return [row[0] for row in book.rows(sql, (limit,))]


def _known(book: Book, piece: Sequence[str]) -> list[str]:
    """The piece as terms of a query, empty when no word of the book begins with it.

    The index keeps short beginnings ready. Of longer ones it would sort all places first, so the
    words themselves are asked for, unless they are too many.
    """
    terms: list[str] = []
    for beginning in piece:
        most = 1 if len(beginning) <= _KEPT_READY else _MOST_WORDS
        found = book.rows(
            "SELECT word FROM search_word WHERE word >= ? AND word < ? LIMIT ?",
            (beginning, beginning + chr(0x10FFFF), most),
        )
        if len(found) == most:
            terms.append(f'"{beginning}" *')
        else:
            terms += [f'"{row[0]}"' for row in found]
    return terms


def _by_words(book: Book, pieces: Pieces, known: Iterable[Sequence[str]]) -> list[int]:
    """Best of the newest matches: names first, then everything."""
    whole = _query([f'"{word}"' for word in piece] for piece in pieces)
    beginnings = _query(known)
    numbers = _match(book, "search_who", whole, LIMIT)
    numbers += _match(book, "search_who", beginnings, _LOOKED_AT)
    if len(set(numbers)) < LIMIT:
        numbers += _match(book, "search_all", beginnings, _LOOKED_AT)
    return _ranked(book, pieces, numbers)


def _query(terms: Iterable[Iterable[str]]) -> str:
    return " AND ".join("(" + " OR ".join(piece) + ")" for piece in terms)


def _match(book: Book, table: str, query: str, limit: int) -> list[int]:
    sql = f"SELECT rowid FROM {table} WHERE {table} MATCH ? ORDER BY rowid DESC LIMIT ?"
    return [row[0] for row in book.rows(sql, (query, limit))]


def _ranked(book: Book, pieces: Pieces, numbers: Iterable[int]) -> list[int]:
    """Document numbers, best first and then newest first."""
    wanted = tuple(set(numbers))
    marks = ", ".join("?" * len(wanted))
    texts = book.rows(f"SELECT doc_no, who, rest FROM search_doc WHERE doc_no IN ({marks})", wanted)
    forms = [[(f" {word} ", f" {word}") for word in piece] for piece in pieces]
    scored = [(_score(forms, f" {who} ", f" {rest} "), no) for no, who, rest in texts]
    return [number for _, number in sorted(scored, reverse=True)]


def _score(forms: list[list[tuple[str, str]]], who: str, rest: str) -> int:
    """How well a job meets the pieces, each given as (whole word, beginning) with blanks.

    `who` and `rest` have a blank at both ends.
    """
    total = 0
    for piece in forms:
        best = 1
        for whole, beginning in piece:
            if beginning in who:
                best = max(best, 4 if whole in who else 3)
            elif whole in rest:
                best = max(best, 2)
        total += best
    # The tag comes first among the names: typed in full it is the one job meant.
    return total + (8 if any(who.startswith(whole) for whole, _ in forms[0]) else 0)


def _inside(book: Book, pieces: Pieces) -> list[int]:
    """Jobs in which every piece is somewhere inside a word, newest first."""
    long = [piece[0] for piece in pieces if len(piece[0]) >= 3]
    if not long:
        return []
    thirds = list(dict.fromkeys(w[at : at + 3] for w in long for at in range(len(w) - 2)))
    step = -(-len(thirds) // _MOST_THIRDS)
    query = " AND ".join(f'"{third}"' for third in thirds[::step])
    numbers = _match(book, "search_part", query, _LOOKED_AT)
    marks = ", ".join("?" * len(numbers))
    texts = book.rows(
        f"SELECT doc_no, who || ' ' || rest FROM search_doc WHERE doc_no IN ({marks}) "
        "ORDER BY doc_no DESC",
        tuple(numbers),
    )
    return [no for no, text in texts if all(any(w in text for w in piece) for piece in pieces)]


def _nearly(book: Book, pieces: Pieces, known: Sequence[Sequence[str]]) -> list[int]:
    """Jobs in which a piece is one slip of the finger off, newest first.

    Pieces that no word of the book begins with are taken to be the slip; if there is none, each
    long enough piece may be.
    """
    unknown = [not terms for terms in known]
    wider: list[Sequence[str]] = []
    slips = 0
    for piece, terms in zip(pieces, known, strict=True):
        suspect = not terms or not any(unknown)
        near = _known_typos(book, piece[0]) if suspect and slips < 3 else []
        slips += bool(near)
        wider.append([*terms, *near])
    if not slips or not all(wider):
        return []
    return _match(book, "search_all", _query(wider), LIMIT)


def _known_typos(book: Book, word: str) -> list[str]:
    """The words of the book that begin with a word one slip away, as terms of a query."""
    if len(word) < _LEAST_FOR_TYPO or not word.isalpha():
        return []
    near = words.one_typo(word)
    marks = ", ".join("(?)" for _ in near)
    found = book.rows(
        f"WITH near (word) AS (VALUES {marks}) SELECT w.word FROM near CROSS JOIN search_word AS w "
        f"ON w.word >= near.word AND w.word < near.word || char(1114111) LIMIT {_MOST_WORDS}",
        near,
    )
    return [f'"{row[0]}"' for row in found]


def _one_each(found: Iterable[Found]) -> list[Found]:
    """The first of each shaft."""
    best: dict[str, Found] = {}
    for one in found:
        best.setdefault(one.shaft_id, one)
    return list(best.values())


def _rows(
    book: Book, numbers: Sequence[int], how: str, limit: int, one_per_shaft: bool
) -> list[Found]:
    """The jobs of these document numbers, in that order."""
    chosen = list(dict.fromkeys(numbers))[: limit * 2 if one_per_shaft else limit]
    marks = ", ".join("?" * len(chosen))
    by_number = {
        row[0]: row[1:]
        for row in book.rows(
            "SELECT doc_no, job.id, shaft.id, job.tag, job.state, job.opened_at, customer.name, "
            "customer.phone, vessel.name, shaft.position, shaft.material, shaft.diameter_in, "
            "job.complaint FROM search_doc JOIN job ON job.id = search_doc.job_id "
            "JOIN shaft ON shaft.id = job.shaft_id JOIN vessel ON vessel.id = shaft.vessel_id "
            f"JOIN customer ON customer.id = vessel.customer_id WHERE doc_no IN ({marks})",
            chosen,
        )
    }
    found = [Found(*(*by_number[number], how)) for number in chosen if number in by_number]
    return _one_each(found) if one_per_shaft else found
