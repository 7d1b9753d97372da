"""Shaft end by keys alone: against the standard, parts to offer, order sheet in a file."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.base.records import QuoteLine
from core.book import jobs, quotes, shafts
from core.fitting.shaft.ends_job import END, SUBJECTS, end_result
from core.fitting.shaft.order_sheet import offers_of, order_lines
from core.jobs.measured import read_figures, read_fit_facts
from tests.support.app_helpers import CP437, first_job, go, lines, message, opened, text, worked_out
from tests.support.typed_figures import enter, press, stored, value_of

GOOD = ("1.7495", "96", "1.4382", "5", "0.4372", "0.22", "1.25", "7", "2.25", "1.422")
MM_30 = 30 / 25.4


def facts(app):
    """Figures and facts of the first job."""
    job = first_job(app)
    return read_figures(app.book, job, *SUBJECTS), read_fit_facts(app.book, job)


@pytest.mark.slow
async def test_measured_end_against_the_standard(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "shaft_end")
        assert "NOT MEASURED" in text(app)
        await enter(pilot, *GOOD)
        assert value_of(app, END, "small end") == 1.4382
        threads = next(m for m in stored(app, END) if m.what == "threads per inch")
        assert (threads.value_in, threads.raw) == (None, "7")
        found = end_result(*facts(app))
        assert found.taper.name.startswith("SAE J755")
        assert found.draw.draw_in == pytest.approx((1.4382 - 1.422) * 16)
        assert found.report.good is True
        assert "TO STANDARD: all" in text(app)
        assert "(?)" in text(app)


@pytest.mark.slow
async def test_what_is_off_is_named(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "shaft_end")
        await enter(pilot, *GOOD)
        await press(pilot, "up")
        while app.screen.here.what != "keyway width":
            await press(pilot, "up")
        await enter(pilot, "0.452")
        assert "NOT TO STANDARD: keyway width over" in text(app)
        assert end_result(*facts(app)).report.good is False


@pytest.mark.slow
async def test_impossible_end_is_said(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "shaft_end")
        await enter(pilot, "1.7495", "96", "1.755", "5")
        assert "CANNOT BE WORKED OUT" in text(app)


@pytest.mark.slow
async def test_shaft_of_no_standard_size(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        shaft = jobs.job(app.book, first_job(app)).shaft_id
        shafts.change_shaft(app.book, shaft, diameter_in=1.62)
        await go(app, pilot, "shaft_end")
        await enter(pilot, "1.62")
        assert "NO STANDARD END" in text(app)
        shafts.change_shaft(app.book, shaft, diameter_in=MM_30)
        await press(pilot, "up", "slash", "f8", "3", "escape")
        assert "metric 1:10" in text(app)
        assert end_result(*facts(app)).standard.diameter_in == pytest.approx(MM_30)


@pytest.mark.slow
async def test_parts_to_note_and_quote(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job = first_job(app)
        await go(app, pilot, "shaft_end")
        await press(pilot, "f12", "1")
        await press(pilot, "f12")
        assert "No part is offered yet" in message(app)
        await press(pilot, "f4", "down")
        await enter(pilot, "45.5")
        prices = {o.part.name: o.price for o in offers_of(*facts(app))}
        assert prices["key"] == 0
        assert prices["propeller nut"] == 45.5
        assert prices["jam nut"] is None
        await press(pilot, "f12")
        note = jobs.notes_of(app.book, job)[-1].text
        assert "propeller nut" in note
        assert "45.50" in note
        assert "price to be asked" in note
        await press(pilot, "f7")
        assert "no quote" in message(app)
        quotes.save_quote(
            app.book,
            job_id=job,
            kind="both",
            text="Straighten",
            lines=(QuoteLine("Work", 2, 50, 100),),
        )
        await press(pilot, "f7")
        last = quotes.quotes_of(app.book, job)[-1]
        assert (last.kind, last.lines[0].label) == ("both", "Work")
        assert [line.amount for line in last.lines] == [100, 0, 45.5]
        await press(pilot, "f7")
        assert len(quotes.quotes_of(app.book, job)[-1].lines) == 3
        await press(pilot, "up", "up", "f4")
        assert {o.part.name: o.price for o in offers_of(*facts(app))}["key"] is None


@pytest.mark.slow
async def test_order_sheet_marks_what_was_not_measured(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "shaft_end")
        await enter(pilot, "1.7495", "96", "1.4382")
        sheet = {line.what: line for line in order_lines(*facts(app))}
        assert sheet["shaft diameter"].verified
        assert sheet["small end"].verified
        assert not sheet["material"].verified
        assert not sheet["thread diameter"].verified
        assert "memory" in sheet["thread diameter"].remark
        await press(pilot, "f12", "2")
        assert "(?)" in text(app)
        for _ in range(2):
            await press(pilot, "f12")
            await worked_out(app, pilot)
        files = sorted((tmp_path / "exports").glob("*.txt"))
        assert len(files) == 2
        written = files[0].read_text()
        assert "1.7495 in" in written
        assert "S31600 (?)" in written
        assert max(map(len, written.splitlines())) <= 80
        assert written.isascii()
        assert "Written: " in message(app)


@pytest.mark.slow
async def test_order_sheet_of_a_hostile_material(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        shaft = jobs.job(app.book, first_job(app)).shaft_id
        shafts.change_shaft(app.book, shaft, material="[/] \x1b[31m=cmd", condition="[b]x")
        await go(app, pilot, "shaft_end")
        await press(pilot, "f12", "2", "f12")
        assert "[/]" in text(app)
        await worked_out(app, pilot)
        written = next((tmp_path / "exports").glob("*.txt")).read_text()
        assert "\x1b" not in written


@pytest.mark.slow
async def test_closed_job_and_glyphs(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job = first_job(app)
        await go(app, pilot, "shaft_end")
        await enter(pilot, *GOOD)
        for size, pages in (((80, 24), 2), ((120, 40), 1), ((50, 12), 1)):
            await pilot.resize_terminal(*size)
            for _ in range(pages):
                await press(pilot, "f7")
                assert set("".join(lines(app))) <= CP437
        await pilot.resize_terminal(80, 24)
        jobs.set_state(app.book, job, "released")
        await enter(pilot, "5")
        assert "closed" in message(app)
        await press(pilot, "slash", "f12", "1", "f4")
        assert "closed" in message(app)
        await press(pilot, "f12", "f7")
        assert not jobs.notes_of(app.book, job)
        rows = app.book.rows("SELECT id FROM measurement WHERE job_id = ?", (job,))
        assert len(rows) == len(GOOD)
