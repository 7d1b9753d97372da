"""Hold check by keys alone: rest, sweep again, held or moved; and the way there from the card."""

from __future__ import annotations

import math
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from core.base.records import Sweep
from core.book import hits, jobs, settings, sweeps
from core.book.readings import take_readings
from tests.support.app_helpers import message, text, worked_out
from tests.support.bench_book import bent, new_job, new_sweep, workers_done
from tui.app import ShaftlogApp
from tui.screens.board.job_card import JobCardScreen
from tui.screens.shape.plot import PlotScreen
from tui.screens.straightening.hold import HoldScreen
from tui.screens.sweep.sweep import SweepScreen
from tui.screens.sweep.sweep_setup import SweepSetupScreen
from tui.widgets.list_box import ListBox

NOON = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)
STATIONS_IN = (6.0, 24.0, 40.0, 60.0, 81.0, 96.0, 112.0)
"""Typed by hand at the bench: not what the spacing gives."""


def rocking(station_in: float, clock_deg: float) -> float:
    """Clean readings that do not round to nothing, the same at every sweep."""
    return bent(station_in, clock_deg) + 0.0006 * math.cos(math.radians(2 * clock_deg))


def crept(station_in: float, clock_deg: float) -> float:
    """The same shaft a day later: its middle went 0.003 in towards 90."""
    off_in = 0.003 * (1 - abs(station_in - 60.0) / 36.0)
    return rocking(station_in, clock_deg) + off_in * math.cos(math.radians(clock_deg - 90.0))


class Bench:
    """The app on one job, with a clock that is moved by hand."""

    def __init__(self, app: ShaftlogApp, pilot: Pilot[None]) -> None:
        self.app, self.pilot, self.now = app, pilot, NOON
        app.clock = lambda: self.now.timestamp()
        app.book._now = lambda: self.now
        self.job = jobs.open_jobs(app.book)[0]

    def later(self, hours: float) -> None:
        self.now += timedelta(hours=hours)

    def hit(self) -> None:
        """One press stroke, an hour of work."""
        self.later(1)
        hits.add_hit(
            self.app.book, job_id=self.job.id, round_no=1, method="press", station_in=60.0,
            clock_deg=90.0, angle_rad=0.001,
        )  # fmt: skip

    def sweep(self, purpose: str, shape=rocking) -> Sweep:
        """A whole sweep read and finished, in an hour."""
        self.later(1)
        made = new_sweep(
            self.app.book, self.job, read=len(STATIONS_IN), purpose=purpose, shape=shape,
            stations_in=STATIONS_IN,
        )  # fmt: skip
        self.later(1)
        return sweeps.finish_sweep(self.app.book, made.id)

    async def press(self, *keys: str) -> None:
        for key in keys:
            await self.pilot.press(key)
            await worked_out(self.app, self.pilot)

    async def open(self, name: str) -> None:
        self.app.go(name, self.job.id)
        await worked_out(self.app, self.pilot)

    @property
    def verdict(self) -> str:
        return str(self.app.screen.query_one("#verdict", Static).content)

    @property
    def rows(self) -> int:
        return len(self.app.screen.query_one(ListBox).rows)


@asynccontextmanager
async def bench_of(folder: Path) -> AsyncIterator[Bench]:
    """A job whose shaft was swept as received and hit once."""
    book, _ = new_job(folder / "shop.db")
    book.close()
    app = ShaftlogApp(folder / "shop.db", warm=False)
    try:
        async with app.run_test(size=(80, 24), notifications=True) as pilot:
            await pilot.pause()
            bench = Bench(app, pilot)
            bench.sweep("as received")
            bench.hit()
            yield bench
            await workers_done(pilot)
    finally:
        app.close_book()


@pytest.mark.slow
async def test_from_the_hit_through_the_rest_to_held(tmp_path: Path) -> None:
    """A full sweep is asked for, then the rest, then the sweep of the same stations; held."""
    async with bench_of(tmp_path) as bench:
        await bench.open("hold")
        assert bench.verdict.startswith("First a full sweep after the last hit")
        await bench.press("f4")
        assert isinstance(bench.app.screen, SweepSetupScreen)
        assert bench.app.screen.values["purpose"] == "working"
        await bench.press("escape")
        bench.sweep("working")
        bench.later(2)
        bench.app.screen.refresh_view()
        await worked_out(bench.app, bench.pilot)
        assert bench.verdict.startswith("Let it rest 10.0 h more")
        bench.later(11)
        bench.app.screen.refresh_view()
        await worked_out(bench.app, bench.pilot)
        assert bench.verdict.startswith("Rested 13 h since working")
        await bench.press("f4")
        assert isinstance(bench.app.screen, SweepSetupScreen)
        assert "stations as in the last full sweep" in text(bench.app)
        await bench.press("f12")
        assert isinstance(bench.app.screen, SweepScreen)
        made = sweeps.sweeps_of(bench.app.book, bench.job.id)[-1]
        assert (made.purpose, made.stations_in) == ("hold check", STATIONS_IN)
        await bench.press("escape")
        new = [
            {
                "station_in": station_in, "clock_deg": clock_deg, "raw": "x",
                "value_in": round(rocking(station_in, clock_deg) / 0.0005) * 0.0005,
            }
            for station_in in made.stations_in
            for clock_deg in made.marks_deg
        ]  # fmt: skip
        take_readings(bench.app.book, made.id, new)
        await bench.press("f4", "f12", "1")
        assert isinstance(bench.app.screen, HoldScreen), "the finished check opens the comparison"
        assert bench.verdict.startswith("Held: no station moved")
        assert bench.rows == len(STATIONS_IN) - 2, "every station but those on the rollers"
        assert "MOVED" not in text(bench.app)


@pytest.mark.slow
async def test_moved_says_how_much_and_where(tmp_path: Path) -> None:
    async with bench_of(tmp_path) as bench:
        bench.sweep("working")
        bench.later(14)
        bench.sweep("hold check", crept)
        await bench.open("hold")
        first, second = bench.verdict.splitlines()[:2]
        assert first.startswith("Moved: most at 60.0 in, ")
        moved = float(first.split(" in, ")[1].split()[0])
        assert abs(moved - 3.0) < 0.5
        assert abs(float(first.split("toward ")[1].split()[0]) - 90.0) < 10.0
        assert second.startswith("Straighten what moved")
        assert "MOVED" in text(bench.app)
        settings.save(bench.app.book, unit="mm")
        bench.app.screen.seen_elsewhere()
        await worked_out(bench.app, bench.pilot)
        await bench.pilot.pause()
        assert bench.verdict.startswith("Moved: most at 1524 mm, ")
        assert abs(float(bench.verdict.split(" mm, ")[1].split(" mm")[0]) - 0.076) < 0.013
        assert "thou" not in text(bench.app)


@pytest.mark.slow
async def test_two_states_are_never_compared(tmp_path: Path) -> None:
    """A hit between the sweeps, or after the check, is said; and F5, F6 choose other sweeps."""
    async with bench_of(tmp_path) as bench:
        bench.sweep("working")
        bench.later(14)
        bench.sweep("hold check")
        await bench.open("hold")
        assert bench.verdict.startswith("Held")
        await bench.press("f6", "1", "3")
        assert bench.verdict.startswith("A hit was made between these two sweeps")
        assert bench.rows == 0
        await bench.press("f6", "1", "2")
        assert bench.verdict.startswith("Held")
        await bench.press("f6", "2", "2")
        assert bench.verdict.startswith("Twice the same sweep")
        await bench.press("f6", "2", "1")
        bench.hit()
        bench.app.screen.refresh_view()
        await worked_out(bench.app, bench.pilot)
        assert bench.verdict.startswith("IT WAS HIT AGAIN AFTER THIS CHECK")
        await bench.press("escape")
        await bench.open("hold")
        assert bench.verdict.startswith("First a full sweep after the last hit")


@pytest.mark.slow
async def test_the_job_card_opens_the_right_thing(tmp_path: Path) -> None:
    """No hold check: the hold screen; one in hand: the readings; finished: the comparison."""
    async with bench_of(tmp_path) as bench:
        bench.sweep("working")
        await bench.open("card")
        assert "after a rest" in text(bench.app)
        bench.later(13)
        bench.app.screen.refresh_view()
        await worked_out(bench.app, bench.pilot)
        await workers_done(bench.pilot)
        assert "rest is over" in text(bench.app)
        await bench.press("5")
        assert isinstance(bench.app.screen, HoldScreen)
        await bench.press("escape")
        new_sweep(bench.app.book, bench.job, read=2, purpose="hold check", stations_in=STATIONS_IN)
        bench.app.screen.refresh_view()
        await worked_out(bench.app, bench.pilot)
        await bench.press("5")
        assert isinstance(bench.app.screen, SweepScreen)
        assert bench.app.screen.session is not None
        assert bench.app.screen.session.sweep.purpose == "hold check"
        await workers_done(bench.pilot)
        await bench.press("escape")
        sweeps.finish_sweep(bench.app.book, _last(bench).id)
        bench.app.screen.refresh_view()
        await worked_out(bench.app, bench.pilot)
        await bench.press("5")
        assert isinstance(bench.app.screen, HoldScreen)


def _last(bench: Bench) -> Sweep:
    return sweeps.sweeps_of(bench.app.book, bench.job.id)[-1]


@pytest.mark.slow
async def test_final_sweep_of_the_card_is_set_up_as_final(tmp_path: Path) -> None:
    """Also when a set-up for something else was left half filled."""
    async with bench_of(tmp_path) as bench:
        bench.sweep("working")
        settings.save(bench.app.book, spacing_in=8.0)
        bench.app.push_screen(SweepSetupScreen(bench.job.id, purpose="working"))
        await bench.pilot.pause()
        await bench.press("right", "right", "enter", "escape")
        await bench.open("card")
        assert isinstance(bench.app.screen, JobCardScreen)
        await bench.press("6")
        await bench.pilot.pause()
        assert isinstance(bench.app.screen, SweepSetupScreen)
        assert bench.app.screen.values["purpose"] == "final"
        await bench.press("f12")
        assert (_last(bench).purpose, _last(bench).stations_in) == ("final", STATIONS_IN)


@pytest.mark.slow
async def test_other_spacing_asks_for_a_new_list(tmp_path: Path) -> None:
    async with bench_of(tmp_path) as bench:
        bench.sweep("working")
        await bench.open("hold")
        await bench.press("f4", *["down"] * 4, "ctrl+u", "1", "0", "enter")
        assert "as in the last full sweep" not in text(bench.app)
        await bench.press("f12")
        assert {10, 20, 40, 110} <= {round(x) for x in _last(bench).stations_in}


@pytest.mark.slow
async def test_a_closed_job_can_only_be_looked_at(tmp_path: Path) -> None:
    async with bench_of(tmp_path) as bench:
        bench.sweep("working")
        bench.later(14)
        bench.sweep("hold check")
        jobs.set_state(bench.app.book, bench.job.id, "returned")
        await bench.open("hold")
        assert bench.verdict.startswith("Held")
        await bench.press("f4")
        assert "closed" in message(bench.app)
        await bench.press("f7")
        assert isinstance(bench.app.screen, PlotScreen)
