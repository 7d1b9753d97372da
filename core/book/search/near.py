"""What comes near: pieces inside words, and words one or two slips of the finger away."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from weakref import WeakKeyDictionary

from core.book.connection import Book
from core.book.search import words
from core.book.search.terms import (
    MOST_WORDS,
    Query,
    Words,
    few,
    is_met,
    match,
    match_parts,
    texts_of,
)

_LOOKED_AT = 120
_LISTED = 50
_MOST_THIRDS = 8
_LEAST_FOR_SLIPS = (4, 5)
"""Letters that must be typed before one slip, and two, are thought of."""
_MOST_SLIPPED = 3
"""Pieces that may have slips."""


def inside(book: Book, query: Query, *, alone: bool = True) -> list[int]:
    """Jobs in which every piece is somewhere inside a word, newest first."""
    longest = max((piece.text for piece in query.pieces), key=len, default="")
    parts = list(dict.fromkeys(longest[at : at + 3] for at in range(len(longest) - 2)))
    if not parts:
        return []
    step = -(-len(parts) // _MOST_THIRDS)
    numbers = match_parts(book, parts[::step], query.period, _LOOKED_AT)
    return [
        number
        for number, (who, rest) in texts_of(book, numbers).items()
        if all(is_met(who, p.marks) or (p.text and p.text in who + rest) for p in query.pieces)
    ]


def nearly(book: Book, query: Query, *, alone: bool = True) -> list[int]:
    """Jobs in which a piece is a slip of the finger off, newest first, and if nothing else was
    found (`alone`) then those with two slips.

    Pieces that no word of the book begins with are taken to be the slip; if there is none, each
    long enough piece may be.
    """
    two = _with_slips(book, query, 2) if alone else []
    return list(dict.fromkeys([*_with_slips(book, query, 1), *two]))


def _with_slips(book: Book, query: Query, most: int) -> list[int]:
    unknown = not query.known
    wider: list[Words] = []
    slipped = 0
    for piece in query.pieces:
        near: Words = ()
        if (not piece.loose or not unknown) and slipped < _MOST_SLIPPED:
            near = tuple(words_near(book, piece.text, most))
        slipped += bool(near)
        wider.append((*piece.loose, *near))
    if not slipped or not all(wider):
        return []
    texts = few(book, wider, query.period)
    if texts is None:
        return match(book, "search_all", wider, query.period, _LISTED)
    return [no for no, both in texts.items() if all(is_met("".join(both), p) for p in wider)]


def words_near(book: Book, typed: str, most: int) -> list[str]:
    """The words of the book that begin with something at most so many slips from what was typed,
    the nearest first."""
    if not typed.isalpha() or len(typed) < _LEAST_FOR_SLIPS[most - 1]:
        return []
    known = _vocabulary(book)
    looked, scored = known.near.get(typed, (0, []))
    if looked < most:
        slipped = slipped_beginnings(typed, known.texts, most)
        scored = sorted((slips, known.words[at]) for at, slips in slipped)[:MOST_WORDS]
        known.near[typed] = most, scored
    return [word for slips, word in scored if slips <= most]


@dataclass(frozen=True)
class _Vocabulary:
    """The words of the book that are made of letters, in order."""

    texts: list[str]
    words: list[str]
    """Each as the index has it."""
    near: dict[str, tuple[int, list[tuple[int, str]]]] = field(default_factory=dict)
    """For the words typed so far: the most slips looked for, slips and words found."""


_kept: WeakKeyDictionary[Book, tuple[object, _Vocabulary]] = WeakKeyDictionary()


def _vocabulary(book: Book) -> _Vocabulary:
    """Kept until something is stored."""
    version = (book.one("PRAGMA data_version"), book.con.total_changes)
    kept = _kept.get(book)
    if kept is None or kept[0] != version:
        every = [row[0] for row in book.rows("SELECT word FROM search_word WHERE word >= 'a'")]
        both = sorted((word.lstrip(words.JOINED), word) for word in every)
        plain = [pair for pair in both if pair[0].isalpha()]
        kept = version, _Vocabulary([text for text, _ in plain], [word for _, word in plain])
        _kept[book] = kept
    return kept[1]


def slipped_beginnings(typed: str, texts: Sequence[str], most: int) -> Iterator[tuple[int, int]]:
    """Numbers of the texts (in alphabetical order) that begin with something at most so many slips
    off what was typed, and how many slips.

    A slip is a letter left out, too much or wrong, or two neighbours exchanged (optimal string
    alignment). Texts with the same beginning share its work, and are passed over together as soon
    as it is too far off.
    """
    rows = [list(range(len(typed) + 1))]
    """For each length of the beginning: its slips off each length of what was typed."""
    best = [len(typed)]
    at, before = 0, ""
    while at < len(texts):
        text = texts[at]
        depth = 0
        while depth < len(rows) - 1 and text[depth : depth + 1] == before[depth]:
            depth += 1
        del rows[depth + 1 :], best[depth + 1 :]
        before = text
        while depth < len(text) and (best[-1] > most or min(rows[-1]) < best[-1]):
            rows.append(_next_row(typed, text[: depth + 1], rows, most))
            best.append(min(best[-1], rows[-1][-1]))
            depth += 1
            if min(rows[-1]) > most:
                break
        if best[-1] <= most:
            yield at, best[-1]
            at += 1
        elif min(rows[-1]) > most:
            at = bisect_left(texts, text[:depth] + chr(0x10FFFF), at)
        else:
            at += 1


def _next_row(typed: str, begun: str, rows: Sequence[list[int]], most: int) -> list[int]:
    """Slips of a beginning one letter longer off each length of what was typed."""
    letter, up, depth = begun[-1], rows[-1], len(begun)
    row = [most + 1] * (len(typed) + 1)
    row[0] = depth
    for to in range(max(1, depth - most), min(len(typed), depth + most) + 1):
        if typed[to - 1] == letter:
            row[to] = up[to - 1]
            continue
        cost = min(up[to - 1], up[to], row[to - 1]) + 1
        if depth > 1 and to > 1 and letter == typed[to - 2] and begun[-2] == typed[to - 1]:
            cost = min(cost, rows[-2][to - 2] + 1)
        row[to] = cost
    return row
