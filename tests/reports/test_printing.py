"""Papers go to the shop's own print command; what was printed is kept at the job."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from pypdfium2 import PdfDocument

from core.base.errors import ShaftlogError
from core.base.records import Job
from core.book import jobs, settings
from core.book.audit import events_of
from core.book.connection import Book
from core.jobs.release import full_facts
from core.reports.job_sheet import job_sheet
from core.reports.paper import label_paper, text_paper, write_paper
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
    settings.save(book, print_command=command(TAKE, str(out)))
    said = print_paper(book, job.id, text_paper("ticket", job.tag, "Zoë 1-1/2\n"))
    assert out.read_text(encoding="utf-8") == "Zoë 1-1/2\n"
    assert said.startswith("Ticket: given to the printer (")
    assert printed(book, job) == ["ticket"]


TAKE = "import sys; open(sys.argv[1], 'wb').write(sys.stdin.buffer.read())"


def test_a_shop_whose_printer_takes_pdf(bench: tuple[Book, Job], tmp_path: Path) -> None:
    book, job = bench
    out = tmp_path / "out.pdf"
    settings.save(book, print_command=command(TAKE, str(out)), print_form="PDF", sheet="A4")
    print_paper(book, job.id, text_paper("job card", job.tag, "STEPS\n"))
    page = PdfDocument(out.read_bytes())[0]
    assert "STEPS" in page.get_textpage().get_text_range()
    assert [round(side) for side in page.get_size()] == [595, 842]


def test_labels_go_to_their_own_printer(bench: tuple[Book, Job], tmp_path: Path) -> None:
    book, job = bench
    label = label_paper(book, job.id)
    settings.save(book, print_command=command(""))
    with pytest.raises(ShaftlogError, match="A label is printed as PDF"):
        print_paper(book, job.id, label)
    out = tmp_path / "label.pdf"
    settings.save(book, label_command=command(TAKE, str(out)))
    print_paper(book, job.id, label)
    assert len(PdfDocument(out.read_bytes())) == 1
    assert printed(book, job) == ["label"]


def test_every_form_is_written_and_nothing_is_written_over(
    bench: tuple[Book, Job], tmp_path: Path
) -> None:
    paper = text_paper("order sheet", "26-014", "one\n")
    for number in ("", "-2"):
        names = [place.name for place in write_paper(paper, tmp_path, "letter")]
        assert names == [f"26-014-order-sheet{number}.txt", f"26-014-order-sheet{number}.pdf"]


def test_a_closed_job_is_printed_too(bench: tuple[Book, Job]) -> None:
    book, job = bench
    settings.save(book, print_command=command(""))
    jobs.set_state(book, job.id, "returned")
    print_paper(book, job.id, text_paper("ticket", job.tag, "x"))
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
        print_paper(book, job.id, text_paper("ticket", job.tag, "x"))
    assert printed(book, job) == []


def test_a_command_that_takes_no_text(bench: tuple[Book, Job]) -> None:
    """It closes its input while a long text is still on its way."""
    book, job = bench
    settings.save(book, print_command=command("import sys; sys.stdin.close()"))
    print_paper(book, job.id, text_paper("ticket", job.tag, "x" * 1_000_000))
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
