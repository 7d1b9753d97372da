"""Backups, restoring, checking and saving what is left; damage of every sort."""

from __future__ import annotations

import shutil
import stat
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from core.base.whole_file import PART
from core.book import customers, jobs, sweeps
from core.book.errors import BookError, DamagedBook, LockedBook, Refused
from core.book.opening import open_book
from core.book.readings import correct_reading, readings_of
from core.book.upkeep import backup, check, copies, salvage
from core.jobs import facts
from core.jobs.sweep.sweep_entry import open_session
from core.jobs.sweep.sweep_readings import readings_for_core
from tests.support.book_helpers import SmallJob, add_job, open_fixed, read_all


@pytest.fixture
def filled(path: Path) -> SmallJob:
    with open_fixed(path) as book:
        small = add_job(book)
        read_all(book, small.sweep)
        return small


def readings(path: Path, small: SmallJob) -> list[str]:
    with open_book(path) as book:
        return [r.raw for r in readings_of(book, small.sweep.id)]


def test_backup_of_a_book_in_use_is_whole_and_private(path: Path, tmp_path: Path) -> None:
    target = tmp_path / "copy.db"
    with open_fixed(path) as book:
        small = add_job(book)
        read_all(book, small.sweep)
        backup.make_backup(path, target)
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    assert sorted(p.name for p in tmp_path.glob("copy*")) == ["copy.db"]
    assert readings(target, small) == readings(path, small)


def test_entries_made_during_a_backup_do_not_start_it_over(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backup, "_PAGES_A_STEP", 5)
    with open_fixed(path) as book:
        small = add_job(book)
        pages = book.one("PRAGMA page_count")
        assert pages is not None
        steps: list[int] = []

        def enter(done: int, _total: int) -> None:
            assert len(steps) < pages[0], "the backup never ends"
            steps.append(done)
            jobs.add_note(book, job_id=small.job.id, text="entered meanwhile")

        copy = backup.make_backup(path, tmp_path / "copy.db", progress=enter)
        assert steps == sorted(steps)
    with open_book(copy) as copied:
        assert jobs.notes_of(copied, small.job.id) == ()
    assert check.check_book(copy).sound


def test_backup_never_overwrites(path: Path, filled: SmallJob, tmp_path: Path) -> None:
    target = tmp_path / "copy.db"
    target.write_text("mine")
    with pytest.raises(Refused, match="exists already"):
        backup.make_backup(path, target)
    assert target.read_text() == "mine"


def test_daily_once_a_day_and_the_newest_are_kept(path: Path, filled: SmallJob) -> None:
    day = datetime(2026, 3, 2, 12, tzinfo=UTC)
    for number in range(5):
        moment = day + timedelta(days=number)
        assert backup.daily(path, keep=3, now=moment) is not None
        assert backup.daily(path, keep=3, now=moment) is None
    kept = copies.list_backups(path)
    assert [b.at.day for b in kept] == [6, 5, 4]
    assert all(stat.S_IMODE(b.path.stat().st_mode) == 0o600 for b in kept)
    assert stat.S_IMODE(copies.backup_folder(path).stat().st_mode) == 0o700


def test_a_damaged_book_does_not_push_good_backups_out(path: Path, filled: SmallJob) -> None:
    day = datetime(2026, 3, 2, 12, tzinfo=UTC)
    backup.daily(path, keep=1, now=day)
    whole = bytearray(path.read_bytes())
    whole[8192:40960] = b"\xff" * (40960 - 8192)
    path.write_bytes(whole)
    with pytest.raises(BookError):
        backup.daily(path, keep=1, now=day + timedelta(days=1))
    assert [b.at.day for b in copies.list_backups(path)] == [2]
    assert copies.proposed(path) is not None


def test_restore_sets_the_old_book_aside(path: Path, filled: SmallJob) -> None:
    good = backup.daily(path)
    assert good is not None
    path.write_bytes(b"ruined" * 1000)
    kept = backup.restore(path, good.path)
    assert kept is not None
    assert kept.read_bytes() == b"ruined" * 1000
    assert len(readings(path, filled)) == 12
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_restore_is_refused_while_the_book_is_open(path: Path, filled: SmallJob) -> None:
    good = backup.daily(path)
    assert good is not None
    with open_book(path), pytest.raises(LockedBook, match="open in another program"):
        backup.restore(path, good.path)
    assert len(readings(path, filled)) == 12


def test_stick_that_knows_no_second_names(
    path: Path, filled: SmallJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sticks and network drives: no hard links; backup, restore, and never over another file."""

    def no_links(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr("os.link", no_links)
    made = backup.make_backup(path, tmp_path / "stick.db")
    assert readings(made, filled)
    kept = backup.restore(path, made)
    assert kept is not None
    assert readings(path, filled) == readings(kept, filled)


def test_restore_that_fails_puts_the_book_back(
    path: Path, filled: SmallJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = backup.by_hand(path)
    before = readings(path, filled)

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("core.base.whole_file.give_name", fails)
    with pytest.raises(BookError, match="space"):
        backup.restore(path, made.path)
    assert readings(path, filled) == before
    assert copies.books_set_aside(path) == ()


def test_a_killed_restore_leaves_nothing_for_ever(path: Path, filled: SmallJob) -> None:
    """Found: its half copy stayed beside the book."""
    made = backup.by_hand(path)
    left_over = Path(f"{path}{PART}")
    left_over.write_bytes(b"half")
    backup.restore(path, made.path)
    assert not left_over.exists()


def test_backups_by_hand_are_kept_and_look_into_counts(path: Path, filled: SmallJob) -> None:
    made = [backup.by_hand(path), backup.before_merge(path)]
    start = datetime.now(UTC) + timedelta(days=1)
    for day in range(4):
        backup.daily(path, keep=2, now=start + timedelta(days=day))
    kinds = [one.kind for one in copies.list_backups(path)]
    assert sorted(kinds) == ["before-merge", "by-hand", "daily", "daily"]
    held = copies.look_into(made[0].path)
    assert (held.jobs, held.readings) == (1, len(readings(path, filled)))
    assert held.newest_at


def test_a_book_set_aside_with_its_log_comes_back_whole(path: Path, filled: SmallJob) -> None:
    made = backup.by_hand(path)
    with open_book(path) as book:
        jobs.add_note(book, job_id=jobs.open_jobs(book)[0].id, text="only in the log")
        aside = path.with_name(f"{path.stem}-set-aside-20260101-120000{path.suffix}")
        for tail in ("", "-wal"):
            shutil.copyfile(f"{path}{tail}", f"{aside}{tail}")
    backup.restore(path, made.path)
    found = [one for one in copies.books_set_aside(path) if one.path == aside]
    backup.restore(path, found[0].path)
    with open_book(path) as book:
        notes = jobs.notes_of(book, jobs.open_jobs(book)[0].id)
    assert [note.text for note in notes] == ["only in the log"]


def test_restore_refuses_a_damaged_backup(path: Path, filled: SmallJob, tmp_path: Path) -> None:
    bad = tmp_path / "bad.db"
    bad.write_bytes(path.read_bytes()[:5000])
    before = path.read_bytes()
    with pytest.raises(DamagedBook):
        backup.restore(path, bad)
    assert path.read_bytes() == before


def test_check_of_a_sound_book(path: Path, filled: SmallJob) -> None:
    report = check.check_book(path)
    assert report.sound, report.words
    assert dict(report.counts)["reading"] == 12
    assert "sound" in report.words


def test_check_finds_a_missing_trigger_and_an_orphan(path: Path, filled: SmallJob) -> None:
    with open_book(path) as book:
        book.con.execute("DROP TRIGGER reading_is_never_deleted")
        book.con.execute("PRAGMA foreign_keys = OFF")
        book.con.execute("DELETE FROM shaft")
    report = check.check_book(path)
    assert not report.sound
    assert "'reading_is_never_deleted' of the book is missing" in report.words
    assert "points to a missing row of 'shaft'" in report.words
    assert "no good backup" in report.words


def test_check_tells_of_a_file_that_is_no_book(path: Path) -> None:
    path.write_text("not a book at all")
    assert not check.check_book(path).sound


def damage(whole: bytes, draw: Random) -> bytes:
    """One random damage: flipped bytes, a zeroed or overwritten stretch, or a cut."""
    data = bytearray(whole)
    kind = draw.randrange(4)
    at = draw.randrange(len(data))
    if kind == 0:
        for _ in range(draw.randrange(1, 40)):
            data[draw.randrange(len(data))] ^= 1 << draw.randrange(8)
    elif kind == 1:
        data[at : at + 4096] = bytes(len(data[at : at + 4096]))
    elif kind == 2:
        length = draw.randrange(1, 9000)
        data[at : at + length] = draw.randbytes(len(data[at : at + length]))
    else:
        del data[at:]
    return bytes(data)


def use(path: Path) -> None:
    """What a day at the bench asks of a book."""
    with open_book(path) as book:
        for line in facts.board(book):
            for sweep in sweeps.sweeps_of(book, line.job.id):
                readings_for_core(book, sweep.id)
                open_session(book, sweep.id)
        for who in customers.customers(book):
            customers.vessels_of(book, who.id)
        for job in jobs.open_jobs(book):
            jobs.add_note(book, job_id=job.id, text="looked at")


def complaint(place: Path) -> BookError | None:
    """What using the book raises, if anything; any other exception is a failed test."""
    try:
        use(place)
    except BookError as error:
        return error
    return None


@pytest.mark.slow
def test_fifty_damages(path: Path, filled: SmallJob, tmp_path: Path) -> None:
    """Each gives plain words or works; never a traceback; the damaged file is always kept."""
    good = backup.daily(path)
    assert good is not None
    whole, draw = path.read_bytes(), Random(9)
    told = 0
    for number in range(50):
        place = tmp_path / f"damaged-{number}.db"
        place.write_bytes(damage(whole, draw))
        error = complaint(place)
        if error is None:
            continue
        told += 1
        assert "\n" not in str(error)
        assert str(place) in str(error) or "shaftlog check" in str(error)
        report = check.check_book(place)
        assert not report.sound, error
        if number % 10 == 0:
            before = place.read_bytes()
            kept = backup.restore(place, good.path)
            assert kept is not None
            assert kept.read_bytes() == before
            assert len(readings(place, filled)) == 12
    assert told > 20


@pytest.mark.slow
def test_saving_what_is_left(path: Path, tmp_path: Path) -> None:
    with open_fixed(path) as book, book.write():
        for number in range(40):
            small = add_job(book, name=f"Name {number}", notes="n" * 400)
            read_all(book, small.sweep)
    size = 4096
    data = bytearray(path.read_bytes())
    for number in range(30, len(data) // size, 7):
        data[number * size : (number + 1) * size] = bytes(size)
    path.write_bytes(data)
    before = path.read_bytes()
    target = tmp_path / "saved.db"
    report = salvage.salvage(path, target)
    assert path.read_bytes() == before
    assert report.broken
    assert sum(count for _, count in report.saved) > 100
    found = check.check_book(target)
    assert found.sound, found.words


def test_saving_from_a_sound_book_saves_everything(
    path: Path, filled: SmallJob, tmp_path: Path
) -> None:
    target = tmp_path / "saved.db"
    report = salvage.salvage(path, target)
    assert not report.broken
    assert not any(count for _, count in report.left_out)
    assert readings(target, filled) == readings(path, filled)
    with pytest.raises(Refused):
        salvage.salvage(path, target)


def test_a_reading_whose_mend_is_lost_stands_again(
    path: Path, filled: SmallJob, tmp_path: Path
) -> None:
    with open_book(path) as book:
        first = readings_of(book, filled.sweep.id)[0]
        mend = correct_reading(book, first.id, value_in=0.009, raw="9")
        book.con.execute("PRAGMA foreign_keys = OFF")
        book.con.execute("DROP TRIGGER reading_is_never_deleted")
        book.con.execute("DELETE FROM reading WHERE id = ?", (mend.id,))
    target = tmp_path / "saved.db"
    salvage.salvage(path, target)
    assert readings(target, filled)[0] == first.raw
    assert check.check_book(target).sound


def test_check_finds_jobs_missing_from_the_search_index(path: Path, filled: SmallJob) -> None:
    with open_book(path) as book:
        book.con.execute("DELETE FROM search_doc")
    report = check.check_book(path)
    assert "search index: jobs missing from it: 1" in report.words
    assert "Nothing entered is touched" in report.way_on
    worse = replace(report, findings=(*report.findings, "damage: a page is lost"))
    assert worse.harm == ("damage: a page is lost",)
    assert "Nothing entered is touched" not in worse.way_on
    assert check.mend_index(path) == 1
    assert check.check_book(path).sound


def test_saving_from_rubbish(tmp_path: Path) -> None:
    place = tmp_path / "rubbish.db"
    place.write_bytes(b"\x13" * 9000)
    with pytest.raises(DamagedBook, match="Nothing can be read"):
        salvage.salvage(place, tmp_path / "saved.db")
    assert not (tmp_path / "saved.db").exists()


def test_a_book_may_be_copied_by_hand(path: Path, filled: SmallJob, tmp_path: Path) -> None:
    shutil.copyfile(path, tmp_path / "by-hand.db")
    assert len(readings(tmp_path / "by-hand.db", filled)) == 12
