"""Figures and harmless text as both forms of the ticket print them."""

from __future__ import annotations

import math
import unicodedata
from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any

from core.base.text import one_line
from core.base.units import format_dial, format_shop_size, format_station, length_unit

if TYPE_CHECKING:
    from core.runout.station_result import StationFit

INDENT = "  "


def clean(text: str, most: int = 2000) -> str:
    """One harmless line of what a person typed; a very long one is cut and says so."""
    line = one_line(text)
    return line if len(line) <= most else line[: most - 6] + " (cut)"


def indented(text: str) -> str:
    """`clean`, but a line indented by two blanks, under a heading of its own, stays so."""
    line = clean(text)
    return f"{INDENT}{line}" if line and text.startswith(INDENT) else line


def all_clean(value: Any) -> Any:
    """The same dataclass with every text in it made one harmless line."""
    if isinstance(value, str):
        return indented(value)
    if isinstance(value, tuple):
        return tuple(all_clean(item) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{f.name: all_clean(getattr(value, f.name)) for f in fields(value)})
    return value


def dial(value_in: float | None) -> str:
    """A figure in the unit of the shop's dials, such as '1.5'; '-' where nothing was measured."""
    return "-" if value_in is None else format_dial(value_in, unit=False)


def station_text(value_in: float) -> str:
    """A place along the shaft in the unit of the shop, such as '12.375' or '314.3'."""
    return format_station(value_in, unit=False)


def shop_size(value_in: float) -> str:
    """A size with its unit: decimal inches, in a metric shop mm."""
    return format_shop_size(value_in) if length_unit() == "mm" else format_station(value_in)


def clock(clock_deg: float | None) -> str:
    """Clock as three digits, such as '045'; '-' where the noise hides it."""
    return "-" if clock_deg is None else f"{round(clock_deg) % 360:03d}"


def high_spot_deg(fit: StationFit) -> float | None:
    """Clock of a station's high spot in degrees; None when the noise hides it."""
    return math.degrees(fit.high_spot_rad) if fit.high_spot_known else None


def interval(low_in: float | None, high_in: float | None) -> str:
    """An interval in the unit of the dials, such as '0.8 to 1.9'."""
    return "-" if low_in is None or high_in is None else f"{dial(low_in)} to {dial(high_in)}"


def columns_of(text: str) -> int:
    """Columns a text takes on a terminal or a printer: wide letters two, accents none."""
    wide = sum(1 for c in text if unicodedata.east_asian_width(c) in "WF")
    none = sum(1 for c in text if unicodedata.combining(c))
    return len(text) + wide - none


def cut(text: str, width: int) -> str:
    """Text cut to a width in columns."""
    if columns_of(text) <= width:
        return text
    kept = ""
    for char in text:
        if columns_of(kept + char) > width - 1:
            break
        kept += char
    return kept + "~"


def pad(text: str, width: int) -> str:
    """Text cut or filled with blanks to exactly a width in columns."""
    text = cut(text, width)
    return text + " " * (width - columns_of(text))
