"""Keep a small book of the present schema: `python -m tests.book.make_old_book`.

Run once with each migration: the newest kept book, brought up to date, with all that is in it. A
migration that adds a table adds a row here too. The file stays under `tests/book/data` for ever and
`test_old_books.py` opens it with every later program.
"""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from pathlib import Path

from core.book.opening import open_book
from core.book.schema import ledger as schema
from tests.support.book_helpers import Ticker

DATA = Path(__file__).with_name("data")


def keep() -> Path:
    """Write `data/book_vN.db` from that of the step before: no free space, no log beside it."""
    target = DATA / f"book_v{schema.SCHEMA_VERSION}.db"
    with tempfile.TemporaryDirectory() as folder:
        present = Path(folder) / "present.db"
        shutil.copyfile(DATA / f"book_v{schema.SCHEMA_VERSION - 1}.db", present)
        open_book(present, by="Ada", now=Ticker()).close()
        con = sqlite3.connect(present, isolation_level=None)
        con.execute("PRAGMA journal_mode = DELETE")
        con.execute("VACUUM")
        con.close()
        shutil.copyfile(present, target)
    return target


if __name__ == "__main__":
    print(keep())
