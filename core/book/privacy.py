"""Deleting a customer's personal data on request; the measurements stay.

Name, phone, e-mail, address and notes of the customer are taken out, and struck out wherever they
stand in the notes, complaints, quotes, tickets and events of the customer's jobs. Vessels, shafts,
readings, hits and verdicts stay. The event log says that it was done, not what was removed.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable
from dataclasses import dataclass

from core.book import search_index
from core.book.backup import list_backups
from core.book.customers import customer
from core.book.events import events_of, note_change
from core.book.file import Book
from core.book.records import Customer

REMOVED = "[removed]"
NO_NAME = "(removed on request)"
_LEAST_PART = 3

_JOBS = (
    "SELECT job.id FROM job JOIN shaft ON shaft.id = job.shaft_id "
    "JOIN vessel ON vessel.id = shaft.vessel_id WHERE vessel.customer_id = ?1"
)
_PLACES: tuple[tuple[str, str, str], ...] = (
    ("vessel", "notes", "customer_id = ?1"),
    ("shaft", "notes", "vessel_id IN (SELECT id FROM vessel WHERE customer_id = ?1)"),
    ("job", "complaint", f"id IN ({_JOBS})"),
    ("job", "notes", f"id IN ({_JOBS})"),
    ("job", "waiting_for", f"id IN ({_JOBS})"),
    ("note", "topic", f"job_id IN ({_JOBS})"),
    ("note", "text", f"job_id IN ({_JOBS})"),
    ("hit", "notes", f"job_id IN ({_JOBS})"),
    ("penetrant_check", "notes", f"job_id IN ({_JOBS})"),
    ("quote", "text", f"job_id IN ({_JOBS})"),
    ("release", "ticket_text", f"job_id IN ({_JOBS})"),
    ("release", "ticket_html", f"job_id IN ({_JOBS})"),
)
_EVENTS = (
    f"subject_id IN ({_JOBS} UNION ALL SELECT id FROM vessel WHERE customer_id = ?1 "
    "UNION ALL SELECT shaft.id FROM shaft JOIN vessel ON vessel.id = shaft.vessel_id "
    "WHERE vessel.customer_id = ?1 "
    f"UNION ALL SELECT id FROM hit WHERE job_id IN ({_JOBS}) "
    f"UNION ALL SELECT id FROM penetrant_check WHERE job_id IN ({_JOBS}))"
)


@dataclass(frozen=True)
class Forgotten:
    """What was done."""

    customer: Customer
    places: int
    """Texts in which something was struck out."""
    backups: int
    """Backups beside the book that still hold the data; they age out with the daily ones."""


def forget_customer(book: Book, customer_id: str) -> Forgotten:
    """Take out the personal data of a customer for good. This cannot be undone."""
    who = customer(book, customer_id)
    with book.write() as con:
        earlier = {
            text
            for event in events_of(book, "customer", customer_id)
            for text in (event.old, event.new)
            if text
        }
        # First the mark: only tickets of a forgotten customer may be touched at all.
        con.execute(
            "UPDATE customer SET name = ?, phone = '', email = '', address = '', notes = '', "
            "forgotten_at = ? WHERE id = ?",
            (NO_NAME, book.now(), customer_id),
        )
        places = strike_everywhere(book, who)
        places += sum(strike_everywhere(book, Customer(who.id, text)) for text in earlier)
        con.execute(
            "UPDATE event SET old = iif(old = '', '', ?1), new = iif(new = '', '', ?1) "
            "WHERE subject = 'customer' AND subject_id = ?2",
            (REMOVED, customer_id),
        )
        con.execute("DELETE FROM draft")
        search_index.catch_up(book)
        search_index.scrub(book)
        note_change(
            book, "customer", customer_id, "forgotten", "", "personal data removed on request"
        )
    book.fold_log()
    return Forgotten(customer(book, customer_id), places, len(list_backups(book.path)))


def strike_everywhere(book: Book, who: Customer) -> int:
    """Strike what names this customer out of all texts of the customer's jobs; how many texts.

    Joins the transaction it is called in; the customer must be marked as forgotten already.
    """
    pattern = _pattern(who)
    places = (*_PLACES, ("event", "old", _EVENTS), ("event", "new", _EVENTS))
    return sum(
        _strike(book, pattern, table, column, where, who.id) for table, column, where in places
    )


def _pattern(who: Customer) -> re.Pattern[str]:
    """Matches everything that names the customer, as typed and as it stands in HTML."""
    whole = [who.name, who.phone, who.email, *who.address.splitlines()]
    parts = [part for part in re.split(r"[\s,;.&/]+", who.name) if len(part) >= _LEAST_PART]
    wanted = [text.strip() for text in (*whole, *parts) if len(text.strip()) >= _LEAST_PART]
    wanted += [html.escape(text) for text in wanted]
    if not wanted:
        return re.compile(r"(?!)")
    longest_first = sorted(set(wanted), key=len, reverse=True)
    inner = "|".join(re.escape(text) for text in longest_first)
    return re.compile(rf"(?<!\w)(?:{inner})(?!\w)", re.IGNORECASE)


def _strike(
    book: Book, pattern: re.Pattern[str], table: str, column: str, where: str, customer_id: str
) -> int:
    rows: Iterable[tuple[int, str]] = book.con.execute(
        f"SELECT rowid, {column} FROM {table} WHERE {where}", (customer_id,)
    ).fetchall()
    count = 0
    for rowid, text in rows:
        struck = pattern.sub(REMOVED, text)
        if struck != text:
            book.con.execute(f"UPDATE {table} SET {column} = ? WHERE rowid = ?", (struck, rowid))
            count += 1
    return count
