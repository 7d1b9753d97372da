"""The press screen by keys alone: the stroke, the warnings, bad figures in words."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from textual.widgets import Static

from core.book import hits, jobs
from core.straightening.press import span_for_capacity_in, stroke_for_set
from tests.screens.test_straighten_screen import make_sound_shaft, read, settled, shaft_of
from tests.support.app_helpers import first_job, go, message, opened, text, type_text

ROWS = (
    "blocks", "worker", "diameter", "material", "modulus", "yield", "capacity", "station", "angle",
)  # fmt: skip


async def put(pilot, row: str, figure: str, at: list[int]) -> None:
    """Type a figure into a row of the form; `at` holds the row of the cursor."""
    steps = ROWS.index(row) - at[0]
    await pilot.press(*["down" if steps > 0 else "up"] * abs(steps), "ctrl+u")
    await type_text(pilot, figure)
    await pilot.press("enter")
    at[0] = min(ROWS.index(row) + 1, len(ROWS) - 1)


def said(app) -> str:
    """The words of the stroke."""
    return str(app.screen.query_one("#stroke", Static).content)


@pytest.mark.slow
async def test_press_screen_says_what_is_wrong(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        await go(app, pilot, "press")
        said = str(app.screen.query_one("#stroke", Static).content)
        assert "Still needed: angle" in said
        await pilot.press(*["down"] * 8)
        await type_text(pilot, "3")
        await pilot.press("enter")
        said = str(app.screen.query_one("#stroke", Static).content)
        stroke = app.screen.stroke()
        assert f"{stroke.load_lbf:,.0f} lbf" in said
        assert stroke.set_rad == pytest.approx(0.003)
        await pilot.press(*["up"] * 8, "ctrl+u")
        await type_text(pilot, "0")
        await pilot.press("enter")
        assert "0.5" in message(app), "blocks at one place are refused in words"


@pytest.mark.slow
async def test_a_planned_hit_comes_filled_in(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        read(app, shaft_of(app), np.random.default_rng(4), purpose="as received")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        planned = app.screen.state.plan[0]
        await pilot.press("f8")
        await pilot.pause()
        assert planned.stroke is not None
        assert f"{planned.stroke.load_lbf:,.0f} lbf" in said(app)
        assert f"{planned.hit.station_in:.2f}" in text(app)
        assert "flies" in text(app), "the caution stands on the screen"


@pytest.mark.slow
async def test_warnings_of_the_press(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        await go(app, pilot, "press")
        at = [0]
        await put(pilot, "angle", "60", at)
        assert "Share it over" in said(app)
        assert "is a prediction." in text(app), "the cautions are seen to their last word"
        await put(pilot, "angle", "0", at)
        assert "all come back" in said(app)
        await put(pilot, "angle", "1", at)
        await put(pilot, "capacity", "4000", at)
        stroke = stroke_for_set(1.5, 24.0, 28e6, 105e3, 0.001)
        wanted = span_for_capacity_in(stroke, 4000.0)
        assert wanted is not None
        assert f"Blocks {wanted + 0.05:.1f} in apart or more would do" in said(app)
        await pilot.press("f4")
        assert f"{wanted + 0.05:.1f}" in message(app)
        await put(pilot, "capacity", "900", at)
        assert "no spacing will do" in said(app), "wider than the shaft is no help"
        await pilot.press("f4")
        assert "No block spacing" in message(app)


@pytest.mark.slow
async def test_bad_figures_are_refused_in_words(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        await go(app, pilot, "press")
        at = [0]
        await put(pilot, "yield", "0", at)
        await put(pilot, "angle", "2", at)
        assert "yield strength cannot be 0" in said(app)
        await put(pilot, "station", "99", at)
        assert "is not on the shaft" in said(app)
        await put(pilot, "station", "3", at)
        assert "one of them misses the shaft" in said(app)
        for blocks in ("200", "0"):
            await put(pilot, "blocks", blocks, at)
            assert "72" in message(app), "blocks that do not fit are refused, not stored"
            at[0] = ROWS.index("blocks")
        assert jobs.job(app.book, first_job(app)).blocks_in is None


@pytest.mark.slow
async def test_blocks_and_name_are_stored_with_the_job_and_hold_everywhere(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        read(app, shaft_of(app), np.random.default_rng(4), purpose="as received")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        wide = app.screen.state.plan[0].stroke.load_lbf
        await pilot.press("f8")
        at = [0]
        await put(pilot, "blocks", "18", at)
        assert "stored for this job" in text(app)
        await put(pilot, "worker", "Jo Ferry", at)
        await pilot.press("escape")
        await settled(app, pilot)
        narrow = app.screen.state.plan[0].stroke.load_lbf
        assert narrow > wide
        assert f"{narrow:,.0f}" in text(app)
        assert "blocks 18 in" in text(app)
        assert "Hinge" in text(app)
        await pilot.press("f4")
        await settled(app, pilot)
        (made,) = hits.hits_of(app.book, first_job(app))
        assert (made.blocks_in, made.by, made.diameter_in) == (18.0, "Jo Ferry", 1.5)
        await pilot.press("f8")
        assert "18.00" in text(app)
        await pilot.press("f5")
        assert jobs.job(app.book, first_job(app)).blocks_in is None
        assert "24.00" in text(app)
