"""Papers go to the shop's own print command; what was printed is kept at the job."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.base.errors import ShaftlogError
from core.base.records import Job
from core.book import jobs, settings
from core.book.audit import events_of
from core.book.connection import Book
from core.jobs.release import full_facts
from core.reports.job_sheet import job_sheet
from core.reports.printing import print_paper
from core.reports.ticket_format import columns_of
from tests.support.bench_book import new_job


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[tuple[Book, Job]]:
    book, job = new_job(tmp_path / "shop.db")
    with book:
        yield book, job


def command(code: str, *more: str) -> str:
    return shlex.join([sys.executable, "-S", "-c", code, *more])


def printed(book: Book, job: Job) -> list[str]:
    return [one.new for one in events_of(book, "job", job.id) if one.what == "printed"]


def test_the_text_reaches_the_command_and_is_noted(bench: tuple[Book, Job], tmp_path: Path) -> None:
    book, job = bench
    out = tmp_path / "with space.txt"
    take = "import sys; open(sys.argv[1], 'wb').write(sys.stdin.buffer.read())"
    settings.save(book, print_command=command(take, str(out)))
    said = print_paper(book, job.id, "ticket", "Zoë 1-1/2\n")
    assert out.read_text(encoding="utf-8") == "Zoë 1-1/2\n"
    assert said.startswith("Ticket: given to the printer (")
    assert printed(book, job) == ["ticket"]


def test_a_closed_job_is_printed_too(bench: tuple[Book, Job]) -> None:
    book, job = bench
    settings.save(book, print_command=command(""))
    jobs.set_state(book, job.id, "returned")
    print_paper(book, job.id, "ticket", "x")
    assert printed(book, job) == ["ticket"]


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ("", "No print command is set"),
        (command("import sys; sys.exit('no paper')"), r"ended with 1 \(no paper\)"),
        ("no-such-command", r"cannot be run \(No such file or directory\)"),
        ("lp 'half", r"cannot be run \(No closing quotation\)"),
    ],
)  # fmt: skip
def test_what_was_not_printed_is_not_noted(bench: tuple[Book, Job], how: str, words: str) -> None:
    book, job = bench
    settings.save(book, print_command=how)
    with pytest.raises(ShaftlogError, match=words):
        print_paper(book, job.id, "ticket", "x")
    assert printed(book, job) == []


def test_a_command_that_takes_no_text(bench: tuple[Book, Job]) -> None:
    """It closes its input while a long text is still on its way."""
    book, job = bench
    settings.save(book, print_command=command("import sys; sys.stdin.close()"))
    print_paper(book, job.id, "ticket", "x" * 1_000_000)
    assert printed(book, job) == ["ticket"]


def test_the_job_card_on_paper(bench: tuple[Book, Job]) -> None:
    book, job = bench
    jobs.change_job(book, job.id, complaint="Shakes at 900 rpm " * 8, due="2027-01-08")
    jobs.add_note(book, job_id=job.id, text="Keyway worn " * 12)
    sheet = job_sheet(book, job.id, full_facts(book, job.id))
    assert max(columns_of(line) for line in sheet.splitlines()) <= 80
    flat = " ".join(sheet.split())
    for words in (
        f"JOB CARD {job.tag}", "Fri 08 Jan", "Keyway worn " * 11, "Shakes at 900 rpm " * 7,
        "[ ] Sweep as received", "NEXT",
    ):  # fmt: skip
        assert words.strip() in flat
    assert "(F" not in sheet
