"""From a shaft that comes in to a job with riding areas, by keys alone; interrupted in between."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from core.base.records import RidingArea
from core.book import jobs, shafts
from core.jobs.intake import new_shaft
from tests.support.app_helpers import first_job, go, message, opened, text, type_text
from tui.screens.intake.areas import overlap_words
from tui.screens.intake.intake_fields import read_whole
from tui.widgets.form import FieldSpec, Form


async def fill(pilot, *answers: str) -> None:  # type: ignore[no-untyped-def]
    """Type each answer and Enter; an empty one only Enter."""
    for answer in answers:
        await type_text(pilot, answer)
        await pilot.press("enter")
    await pilot.pause()


@pytest.mark.slow
async def test_a_new_customer_from_the_board_to_a_job(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await pilot.press("f4", "f4")
        await pilot.pause()
        await fill(pilot, "1-3/4", "2438.4 mm", "12", "84")
        await fill(pilot, "R. Quill", "Petrel", "555-0150", "1", "174", "bent")
        job = jobs.open_jobs(app.book)[-1]
        whole = read_whole(app.book, job.id)
        assert whole.customer.name == "R. Quill"
        assert (whole.vessel.name, whole.shaft.position) == ("Petrel", "port")
        assert whole.shaft.diameter_in == 1.75
        assert math.isclose(whole.shaft.length_in, 96.0)
        assert whole.shaft.material == "S17400"
        assert job.complaint == "bent"
        assert type(app.screen).__name__ == "SweepScreen"
        assert (job.roller_a_in, job.roller_b_in) == (12.0, 84.0)
        assert not new_shaft.load(app.book)


@pytest.mark.slow
async def test_an_interrupted_intake_goes_on_where_it_stopped(tmp_path: Path) -> None:
    """Each Enter is in the book: the app goes away without warning and a new one finds it."""
    async with opened(tmp_path) as (app, pilot):
        await pilot.press("f4", "f4")
        await pilot.pause()
        await fill(pilot, "2", "104")
        count = len(jobs.open_jobs(app.book))
    async with opened(tmp_path) as (app, pilot):
        await pilot.press("f4")
        await pilot.pause()
        assert "left half-way (no name yet)" in message(app)
        await pilot.press("f4")
        await pilot.pause()
        assert "= 104 in" in text(app)
        assert app.screen.query_one(Form).current == "roller_a"
        await pilot.press("f12")
        await pilot.pause()
        assert "Still needed: roller pair A, roller pair B" in message(app)
        assert len(jobs.open_jobs(app.book)) == count


@pytest.mark.slow
async def test_esc_keeps_what_was_typed_but_not_entered(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await pilot.press("f4", "f4")
        await pilot.pause()
        await type_text(pilot, "2-1/8")
        await pilot.press("escape", "f4")
        await pilot.pause()
        assert "= 2-1/8 in" in text(app)


@pytest.mark.slow
@pytest.mark.parametrize("known", ["gan", "mar", "0100", "26-001"])
async def test_three_letters_of_anything_bring_the_old_shaft(tmp_path: Path, known: str) -> None:
    async with opened(tmp_path) as (app, pilot):
        old_id = first_job(app)
        old = jobs.job(app.book, old_id)
        jobs.set_state(app.book, old_id, "returned")
        await pilot.press("f4")
        await type_text(pilot, known)
        await pilot.press("enter", "1")
        await pilot.pause()
        new = jobs.open_jobs(app.book)[-1]
        assert new.shaft_id == old.shaft_id
        assert new.tag != old.tag
        assert (new.roller_a_in, new.roller_b_in) == (12.0, 84.0)
        assert len(shafts.areas_of(app.book, new.shaft_id)) == 3
        assert new.tag in text(app)


@pytest.mark.slow
async def test_a_shaft_in_the_shop_gets_no_second_job(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        before = jobs.open_jobs(app.book)
        await pilot.press("f4", "g", "a", "n", "enter", "1")
        await pilot.pause()
        assert jobs.open_jobs(app.book) == before
        assert before[0].tag in text(app)


@pytest.mark.slow
async def test_another_vessel_of_a_known_customer(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        old = read_whole(app.book, first_job(app))
        await pilot.press("f4", "g", "a", "n", "enter", "3")
        await pilot.pause()
        assert old.customer.name in text(app)
        await fill(pilot, "2", "60", "", "", "", "Second Boat")
        await pilot.press("f4")
        await pilot.pause()
        new = read_whole(app.book, jobs.open_jobs(app.book)[-1].id)
        assert new.customer == old.customer
        assert new.vessel.id != old.vessel.id


@pytest.mark.slow
async def test_the_intake_stores_every_field(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job_id = first_job(app)
        await go(app, pilot, "intake")
        form = app.screen.query_one(Form)
        for field, answer in (
            ("engine_hp", "250"),
            ("shaft_rpm", "1200,5"),
            ("diameter_in", "2"),
            ("length_in", "8.5 in"),
            ("roller_a_in", "200"),
        ):
            form.focus_field(field)
            await pilot.pause()
            await fill(pilot, answer)
        whole = read_whole(app.book, job_id)
        assert (whole.vessel.engine_hp, whole.vessel.shaft_rpm) == (250.0, 1200.5)
        assert (whole.shaft.diameter_in, whole.shaft.length_in) == (2.0, 8.5)
        assert whole.job.roller_a_in == 12.0
        assert "beyond the shaft" in message(app)
        form.focus_field("work")
        await pilot.pause()
        await pilot.press("3", "5")
        assert read_whole(app.book, job_id).job.work == ("penetrant", "straighten", "face")


@pytest.mark.slow
async def test_nonsense_is_refused_in_words_and_nothing_is_lost(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        for typed in ("abc", "1e9", "nan", "-3", "1,250", "12 ft", "1/0", "9" * 20):
            await go(app, pilot, "intake")
            form = app.screen.query_one(Form)
            form.focus_field("diameter_in")
            await pilot.pause()
            await fill(pilot, typed)
            assert "Diameter" in message(app), typed
            assert form.current == "diameter_in"
            assert form.box.value == typed
            assert read_whole(app.book, first_job(app)).shaft.diameter_in == 1.75
            await pilot.press("escape", "escape")
            await pilot.pause()
            assert read_whole(app.book, first_job(app)).shaft.diameter_in == 1.75


@pytest.mark.slow
async def test_a_closed_job_can_be_looked_at_but_not_changed(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job_id = first_job(app)
        jobs.set_state(app.book, job_id, "returned")
        app.go("intake", job_id)
        await pilot.pause()
        await fill(pilot, "x")
        assert "closed" in message(app)
        assert "read only" in text(app)
        assert read_whole(app.book, job_id).customer.name == "T. Marlow"


@pytest.mark.slow
async def test_riding_areas_added_changed_removed_and_brought_back(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        shaft_id = read_whole(app.book, first_job(app)).shaft.id
        await go(app, pilot, "areas")
        await pilot.press("f4", "2", "enter")
        await fill(pilot, "strut", "60", "66", "1 thou")
        strut = next(a for a in shafts.areas_of(app.book, shaft_id) if a.name == "strut")
        assert (strut.kind, strut.from_in, strut.to_in) == ("bearing", 60.0, 66.0)
        assert strut.limit_in == pytest.approx(0.001)
        await pilot.press("pageup", "pagedown", "pagedown", "pagedown", "pageup")
        await pilot.pause()
        form = app.screen.query_one(Form)
        form.focus_field("to_in")
        await pilot.pause()
        await fill(pilot, "200")
        assert "beyond the shaft" in message(app)
        count = len(shafts.areas_of(app.book, shaft_id))
        await pilot.press("escape", "escape")
        await go(app, pilot, "areas")
        await pilot.press("f7", "1")
        await pilot.pause()
        assert len(shafts.areas_of(app.book, shaft_id)) == count - 1
        await pilot.press("f5")
        await pilot.pause()
        assert len(shafts.areas_of(app.book, shaft_id)) == count


def test_a_field_understands_what_is_typed() -> None:
    length = FieldSpec("a", "Length", "length", unit="mm")
    assert length.parse("25.4") == pytest.approx(1.0)
    assert length.parse("2 in") == 2.0
    assert length.parse(" ") is None
    assert FieldSpec("a", "Clock", "clock").parse("180") == pytest.approx(math.pi)
    pick = FieldSpec("a", "M", "pick", choices=(("S1", "steel one"), ("S10", "steel ten")))
    assert pick.parse("s10") == "S10"
    assert pick.parse("ten") == "S10"
    assert pick.parse("S1") == "S1"
    assert pick.parse("brass") == "brass"
    many = FieldSpec("a", "W", "many", choices=(("x", "x"), ("y", "y")))
    assert many.after_digit("x", 1) == "x,y"
    assert many.after_digit("x,y", 0) == "y"
    one = FieldSpec("a", "W", "choice", choices=(("x", "x"), ("y", "y")))
    assert [one.after_step(v, 1) for v in ("", "x", "y")] == ["x", "y", "x"]


@pytest.mark.slow
async def test_a_signal_to_leave_saves_what_stands_typed(tmp_path: Path) -> None:
    """A closed terminal window or a lost line asks the program to leave."""
    async with opened(tmp_path) as (app, pilot):
        job_id = first_job(app)
        await go(app, pilot, "intake")
        await type_text(pilot, "Zed")
        assert "Zed" in text(app)
        app.leave_on_signal(129)
        await pilot.pause(0.1)
        assert app.return_code == 129
        assert "Zed" in repr(read_whole(app.book, job_id))


@pytest.mark.slow
async def test_letters_typed_to_search_are_the_beginning_of_the_name(tmp_path: Path) -> None:
    """'jon' F4 'Jonas Ferry' Enter stored the name as the phone number before."""
    async with opened(tmp_path) as (app, pilot):
        await pilot.press("f4", *"jon", "f4")
        await pilot.pause()
        form = app.screen.query_one(Form)
        assert form.current == "customer"
        await fill(pilot, "Jonas Ferry", "", "555-0151")
        assert new_shaft.load(app.book)["customer"] == "Jonas Ferry"
        assert new_shaft.load(app.book)["phone"] == "555-0151"


@pytest.mark.slow
async def test_an_area_that_overlaps_another_is_said(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        shaft_id = read_whole(app.book, first_job(app)).shaft.id
        there = shafts.areas_of(app.book, shaft_id)[0]
        await go(app, pilot, "areas")
        await pilot.press("f4", "2", "enter")
        await fill(pilot, "strut", f"{there.from_in:g}", f"{there.to_in + 1:g}")
        assert f"strut. OVERLAPS {there.name} ({there.from_in:g} to" in text(app)
        apart = RidingArea("a", shaft_id, "bearing", "b", there.to_in, there.to_in + 1, None)
        assert overlap_words(apart, (there,)) == ""


async def test_half_a_new_area_is_not_called_stored(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "areas")
        await pilot.press("f4", "enter", "enter")
        await type_text(pilot, "20")
        await pilot.press("enter")
        await pilot.pause()
        assert "Not stored yet" in message(app)
