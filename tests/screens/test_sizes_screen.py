"""Sizes by keys alone: diameter from power, span and whirl margin, the warning, closed jobs."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.book import jobs, shafts
from core.fitting.shaft.sizes_job import SIZES, sizes_result
from core.fitting.shaft.sizing import critical_rpm, shaft_diameter_in
from core.jobs.measured import read_figures, read_fit_facts
from tests.support.app_helpers import CP437, first_job, go, lines, message, opened, text
from tests.support.typed_figures import enter, press, value_of


def result(app):
    """What the formulas say of the first job."""
    job = first_job(app)
    return sizes_result(read_figures(app.book, job), read_fit_facts(app.book, job))


@pytest.mark.slow
async def test_diameter_from_power_speed_and_service(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "sizes")
        assert "NOT WORKED OUT" in text(app)
        await enter(pilot, "100", "1000")
        assert result(app).factor is not None
        assert "choose the service" in text(app)
        await press(pilot, "enter", "enter", "2")
        found = result(app)
        assert found.setup.power_hp == pytest.approx(96)
        assert found.least_in == pytest.approx(
            shaft_diameter_in(
                power_hp=96, shaft_rpm=1000, torsional_yield_psi=20_000, safety_factor=3
            )
        )
        assert found.least_in > 1.65
        assert ("TOO THIN" in text(app)) == (found.least_in > 1.75)


@pytest.mark.slow
async def test_span_and_whirl_margin(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "sizes")
        await enter(pilot, "100", "1000")
        await press(pilot, *["down"] * 6)
        await enter(pilot, "62")
        assert value_of(app, SIZES, "bearing span") == 62
        found = result(app)
        metal = {"e_psi": 28e6, "density_lb_in3": 0.29}
        wanted = critical_rpm(diameter_in=1.75, span_in=62, **metal) / 1000
        assert found.span.margin == pytest.approx(wanted, rel=0.01)
        assert "published span has no margin in it" in " ".join(text(app).split())
        await press(pilot, "up")
        await enter(pilot, "110")
        assert "Whirl: the shaft runs at or above" in text(app)
        assert result(app).report.good is False


@pytest.mark.slow
async def test_all_words_and_back_to_the_fields(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "sizes")
        await enter(pilot, "100", "1000")
        seen = ""
        for _ in range(5):
            await press(pilot, "f7")
            seen += text(app)
            assert set("".join(lines(app))) <= CP437
            if "Engine, hp" in text(app):
                break
        flat = " ".join(seen.split())
        assert "NO MARGIN IN IT" in flat
        assert "licensed people" in flat
        assert "FROM MEMORY" in flat
        assert "Engine, hp" in text(app)
        await press(pilot, "up")
        await enter(pilot, "1100")
        assert read_fit_facts(app.book, first_job(app)).shaft_rpm == 1100


@pytest.mark.slow
async def test_unknown_material_is_named(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        shaft = jobs.job(app.book, first_job(app)).shaft_id
        shafts.change_shaft(app.book, shaft, material="old bronze [/]")
        await go(app, pilot, "sizes")
        await enter(pilot, "100", "1000")
        assert any("old bronze" in words for words in result(app).report.missing)
        await press(pilot, "down", *["backspace"] * 1)
        await press(pilot, *"N05500")
        await press(pilot, "enter")
        assert result(app).setup.material == "N05500"
        assert result(app).factor is not None


async def test_closed_job_takes_nothing(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job = first_job(app)
        await go(app, pilot, "sizes")
        jobs.set_state(app.book, job, "released")
        await enter(pilot, "100")
        assert "closed" in message(app)
        assert not app.book.rows("SELECT id FROM measurement")
        assert read_fit_facts(app.book, job).engine_hp is None
        assert not stored_of(app, job)


def stored_of(app, job_id: str) -> list:
    """All measurements of a job."""
    return app.book.rows("SELECT id FROM measurement WHERE job_id = ?", (job_id,))
