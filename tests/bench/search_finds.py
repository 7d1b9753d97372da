"""What a search finds: `python -m tests.bench.search_finds [FILE] [JOBS] [SEED] [N]`.

Draws N jobs of the book for each way to ask and compares list and count with what the rows say:
year, month, size in four spellings, side and outcome of a year, common name of an alloy, phone
number in eight spellings, name with year and side, name with two slips of the finger.
To reach: all right. A name with two slips may be another customer's: the names of this book are
made of few syllables, so that many are one or two letters apart.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from core.base.times import local_text
from core.base.units import format_size
from core.book.connection import Book
from core.book.opening import open_book
from core.jobs.find_jobs import find_jobs
from tests.support import big_book

_ALLOYS = {
    "naval brass": ("C46400",),
    "nickel aluminum bronze": ("C63000",),
    "17-4ph": ("S17400",),
    "stainless steel": ("S17400", "S20910", "S30400", "S31600"),
    "type 304": ("S30400",),
    "carbon steel": ("G10450",),
    "nickel copper": ("N05500",),
}
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


class Row(NamedTuple):
    """A job as the book has it."""

    tag: str
    opened: str
    state: str
    name: str
    phone: str
    place: str
    material: str
    diameter_in: float

    @property
    def surname(self) -> str:
        """The first word of the name."""
        return self.name.split(",")[0].split()[0]


def rows_of(book: Book) -> list[Row]:
    """All jobs; when each was opened by the clock of this computer."""
    found = book.rows(
        "SELECT job.tag, job.opened_at, job.state, customer.name, customer.phone, shaft.position, "
        "shaft.material, shaft.diameter_in FROM job JOIN shaft ON shaft.id = job.shaft_id "
        "JOIN vessel ON vessel.id = shaft.vessel_id "
        "JOIN customer ON customer.id = vessel.customer_id"
    )
    return [Row(tag, local_text(at, "%b %Y"), *more) for tag, at, *more in found]


def slip(draw: random.Random, word: str) -> str:
    """One slip: a letter left out, wrong, too much, or two exchanged."""
    at, letter = draw.randrange(len(word) - 1), draw.choice(_LETTERS)
    return draw.choice(
        (
            word[:at] + word[at + 1 :],
            word[:at] + letter + word[at + 1 :],
            word[:at] + letter + word[at:],
            word[:at] + word[at + 1] + word[at] + word[at + 2 :],
        )
    )


def spellings(phone: str) -> tuple[str, ...]:
    """Eight ways to write 'aaa bbb-cccc'."""
    area, rest = phone.split(" ")
    first, last = rest.split("-")
    return (
        f"{area} {first} {last}", f"{area}-{first}-{last}", f"({area}) {first}-{last}",
        f"{area}.{first}.{last}", f"{area}{first}{last}", f"+1 {area} {first} {last}",
        f"1-{area}-{first}-{last}", f"001 {area} {first} {last}",
    )  # fmt: skip


def is_right(book: Book, typed: str, rows: list[Row], meant: Callable[[Row], bool]) -> bool:
    """Whether the jobs meant come first, as many as there are or fill a page."""
    tags = {row.tag for row in rows if meant(row)}
    page = find_jobs(book, typed)
    first = [one.tag for one in page.found[: len(tags)]]
    return set(first) <= tags and len(first) == min(len(tags), 50) and page.total >= len(tags)


def ways_to_ask(row: Row, draw: random.Random) -> list[tuple[str, str, Callable[[Row], bool]]]:
    """Kind, what is typed, and which rows are meant."""
    year, d_in = row.opened[-4:], row.diameter_in
    size = draw.choice(
        (f"{d_in:g} in", format_size(d_in), f"{d_in * 25.4:.1f} mm",
         format_size(d_in, unit=False) + '"')
    )  # fmt: skip
    alloy = draw.choice(list(_ALLOYS))
    side = {"starboard": "stbd", "centre": "center"}.get(row.place, row.place)
    return [
        ("year", year, lambda one: one.opened.endswith(year)),
        ("month", row.opened, lambda one: one.opened == row.opened),
        ("size", size, lambda one: abs(one.diameter_in - d_in) < 1e-4),
        ("side, outcome, year", f"{year} {row.state} {side}",
         lambda one: one.opened.endswith(year) and one.state == row.state
         and one.place == row.place),
        ("alloy", alloy, lambda one: one.material in _ALLOYS[alloy]),
        ("phone", draw.choice(spellings(row.phone)), lambda one: one.phone == row.phone),
        ("name, year, side", f"{side} {row.surname} {year}",
         lambda one: one.opened.endswith(year) and one.place == row.place
         and one.surname.startswith(row.surname)),
    ]  # fmt: skip


def main(place: Path, jobs: int, seed: int, count: int) -> int:
    """Print how many of each kind are right; 1 when too few are."""
    draw = random.Random(seed)
    right: dict[str, int] = {}
    slipped = 0
    with open_book(big_book.make(place, jobs, seed)) as book:
        rows = rows_of(book)
        for row in draw.sample(rows, count):
            for kind, typed, meant in ways_to_ask(row, draw):
                good = is_right(book, typed, rows, meant)
                right[kind] = right.get(kind, 0) + good
                if not good:
                    print(f"  {kind}: {typed!r}")
            found = find_jobs(book, slip(draw, slip(draw, row.surname.lower()))).found
            slipped += any(one.customer_name == row.name for one in found)
    for kind, good in right.items():
        print(f"{kind}: {good} of {count} right")
    print(f"name with two slips: {slipped} of {count} on the first page")
    return int(min(right.values()) < count)


if __name__ == "__main__":
    given = sys.argv[1:]
    where = Path(given[0]) if given else Path(tempfile.mkdtemp()) / "big.db"
    numbers = [int(text) for text in given[1:]]
    sys.exit(main(where, *(numbers + [100_000, 1, 100][len(numbers) :])))
