"""Keep a small book of the present schema: `python -m tests.book.make_old_book`.

Run once before a release that adds a migration; the file stays under `tests/book/data` for ever
and `test_old_books.py` opens it with every later program. `... VERSION` makes one of an older
schema from the rows of the present one (only for versions that had the same tables).
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from pathlib import Path

from core.base.records import OldCard, QuoteLine
from core.book import choices, hits, measurements, penetrant_checks, quotes, settings, sweeps
from core.book.cards import old_cards
from core.book.readings import correct_reading, readings_of, undo_reading
from core.book.schema import ledger as schema
from core.book.upkeep.tables import ENTERED
from tests.support.book_helpers import add_job, add_sweep, open_fixed, read_all

DATA = Path(__file__).with_name("data")


def fill(path: Path) -> None:
    """A book with something in every table."""
    with open_fixed(path) as book:
        small = add_job(book, notes="with [brackets] and åäö")
        read_all(book, small.sweep, lambda station, clock: (station - clock / 90) * 1e-4)
        first = readings_of(book, small.sweep.id)[0]
        correct_reading(book, first.id, value_in=0.0007, raw="0.7")
        sweeps.finish_sweep(book, small.sweep.id)
        back = add_sweep(book, small.job.id, "hold check", direction=-1)
        read_all(book, back)
        undo_reading(book, back.id)
        sweeps.add_quick_check(book, job_id=small.job.id, round_no=1, sweep_id=back.id)
        hits.add_hit(
            book,
            job_id=small.job.id,
            round_no=1,
            method="press",
            station_in=30.0,
            clock_deg=45.0,
            angle_rad=0.002,
        )
        penetrant_checks.start_checks(
            book, job_id=small.job.id, standard="shop", areas=[("taper", 66.0, 72.0)]
        )
        measurements.take_measurement(
            book,
            job_id=small.job.id,
            subject="bore",
            what="diameter",
            value_in=1.2503,
            raw="1.2503",
        )
        line = QuoteLine("hits", 3.0, 40.0, 120.0)
        quotes.save_quote(book, job_id=small.job.id, kind="repair", text="x", lines=[line])
        settings.save(book, spacing_in=4.0)
        choices.choose(
            book, job_id=small.job.id, subject="repair terms", name="labour_rate", number=77.0
        )
        choices.choose(
            book,
            job_id=small.job.id,
            subject="key check",
            name="burrs",
            value="yes",
            note="dressed",
        )
        card = OldCard(old_cards.card_id("x"), small.customer.id, "Gannet", "port", year=1998)
        old_cards.add_cards(book, (), (card,))


def keep(version: int) -> Path:
    """Write `data/book_vN.db`: small pages, no free space, no log beside it."""
    target = DATA / f"book_v{version}.db"
    target.unlink(missing_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        present = Path(folder) / "present.db"
        fill(present)
        con = sqlite3.connect(target, isolation_level=None)
        con.execute("PRAGMA page_size = 512")
        schema.create_all(con, "2026-03-02 08:00:00+00:00", version)
        con.execute("ATTACH ? AS present", (str(present),))
        con.execute("BEGIN")
        there = {row[0] for row in con.execute("SELECT name FROM main.sqlite_master")}
        searched = ("search_doc", "search_word", "search_card_doc")
        for table in (one for one in (*ENTERED, *searched) if one in there):
            con.execute(f"INSERT OR REPLACE INTO {table} SELECT * FROM present.{table}")
        for table in ("search_who", "search_all", "search_part") if version >= 2 else ():
            con.execute(f"INSERT INTO {table} ({table}) VALUES ('rebuild')")
        if "search_card" in there:
            con.execute("INSERT INTO search_card (search_card) VALUES ('rebuild')")
            con.execute("DELETE FROM search_card_todo")
        if version >= 2:
            con.execute("DELETE FROM search_todo")
        con.execute("COMMIT")
        con.execute("DETACH present")
        con.execute("VACUUM")
        con.close()
    return target


if __name__ == "__main__":
    print(keep(int(sys.argv[1]) if len(sys.argv) > 1 else schema.SCHEMA_VERSION))
