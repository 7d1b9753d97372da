"""Kill the program while it stores readings: `python -m tests.bench.kill_nine [TIMES] [SEED]`.

A child opens the book, goes on where the sweep stopped, and writes each reading's number to a
pipe only after `take_reading` has returned. It is killed by signal 9 at a random moment; then the
book must open, be sound, hold every reading the child had confirmed, and resume at the next mark.
(The page cache outlives the process: what this does not prove, the traced test does.)
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from core.book import customers, jobs, shafts, sweeps
from core.book.connection import Book
from core.book.opening import open_book
from core.book.readings import readings_of, take_reading
from core.jobs.sweep.sweep_entry import open_session

MARKS = 16
STATIONS = 400
_CHILD = "from tests.bench.kill_nine import write_on; import sys; write_on(*sys.argv[1:])"


@dataclass
class Tally:
    """What was counted over all kills."""

    kills: int = 0
    confirmed: int = 0
    lost: int = 0
    not_opened: int = 0
    unsound: int = 0
    wrong_mark: int = 0
    extra: int = 0
    """Readings stored whose confirmation the kill cut off (allowed, at most one a kill)."""

    @property
    def clean(self) -> bool:
        bad = self.lost + self.not_opened + self.unsound + self.wrong_mark
        return bad == 0 and self.extra <= self.kills


def start(path: Path) -> str:
    """A new book with an empty sweep; its id."""
    with open_book(path) as book:
        who = customers.add_customer(book, name="Torvik")
        boat = customers.add_vessel(book, customer_id=who.id, name="Cold Heron")
        shaft = shafts.add_shaft(book, vessel_id=boat.id, diameter_in=2.0, length_in=500.0)
        job = jobs.start_job(book, shaft_id=shaft.id)
        sweep = sweeps.start_sweep(
            book,
            job_id=job.id,
            purpose="as received",
            roller_a_in=10.0,
            roller_b_in=400.0,
            stations_in=[float(number) for number in range(STATIONS)],
            marks_deg=[360.0 / MARKS * mark for mark in range(MARKS)],
        )
        return sweep.id


def number_of(station_no: int, mark_no: int) -> int:
    """Readings up to and without this mark."""
    return station_no * MARKS + mark_no


def write_on(path: str, sweep_id: str) -> None:
    """The child: take readings from where the sweep stopped until killed."""
    with open_book(path) as book:
        point = open_session(book, sweep_id).cursor
        number = number_of(point.station_no, point.slot_no)
        while number < STATIONS * MARKS:
            station_no, mark_no = divmod(number, MARKS)
            take_reading(
                book,
                sweep_id,
                station_in=float(station_no),
                clock_deg=360.0 / MARKS * mark_no,
                value_in=number * 1e-6,
                raw=str(number),
            )
            os.write(1, b"%d\n" % number)
            number += 1


def kill_once(path: Path, sweep_id: str, wait_s: float) -> int:
    """Run the child, kill it `wait_s` after its first confirmation; last confirmed number."""
    child = subprocess.Popen(
        [sys.executable, "-c", _CHILD, str(path), sweep_id], stdout=subprocess.PIPE
    )
    assert child.stdout is not None
    first = child.stdout.readline()
    time.sleep(wait_s)
    child.send_signal(signal.SIGKILL)
    rest = child.stdout.read()
    child.wait()
    child.stdout.close()
    whole_lines = (first + rest).rpartition(b"\n")[0].split()
    return int(whole_lines[-1]) if whole_lines else -1


def look(book: Book, sweep_id: str, confirmed: int, tally: Tally) -> None:
    """Count what went wrong with the book after a kill."""
    stored = {int(r.raw): r for r in readings_of(book, sweep_id)}
    tally.lost += sum(number not in stored for number in range(confirmed + 1))
    tally.lost += sum(abs((r.value_in or 0) - n * 1e-6) > 1e-12 for n, r in stored.items())
    tally.extra += max(len(stored) - confirmed - 1, 0)
    tally.unsound += book.one("PRAGMA quick_check") != ("ok",)
    point = open_session(book, sweep_id).cursor
    tally.wrong_mark += number_of(point.station_no, point.slot_no) != len(stored)


def run(times: int, seed: int, folder: Path) -> Tally:
    """Kill so many times, over as many sweeps as needed."""
    draw = random.Random(seed)
    tally = Tally()
    path, sweep_id, confirmed = folder / "0.db", "", STATIONS * MARKS
    for turn in range(times):
        if confirmed > (STATIONS - 100) * MARKS:
            path = folder / f"{turn}.db"
            sweep_id, confirmed = start(path), -1
        newest = kill_once(path, sweep_id, draw.uniform(0, 0.06))
        tally.kills += 1
        tally.confirmed += max(newest - confirmed, 0)
        confirmed = max(confirmed, newest)
        try:
            with open_book(path, create=False) as book:
                look(book, sweep_id, confirmed, tally)
                confirmed = max(int(r.raw) for r in readings_of(book, sweep_id))
        except ValueError:
            tally.not_opened += 1
    return tally


def main() -> None:
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with tempfile.TemporaryDirectory() as folder:
        tally = run(times, seed, Path(folder))
    print(f"{tally.kills} kills, {tally.confirmed} readings confirmed")
    print(
        f"lost {tally.lost}, not opened {tally.not_opened}, unsound {tally.unsound}, "
        f"resumed at a wrong mark {tally.wrong_mark}; stored but not confirmed {tally.extra}"
    )
    sys.exit(0 if tally.clean else 1)


if __name__ == "__main__":
    main()
