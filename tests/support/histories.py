"""Random histories of one book at several benches that do not see each other, and their merges."""

from __future__ import annotations

import shutil
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass
from itertools import permutations
from pathlib import Path
from random import Random

from core.base.records import Job, Sweep
from core.book import (
    choices,
    customers,
    hits,
    jobs,
    measurements,
    penetrant_checks,
    releases,
    rows,
    shafts,
)
from core.book.connection import Book
from core.book.errors import BookError
from core.book.ids import IdMaker
from core.book.opening import open_book
from core.book.readings import correct_reading, readings_of, take_reading, undo_reading
from core.book.upkeep.merge import MergeReport, merge_book
from core.book.upkeep.tables import WITH_ID
from tests.support.book_helpers import Ticker, add_job, add_sweep

Facts = dict[str, list[tuple[object, ...]]]


@dataclass
class Bench:
    """One book and who works at it."""

    book: Book
    random: Random

    def act(self) -> None:
        """Something a person would enter; what the book refuses is not entered."""
        with suppress(BookError):
            self.random.choice(ACTS)(self)

    @property
    def job_id(self) -> str:
        """Any job, open ones as long as there are any."""
        found = jobs.open_jobs(self.book) or rows.select(self.book, Job, "1 ORDER BY id")
        return self.random.choice(found).id

    @property
    def sweep_id(self) -> str:
        """Any sweep of any job."""
        return self.random.choice(rows.select(self.book, Sweep, "1 ORDER BY id")).id


def _read(b: Bench) -> None:
    thou = b.random.randint(0, 5)
    take_reading(
        b.book, b.sweep_id, station_in=b.random.choice((6.0, 12.0)),
        clock_deg=b.random.choice((0.0, 90.0)), value_in=thou / 1000, raw=str(thou),
        kind=b.random.choice(("mark", "mark", "closing")),
    )  # fmt: skip


def _correct(b: Bench) -> None:
    found = readings_of(b.book, b.sweep_id)
    if found:
        thou = b.random.randint(6, 9)
        one = b.random.choice(found)
        correct_reading(b.book, one.id, value_in=thou / 1000, raw=str(thou))


def _undo(b: Bench) -> None:
    undo_reading(b.book, b.sweep_id)


def _sweep(b: Bench) -> None:
    add_sweep(b.book, b.job_id, "working")


def _hit(b: Bench) -> None:
    hits.add_hit(
        b.book, job_id=b.job_id, round_no=1, method="press",
        station_in=float(b.random.randint(1, 60)), clock_deg=45.0, angle_rad=0.002,
    )  # fmt: skip


def _undo_hit(b: Bench) -> None:
    hits.undo_hit(b.book, b.job_id)


def _measure(b: Bench) -> None:
    value = round(1.25 + b.random.randint(0, 9) / 10000, 4)
    measurements.take_measurement(
        b.book, job_id=b.job_id, subject="bore", what="diameter", raw=f"{value}", value_in=value,
        depth_in=b.random.choice((0.5, 2.0)),
    )  # fmt: skip


def _choose(b: Bench) -> None:
    choices.choose(
        b.book, job_id=b.job_id, subject="repair terms", name="labour_rate",
        number=float(b.random.randint(50, 99)),
    )  # fmt: skip


def _phone(b: Bench) -> None:
    who = b.random.choice(customers.customers(b.book))
    customers.change_customer(b.book, who.id, phone=f"555-01{b.random.randint(10, 99)}")


def _state(b: Bench) -> None:
    jobs.set_state(b.book, b.job_id, b.random.choice(("open", "waiting")), waiting_for="owner")


def _complaint(b: Bench) -> None:
    jobs.change_job(b.book, b.job_id, complaint=b.random.choice(("shakes", "leaks", "hit a log")))


def _area(b: Bench) -> None:
    shaft_id = jobs.job(b.book, b.job_id).shaft_id
    areas = shafts.areas_of(b.book, shaft_id)
    if not areas or b.random.random() < 0.3:
        shafts.add_area(b.book, shaft_id=shaft_id, kind="bearing", from_in=3.0, to_in=6.0)
    elif b.random.random() < 0.5:
        shafts.change_area(b.book, areas[0].id, limit_in=b.random.choice((0.001, 0.003)))
    else:
        shafts.remove_area(b.book, areas[0].id)


def _close(b: Bench) -> None:
    releases.close_job(
        b.book, job_id=b.job_id, state=b.random.choice(("replaced", "returned")), by="Bo",
        ticket_text="paper", ticket_html="<p>paper</p>",
    )  # fmt: skip


def _again(b: Bench) -> None:
    closed = rows.select(b.book, Job, "closed_at IS NOT NULL ORDER BY id")
    if closed and b.random.random() < 0.5:
        jobs.set_state(b.book, b.random.choice(closed).id, "open", by="Bo")
    elif closed:
        jobs.start_job(b.book, shaft_id=b.random.choice(closed).shaft_id)


def _sold(b: Bench) -> None:
    vessel_id = shafts.shaft(b.book, jobs.job(b.book, b.job_id).shaft_id).vessel_id
    customers.sold_to(b.book, vessel_id, name=f"Nell {b.random.randint(1, 3)}")


def _turned_down(b: Bench) -> None:
    shafts.change_shaft(
        b.book, jobs.job(b.book, b.job_id).shaft_id, why="turned down",
        diameter_in=b.random.choice((1.2, 1.1)), corrected=b.random.random() < 0.3,
    )  # fmt: skip


def _note(b: Bench) -> None:
    jobs.add_note(b.book, job_id=b.job_id, text=f"note {b.random.randint(1, 99)}")


def _penetrant(b: Bench) -> None:
    checks = penetrant_checks.start_checks(
        b.book, job_id=b.job_id, standard="", areas=[("taper", 0.0, 4.0)]
    )
    if b.random.random() < 0.5:
        penetrant_checks.stage(b.book, [checks[-1].id], "penetrant_at")
    else:
        result = b.random.choice(("clear", "crack"))
        penetrant_checks.set_result(b.book, checks[-1].id, result=result)


def _new_job(b: Bench) -> None:
    add_job(b.book, name=f"Nordhal {b.random.randint(1, 99)}", boat="Far Wren")


ACTS = (
    _read, _read, _read, _correct, _undo, _sweep, _hit, _undo_hit, _measure, _choose, _phone,
    _state, _complaint, _area, _new_job, _close, _again, _again, _sold, _turned_down, _note,
    _penetrant,
)  # fmt: skip


def facts(book: Book) -> Facts:
    """All that people entered; which row replaced another is left out, only whether one did."""
    found: Facts = {}
    for table in WITH_ID:
        names = [row[1] for row in book.rows(f"PRAGMA table_info({table})")]
        shown = ", ".join("replaced_by IS NULL" if n == "replaced_by" else n for n in names)
        found[table] = sorted(book.rows(f"SELECT {shown} FROM {table}"), key=repr)
    return found


def active_places(book: Book) -> Counter[tuple[object, ...]]:
    """How many readings and figures count at each place."""
    return Counter(
        (
            *book.rows(
                "SELECT 'r', sweep_id, station_in, clock_deg, iif(kind = 'blocked', 'mark', kind) "
                "FROM reading WHERE replaced_by IS NULL"
            ),
            *book.rows(
                "SELECT 'm', job_id, subject, what, set_no, depth_in, clock_deg FROM measurement "
                "WHERE replaced_by IS NULL"
            ),
        )
    )


def _open(path: Path, name: str, now: Ticker, seed: int) -> Book:
    book = open_book(path, by=name, now=now, new_id=IdMaker(now, Random(seed).randbytes))
    book.con.execute("PRAGMA synchronous = OFF")  # a thousand histories, none worth a power cut
    return book


def _later(base: Book, other: Book) -> int:
    """Fields and marks that both changed differently: at least these must be listed."""
    fields = 0
    for table, names in (("customer", ("phone",)), ("job", ("complaint",))):
        for name in names:
            sql = f"SELECT id, {name} FROM {table}"
            mine, theirs = dict(base.rows(sql)), dict(other.rows(sql))
            both = "SELECT id, subject_id FROM event WHERE subject = ? AND what = ?"
            here, there = (set(book.rows(both, (table, name))) for book in (base, other))
            new_here = {row_id for _, row_id in here - there}
            new_there = {row_id for _, row_id in there - here}
            fields += sum(
                1
                for row_id in mine.keys() & theirs.keys() & new_here & new_there
                if mine[row_id] != theirs[row_id]
            )
    return fields


def play(folder: Path, seed: int, benches: int, acts: int = 8) -> list[str]:
    """One history: what is wrong with its merges; nothing when all is well."""
    random = Random(seed)
    now = Ticker()
    start = folder / "start.db"
    with _open(start, "shop", now, seed) as book:
        add_job(book)
        first = Bench(book, random)
        for _ in range(3):
            first.act()
        book.checkpoint()
    paths = [folder / f"bench{n}.db" for n in range(benches)]
    books = []
    for number, path in enumerate(paths):
        shutil.copyfile(start, path)
        books.append(_open(path, f"bench {number}", now, seed * 10 + number + 1))
    hands = [Bench(book, random) for book in books]
    for _ in range(acts * benches):
        random.choice(hands).act()
    for book in books:
        book.checkpoint()
    wrong: list[str] = []
    ends: list[Facts] = []
    for number, order in enumerate(permutations(range(benches))):
        path = folder / f"end{number}.db"
        shutil.copyfile(paths[order[0]], path)
        with _open(path, "merging", now, seed * 100 + number) as merged:
            must_list = _later(merged, books[order[1]])
            reports = [merge_book(merged, paths[n], dry_run=False) for n in order[1:]]
            wrong += _faults(merged, books, reports, must_list, paths[order[1]])
            ends.append(facts(merged))
    wrong += [
        f"order {n}: {table} differs"
        for n, end in enumerate(ends[1:], start=1)
        for table in end
        if end[table] != ends[0][table]
    ]
    for book in books:
        book.close()
    return wrong


def _faults(
    merged: Book, books: list[Book], reports: list[MergeReport], must_list: int, other: Path
) -> list[str]:
    """Lost rows, places with two values, conflicts not listed, a second merge that changes."""
    wrong = []
    for table in WITH_ID:
        have = {row[0] for row in merged.rows(f"SELECT id FROM {table}")}
        for book in books:
            lost = {row[0] for row in book.rows(f"SELECT id FROM {table}")} - have
            if table == "riding_area":
                sql = "SELECT subject_id FROM event WHERE what = 'removed'"
                lost -= {row[0] for row in merged.rows(sql)}
            wrong += [f"{table} {one} is lost" for one in lost]
    wrong += [f"two count at {place}" for place, n in active_places(merged).items() if n > 1]
    listed = [c for c in reports[0].conflicts if c.field in ("phone", "complaint")]
    if len(listed) < must_list:
        wrong.append(f"{must_list} fields differ, {len(listed)} are listed")
    before = facts(merged)
    merge_book(merged, other, dry_run=False)
    if facts(merged) != before:
        wrong.append("merged once more it changes")
    return wrong
