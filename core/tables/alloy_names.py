"""Common names of shaft alloys, and the UNS numbers they stand for (`alloy_names.csv`).

Names in general use only; a name that stands for several alloys gives all of them.
"""

from __future__ import annotations

from functools import cache

from core.tables.reader import read_table

_LEAST = 3
"""Letters of a name that must be typed before it is thought of."""


def alloys_named(word: str) -> tuple[str, ...]:
    """UNS numbers, lower case, of the alloys in whose names this word is.

    `word` : lower case, without punctuation.
    """
    return _words().get(word, ())


def alloys_beginning(word: str) -> tuple[str, ...]:
    """The same for the words that begin so; () for less than three letters."""
    if len(word) < _LEAST:
        return ()
    found = (uns for name, some in _words().items() if name.startswith(word) for uns in some)
    return tuple(dict.fromkeys(found))


@cache
def _words() -> dict[str, tuple[str, ...]]:
    """UNS numbers by each word of the names, and by names of several words in one (22135)."""
    found: dict[str, dict[str, None]] = {}
    for row in read_table("alloy_names"):
        name = row["name"].lower()
        bare = "".join(letter if letter.isalnum() else " " for letter in name).split()
        words = {*bare, *(word.replace("-", "") for word in name.split())}
        for word in (one for one in words if len(one) >= _LEAST or one.isalpha()):
            found.setdefault(word, {}).update(dict.fromkeys(row["uns"].lower().split()))
    return {word: tuple(some) for word, some in found.items()}
