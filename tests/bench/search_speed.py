"""How fast each key of a search is: `python -m tests.bench.search_speed [FILE] [JOBS] [SEED]`.

Types searches letter by letter (names, boats, phones, tags, diameters, words of notes, ends of
words, words with one or two slips, years, months, sides, outcomes, alloys, two and three words at
once) and times the list after each key, and list and count at the end.
Targets: 95th percentile under 15 ms, worst under 30 ms.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from pathlib import Path

from core.book.connection import Book
from core.book.opening import open_book
from core.jobs.find_jobs import find_jobs
from tests.support import big_book

_FIXED = (
    "bronze", "bearing", "keyway cracked", "vibrates above 1400", "S31600", "port", "1.25",
    "1-1/4", "1-1/2 starboard", "3/4", ".875", "released", "pitting packing", "ing", "ster",
    "albatross blue", "---", "!!", "old weld repair taper", "e", "a b", "o n r", "555-0142",
    "n05500 2.5 port", "2019", "Feb 2016", "smith 2019 stbd", "replaced 2012 naval brass", "30 mm",
    "stainless", "nickel aluminum bronze 3 in", "starboard 2.25 closed", "+1 912 555 0101",
)  # fmt: skip


def _with_slip(draw: random.Random, word: str) -> str:
    at = draw.randrange(max(len(word) - 1, 1))
    kind = draw.randrange(3)
    if kind == 0:
        return word[:at] + word[at + 1 :]
    if kind == 1:
        return word[:at] + draw.choice("aeioulnrst") + word[at + 1 :]
    return word[:at] + word[at + 1 : at + 2] + word[at] + word[at + 2 :]


def searches(book: Book, count: int, seed: int) -> Iterator[str]:
    """Things people would look for, drawn from the book itself."""
    draw = random.Random(seed)
    yield from _FIXED
    rows = book.rows(
        "SELECT customer.name, customer.phone, vessel.name, job.tag, shaft.material, "
        "shaft.diameter_in, job.complaint, job.opened_at FROM job "
        "JOIN shaft ON shaft.id = job.shaft_id JOIN vessel ON vessel.id = shaft.vessel_id "
        "JOIN customer ON customer.id = vessel.customer_id "
        "WHERE job.rowid % ? = ?",
        (max(100_000 // count, 1), seed % max(100_000 // count, 1)),
    )
    for name, phone, boat, tag, material, diameter_in, complaint, opened in rows[:count]:
        surname = name.split(",")[0].split()[0]
        yield draw.choice(
            (
                surname, boat, phone, phone[-4:], tag, complaint, surname[2:], boat[-5:],
                _with_slip(draw, surname), _with_slip(draw, boat), f"{surname} {boat}",
                f"{material} {diameter_in:g}", f"{surname} {material}", f"{boat} {tag}",
                _with_slip(draw, _with_slip(draw, surname)), f"{surname} 20{tag[:2]} port",
                f"{opened:.10} {boat}", f"{diameter_in:g} released {surname}",
            )
        )  # fmt: skip


def keys(text: str) -> Iterator[str]:
    """The text after each key."""
    for end in range(1, len(text) + 1):
        yield text[:end]


def measure(book: Book, texts: Iterable[str]) -> list[tuple[float, float, str]]:
    """Milliseconds of each key by the wall clock and of the processor, and what was typed."""
    find_jobs(book, "")
    timed = []
    for text in texts:
        for typed in keys(text):
            start, busy = time.perf_counter(), time.thread_time()
            find_jobs(book, typed, counted=False)
            wall_ms, own_ms = time.perf_counter() - start, time.thread_time() - busy
            timed.append((wall_ms * 1000, own_ms * 1000, typed))
    return timed


def measure_counts(book: Book, texts: Iterable[str]) -> list[float]:
    """Milliseconds of the processor to count all that meet a text."""
    timed = []
    for text in texts:
        busy = time.thread_time()
        find_jobs(book, text)
        timed.append((time.thread_time() - busy) * 1000)
    return timed


def report(name: str, ms: list[float]) -> str:
    """Median, 95th percentile and worst in words."""
    ranked = sorted(ms)
    middle, late = ranked[len(ranked) // 2], ranked[int(len(ranked) * 0.95)]
    return f"{name}: median {middle:.1f} ms, 95th percentile {late:.1f}, worst {ranked[-1]:.1f}"


def main() -> None:
    where = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(tempfile.mkdtemp()) / "big.db"
    jobs = int(sys.argv[2]) if len(sys.argv) > 2 else 100_000
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    with open_book(big_book.make(where, jobs, seed)) as book:
        timed = sorted(measure(book, searches(book, 200, seed)))
        counts = measure_counts(book, searches(book, 200, seed))
    print(f"{len(timed)} keys over {jobs} jobs")
    print(report("by the wall clock (targets 15 and 30)", [wall for wall, _, _ in timed]))
    print(report("processor time of the search alone", [own for _, own, _ in timed]))
    print(report("list and count once typing stops, processor", counts))
    slow = sorted(timed, key=lambda one: -one[1])[:8]
    print("most work: " + "; ".join(f"{text!r} {own:.1f}" for _, own, text in slow))


if __name__ == "__main__":
    main()
