"""A sweep from a CSV file: from a spreadsheet, a gauge logger, or typed by hand.

The file has a header naming at least a station, a clock and a reading column::

    station_in,clock_deg,reading_thou
    12,0,-1.5
    12,45,blocked

A blank reading or the word ``blocked`` says that the plunger was blocked at that mark (keyway).
The last reading of a station taken at its first mark is the closing mark, which tells drift.
Commas, semicolons or tabs may part the columns; in the last two a comma may be the decimal sign.
Nothing is guessed: a number that could be read two ways is refused by name, with its line.

Only the standard library is used and no file is opened here: bytes in, rows out.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import cast

from core.base.errors import ShaftlogError
from core.base.units import PER_INCH, Unit

COLUMNS = {
    "station": ("station_in", "station_mm"),
    "clock": ("clock_deg",),
    "reading": ("reading_thou", "reading_in", "reading_mm"),
}
"""The columns wanted and the names that say their units."""
HEADER = "station_in,clock_deg,reading_thou"
BLOCKED_WORDS = frozenset({"", "blocked", "block", "x", "*", "-", "n/a", "na"})
MAX_BYTES = 32_000_000
MAX_STATION_IN = 2400.0
MAX_READING_IN = 5.0
MAX_CLOCK_DEG = 1080.0
_NUMBER = re.compile(r"[-+]?(\d+(\.\d*)?|\.\d+)([eE][-+]?\d{1,3})?")
_NOT_NUMBERS = re.compile(r"[-+]?(nan|inf|infinity)", re.IGNORECASE)
_DASHES = str.maketrans({"\u2212": "-", "\u2013": "-", "\u00a0": " "})


class SweepFileError(ShaftlogError):
    """A sweep file that cannot be used: names the file, the line and what is wrong."""

    def __init__(self, name: str, line: int | tuple[int, int] | None, what: str) -> None:
        self.name = name
        self.line = line[0] if isinstance(line, tuple) else line
        self.what = what
        super().__init__(f"{name}{_where(line)}: {what}")


def _where(line: int | tuple[int, int] | None) -> str:
    """Place in the file as words: nothing, one line, or a run of lines."""
    if line is None:
        return ""
    if isinstance(line, int):
        return f", line {line}"
    first, last = line
    return f", line {first}" if first == last else f", lines {first}-{last}"


@dataclass(frozen=True)
class CsvRow:
    """One line of the file."""

    line: int
    """Line number in the file, the first being 1."""
    station_in: float
    """Station, inches."""
    clock_deg: float
    """Clock of the mark, degrees, as in the file."""
    reading_in: float | None
    """Reading, inches; None = plunger blocked."""
    raw: str
    """The reading as in the file."""
    sweep: str = ""
    """What the file's `sweep` column says, if it has one."""


def parse_columns(given: Sequence[str]) -> dict[str, str]:
    """`OURS=THEIRS` arguments as a mapping."""
    known = [name for names in COLUMNS.values() for name in names]
    mapping: dict[str, str] = {}
    for text in given:
        ours, sign, theirs = text.partition("=")
        if not sign or ours.strip() not in known or not theirs.strip():
            raise ShaftlogError(
                f"--column {text!r}: write OURS=THEIRS, where OURS is one of {', '.join(known)}"
            )
        mapping[ours.strip()] = theirs.strip()
    return mapping


def read_rows(
    data: bytes, name: str, columns: Mapping[str, str] | None = None, sweep: str | None = None
) -> list[CsvRow]:
    """All rows of one sweep of a sweep file, in file order.

    Parameters
    ----------
    data : content of the file.
    name : file name for messages.
    columns : which column of the file serves as which of ours, such as
        ``{"reading_mm": "Channel 1"}``; ours are the names of `COLUMNS`.
    sweep : which sweep is wanted, where a column named `sweep` tells several apart.

    Raises
    ------
    SweepFileError
        One plain line: file, line number, what is wrong and what to do.
    """
    text = decode_text(data, name)
    lines = text.split("\n")
    start, delimiter = _find_header(lines, name, columns or {})
    body = csv.reader(
        io.StringIO("\n".join(lines[start:]), newline=""),
        delimiter=delimiter,
        skipinitialspace=True,
    )
    try:
        header = _Header.of(next(body), name, start + 1, columns or {})
        rows = list(_rows(body, header, name, start, delimiter))
    except csv.Error as error:
        raise _no_csv(name, start + body.line_num, error) from None
    if not rows:
        raise SweepFileError(name, start + 1, "there is a header but no readings below it")
    return _one_sweep(rows, name, sweep)


def _no_csv(name: str, line: int, error: csv.Error) -> SweepFileError:
    if "field limit" in str(error):
        most = csv.field_size_limit()
        return SweepFileError(
            name, line, f"a value of more than {most:,} characters; look for a stray quote"
        )
    return SweepFileError(name, line, f"not readable as CSV ({error}); look for a stray quote")


def columns_in(data: bytes, name: str) -> tuple[str, ...]:
    """The headings of a file as they stand in it, whatever they are called.

    For asking which column serves as which: the first line that is no comment, parted by
    semicolons, tabs or commas, whichever it has most of.
    """
    lines = decode_text(data, name).split("\n")
    for line in lines:
        if line.strip() and not line.startswith("#") and not line.lower().startswith("sep="):
            best = max((",", ";", "\t"), key=line.count)
            try:
                cells = next(csv.reader([line], delimiter=best, skipinitialspace=True), [])
            except csv.Error as error:
                raise _no_csv(name, lines.index(line) + 1, error) from None
            return tuple(cell.strip().strip("\ufeff") for cell in cells)
    raise SweepFileError(name, 1, f"nothing but comments; the header should be {HEADER}")


def _one_sweep(rows: list[CsvRow], name: str, sweep: str | None) -> list[CsvRow]:
    """Rows of the sweep wanted; a file of several sweeps is never mixed into one."""
    found = list(dict.fromkeys(row.sweep for row in rows))
    if sweep is not None:
        chosen = [row for row in rows if row.sweep == sweep]
        if not chosen:
            known = ", ".join(one for one in found[:12] if one)
            there = f"only {known}" if known else "it has no column named sweep; leave --sweep out"
            raise SweepFileError(name, 1, f"there is no sweep {sweep!r} in it, {there}")
        return chosen
    if len(found) > 1:
        second = next(row.line for row in rows if row.sweep != found[0])
        raise SweepFileError(
            name, second, f"{len(found)} sweeps in one file; say which with --sweep {found[0]}"
        )
    return rows


def decode_text(data: bytes, name: str) -> str:
    """Text of a file written by whatever program: UTF-8, UTF-16 or Latin-1, any line ends."""
    if len(data) > MAX_BYTES:
        raise SweepFileError(
            name, None, f"more than {MAX_BYTES / 1e6:.0f} MB is too big for a sweep; thin it"
        )
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = data.decode("utf-16", errors="replace")
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("latin-1")
    if "\0" in text or _control_share(text) > 0.02:
        raise SweepFileError(name, 1, "this is not a text file; save the sheet as CSV first")
    text = text.replace("\r\n", "\n").replace("\r", "\n").translate(_DASHES)
    if not text.strip():
        raise SweepFileError(
            name, 1, f"the file is empty; the first line should be the header {HEADER}"
        )
    return text


def _control_share(text: str) -> float:
    """Share of control characters in the beginning of a text; a real CSV has hardly any."""
    head = text[:4000]
    odd = sum(1 for c in head if (ord(c) < 32 and c not in "\t\n\r\f") or 127 <= ord(c) < 160)
    return odd / max(len(head), 1)


def _find_header(lines: list[str], name: str, columns: Mapping[str, str]) -> tuple[int, str]:
    """Index of the header line and what parts its columns.

    A spreadsheet's ``sep=;`` line, comment lines and blank lines may stand before it.
    """
    for number, line in enumerate(lines):
        if not line.strip() or line.startswith("#") or line.lower().startswith("sep="):
            continue
        for delimiter in (",", ";", "\t"):
            cells = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
            if not _Header.missing(_clean(cells), columns):
                return number, delimiter
        best = max((",", ";", "\t"), key=line.count)
        found = _clean(next(csv.reader([line], delimiter=best), []))
        lacking = ", ".join(_Header.missing(found, columns))
        raise SweepFileError(
            name,
            number + 1,
            f"the header has no column {lacking}; it should be {HEADER}, not {line.strip()[:60]!r}",
        )
    raise SweepFileError(name, 1, f"nothing but comments; the header should be {HEADER}")


def _clean(cells: list[str]) -> list[str]:
    return [cell.strip().strip("\ufeff").casefold() for cell in cells]


@dataclass(frozen=True)
class _Header:
    """Where each column is and what turns its numbers into inches."""

    station: int
    clock: int
    reading: int
    station_unit: Unit
    reading_unit: Unit
    sweep: int | None
    width: int

    @staticmethod
    def missing(found: list[str], columns: Mapping[str, str]) -> list[str]:
        """Wanted columns that a header lacks, by the name the file should have."""
        lacking = []
        for names in COLUMNS.values():
            wanted = [columns[n] for n in names if n in columns] or list(names)
            if not any(w.strip().casefold() in found for w in wanted):
                lacking.append(wanted[0])
        return lacking

    @classmethod
    def of(cls, cells: list[str], name: str, line: int, columns: Mapping[str, str]) -> _Header:
        """Positions of the wanted columns; a column named twice is refused, not picked."""
        found = _clean(cells)
        place: dict[str, tuple[int, Unit]] = {}
        for ours, names in COLUMNS.items():
            mapped = [n for n in names if n in columns]
            hits = [
                (index, cast("Unit", n.rpartition("_")[2]))
                for n in mapped or names
                for index, cell in enumerate(found)
                if cell == columns.get(n, n).strip().casefold()
            ]
            if len(hits) > 1:
                raise SweepFileError(
                    name, line, f"more than one {ours} column; keep the one that counts"
                )
            place[ours] = hits[0]
        return cls(
            station=place["station"][0],
            clock=place["clock"][0],
            reading=place["reading"][0],
            station_unit=place["station"][1],
            reading_unit=place["reading"][1],
            sweep=found.index("sweep") if "sweep" in found else None,
            width=len(found),
        )


def _rows(
    body: Iterator[list[str]], header: _Header, name: str, start: int, delimiter: str
) -> Iterator[CsvRow]:
    """Rows below the header; blank lines and comment lines are passed over."""
    last = max(header.station, header.clock, header.reading)
    number = _Number(name, decimal_comma=delimiter != ",")
    for cells in body:
        line = start + body.line_num  # type: ignore[attr-defined]
        if not any(cell.strip() for cell in cells) or cells[0].startswith("#"):
            continue
        if any(cell.strip() for cell in cells[header.width :]):
            raise SweepFileError(
                name,
                line,
                f"{len(cells)} columns where the header has {header.width}; with decimal commas"
                " part the columns by semicolons",
            )
        if len(cells) <= last:
            if len(cells) < last or header.reading != last:
                raise SweepFileError(name, line, f"only {len(cells)} of {header.width} columns")
            cells = [*cells, ""]
        yield _row(cells, header, line, number)


def _row(cells: list[str], header: _Header, line: int, number: _Number) -> CsvRow:
    raw = cells[header.reading].strip()
    station_in = number.read(cells[header.station], "station", line) / PER_INCH[header.station_unit]
    if not 0.0 <= station_in <= MAX_STATION_IN:
        raise SweepFileError(
            number.name,
            line,
            f"station {cells[header.station].strip()} is not on a shaft; stations run from the"
            f" end face, 0 to {MAX_STATION_IN:.0f} in",
        )
    clock_deg = number.read(cells[header.clock], "clock", line)
    if abs(clock_deg) > MAX_CLOCK_DEG:
        raise SweepFileError(
            number.name, line, f"clock {cells[header.clock].strip()} is not a clock in degrees"
        )
    reading_in = None
    if raw.casefold() not in BLOCKED_WORDS:
        reading_in = number.read(raw, "reading", line) / PER_INCH[header.reading_unit]
        if abs(reading_in) > MAX_READING_IN:
            raise SweepFileError(
                number.name,
                line,
                f"reading {raw} is more than any dial travels; readings here are in"
                f" {header.reading_unit}",
            )
    sweep = ""
    if header.sweep is not None and header.sweep < len(cells):
        sweep = cells[header.sweep].strip()
    return CsvRow(line, station_in, clock_deg, reading_in, raw, sweep)


@dataclass(frozen=True)
class _Number:
    """Numbers as people and programs write them in a CSV."""

    name: str
    decimal_comma: bool

    def read(self, text: str, what: str, line: int) -> float:
        """The number, or a SweepFileError that says why it is none."""
        text = text.strip()
        plain = text.replace(",", ".") if self.decimal_comma and text.count(",") == 1 else text
        if "," in text and ("." in text or not self.decimal_comma):
            raise SweepFileError(
                self.name, line, f"{what} {text[:40]!r} has a comma in it: write a decimal point"
            )
        if _NUMBER.fullmatch(plain):
            return float(plain)
        if not text:
            raise SweepFileError(self.name, line, f"the {what} is missing")
        if _NOT_NUMBERS.fullmatch(text):
            hint = "; leave the reading blank where the plunger was blocked"
        else:
            hint = "; write it like 12 or -3.5"
        raise SweepFileError(self.name, line, f"{what} {text[:40]!r} is not a number{hint}")
