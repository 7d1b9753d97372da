"""Old cards taken in and found: `python -m tests.bench.old_cards [CARDS] [SEED]`.

Cards of invented names are read from a CSV, stored and indexed in a new book, as
`shaftlog import-cards` does. Printed are processor and wall time of each part, the most memory, and
how long a search as typed takes. Target: 100,000 cards in under 60 s.
"""

from __future__ import annotations

import random
import resource
import sys
import tempfile
import time
from pathlib import Path

from core.book.opening import open_book
from core.jobs.card_import.read_cards import parse_card_columns
from core.jobs.card_import.store_cards import plan_cards, read_for, store_cards
from core.jobs.find_jobs import find_cards

TARGET_S = 60.0
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
TYPED = ("h", "hal", "haldorsen", "haldorsen 1998", "1-3/4 port", "1987", "gannet 12", "zzz")


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
        open_book(Path(folder) / "cards.db") as book,
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
        for typed in TYPED:
            begun = time.process_time()
            found = find_cards(book, typed)
            print(f"  {typed:<16}{len(found):3} in {(time.process_time() - begun) * 1000:5.1f} ms")
    return used_s < TARGET_S


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:]] + [100_000, 7][len(sys.argv) - 1 :]
    sys.exit(not main(*given))
