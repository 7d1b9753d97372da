"""The comparison of stored texts: only the last digit of a figure may differ."""

from __future__ import annotations

import pytest

from tests.support.same_figures import first_difference


def test_the_last_digit_may_differ() -> None:
    assert first_difference("TIR 0.2 thou  at 18", "TIR 0.3 thou at 18") == ""
    assert first_difference("at 70.5: 0.7  248", "at 70.5: 0.7  247") == ""
    assert first_difference("kappa 0.0012345678901234", "kappa 0.0012345678901233") == ""


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("TIR 0.2", "TIR 0.4"),
        ("294", "217"),
        ("12 hits", "13 hits"),
        ("true", "not true"),
        ("a\nb", "a"),
        ("1.25", "1.2 5"),
    ],
)
def test_everything_else_is_a_difference(one: str, other: str) -> None:
    assert first_difference(one, other)
