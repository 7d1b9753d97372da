"""The ticket of a metric shop: the same figures in mm."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from core.base.dial_unit import show_dial_in, shown_dial_unit
from core.base.units import MM_PER_IN, format_dial
from core.book import jobs, settings
from core.book.opening import open_book
from core.reports.job_sheet import job_facts_in_words
from core.reports.letter import letter_body, whole_letter
from core.reports.shape_drawing import shape_drawing
from core.reports.ticket_collect import collect_now, ticket_of
from core.reports.ticket_drawing import runout_drawing
from tests.support.inch_words import inch_lines

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
SIZES = re.compile(r"^Shaft .*$", re.MULTILINE)
"""A line with inches as fractions."""


@pytest.mark.parametrize(
    ("unit", "shown"), [("thou", "1.5 thou"), ("mm", "0.038 mm"), ("in", "0.0015 in")]
)
def test_a_dial_figure_is_shown_in_the_unit_of_the_shop(unit: str, shown: str) -> None:
    show_dial_in(unit)
    assert format_dial(0.0015) == shown
    assert shown_dial_unit() == unit


@pytest.mark.parametrize("tag", ["26-002", "26-008"])
def test_the_ticket_of_a_metric_shop_has_the_same_figures_in_mm(book: Path, tag: str) -> None:
    """Found: limits and runout stayed in thou, whatever the shop reads."""
    papers = {}
    with open_book(book) as opened:
        job_id = jobs.job_by_tag(opened, tag).id
        for unit in ("thou", "mm"):
            settings.save(opened, unit=unit)
            settings.follow_unit(opened)
            papers[unit] = ticket_of(opened, job_id).text
    assert "thou" in papers["thou"]
    assert not re.search(r"\bthou\b|\d in\b(?! \d)|\binch", papers["mm"])
    assert re.search(r"^Shaft +[0-9.]+ mm diameter, ", papers["mm"], re.MULTILINE)
    dials = lengths = 0
    inch, metric = (NUMBER.findall(SIZES.sub("", paper)) for paper in papers.values())
    for was, now in zip(map(float, inch), map(float, metric), strict=True):
        if was != now and now == pytest.approx(was * MM_PER_IN, abs=0.2):
            lengths += 1
        elif was != now:
            assert now == pytest.approx(was * MM_PER_IN / 1000, abs=0.0018)
            dials += 1
    assert dials > 10
    assert lengths > 10


def test_the_card_of_a_metric_shop_has_its_sizes_in_mm(book: Path) -> None:
    with open_book(book) as opened:
        settings.save(opened, unit="mm")
        settings.follow_unit(opened)
        said = dict(job_facts_in_words(opened, jobs.job_by_tag(opened, "26-008").id))
    assert said["Shaft"].startswith("63.5 mm x 2743.2 mm")
    assert said["Rollers"].startswith("304.8 and 2387.6 mm")


def test_the_drawings_of_a_metric_shop_have_round_scales_in_mm(book: Path) -> None:
    """Found: 'full scale 100 thou', and a grid at 0.0254, 0.0508, 0.0762 mm."""
    with open_book(book) as opened:
        settings.save(opened, unit="mm")
        settings.follow_unit(opened)
        data = collect_now(opened, jobs.job_by_tag(opened, "25-047").id)
        drawn = shape_drawing(data.before, data.after, data.length_in)
        scales = re.findall(r"full scale ([^<]*) off the line", drawn)
        assert len(scales) == 2
        assert all(re.fullmatch(r"[0-9.]{1,5} mm", scale) for scale in scales)
        grid = re.findall(r">(0\.\d+)<", runout_drawing(data.after, data.length_in))
    assert grid
    assert all(len(one) <= 4 for one in grid), grid


@pytest.mark.parametrize("tag", ["25-047", "25-049"])
def test_no_paper_of_a_metric_shop_speaks_of_inches_lbf_or_psi(book: Path, tag: str) -> None:
    """Found: the stress of a key in psi, its torque in lbf ft, the change at rest in thou."""
    with open_book(book) as opened:
        settings.save(opened, unit="mm")
        settings.follow_unit(opened)
        job_id = jobs.job_by_tag(opened, tag).id
        data, ticket = collect_now(opened, job_id), ticket_of(opened, job_id)
        page = re.sub("<[^>]+>", "\\n", ticket.html.partition("<body>")[2])
        letter = re.sub(r"\([0-9.]+ in\)", "", whole_letter(data, letter_body(data)))
    assert inch_lines(f"{ticket.text}\n{page}\n{letter}") == []
    assert re.search(r"Torque [0-9,]+ N m, [0-9.]+ kN", ticket.text)
    assert re.search(r"Shear [0-9.]+ MPa", ticket.text)
