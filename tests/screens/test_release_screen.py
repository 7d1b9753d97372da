"""Release by keys alone: what is in the way, the overrule, the frozen ticket, files, closing."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.book import customers, drafts, jobs, releases, shafts, sweeps
from core.book.errors import Refused
from core.book.opening import open_book
from core.jobs.release import missing_for_release
from core.reports.ticket_collect import ticket_of
from tests.support.app_helpers import CP437, lines, message, opened, text, worked_out
from tui.app import ShaftlogApp
from tui.screens.release.release_page import PaperScroll

DEMO = Path(__file__).resolve().parents[2] / "demo.db"
READY, NOT_READY = "25-049", "26-006"


@asynccontextmanager
async def release_of(folder: Path, tag: str) -> AsyncIterator[tuple[ShaftlogApp, Pilot[None], str]]:
    """The release screen of a job of the demo shop."""
    shutil.copyfile(DEMO, folder / "shop.db")
    async with opened(folder) as (app, pilot):
        job_id = jobs.job_by_tag(app.book, tag).id
        app.go("release", job_id)
        await press(pilot)
        yield app, pilot, job_id


async def press(pilot: Pilot[None], *keys: str) -> None:
    """Press keys; wait for what a thread collects."""
    await pilot.press(*keys)
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def type_in(pilot: Pilot[None], *words: str) -> None:
    """Type words, each with Enter."""
    for word in words:
        await press(pilot, *word, "enter")


@pytest.mark.slow
async def test_a_shaft_that_is_ready_is_released_and_frozen(tmp_path: Path) -> None:
    async with release_of(tmp_path, READY) as (app, pilot, job_id):
        assert "NOTHING IS IN THE WAY" in text(app)
        assert "DONE: Sweep as received; Penetrant check" in text(app)
        await press(pilot, "f4", "f12")
        assert "Who releases?" in message(app)
        assert releases.releases_of(app.book, job_id) == ()
        await type_in(pilot, "Odo K")
        await press(pilot, "f12")
        frozen = releases.last_release(app.book, job_id)
        assert frozen is not None
        assert (frozen.by, frozen.overrule_by) == ("Odo K", "")
        assert jobs.job(app.book, job_id).state == "released"
        assert "Released by Odo K on " in frozen.ticket_text
        assert "<svg" in frozen.ticket_html
        assert "RELEASED by Odo K" in text(app)
        owner = customers.customers(app.book)[-1]
        for someone in customers.customers(app.book):
            customers.change_customer(app.book, someone.id, name="Changed Afterwards")
        assert owner.name != "Changed Afterwards"
        assert ticket_of(app.book, job_id).text == frozen.ticket_text
        for key in ("f4", "f7"):
            await press(pilot, key)
            assert "closed already" in message(app)
        assert len(releases.releases_of(app.book, job_id)) == 1


@pytest.mark.slow
async def test_what_is_missing_needs_a_name_and_a_reason(tmp_path: Path) -> None:
    async with release_of(tmp_path, NOT_READY) as (app, pilot, job_id):
        missing = missing_for_release(app.book, job_id)
        assert missing
        shown = " ".join(text(app).split())
        assert "things to be done or overruled" in shown
        assert " ".join(missing[0].split()) in shown
        await press(pilot, "f4")
        await type_in(pilot, "Odo K")
        await press(pilot, "f12")
        assert "a name and a reason" in message(app)
        await type_in(pilot, "B. Vane")
        await press(pilot, "f12")
        assert "a name and a reason" in message(app)
        assert jobs.job(app.book, job_id).state != "released"
        await type_in(pilot, "spare, goes to the class surveyor")
        assert "F12" in message(app)
        await press(pilot, "f12")
        frozen = releases.last_release(app.book, job_id)
        assert frozen is not None
        assert frozen.overrule_by == "B. Vane"
        assert frozen.overrule_reason == "spare, goes to the class surveyor"
        assert "OVERRULED: B. Vane: spare, goes to the class surveyor" in frozen.ticket_text
        assert frozen.ticket_text.count("MISSING: ") == len(missing)
        assert "Overruled by B. Vane" in text(app)


@pytest.mark.slow
async def test_form_fits_however_much_is_missing(tmp_path: Path) -> None:
    async with release_of(tmp_path, "26-003") as (app, pilot, job_id):
        assert len(missing_for_release(app.book, job_id)) >= 3
        await press(pilot, "f4")
        shown = text(app)
        assert "Released by" in shown
        assert "Reason" in shown


@pytest.mark.slow
async def test_release_asks_again_when_another_bench_changed_something(tmp_path: Path) -> None:
    async with release_of(tmp_path, READY) as (app, pilot, job_id):
        await press(pilot, "f4")
        with open_book(tmp_path / "shop.db", by="bench 2") as other:
            old = sweeps.sweeps_of(other, job_id)[-1]
            sweeps.start_sweep(
                other, job_id=job_id, purpose="working", roller_a_in=old.roller_a_in,
                roller_b_in=old.roller_b_in, stations_in=old.stations_in, marks_deg=old.marks_deg,
            )  # fmt: skip
        await type_in(pilot, "Odo K")
        await press(pilot, "f12")
        assert "has changed" in message(app)
        assert releases.releases_of(app.book, job_id) == ()


@pytest.mark.slow
async def test_release_is_one_transaction(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object, **__: object) -> None:
        raise Refused("The disk is full.")

    async with release_of(tmp_path, READY) as (app, pilot, job_id):
        monkeypatch.setattr(releases, "set_state", fails)
        await press(pilot, "f4")
        await type_in(pilot, "Odo K")
        await press(pilot, "f12")
        assert "disk is full" in message(app)
        assert releases.releases_of(app.book, job_id) == ()
        assert jobs.job(app.book, job_id).state == "open"


@pytest.mark.slow
async def test_files_are_written_and_their_path_is_told(tmp_path: Path) -> None:
    async with release_of(tmp_path, READY) as (app, pilot, job_id):
        ticket = ticket_of(app.book, job_id)
        await press(pilot, "f12", "1")
        await worked_out(app, pilot)
        names = [place.name for place in sorted((tmp_path / "exports").iterdir())]
        assert names == [f"25-049-ticket.{ending}" for ending in ("html", "pdf", "txt")]
        printed = tmp_path / "exports" / names[-1]
        assert f"Written: {printed} (also html, pdf)" in message(app)
        drafted = [line for line in printed.read_text().splitlines() if "Written" not in line]
        assert drafted == [line for line in ticket.text.splitlines() if "Written" not in line]
        assert printed.stat().st_mode & 0o777 == 0o600
        await press(pilot, "f12", "1")
        await worked_out(app, pilot)
        assert len(list((tmp_path / "exports").iterdir())) == 6


@pytest.mark.slow
async def test_the_whole_ticket_can_be_read_in_its_eighty_columns(tmp_path: Path) -> None:
    async with release_of(tmp_path, READY) as (app, pilot, job_id):
        printed = ticket_of(app.book, job_id).text.splitlines()
        assert len("\n".join(printed)) > 5000
        assert "=" * 80 in text(app)
        await press(pilot, "f6")
        assert lines(app)[1] == "=" * 80
        read: list[str] = []
        for _ in range(40):
            read += lines(app)[1:-2]
            await press(pilot, "pagedown")
        wanted = {line for line in printed if line.strip() and line.isascii()}
        assert wanted - {"Written"} - {line for line in printed if "Written" in line} <= {
            line.rstrip() for line in read
        }
        assert set("".join(read)) <= CP437
        await press(pilot, "home")
        assert lines(app)[1] == "=" * 80
        await press(pilot, "end")
        assert printed[-1].strip() in text(app)


@pytest.mark.slow
async def test_scrolling_above_the_state(tmp_path: Path) -> None:
    async with release_of(tmp_path, READY) as (app, pilot, _):
        await press(pilot, "pagedown", "pagedown")
        assert app.screen.query_one(PaperScroll).scroll_y > 10
        await press(pilot, "pageup", "pageup", "pageup")
        assert app.screen.query_one(PaperScroll).scroll_y == 0


@pytest.mark.slow
@pytest.mark.parametrize(("digit", "state"), [("1", "replaced"), ("2", "returned")])
async def test_closing_without_a_release_needs_a_reason(
    tmp_path: Path, digit: str, state: str
) -> None:
    async with release_of(tmp_path, NOT_READY) as (app, pilot, job_id):
        await press(pilot, "f7", digit, "enter", "f12")
        assert "Why is it closed?" in message(app)
        assert jobs.job(app.book, job_id).state == "open"
        await type_in(pilot, "Odo K", "too far gone")
        await press(pilot, "f12")
        assert jobs.job(app.book, job_id).state == state
        assert jobs.notes_of(app.book, job_id)[-1].text == "too far gone"
        assert f"NOT RELEASED. Closed as {state} by Odo K" in text(app)
        (paper,) = releases.releases_of(app.book, job_id)
        assert "REASON: too far gone" in paper.ticket_text
        assert ticket_of(app.book, job_id).text == paper.ticket_text


@pytest.mark.slow
async def test_names_typed_outlive_esc(tmp_path: Path) -> None:
    async with release_of(tmp_path, NOT_READY) as (app, pilot, job_id):
        await press(pilot, "f4")
        await type_in(pilot, "Odo K")
        await press(pilot, *"B. Vane", "escape", "f4", "down", "down", *"spare", "escape", "f4")
        assert "B. Vane" in text(app)
        assert "spare" in text(app)
        await press(pilot, "f12")
        frozen = releases.last_release(app.book, job_id)
        assert frozen is not None
        assert (frozen.by, frozen.overrule_by, frozen.overrule_reason) == (
            "Odo K", "B. Vane", "spare",
        )  # fmt: skip
        assert drafts.draft(app.book, f"ReleaseFormScreen {job_id} {app.book.by}".strip()) == {}


@pytest.mark.slow
async def test_ticket_says_what_the_screen_says(tmp_path: Path) -> None:
    """Verdict and figures on paper are those of the screen, word for word."""
    async with release_of(tmp_path, READY) as (app, pilot, job_id):
        paper = " ".join(ticket_of(app.book, job_id).text.split())
        for place in ("coupling", "face", "key"):
            app.go(place, job_id)
            await worked_out(app, pilot)
            report = app.screen.sheet.report
            assert report.for_ticket
            for line in report.for_ticket:
                assert " ".join(line.split()) in paper, place


@pytest.mark.slow
async def test_hostile_names_do_no_harm(tmp_path: Path) -> None:
    nasty = "[/b] [red]x \x1b[2J $a"
    async with release_of(tmp_path, READY) as (app, pilot, job_id):
        shaft = shafts.shaft(app.book, jobs.job(app.book, job_id).shaft_id)
        shafts.change_shaft(app.book, shaft.id, material=nasty)
        await press(pilot, "f4")
        app.screen.query_one("Form").box.value = "[/] O. [b]K"
        await press(pilot, "enter", "f12")
        frozen = releases.last_release(app.book, job_id)
        assert frozen is not None
        assert "[/] O. [b]K" in frozen.ticket_text
        assert "\x1b" not in frozen.ticket_text + frozen.ticket_html
        assert "RELEASED by [/] O. [b]K" in text(app)
