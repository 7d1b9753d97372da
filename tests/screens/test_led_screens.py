"""A stroke led load by load, and a heat spot with its cooling clock, by keys alone."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from core.book import hits, jobs, shafts
from core.book.jobs import job as job_of
from core.jobs import hit_actions
from core.jobs.hit_actions import HitEntry
from tests.screens.test_straighten_screen import make_sound_shaft, read, settled, shaft_of
from tests.support.app_helpers import first_job, go, opened, text

pytestmark = pytest.mark.slow


async def straighten(app, pilot) -> None:
    make_sound_shaft(app)
    read(app, shaft_of(app), np.random.default_rng(4), purpose="as received")
    await go(app, pilot, "straighten")
    await settled(app, pilot)


async def test_enter_leads_a_stroke_and_each_reading_is_stored(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await straighten(app, pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "NEXT: load until the dial shows" in text(app)
        assert "CEILING" in text(app)
        assert hits.hits_of(app.book, first_job(app)) == ()
        await pilot.press("0", "enter", "9", "enter")
        await pilot.pause()
        (made,) = hits.hits_of(app.book, first_job(app))
        assert (made.stays_in, made.travel_in) == (pytest.approx(0.009), None)
        await pilot.press("f5")
        assert hits.hits_of(app.book, first_job(app))[0].stays_in == 0.0
        await pilot.press("f5", "f12")
        await settled(app, pilot)
        assert hits.hits_of(app.book, first_job(app)) == ()
        assert "ROUND 1" in text(app)
        await pilot.press("f4")
        await settled(app, pilot)
        assert len(hits.hits_of(app.book, first_job(app))) == 1, "the round is ready again"


async def test_coming_back_without_a_reading_leaves_the_round_as_it_was(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await straighten(app, pilot)
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("escape")
        await settled(app, pilot)
        await pilot.press("f4")
        await settled(app, pilot)
        assert len(hits.hits_of(app.book, first_job(app))) == 1


async def test_a_heat_spot_is_noted_and_no_check_begins_before_it_is_cold(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        shaft_id = job_of(app.book, first_job(app)).shaft_id
        shafts.change_shaft(app.book, shaft_id, material="G10450")
        read(app, shaft_of(app), np.random.default_rng(4), purpose="as received")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        await pilot.press("f7", "3")
        await pilot.pause()
        assert "Bend at" in text(app)
        assert "FIRE AND FUMES" in text(app)
        assert "Class shaft: ask first" in " ".join(text(app).split())
        await pilot.press("down", "down", "down", *"1100", "enter", "f12")
        await pilot.pause()
        (made,) = hits.hits_of(app.book, first_job(app))
        assert (made.method, made.temperature_f) == ("heat", 1100.0)
        assert "Cooling" in text(app)
        await pilot.press(*"12", "enter")
        await pilot.pause()
        assert "warm" in text(app)
        await pilot.press("f4")
        assert "Not read cold yet" in text(app)
        await pilot.press("escape")
        await settled(app, pilot)
        assert "WARM" in text(app)
        await pilot.press("f6")
        await pilot.pause()
        assert "not read cold yet" in " ".join(text(app).split())


async def test_a_job_closed_while_it_is_asked_about_another_hit_is_said(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await straighten(app, pilot)
        await pilot.press("enter")
        await pilot.pause()
        job_id = first_job(app)
        entry = HitEntry(50.0, 1.0, 0.002, blocks_in=24.0, by="the other bench")
        hit_actions.note_hit(app.book, job_id, entry, seen=())
        await pilot.press("9", "enter")
        await pilot.pause()
        assert "Is yours one more hit?" in " ".join(text(app).split())
        jobs.set_state(app.book, job_id, "returned")
        await pilot.press("2")
        await pilot.pause()
        assert "This job is closed" in text(app)
        assert len(hits.hits_of(app.book, job_id)) == 1
