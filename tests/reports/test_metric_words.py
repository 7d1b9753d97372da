"""What is said in a metric shop beside its screens: reports, examples, cautions, questions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from core.base.dial_unit import show_dial_in
from core.base.quantities import FORCE, in_shop_figures
from core.base.units import in_shop_unit
from core.book import jobs, settings
from core.book.changes import field_words
from core.book.opening import open_book
from core.book.settings import ShopSettings
from core.fitting.measured.measurements import MeasurementSet
from core.fitting.measured.report import Report
from core.fitting.shaft.sizes_job import sizes_result
from core.jobs.fitting_reports import measured_parts
from core.jobs.measured import read_fit_facts
from core.jobs.shop.examples import example
from core.jobs.shop.unusual import USUAL, unusual
from core.penetrant.clock import standards
from core.reports.fitting_sections import coupling_sections
from core.straightening.heat import advise
from core.tables.materials import materials
from tests.support.inch_words import inch_lines


@pytest.fixture(autouse=True)
def _metric() -> Iterator[None]:
    show_dial_in("mm")
    yield
    show_dial_in("thou")


def words_of(report: Report) -> str:
    """All that a report says, a line each."""
    lines = [report.verdict, report.summary, *report.missing, *report.cautions, *report.notes]
    for chapter in (*report.chapters, *report.bench):
        lines += [chapter.title, *chapter.lines]
    return "\n".join(lines)


def test_reports_on_what_was_measured(book: Path) -> None:
    """Found: torque, key stress and the bearing rules of the trade in lbf, psi and inches."""
    with open_book(book) as opened:
        settings.save(opened, unit="mm")
        for tag in ("22-031", "26-008"):
            job_id = jobs.job_by_tag(opened, tag).id
            said = [words_of(one.report) for one in measured_parts(opened, job_id)]
            facts = replace(read_fit_facts(opened, job_id), engine_hp=300.0, shaft_rpm=1000.0)
            said.append(words_of(sizes_result(MeasurementSet(()), facts).report))
            assert inch_lines("\n".join(said)) == []
            paper = [s.lines[-1] for s in coupling_sections(measured_parts(opened, job_id), str)]
            assert all(line.startswith("As measured, mm: ") for line in paper)
            if tag == "22-031":
                assert "bore diameter 44.4" in paper[0]  # found: 1.7502 (12.7 mm, 0 deg)
                assert "N m, " in said[-2]
                assert "MPa" in said[-2]


def test_examples_of_the_settings() -> None:
    shop = ShopSettings(unit="mm")
    said = {name: example(name, shop, date(2026, 2, 12)) or "" for name in vars(shop)}
    del said["unit"]  # both units on purpose
    assert inch_lines("\n".join(said.values())) == []
    assert " kN over blocks " in said["press_capacity_lbf"]
    assert " kg of bar " in said["bar_price_per_lb"]


def test_cautions_on_heat_and_penetrant() -> None:
    said = [c.said for uns in materials() for c in advise(uns).cautions]
    said += [line for found in materials().values() for line in found.disagreements()]
    said += [in_shop_figures(in_shop_unit(line)) for one in standards() for line in one.said]
    assert inch_lines("\n".join(said)) == []
    assert any(line.startswith("at most 649 C: ") for line in said)


def test_names_of_changed_fields() -> None:
    assert field_words("diameter_in") == "diameter, mm"
    assert field_words("load_lbf") == "load, kN"
    assert field_words("engine_hp") == "engine, kW"


@pytest.mark.parametrize(
    ("unit", "typed", "sentence", "likely_words"),
    [
        (
            "mm",
            FORCE.metric.kept(40_000),
            "40,000.0 kN is out of the usual here, 17.8 kN to 1,779.3 kN.",
            "It was typed in lbf: 177.9 kN",
        ),
        (
            "thou",
            180.0,
            "180 lbf is out of the usual here, 4,000 lbf to 400,000 lbf.",
            "It was typed in kN: 40,466 lbf",
        ),
    ],
)
def test_a_press_typed_in_the_unit_of_the_other_kind_of_shop_is_asked_about(
    unit: str, typed: float, sentence: str, likely_words: str
) -> None:
    show_dial_in(unit)
    doubt = unusual("press_capacity_lbf", typed)
    assert doubt is not None
    assert (doubt.sentence, doubt.likely_words) == (sentence, likely_words)
    assert doubt.likely is not None
    least, most = USUAL["press_capacity_lbf"]
    assert least <= doubt.likely <= most
