"""Other books and sweep files taken in, jobs and the book written out: by keys."""

from __future__ import annotations

import csv
import json
import shutil
import threading
from pathlib import Path

import pytest

from core.book import audit as events
from core.book import customers, jobs, sweeps
from core.book.errors import Refused
from core.book.opening import open_book
from core.book.readings import readings_of, take_reading
from core.book.upkeep import backup, copies
from tests.support.app_helpers import (
    first_job,
    go,
    message,
    opened,
    text,
)
from tests.support.bench_book import workers_done
from tests.support.typed_figures import press
from tests.support.upkeep_hands import customer_names, keys, rename
from tui.app import ShaftlogApp
from tui.screens.upkeep.conflicts import ConflictsScreen
from tui.screens.upkeep.import_sweep import ImportScreen

OWNER = "T. Marlow"


async def other_book(app: ShaftlogApp, tmp_path: Path) -> Path:
    """A laptop's copy of the book: one new note, one name changed on both sides."""
    app.book.checkpoint()
    place = tmp_path / "laptop.db"
    shutil.copyfile(tmp_path / "shop.db", place)
    with open_book(place, by="laptop") as book:
        owner = next(one for one in customers.customers(book) if one.name == OWNER)
        customers.change_customer(book, owner.id, name="Name [There]")
        jobs.add_note(book, job_id=jobs.open_jobs(book)[0].id, text="from the yard")
    rename(app, "Name Here")
    return place


@pytest.mark.slow
async def test_another_book_is_looked_at_taken_in_and_settled(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        place = await other_book(app, tmp_path)
        before = place.read_bytes()
        job = first_job(app)
        await go(app, pilot, "keeping")
        await keys(pilot, "4", "f12")
        assert "Look first" in message(app)
        await keys(pilot, *"laptop", "enter")
        shown = " ".join(text(app).split())
        assert "LOOKED ONLY" in shown
        assert "1 note would come in" in shown
        assert jobs.notes_of(app.book, job) == ()
        assert copies.list_backups(tmp_path / "shop.db") == ()
        await keys(pilot, "f6")
        assert "Take the other book in first" in message(app)
        await keys(pilot, "f12")
        assert [note.text for note in jobs.notes_of(app.book, job)] == ["from the yard"]
        assert [b.kind for b in copies.list_backups(tmp_path / "shop.db")] == ["before-merge"]
        assert "F6 settles" in message(app)
        assert "Name Here" in customer_names(app)
        await keys(pilot, "f6")
        assert isinstance(app.screen, ConflictsScreen)
        assert "Name [There]" in text(app)
        await keys(pilot, "enter", "escape")
        assert "Name Here" in customer_names(app)
        await keys(pilot, "enter", "2")
        assert "Name [There]" in customer_names(app)
        assert "All are settled" in message(app)
        owner = next(o for o in customers.customers(app.book) if o.name == "Name [There]")
        said = [(e.what, e.new) for e in events.events_of(app.book, "customer", owner.id)]
        assert ("merge settled: name", "Name [There]") in said
        await keys(pilot, "enter")
        assert "Settled already" in message(app)
        assert place.read_bytes() == before


@pytest.mark.slow
async def test_ours_can_stay_and_is_not_asked_again(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await other_book(app, tmp_path)
        await go(app, pilot, "keeping")
        await keys(pilot, "4", *"laptop", "enter", "f12", "f6", "enter", "1")
        assert "Name Here" in customer_names(app)
        await keys(pilot, "escape", "f4", "f12")
        assert "nothing to settle" in message(app) or "Taken in" in message(app)
        await keys(pilot, "f6")
        assert "nothing to settle" in message(app)


@pytest.mark.slow
async def test_what_cannot_be_taken_in_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "nothing.db").write_text("not a book at all")
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "keeping")
        await keys(pilot, "4")
        for typed, said in (
            ("", "Which file?"),
            ("no such file.db", "There is no file"),
            ("shop.db", "this very book"),
            ("nothing.db", "nothing.db"),
        ):
            app.screen.query_one("Form").box.value = str(tmp_path / typed) if typed else ""
            await keys(pilot, "enter")
            assert said in message(app)
            assert app.screen.message_line.tone == "stop"
            assert app.screen.looked is None


# -- files out -------------------------------------------------------------------------------------


@pytest.mark.slow
async def test_a_job_and_the_whole_book_are_written(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        app.last_job_id = first_job(app)
        tag = jobs.job(app.book, app.last_job_id).tag
        sweep = sweeps.sweeps_of(app.book, app.last_job_id)[0]
        take_reading(app.book, sweep.id, station_in=0.0, clock_deg=0.0, value_in=0.001, raw="1")
        await go(app, pilot, "keeping")
        await keys(pilot, "5", "f12")
        place = tmp_path / "exports" / f"job-{tag}.csv"
        assert str(place) in message(app)
        with place.open(newline="") as file:
            assert [row["reading_thou"] for row in csv.DictReader(file)] == ["1"]
        await keys(pilot, "2", "enter", "enter", "2", "enter", "1", "f12")
        everything = json.loads((tmp_path / "exports" / "book.json").read_text())
        assert len(everything) == 3
        assert "555-01" not in json.dumps(everything)
        await keys(pilot, "2", "f12")
        with_phone = (tmp_path / "exports" / "book-2.json").read_text()
        assert "555-01" in with_phone
        assert place.stat().st_mode & 0o777 == 0o600


@pytest.mark.slow
async def test_export_of_an_unknown_tag(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "keeping")
        await keys(pilot, "5", "enter", *"31-999", "enter", "f12")
        assert "31-999" in message(app)
        assert not (tmp_path / "exports").exists()


# -- a sweep in ------------------------------------------------------------------------------------


def logger_file(place: Path, *, shift: float = 0.0) -> Path:
    """A gauge logger's file: mm, decimal commas, headings of its own."""
    rows = ["Place;Angle;Channel 1"]
    for station_mm in (50, 600, 1200, 2000):
        for angle in range(0, 360, 45):
            value = f"{0.02 * (angle % 90 == 0) + shift + station_mm / 1e5:.3f}".replace(".", ",")
            rows.append(f"{station_mm};{angle};{value}")
    place.write_text("\r\n".join(rows))
    return place


@pytest.mark.slow
async def test_a_loggers_file_comes_in_and_its_columns_are_remembered(tmp_path: Path) -> None:
    logger_file(tmp_path / "first.csv")
    logger_file(tmp_path / "second.csv", shift=0.01)
    async with opened(tmp_path) as (app, pilot):
        app.last_job_id = job = first_job(app)
        held = len(sweeps.sweeps_of(app.book, job))
        await go(app, pilot, "keeping")
        await keys(pilot, "6", *"first", "enter", "f12")
        assert "F8 says which is which" in message(app)
        await keys(pilot, "f8", *"Pla", "enter", "2", "enter", *"Ang", "enter", "f12")
        assert "Still open: Reading" in message(app)
        await keys(pilot, *"Chan", "enter", "3", "f12")
        assert isinstance(app.screen, ImportScreen)
        await keys(pilot, "f4")
        assert "4 stations from 1.97 to 78.74 in" in " ".join(text(app).split())
        assert len(sweeps.sweeps_of(app.book, job)) == held
        await keys(pilot, "f12")
        assert "Stored: sweep" in message(app)
        stored = sweeps.sweeps_of(app.book, job)[-1]
        readings = readings_of(app.book, stored.id)
        assert len(readings) == 32
        assert readings[0].station_in == pytest.approx(50 / 25.4)
        assert readings[0].value_in == pytest.approx(0.0205 / 25.4, abs=2e-5)
        assert stored.finished_at
        await keys(pilot, "f12")
        assert "holds these very readings" in message(app)
        await keys(pilot, "escape", "6", *"second", "enter", "down", "2", "f12")
        assert "Stored: sweep" in message(app)
        assert sweeps.sweeps_of(app.book, job)[-1].purpose == "working"


@pytest.mark.slow
async def test_sweeps_that_cannot_come_in(tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_text("station_in,clock_deg,reading_thou\n12,0,abc\n")
    (tmp_path / "good.csv").write_text(
        "station_in,clock_deg,reading_thou\n"
        + "".join(f"{x},{a},{x / 10 + a / 90}\n" for x in (10, 40) for a in range(0, 360, 45))
    )
    async with opened(tmp_path) as (app, pilot):
        app.last_job_id = job = first_job(app)
        held = len(sweeps.sweeps_of(app.book, job))
        await go(app, pilot, "keeping")
        await keys(pilot, "6", "f4")
        assert "Which file?" in message(app)
        await keys(pilot, *"bad", "enter", "f4")
        assert "bad.csv, line 2" in message(app)
        jobs.set_state(app.book, job, "returned")
        await keys(pilot, "up", *["backspace"] * 60, *"good", "enter", "f12")
        assert "is closed (returned)" in message(app)
        jobs.set_state(app.book, job, "open", by="Ada")
        jobs.change_job(app.book, job, roller_a_in=None, roller_b_in=None)
        await keys(pilot, "escape", "6", *"good", "enter", "f12")
        assert "Where did the rollers stand?" in message(app)
        assert len(sweeps.sweeps_of(app.book, job)) == held


@pytest.mark.slow
async def test_leaving_while_work_goes_on(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        for some in (("f4",), ("3",), ("3", "f6")):
            await go(app, pilot, "keeping")
            await press(pilot, *some, "escape", "escape", "escape")
            await workers_done(pilot)
            assert app.is_running
            assert len(app.screen_stack) == 1


@pytest.mark.slow
async def test_trouble_is_told_where_the_person_is_by_then(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on = threading.Event()

    def fails(*_: object) -> None:
        go_on.wait(5)
        raise Refused("The stick is full.")

    monkeypatch.setattr(backup, "by_hand", fails)
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "keeping")
        await press(pilot, "f4", "f4")
        assert "Wait until it is done" in message(app)
        await press(pilot, "escape", "escape")
        go_on.set()
        await workers_done(pilot)
        assert "stick is full" in message(app)
