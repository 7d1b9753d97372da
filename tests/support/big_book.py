"""Make a job book of many jobs from a seed: `python -m tests.support.big_book FILE [JOBS] [SEED]`.

All names are put together from syllables; the phone numbers cannot ring.
"""

from __future__ import annotations

import random
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from core.base.times import moment_text
from core.book.connection import Book
from core.book.ids import IdMaker
from core.book.opening import open_book
from core.book.search import index as search_index

_START = (
    "bax dez fub gaz hox juv kiz lup mov nax piv quo rix suv tox uzz vax wib yop zeb brix clu drov"
)
_MIDDLE = "a e i o u an en in on ar er or el al il ast est int ond und"
_END = "box dulp flim grub jisk klop mux nork pell plon quax ruz sprat trix umb vrek wump zig zomp"
_FIRST = (
    "Ada Bo Cleo Dag Edna Finn Gwen Hugo Ines Jonas Kira Leif Mona Nils Olga Pia Rolf Tove Vera"
)
_BOAT = (
    "Albatross Breeze Comet Dawn Eider Fulmar Gannet Heron Island Juniper Kittiwake Lantern Merlin "
    "Narwhal Osprey Petrel Quest Rover Skua Tern Umbra Vesper Wren Yarrow Zephyr"
)
_BOAT_WORD = "Brass Checked Dotted Felt Left Oblong Paper Plaid Rubber Seventh Spare Square Tin"
_MATERIALS = ("S30400", "S31600", "S20910", "S17400", "N05500", "C46400", "C63000", "G10450")
_KINDS = ("trawler", "workboat", "sloop", "ferry", "launch", "crab boat", "tug", "yacht")
_COMPLAINTS = (
    "hit a log at cruising speed, vibration since",
    "vibrates above 1400 rpm",
    "line in the propeller, strut bent",
    "grounded on the bar, blade tips curled",
    "stuffing box leaks, worn at the packing",
    "owner wants it checked before launch",
    "coupling came loose on the road",
    "knocks in reverse, key looks rolled",
)
_NOTES = (
    "customer will pick up friday",
    "old weld repair near the taper, polished out",
    "strut bearing area worn 0.004, still over limit",
    "press blocks at 24 in, three hits in two rounds",
    "rechecked after a night on the rollers, held",
    "new nut and cotter offered, owner declined",
    "pitting under the packing, photographed",
    "propeller sent out for balancing",
    "flange faced, two thou off",
    "keyway end cracked, replaced with new bar",
)
_DIAMETERS = (0.875, 1.0, 1.125, 1.25, 1.375, 1.5, 1.75, 2.0, 2.25, 2.5, 3.0, 3.5, 4.0, 1.1811)


class _Shop:
    """Draws customers, vessels, shafts and jobs, and stores them in bulk."""

    def __init__(self, seed: int, first_day: datetime) -> None:
        self.random = random.Random(seed)
        self.moment = first_day
        self.new_id = IdMaker(lambda: self.moment, self.random.randbytes)
        self.rows: dict[str, list[tuple[object, ...]]] = {
            name: [] for name in ("customer", "vessel", "shaft", "job", "note")
        }
        self.shafts: list[str] = []

    def surname(self) -> str:
        pick = self.random.choice
        middle = pick(_MIDDLE.split()) if self.random.random() < 0.6 else ""
        return (pick(_START.split()) + middle + pick(_END.split())).capitalize()

    def add_customer(self) -> None:
        draw = self.random
        customer_id = self.new_id()
        name = f"{self.surname()}, {draw.choice(_FIRST.split())}"
        if draw.random() < 0.2:
            name = f"{self.surname()} {draw.choice(('Marine', 'Fisheries', 'Towing', 'Boatyard'))}"
        phone = f"{draw.randint(201, 989)} 555-01{draw.randint(0, 99):02d}"
        self.rows["customer"].append((customer_id, name, phone))
        for _ in range(draw.choice((1, 1, 1, 2))):
            vessel_id = self.new_id()
            boat = draw.choice(_BOAT.split())
            if draw.random() < 0.7:
                boat = f"{draw.choice(_BOAT_WORD.split())} {boat}"
            self.rows["vessel"].append((vessel_id, customer_id, boat, draw.choice(_KINDS)))
            for position in ("port", "starboard") if draw.random() < 0.3 else ("centre",):
                self.add_shaft(vessel_id, position)

    def add_shaft(self, vessel_id: str, position: str) -> None:
        draw = self.random
        shaft_id = self.new_id()
        material, diameter_in = draw.choice(_MATERIALS), draw.choice(_DIAMETERS)
        length_in = diameter_in * draw.uniform(20, 60)
        self.rows["shaft"].append((shaft_id, vessel_id, position, material, diameter_in, length_in))
        self.shafts.append(shaft_id)

    def add_job(self, number: int) -> None:
        draw = self.random
        if not self.shafts or draw.random() < 0.45:
            self.add_customer()
        shaft_id = draw.choice(self.shafts)
        job_id, opened_at = self.new_id(), moment_text(self.moment)
        tag = f"{self.moment:%y}-{number:03d}"
        closed_at = moment_text(self.moment + timedelta(days=9))
        state = "released" if draw.random() < 0.8 else "replaced"
        complaint = draw.choice(_COMPLAINTS)
        self.rows["job"].append((job_id, tag, shaft_id, state, opened_at, closed_at, complaint))
        for _ in range(draw.choice((0, 1, 1, 2))):
            note = (self.new_id(), job_id, "bench", draw.choice(_NOTES), "bench", opened_at)
            self.rows["note"].append(note)


_COLUMNS = {
    "customer": "id, name, phone",
    "vessel": "id, customer_id, name, kind",
    "shaft": "id, vessel_id, position, material, diameter_in, length_in",
    "job": "id, tag, shaft_id, state, opened_at, closed_at, complaint, work",
    "note": "id, job_id, topic, text, by, at",
}


def fill(book: Book, jobs: int, seed: int) -> None:
    """Put this many jobs into a new book, spread over 30 years, and index them."""
    first_day = datetime(1996, 1, 3, 8, 0, tzinfo=UTC)
    shop = _Shop(seed, first_day)
    step = timedelta(days=30 * 365) / max(jobs, 1)
    number, year = 0, first_day.year
    for index in range(jobs):
        shop.moment = first_day + index * step
        number = number + 1 if shop.moment.year == year else 1
        year = shop.moment.year
        shop.add_job(number)
    shop.rows["job"] = [(*row, '["penetrant", "straighten"]') for row in shop.rows["job"]]
    with book.write() as con:
        for table, names in _COLUMNS.items():
            marks = ", ".join("?" * len(names.split(",")))
            con.executemany(f"INSERT INTO {table} ({names}) VALUES ({marks})", shop.rows[table])
        search_index.rebuild(book)


def make(path: Path, jobs: int = 100_000, seed: int = 1) -> Path:
    """The book at `path`, made unless it is there already."""
    if not path.exists():
        with open_book(path) as book:
            fill(book, jobs, seed)
    return path


def main() -> None:
    path = Path(sys.argv[1])
    jobs = int(sys.argv[2]) if len(sys.argv) > 2 else 100_000
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    start = time.perf_counter()
    make(path, jobs, seed)
    mib = path.stat().st_size / 2**20
    print(f"{jobs} jobs, seed {seed}: {mib:.1f} MiB in {time.perf_counter() - start:.1f} s")


if __name__ == "__main__":
    main()
