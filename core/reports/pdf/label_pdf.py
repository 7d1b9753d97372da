"""The label that goes on a shaft: tag, vessel, owner, where clock zero is, bar code of the tag.

The bar code is Code 128 (ISO/IEC 15417), which has every ASCII character; by reportlab. 4 by 2
inches is a common size of label stock (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import Any

from core.base.text import one_line
from core.reports.pdf.fonts import Fonts, fonts_for

WIDTH_IN, HEIGHT_IN, MARGIN_IN = 4.0, 2.0, 0.15
TAG_PT, NAME_PT, SMALL_PT = 30.0, 12.0, 8.0
WIDEST_BAR_IN = 0.02
NARROWEST_BAR_IN = 0.0075
"""Three dots of a label printer of 400 to the inch, the least a hand scanner reads well (common
practice, no source)."""
QUIET_BARS = 10
"""Blank on each side of the bar code, in widths of its narrowest bar (ISO/IEC 15417, 4.2.4)."""
ZERO_WORDS = "CLOCK 0 at this arrow (centre of the propeller keyway, or chalk mark)"
TOO_LONG = "No bar code: the tag is too long for it, or has letters outside ASCII."


@dataclass(frozen=True)
class Label:
    """What the label says, as typed."""

    tag: str
    vessel: str
    """With the place of the shaft."""
    owner: str
    shop: str
    zero_end: str
    """End from which stations are counted."""


def label_pdf(label: Label) -> bytes:
    """The label as a PDF of one page of its size."""
    from reportlab.lib.units import inch
    from reportlab.pdfgen.canvas import Canvas

    tag, vessel, owner, shop = map(one_line, (label.tag, label.vessel, label.owner, label.shop))
    fonts = fonts_for(tag + vessel + owner + shop)
    out = BytesIO()
    page = Canvas(out, pagesize=(WIDTH_IN * inch, HEIGHT_IN * inch), invariant=1)
    page.setTitle(f"Label {tag}")
    left, room = MARGIN_IN * inch, (WIDTH_IN - 2 * MARGIN_IN) * inch
    from_end = f"Stations from the {label.zero_end} end.  {shop}"
    for text, font, size, up_in in (
        (tag, fonts.bold, TAG_PT, 1.53),
        (vessel, fonts.bold, NAME_PT, 1.3),
        (owner, fonts.regular, NAME_PT, 1.1),
        (from_end, fonts.regular, SMALL_PT, 0.28),
    ):
        shown, fitting = _fitted(fonts, text, font, size, room)
        page.setFont(font, fitting)
        page.drawString(left, up_in * inch, shown)
    _zero_mark(page, fonts, left, inch)
    _bars(page, fonts, tag, left, inch)
    page.showPage()
    page.save()
    return out.getvalue()


def _fitted(fonts: Fonts, text: str, font: str, size: float, room: float) -> tuple[str, float]:
    """The text and a size at which it fits; under half its size it is cut and ends with '~'."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    text = fonts.shown(text)
    needed = stringWidth(text, font, size) or 1.0
    smaller = max(min(size, size * room / needed), size / 2)
    while stringWidth(text, font, smaller) > room + 0.01:
        text = text.rstrip("~")[:-1] + "~"
    return text, smaller


def _zero_mark(page: Any, fonts: Fonts, left: float, inch: float) -> None:
    """An arrow to the lower edge, which goes on the line of the mark."""
    arrow = page.beginPath()
    arrow.moveTo(left, 0.02 * inch)
    arrow.lineTo(left - 0.07 * inch, 0.2 * inch)
    arrow.lineTo(left + 0.07 * inch, 0.2 * inch)
    arrow.close()
    page.drawPath(arrow, fill=1)
    page.setFont(fonts.regular, SMALL_PT)
    page.drawString(left + 0.15 * inch, 0.1 * inch, ZERO_WORDS)


def _bars(page: Any, fonts: Fonts, tag: str, left: float, inch: float) -> None:
    """The bar code of the tag across the label, or a line that says why there is none."""
    from reportlab.graphics.barcode.code128 import Code128

    bars = Code128(tag, barWidth=1.0, barHeight=0.5 * inch, quiet=0)
    room = (WIDTH_IN - 2 * MARGIN_IN) * inch
    bar = min(WIDEST_BAR_IN * inch, room / (bars.width + 2 * QUIET_BARS))
    if not tag.isascii() or bar < NARROWEST_BAR_IN * inch:
        page.setFont(fonts.regular, SMALL_PT)
        page.drawString(left, 0.6 * inch, TOO_LONG)
        return
    bars = Code128(tag, barWidth=bar, barHeight=0.5 * inch, quiet=0)
    bars.drawOn(page, left + QUIET_BARS * bar, 0.5 * inch)
