"""From what people type to the words of the search index, the same way for both sides.

Letters are folded (case, accents, the Nordic and Slavic letters without accents of their own),
digits of one piece are drawn together, so that any punctuation in a phone number or tag will do.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from functools import lru_cache

LONGEST_WORD = 40
JOINED = "§"
"""Stands before words drawn together; no typed piece can begin with it."""
MOST_PIECES = 8
_ALONE = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ß": "ss", "ł": "l", "đ": "d", "ð": "d"})
_BETWEEN = re.compile(r"[\W_]+")
_SPACED_FRACTION = re.compile(r"(?<!\S)(\d+)\s+(\d+/\d+)")
_DECIMAL = re.compile(r"\d*\.\d+$")
_FRACTION = re.compile(r"(?:\d+[- ])?\d+/\d*$")


def fold(text: str) -> str:
    """Lower case without accents."""
    if text.isascii():
        return text.lower()
    decomposed = unicodedata.normalize("NFKD", text.casefold().translate(_ALONE))
    return "".join(char for char in decomposed if not unicodedata.combining(char))


def squeeze(piece: str) -> str:
    """A folded piece without its punctuation, cut at `LONGEST_WORD`."""
    return _BETWEEN.sub("", piece)[:LONGEST_WORD]


def words_of(text: str) -> list[str]:
    """The words of a text for the index: each piece whole, and its parts between punctuation."""
    found = (word for piece in fold(text).split() for word in _piece_words(piece))
    return list(dict.fromkeys(found))


@lru_cache(maxsize=50_000)
def _piece_words(piece: str) -> tuple[str, ...]:
    if piece.isalnum():
        return (piece[:LONGEST_WORD],)
    parts = (squeeze(piece), *(part[:LONGEST_WORD] for part in _BETWEEN.split(piece)))
    return tuple(word for word in parts if word)


def joined(name: str) -> str:
    """A name of several words as one ('Sea Breeze' -> seabreeze), marked so that it is met only
    when it is asked for; '' for a single word."""
    pieces = fold(name).split()
    return JOINED + squeeze("".join(pieces)) if len(pieces) > 1 else ""


def phone_words(phone: str) -> list[str]:
    """A phone number from each of its groups to the end, and its last ten, seven, four digits."""
    groups = re.findall(r"\d+", phone)
    digits = "".join(groups)
    tails = ["".join(groups[first:]) for first in range(len(groups))]
    tails += [digits[-count:] for count in (10, 7, 4) if len(digits) >= count]
    return list(dict.fromkeys(tail[:LONGEST_WORD] for tail in tails if tail))


def tag_words(tag: str) -> list[str]:
    """A tag whole and its running number with and without zeros: 26-014 -> 26014, 014, 14."""
    last = re.split(r"\D+", tag)[-1]
    return list(dict.fromkeys(w for w in (*words_of(tag), last.lstrip("0")) if w))


def diameter_words(diameter_in: float) -> list[str]:
    """A diameter in decimals ('d' and the digits) and, if it is one, as a fraction ('f')."""
    thousandths = f"{diameter_in:.4f}".rstrip("0")
    found = ["d" + squeeze(thousandths.ljust(5, "0"))]
    sixty_fourths = round(diameter_in * 64)
    if abs(sixty_fourths / 64 - diameter_in) < 0.0006:
        whole, rest = divmod(Fraction(sixty_fourths, 64), 1)
        parts = [str(whole)] if whole else []
        parts += [str(rest.numerator), str(rest.denominator)] if rest else []
        found.append("f" + "x".join(parts))
    return found


def alternatives(piece: str) -> tuple[str, ...]:
    """The beginnings of words a typed piece may stand for: itself, a decimal, a fraction."""
    bare = piece.strip("\"'")
    found = [squeeze(piece)]
    if _DECIMAL.match(bare):
        found.append("d" + squeeze(bare if not bare.startswith(".") else "0" + bare))
    if _FRACTION.match(bare):
        found.append("f" + re.sub(r"\D+", "x", bare))
    return tuple(dict.fromkeys(word for word in found if word))


def pieces_of(typed: str) -> tuple[tuple[str, ...], ...]:
    """What was typed as pieces, each with its alternatives; empty for blanks or punctuation."""
    joined = _SPACED_FRACTION.sub(r"\1-\2", fold(typed[:200]))
    found = (alternatives(piece) for piece in joined.split())
    return tuple(dict.fromkeys(piece for piece in found if piece))[:MOST_PIECES]


_LETTERS = "abcdefghijklmnopqrstuvwxyz"


def one_typo(word: str) -> tuple[str, ...]:
    """All words one slip away: a letter left out, too much, wrong, or two exchanged."""
    cuts = [(word[:at], word[at:]) for at in range(len(word) + 1)]
    less = [a + b[1:] for a, b in cuts if b]
    swapped = [a + b[1] + b[0] + b[2:] for a, b in cuts if len(b) > 1]
    wrong = [a + letter + b[1:] for a, b in cuts if b for letter in _LETTERS]
    more = [a + letter + b for a, b in cuts[:-1] for letter in _LETTERS]
    return tuple(dict.fromkeys(w for w in (*swapped, *less, *wrong, *more) if w != word))
