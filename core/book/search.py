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

from core.book import words
from core.book.file import Book

LIMIT = 50
_NEWEST_LOOKED_AT = 240
_ENOUGH = 8
_LEAST_FOR_TYPO = 4
_MOST_TYPOS = 24

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
        return _rows(book, _newest(book, limit), "newest", limit, one_per_shaft)
    picked = _by_words(book, pieces)
    found = list(_rows(book, picked, "words", limit, one_per_shaft))
    for stage, how in ((_inside, "inside"), (_nearly, "nearly")):
        if len(found) >= _ENOUGH:
            break
        have = {one.job_id for one in found}
        more = _rows(book, stage(book, pieces), how, limit, one_per_shaft)
        shafts = {one.shaft_id for one in found} if one_per_shaft else set()
        found += [m for m in more if m.job_id not in have and m.shaft_id not in shafts]
    return tuple(found[:limit])


def _newest(book: Book, limit: int) -> list[int]:
    return [
        row[0]
        for row in book.rows("SELECT doc_no FROM search_doc ORDER BY doc_no DESC LIMIT ?", (limit,))
    ]


def _by_words(book: Book, pieces: Pieces) -> list[int]:
    """Best of the newest matches: names first, then everything."""
    beginnings = _query(pieces)
    numbers = _match(book, "search_who", _query(pieces, whole=True), LIMIT)
    numbers += _match(book, "search_who", beginnings, _NEWEST_LOOKED_AT)
    if len(set(numbers)) < _NEWEST_LOOKED_AT:
        numbers += _match(book, "search_all", beginnings, _NEWEST_LOOKED_AT)
    return _ranked(book, pieces, numbers)


def _query(pieces: Iterable[Sequence[str]], *, whole: bool = False) -> str:
    star = "" if whole else " *"
    return " AND ".join(
        "(" + " OR ".join(f'"{word}"{star}' for word in piece) + ")" for piece in pieces
    )


def _match(book: Book, table: str, query: str, limit: int) -> list[int]:
    sql = f"SELECT rowid FROM {table} WHERE {table} MATCH ? ORDER BY rowid DESC LIMIT ?"
    return [row[0] for row in book.rows(sql, (query, limit))]


def _ranked(book: Book, pieces: Pieces, numbers: Iterable[int]) -> list[int]:
    """Document numbers, best first and then newest first."""
    wanted = set(numbers)
    marks = ", ".join("?" * len(wanted))
    texts = book.rows(
        f"SELECT doc_no, who, rest FROM search_doc WHERE doc_no IN ({marks})", tuple(wanted)
    )
    scored = [(_score(pieces, who.split(), rest), doc_no) for doc_no, who, rest in texts]
    return [doc_no for _, doc_no in sorted(scored, reverse=True)]


def _score(pieces: Pieces, who: list[str], rest: str) -> int:
    total = 0
    for piece in pieces:
        if any(word in who for word in piece):
            total += 4
        elif any(name.startswith(piece) for name in who):
            total += 3
        elif any(f" {word} " in f" {rest} " for word in piece):
            total += 2
        else:
            total += 1
    # The tag stands first among the names: typed in full it is the one job meant.
    return total + (8 if who and who[0] in pieces[0] else 0)


def _inside(book: Book, pieces: Pieces) -> list[int]:
    """Jobs in which every piece stands somewhere inside a word, newest first."""
    long = [piece[0] for piece in pieces if len(piece[0]) >= 3]
    if not long:
        return []
    thirds = dict.fromkeys(word[at : at + 3] for word in long for at in range(len(word) - 2))
    query = " AND ".join(f'"{third}"' for third in thirds)
    numbers = _match(book, "search_part", query, _NEWEST_LOOKED_AT)
    marks = ", ".join("?" * len(numbers))
    texts = book.rows(
        f"SELECT doc_no, who || ' ' || rest FROM search_doc WHERE doc_no IN ({marks}) "
        "ORDER BY doc_no DESC",
        tuple(numbers),
    )
    return [no for no, text in texts if all(any(w in text for w in piece) for piece in pieces)]


def _nearly(book: Book, pieces: Pieces) -> list[int]:
    """Jobs in which one or more pieces are one slip of the finger off, newest first."""
    wider: list[Sequence[str]] = []
    for piece in pieces:
        word = piece[0]
        near = _known_typos(book, word) if len(word) >= _LEAST_FOR_TYPO else []
        wider.append((*piece, *near))
    if all(len(wide) == len(piece) for wide, piece in zip(wider, pieces, strict=True)):
        return []
    return _match(book, "search_all", _query(wider), LIMIT)


def _known_typos(book: Book, word: str) -> list[str]:
    """Of the words one slip away, those with which a word of the book begins."""
    if not word.isalpha():
        return []
    near = words.one_typo(word)
    marks = ", ".join("(?)" for _ in near)
    found = book.rows(
        f"WITH near (word) AS (VALUES {marks}) SELECT word FROM near WHERE EXISTS "
        "(SELECT 1 FROM search_word AS w WHERE w.word >= near.word "
        f"AND w.word < near.word || char(1114111)) LIMIT {_MOST_TYPOS}",
        near,
    )
    return [row[0] for row in found]


def _rows(
    book: Book, numbers: Sequence[int], how: str, limit: int, one_per_shaft: bool
) -> tuple[Found, ...]:
    """The jobs of these document numbers, in that order."""
    chosen = list(dict.fromkeys(numbers))[: limit * 4 if one_per_shaft else limit]
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
    found = [Found(*by_number[number], how) for number in chosen if number in by_number]
    if one_per_shaft:
        best: dict[str, Found] = {}
        for one in found:
            best.setdefault(one.shaft_id, one)
        found = list(best.values())
    return tuple(found[:limit])
