"""Parts to offer the owner with a shaft, and the order sheet for a replacement shaft.

A figure that was measured is an order figure; one out of a table is marked with how far it can be
trusted; one that is missing stays open. Lengths inches.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.base.units import format_length, format_shop_size, format_size
from core.fitting.keys.sizes import standards_differ
from core.fitting.shaft.ends import FIGURES, StandardEnd

UNVERIFIED = "(?)"
"""Stands behind every figure of an order sheet that was not measured."""


@dataclass(frozen=True)
class OfferedPart:
    """One part to offer; the size is what is known, with its doubt said."""

    name: str
    size: str
    why: str


def parts_to_offer(
    *, standard: StandardEnd | None, present: Sequence[str] = (), diameter_in: float | None = None
) -> tuple[OfferedPart, ...]:
    """Parts of the shaft that are not in `present` (names as below).

    Nut thickness and cotter hole are not in the tables (not legible): fit them to the shaft.

    References: what belongs to a shaft end: common practice, no source.
    """
    thread, key = _thread_size(standard), _key_size(standard)
    shaft = (
        "shaft diameter not known"
        if diameter_in is None
        else f"for {format_shop_size(diameter_in)}"
    )
    parts = (
        OfferedPart("key", key, "a key that was hammered or peened before is cheaper new"),
        OfferedPart("propeller nut", thread, "worn thread, rounded flats or wrong metal"),
        OfferedPart("jam nut", f"{thread}; the thin nut goes on first", "holds the propeller nut"),
        OfferedPart("cotter pin", "by the hole of this shaft", "never used twice"),
        OfferedPart("coupling bolts and nuts", "by the flange holes", "stretched or rusty bolts"),
        OfferedPart("set screws and lock wire", "by the hub holes", "screws that back out"),
        OfferedPart("shaft anode", shaft, "goes with a clean shaft"),
        OfferedPart("stuffing box packing", shaft, "new packing on a new surface"),
        OfferedPart("shaft bearing", shaft, "worn bearings undo a true shaft"),
    )
    have = {name.strip().lower() for name in present}
    return tuple(part for part in parts if part.name not in have)


def _thread_size(standard: StandardEnd | None) -> str:
    diameter = None if standard is None else standard.figure("thread diameter")
    pitch = None if standard is None else standard.figure("threads per inch")
    if diameter is None or pitch is None or diameter.nominal is None or pitch.nominal is None:
        return "thread not known: measure it"
    mark = "" if diameter.verified else f" {UNVERIFIED} {diameter.status}"
    return f"{format_size(diameter.nominal, unit=False)}-{pitch.nominal:g}{mark}"


def _key_size(standard: StandardEnd | None) -> str:
    width = None if standard is None else standard.figure("keyway width")
    if standard is None or width is None or width.nominal is None:
        return "key not known: measure the keyway"
    square = f"{format_size(width.nominal)} square, length by the keyway"
    doubt = " (J755 and B17.1 differ here)" if standards_differ(standard.diameter_in) else ""
    return square + doubt


@dataclass(frozen=True)
class OrderLine:
    """One line of an order sheet."""

    what: str
    value: str
    """Empty when nothing is known."""
    verified: bool
    """True only for what was measured on this shaft."""
    remark: str

    @property
    def text(self) -> str:
        """The line as printed, unverified figures marked."""
        shown = self.value or "____________"
        mark = "" if self.verified else f" {UNVERIFIED}"
        remark = f"  {self.remark}" if self.remark else ""
        return f"{self.what:<24}{shown}{mark}{remark}"


SHAFT_LINES = (
    "shaft diameter",
    "overall length",
    "material",
    "coupling seat diameter",
    "coupling keyway width",
    "coupling keyway length",
)
"""Lines before the shaft end; the texts come from the job."""


def order_sheet(
    *,
    known: Mapping[str, str],
    measured: Mapping[str, float],
    standard: StandardEnd | None,
) -> tuple[OrderLine, ...]:
    """Order sheet for a replacement shaft.

    Parameters
    ----------
    known : texts of `SHAFT_LINES` that were measured or certain; others stay open.
    measured : figures of the shaft end by the names of `core.fitting.shaft.ends.FIGURES`, inches.
    standard : the end it seems to be; fills open lines, marked with the table's own status.
    """
    lines = [
        OrderLine(what, known.get(what, ""), bool(known.get(what)), "" if known.get(what) else OPEN)
        for what in SHAFT_LINES
    ]
    lines += [_end_line(what, measured, standard) for what in FIGURES if not what.startswith("hub")]
    return tuple(lines)


OPEN = "not measured: measure before ordering"


def _end_line(what: str, measured: Mapping[str, float], standard: StandardEnd | None) -> OrderLine:
    if what in measured:
        return OrderLine(what, _value(what, measured[what]), True, "measured")
    figure = None if standard is None else standard.figure(what)
    if standard is None or figure is None or figure.nominal is None:
        return OrderLine(what, "", False, OPEN)
    remark = f"{standard.standard}: {figure.status}"
    return OrderLine(what, _value(what, figure.nominal), False, remark)


def _value(what: str, value: float) -> str:
    return f"{value:g}" if what == "threads per inch" else format_length(value)
