"""Readings over a line of 9600 baud: how long until a typed key stands on the screen.

    python -m tests.bench.slow_line [READINGS] [SECONDS BETWEEN KEYS] [BAUD]

The program runs in a pseudo-terminal that says how slow it is, as a serial line does, and takes
960 bytes a second (ten bits a byte) and no more; what it paints in the meantime waits in the line.
Somebody types readings at a steady pace and does not wait for the paint. A digit is echoed when it
stands in the field; an Enter when the prompt asks for the next mark, its bytes counted up to the
next key.
Targets: under 200 ms for each digit, an Enter under 400 bytes, 0 bytes while idle.
"""

from __future__ import annotations

import math
import os
import select
import statistics
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench.key_paint import open_sweep
from tests.support.glass import Glass
from tests.support.ptys import Terminal
from tests.support.small_book import make_book

PROMPT_ROW = 21
IDLE_S = 2.0
TARGET_S = 0.2
TARGET_BYTES = 400


@dataclass
class LineFigures:
    """Seconds and bytes."""

    digit_s: list[float] = field(default_factory=list)
    enter_s: list[float] = field(default_factory=list)
    enter_bytes: list[int] = field(default_factory=list)
    """From an Enter to the next key, the pictures that follow it included."""
    idle_bytes: int = 0


class SlowLine:
    """Takes what a program paints byte by byte at the pace of the line, and shows it."""

    def __init__(self, terminal: Terminal, baud: int) -> None:
        self.terminal, self.glass = terminal, Glass()
        self.glass.feed(terminal.output)
        self.byte_s = 10 / baud
        self.taken = 0
        self._free_at = time.perf_counter()
        """When the line has room for the next byte."""

    def run(self, until_s: float) -> None:
        """Let the line run up to a moment of the clock."""
        while (now := time.perf_counter()) < until_s:
            if now < self._free_at:
                time.sleep(min(self._free_at, until_s) - now)
                continue
            if not select.select([self.terminal.master], [], [], until_s - now)[0]:
                continue
            late = time.perf_counter()
            room = 1 + int(max(late - max(self._free_at, late - 0.01), 0.0) / self.byte_s)
            data = os.read(self.terminal.master, room)
            self._free_at = max(self._free_at, late - 0.01) + len(data) * self.byte_s
            self.taken += len(data)
            self.glass.feed(data)

    def until(self, shown: str, longest_s: float) -> bool:
        """Run until the row of the field shows some text."""
        end = time.perf_counter() + longest_s
        while shown not in self.glass.rows[PROMPT_ROW] and time.perf_counter() < end:
            self.run(time.perf_counter() + self.byte_s)
        return shown in self.glass.rows[PROMPT_ROW]


def reading(number: int) -> str:
    """A reading of a bent shaft, in thou, with a place after the point."""
    station, mark = divmod(number, 8)
    return f"{(3 + station) * math.cos(mark * math.pi / 4) + 0.1:.1f}"


def measure(book: Path, readings: int, pace_s: float, baud: int) -> LineFigures:
    """Type readings at a pace; the figures."""
    found = LineFigures()
    with open_sweep(book, baud) as terminal:
        line = SlowLine(terminal, baud)
        line.run(time.perf_counter() + IDLE_S)
        found.idle_bytes = line.taken
        next_at = time.perf_counter()
        for number in range(readings):
            station, mark = divmod(number + 1, 8)
            typed = ""
            for key in reading(number):
                typed += key
                line.run(next_at)
                sent = _type(terminal, key)
                next_at = max(next_at + pace_s, sent)
                found.digit_s.append(_wait(line, f"  {typed} ", sent))
            line.run(next_at)
            before, sent = line.taken, _type(terminal, "\r")
            next_at = max(next_at + pace_s, sent)
            prompt = f"Station {6 * station} in, mark {45 * mark} deg"
            found.enter_s.append(_wait(line, prompt, sent))
            line.run(next_at)
            found.enter_bytes.append(line.taken - before)
    return found


def _type(terminal: Terminal, key: str) -> float:
    terminal.send(key.encode())
    return time.perf_counter()


def _wait(line: SlowLine, shown: str, sent: float) -> float:
    if not line.until(shown, 10.0):
        raise TimeoutError(f"{shown!r} never came: {line.glass.rows[PROMPT_ROW]!r}")
    return time.perf_counter() - sent


def spread(values: list[float]) -> str:
    """Median, 95 % and worst."""
    ordered = sorted(values)
    high = ordered[min(int(0.95 * len(ordered)), len(ordered) - 1)]
    return f"median {statistics.median(ordered):.0f}, 95 % {high:.0f}, worst {ordered[-1]:.0f}"


def main() -> int:
    """Print the figures."""
    readings = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    pace_s = float(sys.argv[2]) if len(sys.argv) > 2 else 0.35
    baud = int(sys.argv[3]) if len(sys.argv) > 3 else 9600
    with tempfile.TemporaryDirectory() as folder:
        found = measure(make_book(Path(folder) / "shop.db", count=2), readings, pace_s, baud)
    print(f"{baud} baud, {readings} readings, a key every {pace_s:g} s (or when the last stands)")
    print(f"digit echoed, ms: {spread([1000 * s for s in found.digit_s])} (target under 200)")
    print(f"Enter to the next prompt, ms: {spread([1000 * s for s in found.enter_s])}")
    bytes_ = [float(count) for count in found.enter_bytes]
    print(f"bytes from Enter to the next key: {spread(bytes_)} (target under {TARGET_BYTES})")
    print(f"bytes in {IDLE_S:g} idle seconds: {found.idle_bytes} (target 0)")
    quick = max(found.digit_s) < TARGET_S
    return 0 if quick and max(bytes_) < TARGET_BYTES and not found.idle_bytes else 1


if __name__ == "__main__":
    sys.exit(main())
