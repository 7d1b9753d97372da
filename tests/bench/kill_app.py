"""Kill the real program in the middle of a sweep: `python -m tests.bench.kill_app [TIMES] [SEED]`.

The program runs in a terminal of its own; a script opens the sweep and types one reading after the
other. At a random moment it is killed (signal 9; now and then SIGTERM or a lost line). Then the
book must be sound and hold every reading that had been painted as taken, each at its own station
and mark: reading number n stands at the n-th mark only if each start of the program went on where
the one before had stopped.
"""

from __future__ import annotations

import random
import signal
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from core.book import sweeps
from core.book.opening import open_book
from core.book.readings import readings_of
from tests.support.ptys import Terminal, python
from tests.support.small_book import make_book

MARKS, STATIONS = 8, 17
ALL = MARKS * STATIONS
JUMP = b"\x1bOQ" + b"011"
"""F2, the two digits of the first job, and the first step of its card."""
SPREAD_S = 2.0
"""Kills fall within this time after the sweep is open."""


@dataclass
class Tally:
    """What was counted over all kills."""

    kills: int = 0
    confirmed: int = 0
    """Readings painted as taken."""
    extra: int = 0
    """Stored, but killed before it was painted (allowed, two at most: one typed ahead)."""
    too_many: int = 0
    lost: int = 0
    wrong_place: int = 0
    unsound: int = 0
    not_left: int = 0
    """Signals that ask the program to leave, and it did not within five seconds."""
    before_any: int = 0
    """Kills that came before the first reading of their visit."""

    @property
    def clean(self) -> bool:
        """Nothing went wrong."""
        wrong = self.too_many + self.lost + self.wrong_place + self.unsound + self.not_left
        return wrong == 0


def typed(number: int) -> str:
    """What is typed for reading `number`: different for each."""
    return f"{number / 10:g}"


def read_on(terminal: Terminal, number: int, until: float, draw: random.Random) -> int:
    """Type readings from `number` on until the moment comes; the first one not confirmed."""
    ahead = b""
    while number < ALL:
        terminal.forget()
        terminal.send(typed(number).encode()[len(ahead) :] + b"\r")
        ahead = b""
        if number + 1 < ALL and draw.random() < 0.3:
            ahead = typed(number + 1).encode()[:1]
            terminal.send(ahead)
        wanted = f"Taken: {typed(number)} thou".encode()
        while wanted not in terminal.output:
            left_s = until - time.perf_counter()
            if left_s <= 0:
                return number
            terminal.read(min(left_s, 0.05))
        number += 1
    return number


def one_visit(book: Path, first: int, draw: random.Random, tally: Tally) -> int:
    """Start, read, kill; the first reading that was not confirmed."""
    terminal = Terminal(python("-m", "tui.main", "--book", str(book)))
    terminal.wait_for(b"F12", 60.0)
    terminal.drain(0.05, 2.0)
    terminal.send(JUMP)
    number = first
    if draw.random() < 0.1:
        time.sleep(draw.uniform(0, 0.5))  # while the sweep is being opened
    else:
        terminal.wait_for(b"Station", 60.0)
        number = read_on(terminal, first, time.perf_counter() + draw.uniform(0, SPREAD_S), draw)
    kind = draw.random()
    if kind < 0.85:
        terminal.signal(signal.SIGKILL)
        terminal.end()
    elif kind < 0.95:
        terminal.signal(signal.SIGTERM)
        tally.not_left += terminal.end() != 128 + signal.SIGTERM
    else:
        tally.not_left += terminal.hang_up() != 128 + signal.SIGHUP
    tally.kills += 1
    tally.confirmed += number - first
    tally.before_any += number == first
    return number


def look(book: Path, confirmed: int, tally: Tally) -> int:
    """Count what went wrong; how many readings the book holds now."""
    with open_book(book, create=False) as opened:
        tally.unsound += opened.one("PRAGMA integrity_check") != ("ok",)
        sweep_id = opened.rows("SELECT id FROM sweep")[0][0]
        stand = readings_of(opened, sweep_id)
        listed = sweeps.sweep(opened, sweep_id)
    place = {
        (station_in, clock_deg): number
        for number, (station_in, clock_deg) in enumerate(
            (s, c) for s in listed.stations_in for c in listed.marks_deg
        )
    }
    stored = {place[(r.station_in, r.clock_deg)]: r.raw for r in stand}
    tally.lost += sum(number not in stored for number in range(confirmed))
    tally.wrong_place += sum(raw != typed(number) for number, raw in stored.items())
    tally.wrong_place += sorted(stored) != list(range(len(stored)))
    tally.extra += len(stored) - confirmed
    tally.too_many += len(stored) - confirmed > 2
    return len(stored)


def run(times: int, seed: int, folder: Path) -> Tally:
    """Kill so many times, over as many books as it takes."""
    draw, tally = random.Random(seed), Tally()
    book, number = folder / "0.db", ALL
    for turn in range(times):
        if number >= ALL - 2:
            book, number = make_book(folder / f"{turn}.db", count=2), 0
        number = look(book, one_visit(book, number, draw, tally), tally)
    return tally


def main() -> int:
    """Print the figures."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with tempfile.TemporaryDirectory() as folder:
        tally = run(times, seed, Path(folder))
    print(f"{tally.kills} kills of the program, {tally.confirmed} readings painted as taken")
    print(
        f"lost {tally.lost}, at a wrong mark {tally.wrong_place}, unsound books {tally.unsound}, "
        f"did not leave {tally.not_left}; stored but not yet painted {tally.extra}, kills before "
        f"the first reading of a visit {tally.before_any}"
    )
    return 0 if tally.clean else 1


if __name__ == "__main__":
    sys.exit(main())
