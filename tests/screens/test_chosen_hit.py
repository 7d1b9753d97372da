"""By keys: the hit or area named before F4 is the one noted, whatever happens in between."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from core.book import hits, jobs, penetrant_checks, settings
from core.book.opening import open_book
from core.jobs.hit_actions import HitEntry, note_hit
from core.jobs.straightening import read_rounds
from tests.screens.test_straighten_screen import make_sound_shaft, read, settled, shaft_of
from tests.support.app_helpers import first_job, go, message, opened, text
from tui.app import ShaftlogApp


def named(app: ShaftlogApp) -> str:
    """The line that says what F4 notes."""
    return str(app.screen.query_one("#note").content)


async def straighten(app, pilot) -> None:
    """The screen with a round of two hits."""
    make_sound_shaft(app)
    read(app, shaft_of(app), np.random.default_rng(4), purpose="as received")
    await go(app, pilot, "straighten")
    await settled(app, pilot)
    assert len(app.screen.state.plan) == 2


@pytest.mark.slow
async def test_the_chosen_hit_survives_detours(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await straighten(app, pilot)
        await pilot.press("down")
        before = named(app)
        assert before.startswith("F4 notes hit 2: 47")
        planned = app.screen.state.plan[1].hit
        for detour in ("f1", "f2", "f3", "f7", "f8", "f9", "f10", "f12"):
            await pilot.press(detour)
            await settled(app, pilot)
            await pilot.press("escape")
            await settled(app, pilot)
            assert named(app) == before, detour
            assert app.screen.state.plan[1].hit == planned, detour
        await pilot.press("f4")
        await settled(app, pilot)
        (made,) = hits.hits_of(app.book, first_job(app))
        assert made.station_in == planned.station_in
        assert made.clock_deg == pytest.approx(math.degrees(planned.high_side_rad) % 360)
        assert f"Noted: {made.station_in:.2f} in" in message(app)
        assert (made.stays_in, made.load_lbf, made.travel_in) == (None, None, None)


@pytest.mark.slow
async def test_another_bench_that_stores_something_does_not_move_the_choice(
    tmp_path: Path,
) -> None:
    async with opened(tmp_path) as (app, pilot):
        await straighten(app, pilot)
        await pilot.press("down")
        before = named(app)
        with open_book(tmp_path / "shop.db", by="bench 2") as other:
            jobs.add_note(other, job_id=first_job(app), text="x")
            jobs.change_job(other, first_job(app), worker="Jo Ferry")
        app.screen.seen_elsewhere()
        await settled(app, pilot)
        assert named(app) == before.replace("nobody named (F8)", "Jo Ferry")


@pytest.mark.slow
async def test_enter_notes_nothing(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await straighten(app, pilot)
        await pilot.press("enter", "enter")
        await settled(app, pilot)
        assert hits.hits_of(app.book, first_job(app)) == ()


@pytest.mark.slow
async def test_a_hit_that_another_bench_noted_is_asked_for_and_its_neighbour_never_noted(
    tmp_path: Path,
) -> None:
    async with opened(tmp_path) as (app, pilot):
        await straighten(app, pilot)
        job_id, hit = first_job(app), app.screen.state.plan[0].hit
        with open_book(tmp_path / "shop.db", by="bench 2") as other:
            entry = HitEntry(hit.station_in, hit.high_side_rad, hit.ask_for_rad)
            note_hit(other, job_id, entry, seen=read_rounds(other, job_id).hit_ids)
        app.screen.refresh_view()
        app.screen.action_undo()
        assert "Nothing is taken back" in message(app), "heard of, but not on the screen yet"
        assert len(hits.hits_of(app.book, job_id)) == 1
        app.screen.action_hit()
        await settled(app, pilot)
        assert "Another bench noted a hit since: 30" in text(app)
        await pilot.press("1")
        await settled(app, pilot)
        assert len(hits.hits_of(app.book, job_id)) == 1
        app.screen.seen_elsewhere()
        await settled(app, pilot)
        assert "no longer planned" in named(app)
        with open_book(tmp_path / "shop.db", by="bench 2") as other:
            jobs.change_job(other, job_id, worker="Jo Ferry")
        app.screen.seen_elsewhere()
        await settled(app, pilot)
        assert "no longer planned" in named(app), "the next news chooses none either"
        await pilot.press("f4")
        assert len(hits.hits_of(app.book, job_id)) == 1, "the next hit is not noted unasked"
        await pilot.press("enter")
        assert named(app).startswith("F4 notes hit 1: 47")
        assert "quick check of the hits made so far" in text(app)
        assert "Quick check after the round" not in text(app), "one list of stations"


@pytest.mark.slow
async def test_a_hit_on_the_wrong_side_is_corrected_by_keys(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await straighten(app, pilot)
        job_id = first_job(app)
        await pilot.press("f4")
        await settled(app, pilot)
        (made,) = hits.hits_of(app.book, job_id)
        await pilot.press("f7", "2")
        assert f"{made.station_in:.2f} in, clock" in text(app)
        await pilot.press("1")
        await settled(app, pilot)
        await pilot.press("down", "down", "ctrl+u", "2", "0", "enter", "f12")
        await settled(app, pilot)
        (fixed,) = hits.hits_of(app.book, job_id)
        assert (fixed.clock_deg, fixed.corrects) == (pytest.approx(20), made.id)
        await pilot.press("f7", "1")
        assert "(corrected)" in text(app)
        await pilot.press("escape", "f5")
        await settled(app, pilot)
        assert hits.hits_of(app.book, job_id) == (made,)


@pytest.mark.slow
async def test_millimetres_where_the_shop_works_in_them(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        settings.save(app.book, unit="mm")
        await straighten(app, pilot)
        shown = app.screen.state
        assert f"{25.4 * shown.worst_now_in:.2f} mm" in text(app)
        assert f"{25.4 * shown.plan[0].stroke.travel_in:.2f}" in text(app)
        assert "thou" not in text(app)


@pytest.mark.slow
async def test_the_screen_says_that_nobody_looked_for_cracks_and_that_penetrant_is_wet(
    tmp_path: Path,
) -> None:
    async with opened(tmp_path) as (app, pilot):
        await straighten(app, pilot)
        assert "NO AREA IS CHECKED FOR CRACKS" in text(app)
        await go(app, pilot, "penetrant")
        await settled(app, pilot)
        assert "bend as received at 30" in text(app)
        await pilot.press("f6")
        await pilot.press("escape")
        await settled(app, pilot)
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        assert "PENETRANT IS WET at" in text(app)


async def test_an_area_that_left_the_list_leaves_no_other_one_chosen(tmp_path: Path) -> None:
    """A hit of another bench beside it makes one area of two: F4 stamped the first of the list."""
    async with opened(tmp_path) as (app, pilot):
        job_id = first_job(app)
        spot = {"job_id": job_id, "round_no": 1, "method": "press", "angle_rad": 3e-4}
        hits.add_hit(app.book, **spot, station_in=30.0, clock_deg=10.0)
        await go(app, pilot, "penetrant")
        while "straightened" not in app.screen.here.area.name:
            await pilot.press("down")
        hits.add_hit(app.book, **spot, station_in=31.5, clock_deg=10.0)
        app.screen.seen_elsewhere()
        await pilot.pause()
        await pilot.press("f4")
        assert "no longer in the list" in message(app)
        assert penetrant_checks.newest_checks(app.book, job_id) == ()
        await pilot.press("down", "f4")
        (check,) = penetrant_checks.newest_checks(app.book, job_id)
        assert check.area == app.screen.here.area.name
