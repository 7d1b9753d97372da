"""The tables of the job book, as numbered steps that are only ever added to.

`PRAGMA user_version` holds the number of steps applied and `PRAGMA application_id` says that the
file is ours, so that opening an up-to-date book costs two pragmas. Steps on an existing book are
applied by sqlite-utils (loaded only then); a new book gets the same steps and the same ledger by
plain SQL, so that a first start is fast too.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

from core.book.errors import NewerBook
from core.book.schema.m0001 import M0001_TABLES
from core.book.schema.m0002 import M0002_SEARCH
from core.book.schema.m0003 import M0003_CONDITIONS
from core.book.schema.m0004 import M0004_MADE_BY
from core.book.schema.m0005 import M0005_CHOICES
from core.book.schema.m0006 import M0006_PAST_OWNER
from core.book.schema.m0007 import M0007_HIT_READINGS
from core.book.schema.m0008 import M0008_JUDGED_BY
from core.book.schema.m0009 import M0009_ROW_COPIES
from core.book.schema.m0010 import M0010_READ_BY
from core.book.schema.m0011 import M0011_SEARCH_STATE
from core.book.schema.m0012 import M0012_OLD_CARDS
from core.book.schema.m0013 import M0013_COLD_RULE

APPLICATION_ID = 0x53484C47
"""'SHLG' in the header of the file."""
MIGRATION_SET = "shaftlog"
LEDGER = "_sqlite_migrations"

MIGRATIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("m0001_tables", M0001_TABLES),
    ("m0002_search", M0002_SEARCH),
    ("m0003_conditions", M0003_CONDITIONS),
    ("m0004_made_by", M0004_MADE_BY),
    ("m0005_choices", M0005_CHOICES),
    ("m0006_past_owner", M0006_PAST_OWNER),
    ("m0007_hit_readings", M0007_HIT_READINGS),
    ("m0008_judged_by", M0008_JUDGED_BY),
    ("m0009_row_copies", M0009_ROW_COPIES),
    ("m0010_read_by", M0010_READ_BY),
    ("m0011_search_state", M0011_SEARCH_STATE),
    ("m0012_old_cards", M0012_OLD_CARDS),
    ("m0013_cold_rule", M0013_COLD_RULE),
)
"""Name and statements of each step, oldest first. Never edit one that has been released."""

SCHEMA_VERSION = len(MIGRATIONS)

_LEDGER_SQL = (
    f'CREATE TABLE "{LEDGER}" ("id" INTEGER PRIMARY KEY, "migration_set" TEXT, "name" TEXT, '
    '"applied_at" TEXT)',
    f'CREATE UNIQUE INDEX "idx_{LEDGER}_migration_set_name" ON "{LEDGER}" '
    '("migration_set", "name")',
)


def create_all(con: sqlite3.Connection, applied_at: str, version: int = SCHEMA_VERSION) -> None:
    """Make the tables of a new, empty book in one transaction (up to `version`, for tests)."""
    con.execute("BEGIN IMMEDIATE")
    try:
        if con.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
            con.execute("ROLLBACK")  # another program made them while we waited for the lock
            return
        for statement in _LEDGER_SQL:
            con.execute(statement)
        for name, statements in MIGRATIONS[:version]:
            for statement in statements:
                con.execute(statement)
            con.execute(
                f'INSERT INTO "{LEDGER}" (migration_set, name, applied_at) VALUES (?, ?, ?)',
                (MIGRATION_SET, name, applied_at),
            )
        con.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        con.execute(f"PRAGMA user_version = {version}")
        con.execute("COMMIT")
    except BaseException:
        if con.in_transaction:
            con.execute("ROLLBACK")
        raise


def migrate(con: sqlite3.Connection, path: str) -> None:
    """Bring an older book up to date with sqlite-utils, one transaction for each step.

    Foreign keys must be off on `con`; they are checked by the caller afterwards.
    """
    from sqlite_utils import Database
    from sqlite_utils.migrations import Migrations

    migrations = Migrations(MIGRATION_SET)

    def step(number: int, statements: tuple[str, ...]) -> Callable[[Database], None]:
        def run(db: Database) -> None:
            for statement in statements:
                db.execute(statement)
            db.execute(f"PRAGMA user_version = {number}")

        return run

    for number, (name, statements) in enumerate(MIGRATIONS, start=1):
        migrations(name=name)(step(number, statements))
    db = Database(con)
    known = {name for name, _ in MIGRATIONS}
    if any(applied.name not in known for applied in migrations.applied(db)):
        raise newer_book(path)
    migrations.apply(db)


def newer_book(path: str) -> NewerBook:
    """The refusal of a book written by a newer program."""
    return NewerBook(
        f"{path} was written by a newer Shaftlog than this one. Nothing was changed: install the "
        "newer program on this computer, or open an older backup."
    )
