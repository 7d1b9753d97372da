"""Key and keyways by keys alone: key-bound, side fits, peening passes, the check list."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.book import jobs
from core.fitting.keys.checklist import TRIAL_CHECKS, ticks_of
from core.fitting.keys.key_job import SUBJECTS
from core.fitting.keys.key_text import key_report
from core.jobs.measured import read_figures, read_fit_facts
from tests.support.app_helpers import CP437, first_job, go, lines, message, opened, text
from tests.support.typed_figures import enter, press, stored, value_of

KEY = ("0.4373", "0.437", "3")
SHAFT = ("0.4378", "0.4378", "1.518", "3.25")
HUB_CLEAR = ("0.4379", "0.4379", "1.97", "3.5")
HUB_BOUND = ("0.4379", "0.4379", "1.945", "3.5")


def report(app):
    """What the figures in the book say."""
    job = first_job(app)
    return key_report(read_figures(app.book, job, *SUBJECTS), read_fit_facts(app.book, job))


@pytest.mark.slow
async def test_key_that_fits(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        assert "J755 has a 7/16 in key, B17.1 a 3/8 in key" in " ".join(text(app).split())
        await enter(pilot, *KEY, *SHAFT, *HUB_CLEAR)
        assert value_of(app, "key", "height") == 0.437
        assert value_of(app, "shaft keyway", "far side") == 1.518
        assert value_of(app, "hub keyway", "width", depth_in=2.5) == 0.4379
        result, words = report(app)
        assert result.check.top.word == "clear"
        assert words.verdict.startswith("CLEAR")
        assert result.shaft_side.verdict.word == "right"
        assert "top 15.0" in text(app)
        assert "CLEAR" in text(app)
        assert any("yield of the key" in w for w in words.missing)


@pytest.mark.slow
async def test_key_bound_is_shouted(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        await enter(pilot, *KEY, *SHAFT, *HUB_BOUND)
        assert text(app).splitlines()[1].strip().startswith("KEY-BOUND by")
        assert "BOUND 1" in text(app)
        assert report(app)[1].good is False


@pytest.mark.slow
async def test_peening_pass_by_pass(tmp_path: Path) -> None:
    """A key loose in the shaft; its lower edges grow until they fit; the hub side stays."""
    loose = ("0.4394", "0.4394", "1.518", "3.25")
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        await press(pilot, "f8", *["down"] * 3)
        await enter(pilot, "0", "0.5")
        await press(pilot, "escape")
        await enter(pilot, *KEY, *loose, *HUB_CLEAR)
        before = report(app)[0]
        assert before.shaft_side.verdict.word == "too loose"
        said = " ".join(next(c for c in report(app)[1].chapters if c.title == "Peening").lines)
        assert "2.1 thou to gain" in said
        assert "anvil" in said
        while app.screen.here is None or app.screen.here.part != "passes":
            await press(pilot, "pagedown")
        await enter(pilot, "0.4384")
        assert value_of(app, "key", "width after pass 1") == 0.4384
        assert app.screen.here.what == "width after pass 2"
        await enter(pilot, "0.4391")
        after = report(app)[0]
        assert after.check.peening.widths_in == (0.4384, 0.4391)
        assert after.shaft_side.least_in == pytest.approx(0.0003)
        assert after.shaft_side.verdict.word == "too close to call"
        assert after.check.hub_side == before.check.hub_side


@pytest.mark.slow
async def test_key_longer_than_its_keyway_is_refused_in_words(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        await enter(pilot, "0.4373", "0.437", "3.5", "0.4378", "0.4378", "1.518", "3.25")
        shown = " ".join(text(app).split())
        assert "CANNOT BE WORKED OUT" in shown
        assert "longer than its keyway" in shown


@pytest.mark.slow
async def test_depth_at_the_side_serves_where_the_far_side_cannot_be_reached(
    tmp_path: Path,
) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        await enter(pilot, *KEY, "0.4378", "0.4378")
        await press(pilot, "asterisk")
        await press(pilot, "up")
        assert app.screen.here.what == "depth"
        await enter(pilot, "0.22")
        assert app.screen.here.what == "length"
        await enter(pilot, "3.25", *HUB_CLEAR)
        assert report(app)[0].check.top.clearance_in is not None


@pytest.mark.slow
async def test_width_in_millimetres_is_asked_about(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        await enter(pilot, "9.525")
        assert not stored(app, "key")
        assert "Is this figure right?" in text(app)
        await enter(pilot, "1")
        assert value_of(app, "key", "width") == pytest.approx(0.375)


@pytest.mark.slow
async def test_strength_needs_engine_and_material(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        await enter(pilot, *KEY, *SHAFT, *HUB_CLEAR)
        assert report(app)[0].check.stress is None
        await press(pilot, "f8", *["down"] * 8)
        await press(pilot, *"S31600")
        await press(pilot, "enter")
        await enter(pilot, "90", "1250")
        stress = report(app)[0].check.stress
        assert stress.torque_lbf_in == pytest.approx(63025 * 90 / 1250)
        assert stress.shear_factor is not None
        titles = [c.title for c in report(app)[1].chapters]
        assert "Strength at the engine's torque" in titles


@pytest.mark.slow
async def test_own_side_fit_takes_the_place_of_the_class(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        await enter(pilot, *KEY, *SHAFT, *HUB_CLEAR)
        await press(pilot, "f8", *["down"] * 3)
        await enter(pilot, "-1", "-0.5")
        await press(pilot, "escape")
        assert report(app)[0].shaft_side.verdict.word == "too loose"
        await press(pilot, "f8", *["down"] * 3)
        await enter(pilot, "3")
        assert "upside down" in message(app)


@pytest.mark.slow
async def test_check_list_keeps_who_when_and_note(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        assert any("check list" in w for w in report(app)[1].missing)
        await press(pilot, "f12", "down", "2")
        assert "Who looks?" in message(app)
        assert not stored(app, "key check")
        await press(pilot, "up")
        await press(pilot, *"R Hand")
        await press(pilot, "enter", "2", "up")
        await press(pilot, *"wiped dry")
        await press(pilot, "enter", "3", "escape")
        figures = read_figures(app.book, first_job(app), *SUBJECTS)
        ticks = {t.check.name: t for t in ticks_of(figures)}
        fit = ticks["trial fit"]
        assert (fit.answer, fit.by, fit.note) == ("yes", "R Hand", "wiped dry")
        assert fit.at
        assert ticks["burrs"].answer == "no"
        assert report(app)[1].good is False
        assert "BURR LEFT" in text(app)
        left = next(w for w in report(app)[1].missing if "check list" in w)
        assert "raised chip" in left
        assert "burrs" not in left


@pytest.mark.slow
async def test_check_list_with_hostile_names(tmp_path: Path) -> None:
    nasty = "[/b] [red]x $a"
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        await press(pilot, "f12")
        form = app.screen.query_one("Form")
        form.box.value = nasty
        await press(pilot, "enter", "2", "up")
        form.box.value = nasty
        await press(pilot, "enter", "up")
        assert nasty in text(app)
        await press(pilot, "escape", "f7", "f7")
        assert ticks_of(read_figures(app.book, first_job(app)))[0].note == nasty


@pytest.mark.slow
async def test_a_new_set_is_looked_at_anew(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "key")
        await enter(pilot, *KEY)
        await press(pilot, "f12")
        await press(pilot, *"R Hand")
        await press(pilot, "enter", "2", "escape", "f6", "2")
        assert app.screen.figures.set_no == 2
        assert all(not t.answer for t in ticks_of(app.screen.figures))
        await press(pilot, "f12", "down", "3", "escape")
        first = read_figures(app.book, first_job(app), set_no=1)
        assert ticks_of(first)[0].answer == "yes"
        assert ticks_of(first.of_set(2))[0].answer == "no"


@pytest.mark.slow
async def test_closed_job_and_glyphs(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job = first_job(app)
        await go(app, pilot, "key")
        await enter(pilot, *KEY, *SHAFT, *HUB_CLEAR)
        for size, pages in (((80, 24), 3), ((120, 40), 1), ((50, 14), 1)):
            await pilot.resize_terminal(*size)
            for _ in range(pages):
                await press(pilot, "f7")
                assert set("".join(lines(app))) <= CP437
        jobs.set_state(app.book, job, "returned")
        await pilot.resize_terminal(80, 24)
        await enter(pilot, "0.5")
        assert "closed" in message(app)
        await press(pilot, "slash", "f12", "down", "2")
        assert "closed" in message(app)
        rows = app.book.rows("SELECT id FROM measurement WHERE job_id = ?", (job,))
        assert len(rows) == 11


def test_the_list_holds_what_the_trade_looks_at() -> None:
    names = {check.name for check in TRIAL_CHECKS}
    assert {"trial fit", "burrs", "raised chip", "dimples in line", "screws locked"} <= names
