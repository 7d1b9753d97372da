"""Face and pilot by keys alone: one dial, two dials, dish, before and after, closed jobs."""

from __future__ import annotations

import asyncio
import math
from pathlib import Path

import pytest

from core.book import jobs
from core.fitting.coupling.face_job import SUBJECTS, face_result
from core.jobs.measured import read_figures, read_fit_facts
from tests.support.app_helpers import CP437, first_job, go, lines, message, opened, text
from tests.support.typed_figures import enter, press, stored, value_of
from tui.screens.measure.face import FaceScreen

MARKS = [45.0 * n for n in range(8)]


def tilted(amplitude_thou: float, clock_deg: float, level: float = 0.0) -> list[str]:
    """What a dial shows on a tilted face, at eight marks, in half thou."""
    shown = []
    for mark in MARKS:
        value = level + amplitude_thou * math.cos(math.radians(mark - clock_deg))
        shown.append(f"{round(2 * value) / 2:g}")
    return shown


def result(app, set_no: int | None = None):
    """What the figures in the book say."""
    job = first_job(app)
    figures = read_figures(app.book, job, *SUBJECTS, set_no=set_no)
    return face_result(figures, read_fit_facts(app.book, job))


@pytest.mark.slow
async def test_one_dial_face_and_pilot(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "face")
        assert "FACE NOT MEASURED" in text(app)
        await enter(pilot, "2.5", "2", *tilted(3, 90))
        assert [m.clock_deg for m in stored(app, "face")] == MARKS
        assert value_of(app, "face", "face reading", clock_deg=90.0) == pytest.approx(0.003)
        assert app.screen.here.subject == "pilot"
        await enter(pilot, *tilted(0.5, 0))
        found = result(app)
        assert found.face.tir_in == pytest.approx(0.006, abs=0.0003)
        assert math.degrees(found.face.high_spot_rad) == pytest.approx(90, abs=3)
        assert found.face.rim_in[0] == pytest.approx(0.006 * 2.5 / 2, abs=0.0004)
        assert found.face.face_word == "not true"
        assert found.pilot.word == "true"
        assert "FACE NOT TRUE" in text(app)
        assert "PILOT TRUE" in text(app)
        said = " ".join(" ".join(c.lines) for c in app.screen.sheet.report.chapters)
        for words in ("proud at clock 90", "Gap when butted", "cleans it up"):
            assert words in said
        assert "reverse-gear" in " ".join(app.screen.sheet.report.bench[0].lines)
        assert any("grabs" in words for words in app.screen.sheet.report.cautions)


@pytest.mark.slow
async def test_two_dials_cancel_end_float(tmp_path: Path) -> None:
    """Dial A and dial B in turn at each mark; end float of 5 thou leaves no trace."""
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "face")
        await press(pilot, "f8", "2", "escape")
        await enter(pilot, "2.5", "2")
        floats = [0, 5, -3, 2, 4, -5, 1, 0]
        one, two = tilted(2, 180), tilted(2, 0)
        for a, b, drift in zip(one, two, floats, strict=True):
            await enter(pilot, f"{float(a) + drift:g}", f"{float(b) + drift:g}")
        found = result(app)
        assert found.face.dials == 2
        assert found.face.tir_in == pytest.approx(0.004, abs=0.0003)
        assert math.degrees(found.face.high_spot_rad) == pytest.approx(180, abs=3)
        assert any("dish" in words for words in found.report.missing)


@pytest.mark.slow
async def test_dish_from_an_inner_circle(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "face")
        await press(pilot, "f8", "down", "down", "2", "escape")
        await enter(pilot, "2.5", "2", "1", *["0"] * 8, *["-2"] * 8)
        assert result(app).face.dish_in == pytest.approx(0.002, abs=1e-5)
        assert "hollow" in " ".join(result(app).face.words)


@pytest.mark.slow
async def test_before_and_after_facing(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "face")
        await enter(pilot, "2.5", "2", *tilted(3, 90), *tilted(0.5, 0))
        await press(pilot, "f6", "2")
        assert app.screen.here.key == ("face", "face reading", None, 0.0)
        await enter(pilot, *["0"] * 8)
        after = result(app, 2)
        assert after.face.face_word == "true"
        change = next(c for c in after.report.chapters if c.title.startswith("Before"))
        assert "better" in change.lines[0]
        assert "FACE TRUE" in text(app)
        assert result(app, 1).face.face_word == "not true"


@pytest.mark.slow
async def test_a_mark_left_out_and_too_few_marks(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "face")
        await enter(pilot, "2.5", "2", "0", "1")
        assert "3 marks or more" in text(app)
        await press(pilot, "asterisk")
        assert app.screen.here.clock_deg == 135.0
        await enter(pilot, "1", "0")
        found = result(app)
        assert found.face.readings == 4
        assert "left out" in text(app)


@pytest.mark.slow
async def test_radius_typed_as_diameter_is_said(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "face")
        await enter(pilot, "2", "2.4", *["0"] * 8)
        assert "rim's radius" in " ".join(text(app).split())


@pytest.mark.slow
async def test_radius_in_millimetres_is_asked_about(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "face")
        await enter(pilot, "58")
        assert app.screen.question is not None
        assert not stored(app, "flange")
        await enter(pilot, "1")
        assert value_of(app, "flange", "rim radius") == pytest.approx(58 / 25.4)


@pytest.mark.slow
async def test_closed_job_and_pages(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job = first_job(app)
        await go(app, pilot, "face")
        await enter(pilot, "2.5", "2", *tilted(3, 90), *tilted(0.5, 0))
        for size, pages in (((80, 24), 3), ((120, 40), 1)):
            await pilot.resize_terminal(*size)
            for _ in range(pages):
                await press(pilot, "f7")
                assert set("".join(lines(app))) <= CP437
        jobs.set_state(app.book, job, "released")
        await enter(pilot, "1")
        assert "closed" in message(app)
        assert len(stored_rows(app, job)) == 18


def stored_rows(app, job_id: str) -> list:
    """All rows of a job."""
    return app.book.rows("SELECT id FROM measurement WHERE job_id = ?", (job_id,))


async def test_another_bench_stores_while_the_screen_opens(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        app.go("face", first_job(app))
        for _ in range(60):
            await asyncio.sleep(0)
            if isinstance(app.screen, FaceScreen):
                app.screen.seen_elsewhere()
        await pilot.pause()
        assert "FACE NOT MEASURED" in text(app)
