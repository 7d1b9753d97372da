"""What two merged books both changed: the list, its events in the log, settling one of them."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any

from core.base import records
from core.base.records import Job, Measurement, Reading, Sweep
from core.base.times import local_text
from core.book import rows
from core.book.audit import note_change
from core.book.connection import Book
from core.book.errors import Refused
from core.book.gate import check_record
from core.book.jobs import set_state
from core.book.measurements import take_measurement
from core.book.readings import correct_reading
from core.book.releases import last_release

CONFLICT = "merge conflict: "
SETTLED = "merge settled: "
"""Beginnings of the events that report a conflict and its end."""
OF_ROWS = {"reading", "measurement"}
_RECORDS = {table: getattr(records, name) for name, table in rows.TABLES.items()}


@dataclass(frozen=True)
class Conflict:
    """One thing entered differently in both books; the later entry counts until it is settled."""

    table: str
    row_id: str
    """The row in question; of readings and measurements the one that counts."""
    name: str
    """What the row is, for people: a tag, a name, a sweep."""
    field: str
    counts: str
    """What counts now, in words."""
    other: str
    """What the other book had, in words."""
    other_value: Any = None
    """As stored; of readings and measurements the id of the other row."""
    from_there: bool = False
    """Whether what counts now came in with the other book."""

    @property
    def words(self) -> str:
        """The conflict in one line."""
        sides = ("there", "here") if self.from_there else ("here", "there")
        return (
            f"{self.table.replace('_', ' ')} {self.name}, {self.field.replace('_', ' ')}: "
            f"{self.counts!r} {sides[0]} was entered later and counts; {self.other!r} {sides[1]} "
            "stays in the log"
        )


def as_text(value: Any) -> str:
    """A stored value as in the event log."""
    return "" if value is None else str(value)


def note_conflict(book: Book, found: Conflict, later_id: str) -> None:
    """Write a conflict to the log once: both books, merged either way, give the same event.

    `later_id`: id of the later of the two entries.
    """
    what = f"{CONFLICT}{found.field}"
    subject = found.row_id
    key = "|".join((found.table, subject, what, *sorted((found.counts, found.other))))
    event_id = fixed_id(later_id, key)
    at = book.one("SELECT at FROM event WHERE id = ?", (later_id,))
    book.con.execute(
        "INSERT OR IGNORE INTO event VALUES (?, ?, '', ?, ?, ?, ?, ?)",
        (event_id, at[0] if at else book.now(), found.table, subject, what, found.other,
         found.counts),
    )  # fmt: skip


def fixed_id(time_of: str, key: str) -> str:
    """An id with the time of another one, the same in every book for the same key."""
    digits = time_of.replace("-", "")[:12] + "8" + hashlib.sha256(key.encode()).hexdigest()[:19]
    return "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:]))


def open_conflicts(book: Book) -> tuple[Conflict, ...]:
    """Fields that earlier merges listed and nobody has settled or changed since."""
    found: dict[tuple[str, str, str], Conflict] = {}
    ends: dict[tuple[str, str, str], str] = {}
    newest = "SELECT subject, subject_id, what, max(id) FROM event GROUP BY 1, 2, 3"
    for table, row_id, what, event_id in book.rows(newest):
        if not what.startswith(CONFLICT):
            key = (table, row_id, what.removeprefix(SETTLED))
            ends[key] = max(ends.get(key, ""), event_id)
    listed = book.rows(
        "SELECT id, subject, subject_id, what, old, new FROM event WHERE what GLOB ? ORDER BY id",
        (f"{CONFLICT}*",),
    )
    for event_id, table, row_id, what, other, counts in listed:
        key = (table, row_id, what.removeprefix(CONFLICT))
        # The event carries the time of the later entry: only a still later one ends it.
        if ends.get(key, "")[:13] > event_id[:13]:
            continue
        value = _other_row(book, table, row_id, other) if table in OF_ROWS else other
        if value is not None:
            label = label_of(book, table, row_id)
            found[key] = Conflict(table, row_id, label, key[2], counts, other, value)
    return tuple(found.values())


def _other_row(book: Book, table: str, row_id: str, words: str) -> str | None:
    """The reading or measurement of these words that a row took the place of; None when that row
    does not count any more."""
    last = rows.get(book, _RECORDS[table], row_id)
    if last.replaced_by is not None:
        return None
    old = rows.select(book, _RECORDS[table], "replaced_by = ? ORDER BY id DESC", (row_id,))
    return next((one.id for one in old if said(book, one) == words), None)


def said(book: Book, one: Reading | Measurement) -> str:
    """`18.0, 29 Nov 10:12 (Ada)`: what was entered, when, by whom."""
    by = one.by
    if isinstance(one, Reading) and not by:
        by = rows.get(book, Sweep, one.sweep_id).measured_by
    who = f" ({by})" if by else ""
    return f"{one.raw}, {local_text(one.taken_at, '%d %b %H:%M')}{who}"


def label_of(book: Book, table: str, row_id: str) -> str:
    """A row for people: its tag, name or place; of a reading the tag and the sweep."""
    if table == "reading":
        sweep = rows.get(book, Sweep, rows.get(book, Reading, row_id).sweep_id)
        return f"{rows.get(book, Job, sweep.job_id).tag}, {sweep.purpose} sweep"
    if table == "measurement":
        return rows.get(book, Job, rows.get(book, Measurement, row_id).job_id).tag
    names = {row[1] for row in book.rows(f"PRAGMA table_info({table})")}
    for name in ("tag", "name", "area", "position"):
        if name in names:
            row = book.one(f"SELECT {name} FROM {table} WHERE id = ?", (row_id,))
            return str(row[0]) if row and row[0] else row_id
    return row_id


def settle(book: Book, conflict: Conflict, *, take: str) -> None:
    """End a conflict: 'counts' leaves it as it is, 'other' takes the other entry instead.

    Either way it is not listed again. Of readings and measurements the other value is entered once
    more at its place, as a correction.
    """
    if take not in ("counts", "other"):
        raise Refused("A conflict is settled by what counts now or by the other entry.")
    with book.write() as con:
        if take == "other" and conflict.table in OF_ROWS:
            _enter_again(book, conflict)
        elif take == "other" and (conflict.table, conflict.field) == ("job", "state"):
            paper = last_release(book, conflict.row_id)
            at = paper.at if paper else None
            by = book.by or "whoever settled the conflict"
            set_state(book, conflict.row_id, conflict.other, closed_at=at, by=by)
        elif take == "other":
            check_record(book, rows.get(book, _RECORDS[conflict.table], conflict.row_id))
            con.execute(
                f"UPDATE {conflict.table} SET {conflict.field} = ? WHERE id = ?",
                (_typed(book, conflict), conflict.row_id),
            )
            note_change(
                book, conflict.table, conflict.row_id, conflict.field, conflict.counts,
                conflict.other,
            )  # fmt: skip
        left, taken = (
            (conflict.other, conflict.counts)
            if take == "counts"
            else (conflict.counts, conflict.other)
        )
        note_change(
            book, conflict.table, conflict.row_id, f"{SETTLED}{conflict.field}", left, taken
        )


def _enter_again(book: Book, conflict: Conflict) -> None:
    if conflict.table == "reading":
        old = rows.get(book, Reading, str(conflict.other_value))
        correct_reading(book, conflict.row_id, value_in=old.value_in, raw=old.raw)
        return
    one = rows.get(book, Measurement, str(conflict.other_value))
    take_measurement(
        book, job_id=one.job_id, subject=one.subject, what=one.what, raw=one.raw,
        value_in=one.value_in, set_no=one.set_no, depth_in=one.depth_in, clock_deg=one.clock_deg,
    )  # fmt: skip


def _typed(book: Book, conflict: Conflict) -> Any:
    """The other value as the column takes it: '' where nothing was known is NULL."""
    if conflict.other_value != "":
        return conflict.other_value
    columns = book.rows(f"PRAGMA table_info({conflict.table})")
    needed = any(row[1] == conflict.field and row[3] for row in columns)
    return "" if needed else None
