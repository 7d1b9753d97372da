"""A second site that follows the book: `python -m tests.bench.replica ENGINE [SECONDS] [KILLS]`.

ENGINE is the program of the replication engine the README names (Litestream; not ours, not
installed by us). It ships the write-ahead log to a second folder while a child stores readings and
is killed by signal 9 now and then; the engine is killed too, once, and started again. After every
kill the book is restored at the second site: it must be sound and hold every reading that was
confirmed before the last `PAUSE_S`. Printed: what was confirmed, restored and lost, and how old the
copy was at worst.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from core.book.opening import open_book
from core.book.readings import readings_of
from core.book.upkeep.check import check_book
from tests.bench.kill_nine import kill_once, start

PAUSE_S = 3.0
"""The engine ships once a second; three seconds after an entry it must be there."""


@dataclass
class Tally:
    """What was counted."""

    kills: int = 0
    confirmed: int = 0
    lost: int = 0
    unsound: int = 0
    behind: int = 0
    """Most readings that a copy restored in the very moment of a kill was short of."""


def follow(engine: str, book: Path, second: Path, log: Path) -> subprocess.Popen[bytes]:
    """Start the engine on the book."""
    with log.open("ab") as out:
        command = [engine, "replicate", str(book), f"file://{second}"]
        return subprocess.Popen(command, stdout=out, stderr=out)


def restored(engine: str, second: Path, to: Path, sweep_id: str, tally: Tally) -> int:
    """Restore at the second site, look the copy over; readings it holds."""
    to.unlink(missing_ok=True)
    command = [engine, "restore", "-o", str(to), f"file://{second}"]
    subprocess.run(command, check=True, capture_output=True)
    tally.unsound += not check_book(to).sound
    with open_book(to, create=False) as copy:
        return len(readings_of(copy, sweep_id))


def run(engine: str, folder: Path, seconds: float, kills: int) -> Tally:
    """Store, kill, restore, so many times."""
    book, second, log = folder / "shop.db", folder / "second", folder / "engine.log"
    sweep_id, tally = start(book), Tally()
    running = follow(engine, book, second, log)
    time.sleep(PAUSE_S)
    for turn in range(kills):
        last = kill_once(book, sweep_id, seconds)
        at_once = restored(engine, second, folder / "at_once.db", sweep_id, tally)
        time.sleep(PAUSE_S)
        later = restored(engine, second, folder / "later.db", sweep_id, tally)
        tally.kills += 1
        tally.confirmed = last + 1
        tally.behind = max(tally.behind, last + 1 - at_once)
        tally.lost += max(last + 1 - later, 0)
        if turn == kills // 2:
            running.kill()
            running.wait()
            kill_once(book, sweep_id, seconds)
            running = follow(engine, book, second, log)
            time.sleep(PAUSE_S)
    running.kill()
    running.wait()
    return tally


def main() -> int:
    """Print the figures."""
    if len(sys.argv) < 2:
        print(__doc__)
        return 2
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 2.0
    kills = int(sys.argv[3]) if len(sys.argv) > 3 else 10
    with tempfile.TemporaryDirectory() as folder:
        tally = run(sys.argv[1], Path(folder), seconds, kills)
    print(
        f"{tally.kills} kills, {tally.confirmed} readings confirmed, lost {tally.lost} at the "
        f"second site, unsound copies {tally.unsound}; a copy restored in the moment of the kill "
        f"was {tally.behind} readings behind at worst"
    )
    return 1 if tally.lost or tally.unsound else 0


if __name__ == "__main__":
    sys.exit(main())
