"""The ticket in both forms: complete, at most 80 columns, and harmless whatever people typed."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import fields, is_dataclass, replace
from html.parser import HTMLParser
from typing import Any

import pytest

from core.base.text import lines_of, one_line, plain_ascii, sheet_cell
from core.reports.shape_drawing import FULL_SCALE, shape_drawing
from core.reports.ticket_data import (
    CAUTIONS,
    AreaLine,
    BendLine,
    HitLine,
    PenetrantLine,
    StationLine,
    SweepPart,
    TicketData,
    TicketSection,
)
from core.reports.ticket_drawing import runout_drawing
from core.reports.ticket_format import columns_of
from core.reports.ticket_page import ticket_html
from core.reports.ticket_text import WIDTH, ticket_text


def part(title: str, scale: float) -> SweepPart:
    stations = tuple(
        StationLine(6.0 * n, 0.0018 * scale * n, 0.002 * scale * n, 0.0018 * scale * n,
                    0.0022 * scale * n, 0.0019 * scale * n, 45.0 * n % 360 if n > 1 else None)
        for n in range(1, 9)
    )  # fmt: skip
    areas = (
        AreaLine("coupling", 0, 4, 0.002, None, None, None, None, "not measured", "Read it there."),
        AreaLine("propeller taper", 44, 50, 0.003, 0.0161, 0.0141, 0.0181, 0.0159, "not true"),
    )
    bends = (BendLine(24.25, 0.06, 5.1, 118.0),)
    return SweepPart(title, "2026-02-02 09:20", "O. Kettleby", "dial 2", 0.0005, 0.00021,
                     (12.0, 40.0), stations, areas, bends, ("Rollers look round.",))  # fmt: skip


def ticket() -> TicketData:
    return TicketData(
        shop=("Lantern Slip Shaft Works (invented)", "4 Nowhere Quay"),
        tag="26-002",
        customer="Ottoline Vask",
        vessel="Second Supper",
        position="centre",
        material="S20910",
        condition="high strength",
        diameter_in=1.75,
        length_in=52.0,
        zero_end="coupling",
        opened="2026-02-02",
        complaint="Shudders.",
        written="2026-02-04 16:00",
        released_by="Odo Kettleby",
        state="released",
        before=part("as received", 10),
        after=part("final", 0.1),
        hits=(HitLine(1, "press", 24.25, 120, 5.1, "O. Kettleby", "2026-02-03 10:00"),),
        penetrant=(PenetrantLine("propeller keyway", 44, 50, "house", "clear", "O. K.", "2026"),),
        hold="Held: nothing moved by more than can be read.",
        sections=(TicketSection("Coupling bore", ("bore 1.7502 in at 0.5 in deep",)),),
        cautions=CAUTIONS,
    )


def test_text_says_everything_in_eighty_columns() -> None:
    text = ticket_text(ticket())
    assert max(columns_of(line) for line in text.splitlines()) <= WIDTH
    for wanted in ("26-002", "Ottoline Vask", "RELEASED", "NOT TRUE", "NOT MEASURED", "24.25",
                   "118", "dial 2", "0.21 thou", "Held:", "1.7502", "95 times in 100",
                   "14.1 to 18.1", "class society", "Signed", "CLEAR"):  # fmt: skip
        assert wanted in text


def test_draft_says_so_and_what_is_missing() -> None:
    data = replace(ticket(), released_by="", state="open", missing=("No final sweep",), after=None)
    text, page = ticket_text(data), ticket_html(data)
    for form in (text, page):
        assert "NOT RELEASED" in form
        assert "No final sweep" in form
        assert "Signed" not in form
    empty = replace(data, before=None, hits=(), penetrant=(), sections=(), hold="", shop=())
    assert "No sweep on record" in ticket_text(empty)
    assert "No sweep on record" in ticket_html(empty)


def shapes_of(drawing: str) -> list[str]:
    return [element.tag.rpartition("}")[2] for element in ET.fromstring(drawing).iter()]


def test_drawing_shows_sweep_rollers_and_limits() -> None:
    data = ticket()
    tags = shapes_of(runout_drawing(data.after, data.length_in))
    assert [tags.count(name) for name in ("polyline", "circle", "path")] == [1, 8, 2]
    assert runout_drawing(None, 100.0) == ""


def test_the_shape_in_two_planes_and_from_the_end() -> None:
    """A shaft bowed towards clock 0, 40 thou before and 2 after: each in a scale of its own."""
    before, after = (
        bowed(part(title, 1), most) for title, most in (("came", 0.04), ("now", 0.002))
    )
    drawn = shape_drawing(before, after, 52.0)
    tags = shapes_of(drawn)
    assert [tags.count(name) for name in ("polyline", "path")] == [6, 8]
    assert "came: full scale 40 thou" in drawn
    assert "now: full scale 2 thou" in drawn
    assert drawn.count("40.0 thou at 24 in") == drawn.count("2.0 thou at 24 in") == 1
    lines = [
        [tuple(map(float, point.split(","))) for point in element.attrib["points"].split()]
        for element in ET.fromstring(drawn).iter()
        if element.tag.endswith("polyline")
    ]
    for up, flat, end in (lines[:3], lines[3:]):
        assert up[3][1] - up[0][1] == pytest.approx(-FULL_SCALE * 0.75, abs=0.2)
        assert len({y for _, y in flat}) == 1
        assert len({x for x, _ in end}) == 1
        assert end[3][1] < end[0][1]
    assert shape_drawing(None, part("final", 1), 52.0) == ""


def bowed(one: SweepPart, most_in: float) -> SweepPart:
    stations = tuple(
        replace(station, ecc_in=(most_in * (1 - abs(number - 3) / 4), 0.0))
        for number, station in enumerate(one.stations)
    )
    return replace(one, stations=stations)


def test_drawn_places_are_to_scale() -> None:
    """The polyline's heights are in the ratio of the TIRs, its widths in that of the stations."""
    root = ET.fromstring(runout_drawing(part("final", 1), 100.0))
    line = next(e for e in root.iter() if e.tag.endswith("polyline"))
    points = [tuple(map(float, p.split(","))) for p in line.attrib["points"].split()]
    floor = next(float(e.attrib["y1"]) for e in root.iter() if e.tag.endswith("}line"))
    heights = [floor - y for _, y in points]
    assert heights[7] / heights[0] == pytest.approx(8.0, rel=0.03)
    assert (points[7][0] - points[0][0]) / (points[1][0] - points[0][0]) == pytest.approx(
        7, abs=0.05
    )


HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</title></svg><svg onload=alert(1)>",
    "\x1b[2J\x1b]0;owned\x07 \x9b31m \x00",
    "[/b] [red]x[/red] [mm]",
    "\u202eesrever \u2066isolate\u2069 \ufeff",
    "=HYPERLINK(\"x\") \r\n+1",
    "漢字かな " * 30 + "e\u0301" * 30,
    "W" * 10_000,
    "javascript:alert(1) &lt; &amp; ' \" `",
    "\ud800 lone half",
)  # fmt: skip


def flooded(value: Any, text: str) -> Any:
    """The same data with every string replaced."""
    if isinstance(value, str):
        return text
    if isinstance(value, tuple):
        return tuple(flooded(v, text) for v in value)
    if is_dataclass(value) and not isinstance(value, type):
        return replace(
            value, **{f.name: flooded(getattr(value, f.name), text) for f in fields(value)}
        )
    return value


class Seen(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: set[str] = set()
        self.attributes: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}


PAGE_TAGS = {"html", "head", "meta", "title", "style", "body", "header", "footer", "span", "br"}
TEXT_TAGS = {"p", "div", "h1", "h2", "table", "tr", "th", "td", "ul", "li", "b"}
DRAWING_TAGS = {"svg", "g", "line", "path", "polyline", "circle", "text"}
ALLOWED_TAGS = PAGE_TAGS | TEXT_TAGS | DRAWING_TAGS


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_text_does_no_harm(text: str) -> None:
    data = flooded(ticket(), text)
    printed = ticket_text(data)
    assert all(c == "\n" or c.isprintable() for c in printed)
    assert max(columns_of(line) for line in printed.splitlines()) <= WIDTH
    page = ticket_html(data)
    assert all(c == "\n" or c.isprintable() for c in page)
    page.encode("utf-8")
    seen = Seen()
    seen.feed(page)
    assert seen.tags <= ALLOWED_TAGS
    assert not {
        name for name in seen.attributes if name.startswith("on") or name in {"src", "href"}
    }


def test_page_fetches_nothing() -> None:
    page = ticket_html(ticket())
    without_namespace = page.replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?:|url\(|@import|<script|<link|<img", without_namespace)
    assert "default-src 'none'" in page


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("=1+1", "'=1+1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("+cmd|' /C calc'!A0", "'+cmd|' /C calc'!A0"),
        ("-2.5", "-2.5"),
        ("-2.5+3", "'-2.5+3"),
        ("\t=1", "' =1"),
        ("plain", "plain"),
        ("\x1b[31mred", "?[31mred"),
    ],
)
def test_spreadsheet_formulas_are_defused(text: str, cell: str) -> None:
    assert sheet_cell(text) == cell


def test_text_made_printable() -> None:
    assert one_line("a\r\nb\x00c\u2028d") == "a b?c d"
    assert lines_of("a\r\nb") == "a\nb"
    assert plain_ascii("Zoë 20 °C ±½ 漢") == "Zoe 20  degC +/-1/2 ?"


def test_one_page_for_the_owner_then_the_record() -> None:
    """Verdict, drawn runout, what was done and cautions come before the tables of the record."""
    data = replace(
        ticket(), done=("Straightened (press): 1 hit.",), remarks=("2 readings changed",)
    )
    text, page = ticket_text(data), ticket_html(data)
    for form, record in ((text, "FULL RECORD"), (page, "Full record")):
        owner, behind = form.split(record)
        for wanted in ("NOT TRUE", "Straightened (press)", "2 readings changed", "Signed"):
            assert wanted in owner
        assert "Asked" in behind
        assert "95 times in 100" in behind
    assert text.split("FULL RECORD")[0].count("\n") <= 66


def test_a_hit_says_what_was_asked_and_what_was_taken_out() -> None:
    hits = (
        replace(ticket().hits[0], taken_mrad=4.6, remark="Hit at 24.25 in: corrected."),
        replace(ticket().hits[0], taken_mrad=None),
    )
    text = ticket_text(replace(ticket(), hits=hits))
    table = text[text.index("STRAIGHTENED AT") : text.index("PENETRANT CHECK")]
    assert "Asked," in table
    assert [line.split()[3:5] for line in table.splitlines() if "press" in line] == [
        ["5.10", "4.60"],
        ["5.10", "-"],
    ]
    assert "Hit at 24.25 in: corrected." in table


def test_a_long_cell_wraps_and_loses_no_word() -> None:
    area = "the straightened spot beside the old keyway at the coupling end, never seen before"
    checks = (replace(ticket().penetrant[0], area=area, by="Wilhelmina van der Alderkirk-Oakes"),)
    lines = ticket_text(replace(ticket(), penetrant=checks)).splitlines()
    start = lines.index("PENETRANT CHECK")
    rows = " ".join(lines[start : lines.index("", start)])
    assert all(word in rows for word in area.split())
    assert "Alderkirk-Oakes" in rows
