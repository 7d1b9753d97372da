"""The penetrant clock on the top line, its bells, other benches on the same book."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.base.records import PenetrantCheck
from core.base.times import moment_text
from core.book import jobs, penetrant_checks, presence
from core.book.opening import open_book
from core.penetrant.clock import dwell_least_min, standard
from tests.support.app_helpers import first_job, go, lines, message, opened, text
from tui.app import ShaftlogApp
from tui.background import penetrant_clock
from tui.background.poller import may_be_there

NOON = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)
DWELL_MIN = dwell_least_min(standard(""))


def wet(minutes_ago: float, area: str = "keyway", **more: str) -> PenetrantCheck:
    """A check with penetrant on since some minutes before noon."""
    at = moment_text(NOON - timedelta(minutes=minutes_ago))
    return PenetrantCheck(area, "job", "", area, 0.0, 4.0, penetrant_at=at, **more)


def test_nothing_runs_means_no_words() -> None:
    assert penetrant_clock.running([], NOON) is None


def test_minutes_first_seconds_at_the_end() -> None:
    early = penetrant_clock.running([("26-001", wet(0.0))], NOON)
    late = penetrant_clock.running([("26-001", wet(DWELL_MIN - 0.5))], NOON)
    assert early is not None
    assert late is not None
    assert early.words == f"Penetrant 26-001: dwell {DWELL_MIN:.0f} min"
    assert late.words == "Penetrant 26-001: dwell 30 s"


def test_what_must_be_done_now_comes_first() -> None:
    checks = [("26-001", wet(0.0)), ("26-002", wet(DWELL_MIN + 0.1, "taper"))]
    found = penetrant_clock.running(checks, NOON)
    assert found is not None
    assert found.words.startswith("Penetrant 26-002: WIPE OFF")
    assert len(found.bells) >= 1


@pytest.mark.slow
async def test_the_clock_stands_on_every_screen_and_rings(tmp_path: Path) -> None:
    """The app's own clock is moved on; the book's stamps stay."""
    now = [time.time()]
    async with opened(tmp_path) as (app, pilot):
        app.clock = lambda: now[0]
        rung: list[str] = []
        app.bell = lambda: rung.append("bell")  # type: ignore[method-assign]
        job_id = first_job(app)
        check = penetrant_checks.start_checks(
            app.book, job_id=job_id, standard="", areas=[("keyway", 0.0, 4.0)]
        )[0]
        penetrant_checks.stage(app.book, [check.id], "penetrant_at")
        app.look_at_clocks()
        for place in ("board", "card", "intake", "settings", "find"):
            await go(app, pilot, place)
            assert f"Penetrant 26-001: dwell {DWELL_MIN:.0f} min" in lines(app)[0], place
        now[0] += DWELL_MIN * 60 + 60  # the app started after `now`
        assert app.heart is not None
        app.heart.beat()
        await pilot.pause()
        assert rung == ["bell"]
        assert "wipe off" in message(app)
        assert "WIPE OFF" in lines(app)[0]
        app.heart.beat()
        assert rung == ["bell"]


@pytest.mark.slow
async def test_the_clock_survives_a_restart(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, _):
        check = penetrant_checks.start_checks(
            app.book, job_id=first_job(app), standard="", areas=[("keyway", 0.0, 4.0)]
        )[0]
        penetrant_checks.stage(app.book, [check.id], "penetrant_at")
    async with opened(tmp_path) as (app, pilot):
        await pilot.pause()
        assert "26-001: dwell" in lines(app)[0]


@pytest.mark.slow
async def test_another_benchs_entries_come_by_themselves(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "card")
        with open_book(app.book_path, by="bench 2") as other:
            jobs.add_note(other, job_id=first_job(app), text="crack seen at the yard")
        await pilot.pause(1.3)
        assert "crack seen at the yard" in text(app)


@pytest.mark.slow
async def test_two_benches_on_one_job_are_warned(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job_id = first_job(app)
        with open_book(app.book_path, by="bench 2") as other:
            presence.here(other, job_id, "yard:1")
        await go(app, pilot, "card")
        assert app.heart is not None
        app.heart.beat()
        assert "open at bench 2 too" in message(app)
        assert presence.others(app.book, job_id, "yard:1")
        await pilot.press("escape")
        await pilot.pause()
        app.heart.beat()
        assert not presence.others(app.book, job_id, "yard:1")


@pytest.mark.slow
async def test_trouble_with_the_book_does_not_stop_the_heart(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "card")
        assert app.heart is not None
        app.book.close()
        app.heart.beat()
        assert app.is_running


def test_the_apps_clock_can_be_given(tmp_path: Path) -> None:
    app = ShaftlogApp(tmp_path / "new.db", clock=lambda: 5.0)
    assert app.clock() == 5.0
    app.close_book()


def test_a_killed_program_is_nobody() -> None:
    here = socket.gethostname()
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    assert not may_be_there(f"{here}:{gone.pid}")
    assert may_be_there(f"{here}:{os.getpid()}")
    assert may_be_there("another-pc:1")
    assert may_be_there("no number")
