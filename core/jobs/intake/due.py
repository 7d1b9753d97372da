"""When a job is due: days as people type them, stored as ISO days, shown in words.

Words that are no day (`launch day`) are kept as typed. `Friday` is the next one after today; a day
without its year is the next one from today on.
"""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.times import moment

FURTHEST_DAYS = 3 * 366
"""A due day further off, or further back, is a slip of the keys (common practice, no source)."""
FAR_DAYS = 300
_AWAY = re.compile(r"(?:in )?(\d{1,3}|an?|next) (day|week|month)s?")
_NEAR = {"today": 0, "tomorrow": 1}
_DOTTED = re.compile(r"\d{1,2}\.\d{1,2}\.(\d{2}|\d{4})?")
"""10.12.2026: nobody writes the month first with points."""
_LIKE_A_DAY = re.compile(
    r"[\d\s./-]+|\d{1,2} (jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*( \d{4})?",
    re.IGNORECASE,
)
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}")


def stored_due(typed: str, today: date, *, day_first: bool) -> str:
    """What is stored for words typed: the ISO day, or the words themselves when they name no day.

    Raises
    ------
    ShaftlogError
        The day lies years off, or there is no such day.
    """
    words = " ".join(typed.split())
    day = understood_day(words, today, day_first=day_first)
    if day is None:
        if _LIKE_A_DAY.fullmatch(words):
            raise ShaftlogError(f"{words} is no day. Type it as 10 Dec, 2026-12-10 or in 2 weeks.")
        return words
    if abs((day - today).days) > FURTHEST_DAYS:
        raise ShaftlogError(f"{day:%d %b %Y} is years off. Type the day with its year.")
    return day.isoformat()


def understood_day(words: str, today: date, *, day_first: bool) -> date | None:
    """The day that is meant; None when the words name none."""
    plain = re.sub(r"^(by|on|for) ", "", words.strip().lower())
    day_first = day_first or _DOTTED.fullmatch(plain) is not None
    plain = plain.rstrip(".")
    if plain in _NEAR:
        return today + timedelta(days=_NEAR[plain])
    away = _AWAY.fullmatch(plain)
    if away:
        return _days_away(away, today)
    found = _day_of(plain, today, day_first=day_first)
    return found or _day_of(plain, today, day_first=not day_first)  # 31/12 is read one way only


def _days_away(away: re.Match[str], today: date) -> date:
    from dateutil.relativedelta import relativedelta

    number = int(away[1]) if away[1].isdecimal() else 1
    days: date = today + relativedelta(**{f"{away[2]}s": number})
    return days


def _day_of(plain: str, today: date, *, day_first: bool) -> date | None:
    """A date or a weekday. Read against two different days: what differs was not typed."""
    from dateutil import parser

    if _ISO.fullmatch(plain):
        day_first = False
    found = []
    for other in (datetime(2000, 1, 1), datetime(2004, 2, 2)):
        try:
            found.append(parser.parse(plain, default=other, dayfirst=day_first))
        except (parser.ParserError, OverflowError):
            return None
    one, two = found
    if one.hour or one.minute or one.tzinfo:
        return None
    if one.year == two.year:
        return one.date() if (one.month, one.day) == (two.month, two.day) else None
    if one.month == two.month and one.day == two.day:
        return _next(today, one.month, one.day)
    if one.weekday() == two.weekday() and one.strftime("%a").lower() == plain[:3]:
        return today + timedelta(days=(one.weekday() - today.weekday() - 1) % 7 + 1)
    return _next(today, None, one.day) if one.day == two.day else None


def _next(today: date, month: int | None, day: int) -> date | None:
    """The next such day from today on."""
    for ahead in range(FURTHEST_DAYS):
        found = today + timedelta(days=ahead)
        if found.day == day and month in (None, found.month):
            return found
    return None


def due_day(due: str) -> date | None:
    """The stored day; None when only words are stored, or nothing."""
    try:
        return date.fromisoformat(due.strip()) if _ISO.fullmatch(due.strip()) else None
    except ValueError:
        return None


def is_late(due: str, today: date) -> bool:
    """Whether the day has passed. Words are never late."""
    day = due_day(due)
    return day is not None and day < today


def due_words(due: str, today: date) -> str:
    """`Thu 10 Dec, in 11 days`; words as they were typed; '' for nothing. Far days have a year."""
    day = due_day(due)
    if day is None:
        return due
    days = (day - today).days
    named = f"{day:%a %d %b}" if abs(days) < FAR_DAYS else f"{day:%d %b %Y}"
    if days < 0:
        return f"{named}, {many(-days, 'day')} late"
    away = {0: "today", 1: "tomorrow"}.get(days, f"in {many(days, 'day')}")
    return f"{named}, {away}"


def short_due(due: str, today: date) -> str:
    """For a narrow column: `10 Dec`, `late` or the words."""
    day = due_day(due)
    if day is None:
        return due
    return "late" if day < today else f"{day:%d %b}"


def by_due(due: str) -> tuple[bool, str]:
    """For sorting: days first, the earliest at the top; then words; nothing last."""
    return (due_day(due) is None, due if due_day(due) else "" if due else "~")


def day_of(now: str) -> date:
    """The day, in this computer's time zone, of a stored moment."""
    return moment(now).astimezone().date()
