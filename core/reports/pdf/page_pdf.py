"""The page of a ticket as PDF: drawn from the page itself, so that it can say nothing else.

A frozen ticket is kept as text and as a page; a PDF made from that page is the same today and in
ten years. Only the elements that `core.reports.ticket_page` writes are known here; the text of any
other is set as a paragraph, so that nothing is lost.
"""

from __future__ import annotations

from collections.abc import Callable
from html import escape, unescape
from html.parser import HTMLParser
from io import BytesIO
from typing import Any

from core.reports.pdf.fonts import Fonts, fonts_for
from core.reports.pdf.svg import PageDrawing

MARGIN_PT, FOOT_PT, FRAME_PT = 32.0, 20.0, 6.0
BODY_PT, LETTER_PT = 8.5, 11.0
LEAST_SCALE = 0.8
"""How small the owner's sheet may be drawn to stay one: text of 6.8 pt."""
HEADINGS_PT = {"h1": 12.5, "h2": 9.5}
CELL_GAP_PT = 9.0
_PARAGRAPHS = {"h1", "h2", "p", "li", "th", "td", "text"}


def page_pdf(html: str, title: str, paper: str, *, size_pt: float = BODY_PT) -> bytes:
    """The page as a PDF on `paper` ('letter' or 'A4'), numbered at the foot; text so large.

    What is before the record stays on one sheet, drawn smaller, if it would need a part of a
    second one.
    """
    from reportlab.lib import pagesizes
    from reportlab.platypus import KeepInFrame, SimpleDocTemplate

    size = getattr(pagesizes, paper)
    fonts = fonts_for(html)
    foot = fonts.shown(title)
    width, height = (edge - 2 * (MARGIN_PT + FRAME_PT) for edge in size)

    def read() -> list[Any]:
        return PageReader(fonts, width, size_pt).read(html)

    def built(
        flow: list[Any], numbering: Callable[[int], str], scale: float = 1.0
    ) -> tuple[bytes, int]:
        out = BytesIO()

        def at_foot(canvas: Any, document: Any) -> None:
            canvas.setFont(fonts.regular, BODY_PT - 1)
            canvas.drawRightString(size[0] - MARGIN_PT, FOOT_PT, numbering(document.page))

        document = SimpleDocTemplate(
            out, pagesize=[edge / scale for edge in size], title=foot, invariant=1,
            leftMargin=MARGIN_PT, rightMargin=MARGIN_PT, topMargin=MARGIN_PT,
            bottomMargin=MARGIN_PT,
        )  # fmt: skip
        document.build(flow, onFirstPage=at_foot, onLaterPages=at_foot)
        return out.getvalue(), document.page

    def sheets(scale: float) -> int:
        return built(_owner_and_record(read())[0], str, scale)[1]

    spills = sheets(1.0) == 2 and sheets(LEAST_SCALE) == 1

    def flow() -> list[Any]:
        owner, record = _owner_and_record(read())
        return ([KeepInFrame(width, height, owner)] if spills else owner) + record

    pages = built(flow(), str)[1]
    return built(flow(), lambda number: f"{foot}   page {number} of {pages}")[0]


def _owner_and_record(flow: list[Any]) -> tuple[list[Any], list[Any]]:
    """What is before the record, and the record."""
    from reportlab.platypus import PageBreak

    breaks = [at for at, part in enumerate(flow) if isinstance(part, PageBreak)]
    at = breaks[0] if breaks else len(flow)
    return flow[:at], flow[at:]


class PageReader(HTMLParser):
    """Turns the elements of the page into what reportlab flows over pages."""

    def __init__(self, fonts: Fonts, width: float, size_pt: float) -> None:
        super().__init__()
        self.size_pt = size_pt
        self.fonts = fonts
        self.width = width
        self.flow: list[Any] = []
        self.rows: list[list[Any]] | None = None
        self.picture: PageDrawing | None = None
        self.skipping = ""
        self.open: list[tuple[str, dict[str, str]]] = []
        self.text = ""
        """Of the paragraph that is being read, as markup."""

    def read(self, html: str) -> list[Any]:
        """All of it."""
        self.feed(html)
        self.close()
        return self.flow

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin an element."""
        attributes = {name: value or "" for name, value in attrs}
        if self.skipping:
            return
        if tag in ("style", "title"):
            self.skipping = tag
        elif tag == "svg":
            self.picture = PageDrawing(attributes, self.fonts)
        elif self.picture is not None and tag != "text":
            self.picture.add(tag, attributes)
        elif tag == "b":
            self.text += f'<font name="{self.fonts.bold}">'
        elif tag == "table":
            self.rows = []
        elif tag == "tr" and self.rows is not None:
            self.rows.append([])
        elif tag == "div" and attributes.get("class") == "record":
            from reportlab.platypus import PageBreak

            self.flow.append(PageBreak())
        elif tag in _PARAGRAPHS:
            self.open.append((tag, attributes))
            self.text = ""

    def handle_endtag(self, tag: str) -> None:
        """End an element."""
        if self.skipping:
            self.skipping = "" if tag == self.skipping else self.skipping
        elif tag == "svg" and self.picture is not None:
            self.flow.append(self.picture.scaled_to(self.width))
            self.picture = None
        elif tag == "b":
            self.text += "</font>"
        elif tag == "table" and self.rows:
            self.flow.append(self._table(self.rows))
            self.rows = None
        elif tag in _PARAGRAPHS and self.open:
            name, attributes = self.open.pop()
            self._paragraph(name, attributes)
            self.text = ""

    def handle_data(self, data: str) -> None:
        """Text; outside of all known elements it is a paragraph of its own."""
        if self.skipping or not (self.open or data.strip()):
            return
        self.text += escape(self.fonts.shown(data), quote=False)
        if not self.open:
            self._paragraph("p", {})
            self.text = ""

    def _paragraph(self, tag: str, attributes: dict[str, str]) -> None:
        from reportlab.platypus import Paragraph

        if self.picture is not None:
            self.picture.add_text(unescape(self.text), attributes)
            return
        kind = attributes.get("class", "")
        bold = tag in ("h1", "h2", "th") or kind == "state"
        size = HEADINGS_PT.get(tag, self.size_pt)
        paragraph = Paragraph(
            self.text,
            self._style(size, bold=bold, tag=tag, kind=kind),
            bulletText="\u2022" if tag == "li" else None,
        )
        if tag in ("td", "th") and self.rows:
            self.rows[-1].append(paragraph)
        else:
            self.flow.append(paragraph)

    def _style(self, size: float, *, bold: bool, tag: str, kind: str) -> Any:
        from reportlab.lib.styles import ParagraphStyle

        boxed = {"borderWidth": 1, "borderColor": "#000000", "borderPadding": 3}
        cell = tag in ("td", "th")
        return ParagraphStyle(
            tag,
            fontName=self.fonts.bold if bold else self.fonts.regular,
            fontSize=size,
            leading=size * 1.2,
            alignment=2 if kind == "n" else 0,
            leftIndent=10 if tag == "li" else 0,
            spaceBefore=6 if tag in HEADINGS_PT or kind == "state" else 0 if cell else 2,
            spaceAfter=6 if kind == "state" else 0 if cell else 2,
            keepWithNext=int(tag in HEADINGS_PT),
            splitLongWords=1,
            **(boxed if kind == "state" else {}),
        )

    def _table(self, rows: list[list[Any]]) -> Any:
        from reportlab.platypus import Table

        columns = [[row[at] for row in rows if at < len(row)] for at in range(max(map(len, rows)))]
        widths = [max(map(_natural, cells)) + CELL_GAP_PT + 1 for cells in columns]
        return Table(
            rows, colWidths=_fitted(widths, self.width), hAlign="LEFT",
            repeatRows=int(len(rows) > 2),
            style=[
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), CELL_GAP_PT),
                ("TOPPADDING", (0, 0), (-1, -1), 0.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 0.5),
            ],
        )  # fmt: skip


def _natural(paragraph: Any) -> float:
    """Width of a paragraph's text on one line, points."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return sum(
        float(stringWidth(piece.text, piece.fontName, piece.fontSize)) for piece in paragraph.frags
    )


def _fitted(widths: list[float], room: float) -> list[float]:
    """Column widths that fit: the widest are cut to one common width."""
    ordered = sorted(widths)
    for at, width in enumerate(ordered):
        left = (room - sum(ordered[:at])) / (len(ordered) - at)
        if left <= width:
            return [min(wide, left) for wide in widths]
    return widths
