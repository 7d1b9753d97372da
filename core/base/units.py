"""Lengths and clocks as people type and read them: thou, decimal inch, fraction, mm, degrees.

Everything inside the core is inches and radians; this is the edge where it is converted, once.
A text is understood or refused by name, never guessed at: where it could be read in two ways the
message shows both. Whole numbers are kept as integers until the last step, so each text gives the
nearest float of its exact value. Standard library only, so that typing starts without numpy.
1 in = 25.4 mm exactly (the international inch), 1 thou = 0.001 in.
"""

from __future__ import annotations

import math
import re

from core.base.dial_unit import Unit as Unit
from core.base.dial_unit import length_unit as length_unit
from core.base.dial_unit import length_words as length_words
from core.base.dial_unit import shown_dial_unit
from core.base.errors import BadNumber

MM_PER_IN = 25.4
PER_INCH: dict[Unit, float] = {"in": 1.0, "thou": 1000.0, "mm": MM_PER_IN}
"""Units in an inch, to draw and to read files by; typed lengths are parsed with whole numbers."""

MOST_IN = 1200.0
"""No length on this bench is longer (100 ft), inches."""

DIAL_TURNS = 10
"""Whole turns that a dial has room for."""

_INCHES_IN: dict[str, tuple[int, int]] = {"in": (1, 1), "thou": (1, 1000), "mm": (5, 127)}
"""Inches in one unit, as numerator and denominator."""

_SUFFIXES: dict[str, Unit] = {
    "in": "in",
    "in.": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "''": "in",
    "thou": "thou",
    "thous": "thou",
    "mm": "mm",
}
_LOOKALIKES = str.maketrans(
    {
        "\u2212": "-",  # minus sign
        "\u2010": "-",
        "\u2011": "-",
        "\u2012": "-",
        "\u2013": "-",
        "\u2014": "-",
        "\u2044": "/",  # fraction slash
        "\u2215": "/",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\u2033": '"',
        "\u201d": '"',
        "\u201c": '"',
        "\u2032": "'",
        "\u2019": "'",
    }
)
_GLYPHS = {
    "\u00bd": "1/2",
    "\u00bc": "1/4",
    "\u00be": "3/4",
    "\u215b": "1/8",
    "\u215c": "3/8",
    "\u215d": "5/8",
    "\u215e": "7/8",
}
_SPLIT = re.compile(r"""^(?P<number>.*?)\s*(?P<suffix>[a-z]+\.?|"|''|)$""", re.DOTALL)
_DECIMAL = re.compile(r"^(?P<whole>[0-9]*)(?:[.,](?P<part>[0-9]*))?$")
_FRACTION = re.compile(r"^(?:(?P<whole>[0-9]+)(?: |-| - ))?(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)$")
_THOUSANDS = re.compile(r"^[1-9][0-9]{0,2},[0-9]{3}$")
_PLACES = re.compile(
    r"(?<![\w./-])([0-9]+(?:\.[0-9]+)?(?: to [0-9]+(?:\.[0-9]+)?)?) in(?![\w.])(?! per | [0-9])"
)
_SMALL_IN = 0.1
"""A length over 0 and under this in a text is a dial figure, not a place."""
_BOTTOMS = {2, 4, 8, 16, 32, 64, 128, 10, 100, 1000}


def parse_length_in(
    text: str,
    default_unit: Unit = "in",
    *,
    least_in: float = -MOST_IN,
    most_in: float = MOST_IN,
    what: str = "The number",
) -> float:
    """Inches from a typed text.

    Parameters
    ----------
    text : what was typed: ``1.75``, ``1-3/4``, ``3/4"``, ``12.5 thou``, ``-0,12 mm``.
    default_unit : unit of a text without a suffix.
    least_in, most_in : range allowed, inches.
    what : how to call it in a message ("Reading", "Shaft diameter").

    Raises
    ------
    BadNumber : empty, no number, could be read in two ways, or out of range; says what to do.
    """
    shown = quoted(text)
    clean = _tidy(text)
    if not clean:
        raise BadNumber(f"{what} is empty. Type a number.")
    body, unit, said = _split_unit(clean, default_unit, shown, what)
    sign, body = _split_sign(body, shown, what)
    if "/" in body:
        if not said and unit != "in":
            raise BadNumber(
                f'{what} {shown}: is that a part of an inch or of a {unit}? Write {body}" '
                f"or {body} {unit}."
            )
        top, bottom = _fraction(body, shown, what)
    else:
        top, bottom = _decimal(body, shown, what)
    times, per = _INCHES_IN[unit]
    if len(str(top)) - len(str(bottom)) > 12:
        raise BadNumber(f"{what} {shown} is far too large. Check the number and its unit.")
    value = sign * (top * times / (bottom * per))
    return _within(value, least_in, most_in, unit, shown, what)


def parse_place_in(text: str, *, what: str = "The station") -> float:
    """Inches from a typed place along the shaft, in the unit of the shop unless said: ``350``."""
    return parse_length_in(text, length_unit(), least_in=0.0, what=what)


def parse_reading_in(text: str, unit: Unit, dial_turn_in: float, *, what: str = "Reading") -> float:
    """Inches from a typed dial reading; beyond ten turns of the dial it is refused."""
    most_in = DIAL_TURNS * dial_turn_in
    return parse_length_in(text, unit, least_in=-most_in, most_in=most_in, what=what)


def parse_number(
    text: str, *, least: float = -1e6, most: float = 1e6, what: str = "The number"
) -> float:
    """A plain number without a unit (rpm, horse-power, hours, load), same care with commas."""
    shown = quoted(text)
    clean = _tidy(text)
    if not clean:
        raise BadNumber(f"{what} is empty. Type a number.")
    sign, body = _split_sign(clean, shown, what)
    top, bottom = _decimal(body, shown, what)
    if len(str(top)) - len(str(bottom)) > 12:
        raise BadNumber(f"{what} {shown} is far too large. Check the number.")
    value = sign * (top / bottom)
    if not least <= value <= most:
        limits = possible(least, most)
        raise BadNumber(f"{what} {shown} is out of range: {limits} is possible here.")
    return value


def parse_clock_rad(text: str, *, what: str = "The clock") -> float:
    """Radians in 0..2 pi from a typed clock in degrees, 0 to 360: ``45``, ``45 deg``, ``22,5``.

    Raises
    ------
    BadNumber : empty, no number, or not between 0 and 360.
    """
    shown = quoted(text)
    clean = _tidy(text)
    for suffix in ("\u00b0", "degrees", "deg"):
        clean = clean.removesuffix(suffix).strip()
    if not clean:
        raise BadNumber(f"{what} is empty. Type degrees, 0 to 360.")
    sign, body = _split_sign(clean, shown, what)
    top, bottom = _decimal(body, shown, what)
    if sign * top < 0 or top > 360 * bottom:
        raise BadNumber(f"{what} {shown} is not on the circle. Type degrees, 0 to 360.")
    return math.radians(top / bottom) % (2 * math.pi)


def format_thou(value_in: float, places: int = 1, *, unit: bool = True) -> str:
    """Inches shown in thousandths: 0.0013 -> ``1.3 thou``."""
    return fixed(value_in * 1000, places) + (" thou" if unit else "")


_FINER_PLACES: dict[Unit, int] = {"thou": 0, "mm": 2, "in": 3}
"""Decimal places beyond those of the same figure in thou."""


def format_dial(value_in: float, places: int = 1, *, unit: bool = True) -> str:
    """A dial figure, a gap or a clearance in the unit of the shop: ``1.3 thou``, ``0.033 mm``."""
    shown_in = shown_dial_unit()
    places += _FINER_PLACES[shown_in]
    return fixed(value_in * PER_INCH[shown_in], places) + (f" {shown_in}" if unit else "")


def format_inch(value_in: float, places: int = 4, *, unit: bool = True) -> str:
    """Inches shown as a decimal: ``1.7500 in``."""
    return fixed(value_in, places) + (" in" if unit else "")


def format_length(value_in: float, places: int = 4, *, unit: bool = True) -> str:
    """A length in the unit of the shop: ``1.7500 in``, in a metric shop ``44.450 mm``.

    `places` are those of inches; a figure in mm has one less.
    """
    if length_unit() == "mm":
        return format_mm(value_in, max(0, places - 1), unit=unit)
    return format_inch(value_in, places, unit=unit)


def format_station(value_in: float, *, unit: bool = True) -> str:
    """A place along the shaft as the bench says it: ``36.25 in``, in a metric shop ``920.8 mm``.

    No needless zeros; to 0.001 in or 0.1 mm, closer than anybody sets a dial or a ram.
    """
    text = format_length(value_in, 3 if length_unit() == "in" else 2, unit=False)
    short = text.rstrip("0").rstrip(".") if "." in text else text
    return f"{short} {length_unit()}" if unit else short


def format_from_to(from_in: float, to_in: float, *, unit: bool = True) -> str:
    """A length of shaft by its two ends: ``12 to 24.5 in``."""
    return f"{format_station(from_in, unit=False)} to {format_station(to_in, unit=unit)}"


def each_inch() -> str:
    """'inch' of a rule by the inch; in a metric shop ``25.4 mm``."""
    return "inch" if length_unit() == "in" else f"{MM_PER_IN} mm"


def in_shop_unit(text: str) -> str:
    """A stored text with its places in the unit of the shop: 'hit at 12.5 in', 'hit at 317.5 mm'.

    The book keeps inches also inside names and notes; only what is shown is turned into mm.
    """
    if length_unit() == "in":
        return text
    return _PLACES.sub(_in_mm, text)


def _in_mm(found: re.Match[str]) -> str:
    ends = [float(end) for end in found[0].removesuffix(" in").split(" to ")]
    shown = format_dial if 0 < max(ends) < _SMALL_IN else format_station
    return f"{' to '.join(shown(end, unit=False) for end in ends)} mm"


def format_mm(value_in: float, places: int = 3, *, unit: bool = True) -> str:
    """Inches shown in millimetres: 0.001 -> ``0.025 mm``."""
    return fixed(value_in * MM_PER_IN, places) + (" mm" if unit else "")


def format_in_unit(value_in: float, shown_in: Unit, places: int | None = None) -> str:
    """Inches shown in the unit the shop reads, with that unit's usual number of places."""
    usual = {"thou": 1, "mm": 3, "in": 4}[shown_in]
    number = fixed(value_in * PER_INCH[shown_in], usual if places is None else places)
    return f"{number} {shown_in}"


def format_typed(value_in: float, shown_in: Unit) -> str:
    """Inches as a person would type them, without the unit: ``12.5``, ``-3``, ``0.35``."""
    places = {"thou": 3, "in": 6, "mm": 5}[shown_in]
    return number_text(value_in * PER_INCH[shown_in], places)


def number_text(value: float | None, places: int = 4) -> str:
    """A number as a person would type it, no needless zeros: ``1234567``; None = empty."""
    text = "" if value is None else fixed(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def format_size(value_in: float, *, unit: bool = True) -> str:
    """Stock size: ``1-3/4 in`` when it is a whole number of 64ths, else the decimal."""
    end = " in" if unit else ""
    sixty_fourths = round(abs(value_in) * 64)
    if abs(abs(value_in) * 64 - sixty_fourths) > 1e-6:
        return format_inch(value_in, 4, unit=unit)
    sign = "-" if value_in < 0 and sixty_fourths else ""
    whole, rest = divmod(sixty_fourths, 64)
    if not rest:
        return f"{sign}{whole}{end}"
    share = math.gcd(rest, 64)
    fraction = f"{rest // share}/{64 // share}"
    return f"{sign}{whole}-{fraction}{end}" if whole else f"{sign}{fraction}{end}"


def format_shop_size(value_in: float) -> str:
    """A size in the unit of the shop: ``1-3/4 in``, in a metric shop ``44.45 mm``."""
    if length_unit() == "in":
        return format_size(value_in)
    return f"{format_mm(value_in, unit=False).rstrip('0').rstrip('.')} mm"


def format_clock(clock_rad: float, places: int = 0, *, unit: str = " deg") -> str:
    """Clock in degrees, 0 up to 360: ``45 deg``. `unit` may be a degree sign or empty."""
    degrees = round(math.degrees(clock_rad) % 360, places) % 360
    return fixed(degrees, places) + unit


def format_angle(angle_rad: float, places: int = 1, *, unit: bool = True) -> str:
    """Bend angle in thousandths of a radian (thou per inch of length): ``4.2 mrad``."""
    return fixed(angle_rad * 1000, places) + (" mrad" if unit else "")


def possible(least: float, most: float) -> str:
    """A range in a message: ``0 to 1,000,000``."""
    return " to ".join(f"{float(f'{limit:.6g}'):,.10g}" for limit in (least, most))


def fixed(value: float, places: int, grouped: str = "") -> str:
    """Fixed places, never ``-0.0``; thousands apart with `grouped` = ','."""
    text = f"{value:{grouped}.{places}f}"
    return text.lstrip("-") if not text.strip("-0.") else text


def quoted(text: str) -> str:
    """The typed text fit for a one-line message: no control characters, not endless."""
    printable = "".join(c if c.isprintable() else "?" for c in text.strip())
    return f"'{printable if len(printable) <= 24 else printable[:21] + '...'}'"


def _tidy(text: str) -> str:
    clean = text.translate(_LOOKALIKES)
    for glyph, fraction in _GLYPHS.items():
        clean = re.sub(rf"(?<=[0-9])[ -]?{glyph}", f" {fraction}", clean).replace(glyph, fraction)
    return clean.strip(" \t\r\n").lower()


def _split_unit(text: str, default: Unit, shown: str, what: str) -> tuple[str, Unit, bool]:
    """Body of the number, its unit, and whether the unit was said."""
    found = _SPLIT.match(text)
    assert found is not None
    body, suffix = found["number"], found["suffix"]
    if not suffix:
        return body, default, False
    if suffix in _SUFFIXES and body:
        return body, _SUFFIXES[suffix], True
    if body.endswith("'") or "ft" in suffix or "feet" in suffix:
        raise BadNumber(f"{what} {shown}: feet are not used here. Write it in inches.")
    raise BadNumber(
        f"{what} {shown} is not a number. Type digits, with in, thou or mm behind them if needed."
    )


def _split_sign(text: str, shown: str, what: str) -> tuple[int, str]:
    if text[:1] in {"-", "+"}:
        body = text[1:].lstrip(" ")
        return (-1 if text[0] == "-" else 1), body
    if "'" in text:
        raise BadNumber(f"{what} {shown}: feet are not used here. Write it in inches.")
    return 1, text


def _decimal(text: str, shown: str, what: str) -> tuple[int, int]:
    """Numerator and denominator of a decimal number without a sign."""
    if "e" in text and re.fullmatch(r"[0-9.,]+e[-+]?[0-9]+", text):
        raise BadNumber(f"{what} {shown}: write the number out in full, without an e.")
    if "," in text and ("." in text or text.count(",") > 1):
        raise BadNumber(
            f"{what} {shown} has more than one comma or point. Write it with one decimal point "
            "and nothing between the thousands."
        )
    if _THOUSANDS.match(text):
        raise BadNumber(
            f"{what} {shown} can be read as {text.replace(',', '.')} or as "
            f"{text.replace(',', '')}. Write one of those."
        )
    found = _DECIMAL.match(text)
    if found is None or not (found["whole"] or found["part"]):
        raise BadNumber(f"{what} {shown} is not a number. Type digits and one decimal point.")
    part = found["part"] or ""
    if len(text) > 40:
        raise BadNumber(f"{what} {shown} has too many digits. Check the number.")
    return int(found["whole"] + part), 10 ** len(part)


def _fraction(text: str, shown: str, what: str) -> tuple[int, int]:
    """Numerator and denominator of ``3/4``, ``1-3/4`` or ``1 3/4`` without a sign."""
    found = _FRACTION.match(text)
    if found is None or len(text) > 20:
        raise BadNumber(f"{what} {shown} is not a fraction. Write it like 1-3/4 or 1.75.")
    whole, top, bottom = int(found["whole"] or 0), int(found["top"]), int(found["bottom"])
    if bottom not in _BOTTOMS:
        raise BadNumber(
            f"{what} {shown}: no rule has {bottom}ths. Use halves to 128ths, or write a decimal."
        )
    if found["whole"] is not None and top >= bottom:
        raise BadNumber(f"{what} {shown}: {top}/{bottom} is a whole inch or more. Check it.")
    return whole * bottom + top, bottom


def _within(
    value_in: float, least_in: float, most_in: float, unit: Unit, shown: str, what: str
) -> float:
    if least_in <= value_in <= most_in:
        return value_in
    times, per = _INCHES_IN[unit]
    low, high = (f"{limit * per / times:.6g}" for limit in (least_in, most_in))
    raise BadNumber(
        f"{what} {shown} is out of range: {low} to {high} {unit} is possible here. "
        "Check the number and its unit."
    )
