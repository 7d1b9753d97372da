"""Row by row: what is new, what only one book changed, what both changed.

Whatever order books are merged in, the same rows come out: of two changes to one field, of two
readings at one mark, of two removals and changes of an area the later act counts, by the ids in the
event log, which sort by time. The other one stays in the log and is listed.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence
from typing import Any

from core.base.shop_records import Customer
from core.book import rows
from core.book.connection import Book
from core.book.privacy.redaction import named_in, strike_everywhere
from core.book.upkeep.conflicts import Conflict, as_text, note_conflict
from core.book.upkeep.merge_marks import settle_marks
from core.book.upkeep.merge_notes import merge_notes
from core.book.upkeep.merge_tags import Retagged, give_tag
from core.book.upkeep.tables import WITH_ID

_GOVERNED = {
    ("job", "closed_at"): "state",
    ("job", "waiting_for"): "state",
    ("hit", "undone_at"): "taken back",
    ("hit_reading", "undone_at"): "taken back",
    ("penetrant_check", "overrule_by"): "overruled",
    ("penetrant_check", "overrule_reason"): "overruled",
}
"""Fields that change together with another: the event that reports it."""
ROWS_A_STEP = 500
"""Rows between two reports of the progress."""
APPEND_ONLY = {"reading", "measurement", "choice", "past", "penetrant_condition", "note"}
Row = dict[str, Any]
Key = tuple[str, str, str]
"""Table, id, field: what the events of one field have in common."""


class OtherBook:
    """The book that comes in, for reading only."""

    def __init__(self, con: sqlite3.Connection) -> None:
        self._con = con

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """All rows of a query."""
        return self._con.execute(sql, values).fetchall()


class Merger:
    """One run over all tables, inside a transaction of `book`."""

    def __init__(self, book: Book, other: OtherBook, progress: Callable[[int, int], None]) -> None:
        self.book = book
        self.other = other
        self.progress = progress
        self.done = self.total = 0
        """Steps so far, and at most: each row of the other book is looked at and perhaps added."""
        self.added: dict[str, int] = {}
        self.taken = 0
        self.conflicts: list[Conflict] = []
        self.retagged: list[Retagged] = []
        self.notes: list[str] = []
        self._named_there: list[Customer] = []
        self._our_events = _changes(book)
        self._their_events = _changes(other)
        self._erased = {
            row[0] for row in book.rows("SELECT id FROM customer WHERE forgotten_at IS NOT NULL")
        }

    def run(self) -> None:
        """Merge every table."""
        before = {
            table: {row[0] for row in self.book.rows(f"SELECT id FROM {table}")}
            for table in ("reading", "measurement")
        }
        count = "SELECT count(*) FROM "
        self.total = 2 * sum(self.other.rows(count + table)[0][0] for table in WITH_ID)
        for table in WITH_ID:
            self._table(table)
        self._events()
        for customer in self._named_there:
            strike_everywhere(self.book, customer)
        self._areas_removed_there()
        self.conflicts += settle_marks(self.book, before)
        self.notes += merge_notes(self.book)

    def _table(self, table: str) -> None:
        names = [row[1] for row in self.book.con.execute(f"PRAGMA table_info({table})")]
        listing = ", ".join(names)
        ours = {row[0]: row for row in self.book.rows(f"SELECT {listing} FROM {table}")}
        theirs = self.other.rows(f"SELECT {listing} FROM {table} ORDER BY rowid")
        # What both have comes first: a tag changed there must be free before new jobs come in.
        for row in theirs:
            self._step()
            mine = ours.get(row[0], row)
            if row != mine:
                self._differing(
                    table, dict(zip(names, mine, strict=True)), dict(zip(names, row, strict=True))
                )
        new = [row for row in theirs if row[0] not in ours]
        self.added[table] = 0
        for row in new:
            self._step()
            self.added[table] += self._add(table, dict(zip(names, row, strict=True)))
        self.done += len(theirs) - len(new)

    def _step(self) -> None:
        if self.done % ROWS_A_STEP == 0:
            self.progress(self.done, self.total)
        self.done += 1

    def _add(self, table: str, theirs: Row) -> int:
        if table == "riding_area" and self._removed(theirs["id"]):
            return 0
        if table == "job":
            self.retagged += give_tag(self.book, theirs)
        marks = ", ".join("?" * len(theirs))
        self.book.con.execute(
            f"INSERT INTO {table} ({', '.join(theirs)}) VALUES ({marks})", tuple(theirs.values())
        )
        if table == "quote":
            self._quote_lines(theirs["id"])
        return 1

    def _removed(self, area_id: str) -> bool:
        """Whether an area was taken off the shaft later than anybody changed it."""
        removed, changed = "", ""
        for events in (self._our_events, self._their_events):
            for (table, row_id, what), ids in events.items():
                if table == "riding_area" and row_id == area_id:
                    if what == "removed":
                        removed = max(removed, *ids)
                    else:
                        changed = max(changed, *ids)
        return removed > changed

    def _areas_removed_there(self) -> None:
        for area_id, name in self.book.rows("SELECT id, name FROM riding_area"):
            if self._removed(area_id):
                self.book.con.execute("DELETE FROM riding_area WHERE id = ?", (area_id,))
                self.notes.append(f"The area {name!r} was removed there; it is removed here too.")

    def _quote_lines(self, quote_id: str) -> None:
        lines = self.other.rows("SELECT * FROM quote_line WHERE quote_id = ?", (quote_id,))
        self.book.con.executemany("INSERT INTO quote_line VALUES (?, ?, ?, ?, ?, ?)", lines)

    def _differing(self, table: str, ours: Row, theirs: Row) -> None:
        if table == "customer" and ours["id"] in self._erased:
            self.notes.append("A customer deleted here on request was not taken in again.")
            self._named_there.append(rows.from_row(Customer, tuple(theirs.values())))
            self._once_named_there(ours["id"])
            return
        if table == "customer" and theirs["forgotten_at"]:
            self.notes.append(
                f"The data of customer {ours['name']!r} was deleted there on request. It is still "
                "here: delete it here too (`shaftlog erase`)."
            )
            return
        if table in APPEND_ONLY:
            self._replaced_there(table, ours, theirs)
            return
        update = {
            name: theirs[name]
            for name in ours
            if ours[name] != theirs[name] and self._theirs_counts(table, ours, theirs, name)
        }
        if "tag" in update:
            self.retagged += give_tag(self.book, {**theirs, "tag": update["tag"]})
            update["tag"] = theirs["tag"]
        if update:
            changes = ", ".join(f"{name} = ?" for name in update)
            self.book.con.execute(
                f"UPDATE {table} SET {changes} WHERE id = ?", (*update.values(), ours["id"])
            )
            self.taken += len(update)

    def _replaced_there(self, table: str, ours: Row, theirs: Row) -> None:
        """Of rows that are only added, no more than the mark 'replaced' can come over."""
        if ours.get("replaced_by", "") is None and theirs["replaced_by"] is not None:
            self.book.con.execute(
                f"UPDATE {table} SET replaced_by = ? WHERE id = ?",
                (theirs["replaced_by"], ours["id"]),
            )
            self.taken += 1

    def _once_named_there(self, customer_id: str) -> None:
        """Earlier names and numbers of the customer, from the event log of the other book."""
        sql = "SELECT what, old, new FROM event WHERE subject = 'customer' AND subject_id = ?"
        changes = [(str(w), str(o), str(n)) for w, o, n in self.other.rows(sql, (customer_id,))]
        self._named_there += named_in(customer_id, changes)

    def _theirs_counts(self, table: str, ours: Row, theirs: Row, name: str) -> bool:
        """Whether the other book's value of a field counts; a field changed in both is listed."""
        governing = _GOVERNED.get((table, name), name)
        key = (table, ours["id"], governing)
        known_here = self._our_events.get(key, frozenset())
        known_there = self._their_events.get(key, frozenset())
        new_here, new_there = known_here - known_there, known_there - known_here
        if not new_here and not new_there:
            # Changed without an event (the start of a sweep not yet read): the larger one.
            return as_text(theirs[name]) > as_text(ours[name])
        if not (new_here and new_there):
            return bool(new_there)
        there_later = max(new_there) > max(new_here)
        listed_with_another = governing != name and ours.get(governing) != theirs.get(governing)
        if not listed_with_another:
            counts, other = (theirs, ours) if there_later else (ours, theirs)
            label = next(
                (str(ours[k]) for k in ("tag", "name", "area", "position") if ours.get(k)), ""
            )
            found = Conflict(
                table, ours["id"], label or ours["id"], name,
                as_text(counts[name]), as_text(other[name]), other[name],
                there_later,
            )  # fmt: skip
            self.conflicts.append(found)
            note_conflict(self.book, found, max(*new_here, *new_there))
        return there_later

    def _events(self) -> None:
        """Add the events only they have, but none about a customer deleted here on request."""
        have = {row[0] for row in self.book.rows("SELECT id FROM event")}
        count = 0
        for row in self.other.rows("SELECT * FROM event ORDER BY rowid"):
            if row[0] not in have and row[4] not in self._erased:
                self.book.con.execute("INSERT INTO event VALUES (?, ?, ?, ?, ?, ?, ?, ?)", row)
                count += 1
        self.added["event"] = count


def _changes(book: Book | OtherBook) -> dict[Key, frozenset[str]]:
    """Ids of the events of each field of each row."""
    found: dict[Key, set[str]] = {}
    for subject, subject_id, what, event_id in book.rows(
        "SELECT subject, subject_id, what, id FROM event"
    ):
        found.setdefault((subject, subject_id, what), set()).add(event_id)
    return {key: frozenset(ids) for key, ids in found.items()}
