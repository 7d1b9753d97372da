"""Penetrant check by keys alone: areas, stages, big clock, bell, results, crack, redo, undo."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from textual.widgets import Static

from core.base.records import PenetrantCheck
from core.book import hits, jobs, penetrant_checks, settings
from core.jobs import facts
from core.jobs.penetrant import spots
from core.penetrant.clock import standards
from core.reports.ticket_collect import missing_for_release
from tests.support.app_helpers import first_job, go, lines, message, opened, text, type_text
from tui.app import ShaftlogApp
from tui.screens.penetrant.penetrant import PenetrantScreen
from tui.screens.penetrant.penetrant_pages import AreaNoteScreen
from tui.widgets.big_clock import BigClock, clock_text
from tui.widgets.canvas import Canvas

NOON = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)
AREAS = 5
"""Areas of the shaft of the small book: its ends, keyways, taper and thread."""


class Hands:
    """Moves the clock of the app and of its book, and hears the bell."""

    def __init__(self, app: ShaftlogApp) -> None:
        self.app = app
        self.now = NOON
        self.rung = 0
        app.clock = lambda: self.now.timestamp()
        app.book._now = lambda: self.now
        app.bell = self.ring  # type: ignore[method-assign]

    def ring(self) -> None:
        """Count the bell."""
        self.rung += 1

    async def later(self, pilot, minutes: float) -> None:
        """Some minutes later: the beat of the app, and of the screen."""
        self.now += timedelta(minutes=minutes)
        assert self.app.heart is not None
        self.app.heart.beat()
        if isinstance(self.app.screen, PenetrantScreen):
            self.app.screen._tick()
        await pilot.pause()


def checks(app: ShaftlogApp) -> tuple[PenetrantCheck, ...]:
    """The check that counts of each area."""
    return penetrant_checks.newest_checks(app.book, first_job(app))


def big(app: ShaftlogApp) -> str:
    """What the big clock shows."""
    return app.screen.query_one(BigClock).words


def verdict(app: ShaftlogApp) -> str:
    """The words at the top."""
    return str(app.screen.query_one("#verdict", Static).content)


def clock_runs(app: ShaftlogApp) -> str:
    """What the big clock counts, in words."""
    return str(app.screen.query_one("#running", Static).content)


def run_on(app: ShaftlogApp) -> str:
    """The whole screen with its lines run together."""
    return " ".join(text(app).split())


async def press(pilot, *keys: str) -> None:
    """Press keys one by one, each worked off."""
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


@pytest.mark.slow
async def test_all_areas_together_to_no_crack_seen(tmp_path: Path) -> None:
    """Every stage in its time by F5, the bell at each, five times clear."""
    async with opened(tmp_path) as (app, pilot):
        hands = Hands(app)
        await go(app, pilot, "penetrant")
        assert verdict(app).startswith(f"Not finished: 0 of {AREAS} areas clear.")
        assert big(app) == ""
        assert "F6 all of them" in clock_runs(app)
        await press(pilot, "f6")
        assert "Penetrant on at 5 areas" in message(app)
        assert big(app) == "15:00"
        await hands.later(pilot, 4.5)
        assert big(app) == "10:30"
        assert "dwell 10 min" in lines(app)[0]
        await hands.later(pilot, 11)
        assert hands.rung == AREAS
        assert "wipe off" in message(app)
        assert big(app) == "NOW"
        await press(pilot, "f6")
        assert big(app) == "10:00", "the developer must follow within ten minutes"
        await hands.later(pilot, 3)
        await press(pilot, "f6")
        assert big(app) == "7:00"
        await hands.later(pilot, 7.1)
        assert "look now" in message(app)
        assert big(app) == "22:54"
        for _ in range(AREAS):
            await press(pilot, "f12", "1", "down")
        assert verdict(app).startswith("NO CRACK SEEN: 5 of 5 areas clear.")
        assert {c.result for c in checks(app)} == {"clear"}
        assert facts.facts_of(app.book, first_job(app)).penetrant_clear == AREAS
        assert not any("doing again" in line for line in missing_for_release(
            app.book, first_job(app)))  # fmt: skip
        assert big(app) == ""
        assert clock_runs(app) == "No clock runs."
        assert "Penetrant" not in lines(app)[0].split("|")[1]


@pytest.mark.slow
async def test_the_name_is_shown_before_anything_is_noted_under_it(tmp_path: Path) -> None:
    """It is given in the set-up of the press, and went on the paper of the penetrant check."""
    async with opened(tmp_path) as (app, pilot):
        hands = Hands(app)
        jobs.change_job(app.book, first_job(app), worker="Bob Oddly")
        await go(app, pilot, "penetrant")
        await press(pilot, "f4")
        await hands.later(pilot, 16)
        assert "Noted for Bob Oddly." in text(app)
        await press(pilot, "f4")
        assert {one.penetrant_by for one in checks(app)} == {"Bob Oddly"}
        assert {one.wiped_by for one in checks(app)} == {"Bob Oddly"}


@pytest.mark.slow
async def test_one_area_by_itself_with_enter(tmp_path: Path) -> None:
    """Enter does the next thing at the area under the cursor, and nothing at the others."""
    async with opened(tmp_path) as (app, pilot):
        hands = Hands(app)
        await go(app, pilot, "penetrant")
        await press(pilot, "down", "enter")
        await hands.later(pilot, 16)
        await press(pilot, "enter")
        await hands.later(pilot, 1)
        await press(pilot, "enter")
        await hands.later(pilot, 8)
        await press(pilot, "enter", "1")
        assert [c.result for c in checks(app)] == ["clear"]
        assert "1 of 5 areas clear" in verdict(app)


@pytest.mark.slow
async def test_too_early_is_warned_and_taken_back(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        hands = Hands(app)
        await go(app, pilot, "penetrant")
        await press(pilot, "f4")
        await hands.later(pilot, 6)
        await press(pilot, "f4")
        assert "dwell is not over, 9 min left" in " ".join(text(app).split())
        await press(pilot, "1")
        assert checks(app)[0].wiped_at is None
        await press(pilot, "f4", "2")
        assert "Wiped after 6 of 15 min: do it again. F5" in message(app)
        assert "do again" in text(app)
        await press(pilot, "f5")
        assert "Taken back: wiped off" in message(app)
        assert big(app) == "9:00", "the dwell goes on as if nothing had been pressed"
        await press(pilot, "f5")
        assert "Taken back: penetrant on" in message(app)
        assert big(app) == ""
        await press(pilot, "f5")
        assert "Nothing to take back" in message(app)


@pytest.mark.slow
async def test_too_late_is_said_and_done_again(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        hands = Hands(app)
        await go(app, pilot, "penetrant")
        for wait in (16, 2, 34):
            await press(pilot, "f4")
            await hands.later(pilot, wait)
        assert "too late to look" in message(app)
        assert big(app) == "", "an area to be done again shows no clock"
        await press(pilot, "f12", "1")
        assert "Looked at after 34 min, at most 30" in message(app)
        assert "0 of 5 areas clear, 1 to do again" in verdict(app)
        why = [line for line in missing_for_release(app.book, first_job(app)) if "again" in line]
        assert why
        assert "after 34 min" in why[0]
        await press(pilot, "f4")
        assert big(app) == "15:00"
        every = penetrant_checks.checks_of(app.book, first_job(app))
        assert [c.result for c in every] == ["clear", ""], "the spoilt check stays in the book"


@pytest.mark.slow
async def test_a_crack_stops_and_only_name_and_reason_let_it_go(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        hands = Hands(app)
        job_id = first_job(app)
        await go(app, pilot, "penetrant")
        await press(pilot, "f12", "1")
        assert "come first" in message(app), "nothing is clear before it was developed"
        await press(pilot, "f12", "2")
        assert isinstance(app.screen, AreaNoteScreen)
        await type_text(pilot, "corner")
        await press(pilot, "enter")
        (check,) = checks(app)
        assert (check.result, check.notes) == ("crack", "corner")
        assert verdict(app).startswith("STOP: crack at")
        assert facts.facts_of(app.book, job_id).cracks == 1
        for keys in (("f4",), ("f7", "3"), ("f12",)):
            await press(pilot, *keys)
            assert "A crack is noted here" in message(app), "no way round the overrule"
        await press(pilot, "f7", "6")
        await press(pilot, "enter", "enter")
        assert "a name and a written reason are needed" in message(app)
        await press(pilot, "up")
        await type_text(pilot, "Ada")
        await press(pilot, "enter", "escape")
        assert facts.facts_of(app.book, job_id).cracks == 1
        await press(pilot, "f7", "6")
        assert "Ada" in text(app), "what was typed waits"
        await press(pilot, "down")
        await type_text(pilot, "dent")
        await press(pilot, "enter")
        (check,) = checks(app)
        assert (check.overrule_by, check.overrule_reason) == ("Ada", "dent")
        assert facts.facts_of(app.book, job_id).cracks == 0
        assert "let go on by a named person" in verdict(app)
        await press(pilot, "f5")
        assert facts.facts_of(app.book, job_id).cracks == 1
        await press(pilot, "f5")
        assert facts.facts_of(app.book, job_id).cracks == 0
        assert hands.rung == 0


@pytest.mark.slow
async def test_begun_again_by_mistake_is_taken_back_to_the_clear_result(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        hands = Hands(app)
        await go(app, pilot, "penetrant")
        for wait in (16, 2, 8):
            await press(pilot, "f4")
            await hands.later(pilot, wait)
        await press(pilot, "f12", "1", "f7", "3")
        assert facts.facts_of(app.book, first_job(app)).penetrant_clear == 0
        await press(pilot, "f5")
        assert facts.facts_of(app.book, first_job(app)).penetrant_clear == 1
        assert "1 of 5 areas clear" in verdict(app)


@pytest.mark.slow
async def test_the_standard_holds_and_says_what_is_from_memory(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        Hands(app)
        await go(app, pilot, "penetrant")
        assert "par. 5.6.4" in text(app), "where the times are printed"
        await press(pilot, "f4", "f5", "f8")
        assert text(app).count("from memory") == sum(s.from_memory for s in standards())
        chosen = next(i for i, s in enumerate(standards(), 1) if s.name.startswith("ISO"))
        await press(pilot, str(chosen))
        assert "FROM MEMORY" in text(app)
        await press(pilot, "f4")
        assert big(app) == "5:00", "a check taken back takes the new standard"
        assert checks(app)[0].standard.startswith("ISO 3452-1")
        await press(pilot, "f7", "5")
        assert "from memory, not checked" in text(app)
        assert str(settings.recall(app.book, "penetrant standard")).startswith("ISO 3452-1")


@pytest.mark.slow
async def test_conditions_are_stated_kept_and_hold_for_the_running_dwell(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        Hands(app)
        await go(app, pilot, "penetrant")
        await press(pilot, "f4", "f7", "2")
        assert big(app) == "5:00"
        assert checks(app)[0].short_dwell
        await press(pilot, "f7", "1")
        assert "no time for a cold shaft" in message(app)
        await press(pilot, "escape")
        await go(app, pilot, "penetrant")
        await press(pilot, "down", "f4")
        assert big(app) == "5:00", "still stated on coming back"
        await press(pilot, "f7", "2")
        assert big(app) == "15:00"


@pytest.mark.slow
async def test_clocks_and_statements_survive_a_restart(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        Hands(app)
        await go(app, pilot, "penetrant")
        await press(pilot, "f7", "2", "f6")
    async with opened(tmp_path) as (app, pilot):
        hands = Hands(app)
        hands.now += timedelta(minutes=2)
        app.look_at_clocks()
        await go(app, pilot, "penetrant")
        assert big(app) == "3:00"
        assert "dwell 3 min" in lines(app)[0]
        await hands.later(pilot, 3.5)
        assert hands.rung == AREAS


@pytest.mark.slow
async def test_a_spot_hit_after_its_check_is_done_again(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        hands = Hands(app)
        job_id = first_job(app)

        def hit() -> None:
            hits.add_hit(
                app.book, job_id=job_id, round_no=1, method="press", station_in=50.0,
                clock_deg=90.0, angle_rad=0.002,
            )  # fmt: skip

        hit()
        hands.now += timedelta(minutes=1)
        await go(app, pilot, "penetrant")
        assert "straightened spot at 50 in" in text(app)
        at = [s.area.straightened for s in spots(app.book, job_id, hands.now)].index(True)
        await press(pilot, *["down"] * at)
        for wait in (16, 2, 8):
            await press(pilot, "f4")
            await hands.later(pilot, wait)
        await press(pilot, "f12", "1")
        assert "1 of 6 areas clear" in verdict(app)
        hit()
        app.screen.refresh_view()
        await pilot.pause()
        assert "0 of 6 areas clear, 1 to do again" in verdict(app)
        assert any("hit after" in line for line in missing_for_release(app.book, job_id))


@pytest.mark.slow
async def test_a_closed_job_can_only_be_read(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        Hands(app)
        job_id = first_job(app)
        await go(app, pilot, "penetrant")
        await press(pilot, "f4")
        jobs.set_state(app.book, job_id, "returned")
        before = penetrant_checks.checks_of(app.book, job_id)
        for key in ("f4", "f6", "f12", "f5", "f8"):
            app.screen.say("")
            await press(pilot, key)
            assert "closed" in message(app), key
        for digit in "12346":
            await press(pilot, "f7", digit)
            assert "closed" in message(app), digit
        assert penetrant_checks.checks_of(app.book, job_id) == before


@pytest.mark.slow
async def test_cautions_for_fumes_and_fire_stand_at_80_by_24(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        Hands(app)
        await go(app, pilot, "penetrant")
        await press(pilot, "f7", "2", "f6")
        for words in ("Solvent and penetrant burn", "fumes harm", "closed metal can", "Never heat"):
            assert words in run_on(app)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0, "0:00"), (59.9, "0:59"), (61, "1:01"), (-61, "-1:01"), (-0.5, "0:00")],
)
def test_clock_text(seconds: float, words: str) -> None:
    assert clock_text(seconds) == words


def test_digits_fall_back_to_words_where_there_is_no_room() -> None:
    clock = BigClock()
    clock.words = "12:34"

    def drawn(width: int, height: int) -> Canvas:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(BigClock, "ascii_only", True)
            return clock.draw(width, height)

    assert drawn(38, 5).text().count("#") == 2 * drawn(20, 5).text().count("#") > 0
    assert drawn(10, 5).lines()[0].strip() == "12:34"
    assert drawn(38, 2).lines()[0].strip() == "12:34"
