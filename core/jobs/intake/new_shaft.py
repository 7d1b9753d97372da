"""A shaft nobody knows yet: kept as typed until there is enough for a sweep, then made a job.

A job needs a diameter and a length, its sweep also the two roller pairs. Whose shaft it is may be
typed later; it is in the way of the release (`core.jobs.blocks`). Until then the typed fields are a
draft in the book, so that a power cut in the middle loses nothing.
"""

from __future__ import annotations

from core.base.errors import BadShaft, ShaftlogError
from core.base.records import OldCard, Sweep
from core.base.shop_records import NOT_NAMED
from core.base.units import format_shop_size, parse_length_in
from core.book import customers, drafts, jobs, shafts
from core.book.cards import old_cards
from core.book.connection import Book
from core.jobs.sweep.sweep_entry import begin_sweep, sweep_job
from core.runout.stations import mark_list

SWEEP_SIZES = ("diameter", "length", "roller_a", "roller_b")
"""Lengths a sweep needs, in the order they are typed."""
NAMES = (*SWEEP_SIZES, "customer", "vessel", "phone", "position", "material", "complaint")
"""Fields that are typed."""
DRAFT = "intake"


def load(book: Book) -> dict[str, str]:
    """The unfinished intake of this bench; empty when there is none."""
    return drafts.draft(book, DRAFT)


def keep(book: Book, fields: dict[str, str]) -> None:
    """Store the fields as typed."""
    drafts.save_draft(book, DRAFT, fields)


def drop(book: Book) -> None:
    """Forget the unfinished intake."""
    drafts.drop_draft(book, DRAFT)


def with_unit(text: str, unit: str) -> str:
    """A length as typed with its unit behind it, so that it means the same in every shop."""
    return f"{text.strip()} {unit}" if text.strip()[-1:].isdigit() else text


def missing(fields: dict[str, str]) -> list[str]:
    """What a job still needs, in words."""
    return _empty(fields, "diameter", "length")


def missing_for_sweep(fields: dict[str, str]) -> list[str]:
    """What the sweep still needs, in words."""
    return _empty(fields, *SWEEP_SIZES)


def _empty(fields: dict[str, str], *names: str) -> list[str]:
    words = {"roller_a": "roller pair A", "roller_b": "roller pair B"}
    return [words.get(name, name) for name in names if not fields.get(name, "").strip()]


def check_sizes(fields: dict[str, str]) -> None:
    """Raise when the lengths typed so far cannot belong to one shaft on its rollers."""
    size_in = {
        name: parse_length_in(fields[name], what=name.replace("_", " ").capitalize())
        for name in SWEEP_SIZES
        if fields.get(name, "").strip()
    }
    length_in, diameter_in = size_in.get("length"), size_in.get("diameter")
    if length_in is not None and diameter_in is not None and length_in <= diameter_in:
        raise BadShaft("The shaft would be thicker than long. Check diameter and length.")
    rollers_in = [size_in[name] for name in ("roller_a", "roller_b") if name in size_in]
    if length_in is not None and any(at > length_in for at in rollers_in):
        raise BadShaft(
            f"That roller would be beyond the shaft, which ends at {format_shop_size(length_in)}. "
            "Type its distance from the end the stations start at."
        )
    if len(rollers_in) == 2 and rollers_in[0] == rollers_in[1]:
        raise BadShaft("Both roller pairs would be at one place. Type another station.")


def for_same_customer(book: Book, vessel_id: str, *, with_vessel: bool) -> dict[str, str]:
    """A draft with what is known: the customer of a vessel, and the vessel itself if wanted."""
    vessel = customers.vessel(book, vessel_id)
    customer = customers.customer(book, vessel.customer_id)
    fields = {"customer_id": customer.id, "customer": customer.name, "phone": customer.phone}
    return fields | ({"vessel_id": vessel_id, "vessel": vessel.name} if with_vessel else {})


def from_card(book: Book, card: OldCard) -> dict[str, str]:
    """A draft with what an old card says; its length is never known."""
    customer = customers.customer(book, card.customer_id)
    vessels = customers.vessels_of(book, customer.id)
    vessel = [one.id for one in vessels if one.name.casefold() == card.vessel.casefold()]
    fields = {
        "card_id": card.id,
        "customer_id": customer.id,
        "customer": customer.name,
        "phone": customer.phone,
        "vessel": card.vessel,
        "position": card.shaft,
        "diameter": "" if card.diameter_in is None else f"{card.diameter_in:.4f}".rstrip("0"),
    }
    return fields | ({"vessel_id": vessel[0]} if len(vessel) == 1 else {})


def make_job(book: Book, fields: dict[str, str]) -> str:
    """Store customer, vessel, shaft and job of a complete draft at once; the id of the job."""
    if lacking := missing(fields):
        raise ShaftlogError(f"A job still needs: {', '.join(lacking)}.")
    check_sizes(fields)
    with book.write():
        customer_id = fields.get("customer_id") or ""
        if not customer_id:
            name, phone = fields.get("customer", "").strip(), fields.get("phone", "")
            customer_id = customers.add_customer(book, name=name or NOT_NAMED, phone=phone).id
        vessel_id = fields.get("vessel_id") or ""
        if not vessel_id:
            name = fields.get("vessel", "").strip() or NOT_NAMED
            vessel_id = customers.add_vessel(book, customer_id=customer_id, name=name).id
        shaft = shafts.add_shaft(
            book,
            vessel_id=vessel_id,
            position=fields.get("position", ""),
            material=fields.get("material", ""),
            diameter_in=parse_length_in(fields["diameter"], what="Diameter"),
            length_in=parse_length_in(fields["length"], what="Length"),
        )
        job = jobs.start_job(book, shaft_id=shaft.id, complaint=fields.get("complaint", ""))
        for name in ("roller_a", "roller_b"):
            if fields.get(name, "").strip():
                jobs.change_job(book, job.id, **{f"{name}_in": parse_length_in(fields[name])})
        if fields.get("card_id"):
            old_cards.take_up(book, fields["card_id"], shaft.id)
        drop(book)
    return job.id


def start_sweep(book: Book, fields: dict[str, str]) -> Sweep:
    """The job of a complete draft and its sweep as received, both or neither."""
    if lacking := missing_for_sweep(fields):
        raise ShaftlogError(f"The sweep still needs: {', '.join(lacking)}.")
    with book.write():
        return begin_first_sweep(book, make_job(book, fields))


def begin_first_sweep(book: Book, job_id: str) -> Sweep:
    """The sweep as received with the shop's usual dial, marks and spacing."""
    bench = sweep_job(book, job_id)
    job, shop = bench.job, bench.shop
    if job.roller_a_in is None or job.roller_b_in is None:
        raise BadShaft("Type where both roller pairs are: the shape is seen from them.")
    rollers_in = (job.roller_a_in, job.roller_b_in)
    return begin_sweep(
        book,
        job_id,
        tells=False,
        purpose="as received",
        roller_a_in=rollers_in[0],
        roller_b_in=rollers_in[1],
        stations_in=bench.stations_in(shop.spacing_in, rollers_in),
        marks_deg=mark_list(shop.marks),
        closing=shop.closing_mark,
        resolution_in=shop.resolution_in,
        dial_turn_in=shop.dial_turn_in,
        repeatability_in=shop.repeatability_in,
        gauge=shop.gauge,
    )
