"""Keeping the book by keys alone: backups, restore, check, merge, files in and out."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from core.book import customers, jobs, presence, settings
from core.book.opening import open_book
from core.book.upkeep import calls, copies
from tests.support.app_helpers import first_job, go, message, opened, text
from tests.support.upkeep_hands import customer_names, keys, rename
from tui.screens.base.ask import AskScreen
from tui.screens.upkeep.backups import BackupsScreen
from tui.screens.upkeep.upkeep import KeepingScreen

OWNER = "T. Marlow"


@pytest.mark.slow
async def test_the_way_there_and_a_backup_by_hand(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await keys(pilot, "f8", "8")
        assert isinstance(app.screen, KeepingScreen)
        assert "NONE YET" in text(app)
        await keys(pilot, "1")
        made = copies.list_backups(tmp_path / "shop.db")
        assert [one.kind for one in made] == ["by-hand"]
        assert made[0].path.name in message(app)
        assert made[0].path.stat().st_mode & 0o777 == 0o600
        assert copies.look_into(made[0].path).jobs == 3
        assert "newest" in text(app)


@pytest.mark.slow
async def test_a_backup_takes_the_place_of_the_book_which_is_kept(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "keeping")
        await keys(pilot, "f4")
        rename(app, "Renamed Later")
        jobs.add_note(app.book, job_id=first_job(app), text="written later")
        await keys(pilot, "2", "enter")
        assert isinstance(app.screen, AskScreen)
        assert "It holds 3 jobs" in " ".join(text(app).replace("║", " ").split())
        await keys(pilot, "1")
        assert "stays as it is" in message(app)
        assert "Renamed Later" in customer_names(app)
        await keys(pilot, "enter", "2")
        assert OWNER in customer_names(app)
        assert "Renamed Later" not in customer_names(app)
        kept = list(tmp_path.glob("shop-set-aside-*.db"))
        assert len(kept) == 1
        assert kept[0].name in message(app)
        with open_book(kept[0], read_only=True) as old:
            assert "Renamed Later" in {one.name for one in customers.customers(old)}
        assert len(app.screen_stack) == 1
        await keys(pilot, "f2", "0", "1", "f9")
        await keys(pilot, *"goes on", "enter")
        assert jobs.notes_of(app.book, first_job(app))[-1].text == "goes on"


@pytest.mark.slow
async def test_what_was_set_aside_can_be_put_back(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "keeping")
        await keys(pilot, "f4")
        rename(app, "Renamed Later")
        await keys(pilot, "2", "enter", "2")
        assert "Renamed Later" not in customer_names(app)
        await go(app, pilot, "keeping")
        await keys(pilot, "2", "f6")
        assert "replaced" in text(app)
        await keys(pilot, "enter", "2")
        assert "Renamed Later" in customer_names(app)


@pytest.mark.slow
async def test_a_damaged_book_is_put_aside_as_it_is(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "keeping")
        await keys(pilot, "f4")
        app.book.checkpoint()
        place = tmp_path / "shop.db"
        hurt = bytearray(place.read_bytes())
        for page in range(2, len(hurt) // 4096, 2):
            hurt[page * 4096 : page * 4096 + 600] = b"\xa5" * 600
        place.write_bytes(hurt)
        await keys(pilot, "3")
        assert "NOT SOUND" in text(app)
        await keys(pilot, "f6", "enter", "2")
        kept = next(iter(tmp_path.glob("shop-set-aside-*.db")))
        assert kept.read_bytes()[4096 * 2 : 4096 * 2 + 600] == b"\xa5" * 600
        assert OWNER in customer_names(app)
        await go(app, pilot, "keeping")
        await keys(pilot, "3")
        assert "SOUND: no damage found" in text(app)


@pytest.mark.slow
async def test_other_benches_are_named_called_and_not_overrun(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "keeping")
        await keys(pilot, "f4")
        with open_book(tmp_path / "shop.db", by="Bench by the door") as other:
            presence.here(other, first_job(app), "elsewhere:1")
            rename(app, "Renamed Later")
            await keys(pilot, "2")
            assert "OTHER BENCHES ARE AT WORK (Bench by the door)" in " ".join(text(app).split())
            await keys(pilot, "enter", "2")
            assert "Nothing was changed" in message(app)
            assert "Renamed Later" in customer_names(app)
            assert not list(tmp_path.glob("shop-set-aside-*"))
            called = calls.newest_call(other, "elsewhere:1")
            assert called is not None
            assert "leave Shaftlog" in called.words
            assert calls.newest_call(other, app.heart.bench) is None
        jobs.add_note(app.book, job_id=first_job(app), text="the book works on")


async def test_a_call_is_heard_at_another_bench_once(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        rung: list[str] = []
        app.ring = lambda words, *, bell: rung.append(words)  # type: ignore[method-assign]
        with open_book(tmp_path / "shop.db") as other:
            calls.call_all(other, "elsewhere:1", "please leave")
            while app.heart is None:  # it starts after the first picture
                await pilot.pause()
            app.heart.beat()
            settings.remember(other, "something else", 1)
            app.heart.beat()
        assert rung == ["please leave"]
        await pilot.pause()


@pytest.mark.slow
async def test_a_damaged_backup_is_not_put_in_place(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "keeping")
        await keys(pilot, "f4")
        place = copies.list_backups(tmp_path / "shop.db")[0].path
        place.write_bytes(place.read_bytes()[:9000])
        await keys(pilot, "2", "enter")
        assert isinstance(app.screen, BackupsScreen)
        assert place.name in message(app)
        assert OWNER in customer_names(app)


# -- check -----------------------------------------------------------------------------------------


@pytest.mark.slow
async def test_check_mends_the_index(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "keeping")
        await keys(pilot, "3")
        assert "SOUND: no damage found" in text(app)
        await keys(pilot, "f12")
        assert "nothing to save" in message(app)
        con = sqlite3.connect(tmp_path / "shop.db", isolation_level=None)
        con.execute("DELETE FROM search_doc")
        con.close()
        await keys(pilot, "f4")
        assert "NOT SOUND" in text(app)
        assert "press F7" in " ".join(text(app).split())
        await keys(pilot, "f7")
        assert "SOUND: no damage found" in text(app)


@pytest.mark.slow
async def test_check_saves_the_rest_of_a_damaged_book(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        con = sqlite3.connect(tmp_path / "shop.db", isolation_level=None)
        con.execute("PRAGMA foreign_keys = OFF")
        con.execute("DELETE FROM vessel WHERE name = 'Dunlin'")
        con.close()
        await go(app, pilot, "keeping")
        await keys(pilot, "3")
        assert "NOT SOUND" in text(app)
        await keys(pilot, "f12")
        saved = next(iter(tmp_path.glob("shop-saved-*.db")))
        assert saved.name in message(app)
        with open_book(saved) as book:
            assert len(jobs.open_jobs(book)) == 2


# -- another book ----------------------------------------------------------------------------------
