"""The disk before the screen, traced in the real program: `python -m tests.bench.fsync_trace [N]`.

The program runs under `strace -f` in a terminal of its own while N readings are typed. A reading is
safe when the page that holds it as typed was written to the write-ahead log of the book and the
fsync (or fdatasync) of the log after it has come back with 0; only then may the program write
'Taken: ...' for it to the terminal. A power cut after the words costs nothing then.
"""

from __future__ import annotations

import re
import shutil
import sys
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench.kill_app import ALL, JUMP
from tests.support.ptys import Terminal, python
from tests.support.small_book import make_book

ESC, F12 = b"\x1b", b"\x1b[24~"
_PID = re.compile(r"^(\d+) +")
_CALL = re.compile(r"(\w+)\(\d+<([^>]*)")
_RESUMED = re.compile(r"<\.\.\. (\w+) resumed>.*= 0$")


def typed(number: int) -> str:
    """What is typed for reading `number`; so long that it stands nowhere else in the book."""
    return f"{number // 10}.{number % 10}000000"


PAINTED = "Taken"
"""Painted once for each reading: only cells that changed are sent, and while a number is typed the
line shows '= 0.3 thou' there, so that all five letters are new."""


@dataclass
class Order:
    """What the trace says, line by line."""

    wanted: int
    """Readings that were typed."""
    safe: set[int] = field(default_factory=set)
    """Readings in the log, with the fsync after them done."""
    told: dict[int, bool] = field(default_factory=dict)
    """Readings painted as taken, and whether they were safe by then."""
    syncs: int = 0
    _open: set[int] = field(default_factory=set)
    _syncing: dict[str, set[int]] = field(default_factory=dict)

    @property
    def in_order(self) -> int:
        """Readings that were safe before they were painted as taken."""
        return sum(self.told.values())

    def follow(self, lines: Iterable[str]) -> Order:
        """Go through a trace."""
        for line in lines:
            pid = _PID.match(line)
            if pid is not None:
                self._line(pid[1], line[pid.end() :].rstrip())
        return self

    def _line(self, pid: str, line: str) -> None:
        call = _CALL.match(line)
        if call is None:
            done = _RESUMED.match(line)
            if done is not None and done[1].endswith("sync"):
                self._synced(self._syncing.pop(pid, set()))
        elif call[2].endswith("-wal") and call[1].startswith("pwrite"):
            self._open |= {n for n in range(self.wanted) if typed(n) in line}
        elif call[2].endswith("-wal") and call[1].endswith("sync"):
            # Only what was in the log when the call began is sure to be on the disk after it.
            before, self._open = self._open, set()
            if line.endswith("= 0"):
                self._synced(before)
            else:
                self._syncing[pid] = before
        elif call[2].startswith("/dev/") and call[1].startswith("write") and PAINTED in line:
            self.told[len(self.told)] = len(self.told) in self.safe

    def _synced(self, numbers: set[int]) -> None:
        self.syncs += 1
        self.safe |= numbers


def trace(book: Path, file: Path, count: int) -> None:
    """Type so many readings into the traced program."""
    strace = ["strace", "-f", "-y", "-s", "9000", "-o", str(file)]
    calls = ["-e", "trace=fsync,fdatasync,pwrite64,pwritev,write,writev", "-e", "signal=none"]
    program = python("-m", "tui.main", "--book", str(book))
    terminal = Terminal([*strace, *calls, *program])
    try:
        _type(terminal, count)
    finally:
        terminal.end(20.0)


def _type(terminal: Terminal, count: int) -> None:
    """Open the first sweep, type the readings, leave."""
    terminal.wait_for(b"F12", 120.0)
    terminal.drain(0.3, 5.0)
    terminal.send(JUMP)
    terminal.wait_for(b"Station", 120.0)
    for number in range(count):
        terminal.forget()
        terminal.send(typed(number).encode())
        terminal.wait_for(b"=", 60.0)
        terminal.drain(0.1, 2.0)
        terminal.forget()
        terminal.send(b"\r")
        terminal.wait_for(PAINTED.encode(), 60.0)
        terminal.drain(0.1, 2.0)
    for key in (ESC, ESC, F12):
        terminal.send(key)
        terminal.drain(0.7, 5.0)


def run(count: int, folder: Path) -> Order:
    """A traced sweep in a new book, and what its trace says."""
    file = folder / "trace"
    trace(make_book(folder / "shop.db", count=2), file, count)
    with file.open(encoding="utf-8", errors="replace") as lines:
        return Order(count).follow(lines)


def main() -> int:
    """Print the figures."""
    count = min(int(sys.argv[1]) if len(sys.argv) > 1 else 100, ALL)
    if not shutil.which("strace"):
        print("strace is not installed here: the order of fsync and paint cannot be traced.")
        return 2
    with tempfile.TemporaryDirectory() as folder:
        try:
            order = run(count, Path(folder))
        except TimeoutError as error:
            print(f"The traced program did not go on (may this machine trace at all?): {error}")
            return 2
    print(f"{order.in_order} of {count} readings: fsync of the log done before 'Taken' is painted")
    print(f"painted as taken {len(order.told)}, fsyncs of the log {order.syncs}")
    return 0 if order.in_order == count else 1


if __name__ == "__main__":
    sys.exit(main())
