"""A small book of every schema there ever was opens, is brought up to date, gives the same."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from core.base.light_dataclass import dataclass
from core.book import hits, jobs, measurements, quotes, settings, sweeps
from core.book.connection import Book
from core.book.errors import DamagedBook, NewerBook, ReadOnlyBook
from core.book.opening import open_book
from core.book.readings import readings_of
from core.book.schema import ledger as schema
from core.book.search import find as search
from core.book.upkeep import check, copies
from core.jobs import facts
from core.jobs.sweep.sweep_entry import open_session
from core.jobs.sweep.sweep_readings import readings_for_core

DATA = Path(__file__).with_name("data")
VERSIONS = range(1, schema.SCHEMA_VERSION + 1)


@pytest.fixture(params=VERSIONS)
def old(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    path = tmp_path / "shop.db"
    shutil.copyfile(DATA / f"book_v{request.param}.db", path)
    return path


def contents(book: Book) -> dict[str, object]:
    job = jobs.job_by_tag(book, "26-001")
    return {
        "job": job,
        "readings": [readings_for_core(book, s.id) for s in sweeps.sweeps_of(book, job.id)],
        "all rows": [
            [(r.raw, r.replaced_by is None) for r in readings_of(book, s.id, all_rows=True)]
            for s in sweeps.sweeps_of(book, job.id)
        ],
        "points": [open_session(book, s.id).cursor for s in sweeps.sweeps_of(book, job.id)],
        "hits": hits.hits_of(book, job.id),
        "measurements": [
            (m.subject, m.what, m.raw, m.value_in)
            for m in measurements.measurements_of(book, job.id)
        ],
        "quotes": [(q.kind, q.text, q.lines) for q in quotes.quotes_of(book, job.id)],
        "spacing": settings.load(book).spacing_in,
        "facts": facts.facts_of(book, job.id),
        "found": [f.tag for f in search.find(book, "haldorsen 0142")],
    }


def test_every_old_book_gives_the_same(old: Path) -> None:
    with open_book(old) as book:
        got = contents(book)
    assert got["spacing"] == 4.0
    assert got["found"] == ["26-001"]
    first, second = got["readings"]  # type: ignore[misc]
    assert 0.0007 in first.stations[0].reading_in  # the corrected one
    assert sum(len(s.reading_in) for s in first.stations) == 12
    assert sum(len(s.reading_in) for s in second.stations) == 11
    with open_book(DATA / f"book_v{schema.SCHEMA_VERSION}.db", read_only=True) as present:
        assert got == contents(present)
    assert check.check_book(old).sound, check.check_book(old).words


def test_a_backup_is_made_before_the_update(old: Path) -> None:
    before = old.read_bytes()
    version = int.from_bytes(before[60:64], "big")
    open_book(old).close()
    made = [b for b in copies.list_backups(old) if b.kind == "before-update"]
    assert len(made) == (1 if version < schema.SCHEMA_VERSION else 0)
    for one in made:
        assert int.from_bytes(one.path.read_bytes()[60:64], "big") == version


def test_a_failed_update_leaves_the_old_book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "shop.db"
    shutil.copyfile(DATA / "book_v1.db", path)
    broken = (*schema.MIGRATIONS[1][1], "INSERT INTO no_such_table VALUES (1)")
    steps = (schema.MIGRATIONS[0], (schema.MIGRATIONS[1][0], broken))
    with monkeypatch.context() as patch:
        patch.setattr(schema, "MIGRATIONS", steps)
        with pytest.raises(Exception, match="no_such_table"):
            open_book(path)
    with open_book(path) as book:
        assert contents(book)["found"] == ["26-001"]


def test_no_update_while_only_looking(tmp_path: Path) -> None:
    path = tmp_path / "shop.db"
    shutil.copyfile(DATA / "book_v1.db", path)
    before = path.read_bytes()
    with pytest.raises(ReadOnlyBook, match="older Shaftlog"):
        open_book(path, read_only=True)
    assert path.read_bytes() == before


def test_an_unknown_step_in_the_ledger_is_a_newer_book(tmp_path: Path) -> None:
    """A book of another branch of the program: same number, other steps."""
    import sqlite3

    path = tmp_path / "shop.db"
    shutil.copyfile(DATA / "book_v1.db", path)
    con = sqlite3.connect(path, isolation_level=None)
    con.execute(
        f"INSERT INTO {schema.LEDGER} (migration_set, name, applied_at) VALUES (?, 'm0009_x', '')",
        (schema.MIGRATION_SET,),
    )
    con.close()
    with pytest.raises((NewerBook, DamagedBook)):
        open_book(path)


def test_a_later_default_does_not_judge_the_jobs_of_a_book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shop that never set a limit keeps the one its jobs were judged by."""
    old = tmp_path / "old.db"
    shutil.copyfile(DATA / "book_v6.db", old)
    open_book(old).close()
    made_before = tmp_path / "made before.db"
    open_book(made_before).close()

    @dataclass(frozen=True)
    class Later(settings.ShopSettings):
        limit_bearing_in: float = 0.005
        acceptance_rule: str = "simple"

    monkeypatch.setattr(settings, "ShopSettings", Later)
    for path, limit_in, rule in (
        (old, 0.002, "guarded"),
        (made_before, 0.002, "guarded"),
        (tmp_path / "new.db", 0.005, "simple"),
    ):
        with open_book(path) as book:
            shop = settings.load(book)
        assert (shop.limit_bearing_in, shop.rule) == (limit_in, rule)
