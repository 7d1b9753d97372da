"""From what people type to the words of the search index, the same way for both sides.

Letters are folded (case, accents, the Nordic and Slavic letters without accents of their own),
digits of one piece are drawn together, so that any punctuation in a phone number or tag will do.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction
from functools import lru_cache

from core.base.shop_records import JOB_STATES, OPEN_STATES
from core.base.units import MM_PER_IN

LONGEST_WORD = 40
JOINED = "§"
"""Before words drawn together; no typed piece can begin with it."""
MARK = "¤"
"""Before words of the index that stand for a meaning: a size, a side, an outcome."""
_ALONE = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ß": "ss", "ł": "l", "đ": "d", "ð": "d"})
_BETWEEN = re.compile(r"[\W_]+")
STOCK_SIZE_OFF_IN = 0.0006
"""A shaft measured this near a stock size is of that size."""
_SIDES = {
    "port": "port",
    "starboard": "starboard", "stbd": "starboard", "stb": "starboard", "sb": "starboard",
    "centre": "centre", "center": "centre", "middle": "centre",
    "spare": "spare",
}  # fmt: skip
_STATES = {
    **{state: (state,) for state in JOB_STATES},
    "closed": tuple(state for state in JOB_STATES if state not in OPEN_STATES),
}


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


def size_marks(diameter_in: float, fraction_off_in: float = STOCK_SIZE_OFF_IN) -> list[str]:
    """The words of the index for a diameter: decimal inches; a fraction, if it is no further off
    one than `fraction_off_in`; whole or half millimetres."""
    found = [decimal_mark(f"{diameter_in:.4f}".rstrip("0").rstrip("."))]
    sixty_fourths = round(diameter_in * 64)
    if abs(sixty_fourths / 64 - diameter_in) < fraction_off_in:
        whole, rest = divmod(Fraction(sixty_fourths, 64), 1)
        parts = [str(whole)] if whole else []
        parts += [str(rest.numerator), str(rest.denominator)] if rest else []
        found.append(f"{MARK}f" + "x".join(parts))
    halves_mm = round(diameter_in * MM_PER_IN * 2)
    if abs(halves_mm / 2 / MM_PER_IN - diameter_in) < STOCK_SIZE_OFF_IN:
        found.append(f"{MARK}m{halves_mm}")
    return found


def decimal_mark(decimal: str) -> str:
    """The word of the index for inches in decimals."""
    return f"{MARK}d" + decimal.replace(".", "x")


def side_marks(position: str) -> list[str]:
    """The words of the index for a shaft's place in the boat."""
    found = (_SIDES.get(word) for word in words_of(position))
    return [MARK + side[:3] for side in found if side]


def state_mark(state: str) -> str:
    """The word of the index for how a job is or ended."""
    return MARK + state[:3]


def state_marks(word: str) -> list[str]:
    """The words of the index for the states of a job that a typed word names."""
    return [state_mark(state) for state in _STATES.get(word, ())]
