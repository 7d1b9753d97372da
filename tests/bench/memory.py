"""Memory of the program with a big book open: `python -m tests.bench.memory [JOBS] [BOOK]`.

The program runs in a pseudo-terminal of 80x24 and is walked through the board, the search, a job,
the visits of its shaft, the shape of the shaft and the figures of the shop. Printed are the
resident memory at each step and the most it ever had. Target: under 150 MB with 100,000 jobs.
BOOK is made when it is not there; without it a book is made for this run alone.
"""

from __future__ import annotations

import math
import sqlite3
import sys
import tempfile
from pathlib import Path

from core.book import jobs, sweeps
from core.book.connection import Book
from core.book.opening import open_book
from core.book.readings import take_readings
from tests.support.big_book import make
from tests.support.ptys import Terminal, python

TARGET_MB = 150.0
F2, F3, F5, F6, ESC = b"\x1bOQ", b"\x1bOR", b"\x1b[15~", b"\x1b[17~", b"\x1b"
OPEN_JOBS = 12
STATIONS_IN = tuple(float(n) for n in range(3, 30, 3))
MARKS_DEG = tuple(range(0, 360, 45))


def bring_back(path: Path) -> None:
    """Shafts that have been here before are on the rollers again, each swept."""
    with sqlite3.connect(path) as con:
        sql = "SELECT shaft_id FROM job GROUP BY shaft_id HAVING count(*) > 2 LIMIT ?"
        shafts = [row[0] for row in con.execute(sql, [OPEN_JOBS])]
    con.close()
    with open_book(path) as book:
        for shaft_id in () if jobs.open_jobs(book) else shafts:
            _sweep(book, jobs.start_job(book, shaft_id=shaft_id).id)


def _sweep(book: Book, job_id: str) -> None:
    sweep = sweeps.start_sweep(
        book,
        job_id=job_id,
        purpose="as received",
        roller_a_in=3.0,
        roller_b_in=27.0,
        stations_in=STATIONS_IN,
        marks_deg=MARKS_DEG,
    )
    many = []
    for station_in in STATIONS_IN:
        for clock_deg in MARKS_DEG:
            thou = round((15 - abs(station_in - 15)) * math.cos(math.radians(clock_deg - 90)))
            reading = {"station_in": station_in, "clock_deg": clock_deg, "raw": str(thou)}
            many.append({**reading, "value_in": thou / 1000})
    take_readings(book, sweep.id, many)


def memory_mb(terminal: Terminal) -> tuple[float, float]:
    """Resident memory of the program now, and the most it ever had."""
    with open(f"/proc/{terminal.process.pid}/status") as file:
        found = dict(line.split(":", 1) for line in file)
    return tuple(int(found[name].split()[0]) / 1024 for name in ("VmRSS", "VmHWM"))  # type: ignore[return-value]


def walk(path: Path) -> dict[str, tuple[float, float]]:
    """(memory now, most so far) at each step of the walk, MB."""
    found: dict[str, tuple[float, float]] = {}
    steps = (
        ("find", F3 + b"gannet", b"Find in history"),
        ("another word", b"\x15" + b"555-0142", b"555"),
        ("job card", ESC, b"F12"),
        ("job card", F2, b"two digits"),
        ("job card", b"01", b"Job card"),
        ("visits", F6, b"Visits of this shaft"),
        ("plot", ESC, b"Job card"),
        ("plot", F5, b"Shape and bends"),
    )
    with Terminal(python("-m", "tui.main", "--book", str(path))) as terminal:
        terminal.wait_for(b"F12")
        terminal.drain(3.0)
        found["board, all libraries loaded"] = memory_mb(terminal)
        for name, keys, words in steps:
            terminal.forget()
            terminal.send(keys)
            terminal.wait_for(words)
            terminal.drain(1.0)
            found[name] = memory_mb(terminal)
    return found


def main() -> int:
    """Print the figures."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with tempfile.TemporaryDirectory() as folder:
        path = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(folder) / "big.db"
        make(path, count)
        bring_back(path)
        found = walk(path)
    for name, (now_mb, most_mb) in found.items():
        print(f"{name:<28} {now_mb:6.1f} MB now, {most_mb:6.1f} MB at most")
    most = max(most_mb for _, most_mb in found.values())
    print(f"most memory with {count} jobs: {most:.1f} MB (target under {TARGET_MB:.0f})")
    return 0 if most < TARGET_MB else 1


if __name__ == "__main__":
    sys.exit(main())
