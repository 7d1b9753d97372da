"""Old cards taken in and found: `python -m tests.bench.old_cards [CARDS] [SEED]`.

Cards of invented names are read from a CSV, stored and indexed in a copy of the demo's book, as
`shaftlog import-cards` does. Printed are processor and wall time of each part, the most memory, and
how long the board's search over jobs and cards takes at each key. Targets: 100,000 cards in under
60 s; 95 % of the keys under 15 ms, as for jobs alone.
"""

from __future__ import annotations

import random
import resource
import shutil
import sys
import tempfile
import time
from pathlib import Path

from core.book.connection import Book
from core.book.opening import open_book
from core.jobs.card_import.read_cards import parse_card_columns
from core.jobs.card_import.store_cards import plan_cards, read_for, store_cards
from core.jobs.find_jobs import find_cards, find_jobs
from tests.bench.search_speed import searches

DEMO = Path(__file__).resolve().parents[2] / "demo.db"
TARGET_S = 60.0
KEY_TARGET_MS = 15.0
SEARCHES = 60
COLUMNS = [
    "customer=Owner", "vessel=Boat", "shaft=Side", "size=Shaft size", "year=Date",
    "outcome=Result", "note=Remarks",
]  # fmt: skip
BEGINNINGS = (
    "Hald", "Vask", "Crake", "Pell", "Ferr", "Tiller", "Quill", "Ottol", "Bram", "Gudr", "Mitt",
    "Zell", "Orr", "Nils", "Wynn",
)  # fmt: skip
ENDINGS = ("orsen", "berg", "ley", "ing", "son", "ova", "ette", "mark", "wick", "by", "quist")
BOATS = ("Gannet", "Tin Pelican", "Lesser Walnut", "Gray Mitten", "Marigold", "Brine Fiddle")
SIZES = ("1-3/4 x 96", "2", "50 mm", "1 1/2", "2.5 in", "?")
TYPED = (
    "haldorsen 1998", "1-3/4 port", "1987", "gannet 12", "zzz", "straightened 2 1998", "rock 4711",
    "vaskley", "marigold stbd", "50 mm scrap", "hald gannet 1-3/4 port", "pelican replaced 1975",
)  # fmt: skip


def card_file(count: int, draw: random.Random) -> bytes:
    """A CSV of invented cards; one year in ten cannot be read."""
    lines = ["Owner,Boat,Side,Shaft size,Date,Result,Remarks"]
    for number in range(count):
        name = draw.choice(BEGINNINGS) + draw.choice(ENDINGS) + f" {draw.choice('ABCDEFGHKLM')}."
        boat = f"{draw.choice(BOATS)} {draw.randrange(400)}"
        year = "ca 80" if draw.random() < 0.1 else str(draw.randrange(1961, 2022))
        rest = (
            draw.choice(("port", "stbd", "")), draw.choice(SIZES), year,
            draw.choice(("straightened", "replaced", "scrap")), f"hit a rock {number}",
        )  # fmt: skip
        lines.append(",".join((name, boat, *rest)))
    return "\n".join(lines).encode()


def main(count: int, seed: int) -> bool:
    """Run and print; whether the target was reached."""
    data, mapping = card_file(count, random.Random(seed)), parse_card_columns(COLUMNS)
    with (
        tempfile.TemporaryDirectory() as folder,
        open_book(shutil.copyfile(DEMO, Path(folder) / "cards.db")) as book,
    ):
        wall, cpu = time.perf_counter(), time.process_time()
        plan = plan_cards(book, read_for(book, data, "cards.csv", mapping), "cards.csv")
        print(f"read and sorted out: {time.process_time() - cpu:.1f} s of processor")
        store_cards(book, plan, mapping)
        used_s = time.process_time() - cpu
        print(f"{len(plan.cards):,} cards stored: {used_s:.1f} s of processor, "
              f"{time.perf_counter() - wall:.1f} s by the clock")  # fmt: skip
        size_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"most memory {size_mb:.0f} MB; book {book.path.stat().st_size / 1e6:.0f} MB")
        usual = print_keys(book, seed)
    return used_s < TARGET_S and usual < KEY_TARGET_MS


def print_keys(book: Book, seed: int) -> float:
    """Time the board's list after each key of many searches; 95th percentile, ms of processor."""
    every: list[tuple[float, str]] = []
    for typed in (*TYPED, *searches(book, SEARCHES, seed)):
        for end in range(1, len(typed) + 1):
            begun = time.process_time()
            find_jobs(book, typed[:end], counted=False)
            find_cards(book, typed[:end])
            every.append(((time.process_time() - begun) * 1000, typed[:end]))
    every.sort()
    p50, p95 = (every[int(share * len(every))][0] for share in (0.50, 0.95))
    slowest = "; ".join(f"{typed!r} {ms:.0f}" for ms, typed in every[:-6:-1])
    print(f"{len(every)} keys: p50 {p50:.1f} ms, p95 {p95:.1f} ms, slowest: {slowest} ms")
    return p95


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:]] + [100_000, 7][len(sys.argv) - 1 :]
    sys.exit(not main(*given))
