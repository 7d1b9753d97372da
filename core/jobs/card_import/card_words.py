"""An old card in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.base.records import OldCard
from core.base.text import one_line

if TYPE_CHECKING:
    from core.book.cards.card_search import FoundCard

UNDATED = "no year"


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
