"""Cards of the years before this book: stored as they were written, taken up by a new visit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from uuid import UUID, uuid5

from core.base.records import OldCard
from core.base.shop_records import NOT_NAMED, Customer
from core.book import rows
from core.book.audit import note_change
from core.book.connection import Book
from core.book.search.words import fold

_SPACE = UUID("6f1d1f5e-52d4-4c39-9a55-0b6d7f3f5a01")
"""Ids of cards and of customers known only by cards come from what is written on them, so that two
shops, or two tries, that take in the same cards make the same rows."""


PORTION = 2000
"""Cards stored between two signs of life."""


def card_id(customer: str, *parts: str) -> str:
    """The id of a card that says this: the same words give the same id."""
    folded = (" ".join(fold(part).split()) for part in (customer, *parts))
    return str(uuid5(_SPACE, "card\x1f" + "\x1f".join(folded)))


def customer_id_of(name: str) -> str:
    """The id of a customer who is known only by cards."""
    return str(uuid5(_SPACE, "customer\x1f" + " ".join(fold(name).split())))


def customers_by_name(book: Book) -> dict[str, str]:
    """Folded name -> id of a customer of the book; of several of one name the first that came."""
    found: dict[str, str] = {}
    for customer_id, name in book.rows(
        "SELECT id, name FROM customer WHERE forgotten_at IS NULL ORDER BY id"
    ):
        found.setdefault(" ".join(fold(name).split()), customer_id)
    return found


def erased_customers(book: Book) -> set[str]:
    """Ids of customers whose data was deleted on request."""
    return {row[0] for row in book.rows("SELECT id FROM customer WHERE forgotten_at IS NOT NULL")}


def known_cards(book: Book) -> set[str]:
    """Ids of all cards in the book."""
    return {row[0] for row in book.rows("SELECT id FROM old_card")}


def add_cards(
    book: Book,
    new_customers: Sequence[Customer],
    cards: Sequence[OldCard],
    progress: Callable[[int], None] = lambda _: None,
) -> None:
    """Store customers and cards in one transaction. `progress` may raise to stop."""
    with book.write():
        rows.insert_many(book, Customer, new_customers)
        for first in range(0, len(cards), PORTION):
            rows.insert_many(book, OldCard, cards[first : first + PORTION])
            progress(min(first + PORTION, len(cards)))
        note_change(book, "old_card", "", "taken in", "", len(cards))


def card(book: Book, old_card_id: str) -> OldCard:
    """The card with this id."""
    return rows.get(book, OldCard, old_card_id)


def cards_of_shaft(book: Book, shaft_id: str) -> tuple[OldCard, ...]:
    """The cards of a shaft, newest first."""
    return rows.select(book, OldCard, "shaft_id = ? ORDER BY year DESC, id", (shaft_id,))


def all_cards(book: Book) -> tuple[OldCard, ...]:
    """Every card, by year."""
    return rows.select(book, OldCard, "1 ORDER BY year, id")


def take_up(book: Book, old_card_id: str, shaft_id: str) -> int:
    """The shaft of a card has come in: it and the other cards of that place in the boat are the
    shaft's; how many (joins the transaction)."""
    one = card(book, old_card_id)
    same = [
        other
        for other in rows.select(
            book, OldCard, "customer_id = ? AND shaft_id IS NULL ORDER BY id", (one.customer_id,)
        )
        if other.id == one.id or (one.vessel and _place(other) == _place(one))
    ]
    with book.write() as con:
        for other in same:
            con.execute("UPDATE old_card SET shaft_id = ? WHERE id = ?", (shaft_id, other.id))
            note_change(book, "old_card", other.id, "shaft_id", "", shaft_id)
    return len(same)


def _place(one: OldCard) -> tuple[str, str]:
    return fold(one.vessel).strip(), fold(one.shaft).strip()


def named(customer_name: str) -> str:
    """A customer's name for a draft; '' when the card has none."""
    return "" if customer_name == NOT_NAMED else customer_name
