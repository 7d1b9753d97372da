"""What was corrected, when, by whom: the event log of a job and of all it hangs on, in words.

    for change in changes.changes_of(book, job_id):          # newest first
        print(change.at, change.by, change.thing, change.field, change.old, change.new)

Readings and measurements are never changed: a correction is a new row that replaces the old one.
Both are in the list, as the machinist sees a correction as a change.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass

from core.base.dial_unit import length_unit
from core.base.quantities import KEPT_IN
from core.base.records import Event, Hit, Job, JobChoice
from core.base.times import local_text
from core.base.units import format_station, format_typed, in_shop_unit, number_text
from core.book import (
    choices,
    customers,
    history,
    jobs,
    measurements,
    penetrant_checks,
    rows,
    settings,
    shafts,
)
from core.book.connection import Book
from core.book.errors import NotFound
from core.book.readings import readings_of
from core.book.sweeps import sweeps_of

GROUPS = ("job", "shaft", "owner", "shop")
"""What a change may be about; 'owner' is the customer and the vessel, 'shop' the settings."""
MOST = 2000
"""Changes of one list at most, the newest ones."""


@dataclass(frozen=True)
class LoggedChange:
    """One change."""

    id: str
    at: str
    by: str
    """Who worked at the bench; '' = not known."""
    group: str
    """One of `GROUPS`."""
    thing: str
    """What was changed, such as 'customer' or 'hit at 40 in'."""
    field: str
    """What of it, in words, or a verb such as 'added'."""
    old: str
    new: str


Things = dict[str, tuple[str, str]]
"""Id -> group and words."""


def changes_of(book: Book, job_id: str, group: str = "") -> tuple[LoggedChange, ...]:
    """The changes of a job, its shaft, vessel and customer, newest first.

    `group` leaves only one of `GROUPS`; '' = all but the shop's settings.
    """
    if group == "shop":
        found = [_setting(event) for event in _settings_changed(book)]
    else:
        job = jobs.job(book, job_id)
        things = _things(book, job)
        wanted = {k: v for k, v in things.items() if group in ("", v[0])}
        found = [_change(book, event, wanted[event.subject_id]) for event in _events(book, wanted)]
        if group in ("", "job"):
            found += [*_mended_readings(book, job), *_mended_measurements(book, job)]
            found += _changed_choices(book, job, {key: words for key, (_, words) in things.items()})
    return tuple(sorted(found, key=lambda c: (c.at, c.id), reverse=True)[:MOST])


def _things(book: Book, job: Job) -> Things:
    """Everything the job hangs on and all that hangs on it, by id."""
    shaft = shafts.shaft(book, job.shaft_id)
    vessel = customers.vessel(book, shaft.vessel_id)
    found: Things = {
        history.owner_of(book, job).id: ("owner", "customer"),
        vessel.id: ("owner", "vessel"),
        shaft.id: ("shaft", "shaft"),
        job.id: ("job", "job"),
    }
    found |= {one[0]: ("shaft", "removed area") for one in book.rows(_REMOVED_AREAS, (shaft.id,))}
    found |= {a.id: ("shaft", f"area {a.name}") for a in shafts.areas_of(book, shaft.id)}
    found |= {s.id: ("job", f"{s.purpose} sweep") for s in sweeps_of(book, job.id)}
    every_hit = rows.select(book, Hit, "job_id = ?", (job.id,))
    found |= {h.id: ("job", f"hit at {format_station(h.station_in)}") for h in every_hit}
    checks = penetrant_checks.checks_of(book, job.id)
    found |= {c.id: ("job", f"penetrant, {in_shop_unit(c.area)}") for c in checks}
    for table in ("quote", "release", "note", "measurement"):
        ids = book.rows(f"SELECT id FROM {table} WHERE job_id = ?", (job.id,))
        found |= {str(row[0]): ("job", table) for row in ids}
    return found


# Of an area that was taken off the shaft only events are left: that of the shaft and its own.
_REMOVED_AREAS = (
    "SELECT own.subject_id FROM event AS own JOIN event AS removal ON removal.old = own.old "
    "WHERE removal.subject = 'shaft' AND removal.subject_id = ? AND removal.what = 'area removed' "
    "AND own.subject = 'riding_area' AND own.what = 'removed'"
)


def _events(book: Book, things: Things) -> tuple[Event, ...]:
    ids = json.dumps(list(things))
    # The removal of an area is listed by the shaft already.
    return rows.select(
        book,
        Event,
        "subject_id IN (SELECT value FROM json_each(?)) "
        "AND NOT (subject = 'riding_area' AND what = 'removed') AND (old <> new OR new = '') "
        "ORDER BY at DESC, id DESC LIMIT ?",
        (ids, MOST),
    )


def _change(book: Book, event: Event, thing: tuple[str, str]) -> LoggedChange:
    group, words = thing
    values = [_value(book, event.what, text) for text in (event.old, event.new)]
    return LoggedChange(
        event.id, event.at, event.by, group, words, field_words(event.what), values[0], values[1]
    )


def _settings_changed(book: Book) -> tuple[Event, ...]:
    where = "subject = 'setting' ORDER BY at DESC, id DESC LIMIT ?"
    return rows.select(book, Event, where, (MOST,))


def _setting(event: Event) -> LoggedChange:
    known = {field.name: field for field in settings.FIELDS}
    name = event.subject_id
    label = known[name].label if name in known else field_words(name)
    unit = known[name].unit if name in known else ""
    old, new = (
        f"{_in_shop_unit(unit, text)} {_unit_name(unit)}".strip() if text else ""
        for text in (event.old, event.new)
    )
    return LoggedChange(event.id, event.at, event.by, "shop", "setting", label, old, new)


def _mended_readings(book: Book, job: Job) -> Iterator[LoggedChange]:
    """Readings whose place another one has taken; those taken back have an event."""
    for sweep in sweeps_of(book, job.id):
        every = {one.id: one for one in readings_of(book, sweep.id, all_rows=True)}
        for old in every.values():
            new = every.get(old.replaced_by or "")
            if new is not None and new is not old:
                clock = "" if old.clock_deg is None else f", mark {old.clock_deg:g}"
                where = f"reading at {format_station(old.station_in)}{clock}"
                yield LoggedChange(
                    new.id, new.taken_at, new.by or sweep.measured_by, "job",
                    f"{sweep.purpose} sweep", where, old.raw, new.raw,
                )  # fmt: skip


def _mended_measurements(book: Book, job: Job) -> Iterator[LoggedChange]:
    every = {m.id: m for m in measurements.measurements_of(book, job.id, all_rows=True)}
    for old in every.values():
        new = every.get(old.replaced_by or "")
        if new is not None and new is not old:
            yield LoggedChange(
                new.id, new.taken_at, new.by, "job", old.subject, old.what, old.raw, new.raw
            )


def _changed_choices(book: Book, job: Job, named: dict[str, str]) -> Iterator[LoggedChange]:
    """Choices made a second time; the first one of a place is no change.

    `named`: words for an id, where a choice is about a sweep.
    """
    before: dict[choices.Place, JobChoice] = {}
    for one in choices.all_choices(book, job.id):
        place = (one.subject, one.name, one.set_no)
        old = before.get(place)
        if old is not None and _choice_words(old, named) != _choice_words(one, named):
            yield LoggedChange(
                one.id, one.at, one.by, "job", one.subject,
                named.get(one.name) or field_words(one.name),
                _choice_words(old, named), _choice_words(one, named),
            )  # fmt: skip
        before[place] = one


def _choice_words(one: JobChoice, named: dict[str, str]) -> str:
    text = one.value or number_text(one.number, _EXACT)
    text = named.get(text) or _in_shop_unit(_name_and_unit(one.name)[1], text)
    return f"{text}: {one.note}" if one.note else text


_WORDS = {
    "email": "e-mail",
    "customer_id": "owner",
    "work": "work asked for",
    "by": "looked at by",
    "zero_end": "stations start at",
}
_LISTS = ("work", "marks_deg", "stations_in")
_WITH_PLACES = ("corrected", "taken back", "area added", "area removed")
"""What was done with a hit or an area: the book writes these in words, with places in inches."""
_EXACT = 9
"""Decimal places that a figure in inches needs to be the figure in mm that was typed."""
_UNIT = re.compile(r"(.+)(?:_| (?=psi))(in|deg|rad|rpm|lbf|hp|f|psi|per_lb)")


def field_words(what: str) -> str:
    """A field of a table (or a verb) in words: `diameter_in` -> 'diameter, in'."""
    head, colon, field = what.rpartition(": ")
    if colon:
        return f"{head}: {field_words(field)}"
    if what in _WORDS:
        return _WORDS[what]
    name, unit = _name_and_unit(what)
    if unit:
        return f"{name.replace('_', ' ')}, {_unit_name(unit)}"
    return what.removesuffix("_at").replace("_", " ")


def _name_and_unit(what: str) -> tuple[str, str]:
    found = _UNIT.fullmatch(what)
    return (found[1], found[2].replace("_", " ")) if found else (what, "")


def _value(book: Book, what: str, text: str) -> str:
    """A stored value as people read it."""
    field = what.rpartition(": ")[2]
    if field == "customer_id" and text:
        return _customer_name(book, text)
    if field.endswith("_at") and text:
        return _local(text)
    unit = _name_and_unit(field)[1]
    if field in _LISTS and text:
        return _listed(text, unit)
    return in_shop_unit(text) if field in _WITH_PLACES else _in_shop_unit(unit, text)


def _unit_name(unit: str) -> str:
    if unit in KEPT_IN:
        return KEPT_IN[unit].unit
    return length_unit() if unit == "in" else unit


def _in_shop_unit(unit: str, text: str) -> str:
    """A stored figure as a shop types it; what is no figure stays as it is."""
    metric = length_unit() == "mm"
    if not metric or (unit != "in" and unit not in KEPT_IN):
        return text
    try:
        kept = float(text)
    except ValueError:
        return text
    return format_typed(kept, "mm") if unit == "in" else KEPT_IN[unit].typed(kept)


def _customer_name(book: Book, customer_id: str) -> str:
    try:
        return customers.customer(book, customer_id).name
    except NotFound:
        return customer_id


def _local(text: str) -> str:
    try:
        return local_text(text)
    except ValueError:
        return text


def _listed(text: str, unit: str) -> str:
    try:
        items = json.loads(text)
    except ValueError:
        return text
    return ", ".join(
        _in_shop_unit(unit, number_text(i, _EXACT)) if isinstance(i, float) else str(i)
        for i in items
    )
