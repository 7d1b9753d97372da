"""The coupling bore by keys alone: measuring, doubts, undo, sets, set-up, verdicts."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.book import customers, jobs, shafts
from core.book.errors import DiskFull
from core.fitting.coupling.bore_job import SUBJECTS, bore_result
from core.jobs.measured import read_figures, read_fit_facts
from tests.support.app_helpers import CP437, first_job, go, lines, message, opened, text
from tests.support.typed_figures import enter, press, stored, value_of
from tui.screens.measure.coupling import CouplingScreen

LOOSE = ("1.7531", "1.753", "1.7531", "1.753", "1.7531", "1.753")
SEAT = ("1.7499", "1.7499", "1.7499", "1.75", "1.7499", "1.7499")
FIT = ("1.7506", "1.7505", "1.7506", "1.7505", "1.7506", "1.7505")


def verdict(app) -> str:
    """The verdict of the figures in the book."""
    job = first_job(app)
    figures = read_figures(app.book, job, *SUBJECTS)
    return bore_result(figures, read_fit_facts(app.book, job)).report.verdict


@pytest.mark.slow
async def test_whole_bore_by_the_pad(tmp_path: Path) -> None:
    """Every figure in its order, each in the book at its depth and clock."""
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        assert "NOT MEASURED" in text(app)
        await enter(pilot, *FIT, *SEAT, "3.5", "3")
        bore = [(m.depth_in, m.clock_deg, m.value_in, m.raw) for m in stored(app, "bore")]
        assert bore[0] == (0.5, 0.0, 1.7506, "1.7506")
        assert bore[3] == (1.75, 90.0, 1.7505, "1.7505")
        assert len(bore) == len(stored(app, "seat")) == 6
        assert value_of(app, "coupling", "hub outside") == 3.5
        assert value_of(app, "coupling", "hub length") == 3.0
        assert verdict(app).startswith("RIGHT")
        assert "RIGHT for the shop's band" in text(app)
        assert "All figures are in" in message(app)


@pytest.mark.slow
async def test_too_loose_says_what_it_takes(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, *LOOSE, *SEAT, "3.5", "3")
        assert "TOO LOOSE by" in text(app)
        await press(pilot, "f7")
        shown = text(app)
        for words in ("To make it fit", "new coupling bored", "sleeve", "Trade"):
            if words not in shown:
                await press(pilot, "f7")
                shown += text(app)
        assert "press in a sleeve" in " ".join(shown.split())
        assert "contradict" in " ".join(shown.split())


@pytest.mark.slow
async def test_wrong_unit_is_asked_about(tmp_path: Path) -> None:
    """Asked, not swallowed: nothing is stored before the answer, and what was typed is kept."""
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        for taken, (typed, answer) in enumerate((("44.45", "1"), ("1750", "1"), ("17.5", "1"))):
            await enter(pilot, typed)
            assert len(stored(app, "bore")) == taken
            assert "Is this figure right?" in text(app)
            await enter(pilot, answer)
            one = stored(app, "bore")[-1]
            assert (one.value_in, one.raw) == (pytest.approx(1.75), typed)
        assert value_of(app, "coupling setup", "nominal size") is None
        await enter(pilot, "44.45", "3")
        assert len(stored(app, "bore")) == 3
        await enter(pilot, "44.45", "1.7503")
        assert stored(app, "bore")[-1].value_in == 1.7503
        await enter(pilot, "1.5", "1")
        assert stored(app, "bore")[-1].value_in == 1.5
        assert value_of(app, "coupling setup", "nominal size") == 1.5


@pytest.mark.slow
async def test_question_survives_leaving(tmp_path: Path) -> None:
    """A figure typed and not taken stands in the field again."""
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, "44.45")
        await press(pilot, "escape")
        await go(app, pilot, "coupling")
        assert app.screen.field.value == "44.45"
        await press(pilot, "enter")
        assert app.screen.question is not None


@pytest.mark.slow
async def test_undo_skip_and_mend_keep_every_row(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, "1.7512", "1.7513")
        await press(pilot, "slash")
        assert [m.value_in for m in stored(app, "bore")] == [1.7512]
        assert app.screen.here.clock_deg == 90.0
        await press(pilot, "asterisk")
        assert stored(app, "bore")[-1].raw == "*"
        await press(pilot, "up", "up")
        await enter(pilot, "1.7519")
        assert value_of(app, "bore", "diameter", depth_in=0.5, clock_deg=0.0) == 1.7519
        raws = [m.raw for m in stored(app, "bore", all_rows=True)]
        assert {"1.7512", "1.7513", "*", "1.7519"} <= set(raws)
        await press(pilot, "f5")
        assert value_of(app, "bore", "diameter", depth_in=0.5, clock_deg=0.0) == 1.7512


@pytest.mark.slow
async def test_goes_on_where_it_stopped(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, "1.7512", "1.7513", "1.7512")
        await press(pilot, "escape")
        await go(app, pilot, "coupling")
        assert (app.screen.here.depth_in, app.screen.here.clock_deg) == (1.75, 90.0)


@pytest.mark.slow
async def test_pad_plus_and_minus_go_from_part_to_part(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, "+")
        assert app.screen.here.subject == "seat"
        await enter(pilot, "+")
        assert app.screen.here.what == "hub outside"
        await enter(pilot, "-", "-")
        assert app.screen.here.subject == "bore"
        await press(pilot, "enter", "enter")
        assert not stored(app, "bore")


@pytest.mark.slow
async def test_second_set_after_work(tmp_path: Path) -> None:
    """Set 2 measures the bore anew; the seat still stands from set 1; set 1 stays as it was."""
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, *LOOSE, *SEAT, "3.5", "3")
        await press(pilot, "f6", "2")
        assert app.screen.here.key == ("bore", "diameter", 0.5, 0.0)
        await enter(pilot, *FIT)
        assert "RIGHT" in verdict(app)
        assert "(1.7499)" in text(app)
        assert {m.set_no for m in stored(app, "bore")} == {1, 2}
        await press(pilot, "f6", "1")
        assert "TOO LOOSE" in text(app)
        await press(pilot, "f5")
        assert "set 2" in message(app)
        assert len(stored(app, "bore")) == 12


@pytest.mark.slow
async def test_interference_is_worked_out_once_all_is_known(tmp_path: Path) -> None:
    """Hub material and engine are asked for, then pressure, force, torque and heat stand there."""
    tight = tuple(f"{float(v) - 0.002:.4f}" for v in FIT)
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, *tight, *SEAT, "3.5", "3")
        job = first_job(app)
        report = app.screen.sheet.report
        assert "hub material: no pressure, no heat" in report.missing
        assert any("engine power" in words for words in report.missing)
        await press(pilot, "f8", *["down"] * 5)
        await press(pilot, *"G10450")
        await press(pilot, "enter", *["down"] * 4)
        await enter(pilot, "250", "1200")
        assert isinstance(app.screen, CouplingScreen)
        vessel = customers.vessel(
            app.book, shafts.shaft(app.book, jobs.job(app.book, job).shaft_id).vessel_id
        )
        assert (vessel.engine_hp, vessel.shaft_rpm) == (250.0, 1200.0)
        report = app.screen.sheet.report
        titles = {c.title: " ".join(c.lines) for c in report.chapters}
        assert "Pressure, psi" in titles["Press"]
        assert "Engine torque 1,094 lbf ft" in titles["Press"]
        assert "Stand clear" in titles["Press"]
        assert "Hub to" in titles["Heat for a slip-on"]
        assert "gloves" in titles["Heat for a slip-on"]
        assert not any("engine" in words or "hub" in words for words in report.missing)


@pytest.mark.slow
async def test_class_of_fit_and_kinds(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, *FIT, *SEAT)
        await press(pilot, "f8", "2", *["down"] * 3)
        await press(pilot, *"LC2")
        await press(pilot, "enter", "escape")
        assert "LC2" in text(app)
        assert "split, 1.7500 in, LC2" in text(app)
        assert any("split" in words for words in app.screen.sheet.report.missing)
        assert any(w.what == "split gap" for w in app.screen.sheet.wanted)
        await press(pilot, "f8", "3", "escape")
        assert any(w.what == "blueing share" for w in app.screen.sheet.wanted)


@pytest.mark.slow
async def test_bad_setup_is_refused_in_words(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await press(pilot, "f8", *["down"] * 4)
        await press(pilot, *"QX9")
        await press(pilot, "enter")
        assert "no fit class" in message(app)
        assert not stored(app, "coupling setup")


@pytest.mark.slow
async def test_shop_that_reads_millimetres(tmp_path: Path) -> None:
    from core.book import choices, settings

    async with opened(tmp_path) as (app, pilot):
        settings.save(app.book, unit="mm")
        await go(app, pilot, "coupling")
        await enter(pilot, "44.46")
        one = stored(app, "bore")[0]
        assert one.value_in == pytest.approx(44.46 / 25.4)
        assert "44.460" in text(app)
        await press(pilot, "f8", *["down"] * 3)
        await enter(pilot, "44.5")
        (nominal,) = choices.choices_of(app.book, first_job(app), "coupling setup")
        assert nominal.number == pytest.approx(44.5 / 25.4)
        assert nominal.value == "44.5 mm", "the list of changes shows this text"


@pytest.mark.slow
async def test_bore_over_the_hub_is_said(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, *FIT, *SEAT, "1.7")
        assert "CANNOT BE WORKED OUT" in text(app)
        assert "no wall is left" in text(app)


@pytest.mark.slow
async def test_closed_job_is_read_only(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        jobs.set_state(app.book, first_job(app), "released")
        job = jobs.job_by_tag(app.book, "26-001")
        app.go("coupling", job.id)
        await pilot.pause()
        await enter(pilot, "1.75")
        assert "closed" in message(app)
        assert app.screen.field.value == "1.75"
        await press(pilot, "asterisk", "f5", "f4")
        await press(pilot, "f8", "2")
        assert "closed" in message(app)
        assert not app.book.rows("SELECT id FROM measurement")


@pytest.mark.slow
async def test_full_disk_keeps_the_figure_in_the_field(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from core.book import measurements

    def full(*_args: object, **_kwargs: object) -> None:
        raise DiskFull("The disk is full. Make room, then try again.")

    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        monkeypatch.setattr(measurements, "take_measurement", full)
        await enter(pilot, "1.7512")
        assert app.screen.field.value == "1.7512"
        assert "disk is full" in message(app)
        monkeypatch.undo()
        await press(pilot, "enter")
        assert [m.value_in for m in stored(app, "bore")] == [1.7512]


@pytest.mark.slow
async def test_glyphs_of_every_page(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, *LOOSE, *SEAT, "3.5", "3")
        for size, pages in (((80, 24), 5), ((120, 40), 1), ((60, 16), 1)):
            await pilot.resize_terminal(*size)
            for _ in range(pages):
                await press(pilot, "f7")
                assert set("".join(lines(app))) <= CP437


@pytest.mark.slow
async def test_a_list_of_depths_takes_the_place_of_the_old_one(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await press(pilot, "f8", "down")
        await enter(pilot, "0.5 2 3.5 4")
        await press(pilot, "escape")
        depths = list(dict.fromkeys(w.depth_in for w in app.screen.sheet.wanted if w.depth_in))
        assert depths == [0.5, 2.0, 3.5, 4.0]
        await press(pilot, "f8", "down")
        await enter(pilot, "0.5 44.45")
        assert "between 0 and 24" in message(app)


@pytest.mark.slow
async def test_with_all_figures_in_a_number_is_not_taken(tmp_path: Path) -> None:
    """A number typed after the last figure overwrote it before."""
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, *FIT, *SEAT, "3.5", "3")
        before = stored(app, "bore", "seat", "coupling", all_rows=True)
        await enter(pilot, ".06")
        await press(pilot, "asterisk")
        assert stored(app, "bore", "seat", "coupling", all_rows=True) == before
        assert "Up and Down" in message(app)


@pytest.mark.slow
async def test_after_a_correction_the_next_number_goes_where_entry_was(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await enter(pilot, "1.7512", "1.7513", "1.7514")
        await press(pilot, "up", "up", "up")
        await enter(pilot, "1.7511", "1.7515")
        assert [m.value_in for m in stored(app, "bore")] == [1.7513, 1.7514, 1.7511, 1.7515]
        assert value_of(app, "bore", "diameter", depth_in=1.75, clock_deg=90.0) == 1.7515
