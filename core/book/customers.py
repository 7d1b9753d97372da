"""Customers and their vessels."""

from __future__ import annotations

from typing import Any

from core.base.shop_records import Customer, Vessel
from core.book import rows
from core.book.audit import change, note_change
from core.book.connection import Book
from core.book.errors import Refused
from core.book.history import SOLD, keep_vessel


def add_customer(
    book: Book, *, name: str, phone: str = "", email: str = "", address: str = "", notes: str = ""
) -> Customer:
    """A new customer."""
    if not any(char.isprintable() and not char.isspace() for char in name):
        raise Refused("The customer has no name. Type at least a last name or the firm.")
    new = Customer(book.new_id(), name, phone, email, address, notes)
    with book.write():
        rows.insert(book, new)
        note_change(book, "customer", new.id, "added", "", "")
    return customer(book, new.id)


def customer(book: Book, customer_id: str) -> Customer:
    """The customer with this id."""
    return rows.get(book, Customer, customer_id)


def customers(book: Book) -> tuple[Customer, ...]:
    """All customers by name."""
    return rows.select(book, Customer, "1 ORDER BY name COLLATE NOCASE, id")


def change_customer(book: Book, customer_id: str, **changes: Any) -> Customer:
    """Change fields by name, such as `phone="555-0142"`; each change is kept in the event log."""
    return change(book, Customer, customer_id, changes)


def add_vessel(
    book: Book,
    *,
    customer_id: str,
    name: str,
    kind: str = "",
    engine_hp: float | None = None,
    shaft_rpm: float | None = None,
    notes: str = "",
) -> Vessel:
    """A new vessel of a customer. `shaft_rpm` is the speed of the shaft, after the gearbox."""
    new = Vessel(book.new_id(), customer_id, name, kind, engine_hp, shaft_rpm, notes)
    with book.write():
        rows.insert(book, new)
        note_change(book, "vessel", new.id, "added", "", new.name)
    return vessel(book, new.id)


def vessel(book: Book, vessel_id: str) -> Vessel:
    """The vessel with this id."""
    return rows.get(book, Vessel, vessel_id)


def vessels_of(book: Book, customer_id: str) -> tuple[Vessel, ...]:
    """The vessels of a customer by name."""
    return rows.select(
        book, Vessel, "customer_id = ? ORDER BY name COLLATE NOCASE, id", (customer_id,)
    )


def change_vessel(
    book: Book, vessel_id: str, *, corrected: bool = False, why: str = "", **changes: Any
) -> Vessel:
    """Change fields by name. Visits that are over keep the vessel as it was then
    (`core.book.history`), unless it was entered wrong: `corrected` changes it for them too."""
    with book.write():
        if not corrected:
            keep_vessel(book, vessel_id, why)
        return change(book, Vessel, vessel_id, changes)


def sold_to(book: Book, vessel_id: str, *, name: str, phone: str = "") -> Customer:
    """The vessel has another owner from this visit on; the old one keeps the other vessels.

    The one customer of exactly this name takes it over; with none, or several, a new customer.
    """
    known = [
        one
        for one in rows.select(book, Customer, "forgotten_at IS NULL")
        if one.name.casefold() == name.strip().casefold()
    ]
    with book.write():
        owner = known[0] if len(known) == 1 else add_customer(book, name=name, phone=phone)
        change_vessel(book, vessel_id, why=SOLD, customer_id=owner.id)
    return owner
