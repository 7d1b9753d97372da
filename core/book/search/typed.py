"""From what people type to search for: words, sizes, a time, sides, outcomes, phone numbers.

Plain words in any order. A piece with a meaning of its own (`2.5`, `30 mm`, `stbd`, `released`)
also names the words of the index that say the same (`core.book.search.words`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from core.base.errors import BadNumber
from core.base.units import MM_PER_IN, length_unit, parse_length_in
from core.book.search.words import (
    MARK,
    decimal_mark,
    fold,
    side_marks,
    size_marks,
    squeeze,
    state_marks,
)

MOST_PIECES = 8
_MOST_TYPED = 200
_MOST_SIZE_IN = 100.0
_EXACT_IN = 1e-6
_MM_OFF_IN = 0.002
"""A size typed in millimetres is a stock size in inches this near to it (22.2 mm is 7/8 in)."""
_MOST_WHOLE_IN = 24
"""A whole number up to here may be a size too."""
_LEAST_WHOLE_MM = 10
"""In a metric shop a whole number from here on may be a size in mm."""
_ALLOY_FOLLOWS = ("uns", "type", "grade")
_MAYBE_MM = 8.0
"""A decimal without a unit from here on may be millimetres too."""
_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december",
)  # fmt: skip
_UNIT = r"""(?:in\.?|inch|inches|mm|"|'')"""
_SIZE = re.compile(
    rf"(?:\d+[ -])?\d+/\d+ ?{_UNIT}?|\d*[.,]\d* ?{_UNIT}?|\d+ ?{_UNIT}"
    rf"|(?:\d+[ -]?)?[½¼¾⅛⅜⅝⅞] ?{_UNIT}?"
)
_DECIMAL_ALONE = re.compile(r"\d+[.,]\d+")
_HALF_FRACTION = re.compile(r"(?:\d+-)?\d+/\d*")
_HALF_DECIMAL = re.compile(r"\d*\.\d*")
_YEAR = re.compile(r"(?:19[5-9]|20\d)\d")
_DATE = re.compile(r"((?:19[5-9]|20\d)\d)-(\d\d)(?:-(\d\d))?")
_DIGITS = re.compile(r"[+(]*\d[\d().+/-]*")
_PHONE_DIGITS = 7


@dataclass(frozen=True)
class AlloyNames:
    """Where common names of alloys are looked up: UNS numbers in lower case."""

    named: Callable[[str], Sequence[str]]
    """Of the alloys in whose names a word is."""
    beginning: Callable[[str], Sequence[str]]
    """Of the alloys that a half-typed word may become."""


NO_ALLOYS = AlloyNames(lambda _: (), lambda _: ())


@dataclass(frozen=True)
class Piece:
    """One thing typed."""

    texts: tuple[str, ...]
    """Beginnings of plain words, the best first."""
    marks: tuple[str, ...] = ()
    """Words of the index with the same meaning, whole."""
    half: str = ""
    """Beginning of such a word, while a size is half typed."""
    maybe: tuple[str, ...] = ()
    """Words of the index that a half-typed word may mean."""
    exact: bool = False
    """Its plain text counts only where the book has none of its marks: a size."""
    groups: tuple[Piece, ...] = ()
    """The groups of a phone number, each for itself where the book does not have the whole."""


@dataclass(frozen=True)
class Period:
    """Minutes since 1970 from `first` up to, not including, `end`: when a job was opened."""

    first: int
    end: int


@dataclass(frozen=True)
class SearchRequest:
    """Pieces that must all be met, in the period if there is one."""

    pieces: tuple[Piece, ...]
    period: Period | None = None


def what_is_asked(typed: str, alloys: AlloyNames) -> tuple[SearchRequest, ...]:
    """What may be meant, the likelier first; a year may also be the end of a phone number.

    Empty for blanks or punctuation.
    """
    tokens = typed[:_MOST_TYPED].lower().split()
    when, others = _time_of(tokens)
    found = []
    if when is not None:
        found.append(SearchRequest(_pieces(others, alloys), when))
        year = next((token for token in tokens if _YEAR.fullmatch(token)), "")
        if year and len(tokens) - len(others) > 1:  # a boat may be called June
            found.append(
                SearchRequest(_pieces([t for t in tokens if t != year], alloys), year_of(year))
            )
    plain = _pieces(tokens, alloys)
    if plain:
        found.append(SearchRequest(plain))
    return tuple(found)


def _pieces(tokens: Sequence[str], alloys: AlloyNames) -> tuple[Piece, ...]:
    found: list[Piece] = []
    at = 0
    while at < len(tokens) and len(found) < MOST_PIECES:
        piece, used = _piece_at(tokens, at, alloys)
        at += used
        if piece.texts or piece.marks:
            found.append(piece)
    return tuple(dict.fromkeys(found))


def _piece_at(tokens: Sequence[str], at: int, alloys: AlloyNames) -> tuple[Piece, int]:
    """The piece that begins at a token and how many tokens it takes."""
    for count in (3, 2, 1):
        size = _size(" ".join(tokens[at : at + count]))
        if size is not None and at + count <= len(tokens):
            return size, count
    if tokens[at] in _ALLOY_FOLLOWS and at + 1 < len(tokens):
        named = _word(tokens[at + 1], alloys)
        return replace(named, exact=bool(named.marks)), 2
    run = 0
    while at + run < len(tokens) and _DIGITS.fullmatch(tokens[at + run]):
        run += 1
    digits = re.sub(r"\D", "", "".join(tokens[at : at + run]))
    if len(digits) >= _PHONE_DIGITS:
        return _phone(tokens[at : at + run], digits), run
    if run > 1 and tokens[at].startswith("+"):
        return Piece(()), 1  # the country code of a number still being typed
    return _word(tokens[at], alloys), 1


def _phone(groups: Sequence[str], digits: str) -> Piece:
    """A phone number, also without the country code or the zeros it may be written with."""
    shorter = [digits.lstrip("0"), digits.lstrip("0").removeprefix("1")]
    if groups[0].startswith("+") or digits.startswith("0"):
        bare = digits.lstrip("0")
        shorter += [bare[cut:] for cut in (1, 2, 3)]
        shorter += ["0" + bare[cut:] for cut in (1, 2, 3)]
    texts = [one for one in (digits, *shorter) if len(one) >= _PHONE_DIGITS]
    several = len(groups) > 1
    parts = tuple(Piece((re.sub(r"\D", "", group),)) for group in groups) if several else ()
    return Piece(tuple(dict.fromkeys(texts)), groups=parts)


def _word(token: str, alloys: AlloyNames) -> Piece:
    text = squeeze(fold(token))
    marks = [*state_marks(text), *side_marks(text)]
    half = _half_size(token)
    if half:
        return Piece((text,) if text else (), half=half, exact=True)
    if not text:
        return Piece(())
    marks += alloys.named(text)
    if text.isdecimal() and text[0] != "0" and len(text) < 4:
        if length_unit() == "mm" and int(text) >= _LEAST_WHOLE_MM:
            marks += size_marks(int(text) / MM_PER_IN, _MM_OFF_IN)
        elif int(text) <= _MOST_WHOLE_IN:
            marks += size_marks(float(text))
    return Piece((text,), tuple(marks), maybe=() if marks else tuple(alloys.beginning(text)))


def _size(text: str) -> Piece | None:
    """A size in any unit; None when the text is none."""
    if not _SIZE.fullmatch(text) or text in (".", ","):
        return None
    try:
        sizes_in = [parse_length_in(text, most_in=_MOST_SIZE_IN)]
        if _DECIMAL_ALONE.fullmatch(text) and sizes_in[0] >= _MAYBE_MM:
            sizes_in.append(parse_length_in(text, "mm"))
    except BadNumber:
        return None
    off_in = _MM_OFF_IN if "mm" in text else _EXACT_IN
    marks = [mark for size_in in sizes_in for mark in size_marks(size_in, off_in)]
    squeezed = squeeze(fold(text))
    return Piece((squeezed,) if squeezed else (), tuple(marks), _half_size(text), exact=True)


def _half_size(text: str) -> str:
    """How the marks of the sizes begin that a half-typed one may become; '' = none."""
    if _HALF_FRACTION.fullmatch(text):
        return f"{MARK}f" + re.sub(r"\D+", "x", text)
    if _HALF_DECIMAL.fullmatch(text) and len(text) > 1:
        return decimal_mark(text if text[0] != "." else "0" + text)
    return ""


def _time_of(tokens: Sequence[str]) -> tuple[Period | None, list[str]]:
    """The year, month or day named among the tokens, and the other tokens."""
    for at, token in enumerate(tokens):
        date = _DATE.fullmatch(token)
        if date is not None:
            period = _period(int(date[1]), int(date[2]), int(date[3] or 0))
            return period, [*tokens[:at], *tokens[at + 1 :]] if period else list(tokens)
    year = next((at for at, token in enumerate(tokens) if _YEAR.fullmatch(token)), None)
    if year is None:
        return None, list(tokens)
    used = {year}
    month = next((at for at, token in enumerate(tokens) if _month(token)), None)
    day = 0
    if month is not None:
        used.add(month)
        for at in (month - 1, month + 1):
            if at in range(len(tokens)) and re.fullmatch(r"\d\d?[.,]?", tokens[at]):
                day = int(re.sub(r"\D", "", tokens[at]))
                used.add(at)
                break
    number = 0 if month is None else _month(tokens[month])
    period = _period(int(tokens[year]), number, day)
    if period is None:
        return None, list(tokens)
    return period, [token for at, token in enumerate(tokens) if at not in used]


def _month(token: str) -> int:
    """1 to 12 for the name of a month or at least its first three letters; 0 = none."""
    name = token.rstrip(".,")
    fits = (number for number, month in enumerate(_MONTHS, 1) if month.startswith(name))
    return next(fits, 0) if len(name) > 2 else 0


def year_of(text: str) -> Period | None:
    """The whole of a year."""
    return _period(int(text))


def _period(year: int, month: int = 0, day: int = 0) -> Period | None:
    """A year, a month or a day by the time zone of this computer; None when there is none such."""
    try:
        first = datetime(year, month or 1, day or 1)
        if day:
            end = first + timedelta(days=1)
        elif month:
            end = datetime(year + month // 12, month % 12 + 1, 1)
        else:
            end = datetime(year + 1, 1, 1)
    except ValueError:
        return None
    return Period(_minute(first), _minute(end))


def _minute(local: datetime) -> int:
    return int(local.timestamp() // 60)
