"""How long a screen keeps a key waiting: `python -m tests.bench.key_block [--repeat 3]`.

Opens every screen that opens by name on the demo's job with the most readings, then presses keys
that only look (arrows, pages). The longest processor time of one turn of the event loop is the time
a key would wait; time spent in other threads or in other programs does not count. A screen over the
limit of 50 ms is measured again, up to `--repeat` times in all, since its first opening also loads
its modules; the least is printed, the longest screens first. Exit status 1 when one is over.
"""

from __future__ import annotations

import argparse
import asyncio
import shutil
import sys
import tempfile
import threading
import time
from contextlib import suppress
from pathlib import Path

from textual.pilot import Pilot
from textual.worker import WorkerCancelled

from core.book.connection import Book
from core.book.opening import open_book
from tests.support.app_helpers import present_places
from tests.support.golden import ROOT
from tui.app import ShaftlogApp
from tui.routes import ROUTES

LIMIT_MS = 50.0
LOOKING = ("down", "up", "pagedown", "pageup")
OPENED_FROM = {"release_form": ("release", "f4")}
"""A screen that another one opens with what it has worked out: that screen and the key."""


class TimedLoop(asyncio.SelectorEventLoop):
    """Notes its longest turn, in milliseconds of this thread's processor time."""

    longest_ms = 0.0

    def _run_once(self) -> None:
        before = time.thread_time()
        super()._run_once()  # type: ignore[misc]
        self.longest_ms = max(self.longest_ms, (time.thread_time() - before) * 1000)


def largest_job(book: Book) -> str:
    """Id of the job with the most readings."""
    row = book.one(
        "SELECT sweep.job_id FROM reading JOIN sweep ON sweep.id = reading.sweep_id "
        "GROUP BY sweep.job_id ORDER BY count(*) DESC LIMIT 1"
    )
    assert row is not None
    return str(row[0])


async def quiet(app: ShaftlogApp, pilot: Pilot[None]) -> None:
    """Wait for what the screen works out beside the keys, and for its paint; a timer may follow."""
    for _ in range(2):
        await pilot.pause(0.05)
        for _ in range(3):  # a cancelled one: the screen needs something newer worked out
            with suppress(WorkerCancelled):
                await app.workers.wait_for_complete()
        await pilot.pause()


async def measure(name: str, app: ShaftlogApp, pilot: Pilot[None], job_id: str) -> float:
    """Longest wait, in ms, while a screen opens, works out, and is looked at."""
    app.back_to_board()
    await quiet(app, pilot)
    opener, key = OPENED_FROM.get(name, ("", ""))
    if opener:
        app.go(opener, job_id)
        await quiet(app, pilot)
    loop = asyncio.get_running_loop()
    assert isinstance(loop, TimedLoop)
    loop.longest_ms = 0.0
    if opener:
        await pilot.press(key)
    elif name != "board":
        app.go(name, job_id if ROUTES[name].needs_job else None)
    await quiet(app, pilot)
    for key in LOOKING:
        await pilot.press(key)
    await quiet(app, pilot)
    return loop.longest_ms


async def run(repeat: int) -> dict[str, float]:
    """The least of up to `repeat` waits of each screen; under the limit the first will do."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "demo.db"
        shutil.copyfile(ROOT / "demo.db", place)
        with open_book(place) as book:
            job_id = largest_job(book)
        app = ShaftlogApp(place)
        found = dict.fromkeys(present_places(), float("inf"))
        async with app.run_test(size=(80, 24)) as pilot:
            while any(one.name in ("warm-up", "backup") for one in threading.enumerate()):
                await asyncio.sleep(0.1)
            for _ in range(repeat):
                for name in [name for name, wait_ms in found.items() if wait_ms > LIMIT_MS]:
                    found[name] = min(found[name], await measure(name, app, pilot, job_id))
        app.close_book()
        return found


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--repeat", type=int, default=3)
    repeat = parser.parse_args().repeat
    with asyncio.Runner(loop_factory=TimedLoop) as runner:
        found = runner.run(run(repeat))
    for name, wait_ms in sorted(found.items(), key=lambda one: -one[1]):
        print(f"{name:<18}{wait_ms:6.1f} ms{'  OVER' if wait_ms > LIMIT_MS else ''}")
    over = sum(wait_ms > LIMIT_MS for wait_ms in found.values())
    print(f"{len(found)} screens, {over} over {LIMIT_MS:g} ms")
    sys.exit(bool(over))


if __name__ == "__main__":
    main()
