"""What damage does to a job book: `python -m tests.bench.damage [COPIES] [SEED]`.

Damages copies of the demo's book (flipped bytes, cut pages, zeroed blocks, overwritten stretches,
values changed on the disk or by another program) and says for each: found by `check`, unharmed
(every row that people entered reads as before), or missed. Of the damaged copies it counts tickets
printed with exit 0, and commands that end in a fault of the program.
Target: 150 of 150 found or unharmed, no ticket with exit 0 from a harmed copy, no fault.
"""

from __future__ import annotations

import contextlib
import io
import sqlite3
import struct
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from random import Random

from core.book.errors import READ_ERRORS, BookError
from core.book.upkeep import check
from core.book.upkeep.tables import ENTERED
from core.cli.frame import run_command

PAGE = 4096
DEMO = Path(__file__).parents[2] / "demo.db"
Rows = dict[str, list[tuple[object, ...]]]


def flipped(data: bytearray, draw: Random) -> None:
    """Single bits turned over."""
    for _ in range(draw.randrange(1, 20)):
        data[draw.randrange(len(data))] ^= 1 << draw.randrange(8)


def one_byte(data: bytearray, draw: Random) -> None:
    """One byte overwritten."""
    data[draw.randrange(len(data))] = draw.randrange(256)


def zeroed(data: bytearray, draw: Random) -> None:
    """A block of zeros, as a disk gives back what it could not write."""
    at = draw.randrange(len(data) // 512) * 512
    length = draw.choice((512, PAGE))
    data[at : at + length] = bytes(len(data[at : at + length]))


def cut(data: bytearray, draw: Random) -> None:
    """Pages missing at the end."""
    del data[draw.randrange(1, len(data) // PAGE) * PAGE :]


def swapped(data: bytearray, draw: Random) -> None:
    """One page with what belongs into another."""
    here, there = (draw.randrange(1, len(data) // PAGE) * PAGE for _ in range(2))
    data[here : here + PAGE] = data[there : there + PAGE]


def value(data: bytearray, draw: Random) -> None:
    """One stored value changed where it lies on the disk, to another that could be."""
    with closing(sqlite3.connect(DEMO)) as con:
        table = draw.choice(("reading", "reading", "measurement", "hit", "job", "customer", "note"))
        row = draw.choice(con.execute(f"SELECT * FROM {table}").fetchall())
    cells = [cell for cell in row if isinstance(cell, float | str) and len(str(cell)) > 2]
    cell = draw.choice(cells)
    old = struct.pack(">d", cell) if isinstance(cell, float) else cell.encode()
    new = struct.pack(">d", cell * 1.5) if isinstance(cell, float) else _other(old, draw)
    places = []
    at = data.find(old)
    while at >= 0:
        places.append(at)
        at = data.find(old, at + 1)
    if places:
        at = draw.choice(places)
        data[at : at + len(old)] = new


def _other(text: bytes, draw: Random) -> bytes:
    at = draw.randrange(len(text))
    new = bytes([draw.choice(b"0123456789") if text[at : at + 1].isdigit() else draw.choice(b"ae")])
    return text[:at] + new + text[at + 1 :]


KINDS: tuple[Callable[[bytearray, Random], None], ...] = (
    flipped, one_byte, zeroed, cut, swapped, value,
)  # fmt: skip


def entered(place: Path) -> Rows:
    """Every row that people entered, as stored in the tables themselves."""
    found: Rows = {}
    with closing(sqlite3.connect(f"file:{place}?mode=ro", uri=True)) as con:
        for table in ENTERED:
            found[table] = sorted(con.execute(f"SELECT * FROM {table} NOT INDEXED"), key=repr)
    return found


def unharmed(place: Path, before: Rows) -> bool:
    """Whether all that was entered reads as before."""
    try:
        return entered(place) == before
    except READ_ERRORS:
        return False


def sound(place: Path) -> bool:
    """What `check` says; a refusal to open it is a find too."""
    try:
        return check.check_book(place).sound
    except BookError:
        return False


def command(name: str, *words: str) -> tuple[int, str]:
    """Exit code and stderr of a subcommand."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run_command(name, list(words))
    return code, err.getvalue()


def try_one(place: Path, before: Rows, tag: str) -> tuple[str, bool, list[str]]:
    """Found, unharmed or missed; whether a ticket came without a word; commands at fault."""
    is_sound = sound(place)
    verdict = "found" if not is_sound else "unharmed" if unharmed(place, before) else "missed"
    ran = {
        "ticket": command("ticket", tag, "--book", str(place)),
        "figures": command("figures", "--book", str(place)),
        "history": command("history", "a", "--book", str(place)),
        "check": command("check", "--book", str(place)),
    }
    faults = [f"{name}: {err.strip()}" for name, (_, err) in ran.items() if "a fault in" in err]
    return verdict, verdict != "unharmed" and ran["ticket"][0] == 0, faults


def main() -> None:
    copies = int(sys.argv[1]) if len(sys.argv) > 1 else 150
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    whole, before = DEMO.read_bytes(), entered(DEMO)
    tags = [str(row[1]) for row in before["job"]]
    counts: Counter[str] = Counter()
    silent: list[int] = []
    all_faults: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        for number in range(copies):
            draw = Random(f"{seed} {number}")
            kind = KINDS[number % len(KINDS)]
            data = bytearray(whole)
            kind(data, draw)
            place = Path(folder) / f"damaged-{number}.db"
            place.write_bytes(data)
            verdict, no_word, faults = try_one(place, before, draw.choice(tags))
            counts[verdict] += 1
            silent += [number] if no_word else []
            all_faults += [f"{number} {kind.__name__}: {fault}" for fault in faults]
            if verdict == "missed":
                print(f"missed: {number} ({kind.__name__})")
            place.unlink()
    print(f"{copies} copies, seed {seed}: {dict(counts)}")
    print(f"tickets with exit 0 from a harmed copy: {len(silent)} {silent}")
    print(f"faults of the program: {len(all_faults)}", *all_faults, sep="\n  ")


if __name__ == "__main__":
    main()
