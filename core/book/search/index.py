"""Keeping the search index in step with the book, inside the transaction that changed it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from core.base.times import moment
from core.book.connection import Book
from core.book.search import words
from core.book.search.changed import work_off

_TABLES = (("search_who", "who"), ("search_all", "who, rest"), ("search_part", "who, rest"))
_SOURCE = (
    "SELECT job.id, job.opened_at, job.tag, job.state, customer.name, customer.phone, vessel.name, "
    "shaft.position, shaft.material, shaft.diameter_in, shaft.condition, vessel.kind, "
    "job.complaint, job.notes, shaft.notes, vessel.notes, customer.notes, customer.email, "
    "customer.address, "
    "(SELECT group_concat(note.text, ' ') FROM note WHERE note.job_id = job.id), "
    # Earlier names of the customer.
    "(SELECT group_concat(event.old, ' ') FROM event WHERE event.subject = 'customer' "
    "AND event.subject_id = customer.id AND event.what = 'name'), "
    # Earlier owners and names of the vessel.
    "(SELECT group_concat(coalesce(then_owner.name, '') || ' ' || "
    "json_extract(past.facts, '$.vessel.name'), ' ') FROM past LEFT JOIN customer AS then_owner "
    "ON then_owner.id = json_extract(past.facts, '$.vessel.customer_id') "
    "WHERE past.subject_id = vessel.id), "
    # The shaft as it was at this visit.
    "(SELECT facts FROM past WHERE past.subject_id = shaft.id AND past.until_at > job.opened_at "
    "ORDER BY past.until_at, past.id LIMIT 1) "
    "FROM job JOIN shaft ON shaft.id = job.shaft_id JOIN vessel ON vessel.id = shaft.vessel_id "
    "JOIN customer ON customer.id = vessel.customer_id"
)
_MOST_WORDS = 400
_PAGES_A_STEP = 500
_NOTHING_LEFT = 2
"""Rows that a merge with nothing to do still writes, and one more."""


def catch_up(book: Book) -> int:
    """Bring the index up to date with `search_todo`; how many jobs were looked at."""
    return work_off(
        book,
        "search_todo",
        "job_id",
        source=f"{_SOURCE} WHERE job.id = ?",
        take_out=_take_out,
        put_in=_put_in,
        rebuild=rebuild,
    )


def rebuild(book: Book) -> int:
    """Make the whole index again, in the order the jobs were opened; how many jobs."""
    with book.write() as con:
        for table, _ in _TABLES:
            con.execute(f"INSERT INTO {table} ({table}) VALUES ('delete-all')")
        for table in ("search_doc", "search_word", "search_todo"):
            con.execute(f"DELETE FROM {table}")
        count = 0
        last_no = -1
        every: set[str] = set()
        for source in con.execute(f"{_SOURCE} ORDER BY job.opened_at, job.id").fetchall():
            who, rest = _texts(source)
            last_no = max(_minutes(source[1]), last_no + 1)
            con.execute(
                "INSERT INTO search_doc VALUES (?, ?, ?, ?)", (last_no, source[0], who, rest)
            )
            every.update(who.split(), rest.split())
            count += 1
        _add_words(con, sorted(every))
        for table, _ in _TABLES:
            con.execute(f"INSERT INTO {table} ({table}) VALUES ('rebuild')")
    return count


def scrub(book: Book) -> None:
    """Rewrite the index so that nothing of words taken out is left in its pages (privacy).

    Step by step, each a short transaction, so that no other bench has to wait for the whole.
    """
    for table in (*(name for name, _ in _TABLES), "search_card"):
        pages = -_PAGES_A_STEP  # the minus has all its parts merged, also those that look tidy
        while True:
            with book.write() as con:
                before = con.total_changes
                con.execute(f"INSERT INTO {table} ({table}, rank) VALUES ('merge', ?)", (pages,))
                if con.total_changes - before < _NOTHING_LEFT:
                    break
            pages = _PAGES_A_STEP


def _minutes(opened_at: str) -> int:
    return int(moment(opened_at).timestamp() // 60)


def _texts(source: tuple[Any, ...]) -> tuple[str, str]:
    """The words that name a job and say what it was, and all its other words."""
    _, _, tag, state, name, phone, vessel, position, material, diameter_in, *more, then = source
    if then:
        shaft = json.loads(then)["shaft"]
        position, material, diameter_in = (
            shaft[column] for column in ("position", "material", "diameter_in")
        )
    who = [
        *words.tag_words(tag),
        *words.words_of(name),
        *words.words_of(vessel),
        words.joined(vessel),
        *words.phone_words(phone),
        words.state_mark(state),
        *words.side_marks(position),
        *words.size_marks(diameter_in),
        *words.words_of(material),
    ]
    rest = words.words_of(" ".join(text for text in (position, state, *more) if text))
    named = set(who)
    return _line(who), _line(word for word in rest if word not in named)


def _line(found: Iterable[str]) -> str:
    return " ".join(list(dict.fromkeys(word for word in found if word))[:_MOST_WORDS])


def _put_in(con: Any, source: tuple[Any, ...]) -> None:
    doc_no = _minutes(source[1])
    while con.execute("SELECT 1 FROM search_doc WHERE doc_no = ?", (doc_no,)).fetchone():
        doc_no += 1
    who, rest = _texts(source)
    con.execute("INSERT INTO search_doc VALUES (?, ?, ?, ?)", (doc_no, source[0], who, rest))
    for table, names in _TABLES:
        values = (doc_no, who) if names == "who" else (doc_no, who, rest)
        marks = ", ".join("?" * len(values))
        con.execute(f"INSERT INTO {table} (rowid, {names}) VALUES ({marks})", values)
    _add_words(con, set(f"{who} {rest}".split()))


def _take_out(con: Any, job_id: str) -> None:
    doc = con.execute(
        "SELECT doc_no, who, rest FROM search_doc WHERE job_id = ?", (job_id,)
    ).fetchone()
    if doc is None:
        return
    doc_no, who, rest = doc
    for table, names in _TABLES:
        values = (doc_no, who) if names == "who" else (doc_no, who, rest)
        marks = ", ".join("?" * len(values))
        con.execute(
            f"INSERT INTO {table} ({table}, rowid, {names}) VALUES ('delete', {marks})", values
        )
    con.execute("DELETE FROM search_doc WHERE doc_no = ?", (doc_no,))
    for word in sorted(set(f"{who} {rest}".split())):
        left = con.execute(
            "SELECT 1 FROM search_all WHERE search_all MATCH ? LIMIT 1", (f'"{word}"',)
        )
        if left.fetchone() is None:
            con.execute("DELETE FROM search_word WHERE word = ?", (word,))


def _add_words(con: Any, found: Iterable[str]) -> None:
    con.executemany(
        "INSERT OR IGNORE INTO search_word VALUES (?)", [(word,) for word in sorted(found)]
    )
