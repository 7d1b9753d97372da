"""The intake of a new job while it is incomplete: kept as typed, turned into records at the end.

A job needs a customer, a vessel, a diameter and a length. Until all four are there the typed
fields live as a draft in the book, so that a power cut in the middle loses nothing.
"""

from __future__ import annotations

from core.base.units import parse_length_in
from core.book import customers, drafts, jobs, shafts
from core.book.connection import Book

NAMES = ("customer", "phone", "vessel", "position", "material", "diameter", "length", "complaint")
"""Fields that are typed."""
DRAFT = "intake"
NEEDED = {"customer": "customer", "vessel": "vessel", "diameter": "diameter", "length": "length"}


def load(book: Book) -> dict[str, str]:
    """The unfinished intake of this bench; empty when there is none."""
    return drafts.draft(book, DRAFT)


def keep(book: Book, fields: dict[str, str]) -> None:
    """Store the fields as typed."""
    drafts.save_draft(book, DRAFT, fields)


def drop(book: Book) -> None:
    """Forget the unfinished intake."""
    drafts.drop_draft(book, DRAFT)


def missing(fields: dict[str, str]) -> list[str]:
    """What a job still needs, in words."""
    return [words for name, words in NEEDED.items() if not fields.get(name, "").strip()]


def for_same_customer(book: Book, vessel_id: str, *, with_vessel: bool) -> dict[str, str]:
    """A draft with what is known: the customer of a vessel, and the vessel itself if wanted."""
    vessel = customers.vessel(book, vessel_id)
    customer = customers.customer(book, vessel.customer_id)
    fields = {"customer_id": customer.id, "customer": customer.name, "phone": customer.phone}
    return fields | ({"vessel_id": vessel_id, "vessel": vessel.name} if with_vessel else {})


def make_job(book: Book, fields: dict[str, str]) -> str:
    """Store customer, vessel, shaft and job of a complete draft at once; the id of the job."""
    with book.write():
        customer_id = fields.get("customer_id") or ""
        if not customer_id:
            customer_id = customers.add_customer(
                book, name=fields["customer"], phone=fields.get("phone", "")
            ).id
        vessel_id = fields.get("vessel_id") or ""
        if not vessel_id:
            vessel_id = customers.add_vessel(
                book, customer_id=customer_id, name=fields["vessel"]
            ).id
        shaft = shafts.add_shaft(
            book,
            vessel_id=vessel_id,
            position=fields.get("position", ""),
            material=fields.get("material", ""),
            diameter_in=parse_length_in(fields["diameter"], what="Diameter"),
            length_in=parse_length_in(fields["length"], what="Length"),
        )
        job = jobs.start_job(book, shaft_id=shaft.id, complaint=fields.get("complaint", ""))
        drop(book)
    return job.id
