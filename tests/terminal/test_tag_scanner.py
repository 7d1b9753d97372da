"""A hand scanner types a tag and Enter: on any screen that opens its job and does nothing else."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest
from textual import events

from core.book import jobs
from tests.support.app_helpers import go, message, opened, text, type_text
from tui.terminal.tag_scanner import TagScanner
from tui.widgets.form import Form

NAMES = {"-": "minus", "\r": "enter"}


def scan(app, words: str) -> None:
    """All keys at once, as a scanner sends them."""
    for char in words + "\r":
        app.post_message(events.Key(NAMES.get(char, char), char))


def feed(scanner: TagScanner, words: str, gap_s: float) -> str:
    found = ""
    for number, char in enumerate(words):
        found = scanner.key(NAMES.get(char, char), char, 100.0 + number * gap_s) or found
    return found


@pytest.mark.parametrize("words", ["26-004\r", "9926-004\r", "26-004", "26004\r", "26-04\r"])
def test_a_tag_is_known_by_its_form(words: str) -> None:
    assert feed(TagScanner(), words, 0.005) == ("26-004" if words == "26-004\r" else "")


def test_a_hand_is_slower() -> None:
    assert feed(TagScanner(), "26-004\r", 0.08) == ""


@pytest.mark.slow
@pytest.mark.parametrize(
    "place", ["card", "penetrant", "straighten", "sweep", "intake", "settings"]
)
async def test_a_scan_opens_its_job_and_presses_nothing(tmp_path: Path, place: str) -> None:
    async with opened(tmp_path, count=3) as (app, pilot):
        app.scanner = TagScanner()
        other = jobs.open_jobs(app.book)[-1]
        await go(app, pilot, place)
        before = list(app.book.con.iterdump())
        scan(app, other.tag)
        await asyncio.sleep(0.2)
        await pilot.pause()
        assert type(app.screen).__name__ == "JobCardScreen"
        assert app.screen.job_id == other.id
        changed = set(app.book.con.iterdump()) ^ set(before)
        assert not [line for line in changed if "presence" not in line and "draft" not in line]


@pytest.mark.slow
async def test_what_was_typed_in_a_form_is_as_before_the_scan(tmp_path: Path) -> None:
    async with opened(tmp_path, count=3) as (app, pilot):
        app.scanner = TagScanner()
        job = jobs.open_jobs(app.book)[0]
        await go(app, pilot, "intake")
        app.screen.query_one(Form).focus_field("complaint")
        await type_text(pilot, "leaks")
        await asyncio.sleep(0.1)
        scan(app, jobs.open_jobs(app.book)[-1].tag)
        await asyncio.sleep(0.2)
        await pilot.pause()
        assert jobs.job(app.book, job.id).complaint == "leaks"


@pytest.mark.slow
async def test_a_digit_by_hand_still_opens_its_step(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        app.scanner = TagScanner()
        await go(app, pilot, "card")
        await pilot.press("2")
        await asyncio.sleep(0.2)
        await pilot.pause()
        assert type(app.screen).__name__ == "PenetrantScreen"


@pytest.mark.slow
async def test_a_tag_of_no_job_is_said(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        app.scanner = TagScanner()
        await go(app, pilot, "card")
        scan(app, "19-777")
        await asyncio.sleep(0.2)
        await pilot.pause()
        assert "no job with the tag" in message(app), text(app)
