"""An old card in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.base.records import OldCard
from core.base.text import one_line
from core.base.units import format_shop_size

if TYPE_CHECKING:
    from core.book.cards.card_search import FoundCard
    from core.jobs.card_import.read_cards import CardFile, CardLine

UNDATED = "no year"
FIRST_LINES = 12
"""Lines of a file that show how it is understood."""


def card_words(found: FoundCard) -> str:
    """One line: year, whose, where, what came of it."""
    return f"{found.card.year or UNDATED}  {found.customer_name}  {about_card(found.card)}"


def about_card(card: OldCard) -> str:
    """Vessel, place, size, outcome and note of a card on one line."""
    parts = (card.vessel, card.shaft, card.size, card.outcome, one_line(card.note))
    return ", ".join(part for part in parts if part)


def visit_on_card(card: OldCard) -> str:
    """A visit that only a card tells of, in a few words: '1998: 1-3/4 x 96, straightened'."""
    parts = (card.size, card.outcome, one_line(card.note))
    return f"{card.year or UNDATED}: {', '.join(part for part in parts if part)}"


def first_cards(file: CardFile) -> str:
    """The first lines of a file as they are understood, to compare with the file; '' for none."""
    lines = [f"  line {card.line}: {_line_words(card)}" for card in file.cards[:FIRST_LINES]]
    return "\n".join(["The first lines as they are understood:", *lines]) if lines else ""


def _line_words(card: CardLine) -> str:
    size = card.size
    if card.diameter_in is not None:
        size += f" ({format_shop_size(card.diameter_in)} diameter)"
    elif size:
        size += " (no diameter)"
    parts = (card.customer, card.vessel, card.shaft, size, card.outcome, one_line(card.note))
    return f"{card.year or UNDATED}: {', '.join(part for part in parts if part)}"
