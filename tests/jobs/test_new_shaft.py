"""A shaft that was never here: its sweep needs four sizes, its release also a name."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.base.errors import ShaftlogError
from core.base.quantities import FORCE
from core.base.shop_records import NOT_NAMED
from core.base.units import MM_PER_IN, format_station
from core.book import customers, history, jobs, settings
from core.book.connection import Book
from core.book.settings import ShopSettings
from core.jobs.facts import board, facts_of
from core.jobs.intake import new_shaft
from core.jobs.intake.first_start import DIALS, choose_dial, dial_of, is_first_start
from core.jobs.release import missing_for_release
from core.jobs.shop.first_values import first_value

SIZES = {"diameter": "2", "length": "104", "roller_a": "14", "roller_b": "88"}


def test_four_sizes_start_a_sweep_with_the_usual_dial(book: Book) -> None:
    settings.save(book, marks=6, closing_mark=True)
    sweep = new_shaft.start_sweep(book, SIZES)
    assert (sweep.roller_a_in, sweep.roller_b_in, sweep.purpose) == (14.0, 88.0, "as received")
    assert (len(sweep.marks_deg), sweep.closing, sweep.resolution_in) == (6, True, 0.0005)
    assert {14.0, 88.0, 103.0} <= set(sweep.stations_in)
    assert jobs.job(book, sweep.job_id).roller_a_in == 14.0


def test_a_metric_shop_chalks_whole_millimetres(book: Book) -> None:
    """Found: the first station at 25.4 mm."""
    choose_dial(book, "0.01 mm")
    settings.follow_unit(book)
    sizes = {"diameter": "50", "length": "1200", "roller_a": "300", "roller_b": "900"}
    sizes = {name: f"{mm} mm" for name, mm in sizes.items()}
    sweep = new_shaft.start_sweep(book, sizes)
    shown = [format_station(x, unit=False) for x in sweep.stations_in]
    assert shown == ["25", "150", "300", "450", "600", "750", "900", "1050", "1175"]


def test_a_shaft_without_a_name_is_not_released(book: Book) -> None:
    job_id = new_shaft.start_sweep(book, SIZES | {"customer": "R. Quill"}).job_id
    assert facts_of(book, job_id).not_named == ("vessel",)
    assert "Intake: no name yet: vessel" in missing_for_release(book, job_id)
    assert board(book)[-1].vessel_name == NOT_NAMED
    vessel = history.vessel_of(book, jobs.job(book, job_id))
    customers.change_vessel(book, vessel.id, name="Petrel")
    assert facts_of(book, job_id).not_named == ()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"roller_b": "120"}, "beyond the shaft"),
        ({"roller_b": "14"}, "at one place"),
        ({"roller_b": "15"}, "do not carry a shaft"),
        ({"length": "1.5"}, "thicker than long"),
        ({"roller_a": ""}, "still needs: roller pair A"),
    ],
)
def test_sizes_that_cannot_be_make_nothing(book: Book, wrong: dict[str, str], said: str) -> None:
    with pytest.raises(ShaftlogError, match=said):
        new_shaft.start_sweep(book, SIZES | wrong)
    assert not jobs.any_job(book)


def test_the_first_start_comes_back_until_there_is_a_job(book: Book) -> None:
    """Also after the practice shaft, with the name that was typed before it."""
    settings.save(book, shop_name="Harbor")
    assert is_first_start(book)
    new_shaft.start_sweep(book, SIZES)
    assert not is_first_start(book)


@pytest.mark.parametrize("dial", DIALS, ids=lambda dial: dial.words)
def test_the_dial_brings_its_turn_and_its_unit(book: Book, dial: object) -> None:
    chosen = choose_dial(book, dial.words)  # type: ignore[attr-defined]
    shop = settings.load(book)
    assert dial_of(book) == chosen
    assert shop.unit == ("mm" if "mm" in chosen.words else "thou")
    per_unit = MM_PER_IN if "mm" in chosen.words else 1.0
    assert float(chosen.words.split()[0]) == pytest.approx(shop.resolution_in * per_unit)
    assert shop.dial_turn_in > 50 * shop.resolution_in
    assert shop.spacing_in * per_unit == pytest.approx(150 if per_unit > 1 else 6)
    choose_dial(book, DIALS[0].words)
    assert settings.load(book) == settings.ShopSettings()


def test_a_metric_shop_begins_with_round_values(book: Book) -> None:
    """Found: a limit of 0.051 mm, blocks 609.6 mm apart, a press of 177.9 kN."""
    settings.save(book, hold_hours=20.0, limit_taper_in=0.001)
    choose_dial(book, "0.01 mm")
    shop = settings.load(book)
    assert shop.limit_between_in * MM_PER_IN == pytest.approx(0.05)
    assert shop.block_span_in * MM_PER_IN == pytest.approx(600)
    assert FORCE.metric.of(shop.press_capacity_lbf) == pytest.approx(180)
    assert (shop.sheet, shop.hold_hours, shop.limit_taper_in) == ("A4", 20.0, 0.001)
    choose_dial(book, "0.0005 in")
    assert settings.load(book) == replace(ShopSettings(), hold_hours=20.0, limit_taper_in=0.001)
    for name in vars(shop):
        assert first_value(name, "thou") == getattr(ShopSettings(), name)


@pytest.mark.parametrize(
    ("typed", "kept"), [("50", "50 mm"), ("1-3/4", "1-3/4 mm"), ("2 in", "2 in"), ('2"', '2"')]
)
def test_a_draft_means_the_same_after_the_unit_was_changed(typed: str, kept: str) -> None:
    assert new_shaft.with_unit(typed, "mm") == kept
