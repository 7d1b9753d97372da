"""Heat spots on a job: recorded, refused, cooling, and the sweeps that were begun too early."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.base.errors import ShaftlogError
from core.book import shafts, sweeps
from core.book.readings import take_reading
from core.jobs.evidence import sweeps_that_count
from core.jobs.heat.choice import heated_before, methods_of, usual_method
from core.jobs.heat.cooling import check_cold, spots_of, warm_sweeps
from core.jobs.heat.plan import heat_figures, keep_clear_in, plan_heat
from core.jobs.heat.spots import (
    SpotMade,
    entry_of_spot,
    last_spot,
    read_cooling,
    too_hot,
    undo_cooling,
)
from core.jobs.hit_actions import correct_hit, entry_of, note_hit, quick_check
from core.jobs.repair_offer import ask, play
from core.jobs.straightening import read_rounds, tell, work_out
from core.jobs.sweep.sweep_entry import begin_sweep
from core.reports.sections import hits as hit_section
from core.reports.ticket_remarks import hit_lines
from core.straightening.heat_spots import HeatedSpot, SpotSize
from core.straightening.response import Response
from tests.support.bench_book import new_job, new_sweep

SETUP = {
    "purpose": "working",
    "roller_a_in": 10.0,
    "roller_b_in": 100.0,
    "stations_in": (0.0, 60.0),
    "marks_deg": (0.0, 90.0, 180.0, 270.0),
}
SPOT = SpotMade(60.0, math.radians(90), temperature_f=1100.0, by="Ada")


class Bench:
    """A swept job on a clock that goes on only when asked."""

    def __init__(self, folder: Path, material: str = "G10450") -> None:
        self.now = datetime(2026, 3, 14, 8, 0, tzinfo=UTC)
        self.book, self.job = new_job(folder / "shop.db", now=self._tick)
        shafts.change_shaft(
            self.book, self.job.shaft_id, material=material, condition="", diameter_in=2.0
        )
        sweep = new_sweep(self.book, self.job, purpose="as received", read=99)
        sweeps.finish_sweep(self.book, sweep.id)

    def _tick(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now

    def wait(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)

    def heat(self, made: SpotMade = SPOT):
        raw = read_rounds(self.book, self.job.id)
        return note_hit(self.book, self.job.id, entry_of_spot(raw, made), seen=raw.hit_ids)

    def look(self, value_in: float) -> None:
        spot = last_spot(self.book, self.job.id)
        assert spot is not None
        read_cooling(self.book, spot, value_in)

    def cool(self) -> None:
        self.look(0.010)
        self.wait(33)
        self.look(0.010)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path)


def test_a_spot_is_on_record_with_temperature_size_and_name(bench: Bench) -> None:
    made = bench.heat()
    assert (made.method, made.temperature_f, made.by) == ("heat", 1100.0, "Ada")
    assert (made.spot_length_in, made.spot_arc_deg) == (1.0, pytest.approx(30.0))
    assert made.load_lbf is None
    assert made.angle_rad == pytest.approx(
        entry_of_spot(read_rounds(bench.book, bench.job.id), SPOT).asked_rad
    )


def test_a_hotter_spot_is_asked_for_more_and_one_over_the_limit_is_said(bench: Bench) -> None:
    raw = read_rounds(bench.book, bench.job.id)
    hot = replace(SPOT, temperature_f=1250.0)
    assert entry_of_spot(raw, hot).asked_rad > entry_of_spot(raw, SPOT).asked_rad
    assert "over the limit of 1,200 F" in too_hot(raw, hot)
    assert too_hot(raw, SPOT) == ""
    assert too_hot(raw, replace(SPOT, temperature_f=None)) == ""


def test_a_material_that_heat_spoils_needs_a_name(tmp_path: Path) -> None:
    bench = Bench(tmp_path, "S17400")
    with pytest.raises(ShaftlogError, match=r"Hardened by ageing.*name who overrules"):
        bench.heat()
    made = bench.heat(replace(SPOT, overrule_by="Jo Ferry", overrule_reason="owner asked"))
    assert (made.overrule_by, made.overrule_reason) == ("Jo Ferry", "owner asked")


def test_no_check_is_begun_while_the_bar_is_warm(bench: Bench) -> None:
    bench.heat()
    bench.look(0.012)
    story = tell(read_rounds(bench.book, bench.job.id))
    with pytest.raises(ShaftlogError, match="not read cold"):
        quick_check(bench.book, bench.job.id, story)
    bench.cool()
    assert quick_check(bench.book, bench.job.id, story)


def test_two_readings_that_agree_call_it_cold_and_the_second_of_them_is_since_when(
    bench: Bench,
) -> None:
    bench.heat()
    for value in (0.016, 0.012, 0.0105):
        bench.look(value)
        bench.wait(5)
    assert last_spot(bench.book, bench.job.id).is_warm(bench.now)
    bench.look(0.0102)
    bench.wait(33)
    since = bench.now
    bench.look(0.0102)
    spot = last_spot(bench.book, bench.job.id)
    assert spot.state.is_cold
    assert abs((spot.cold_at - since).total_seconds()) < 5
    undo_cooling(bench.book, spot)
    assert not last_spot(bench.book, bench.job.id).state.is_cold


def test_a_warm_sweep_is_kept_and_never_used(bench: Bench) -> None:
    bench.heat()
    bench.look(0.012)
    warm = new_sweep(bench.book, bench.job, purpose="working", read=99)
    sweeps.finish_sweep(bench.book, warm.id)
    bench.cool()
    cold = new_sweep(bench.book, bench.job, purpose="working", read=99)
    sweeps.finish_sweep(bench.book, cold.id)
    assert set(warm_sweeps(bench.book, bench.job.id)) == {warm.id}
    used = [sweep.id for sweep in sweeps_that_count(bench.book, bench.job.id).full]
    assert warm.id not in used
    assert cold.id in used


def test_the_newest_sweep_is_named_when_it_was_warm(bench: Bench) -> None:
    bench.heat()
    bench.look(0.012)
    warm = new_sweep(bench.book, bench.job, purpose="working", read=99)
    sweeps.finish_sweep(bench.book, warm.id)
    assert "read cold" in read_rounds(bench.book, bench.job.id).unused


def test_a_sweep_begun_on_a_warm_bar_is_named_while_it_is_still_being_read(bench: Bench) -> None:
    bench.heat()
    bench.look(0.012)
    new_sweep(bench.book, bench.job, purpose="working", read=3)
    assert "read cold" in read_rounds(bench.book, bench.job.id).unused


def test_a_sweep_set_up_before_the_spot_and_read_on_the_cold_bar_is_used(bench: Bench) -> None:
    early = new_sweep(bench.book, bench.job, purpose="working")
    bench.heat()
    assert read_rounds(bench.book, bench.job.id).unused == "", "nothing was read warm"
    bench.cool()
    for station_in in early.stations_in:
        for clock_deg in early.marks_deg:
            take_reading(
                bench.book, early.id, station_in=station_in, clock_deg=clock_deg,
                value_in=0.001, raw="1",
            )  # fmt: skip
    sweeps.finish_sweep(bench.book, early.id)
    assert early.id not in warm_sweeps(bench.book, bench.job.id)
    used = [sweep.id for sweep in sweeps_that_count(bench.book, bench.job.id).full]
    assert early.id in used


def test_a_bar_that_nobody_read_is_cold_after_two_hours(bench: Bench) -> None:
    bench.heat()
    with pytest.raises(ShaftlogError, match="not read cold"):
        check_cold(bench.book, bench.job.id, bench.now + timedelta(minutes=100))
    check_cold(bench.book, bench.job.id, bench.now + timedelta(minutes=121))


def test_the_clock_and_the_sweeps_call_a_bar_cold_at_the_same_time(bench: Bench) -> None:
    """After two hours sweeps were taken and the clock's screen still said 'not read cold yet'."""
    bench.heat()
    spot = last_spot(bench.book, bench.job.id)
    assert "again in 32 min" in spot.text_at(bench.now + timedelta(minutes=119))
    assert spot.text_at(bench.now + timedelta(minutes=121)).startswith("Cold")


def test_a_bar_looked_at_once_is_cold_two_hours_later(bench: Bench) -> None:
    bench.heat()
    bench.wait(5)
    bench.look(0.012)
    with pytest.raises(ShaftlogError, match="not read cold"):
        check_cold(bench.book, bench.job.id, bench.now + timedelta(minutes=115))
    check_cold(bench.book, bench.job.id, bench.now + timedelta(minutes=121))


def test_a_bar_read_cold_after_a_second_spot_is_cold_after_the_first_too(bench: Bench) -> None:
    bench.heat()
    bench.look(0.012)
    bench.wait(3)
    bench.heat(replace(SPOT, station_in=70.0))
    with pytest.raises(ShaftlogError, match="not read cold"):
        begin_sweep(bench.book, bench.job.id, tells=False, **SETUP)
    bench.cool()
    check_cold(bench.book, bench.job.id, bench.now)
    cold = begin_sweep(bench.book, bench.job.id, tells=False, **SETUP)
    assert cold.id not in warm_sweeps(bench.book, bench.job.id)


def test_a_corrected_spot_keeps_its_cooling(bench: Bench) -> None:
    made = bench.heat()
    bench.cool()
    correct_hit(bench.book, made.id, replace(entry_of(made), temperature_f=1050.0))
    (spot,) = spots_of(bench.book, bench.job.id)
    assert spot.hit.temperature_f == 1050.0
    assert spot.state.is_cold
    assert (spot.hit.spot_length_in, spot.hit.spot_arc_deg) == (1.0, pytest.approx(30.0))


def test_no_later_dial_or_shaft_figure_changes_which_sweeps_were_warm(bench: Bench) -> None:
    """The wait was worked out anew with whatever dial the newest sweep had."""
    bench.heat()
    bench.look(0.0100)
    bench.wait(33)
    bench.look(0.0104)
    cold = new_sweep(bench.book, bench.job, purpose="working", read=99)
    shafts.change_shaft(bench.book, bench.job.shaft_id, diameter_in=20.0, material="S31600")
    fine = new_sweep(bench.book, bench.job, purpose="working")
    sweeps.change_sweep(bench.book, fine.id, resolution_in=0.0001)
    assert cold.id not in warm_sweeps(bench.book, bench.job.id)


def test_a_spot_noted_before_the_wait_was_kept_is_asked_what_it_was_asked_then(
    bench: Bench,
) -> None:
    """14 minutes; the sweep read then had become a warm one."""
    made = bench.heat()
    bench.book.con.execute("UPDATE hit SET cold_wait_min = NULL, cold_dial_in = NULL")
    bench.look(0.010)
    bench.wait(13)
    bench.look(0.010)
    warm = new_sweep(bench.book, bench.job, purpose="working", read=99)
    bench.wait(1)
    bench.look(0.010)
    cold = new_sweep(bench.book, bench.job, purpose="working", read=99)
    correct_hit(bench.book, made.id, replace(entry_of(made), temperature_f=1050.0))
    assert set(warm_sweeps(bench.book, bench.job.id)) == {warm.id}
    assert cold.id != warm.id


def test_a_hit_that_was_a_heat_spot_after_all_is_asked_what_a_spot_is_asked_now(
    bench: Bench,
) -> None:
    spot = bench.heat()
    assert spot.cold_dial_in == 0.0005
    made = correct_hit(bench.book, spot.id, replace(entry_of(spot), method="press"))
    assert (made.cold_wait_min, made.cold_dial_in) == (None, None)
    again = correct_hit(bench.book, made.id, replace(entry_of(made), method="heat"))
    assert again.cold_wait_min == spot.cold_wait_min == pytest.approx(20 * math.log(5))


def test_spots_keep_clear_of_riding_areas_and_of_metal_heated_before(bench: Bench) -> None:
    raw = read_rounds(bench.book, bench.job.id)
    (planned, *_) = work_out(raw).plan
    figures, known = heat_figures(raw.shaft), Response(1.0, 0.1, 0.3, n_hits=9)
    free = plan_heat(raw.shaft, (), planned.hit, known, figures, SpotSize())
    again = plan_heat(
        raw.shaft, (), planned.hit, known, figures, SpotSize(),
        heated=[HeatedSpot(free.station_in, free.high_side_rad, SpotSize())],
    )  # fmt: skip
    assert abs(again.station_in - free.station_in) >= 1.5 - 1e-9
    clear = keep_clear_in(raw.shaft, raw.areas)
    x = plan_heat(raw.shaft, raw.areas, planned.hit, known, figures, SpotSize()).station_in
    assert all(x + 0.5 <= low - 2 + 1e-9 or x - 0.5 >= high + 2 - 1e-9 for low, high in clear)


def test_both_methods_are_shown_for_a_bend_and_the_habit_follows_what_was_done(
    bench: Bench,
) -> None:
    raw = read_rounds(bench.book, bench.job.id)
    state = work_out(raw)
    both = methods_of(state, state.plan[0])
    assert both.press is not None
    assert both.heat is not None
    assert both.heat.minutes > both.press.minutes
    assert any("class" in one.lower() for one in both.heat.against)
    assert usual_method(raw, ()) == "press"
    bench.heat()
    raw = read_rounds(bench.book, bench.job.id)
    assert usual_method(raw, ()) == "heat"
    assert [spot.station_in for spot in heated_before(raw)] == [60.0]


def test_a_material_without_a_limit_is_pressed(tmp_path: Path) -> None:
    state = work_out(read_rounds(*(lambda b: (b.book, b.job.id))(Bench(tmp_path, "C46400"))))
    both = methods_of(state, state.plan[0])
    assert both.heat is None
    assert "Press it" in both.no_heat


def test_a_shop_s_share_of_spots_starts_wide_and_is_learnt(bench: Bench) -> None:
    first = work_out(read_rounds(bench.book, bench.job.id)).responses
    heat, press = first["heat"], first["press"]
    assert heat.mean < 0.5 < press.mean
    assert heat.scatter / heat.mean > press.scatter / press.mean


def test_the_ticket_lists_a_spot_with_temperature_and_size(bench: Bench) -> None:
    bench.heat()
    (line,) = hit_lines(bench.book, bench.job.id, None, lambda at: at)
    assert line.remark.startswith(
        "Heat spot at 60 in: 1,100 F measured, 1 in along and 30 deg round, by mechanics "
    )
    assert (line.method, line.by) == ("heat", "Ada")
    assert line.asked_mrad is None, "a spot is made to a size: nobody asked an angle of it"
    table = hit_section((line,)).table
    assert table is not None
    assert table.rows[0][3] == "-"


@pytest.mark.slow
def test_the_offer_of_a_shop_that_heats_reckons_with_spots(bench: Bench) -> None:
    pressed = play(ask(bench.book, bench.job.id))[1]
    bench.heat()
    bench.cool()
    sweep = new_sweep(bench.book, bench.job, purpose="working", read=99)
    sweeps.finish_sweep(bench.book, sweep.id)
    heated = play(ask(bench.book, bench.job.id))[1]
    assert heated.hours_median > pressed.hours_median


def test_the_ticket_of_a_heated_shaft_says_what_that_asks_for(bench: Bench) -> None:
    bench.heat()
    lines = hit_lines(bench.book, bench.job.id, None, lambda at: at)
    section = hit_section(lines)
    assert any("class society" in words for words in section.under)
