"""A hundred thousand random keys into the real program, in a terminal of its own.

    python -m tests.bench.random_keys [KEYS] [SEEDS] [FIRST SEED] [BOOK]

Keys, pastes, window sizes from 40x10 up, terminal answers, broken escape sequences and bytes that
are not UTF-8 go to the program on a copy of a book (without BOOK: the invented shop). Counted:
faults (the program notes each in a file), ends other than F12 on the board, hangs (a new window
size is not painted within 20 s), readings that vanished or changed, damage in the book.
"""

from __future__ import annotations

import fcntl
import os
import random
import re
import shutil
import signal
import sqlite3
import struct
import sys
import tempfile
import termios
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from core.book import jobs, sweeps
from core.book.opening import open_book
from core.demo.copy import demo_copy
from tests.support.ptys import Terminal
from tui.routes import ROUTES

Key = Callable[[random.Random], bytes]
ROOT = Path(__file__).resolve().parent.parent.parent
_PROGRAM = (
    "import faulthandler, signal, sys; file = open(sys.argv.pop(1), 'w'); "
    "faulthandler.register(signal.SIGUSR1, file=file); from tui.main import main; sys.exit(main())"
)
BURST = 25
"""Keys sent before the program is waited for."""
PROBE_EVERY = 40
"""Bursts between two proofs that the program still paints."""
HUNG_S = 20.0
SPEEDS = (0, 0, 0, 0, 0, 0, 0, 19200)
"""What the line says of its speed: a slow one is painted in turns."""
SIZES = ((80, 24), (80, 24), (120, 40), (40, 10), (200, 60), (132, 43), (60, 15), (97, 33))

F_KEYS = (
    b"\x1bOP", b"\x1bOQ", b"\x1bOR", b"\x1bOS", b"\x1b[15~", b"\x1b[17~", b"\x1b[18~",
    b"\x1b[19~", b"\x1b[20~", b"\x1b[21~", b"\x1b[24~",
)  # fmt: skip
MOVES = (
    b"\x1b[A", b"\x1b[B", b"\x1b[C", b"\x1b[D", b"\x1b[H", b"\x1b[F", b"\x1b[5~", b"\x1b[6~",
    b"\x1b[2~", b"\x1b[3~", b"\t", b"\x1b[Z", b"\x7f", b"\x1bOA", b"\x1bOB", b"\x1b[1;5C",
)  # fmt: skip
PAD = (b"*", b"/", b"+", b"-", b".", b",", b"\r", b"\n", b"\x1bOM", b"\x1bOj", b"\x1bOo")
CONTROLS = tuple(bytes([n]) for n in (*range(26), 28, 31))
ANSWERS = (
    b"\x1b[I", b"\x1b[O", b"\x1b[?1;2c", b"\x1b[12;40R", b"\x1b[<0;10;5M", b"\x1b[<0;10;5m",
    b"\x1b[M !!", b"\x1b[25~", b"\x1b[34~", b"\x1b[?2026;2$y", b"\x1b[97;5u", b"\x1b[48;24;80;0;0t",
    b"\x1bx", b"\x1b\x1b[A", b"\x1b[1;2P", b"\x1b[", b"\x1bO", b"\x1b]11;rgb:0/0/0\x07",
)  # fmt: skip
HEADINGS = tuple(
    str(getattr(route.load(), "HEADING", "")) or "choose it and press Enter"
    for route in ROUTES.values()
)
WORDS = (
    "1.5", "-2", "0.0015in", "0.3mm", "1-1/4", "12", "9:30", "3,5", "1e5", "--", "0", "999999999",
    "[b]", "[/]", "[mm]", "$x", "gannet", "555-0142", "ø漢字", "‮abc", "a" * 300, "1/2", "*", "45",
    "nan", "inf", "-inf", "1.5\n2\n-1\n0.5\n", "a\tb\r\nc", "\x1b[31m", "é" * 40, "S31600", "..",
)  # fmt: skip


@dataclass
class Tally:
    """What happened."""

    keys: int = 0
    resizes: int = 0
    starts: int = 0
    left: int = 0
    """Times the program was left with F12 on the board, as it should be possible."""
    died: list[str] = field(default_factory=list)
    hangs: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    lost: int = 0
    unsound: int = 0
    readings: int = 0
    """Readings stored in the course of the run."""
    seconds: float = 0.0
    most_mb: float = 0.0
    screens: Counter[str] = field(default_factory=Counter)

    @property
    def clean(self) -> bool:
        """Nothing went wrong."""
        return not (self.died or self.hangs or self.faults or self.lost or self.unsound)


def wandering(draw: random.Random) -> bytes:
    """Keys that go from screen to screen, and a bit of everything."""
    kind = draw.random()
    if kind < 0.30:
        return draw.choice("0123456789").encode()
    if kind < 0.42:
        return draw.choice((b"\r", b"\r", b"\n"))
    if kind < 0.58:
        return draw.choice(F_KEYS)
    if kind < 0.64:
        return b"\x1b"
    if kind < 0.80:
        return draw.choice(MOVES)
    return b"\x1b[21~" + draw.choice("123456789").encode()


def working(draw: random.Random) -> bytes:
    """Keys of somebody who stays on a screen: numbers, forms, lists, now and then a way out."""
    kind = draw.random()
    if kind < 0.40:
        return f"{draw.uniform(-9, 9):.1f}".encode() + draw.choice((b"\r", b"\n", b"\t", b""))
    if kind < 0.52:
        return draw.choice("0123456789").encode()
    if kind < 0.66:
        return draw.choice(PAD)
    if kind < 0.80:
        return draw.choice(MOVES)
    if kind < 0.90:
        return draw.choice(WORDS).encode() + draw.choice((b"\r", b"\t", b""))
    if kind < 0.98:
        return draw.choice(F_KEYS[3:8] + F_KEYS[10:])
    return b"\x1b"


def rubbish(draw: random.Random) -> bytes:
    """What no keyboard sends, and pastes."""
    kind = draw.random()
    if kind < 0.3:
        return b"\x1b[200~" + draw.choice(WORDS).encode() + b"\x1b[201~"
    if kind < 0.5:
        return draw.choice(CONTROLS)
    if kind < 0.7:
        return draw.choice(ANSWERS)
    if kind < 0.9:
        return draw.choice("abcdefghijklmnopqrstuvwxyz [](){}$@#'\"%&;:<>=?!|~^`").encode()
    return bytes(draw.randrange(128, 256) for _ in range(draw.randrange(1, 6)))


MOODS = ((wandering, 0.5), (working, 0.8), (working, 1.0), (rubbish, 0.3))
"""A mood and how much of it; the rest is wandering and rubbish in equal parts."""


def one_key(draw: random.Random, mood: tuple[Key, float]) -> bytes:
    """A key, or a few that belong together."""
    keys, share = mood
    if draw.random() < share:
        return keys(draw)
    return draw.choice((wandering, rubbish))(draw)


def resize(terminal: Terminal, columns: int, rows: int) -> None:
    """Give the window another size, as a window manager does."""
    size = struct.pack("HHHH", rows, columns, 0, 0)
    fcntl.ioctl(terminal.master, termios.TIOCSWINSZ, size)
    os.kill(terminal.process.pid, signal.SIGWINCH)


class Monkey:
    """Types at one book until enough keys have been typed."""

    def __init__(self, book: Path, seed: int, ascii: bool = False) -> None:
        self.book, self.seed, self.draw = book, seed, random.Random(seed)
        self.tally = Tally()
        self.stacks = book.with_suffix(".stacks")
        """Where the program writes what it is doing when asked by a signal."""
        self.known: dict[str, tuple[object, ...]] = {}
        self.ascii = ascii
        self.mood = MOODS[0]
        self._look_at_readings()
        self.at_first = len(self.known)

    def run(self, keys: int) -> Tally:
        """So many keys, over as many starts of the program as it takes."""
        began = time.perf_counter()
        while self.tally.keys < keys and len(self.tally.died) + len(self.tally.hangs) < 3:
            self._one_visit(keys)
            self._look_at_readings()
        self._look_at_faults()
        with sqlite3.connect(self.book) as con:
            self.tally.unsound += con.execute("PRAGMA integrity_check").fetchone() != ("ok",)
        self.tally.readings = len(self.known) - self.at_first
        self.tally.seconds = time.perf_counter() - began
        return self.tally

    def _start(self) -> Terminal:
        more = ["--ascii"] if self.ascii else []
        here = str(self.book.parent)
        argv = [sys.executable, "-c", _PROGRAM, str(self.stacks), "--book", str(self.book), *more]
        env = {"HOME": here, "XDG_DATA_HOME": here, "PYTHONPATH": str(ROOT)}
        before = Path.cwd()
        os.chdir(here)  # whatever random keys export goes beside the book
        try:
            terminal = Terminal(argv, env=env, baud=self.draw.choice(SPEEDS))
        finally:
            os.chdir(before)
        terminal.wait_for(b"F12", 60.0)
        terminal.drain(0.2, 2.0)
        self.tally.starts += 1
        return terminal

    def _one_visit(self, keys: int) -> None:
        """From a start of the program to its end."""
        with self._start() as terminal:
            bursts = 0
            while self.tally.keys < keys:
                if terminal.process.poll() is not None:
                    self._ended(terminal)
                    return
                self._burst(terminal)
                bursts += 1
                if bursts % PROBE_EVERY == 0 and not self._paints(terminal):
                    return

    def _burst(self, terminal: Terminal) -> None:
        terminal.forget()
        sent = b""
        if self.draw.random() < 0.15:
            self.mood = self.draw.choice(MOODS)
            self._open_a_job(terminal)
        for _ in range(BURST):
            sent += one_key(self.draw, self.mood)
            self.tally.keys += 1
            if self.draw.random() < 0.25:
                terminal.send(sent)
                sent = b""
                terminal.read(0.002)
            if self.draw.random() < 0.01:
                resize(terminal, *self.draw.choice(SIZES))
                self.tally.resizes += 1
        terminal.send(sent)
        terminal.drain(0.03, 3.0)
        for heading in HEADINGS:
            self.tally.screens[heading] += heading.encode() in terminal.output

    def _open_a_job(self, terminal: Terminal) -> None:
        """Esc, F2, the two digits of an open job, and a step of its card."""
        terminal.send(b"\x1b")
        terminal.drain(0.2, 2.0)
        with sqlite3.connect(f"file:{self.book}?mode=ro", uri=True) as con:
            tags = con.execute("SELECT tag FROM job WHERE state IN ('open', 'waiting')").fetchall()
        digits = self.draw.choice(tags)[0][-2:] if tags else "01"
        step = self.draw.choice((*b"1111123456789", *F_KEYS[3:8]))
        last = bytes([step]) if isinstance(step, int) else step
        terminal.send(b"\x1bOQ" + digits.encode() + last)
        terminal.drain(0.3, 2.0)

    def _paints(self, terminal: Terminal) -> bool:
        """Whether a new size of the window is painted; a hang is noted and ended."""
        with open(f"/proc/{terminal.process.pid}/statm") as file:
            pages = int(file.read().split()[1])
        self.tally.most_mb = max(self.tally.most_mb, pages * os.sysconf("SC_PAGE_SIZE") / 2**20)
        terminal.drain(0.05, 3.0)
        terminal.forget()
        for size in ((81, 25), (80, 24)):
            resize(terminal, *size)
            until = time.perf_counter() + HUNG_S
            while not terminal.read(0.2) and time.perf_counter() < until:
                if terminal.process.poll() is not None:
                    return True
            if not terminal.output:
                os.kill(terminal.process.pid, signal.SIGUSR1)
                time.sleep(0.5)
                where = self.stacks.read_text()
                self.tally.hangs.append(f"seed {self.seed}, key {self.tally.keys}\n{where}")
                return False
        return True

    def _ended(self, terminal: Terminal) -> None:
        status = terminal.process.returncode
        if status == 0:
            self.tally.left += 1
        else:
            tail = terminal.output[-300:].decode(errors="replace")
            self.tally.died.append(f"seed {self.seed}, key {self.tally.keys}: {status} {tail!r}")

    def _look_at_readings(self) -> None:
        """What was stored once must be there for ever, unchanged but for what took its place."""
        with sqlite3.connect(f"file:{self.book}?mode=ro", uri=True) as con:
            rows = con.execute(
                "SELECT id, sweep_id, station_in, clock_deg, value_in, raw, kind FROM reading"
            ).fetchall()
        now = {row[0]: tuple(row[1:]) for row in rows}
        self.tally.lost += sum(now.get(name) != row for name, row in self.known.items())
        self.known = now

    def _look_at_faults(self) -> None:
        noted = self.book.with_suffix(".fault.txt")
        if noted.exists():
            self.tally.faults = re.split(r"(?m)^(?=\d{4}-\d\d-\d\d \d\d:)", noted.read_text())[1:]


def shop(folder: Path, book: Path | None = None) -> Path:
    """A copy of a book to type at; in every second open job a sweep waits for its readings."""
    place = folder / "shop.db"
    if book is None:
        demo_copy(place)
    else:
        shutil.copyfile(book, place)
    with open_book(place) as open_copy:
        for job in jobs.open_jobs(open_copy)[::2]:
            sweeps.start_sweep(
                open_copy,
                job_id=job.id,
                purpose="working",
                roller_a_in=job.roller_a_in or 12.0,
                roller_b_in=job.roller_b_in or 60.0,
                stations_in=range(0, 70, 3),
                marks_deg=range(0, 360, 45),
            )
    return place


def report(tally: Tally) -> str:
    """What happened, in words."""
    return (
        f"{tally.keys} keys, {tally.resizes} sizes, {tally.starts} starts, {tally.left} left by "
        f"F12, {tally.seconds:.0f} s, most memory {tally.most_mb:.0f} MB; died {len(tally.died)}, "
        f"hung {len(tally.hangs)}, faults {len(tally.faults)}, readings stored {tally.readings}, "
        f"lost {tally.lost}, damaged books {tally.unsound}"
    )


def main() -> int:
    """Print the figures."""
    keys = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    seeds = int(sys.argv[2]) if len(sys.argv) > 2 else 4
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    book = Path(sys.argv[4]) if len(sys.argv) > 4 else None
    good = True
    for seed in range(first, first + seeds):
        with tempfile.TemporaryDirectory() as folder:
            monkey = Monkey(shop(Path(folder), book), seed, ascii=seed % 2 == 0)
            tally = monkey.run(keys // seeds)
        print(f"seed {seed}: {report(tally)}", flush=True)
        print("  bursts that showed: " + ", ".join(f"{n} {c}" for n, c in tally.screens.items()))
        for trouble in (*tally.died, *tally.hangs, *tally.faults):
            print(trouble, flush=True)
        good = good and tally.clean
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
