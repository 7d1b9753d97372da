"""Key to paint while taking readings, against a bare Textual Input, in turns in one run.

    python -m tests.bench.key_paint [KEYS]

Both programs run in pseudo-terminals of 80x24. A digit is typed into each in turn; the clock runs
from the key to the first byte painted. Then the bytes of each key are counted, and the bytes
painted in three idle seconds. Targets: median ratio under 1.3, under 400 bytes a key, 0 idle.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from tests.support.ptys import Terminal, python
from tests.support.small_book import make_book

IDLE_S = 3.0
PER_READING = 3
"""Digits typed before the field is emptied again."""


@dataclass(frozen=True)
class KeyFigures:
    """What was found; seconds and bytes."""

    bare_s: list[float]
    ours_s: list[float]
    bare_bytes: list[int]
    ours_bytes: list[int]
    idle_bytes: int

    @property
    def ratio(self) -> float:
        """Median of ours over median of the bare Input."""
        return statistics.median(self.ours_s) / statistics.median(self.bare_s)


def open_sweep(book: Path, baud: int = 0) -> Terminal:
    """Shaftlog with the sweep of the first job open, ready for a number; `baud` 0 = not told."""
    terminal = Terminal(python("-m", "tui.main", "--book", str(book)), baud=baud)
    terminal.wait_for(b"F12")
    terminal.drain(1.5)
    terminal.send(b"\x1bOQ")
    terminal.drain()
    terminal.send(b"01")
    terminal.drain()
    terminal.forget()
    terminal.send(b"1")
    terminal.wait_for(b"Runout sweep")
    terminal.drain(1.0)
    return terminal


def measure(keys: int, book: Path) -> KeyFigures:
    """Type `keys` digits into both, in turns."""
    found = KeyFigures([], [], [], [], 0)
    with Terminal(python("-m", "tests.support.bare")) as bare, open_sweep(book) as ours:
        bare.wait_for(b"eady")
        bare.drain(0.5, 1.0)
        ours.forget()
        ours.drain(IDLE_S, IDLE_S)
        idle = len(ours.forget())
        for number in range(keys):
            digit = str(1 + number % 9).encode()
            for terminal, times, counts in (
                (bare, found.bare_s, found.bare_bytes),
                (ours, found.ours_s, found.ours_bytes),
            ):
                took, painted = terminal.key(digit)
                times.append(took)
                counts.append(len(painted))
                if number % PER_READING == PER_READING - 1:
                    terminal.key(b"\x7f" * PER_READING)
    return KeyFigures(found.bare_s, found.ours_s, found.bare_bytes, found.ours_bytes, idle)


def main() -> int:
    """Print the figures."""
    keys = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    with tempfile.TemporaryDirectory() as folder:
        found = measure(keys, make_book(Path(folder) / "shop.db", count=3))
    bare_ms, ours_ms = (1000 * statistics.median(s) for s in (found.bare_s, found.ours_s))
    print(f"key to paint, {keys} keys each in turns: bare Input {bare_ms:.2f} ms, ", end="")
    print(f"sweep entry {ours_ms:.2f} ms, median ratio {found.ratio:.2f} (target under 1.30)")
    bare_bytes, ours_bytes = (statistics.median(b) for b in (found.bare_bytes, found.ours_bytes))
    print(
        f"bytes a key: bare Input {bare_bytes:.0f}, sweep entry {ours_bytes:.0f} median, ", end=""
    )
    print(f"{max(found.ours_bytes)} most (target under 400)")
    print(f"bytes in {IDLE_S:.0f} idle seconds: {found.idle_bytes} (target 0)")
    good = found.ratio < 1.3 and max(found.ours_bytes) < 400 and found.idle_bytes == 0
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
