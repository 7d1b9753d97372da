"""From a swept shaft to a true one by keys alone: hits, quick checks, repair or replace, hold."""

from __future__ import annotations

import asyncio
import math
from pathlib import Path

import numpy as np
import pytest

from core.book import hits, jobs, penetrant_checks, quotes, settings, shafts, sweeps
from core.book.readings import take_reading
from core.demo.simulate import TrueBend, TrueShaft, apply_hit, read_sweep
from core.jobs import facts
from core.jobs.straightening import check_stations_in
from tests.support.app_helpers import first_job, go, lines, message, opened, text, type_text
from tui.screens.straightening.straighten import StraightenScreen

pytestmark = pytest.mark.slow

ROLLERS = (12.0, 60.0)
MARKS = tuple(45.0 * n for n in range(8))


def job_shaft(app) -> str:
    return jobs.job(app.book, first_job(app)).shaft_id


def shaft_of(app) -> TrueShaft:
    """The simulated shaft behind the first job: two bends."""
    length = shafts.shaft(app.book, job_shaft(app)).length_in
    bends = (TrueBend(30.2, (0.0035, 0.0012)), TrueBend(47.6, (-0.002, 0.0015)))
    return TrueShaft(length, bends=bends)


def read(app, true: TrueShaft, rng, *, purpose: str, stations=None, sweep_id=None) -> str:
    """Take a whole sweep of the simulated shaft into the book and finish it."""
    book, job_id = app.book, first_job(app)
    if sweep_id is None:
        places = stations or [float(x) for x in np.arange(3.0, true.length_in - 1, 6.0)]
        sweep_id = sweeps.start_sweep(
            book, job_id=job_id, purpose=purpose, roller_a_in=ROLLERS[0], roller_b_in=ROLLERS[1],
            stations_in=places, marks_deg=MARKS,
        ).id  # fmt: skip
    sweep = sweeps.sweep(book, sweep_id)
    found = read_sweep(true, ROLLERS, sweep.stations_in, [math.radians(m) for m in MARKS], rng=rng)
    for station in found.stations:
        for clock, value in zip(station.clock_rad, station.reading_in, strict=True):
            take_reading(
                book, sweep_id, station_in=station.station_in, clock_deg=math.degrees(clock),
                value_in=value, raw=f"{1000 * value:g}", kind="mark",
            )  # fmt: skip
    sweeps.finish_sweep(book, sweep_id)
    return sweep_id


def make_sound_shaft(app) -> None:
    """A length and a material the table knows."""
    shafts.change_shaft(
        app.book, job_shaft(app), material="S20910", condition="", diameter_in=1.5, length_in=72.0
    )


async def settled(app, pilot) -> None:
    """Until the round is worked out and shown."""
    await pilot.pause()
    await app.workers.wait_for_complete()
    await pilot.pause()


async def test_a_bent_shaft_is_made_true_round_by_round(tmp_path: Path) -> None:
    """The closed loop: hits noted with F4, quick checks read, until nothing is left to hit."""
    rng = np.random.default_rng(4)
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        true = shaft_of(app)
        read(app, true, rng, purpose="as received")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        assert "ROUND 1: 2 hits" in text(app)
        for _ in range(8):
            screen = app.screen
            assert isinstance(screen, StraightenScreen)
            planned = screen.state.plan if screen.state is not None else ()
            if not planned:
                break
            for _ in planned:
                await pilot.press("f4")
                await settled(app, pilot)
                made = hits.hits_of(app.book, first_job(app))[-1]
                clock = math.radians(made.clock_deg)
                asked = (-made.angle_rad * math.cos(clock), -made.angle_rad * math.sin(clock))
                true = apply_hit(true, made.station_in, asked, rng=rng, scatter=0.15)
            assert screen.state.story.waits_for_check
            wanted = check_stations_in(screen.state.story)
            await pilot.press("f6")
            await pilot.pause()
            check = sweeps.quick_checks_of(app.book, first_job(app))[-1]
            assert sweeps.sweep(app.book, check.sweep_id).stations_in == wanted
            read(app, true, rng, purpose="quick check", sweep_id=check.sweep_id)
            await pilot.press("escape")
            await settled(app, pilot)
            if screen.state.story.line is None:
                read(app, true, rng, purpose="working")
                screen.refresh_view()
                await settled(app, pilot)
        assert "NOTHING MORE TO HIT" in text(app)
        assert true.tir_in(np.arange(3.0, 70.0, 6.0), ROLLERS).max() < 0.0026
        assert len(hits.hits_of(app.book, first_job(app))) <= 10


async def test_a_hit_is_taken_back_and_noted_otherwise(tmp_path: Path) -> None:
    rng = np.random.default_rng(5)
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        shafts.change_shaft(app.book, job_shaft(app), material="G10450")
        read(app, shaft_of(app), rng, purpose="as received")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        await pilot.press("f4")
        await settled(app, pilot)
        await pilot.press("f5")
        await settled(app, pilot)
        assert hits.hits_of(app.book, first_job(app)) == ()
        await pilot.press("f12")
        await pilot.pause()
        await pilot.press("2", "enter")
        await pilot.press("ctrl+u", *"999", "enter")
        assert "72" in message(app), "a hit beyond the shaft is refused in words"
        await pilot.press("ctrl+u", *"31.5", "enter", "f12")
        await settled(app, pilot)
        made = hits.hits_of(app.book, first_job(app))
        assert [(h.method, h.station_in) for h in made] == [("heat", 31.5)]


async def test_a_hit_on_the_wrong_side_is_said_and_an_old_check_is_not_believed(
    tmp_path: Path,
) -> None:
    rng = np.random.default_rng(4)
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        true = shaft_of(app)
        read(app, true, rng, purpose="as received")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        screen = app.screen
        assert isinstance(screen, StraightenScreen)
        for _ in range(2):
            await pilot.press("f4")
            await settled(app, pilot)
            made = hits.hits_of(app.book, first_job(app))[-1]
            clock = math.radians(made.clock_deg)
            wrong = (made.angle_rad * math.cos(clock), made.angle_rad * math.sin(clock))
            true = apply_hit(true, made.station_in, wrong, rng=rng, scatter=0.1)
        assert ", ".join(f"{x:g}" for x in check_stations_in(screen.state.story)) in text(app)
        await pilot.press("f6")
        await pilot.pause()
        old = sweeps.quick_checks_of(app.book, first_job(app))[-1]
        read(app, true, rng, purpose="quick check", sweep_id=old.sweep_id)
        await pilot.press("escape")
        await settled(app, pilot)
        assert "pressed on the wrong side?" in text(app)
        assert "sweep the whole shaft again" in text(app)
        await pilot.press("f6")
        assert "sweep the whole shaft again" in message(app)
        for _ in range(2):
            await pilot.press("f5")
            await settled(app, pilot)
        await pilot.press("f4")
        await settled(app, pilot)
        assert screen.state.story.waits_for_check, "the old check was read before this hit"
        await pilot.press("f6")
        await pilot.pause()
        new = sweeps.quick_checks_of(app.book, first_job(app))[-1]
        assert new.sweep_id != old.sweep_id


async def test_a_bounced_key_notes_one_hit(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        read(app, shaft_of(app), np.random.default_rng(4), purpose="as received")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        app.screen.action_hit()
        app.screen.action_hit()
        await settled(app, pilot)
        assert len(hits.hits_of(app.book, first_job(app))) == 1


async def test_a_hit_half_noted_is_kept_and_typed_in_thou(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        read(app, shaft_of(app), np.random.default_rng(4), purpose="as received")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        await pilot.press("f12")
        await pilot.pause()
        await pilot.press("down", "ctrl+u")
        await type_text(pilot, "31.25")
        await pilot.press("enter", *["down"] * 6, "ctrl+u")
        await type_text(pilot, "15")
        await pilot.press("enter", "escape")
        await settled(app, pilot)
        assert hits.hits_of(app.book, first_job(app)) == ()
        await pilot.press("f12")
        await pilot.pause()
        assert "31.25" in text(app), "what was typed is still there"
        await pilot.press("f12")
        await settled(app, pilot)
        (made,) = hits.hits_of(app.book, first_job(app))
        assert (made.station_in, made.stays_in) == (31.25, pytest.approx(0.015))


async def test_the_line_after_each_hit_is_drawn(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        read(app, shaft_of(app), np.random.default_rng(4), purpose="as received")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        plan = app.screen.state.plan
        await pilot.press("f7", "8")
        await pilot.pause()
        first = text(app)
        assert "Hit 1 of 2" in first
        assert f"{1000 * plan[0].hit.worst_tir_after_in:.1f} thou after" in first
        await pilot.press("right", "right")
        await pilot.pause()
        assert "Hit 2 of 2" in text(app)
        assert f"{1000 * plan[1].hit.worst_tir_after_in:.1f} thou after" in text(app)


async def test_cautions_stay_on_the_screen_behind_warnings(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        settings.save(app.book, press_capacity_lbf=500.0, block_span_in=5.0)
        bends = (TrueBend(30.2, (0.035, 0.012)), TrueBend(47.6, (-0.02, 0.015)))
        true = TrueShaft(72.0, bends=bends)
        read(app, true, np.random.default_rng(4), purpose="as received")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        shown = text(app)
        assert "MIND" in shown
        assert "F8 shows all" in shown
        assert "no spacing will do" in " ".join(shown.split()), "the shaft is too short for it"
        assert "nobody in line with the shaft" in shown
        assert "what slips flies" in " ".join(shown.split())
        assert "extinguisher" in shown


async def test_repair_or_replace_keeps_quote_and_answer(tmp_path: Path) -> None:
    rng = np.random.default_rng(6)
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        read(app, shaft_of(app), rng, purpose="as received")
        await go(app, pilot, "repair")
        await settled(app, pilot)
        assert "RECOMMENDED" in text(app)
        decision = app.screen.decision
        assert decision is not None
        await pilot.press("f12")
        await pilot.pause()
        kept = quotes.quotes_of(app.book, first_job(app))[-1]
        assert kept.text == decision.text
        total = sum(q.amount for q in kept.lines if q.label.startswith("repair"))
        assert total == pytest.approx(decision.repair_cost)
        assert jobs.job(app.book, first_job(app)).state == "waiting"
        await pilot.press("f7", "1")
        await pilot.pause()
        assert facts.facts_of(app.book, first_job(app)).decision == "repair"
        assert jobs.job(app.book, first_job(app)).state == "open"


async def test_a_crack_stops_the_hits_until_overruled(tmp_path: Path) -> None:
    rng = np.random.default_rng(8)
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        read(app, shaft_of(app), rng, purpose="as received")
        await go(app, pilot, "penetrant")
        for _ in range(3):
            await pilot.press("f6")
            await pilot.pause()
        checks = penetrant_checks.newest_checks(app.book, first_job(app))
        assert len(checks) == 7, "five of the shaft, two bends as received"
        assert all(c.penetrant_at for c in checks)
        check = checks[0]
        penetrant_checks.stage(app.book, [check.id], "wiped_at")
        penetrant_checks.stage(app.book, [check.id], "developer_at")
        app.screen.refresh_view()
        await pilot.press("f12", "2")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert lines(app)[1].strip().startswith("STOP: crack")
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        await pilot.press("f4")
        assert "crack" in message(app).lower()
        assert hits.hits_of(app.book, first_job(app)) == ()
        penetrant_checks.overrule(app.book, check.id, by="A. Foreman", reason="scratch, not crack")
        await pilot.press("f4")
        await settled(app, pilot)
        assert len(hits.hits_of(app.book, first_job(app))) == 1


async def test_a_hit_noted_in_the_middle_of_a_sweep_asks_when_it_was_made(tmp_path: Path) -> None:
    """Before that sweep: it can still be used. After its readings: said and not used."""
    async with opened(tmp_path) as (app, pilot):
        make_sound_shaft(app)
        true, rng = shaft_of(app), np.random.default_rng(4)
        read(app, true, rng, purpose="as received")
        await asyncio.sleep(0.6)  # the readings of one batch are a millisecond apart
        book, job_id = app.book, first_job(app)
        half = sweeps.start_sweep(
            book, job_id=job_id, purpose="working", roller_a_in=ROLLERS[0], roller_b_in=ROLLERS[1],
            stations_in=(3.0, 36.0), marks_deg=MARKS,
        )  # fmt: skip
        take_reading(
            book, half.id, station_in=3.0, clock_deg=0.0, value_in=0.001, raw="1", kind="mark"
        )
        await go(app, pilot, "straighten")
        await settled(app, pilot)
        await pilot.press("f4", "1")
        await settled(app, pilot)
        assert hits.hits_of(book, job_id)[0].at < half.started_at
        await pilot.press("f4", "2")
        await settled(app, pilot)
        assert hits.hits_of(book, job_id)[1].at > half.started_at
        read(app, true, rng, purpose="working", sweep_id=half.id)
        app.screen.refresh_view()
        await settled(app, pilot)
        assert "NOT USED: the sweep 'working'" in text(app)
