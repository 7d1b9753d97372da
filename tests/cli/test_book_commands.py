"""Commands on the job book: export, import, backup, restore; exit codes and privacy."""

from __future__ import annotations

import csv
import io
import json
import os
import stat
from pathlib import Path

import pytest

from core.book import customers, jobs, settings, shafts, sweeps
from core.book.opening import open_book
from core.book.readings import readings_of
from core.cli import COMMANDS
from core.jobs.sweep.sweep_readings import readings_for_core
from tests.support.command_fixtures import Ran, Shaftlog, assert_refused


def exported(shaftlog: Shaftlog, book: Path, *arguments: object) -> list[dict[str, str]]:
    ran = shaftlog("export", "--book", book, *arguments, "--csv")
    assert ran.code == 0, ran.err
    return list(csv.DictReader(io.StringIO(ran.out)))


def test_export_csv_has_every_standing_reading(shaftlog: Shaftlog, book: Path) -> None:
    rows = exported(shaftlog, book, "26-008")
    with open_book(book) as open_one:
        job = jobs.job_by_tag(open_one, "26-008")
        count = sum(len(readings_of(open_one, s.id)) for s in sweeps.sweeps_of(open_one, job.id))
    assert len(rows) == count > 100
    assert {row["sweep"] for row in rows} == {"1", "2", "3"}
    assert {row["reading_thou"] for row in rows if row["kind"] == "blocked"} == {""}
    assert all(row["reading_thou"] == "" or float(row["reading_thou"]) < 1e4 for row in rows)


def test_cards_of_a_metric_shop_come_in_in_mm(
    shaftlog: Shaftlog, book: Path, tmp_path: Path
) -> None:
    """Found: '12' on a card was 12 in, and '50' no size at all."""
    with open_book(book) as shop:
        settings.save(shop, unit="mm")
    cards = tmp_path / "cards.csv"
    cards.write_text("customer,vessel,shaft,size,year\nPell,Gannet,port,12 x 900,1998\n")
    ran = shaftlog("import-cards", cards, "--book", book, "--dry-run")
    assert "12 x 900 (12 mm diameter)" in ran.out


def test_export_json_is_complete_and_reads_back(shaftlog: Shaftlog, book: Path) -> None:
    ran = shaftlog("export", "22-031", "--book", book, "--json")
    record = json.loads(ran.out)
    assert record["job"]["tag"] == "22-031"
    assert len(record["sweeps"]) >= 3
    assert record["hits"]
    assert record["penetrant_checks"]
    assert record["measurements"]
    assert sum(len(s["readings"]) for s in record["sweeps"]) > 300


@pytest.mark.slow
def test_phone_numbers_leave_only_when_asked(shaftlog: Shaftlog, book: Path) -> None:
    for form in (("22-031", "--json"), ("--all", "--json"), ("--all", "--csv")):
        assert "555-011" not in shaftlog("export", "--book", book, *form).out
    assert "555-0111" in shaftlog("export", "22-031", "--book", book, "--json", "--with-phone").out


@pytest.mark.slow
def test_formulas_in_names_are_defused(shaftlog: Shaftlog, book: Path) -> None:
    with open_book(book) as open_one:
        someone = customers.customers(open_one)[0]
        customers.change_customer(open_one, someone.id, name="=HYPERLINK(1)\x1b[2J")
    text = shaftlog("export", "--all", "--book", book, "--csv").out
    cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
    assert "'=HYPERLINK(1)[2J" in cells
    assert not [c for c in cells if c.startswith(("=", "@", "+"))]
    assert "\x1b" not in text


@pytest.mark.slow
def test_whole_book_as_json(shaftlog: Shaftlog, book: Path) -> None:
    every = json.loads(shaftlog("export", "--all", "--book", book, "--json").out)
    assert len(every) >= 16
    assert len({record["job"]["tag"] for record in every}) == len(every)


def test_exported_sweep_comes_back_the_same(shaftlog: Shaftlog, book: Path, tmp_path: Path) -> None:
    """Export a sweep that was rolled backwards, import it elsewhere: the core sees the same."""
    with open_book(book) as open_one:
        job = jobs.job_by_tag(open_one, "25-049")
        backwards = next(s for s in sweeps.sweeps_of(open_one, job.id) if s.direction < 0)
        number = sweeps.sweeps_of(open_one, job.id).index(backwards) + 1
        wanted = readings_for_core(open_one, backwards.id)
    file = tmp_path / "out.csv"
    ran = shaftlog("export", "25-049", "--book", book, "--csv", "--sweep", number)
    file.write_text(ran.out)
    ran = shaftlog(
        "import-sweep", "26-006", file, "--book", book, "--purpose", "working",
        "--rollers", *wanted.rollers_in,
    )  # fmt: skip
    assert ran.code == 0, ran.err
    with open_book(book) as open_one:
        job = jobs.job_by_tag(open_one, "26-006")
        new = sweeps.sweeps_of(open_one, job.id)[-1]
        got = readings_for_core(open_one, new.id)
        assert new.purpose == "working"
        assert new.finished_at
    assert [s.station_in for s in got.stations] == [s.station_in for s in wanted.stations]
    for mine, theirs in zip(got.stations, wanted.stations, strict=True):
        assert dict(zip(mine.clock_rad, mine.reading_in, strict=True)) == pytest.approx(
            dict(zip(theirs.clock_rad, theirs.reading_in, strict=True))
        )
        assert set(mine.blocked_rad) == set(theirs.blocked_rad)
        assert mine.closing_in == theirs.closing_in


SWEEP = "station_in,clock_deg,reading_thou\n" + "".join(
    f"{s},{m * 45},{m % 5}\n" for s in (6, 12, 60, 96) for m in range(8)
)


def test_import_refuses_what_is_there_already(
    shaftlog: Shaftlog, book: Path, tmp_path: Path
) -> None:
    file = tmp_path / "s.csv"
    file.write_text(SWEEP)
    assert shaftlog("import-sweep", "26-006", file, "--book", book).code == 0
    assert_refused(shaftlog("import-sweep", "26-006", file, "--book", book), "already")


NO_ENTRY = {
    "history": ("22-031",),
    "ticket": ("22-031",),
    "label": ("22-031", os.devnull),
    "export": ("22-031", "--json"),
    "figures": (),
    "check": (),
    "backup": ("copy.db",),
}
"""Commands with the arguments they are tried with on a book with a closed job: they only read."""
OTHER_BOOKS = {"sweep", "merge", "restore", "make-demo", "erase"}
"""No entry on a job: a file alone, whole books, or personal data on request."""


@pytest.mark.slow
def test_no_command_enters_anything_on_a_closed_job(
    shaftlog: Shaftlog, book: Path, tmp_path: Path
) -> None:
    """Found: `import-sweep` stored 160 readings in a released job and turned its result over.

    Red here: a new command is on no list. Try it on a closed job.
    """
    assert {*NO_ENTRY, *OTHER_BOOKS, "import-sweep", "import-cards"} == set(COMMANDS)
    (tmp_path / "s.csv").write_text(SWEEP)
    before = book.read_bytes()
    ran = shaftlog("import-sweep", "22-031", tmp_path / "s.csv", "--book", book)
    assert_refused(ran, "is closed (released)", "Open it again on its card, with your name")
    for command, arguments in NO_ENTRY.items():
        named = [tmp_path / one if one == "copy.db" else one for one in arguments]
        assert shaftlog(command, *named, "--book", book).code == 0, command
        assert book.read_bytes() == before, command


def test_import_that_fails_stores_nothing(shaftlog: Shaftlog, book: Path, tmp_path: Path) -> None:
    file = tmp_path / "s.csv"
    for text, word in (
        (SWEEP + "96,10,abc\n", "line 34"),
        (SWEEP.replace("96,", "960,"), "beyond the shaft's length"),
        ("", "empty"),
    ):
        file.write_text(text)
        assert_refused(shaftlog("import-sweep", "26-006", file, "--book", book), "s.csv", word)
    assert_refused(shaftlog("import-sweep", "99-999", file, "--book", book), "99-999")
    with open_book(book) as open_one:
        job = jobs.job_by_tag(open_one, "26-006")
        assert len(sweeps.sweeps_of(open_one, job.id)) == 1


def test_column_mapping_is_remembered(shaftlog: Shaftlog, book: Path, tmp_path: Path) -> None:
    body = "".join(f"{s};{m * 45};{m % 5 / 100}\n" for s in (254, 508, 1016) for m in range(8))
    file = tmp_path / "logger.csv"
    file.write_text("Pos;Angle;Ch1\n" + body.replace(".", ","))
    columns = ["station_mm=Pos", "clock_deg=Angle", "reading_mm=Ch1"]
    mapped = [part for column in columns for part in ("--column", column)]
    assert_refused(shaftlog("import-sweep", "26-006", file, "--book", book), "no column station_in")
    assert shaftlog("import-sweep", "26-006", file, "--book", book, *mapped).code == 0
    file.write_text("Pos;Angle;Ch1\n" + body.replace(".", ",").replace("0,04", "0,05"))
    assert shaftlog("import-sweep", "26-006", file, "--book", book).code == 0
    with open_book(book) as open_one:
        job = jobs.job_by_tag(open_one, "26-006")
        got = readings_for_core(open_one, sweeps.sweeps_of(open_one, job.id)[-1].id)
    assert [s.station_in for s in got.stations] == pytest.approx([10, 20, 40])
    assert got.stations[0].reading_in[:3] == pytest.approx((0, 0.01 / 25.4, 0.02 / 25.4))
    bad = shaftlog("import-sweep", "26-006", file, "--book", book, "--column", "station=Pos")
    assert_refused(bad, "OURS=THEIRS")


def test_backup_and_restore(shaftlog: Shaftlog, book: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    assert shaftlog("backup", copy, "--book", book).code == 0
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert_refused(shaftlog("backup", copy, "--book", book), "copy.db")
    with open_book(book) as open_one:
        job = jobs.job_by_tag(open_one, "26-003")
        jobs.change_job(open_one, job.id, complaint="changed after the copy")
    ran = shaftlog("restore", copy, "--book", book)
    assert ran.code == 0, ran.err
    with open_book(book) as open_one:
        assert "changed" not in jobs.job_by_tag(open_one, "26-003").complaint
    assert list(tmp_path.glob("book-set-aside-*.db"))


@pytest.mark.parametrize(
    "arguments",
    [
        ("export", "26-001x", "--csv"),
        ("export", "26-002"),
        ("export", "--csv"),
        ("export", "26-002", "--csv", "--json"),
        ("export", "26-002", "--csv", "--sweep", "7"),
        ("export", "26-002", "--csv", "--sweep", "one"),
        ("import-sweep", "26-002", "/no/such/file.csv"),
        ("import-sweep", "26-002", "/"),
        ("import-sweep", "26-002"),
        ("backup", "/no/such/folder/copy.db"),
        ("restore", "/no/such/file.db"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(
    shaftlog: Shaftlog, book: Path, arguments: tuple[str, ...]
) -> None:
    assert_refused(shaftlog(*arguments, "--book", book), "shaftlog")


def test_books_that_are_none(shaftlog: Shaftlog, tmp_path: Path) -> None:
    text = tmp_path / "notes.db"
    text.write_text("groceries " * 100)
    before = text.read_bytes()
    for command in (("export", "1", "--csv"), ("backup", tmp_path / "c.db")):
        assert_refused(shaftlog(*command, "--book", text), "notes.db")
        assert_refused(shaftlog(*command, "--book", tmp_path / "missing.db"), "missing.db")
        assert_refused(shaftlog(*command, "--book", tmp_path), str(tmp_path))
    assert text.read_bytes() == before
    assert not (tmp_path / "missing.db").exists()


def test_book_may_stand_before_the_command(shaftlog: Shaftlog, book: Path) -> None:
    ran: Ran = shaftlog("--book", book, "export", "26-002", "--csv")
    assert ran.code == 0
    assert ran.out.startswith("station_in,clock_deg,reading_thou")


@pytest.mark.slow
def test_check_tells_sound_from_damaged(shaftlog: Shaftlog, book: Path, tmp_path: Path) -> None:
    ran = shaftlog("check", "--book", book)
    assert ran.code == 0
    assert "sound" in ran.out
    data = bytearray(book.read_bytes())
    middle = len(data) // 2 // 4096 * 4096
    data[middle : middle + 8192] = bytes(8192)
    book.write_bytes(data)
    saved = tmp_path / "saved.db"
    ran = shaftlog("check", "--book", book, "--save-to", saved)
    assert ran.code == 1
    assert "NOT sound" in ran.out
    assert book.read_bytes() == data
    assert shaftlog("check", "--book", saved).code == 0


@pytest.mark.slow
def test_merge_brings_in_what_is_new_once(shaftlog: Shaftlog, book: Path, tmp_path: Path) -> None:
    laptop = tmp_path / "laptop.db"
    assert shaftlog("backup", laptop, "--book", book).code == 0
    with open_book(laptop) as other:
        shaft_id = shafts.new_bar(other, jobs.job_by_tag(other, "26-003").shaft_id).id
        jobs.start_job(other, shaft_id=shaft_id, tag="26-777", complaint="at the yard")
    before = laptop.read_bytes()
    ran = shaftlog("merge", laptop, "--dry-run", "--book", book)
    assert ran.code == 0
    assert "nothing was changed" in ran.out
    assert shaftlog("export", "26-777", "--json", "--book", book).code == 2
    assert shaftlog("merge", laptop, "--book", book).code == 0
    assert shaftlog("export", "26-777", "--json", "--book", book).code == 0
    assert "Nothing new" in shaftlog("merge", laptop, "--book", book).out
    assert laptop.read_bytes() == before
    assert_refused(shaftlog("merge", book, "--book", book), "this very book")
    assert_refused(shaftlog("merge", tmp_path / "none.db", "--book", book), "none.db")


def test_merge_says_when_both_sides_changed(shaftlog: Shaftlog, book: Path, tmp_path: Path) -> None:
    laptop = tmp_path / "laptop.db"
    shaftlog("backup", laptop, "--book", book)
    for path, words in ((book, "ours"), (laptop, "theirs")):
        with open_book(path) as one:
            jobs.change_job(one, jobs.job_by_tag(one, "26-003").id, complaint=words)
    ran = shaftlog("merge", laptop, "--book", book)
    assert ran.code == 1
    assert "ours" in ran.out
    assert "theirs" in ran.out
    with open_book(book) as one:
        assert jobs.job_by_tag(one, "26-003").complaint == "theirs", "entered later"


@pytest.mark.slow
def test_no_command_opens_a_network_connection(
    shaftlog: Shaftlog, book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a socket was opened")

    monkeypatch.setattr("socket.socket.connect", refuse)
    monkeypatch.setattr("socket.getaddrinfo", refuse)
    file = tmp_path / "s.csv"
    file.write_text(SWEEP)
    for command in (
        ("sweep", file, "--rollers", "12", "84", "--json"),
        ("ticket", "26-006", "--html", "--book", book),
        ("history", "vask", "--book", book),
        ("export", "26-002", "--json", "--book", book),
        ("import-sweep", "26-006", file, "--book", book),
        ("check", "--book", book),
        ("backup", tmp_path / "copy.db", "--book", book),
    ):
        assert shaftlog(*command).code == 0, command


def test_erase_looks_first_and_wants_the_name(shaftlog: Shaftlog, book: Path) -> None:
    with open_book(book) as one:
        job = jobs.job_by_tag(one, "26-003")
        vessel = customers.vessel(one, shafts.shaft(one, job.shaft_id).vessel_id)
        who = customers.customer(one, vessel.customer_id)
    before = book.read_bytes()
    ran = shaftlog("erase", "26-003", "--book", book)
    assert ran.code == 0
    assert all(words in ran.out for words in ("GOES", "STAYS", "BACKUPS", who.name, who.phone))
    assert book.read_bytes() == before
    wrong = shaftlog("erase", "26-003", "--confirm", "yes", "--book", book)
    assert_refused(wrong, repr(who.name), "nothing was changed")
    assert_refused(shaftlog("erase", "nobody at all", "--book", book), "no customer")
    ran = shaftlog("erase", who.name, "--confirm", who.name.lower(), "--book", book)
    assert ran.code == 0
    assert "deleted" in ran.out
    assert shaftlog("history", who.name, "--book", book).code == 1
    exported = shaftlog("export", "26-003", "--json", "--with-phone", "--book", book)
    assert who.name not in exported.out
    assert who.phone not in exported.out
    assert "already" in shaftlog("erase", "26-003", "--book", book).out
    assert who.name.encode() not in book.read_bytes()


@pytest.mark.slow
def test_restore_keeps_the_erased_erased(shaftlog: Shaftlog, book: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    shaftlog("backup", copy, "--book", book)
    with open_book(book) as one:
        who = customers.customers(one)[0]
    shaftlog("erase", who.name, "--confirm", who.name, "--book", book)
    ran = shaftlog("restore", copy, "--book", book)
    assert ran.code == 0
    assert "removed from it again" in ran.out
    assert who.name.encode() not in book.read_bytes()
