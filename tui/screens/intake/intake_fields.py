"""The intake of a job as fields of a form, and typed values back into the book."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from core.base.errors import ShaftlogError
from core.base.quantities import POWER
from core.base.shop_records import Customer, Job, Shaft, Vessel
from core.base.units import (
    format_mm,
    format_shop_size,
    format_size,
    format_typed,
    length_unit,
    number_text,
)
from core.book import customers, history, jobs, settings, shafts
from core.book.connection import Book
from core.book.settings import DAY_FIRST
from core.jobs.intake.due import day_of, due_day, due_words, stored_due
from tui.screens.intake.material_list import material_words
from tui.widgets.form import FieldSpec
from tui.widgets.menu import MenuItem

CONTACT = {"email": "email", "address": "address", "about": "notes"}
"""Fields of the form -> columns of the customer."""
POSITIONS = ("port", "starboard", "centre", "only one", "spare")
ENDS = (("coupling", "coupling end"), ("propeller", "propeller end"))
WORK = (
    ("penetrant", "penetrant"),
    ("straighten", "straighten"),
    ("bore", "bore"),
    ("face", "face"),
    ("key", "key"),
)
LENGTH_HINT = "In any unit: 1-3/4, 1.75, 44.45 mm. The value as understood shows on the right."
DUE_HINT = "10 Dec, 12/10, Friday, in 2 weeks; other words are kept as typed."
LIFTING_HINT = "Lift long shafts with two slings or two people; keep hands and feet from under."
MOST_DIAMETER_IN = 24.0
MOST_LENGTH_IN = 1200.0


@dataclass(frozen=True)
class Whole:
    """A job and everything it hangs on."""

    job: Job
    shaft: Shaft
    vessel: Vessel
    customer: Customer


def read_whole(book: Book, job_id: str) -> Whole:
    """Read a job with its shaft, vessel and customer."""
    job = jobs.job(book, job_id)
    shaft = history.shaft_of(book, job)
    vessel = history.vessel_of(book, job)
    return Whole(job, shaft, vessel, customers.customer(book, vessel.customer_id))


def understood(value_in: float) -> str:
    """A length as it was understood, in both units."""
    inches = format_size(value_in)
    if length_unit() == "mm":
        return f"= {format_shop_size(value_in)} = {inches}"
    return f"= {inches} = {format_mm(value_in, 2)}"


def size_text(value_in: float | None) -> str:
    """A size as one would type it in this shop; None is empty."""
    if value_in is None or length_unit() == "in":
        return number_text(value_in)
    return format_typed(value_in, "mm")


def _length(name: str, label: str, value: float | None, hint: str, most: float) -> FieldSpec:
    echo = "" if value is None else understood(value)
    return FieldSpec(
        name,
        label,
        "length",
        size_text(value),
        hint,
        unit=length_unit(),
        echo=echo,
        least=0,
        most=most,
    )


def position_choices(now: str) -> tuple[tuple[str, str], ...]:
    """The usual places of a shaft, and the one it has if that is another."""
    names = POSITIONS if now in POSITIONS or not now else (*POSITIONS, now)
    return tuple((name, name) for name in names)


def whose_specs(whole: Whole) -> tuple[FieldSpec, ...]:
    """Customer and vessel."""
    vessel = whole.vessel
    return (
        FieldSpec("name", "Customer", value=whole.customer.name, hint=LIFTING_HINT),
        FieldSpec("phone", "Phone", value=whole.customer.phone),
        FieldSpec("email", "E-mail", value=whole.customer.email),
        FieldSpec("address", "Address", value=whole.customer.address),
        FieldSpec(
            "about",
            "Nickname, notes",
            value=whole.customer.notes,
            hint="What people call the owner or the boat; found by the search.",
        ),
        FieldSpec("vessel", "Vessel", value=vessel.name),
        FieldSpec(
            "engine_hp",
            f"Engine, {POWER.unit}",
            "number",
            POWER.typed(vessel.engine_hp),
            quantity=POWER,
            least=0,
        ),
        FieldSpec(
            "shaft_rpm",
            "Shaft, rpm",
            "number",
            number_text(vessel.shaft_rpm),
            "Turns of the shaft at full power: after the gearbox.",
            least=0,
        ),
    )


def shaft_specs(whole: Whole, materials: tuple[tuple[str, str], ...]) -> tuple[FieldSpec, ...]:
    """The shaft and how it lies on the bench."""
    shaft, job = whole.shaft, whole.job
    roller = f"Station of the roller pair: {length_unit()} from the {shaft.zero_end} end."
    return (
        FieldSpec(
            "position", "Place in the boat", "choice", shaft.position,
            choices=position_choices(shaft.position),
        ),
        FieldSpec(
            "material", "Material", "pick", shaft.material,
            "Type part of the UNS number or of the name; Enter takes the one shown behind.",
            choices=materials, echo=material_words(shaft.material),
        ),
        _length("diameter_in", "Diameter", shaft.diameter_in, LENGTH_HINT, MOST_DIAMETER_IN),
        _length("length_in", "Length", shaft.length_in, LENGTH_HINT, MOST_LENGTH_IN),
        FieldSpec("zero_end", "Stations start at", "choice", shaft.zero_end, choices=ENDS),
        _length("roller_a_in", "Roller pair A", job.roller_a_in, roller, MOST_LENGTH_IN),
        _length("roller_b_in", "Roller pair B", job.roller_b_in, roller, MOST_LENGTH_IN),
    )  # fmt: skip


def job_specs(whole: Whole, today: date) -> tuple[FieldSpec, ...]:
    """What the owner wants."""
    job = whole.job
    return (
        FieldSpec("complaint", "Complaint", value=job.complaint),
        FieldSpec("due", "Due", value=job.due, hint=DUE_HINT, echo=due_words(job.due, today)),
        FieldSpec(
            "work", "Work asked for", "many", ",".join(job.work),
            "Each digit switches one kind of work on or off.", choices=WORK,
        ),
    )  # fmt: skip


CORRECTED, SOLD, NOW = "corrected", "sold", "now"
"""What a changed owner or size means: entered wrong before, another owner, another size now."""
OF_VISITS = ("diameter_in", "length_in", "zero_end", "material")


def what_is_meant(book: Book, whole: Whole, name: str, value: object) -> tuple[MenuItem, ...]:
    """The answers to choose from when a change could mean two things; () = it is clear."""
    if name == "name" and value and value != whole.customer.name:
        if not _known_before(book, whole):
            return ()
        return (
            MenuItem(CORRECTED, f"Same person, name corrected: {value} on all jobs"),
            MenuItem(SOLD, f"{whole.vessel.name} was sold to {value}: from this job on"),
        )
    if name in OF_VISITS and value and value != getattr(whole.shaft, name):
        if not history.visits_over(book, "shaft", whole.shaft.id):
            return ()
        done = history.work_done(name, getattr(whole.shaft, name), value)
        begin = {"": "So", "other": "So"}.get(done, done.capitalize())
        return (
            MenuItem(NOW, f"{begin}: from this job on; earlier jobs keep what they show"),
            MenuItem(CORRECTED, "It was entered wrong: correct the earlier jobs too"),
        )
    return ()


def name_of(field: str) -> str:
    """A field of the question in words."""
    return {"name": "Customer", "diameter_in": "Diameter", "length_in": "Length"}.get(
        field, field.replace("_", " ").capitalize()
    )


def _known_before(book: Book, whole: Whole) -> bool:
    """Whether the customer has another vessel or an earlier job."""
    if len(customers.vessels_of(book, whole.customer.id)) > 1:
        return True
    return history.visits_over(book, "vessel", whole.vessel.id)


def store(book: Book, whole: Whole, name: str, value: object, meant: str = "") -> str | None:
    """Store one field; the words that go behind it. `meant`: an answer of `what_is_meant`."""
    if name == "name" and meant == SOLD:
        customers.sold_to(book, whole.vessel.id, name=str(value))
    elif name in ("name", "phone", *CONTACT):
        _need(value if name == "name" else "-", "The customer needs a name.")
        customers.change_customer(book, whole.customer.id, **{CONTACT.get(name, name): value})
    elif name in ("vessel", "engine_hp", "shaft_rpm"):
        _need(value if name == "vessel" else "-", "The vessel needs a name.")
        column = "name" if name == "vessel" else name
        vessel_changes: dict[str, Any] = {column: value}
        customers.change_vessel(book, whole.vessel.id, **vessel_changes)
    elif name in ("roller_a_in", "roller_b_in"):
        return _store_roller(book, whole, name, value)
    elif name == "complaint":
        jobs.change_job(book, whole.job.id, complaint=str(value))
    elif name == "due":
        return _store_due(book, whole.job.id, str(value or ""))
    elif name == "work":
        jobs.change_job(book, whole.job.id, work=tuple(w for w in str(value).split(",") if w))
    else:
        if name in ("diameter_in", "length_in"):
            _need(value, "This cannot be empty. Measure the shaft and type it.")
        changes: dict[str, Any] = {name: value}
        done = history.work_done(name, getattr(whole.shaft, name), value)
        shafts.change_shaft(book, whole.shaft.id, corrected=meant == CORRECTED, why=done, **changes)
    if name == "material":
        return material_words(str(value))
    return understood(value) if isinstance(value, float) and name.endswith("_in") else None


def store_as_meant(book: Book, seen: Whole, name: str, value: object, meant: str) -> None:
    """Store what was asked about, unless another bench has changed it while the question stood."""
    with book.write():
        now = read_whole(book, seen.job.id)
        if (now.customer, now.shaft) != (seen.customer, seen.shaft):
            raise ShaftlogError(
                f"Another bench changed the {'owner' if name == 'name' else 'shaft'} while you "
                "were asked. Nothing is stored: look at it, then type yours again."
            )
        store(book, now, name, value, meant)


def _store_due(book: Book, job_id: str, typed: str) -> str:
    today = day_of(book.now())
    day_first = settings.load(book).date_order == DAY_FIRST
    due = stored_due(typed, today, day_first=day_first)
    jobs.change_job(book, job_id, due=due)
    return due_words(due, today) if due_day(due) else ""


def _need(value: object, words: str) -> None:
    if not value:
        raise ShaftlogError(words)


def _store_roller(book: Book, whole: Whole, name: str, value: object) -> str:
    if value is None:
        jobs.change_job(book, whole.job.id, **{name: None})
        return ""
    assert isinstance(value, float)
    job = jobs.job(book, whole.job.id)
    other = job.roller_b_in if name == "roller_a_in" else job.roller_a_in
    length_in = whole.shaft.length_in
    if value > length_in:
        raise ShaftlogError(
            "That roller would stand beyond the shaft, which ends at "
            f"{format_shop_size(length_in)}. Type its distance from the end the stations start at."
        )
    if other is not None and other == value:
        raise ShaftlogError("Both roller pairs would stand at one place. Type another station.")
    jobs.change_job(book, whole.job.id, **{name: value})
    return understood(value)
