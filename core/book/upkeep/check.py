"""Is the book sound? Looks, reports in words, changes nothing."""

from __future__ import annotations

import re
import sqlite3
from dataclasses import dataclass
from pathlib import Path

from core.book.errors import READ_ERRORS, BookError, NewerBook, book_error, plain_words
from core.book.schema import ledger as schema
from core.book.upkeep import copies, header, values
from core.book.upkeep.backup import Progress
from core.book.upkeep.look import look
from core.book.upkeep.stoppable import INDEX_STEPS_A_ROW, rows_in, stoppable

_MOST_LINES = 20
_STEPS_A_ROW = 110
"""Steps of SQLite to check one row, measured on books of 7,000 and 75,000 rows."""
_INDEX = "search index"
_NOT_AS_ENTERED = re.compile(r"row (\d+) missing from index (\w+)_row_copy")
COUNTED = ("customer", "vessel", "shaft", "job", "sweep", "reading", "hit", "measurement")


@dataclass(frozen=True)
class CheckReport:
    """The state of a book."""

    path: Path
    sound: bool
    findings: tuple[str, ...]
    """What is wrong, one line each; empty when sound."""
    counts: tuple[tuple[str, int | None], ...]
    """Rows of the main tables that could be read; None = the table cannot be read to its end."""
    last_good: copies.BackupFile | None
    """Newest backup that passes its own check; looked for only when the book is not sound."""

    @property
    def words(self) -> str:
        """The whole report as text, ending with what to do."""
        lines = [f"{self.path}: {'sound' if self.sound else 'NOT sound'}"]
        lines += [f"  {finding}" for finding in self.findings]
        for table, count in self.counts:
            lines.append(f"  {table}: {'damaged' if count is None else count}")
        if not self.sound:
            lines.append(self.way_on)
        return "\n".join(lines)

    @property
    def harm(self) -> tuple[str, ...]:
        """What is wrong beside the search index, which can be made again."""
        return tuple(one for one in self.findings if not one.startswith(_INDEX))

    @property
    def way_on(self) -> str:
        """What to do about a book that is not sound."""
        if not self.harm:
            return "Nothing entered is touched: run `shaftlog check --mend-index`."
        if self.last_good is None:
            return (
                "There is no good backup beside it. What can still be read can be saved into a "
                "new book; the damaged file stays as it is."
            )
        at = self.last_good.at.strftime("%Y-%m-%d %H:%M")
        return (
            f"Restore the backup of {at} ({self.last_good.path}). The damaged file is kept beside "
            "it; what was entered since can be saved from it."
        )


def mend_index(path: str | Path, progress: Progress | None = None) -> int:
    """Build the search index of a book again, or leave it as it was; how many jobs it holds."""
    from core.book.cards.card_search import rebuild_cards
    from core.book.opening import open_book
    from core.book.search.index import rebuild

    with open_book(path, create=False) as book:
        steps = rows_in(book.con) * INDEX_STEPS_A_ROW
        with stoppable(book.con, progress, steps), book.write():
            rebuild_cards(book)
            return rebuild(book)


def check_book(path: str | Path, progress: Progress | None = None) -> CheckReport:
    """Check a book wholly. A newer book raises `NewerBook`; damage is in the report."""
    place = Path(path)
    findings: list[str] = []
    counts: list[tuple[str, int | None]] = []
    with plain_words(str(place)):
        try:
            header.check(place)
        except NewerBook:
            raise
        except BookError as error:
            return _report(place, [str(error)], [])
        con = look(place)
        con.execute("PRAGMA cell_size_check = ON")
    try:
        version = _number(con, "PRAGMA user_version", place, findings)
        if version > schema.SCHEMA_VERSION:
            raise schema.newer_book(str(place))
        with stoppable(con, progress, rows_in(con) * _STEPS_A_ROW):
            _structure(con, place, findings)
            _missing_parts(con, version, place, findings)
            findings += values.findings(con)
            counts = [(table, _count(con, table)) for table in COUNTED]
    finally:
        con.close()
    return _report(place, findings, counts)


def _report(place: Path, findings: list[str], counts: list[tuple[str, int | None]]) -> CheckReport:
    findings += [f"the table '{t}' cannot be read to its end" for t, n in counts if n is None]
    shown = list(dict.fromkeys(findings))
    if len(shown) > _MOST_LINES:
        shown = [*shown[:_MOST_LINES], f"and {len(shown) - _MOST_LINES} findings more"]
    found = copies.proposed(place) if shown else None
    good = None if found is None else found.file
    return CheckReport(place, not shown, tuple(shown), tuple(counts), good)


def _number(con: sqlite3.Connection, sql: str, place: Path, findings: list[str]) -> int:
    try:
        return int(con.execute(sql).fetchone()[0])
    except READ_ERRORS as error:
        findings.append(str(book_error(error, str(place))))
        return 0


def _structure(con: sqlite3.Connection, place: Path, findings: list[str]) -> None:
    """SQLite's own checks: pages, indexes, rules of the tables, references."""
    try:
        for (line,) in con.execute(f"PRAGMA integrity_check({_MOST_LINES})"):
            if line != "ok":
                findings += [_damage(part) for part in str(line).splitlines()]
        for table, rowid, parent, _ in con.execute("PRAGMA foreign_key_check"):
            findings.append(f"a row of '{table}' ({rowid}) points to a missing row of '{parent}'")
    except READ_ERRORS as error:
        findings.append(str(book_error(error, str(place))))


def _damage(line: str) -> str:
    """One finding of SQLite in our words where it means that a value was changed."""
    changed = _NOT_AS_ENTERED.match(line)
    if changed:
        return f"row {changed[1]} of '{changed[2]}' is not as it was entered"
    return f"damage: {line}"


def _missing_parts(con: sqlite3.Connection, version: int, place: Path, findings: list[str]) -> None:
    """Tables, indexes and triggers that should be there and are not, or are different."""
    fresh = sqlite3.connect(":memory:", isolation_level=None)
    schema.create_all(fresh, "", max(version, 1))
    listing = "SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL"
    wanted = dict(fresh.execute(listing).fetchall())
    fresh.close()
    try:
        present = dict(con.execute(listing).fetchall())
        orphans = (
            con.execute(
                "SELECT count(*) FROM job LEFT JOIN search_doc ON search_doc.job_id = job.id "
                "LEFT JOIN search_todo ON search_todo.job_id = job.id "
                "WHERE search_doc.job_id IS NULL AND search_todo.job_id IS NULL"
            ).fetchone()[0]
            if version >= 2
            else 0
        )
    except READ_ERRORS as error:
        findings.append(str(book_error(error, str(place))))
        return
    for name, sql in wanted.items():
        if name == schema.LEDGER or name.startswith(f"idx_{schema.LEDGER}"):
            continue
        if name not in present:
            findings.append(f"the part '{name}' of the book is missing")
        elif " ".join(present[name].split()) != " ".join(sql.split()):
            findings.append(f"the part '{name}' of the book is not as this program made it")
    if orphans:
        findings.append(f"{_INDEX}: jobs missing from it: {orphans}")


def _count(con: sqlite3.Connection, table: str) -> int | None:
    """Rows of a table, reading every one; None when it cannot be read to its end."""
    count = 0
    try:
        for _ in con.execute(f"SELECT * FROM {table}"):
            count += 1
    except READ_ERRORS:
        return None
    return count
