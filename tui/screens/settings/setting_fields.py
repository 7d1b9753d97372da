"""Shop settings as fields of a form, and typed values back as settings."""

from __future__ import annotations

from dataclasses import asdict

from core.base.quantities import KEPT_IN
from core.base.units import format_dial, format_size, format_typed, length_unit, number_text
from core.book.settings import FIELDS, SettingField, ShopSettings
from tui.widgets.form import FieldSpec

GROUPS: tuple[str, ...] = tuple(dict.fromkeys(field.group for field in FIELDS))
_YES_NO = (("yes", "yes"), ("no", "no"))
SMALL_IN = 0.25
"""Settings whose first value lies under this are dial figures: shown in thou as well."""


def specs_of(group: str, shop: ShopSettings) -> tuple[FieldSpec, ...]:
    """The fields of one group with the values in force."""
    values = asdict(shop)
    return tuple(_spec(field, values[field.name]) for field in FIELDS if field.group == group)


_SUMMARIES = {
    "Shop": "names on the ticket, this bench, bell, unit",
    "Limits": "how true each kind of riding area must run",
    "Sweep": "dial, marks, station spacing",
    "Straighten": "press, blocks, rest before the hold check",
    "Money": "rates and prices for repair or replace",
    "Checks": "penetrant standard, coupling bore, face, pilot",
    "Book": "backups and exports",
}


def summary_of(group: str) -> str:
    """A group in a few words, for the menu."""
    labels = (field.label for field in FIELDS if field.group == group)
    return _SUMMARIES.get(group) or "; ".join(labels)


def _spec(field: SettingField, value: object) -> FieldSpec:
    first = getattr(ShopSettings(), field.name)
    if isinstance(first, bool):
        word = "yes" if value else "no"
        return FieldSpec(field.name, field.label, "choice", word, choices=_YES_NO)
    if field.choices:
        pairs = tuple((choice, choice) for choice in field.choices)
        return FieldSpec(field.name, field.label, "choice", str(value), choices=pairs)
    if field.unit == "in":
        small = is_small(field.name)
        unit = length_unit()
        text = format_typed(value, unit) if unit == "mm" and isinstance(value, float) else ""
        return FieldSpec(
            field.name,
            field.label,
            "length",
            text or _typed(value),
            unit=unit,
            echo=echo(field, value),
            most=0.5 if small else 1000.0,
        )
    if isinstance(first, str):
        return FieldSpec(field.name, field.label, "text", str(value))
    quantity = KEPT_IN.get(field.unit)
    text = _typed(value) if quantity is None else quantity.typed(float(str(value)))
    return FieldSpec(
        field.name, field.label, "number", text, echo=echo(field, value), quantity=quantity,
        least=None if quantity is None else 0.0, most=None if quantity is None else 1e9,
    )  # fmt: skip


def is_small(name: str) -> bool:
    """Whether a length setting is a dial figure (thousandths) and not a distance."""
    first = getattr(ShopSettings(), name)
    return first is None or abs(first) < SMALL_IN


def _typed(value: object) -> str:
    return number_text(value, 6) if value is None or isinstance(value, float) else str(value)


def echo(field: SettingField, value: object) -> str:
    """How a value is understood, behind its field."""
    if field.unit in KEPT_IN:
        return KEPT_IN[field.unit].unit
    if field.unit != "in":
        return field.unit
    if not isinstance(value, float):
        return length_unit()
    metric = length_unit() == "mm"
    if not is_small(field.name):
        return f"mm = {format_size(value)}" if metric else format_size(value)
    return "mm" if metric else f"in = {format_dial(value)}"


def stored_value(name: str, value: object) -> object:
    """What the book keeps for what the form gives."""
    first = getattr(ShopSettings(), name)
    return value == "yes" if isinstance(first, bool) else value
