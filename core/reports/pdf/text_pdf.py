"""A paper of 80 columns as PDF: the same lines in a typewriter font, page after page."""

from __future__ import annotations

from io import BytesIO

from core.base.text import one_line
from core.reports.pdf.fonts import fonts_for

FONT_PT, LINE_PT, TOP_PT = 9.5, 11.5, 42.0
COLUMNS = 80
GLYPH = 0.6
"""Width of a typewriter letter, parts of its size."""


def text_pdf(text: str, title: str, paper: str) -> bytes:
    """The text as a PDF on `paper` ('letter' or 'A4'); lines of at most 80 columns."""
    from reportlab.lib import pagesizes
    from reportlab.pdfgen.canvas import Canvas

    width, height = getattr(pagesizes, paper)
    fonts = fonts_for(text)
    out = BytesIO()
    page = Canvas(out, pagesize=(width, height), invariant=1)
    page.setTitle(one_line(title))
    left = (width - COLUMNS * GLYPH * FONT_PT) / 2
    lines = fonts.shown(text).rstrip("\n").split("\n")
    a_page = int((height - 2 * TOP_PT) / LINE_PT)
    for first in range(0, len(lines), a_page):
        page.setFont(fonts.mono, FONT_PT)
        for at, line in enumerate(lines[first : first + a_page], start=1):
            page.drawString(left, height - TOP_PT - at * LINE_PT, line)
        page.showPage()
    page.save()
    return out.getvalue()
