"""Striking a customer's name and numbers out of the texts of the customer's jobs (privacy)."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager

from core.base.shop_records import NOT_NAMED, Customer
from core.book.connection import Book

REMOVED = "[removed]"
_LEAST_PART = 3
_LEAST_DIGITS = 7

# Vessels the customer has now, and those that were the customer's before they were sold.
_VESSELS = (
    "SELECT id FROM vessel WHERE customer_id = ?1 UNION SELECT subject_id FROM event "
    "WHERE subject = 'vessel' AND what = 'customer_id' AND old = ?1 UNION SELECT subject_id "
    "FROM past WHERE json_extract(facts, '$.vessel.customer_id') = ?1"
)
_SHAFTS = f"SELECT id FROM shaft WHERE vessel_id IN ({_VESSELS})"
_JOBS = f"SELECT id FROM job WHERE shaft_id IN ({_SHAFTS})"
_OF_JOB = f"job_id IN ({_JOBS})"
_PARTS = (
    "sweep",
    "hit",
    "hit_reading",
    "penetrant_check",
    "penetrant_condition",
    "measurement",
    "choice",
    "quote",
    "release",
    "note",
)
_ABOUT = " UNION ALL ".join(
    (
        *(_VESSELS, _SHAFTS, _JOBS, f"SELECT id FROM riding_area WHERE shaft_id IN ({_SHAFTS})"),
        *(f"SELECT id FROM {table} WHERE {_OF_JOB}" for table in _PARTS),
    )
)
TEXT_COLUMNS: tuple[tuple[str, tuple[str, ...], str], ...] = (
    ("vessel", ("notes",), f"id IN ({_VESSELS})"),
    ("shaft", ("notes",), f"id IN ({_SHAFTS})"),
    ("riding_area", ("name",), f"shaft_id IN ({_SHAFTS})"),
    ("job", ("complaint", "notes", "waiting_for", "due"), f"id IN ({_JOBS})"),
    ("note", ("topic", "text"), _OF_JOB),
    ("old_card", ("vessel", "shaft", "size", "outcome", "note", "from_file"), "customer_id = ?1"),
    ("sweep", ("gauge",), _OF_JOB),
    ("hit", ("notes", "overrule_by", "overrule_reason"), _OF_JOB),
    ("penetrant_check", ("notes", "overrule_by", "overrule_reason"), _OF_JOB),
    ("measurement", ("raw",), f"value_in IS NULL AND {_OF_JOB}"),
    ("choice", ("value", "note"), _OF_JOB),
    ("past", ("facts",), f"subject_id IN ({_VESSELS} UNION {_SHAFTS})"),
    ("quote", ("text",), _OF_JOB),
    ("quote_line", ("label",), f"quote_id IN (SELECT id FROM quote WHERE {_OF_JOB})"),
    ("release", ("overrule_by", "overrule_reason", "ticket_text", "ticket_html"), _OF_JOB),
    ("event", ("old", "new"), f"subject_id IN ({_ABOUT})"),
)
"""Table, columns of text, and which rows belong to the customer `?1`."""
_GUARDS = (
    "measurement_is_never_rewritten",
    "choice_is_never_rewritten",
    "released_ticket_is_frozen",
)

_WORDS = """
and the for von van der den des les bros sons inc ltd llc corp company boat boats boating ship
ships shipping marine marina harbor harbour port yard dock docks fish fishing fisheries fishery
sea seafood ocean bay coast coastal island river lake north south east west tour tours charter
charters towing tow tug tugs ferry ferries salvage works service services repair repairs shop
machine press shaft shafts prop props propeller bearing coupling key taper station mark marks
reading readings roller rollers steel bronze straight bend bends sweep heat crack clear true new
old
"""
COMMON = frozenset(_WORDS.split())
"""Words of the trade and of many firms: removed only as part of the whole name, as the texts
of a job would lose their sense without them."""


def named_in(customer_id: str, changes: Iterable[tuple[str, str, str]]) -> list[Customer]:
    """What a customer was once called, from (what, old, new) of the event log."""
    found = []
    for what, *texts in changes:
        field = what.rpartition(" ")[2]
        if field in ("name", "phone", "email", "address"):
            known = {"name": "", field: ""}
            found += [
                Customer(**{**known, "id": customer_id, field: text}) for text in texts if text
            ]
    return found


def strike_everywhere(book: Book, who: Customer, *, dry_run: bool = False) -> int:
    """Strike what names this customer out of all texts of the customer's jobs; how many texts.

    Joins the transaction it is called in; `dry_run` only counts.
    """
    pattern = pattern_of(who)
    with _unguarded(book, dry_run=dry_run):
        return sum(
            _strike(book, pattern, table, column, where, who.id, dry_run)
            for table, columns, where in TEXT_COLUMNS
            for column in columns
        )


def drop_drafts(book: Book, who: Customer) -> int:
    """Throw half-filled forms away in which this customer is named; how many."""
    pattern = pattern_of(who)
    named = [
        name
        for name, fields in book.rows("SELECT name, fields FROM draft")
        if any(text == who.id or pattern.search(str(text)) for text in json.loads(fields).values())
    ]
    for name in named:
        book.con.execute("DELETE FROM draft WHERE name = ?", (name,))
    return len(named)


def pattern_of(who: Customer) -> re.Pattern[str]:
    """Matches everything that names the customer, as typed and as written in HTML.

    The whole name, each part of it that is no common word, the phone number with any
    punctuation and without the area, the e-mail address, each line of the address.
    """
    name = "" if who.name == NOT_NAMED else who.name
    whole = [name, who.email, *who.address.splitlines()]
    parts = [part for part in re.split(r"[\s,;.&/()\"]+", name) if part.lower() not in COMMON]
    wanted = [text.strip() for text in (*whole, *parts) if len(text.strip()) >= _LEAST_PART]
    wanted += [html.escape(text) for text in wanted]
    longest_first = sorted(set(wanted), key=len, reverse=True)
    forms = [rf"(?<!\w){re.escape(text)}(?!\w)" for text in longest_first]
    forms += [*_phone_forms(who.phone)]
    return re.compile("|".join(forms) or r"(?!)", re.IGNORECASE)


def _phone_forms(phone: str) -> Iterator[str]:
    """A phone number however it is punctuated: whole, and its last seven digits."""
    digits = re.sub(r"\D", "", phone)
    wanted = (digits, digits[-_LEAST_DIGITS:]) if len(digits) >= _LEAST_DIGITS else (digits,)
    if digits and len(phone.strip()) >= _LEAST_PART:
        for number in dict.fromkeys(wanted):
            # A lone group of digits could be any figure of the job: then only as it was typed.
            if len(number) >= _LEAST_DIGITS:
                yield r"(?<!\d)\+?\(?" + r"[\s().\-/]{0,2}".join(number) + r"(?!\d)"
    if phone.strip() and len(digits) < _LEAST_DIGITS and len(phone.strip()) > _LEAST_PART:
        yield rf"(?<!\w){re.escape(phone.strip())}(?!\w)"


@contextmanager
def _unguarded(book: Book, *, dry_run: bool) -> Iterator[None]:
    """Inside the block tickets and notes of check lists can be rewritten; nowhere else."""
    if dry_run:
        yield
        return
    marks = ", ".join("?" * len(_GUARDS))
    guards: Sequence[tuple[str, ...]] = book.rows(
        f"SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND name IN ({marks})", _GUARDS
    )
    for name, _ in guards:
        book.con.execute(f"DROP TRIGGER {name}")
    yield
    # After an error the whole transaction is rolled back, the dropped guards with it.
    for _, sql in guards:
        book.con.execute(sql)


def _strike(
    book: Book,
    pattern: re.Pattern[str],
    table: str,
    column: str,
    where: str,
    customer_id: str,
    dry_run: bool,
) -> int:
    rows: Iterable[tuple[int, str]] = book.rows(
        f"SELECT rowid, {column} FROM {table} WHERE {where}", (customer_id,)
    )
    count = 0
    for rowid, text in rows:
        cleaned = pattern.sub(REMOVED, text)
        if cleaned != text:
            count += 1
            if not dry_run:
                sql = f"UPDATE {table} SET {column} = ? WHERE rowid = ?"
                book.con.execute(sql, (cleaned, rowid))
    return count
