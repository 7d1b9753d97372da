"""Days as people type them, stored as ISO days and said back in words."""

from __future__ import annotations

from datetime import date

import pytest

from core.base.errors import ShaftlogError
from core.jobs.intake.due import by_due, due_words, is_late, short_due, stored_due

SUNDAY = date(2026, 11, 29)


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("12/10", "2026-12-10"),
        ("10 Dec", "2026-12-10"),
        ("Dec 10th", "2026-12-10"),
        ("10 dec 26", "2026-12-10"),
        ("2026-12-10", "2026-12-10"),
        ("31/12", "2026-12-31"),
        ("10.12.2026", "2026-12-10"),  # found: 12 October, 48 days late
        ("10.12.", "2026-12-10"),
        ("1 sep", "2027-09-01"),
        ("15", "2026-12-15"),
        ("29", "2026-11-29"),
        ("Friday", "2026-12-04"),
        ("by fri", "2026-12-04"),
        ("sunday", "2026-12-06"),
        ("tomorrow", "2026-11-30"),
        ("in 2 weeks", "2026-12-13"),
        ("a week", "2026-12-06"),
        ("in 3 months", "2027-02-28"),
        ("29 Feb", "2028-02-29"),
        ("", ""),
        ("launch  day", "launch day"),
        ("May", "May"),
        ("3pm", "3pm"),
        ("week 50", "week 50"),
    ],
)
def test_typed_days(typed: str, stored: str) -> None:
    assert stored_due(typed, SUNDAY, day_first=False) == stored


@pytest.mark.parametrize(("day_first", "stored"), [(False, "2026-12-10"), (True, "2027-10-12")])
def test_the_shop_says_which_figure_comes_first(day_first: bool, stored: str) -> None:
    assert stored_due("12/10", SUNDAY, day_first=day_first) == stored
    assert stored_due("2026-12-10", SUNDAY, day_first=day_first) == "2026-12-10"


@pytest.mark.parametrize(
    "typed", ["99", "2027", "1/2/3", "1926-12-10", "13/13", "30 Feb", "31 June"]
)
def test_what_is_no_day_is_refused(typed: str) -> None:
    with pytest.raises(ShaftlogError, match=r"Type (it|the day)"):
        stored_due(typed, SUNDAY, day_first=False)


def test_words_for_screens() -> None:
    assert due_words("2026-12-10", SUNDAY) == "Thu 10 Dec, in 11 days"
    assert due_words("2026-11-28", SUNDAY) == "Sat 28 Nov, 1 day late"
    assert due_words("2026-11-29", SUNDAY) == "Sun 29 Nov, today"
    assert due_words("2028-02-29", SUNDAY) == "29 Feb 2028, in 457 days"
    assert due_words("launch day", SUNDAY) == "launch day"
    shown = [short_due(due, SUNDAY) for due in ("2026-12-10", "2026-11-28", "launch day", "")]
    assert shown == ["10 Dec", "late", "launch day", ""]
    assert [is_late(due, SUNDAY) for due in ("2026-11-28", "2026-11-29", "Friday")] == [
        True, False, False,
    ]  # fmt: skip


def test_order_by_due() -> None:
    dues = ["", "launch day", "2026-12-10", "2026-11-28"]
    assert sorted(dues, key=by_due) == ["2026-11-28", "2026-12-10", "launch day", ""]
