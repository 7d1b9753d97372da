"""Moves a whole book in time, so that an invented shop is as fresh as on the day it was made."""

from __future__ import annotations

import re
import sqlite3
from datetime import date, datetime, timedelta

from core.base.times import moment, moment_text
from core.book.connection import Book
from core.book.upkeep.tables import ENTERED

_MOMENT = r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z"
_TO_THE_MINUTE = r"\d{4}-\d\d-\d\d \d\d:\d\d"
_DAY = r"\d{4}-\d\d-\d\d"
_ANY = re.compile(rf"\b(?:({_MOMENT})|({_TO_THE_MINUTE})|({_DAY}))\b")
"""As they are stored, and as the frozen papers print them."""


def move_times(book: Book, by: timedelta) -> None:
    """Every moment and day in the book, its frozen papers too, later by `by`; nothing else.

    Only for a copy that nobody has entered anything in: the guards of what is never rewritten are
    lifted meanwhile, in the same transaction.
    """
    minutes = timedelta(minutes=round(by.total_seconds() / 60))
    with book.write() as con:
        guards = con.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        lifted = [(row[0], row[1]) for row in guards]
        for name, _ in lifted:
            con.execute(f'DROP TRIGGER "{name}"')
        con.create_function("moved", 1, lambda text: moved(text, minutes), deterministic=True)
        for table in ENTERED:
            _move_table(con, table)
        for _, sql in lifted:
            con.execute(sql)
        con.execute("INSERT OR IGNORE INTO search_todo (job_id) SELECT id FROM job")


def _move_table(con: sqlite3.Connection, table: str) -> None:
    facts = con.execute(f"PRAGMA table_info({table})").fetchall()
    texts = [row[1] for row in facts if row[2] == "TEXT" and row[1] != "id"]
    if not texts:
        return
    changes = ", ".join(f"{name} = moved({name})" for name in texts)
    con.execute(f"UPDATE {table} SET {changes}")


def moved(text: str | None, by: timedelta) -> str | None:
    """A text with each moment and day in it later by `by`."""
    if text is None or "-" not in text:
        return text
    return _ANY.sub(lambda found: _later(found, by), text)


def _later(found: re.Match[str], by: timedelta) -> str:
    stored, to_the_minute, day = found.groups()
    try:
        if stored:
            return moment_text(moment(stored) + by)
        if to_the_minute:
            return f"{datetime.fromisoformat(to_the_minute) + by:%Y-%m-%d %H:%M}"
        return (date.fromisoformat(day) + timedelta(days=round(by / timedelta(days=1)))).isoformat()
    except ValueError:
        return found[0]
