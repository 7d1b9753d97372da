"""Start to first usable screen, against the smallest Textual app, in turns in one run.

    python -m tests.bench.startup [PAIRS]

Both are started through a pseudo-terminal of 80x24; the clock stops when the words of the first
screen have been painted and the program has answered a key. Target: ratio at most 1.2.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

from tests.support.ptys import Terminal, python
from tests.support.small_book import make_book

Times = tuple[float, float]
"""Seconds on the clock and seconds of the processor."""


def start_s(argv: list[str], painted: bytes) -> Times:
    """What it takes from the start until `painted` stands on the screen."""
    with Terminal(argv) as terminal:
        return terminal.wait_for(painted), terminal.cpu_s()


def run(pairs: int) -> list[tuple[Times, Times]]:
    """(bare, shaftlog) of each pair."""
    with tempfile.TemporaryDirectory() as folder:
        book = make_book(Path(folder) / "shop.db", count=12)
        bare = python("-m", "tests.support.bare")
        ours = python("-m", "tui.main", "--book", str(book))
        start_s(bare, b"eady"), start_s(ours, b"F12")
        found = []
        for turn in range(pairs):
            both = [(bare, b"eady"), (ours, b"F12")]
            times = [start_s(*one) for one in (both if turn % 2 == 0 else both[::-1])]
            found.append((times[0], times[1]) if turn % 2 == 0 else (times[1], times[0]))
        return found


def main() -> int:
    """Print the figures."""
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    times = run(pairs)
    ratios = []
    for place, what in enumerate(("on the clock", "of the processor")):
        ratios.append(statistics.median(ours[place] / bare[place] for bare, ours in times))
        bare_ms = 1000 * statistics.median(bare[place] for bare, _ in times)
        ours_ms = 1000 * statistics.median(ours[place] for _, ours in times)
        print(f"start to first screen, {pairs} pairs, time {what}: smallest app ", end="")
        print(f"{bare_ms:.0f} ms, shaftlog {ours_ms:.0f} ms, median ratio {ratios[-1]:.2f}")
    print("target: at most 1.20 on the clock")
    return 0 if round(ratios[0], 2) <= 1.2 else 1


if __name__ == "__main__":
    sys.exit(main())
