"""Every screen as text at 80x24, kept in tests/golden: `python -m tests.support.golden --renew`.

One app on a copy of the demo, its clock stopped, goes to every screen that opens by name. Review
the differences in the version control before a renewal is committed. README shows six of them.
"""

from __future__ import annotations

import asyncio
import os
import re
import shutil
import sys
import tempfile
import time
from collections.abc import AsyncIterator
from datetime import UTC, datetime
from pathlib import Path

from textual.pilot import Pilot

from core.book import jobs, settings
from core.book.opening import open_book
from tests.support.app_helpers import lines, present_places
from tui.app import ShaftlogApp
from tui.routes import ROUTES
from tui.screens.sweep.sweep import SweepScreen

ROOT = Path(__file__).resolve().parents[2]
GOLDEN = ROOT / "tests" / "golden"
README = ROOT / "README.md"
START, STOP = "<!-- screens: captured at 80x24 -->", "<!-- /screens -->"
NOW = datetime(2026, 2, 12, 14, 30, tzinfo=UTC)
JOB = "26-008"
JOBS = {"sweep": "26-004", "plot": "26-002", "erase": "26-002", "open_again": "22-031"}
"""Tag of the job of a screen, where it is not JOB."""
KEYS: dict[str, tuple[str, ...]] = {"find": tuple("lesser")}
"""Keys pressed on a screen before it is captured."""
MORE: dict[str, tuple[str, tuple[str, ...]]] = {
    "plot-planes": ("plot", ("2",)),
    "plot-words": ("plot", ("4",)),
    "card-more": ("card", ("f7",)),
    "board-help": ("board", ("f1",)),
    "settings-limits": ("settings", ("2",)),
}
"""Name of a further state -> screen and keys."""
SHOWN = {
    "board": "Open jobs: what is in the shop, and the next step of each",
    "sweep": "A sweep under way: the station's rose, the profile so far",
    "plot": "The shape: runout along the shaft, limits, bends",
    "card": "The card of a job",
    "straighten": "Straighten: hits of the next round",
    "find": "Found again: search as typed",
}
"""Captions of the screens in README."""
LEFT_OUT = {"repair", "figures", "notes"}
"""Played forecasts and bench hours take their time; the notes hold nothing but times."""


async def captures(unit: str = "thou") -> AsyncIterator[tuple[str, str]]:
    """(name, text) of every state, on a copy of the demo in a folder of its own.

    `unit`: in which the shop reads its dials.
    """
    with tempfile.TemporaryDirectory() as folder:
        async for one in _captures_in(Path(folder), unit):
            yield one


async def _captures_in(folder: Path, unit: str) -> AsyncIterator[tuple[str, str]]:
    os.environ["TZ"] = "UTC"
    time.tzset()
    place = folder / "demo.db"
    shutil.copyfile(ROOT / "demo.db", place)
    book = open_book(place, now=lambda: NOW)
    if unit != settings.load(book).unit:
        settings.save(book, unit=unit)
    app = ShaftlogApp(place, clock=NOW.timestamp, warm=False, book=book)
    plain = {name: (name, KEYS.get(name, ())) for name in present_places() if name not in LEFT_OUT}
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(app, pilot)
        for name, (route, keys) in (plain | MORE).items():
            app.back_to_board()
            job = jobs.job_by_tag(book, JOBS.get(route, JOB)).id
            if route != "board":
                app.go(route, job if ROUTES[route].needs_job else None)
            await settled(app, pilot)
            if keys:
                await pilot.press(*keys)
                await settled(app, pilot)
            shown = "\n".join(line.rstrip() for line in lines(app)).rstrip()
            yield name, shown.replace(str(folder), "/home/bench") + "\n"
            if keys and route in ("board", "card"):
                await pilot.press("escape")
    app.close_book()


async def settled(app: ShaftlogApp, pilot: Pilot[None]) -> None:
    """Wait for the paint, for what a thread works out, and for its paint."""
    for _ in range(2):
        await pilot.pause()
        await app.workers.wait_for_complete()
    for _ in range(10):
        before = lines(app)
        await pilot.pause(1.0 if isinstance(app.screen, SweepScreen) else 0.2)  # it waits for keys
        await app.workers.wait_for_complete()
        await pilot.pause()
        if lines(app) == before:
            break
    if app.heart is not None:
        app.heart.tell_clock()


def stored() -> dict[str, str]:
    """The captures as reviewed last."""
    return {place.stem: place.read_text(encoding="utf-8") for place in GOLDEN.glob("*.txt")}


def readme_block(shown: dict[str, str]) -> str:
    """The part of README that shows screens."""
    parts = [f"{caption}:\n\n```text\n{shown[name]}```" for name, caption in SHOWN.items()]
    return f"{START}\n" + "\n\n".join(parts) + f"\n{STOP}"


async def _collect() -> dict[str, str]:
    return {name: text async for name, text in captures()}


def main() -> None:
    """Write all captures, and README between its two marks."""
    if "--renew" not in sys.argv:
        sys.exit("python -m tests.support.golden --renew writes tests/golden and README.md")
    found = asyncio.run(_collect())
    GOLDEN.mkdir(exist_ok=True)
    for place in GOLDEN.glob("*.txt"):
        place.unlink()
    for name, text in found.items():
        (GOLDEN / f"{name}.txt").write_text(text, encoding="utf-8")
    readme = README.read_text(encoding="utf-8")
    block = readme_block(found)
    README.write_text(re.sub(f"{START}.*?{STOP}", lambda _: block, readme, flags=re.DOTALL))
    print(f"{len(found)} screens written to {GOLDEN.relative_to(ROOT)}; README renewed")


if __name__ == "__main__":
    main()
