"""Words a slip or two of the finger away, against the plain table of all beginnings."""

from __future__ import annotations

from random import Random

import pytest

from core.book.search.near import slipped_beginnings


def alignment(typed: str, word: str) -> int:
    """Optimal string alignment by its definition, the whole table."""
    table = [[max(i, j) if not i * j else 0 for j in range(len(word) + 1)]
             for i in range(len(typed) + 1)]  # fmt: skip
    for i, one in enumerate(typed, 1):
        for j, other in enumerate(word, 1):
            table[i][j] = min(
                table[i - 1][j - 1] + (one != other), table[i - 1][j] + 1, table[i][j - 1] + 1
            )
            if i > 1 and j > 1 and one == word[j - 2] and typed[i - 2] == other:
                table[i][j] = min(table[i][j], table[i - 2][j - 2] + 1)
    return table[-1][-1]


@pytest.mark.parametrize("seed", range(10))
def test_slips_are_those_of_the_whole_table(seed: int) -> None:
    draw = Random(seed)

    def word(least: int) -> str:
        return "".join(draw.choice("abc") for _ in range(draw.randint(least, 8)))

    texts = sorted({word(1) for _ in range(60)})
    typed = word(4)
    for most in (1, 2):
        expected = {}
        for at, text in enumerate(texts):
            slips = min(alignment(typed, text[:end]) for end in range(len(text) + 1))
            if slips <= most:
                expected[at] = slips
        assert dict(slipped_beginnings(typed, texts, most)) == expected
