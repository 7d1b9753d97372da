"""Two programs on one book: `python -m tests.bench.two_benches [READINGS]`.

Both run in terminals of their own with the same sweep open, and readings are typed in turns at one
and at the other. Measured: from Enter at one bench until the reading stands on the other's screen
(target: two seconds). Then the book must hold every reading, and both benches must have been warned
that the job is open at the other one.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from core.book.opening import open_book
from core.book.readings import readings_of
from tests.support.glass import Glass
from tests.support.ptys import Terminal, python
from tests.support.small_book import make_book

MARKS = 8
DOWN, NEXT_STATION = b"\x1b[B", b"\x1b[6~"
LONGEST_S = 10.0
WARNING = "is open at"
SWEEP = ((b"\x1bOQ", "two digits"), (b"011", "Runout"))
"""Keys to the sweep of the first job, and the words on each screen."""


@dataclass(frozen=True)
class Found:
    """What was measured."""

    delays_s: tuple[float, ...]
    not_seen: int
    stored: int
    typed: int
    warned: tuple[bool, bool]


class Bench:
    """A program in a terminal of its own, and what stands on its screen."""

    def __init__(self, book: Path, name: str, way: tuple[tuple[bytes, str], ...] = SWEEP) -> None:
        self.name = name
        self.glass = Glass()
        self.told = False
        self.terminal = Terminal(python("-m", "tui.main", "--book", str(book), "--by", name))
        for keys, words in ((b"", "Open jobs"), *way):
            self.terminal.send(keys)
            self.watch(words, 30.0)

    def look(self, seconds: float) -> None:
        """Take in what is painted within some time."""
        end = time.perf_counter() + seconds
        while (left := end - time.perf_counter()) > 0:
            self.glass.feed(self.terminal.read(left))
            self.told = self.told or WARNING in self.glass.text

    def watch(self, words: str, longest_s: float = LONGEST_S) -> bool:
        """Whether the words come to stand on the screen."""
        end = time.perf_counter() + longest_s
        while words.lower() not in self.glass.text.lower() and time.perf_counter() < end:
            self.look(0.02)
        return words.lower() in self.glass.text.lower()


def run(book: Path, readings: int) -> Found:
    """Type in turns at two benches."""
    benches = Bench(book, "bench one"), Bench(book, "bench two")
    for bench in benches:
        bench.look(2.5)
    delays, not_seen = [], 0
    for number in range(readings):
        here, there = benches[number % 2], benches[1 - number % 2]
        text = f"{20 + number // 9}.{number % 9 + 1}"  # no whole number: those stand elsewhere too
        here.look(0.3)
        if number:  # the other bench has read the mark under the cursor: on to the next one
            here.terminal.send(DOWN if number % MARKS else NEXT_STATION)
            here.look(0.3)
        here.terminal.send(text.encode() + b"\r")
        began = time.perf_counter()
        if number % MARKS == MARKS - 1:  # the screen goes on to the next station
            there.look(2.5)
        elif there.watch(text):
            delays.append(time.perf_counter() - began)
        else:
            not_seen += 1
    for bench in benches:
        bench.look(0.5)
        bench.terminal.end()
    with open_book(book, create=False) as opened:
        (sweep_id,) = opened.one("SELECT id FROM sweep") or ("",)
        stored = len({r.raw for r in readings_of(opened, sweep_id)})
    warned = (benches[0].told, benches[1].told)
    return Found(tuple(delays), not_seen, stored, readings, warned)


def main() -> int:
    """Print the figures."""
    readings = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    with tempfile.TemporaryDirectory() as folder:
        found = run(make_book(Path(folder) / "shop.db", count=2), readings)
    ordered = sorted(found.delays_s)
    if ordered:
        print(
            f"seen at the other bench after: median {statistics.median(ordered):.2f} s, 95 % "
            f"{ordered[int(0.95 * (len(ordered) - 1))]:.2f} s, worst {ordered[-1]:.2f} s"
        )
    print(
        f"typed {found.typed}, in the book {found.stored}, never seen {found.not_seen}; warned of "
        f"the other: {found.warned[0]}, {found.warned[1]}"
    )
    good = found.not_seen == 0 and found.stored == found.typed and all(found.warned)
    return 0 if good and ordered[-1] < 2.0 else 1


if __name__ == "__main__":
    sys.exit(main())
