"""Old cards from a CSV file: one card a line, as somebody typed them off the paper.

The header names the columns, in any order and whatever they are called::

    customer,vessel,shaft,size,year,outcome,note
    Haldorsen,Gannet,port,1-3/4 x 96,1998,straightened,hit a rock

Only a customer or a vessel must be there. Nothing is guessed: a size or a year that cannot be read
for sure stays as it was written, and no length is made up. Bytes in, rows out; no file is opened.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from core.base.errors import ShaftlogError
from core.base.text import clean_text, one_line
from core.base.units import Unit, length_unit, parse_length_in
from core.jobs.sweep_import.csv_rows import decode_text

COLUMNS = ("customer", "vessel", "shaft", "size", "year", "outcome", "note")
DELIMITERS = ",;\t|"
LEAST_ON_CARD_IN, MOST_ON_CARD_IN = 0.2, 20.0
"""What is no diameter of a boat's shaft: another unit than that of the shop, or a length."""
FIRST_YEAR, LAST_YEAR = 1850, 2100
_YEAR = re.compile(r"(?<!\d)(1[89]\d\d|20\d\d)(?!\d)")
_BETWEEN = re.compile(r"\s*(?:[x×*]|\bby\b)\s*", re.IGNORECASE)
_SAMPLE = 20_000
LINES_A_REPORT = 1000
Progress = Callable[[int, int], None]
"""Called with what is done and what there is in all; may raise to stop."""


@dataclass(frozen=True)
class CardLine:
    """One card as the file has it."""

    line: int
    customer: str
    vessel: str
    shaft: str
    size: str
    diameter_in: float | None
    year: int | None
    outcome: str
    note: str


@dataclass(frozen=True)
class CardFile:
    """All cards of a file."""

    cards: tuple[CardLine, ...]
    empty: tuple[int, ...]
    """Lines with neither customer nor vessel."""
    undated: tuple[int, ...]
    """Lines whose year cannot be read; what was written is in the note."""


def parse_card_columns(given: Sequence[str]) -> dict[str, str]:
    """`OURS=THEIRS` arguments as a mapping."""
    mapping = {}
    for text in given:
        ours, sign, theirs = (part.strip() for part in text.partition("="))
        if not sign or ours not in COLUMNS or not theirs:
            raise ShaftlogError(
                f"--column {text!r}: write OURS=THEIRS, where OURS is one of {', '.join(COLUMNS)}"
            )
        mapping[ours] = theirs
    return mapping


def headings_of(data: bytes, name: str) -> tuple[str, ...]:
    """The headings of the file, as they are written there."""
    text = decode_text(data, name).partition("\n")[0]
    row = next(csv.reader(io.StringIO(text, newline=""), _dialect(text)), [])
    found = (one_line(cell.strip().strip("\ufeff")) for cell in row)
    return tuple(dict.fromkeys(heading for heading in found if heading))


def first_columns(headings: Sequence[str], remembered: Mapping[str, str]) -> dict[str, str]:
    """For each of our columns the heading used last time, else one of our own name, else none."""
    known = {heading.casefold(): heading for heading in headings}
    return {
        name: known.get(remembered.get(name, name).casefold(), known.get(name, ""))
        for name in COLUMNS
    }


def read_card_file(
    data: bytes, name: str, columns: Mapping[str, str], progress: Progress = lambda *_: None
) -> CardFile:
    """Every card of the file.

    Parameters
    ----------
    data : content of the file: UTF-8, UTF-16 or Latin-1; columns parted by any of `DELIMITERS`.
    name : file name for messages.
    columns : which heading of the file serves as which of `COLUMNS`; those left out have our names.
    progress : called with lines read and lines in all; what it raises ends the reading.

    Raises
    ------
    ShaftlogError
        One plain line: file, line, what is wrong and what to do.
    """
    text = decode_text(data, name)
    rows = csv.reader(io.StringIO(text, newline=""), _dialect(text))
    try:
        places = _places(next(rows, []), name, columns)
        every = text.count("\n") + 1
        return _sorted_out(rows, places, name, lambda line: progress(min(line, every), every))
    except csv.Error as error:
        raise ShaftlogError(
            f"{name}, line {rows.line_num}: not readable as CSV ({error}); look for a stray quote"
        ) from None


def _dialect(text: str) -> type[csv.Dialect]:
    try:
        return csv.Sniffer().sniff(text[:_SAMPLE].partition("\n")[0], DELIMITERS)
    except csv.Error:
        return csv.excel


def _places(header: Sequence[str], name: str, columns: Mapping[str, str]) -> dict[str, int]:
    """Where each of our columns is in a line."""
    found = [cell.strip().strip("\ufeff").casefold() for cell in header]
    places = {}
    for ours in COLUMNS:
        wanted = columns.get(ours, ours).casefold()
        if wanted in found:
            places[ours] = found.index(wanted)
        elif ours in columns:
            raise ShaftlogError(f"{name}, line 1: no column {columns[ours]!r}; {_headings(header)}")
    if not {"customer", "vessel"} & set(places):
        raise ShaftlogError(
            f"{name}, line 1: no column is called customer or vessel; {_headings(header)}. Say "
            "which is which, such as --column customer=OWNER"
        )
    return places


def _headings(header: Sequence[str]) -> str:
    return f"it has {one_line(', '.join(header))[:200]}"


def _sorted_out(
    rows: Iterator[list[str]],
    places: dict[str, int],
    name: str,
    report: Callable[[int], None],
) -> CardFile:
    cards, empty, undated = [], [], []
    for number, cells in enumerate(rows):
        line = rows.line_num  # type: ignore[attr-defined]
        if number % LINES_A_REPORT == 0:
            report(line)
        if not any(cell.strip() for cell in cells):
            continue
        of = {
            ours: clean_text(cells[at], lines=ours == "note") if at < len(cells) else ""
            for ours, at in places.items()
        }
        if not of.get("customer") and not of.get("vessel"):
            empty.append(line)
            continue
        year = year_of(of.get("year", ""))
        note = of.get("note", "")
        if of.get("year") and year is None:
            undated.append(line)
        if of.get("year") and of["year"] != str(year):
            note = "\n".join(part for part in (note, f"Year on the card: {of['year']}") if part)
        cards.append(
            CardLine(
                line,
                of.get("customer", ""),
                of.get("vessel", ""),
                of.get("shaft", ""),
                of.get("size", ""),
                diameter_of(of.get("size", "")),
                year,
                of.get("outcome", ""),
                note,
            )
        )
    if not cards:
        raise ShaftlogError(f"{name}: there is a header but no card below it")
    return CardFile(tuple(cards), tuple(empty), tuple(undated))


def year_of(text: str) -> int | None:
    """The one year a text names, of four digits; None when there is none, or several."""
    found = {int(year) for year in _YEAR.findall(text)}
    year = found.pop() if len(found) == 1 else None
    return year if year is not None and FIRST_YEAR <= year < LAST_YEAR else None


def diameter_of(size: str) -> float | None:
    """The diameter in a size such as '1-3/4 x 96' or '50 mm'; None = not sure. Inches.

    A number without a unit is in the unit of the shop; a fraction is always in inches.
    """
    return _diameter(size, length_unit())


@lru_cache(maxsize=10_000)
def _diameter(size: str, unit: Unit) -> float | None:
    first = _BETWEEN.split(size.strip())[0]
    try:
        diameter_in = parse_length_in(first, "in" if "/" in first else unit)
    except ShaftlogError:
        return None
    return diameter_in if LEAST_ON_CARD_IN < diameter_in < MOST_ON_CARD_IN else None
