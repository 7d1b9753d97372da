"""Shafts and the areas of them that ride in something."""

from __future__ import annotations

from typing import Any

from core.base.shop_records import RidingArea, Shaft
from core.base.units import format_from_to, format_length, format_station
from core.book import rows
from core.book.audit import change, note_change
from core.book.connection import Book
from core.book.errors import Refused
from core.book.history import keep_shaft

_IN_PLACE_OF = "new bar in place of"


def add_shaft(
    book: Book,
    *,
    vessel_id: str,
    diameter_in: float,
    length_in: float,
    position: str = "",
    material: str = "",
    condition: str = "",
    zero_end: str = "coupling",
    notes: str = "",
) -> Shaft:
    """A new shaft of a vessel; lengths in inches."""
    _check_size(diameter_in, length_in)
    new = Shaft(
        book.new_id(),
        vessel_id,
        position,
        material,
        condition,
        float(diameter_in),
        float(length_in),
        zero_end,
        notes,
    )
    with book.write():
        rows.insert(book, new)
        note_change(book, "shaft", new.id, "added", "", new.position)
    return shaft(book, new.id)


def _check_size(diameter_in: float, length_in: float) -> None:
    if not 0 < diameter_in < 100:
        raise Refused(
            f"A shaft diameter of {format_length(diameter_in)} cannot be. Give more than 0 and "
            f"less than {format_length(100, 0)}."
        )
    if not diameter_in < length_in < 10_000:
        raise Refused(
            f"A shaft length of {format_length(length_in, 3)} cannot be. Give more than the "
            "diameter."
        )


def shaft(book: Book, shaft_id: str) -> Shaft:
    """The shaft with this id."""
    return rows.get(book, Shaft, shaft_id)


def shafts_of(book: Book, vessel_id: str) -> tuple[Shaft, ...]:
    """The shafts of a vessel by position."""
    return rows.select(book, Shaft, "vessel_id = ? ORDER BY position, id", (vessel_id,))


def change_shaft(
    book: Book, shaft_id: str, *, corrected: bool = False, why: str = "", **changes: Any
) -> Shaft:
    """Change fields by name; each change is in the event log with old and new.

    Visits that are over keep the shaft as it was then (`core.book.history`), unless it was entered
    wrong: `corrected` changes it for them too. `why`: one of `history.SHAFT_WORK`, or ''.
    """
    old = shaft(book, shaft_id)
    _check_size(
        changes.get("diameter_in", old.diameter_in), changes.get("length_in", old.length_in)
    )
    with book.write():
        if not corrected:
            keep_shaft(book, shaft_id, why)
        return change(book, Shaft, shaft_id, changes)


def new_bar(book: Book, shaft_id: str) -> Shaft:
    """A new bar in the place of a shaft that is scrap: its size and areas, a history of its own."""
    old = shaft(book, shaft_id)
    with book.write():
        bar = add_shaft(
            book, vessel_id=old.vessel_id, diameter_in=old.diameter_in, length_in=old.length_in,
            position=old.position, material=old.material, condition=old.condition,
            zero_end=old.zero_end,
        )  # fmt: skip
        for area in areas_of(book, shaft_id):
            add_area(
                book, shaft_id=bar.id, kind=area.kind, from_in=area.from_in, to_in=area.to_in,
                name=area.name, limit_in=area.limit_in,
            )  # fmt: skip
        note_change(book, "shaft", bar.id, _IN_PLACE_OF, "", old.id)
    return shaft(book, bar.id)


def bar_in_place(book: Book, shaft_id: str) -> str:
    """Id of the bar that is in the place of this one now; its own when it was never replaced."""
    row = book.one(
        "SELECT subject_id FROM event WHERE subject = 'shaft' AND what = ? AND new = ? "
        "ORDER BY id DESC LIMIT 1",
        (_IN_PLACE_OF, shaft_id),
    )
    return shaft_id if row is None else bar_in_place(book, str(row[0]))


def add_area(
    book: Book,
    *,
    shaft_id: str,
    kind: str,
    from_in: float,
    to_in: float,
    name: str = "",
    limit_in: float | None = None,
) -> RidingArea:
    """A riding area: 'taper', 'bearing', 'shaft log', 'coupling' or 'other'."""
    low, high = sorted((float(from_in), float(to_in)))
    length_in = shaft(book, shaft_id).length_in
    if low < 0 or high > length_in or low == high:
        raise Refused(
            f"The area from {format_from_to(low, high)} is not on "
            f"the shaft (0 to {format_station(length_in)}). Check both stations."
        )
    new = RidingArea(book.new_id(), shaft_id, kind, name or kind, low, high, limit_in)
    with book.write():
        keep_shaft(book, shaft_id)
        rows.insert(book, new)
        note_change(book, "shaft", shaft_id, "area added", "", _say(new))
    return rows.get(book, RidingArea, new.id)


def areas_of(book: Book, shaft_id: str) -> tuple[RidingArea, ...]:
    """The riding areas of a shaft along its length."""
    return rows.select(book, RidingArea, "shaft_id = ? ORDER BY from_in, to_in, id", (shaft_id,))


def change_area(book: Book, area_id: str, **changes: Any) -> RidingArea:
    """Change fields of a riding area by name; visits that are over keep it as it was."""
    with book.write():
        keep_shaft(book, rows.get(book, RidingArea, area_id).shaft_id)
        return change(book, RidingArea, area_id, changes)


def remove_area(book: Book, area_id: str) -> None:
    """Take a riding area off the shaft; the event log keeps what it was."""
    area = rows.get(book, RidingArea, area_id)
    with book.write() as con:
        keep_shaft(book, area.shaft_id)
        con.execute("DELETE FROM riding_area WHERE id = ?", (area_id,))
        note_change(book, "shaft", area.shaft_id, "area removed", _say(area), "")
        # A merge with another book looks for this line, so that the area does not come back.
        note_change(book, "riding_area", area_id, "removed", _say(area), "")


def _say(area: RidingArea) -> str:
    limit = "" if area.limit_in is None else f", limit {area.limit_in:g} in"
    return f"{area.kind} {area.name} {area.from_in:g} to {area.to_in:g} in{limit}"
