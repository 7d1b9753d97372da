"""Papers as PDF: drawn as a printer would and read as a person and a scanner would."""

from __future__ import annotations

import re
import subprocess
import sys
from html import unescape

import pytest
import zxingcpp
from pypdfium2 import PdfDocument

from core.reports.pdf.label_pdf import TOO_LONG, Label, label_pdf
from core.reports.pdf.page_pdf import page_pdf
from core.reports.pdf.text_pdf import text_pdf
from core.reports.ticket_page import ticket_html
from tests.reports.test_ticket_forms import ticket

PAGE = ticket_html(ticket())
LABEL_PRINTER = 203
"""Dots to the inch of a common label printer."""


def words_of(pdf: bytes) -> str:
    """All text of all pages, blanks and line ends as one blank."""
    pages = [page.get_textpage().get_text_range() for page in PdfDocument(pdf)]
    return " ".join(" ".join(pages).replace("\ufffe", "").split())


def scanned(pdf: bytes) -> list[str]:
    picture = PdfDocument(pdf)[0].render(scale=LABEL_PRINTER / 72, grayscale=True).to_pil()
    return [found.text for found in zxingcpp.read_barcodes(picture)]


def label(tag: str, vessel: str = "Gannet, port") -> bytes:
    return label_pdf(Label(tag, vessel, "Pell & Sons", "The shop", "coupling"))


@pytest.mark.parametrize("tag", ["26-014", "26-12345", "Yard b-7 / 3"])
def test_a_scanner_reads_the_tag(tag: str) -> None:
    assert scanned(label(tag)) == [tag]


def test_the_label_says_whose_shaft_it_is() -> None:
    words = words_of(label("26-014", "Gannet " * 30))
    for part in ("26-014", "Gannet Gannet", "~", "Pell & Sons", "CLOCK 0", "coupling end"):
        assert part in words


@pytest.mark.parametrize("tag", ["x" * 60, "26-\u00e9"])
def test_a_tag_that_no_bar_code_can_hold(tag: str) -> None:
    assert scanned(label(tag)) == []
    assert TOO_LONG in words_of(label(tag))


def page_words(html: str) -> list[str]:
    text = re.sub(r"<(style|title)[^>]*>.*?</\1>", " ", html, flags=re.DOTALL)
    return unescape(re.sub(r"<[^>]+>", " ", text)).split()


def test_the_page_says_every_word_and_has_its_pictures() -> None:
    pdf = page_pdf(PAGE, "Shaft ticket", "letter")
    joined = words_of(pdf).replace(" ", "")
    missing = [word for word in page_words(PAGE) if word not in joined]
    assert not missing
    lines = [one for one in PdfDocument(pdf)[0].get_objects() if one.type == 2]
    assert len(lines) > PAGE.count("<circle") > 0


@pytest.mark.parametrize("more", [20, 30, 60])
def test_the_owner_has_one_sheet_unless_it_would_be_too_small_to_read(more: int) -> None:
    lines = "<p>More of it.</p>" * more
    page = PAGE.replace("<footer>", f"{lines}<footer>")
    assert page.count("More of it.") == more
    sheets = [
        sheet.get_textpage().get_text_range() for sheet in PdfDocument(page_pdf(page, "t", "A4"))
    ]
    signed = next(at for at, words in enumerate(sheets) if "Signed" in words)
    record = next(at for at, words in enumerate(sheets) if "Full record" in words)
    assert signed == record - 1 == int(more == 60)


def test_the_same_page_gives_the_same_file() -> None:
    assert page_pdf(PAGE, "t", "A4") == page_pdf(PAGE, "t", "A4")


def test_text_of_people_is_text() -> None:
    words = words_of(page_pdf("<p>a &lt;b&gt; &amp; &lt;para&gt;</p>loose <i>ends</i>", "t", "A4"))
    assert "a <b> & <para>" in words
    assert "loose" in words
    assert "ends" in words


def test_lines_of_a_paper_stay_lines() -> None:
    text = "\n".join(f"line {number:3d}{'.' * 72}" for number in range(1, 131)) + "\n"
    pdf = text_pdf(text, "t", "letter")
    assert len(PdfDocument(pdf)) == 3
    assert words_of(pdf).count("line") == 130
    page = PdfDocument(pdf)[0]
    ends = [page.get_textpage().get_charbox(at)[2] for at in range(70, 82)]
    assert max(ends) < page.get_size()[0] - 20


def test_letters_of_other_alphabets() -> None:
    words = words_of(text_pdf("Zoë Škoda Ωmega", "t", "A4"))
    assert "Zoë" in words
    assert "koda" in words
    assert "\u25a0" not in words


def test_the_library_is_loaded_for_a_pdf_only() -> None:
    code = (
        "import core.reports.paper, core.reports.printing, sys; print('reportlab' in sys.modules)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"
