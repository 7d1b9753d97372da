"""How long a screen keeps a key waiting: `python -m tests.bench.key_block [--repeat 3]`.

Opens every screen that opens by name on the demo's job with the most readings, then presses keys
that only look (arrows, pages, the screen's own digits). Beside it a task ticks every millisecond.
The longest processor time of the screen's thread between two ticks is the time a key would wait;
time spent in other threads or in other programs does not count. The least of the repeats is
printed, the longest screens first, with the limit of 50 ms. Exit status 1 when one is over it.
"""

from __future__ import annotations

import argparse
import asyncio
import shutil
import sys
import tempfile
import time
from pathlib import Path

from textual.pilot import Pilot

from core.book.connection import Book
from core.book.opening import open_book
from tests.support.app_helpers import present_places
from tests.support.golden import ROOT, settled
from tui.app import ShaftlogApp
from tui.routes import ROUTES

LIMIT_MS = 50.0
LOOKING = ("down", "up", "pagedown", "pageup")


class Gaps:
    """The longest turn of the event loop, in milliseconds of this thread's processor time."""

    def __init__(self) -> None:
        self.longest_ms = 0.0

    async def tick(self) -> None:
        """Run beside the app."""
        while True:
            before = time.thread_time()
            await asyncio.sleep(0.001)
            self.longest_ms = max(self.longest_ms, (time.thread_time() - before) * 1000)


def largest_job(book: Book) -> str:
    """Id of the job with the most readings."""
    row = book.one(
        "SELECT sweep.job_id FROM reading JOIN sweep ON sweep.id = reading.sweep_id "
        "GROUP BY sweep.job_id ORDER BY count(*) DESC LIMIT 1"
    )
    assert row is not None
    return str(row[0])


async def measure(name: str, app: ShaftlogApp, pilot: Pilot[None], job_id: str) -> float:
    """Longest wait, in ms, while a screen opens, works out, and is looked at."""
    app.back_to_board()
    await settled(app, pilot)
    gaps = Gaps()
    ticking = asyncio.create_task(gaps.tick())
    if name != "board":
        app.go(name, job_id if ROUTES[name].needs_job else None)
    await settled(app, pilot)
    for key in LOOKING:
        await pilot.press(key)
    await settled(app, pilot)
    ticking.cancel()
    return gaps.longest_ms


async def run(repeat: int) -> dict[str, float]:
    """The least of `repeat` waits of each screen; the first round also loads its modules."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "demo.db"
        shutil.copyfile(ROOT / "demo.db", place)
        with open_book(place) as book:
            job_id = largest_job(book)
        app = ShaftlogApp(place, warm=False)
        found: dict[str, float] = {}
        async with app.run_test(size=(80, 24)) as pilot:
            for _ in range(repeat):
                for name in present_places():
                    wait_ms = await measure(name, app, pilot, job_id)
                    found[name] = min(found.get(name, wait_ms), wait_ms)
        app.close_book()
        return found


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--repeat", type=int, default=3)
    found = asyncio.run(run(parser.parse_args().repeat))
    for name, wait_ms in sorted(found.items(), key=lambda one: -one[1]):
        print(f"{name:<18}{wait_ms:6.1f} ms{'  OVER' if wait_ms > LIMIT_MS else ''}")
    over = sum(wait_ms > LIMIT_MS for wait_ms in found.values())
    print(f"{len(found)} screens, {over} over {LIMIT_MS:g} ms")
    sys.exit(bool(over))


if __name__ == "__main__":
    main()
