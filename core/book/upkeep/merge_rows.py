"""Row by row: what is new, what only one side changed, what both changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from core.base.records import Customer
from core.book import rows
from core.book.audit import note_change
from core.book.connection import Book
from core.book.privacy.redaction import named_in, strike_everywhere
from core.book.upkeep.merge_tags import Retagged, distinct_tag
from core.book.upkeep.tables import WITH_ID

_GOVERNED = {
    ("job", "closed_at"): "state",
    ("job", "waiting_for"): "state",
    ("hit", "undone_at"): "taken back",
    ("penetrant_check", "overrule_by"): "overruled",
    ("penetrant_check", "overrule_reason"): "overruled",
}
"""Fields that change together with another: the event that tells of it."""
APPEND_ONLY = {"reading", "measurement"}
CONFLICT = "merge conflict: "
SETTLED = "merge settled: "
"""Beginnings of the events that tell of a conflict and of its end."""


@dataclass(frozen=True)
class Conflict:
    """A field that both books changed; ours was kept."""

    table: str
    row_id: str
    name: str
    """What the row is, for people: a tag, a name."""
    field: str
    ours: str
    theirs: str
    their_value: Any = None
    """As stored, for `core.book.upkeep.merge.settle`."""

    @property
    def words(self) -> str:
        """The conflict in one line."""
        return (
            f"{self.table.replace('_', ' ')} {self.name}: {self.field.replace('_', ' ')} is "
            f"{self.ours!r} here and {self.theirs!r} there; ours was kept"
        )


class Merger:
    """One run over all tables, inside a transaction of `book`."""

    def __init__(self, book: Book, other: Book, progress: Callable[[str], None]) -> None:
        self.book = book
        self.other = other
        self.progress = progress
        self.added: dict[str, int] = {}
        self.taken = 0
        self.conflicts: list[Conflict] = []
        self.retagged: list[Retagged] = []
        self.notes: list[str] = []
        self._named_there: list[Customer] = []
        self._our_events = _changes(book)
        self._their_events = _changes(other)
        self._forgotten = {
            row[0] for row in book.rows("SELECT id FROM customer WHERE forgotten_at IS NOT NULL")
        }

    def run(self) -> None:
        """Merge every table."""
        for table in WITH_ID:
            self.progress(table)
            self._table(table)
        self.progress("event")
        self._events()
        for customer in self._named_there:
            strike_everywhere(self.book, customer)
        self._areas_removed_there()

    def _areas_removed_there(self) -> None:
        for area_id, name in self.book.rows("SELECT id, name FROM riding_area"):
            if ("riding_area", area_id, "removed") in self._their_events:
                self.notes.append(f"The area {name!r} was removed there; it stays here.")

    def _table(self, table: str) -> None:
        names = [row[1] for row in self.book.con.execute(f"PRAGMA table_info({table})")]
        listing = ", ".join(names)
        ours = {row[0]: row for row in self.book.rows(f"SELECT {listing} FROM {table}")}
        theirs = self.other.rows(f"SELECT {listing} FROM {table} ORDER BY rowid")
        # What both have comes first: a tag changed there must be free before new jobs come in.
        for row in theirs:
            mine = ours.get(row[0], row)
            if row != mine:
                self._differing(
                    table, dict(zip(names, mine, strict=True)), dict(zip(names, row, strict=True))
                )
        new = [row for row in theirs if row[0] not in ours]
        self.added[table] = sum(self._add(table, dict(zip(names, row, strict=True))) for row in new)

    def _add(self, table: str, theirs: dict[str, Any]) -> int:
        if table == "riding_area" and ("riding_area", theirs["id"], "removed") in self._our_events:
            return 0
        if table == "job":
            self._retag(theirs)
        marks = ", ".join("?" * len(theirs))
        self.book.con.execute(
            f"INSERT INTO {table} ({', '.join(theirs)}) VALUES ({marks})", tuple(theirs.values())
        )
        if table == "quote":
            self._quote_lines(theirs["id"])
        return 1

    def _retag(self, theirs: dict[str, Any]) -> None:
        tag = distinct_tag(self.book, theirs["tag"])
        if tag != theirs["tag"]:
            self.retagged.append(Retagged(theirs["id"], theirs["tag"], tag))
            note_change(self.book, "job", theirs["id"], "tag", theirs["tag"], tag)
            theirs["tag"] = tag

    def _quote_lines(self, quote_id: str) -> None:
        lines = self.other.rows("SELECT * FROM quote_line WHERE quote_id = ?", (quote_id,))
        self.book.con.executemany("INSERT INTO quote_line VALUES (?, ?, ?, ?, ?, ?)", lines)

    def _differing(self, table: str, ours: dict[str, Any], theirs: dict[str, Any]) -> None:
        if table == "customer" and ours["id"] in self._forgotten:
            self.notes.append("A customer deleted here on request was not taken in again.")
            self._named_there.append(rows.from_row(Customer, tuple(theirs.values())))
            self._once_named_there(ours["id"])
            return
        if table == "customer" and theirs["forgotten_at"]:
            self._keep_ours(table, ours, theirs, "forgotten_at")
            return
        fields = [name for name in ours if ours[name] != theirs[name]]
        winners = {name: self._winner(table, ours, theirs, name) for name in fields}
        update = {name: theirs[name] for name in fields if winners[name] == "theirs"}
        for name in fields:
            if winners[name] == "nobody":
                self._keep_ours(table, ours, theirs, name)
        if "tag" in update:
            update["tag"] = distinct_tag(self.book, update["tag"])
        if update:
            settings = ", ".join(f"{name} = ?" for name in update)
            self.book.con.execute(
                f"UPDATE {table} SET {settings} WHERE id = ?", (*update.values(), ours["id"])
            )
            self.taken += len(update)

    def _once_named_there(self, customer_id: str) -> None:
        """Earlier names and numbers of the customer, from the event log of the other book."""
        sql = "SELECT what, old, new FROM event WHERE subject = 'customer' AND subject_id = ?"
        changes = [(str(w), str(o), str(n)) for w, o, n in self.other.rows(sql, (customer_id,))]
        self._named_there += named_in(customer_id, changes)

    def _winner(self, table: str, ours: dict[str, Any], theirs: dict[str, Any], name: str) -> str:
        """'ours', 'theirs' or 'nobody' for a field that differs."""
        if table in APPEND_ONLY:
            # Only the mark 'replaced' can differ, and it never goes away again.
            if ours[name] is None:
                return "theirs"
            return "ours" if theirs[name] is None else "nobody"
        if self._unsettled(table, ours, theirs, name):
            return "nobody"
        key = (table, ours["id"], _GOVERNED.get((table, name), name))
        our_news = self._our_events.get(key, frozenset()) - self._their_events.get(key, frozenset())
        their_news = self._their_events.get(key, frozenset()) - self._our_events.get(
            key, frozenset()
        )
        if their_news and not our_news:
            return "theirs"
        if our_news and not their_news:
            return "ours"
        return "nobody"

    def _unsettled(
        self, table: str, ours: dict[str, Any], theirs: dict[str, Any], name: str
    ) -> bool:
        """True when an earlier merge listed this very conflict and nobody has settled it."""
        sql = "SELECT what FROM event WHERE subject = ? AND subject_id = ? AND old = ? AND new = ?"
        found = self.book.rows(sql, (table, ours["id"], _say(ours[name]), _say(theirs[name])))
        told = {row[0] for row in found}
        return f"{CONFLICT}{name}" in told and f"{SETTLED}{name}" not in told

    def _keep_ours(
        self, table: str, ours: dict[str, Any], theirs: dict[str, Any], name: str
    ) -> None:
        label = next((str(ours[k]) for k in ("tag", "name", "area", "position") if ours.get(k)), "")
        found = Conflict(
            table,
            ours["id"],
            label or ours["id"],
            name,
            _say(ours[name]),
            _say(theirs[name]),
            theirs[name],
        )
        self.conflicts.append(found)
        what = f"{CONFLICT}{name}"
        known = self.book.one(
            "SELECT 1 FROM event WHERE subject = ? AND subject_id = ? AND what = ? AND old = ? "
            "AND new = ?",
            (table, ours["id"], what, found.ours, found.theirs),
        )
        if not known:
            note_change(self.book, table, ours["id"], what, found.ours, found.theirs)

    def _events(self) -> None:
        """Add the events only they have, but none about a customer deleted here on request."""
        have = {row[0] for row in self.book.rows("SELECT id FROM event")}
        count = 0
        for row in self.other.rows("SELECT * FROM event ORDER BY rowid"):
            if row[0] not in have and row[4] not in self._forgotten:
                self.book.con.execute("INSERT INTO event VALUES (?, ?, ?, ?, ?, ?, ?, ?)", row)
                count += 1
        self.added["event"] = count


def _say(value: Any) -> str:
    return "" if value is None else str(value)


def _changes(book: Book) -> dict[tuple[str, str, str], frozenset[str]]:
    """Ids of the events of each field of each row."""
    found: dict[tuple[str, str, str], set[str]] = {}
    for subject, subject_id, what, event_id in book.rows(
        "SELECT subject, subject_id, what, id FROM event"
    ):
        found.setdefault((subject, subject_id, what), set()).add(event_id)
    return {key: frozenset(ids) for key, ids in found.items()}
