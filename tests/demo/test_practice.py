"""The practice shaft: what dial and press answer, and that nothing of it stays."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from core.base.records import Sweep
from core.base.units import MM_PER_IN
from core.book import hits, jobs, settings, shafts
from core.book.connection import Book
from core.book.opening import open_book
from core.book.settings import ShopSettings
from core.demo.practice import (
    TRUE,
    WRONG_AT,
    dial_in,
    make_practice,
    stays_in,
    wrong_on_purpose,
)
from core.jobs.hit_actions import HitEntry
from core.jobs.intake.new_shaft import begin_first_sweep
from core.jobs.strokes import led, loads_of, read_load, stroke_of_entry

BEND = TRUE.bends[0]
ENTRY = HitEntry(
    BEND.station_in, math.radians(130), math.hypot(*BEND.kappa_rad), blocks_in=24.0,
    diameter_in=1.5,
)  # fmt: skip


@pytest.fixture
def practice(tmp_path: Path) -> Iterator[tuple[Book, Sweep]]:
    make_practice(tmp_path / "practice.db", ShopSettings())
    with open_book(tmp_path / "practice.db", by="practice") as book:
        yield book, begin_first_sweep(book, jobs.open_jobs(book)[0].id)


def swing_in(book: Book, sweep: Sweep, station_in: float) -> float:
    shown = [dial_in(book, sweep, station_in, mark) for mark in sweep.marks_deg]
    return max(shown) - min(shown)


def test_the_dial_starts_at_zero_and_says_the_same_again(practice: tuple[Book, Sweep]) -> None:
    book, sweep = practice
    assert dial_in(book, sweep, 30.0, 0.0) == 0.0
    assert dial_in(book, sweep, 30.0, 135.0) == dial_in(book, sweep, 30.0, 135.0) > 0.02


def test_one_reading_of_the_first_sweep_is_a_turn_off(practice: tuple[Book, Sweep]) -> None:
    _, sweep = practice
    off = [
        (station_in, mark)
        for station_in in sweep.stations_in
        for mark in sweep.marks_deg
        if wrong_on_purpose(sweep, station_in, mark, 0.02) != 0.02
    ]
    assert off == [WRONG_AT]
    assert wrong_on_purpose(sweep, *WRONG_AT, 0.02) == pytest.approx(0.02 - sweep.dial_turn_in)
    again = replace(sweep, purpose="quick check")
    assert wrong_on_purpose(again, *WRONG_AT, 0.02) == 0.02


def test_a_led_stroke_reaches_its_figure_and_straightens(practice: tuple[Book, Sweep]) -> None:
    book, sweep = practice
    stroke = stroke_of_entry(shafts.shaft(book, jobs.job(book, sweep.job_id).shaft_id), ENTRY)
    before, hit_id, readings = swing_in(book, sweep, 30.0), None, 0
    while (state := led(stroke, loads(book, hit_id))).next.travel_in is not None:
        stays = stays_in(book, sweep.job_id, ENTRY, state.next.travel_in)
        hit_id = read_load(book, sweep.job_id, ENTRY, hit_id, stays, seen=()).id
        readings += 1
        assert readings < 10
    assert state.next.done
    assert swing_in(book, sweep, 30.0) < 0.1 * before


def loads(book: Book, hit_id: str | None):  # type: ignore[no-untyped-def]
    return loads_of(book, hits.hit(book, hit_id)) if hit_id else ()


def test_a_metric_shop_practises_in_metric(tmp_path: Path) -> None:
    shop = ShopSettings(unit="mm", resolution_in=0.01 / MM_PER_IN, dial_turn_in=1 / MM_PER_IN)
    make_practice(tmp_path / "practice.db", shop)
    with open_book(tmp_path / "practice.db", by="practice") as book:
        sweep = begin_first_sweep(book, jobs.open_jobs(book)[0].id)
        shown = dial_in(book, sweep, 30.0, 135.0) * MM_PER_IN
        assert shown == pytest.approx(round(shown, 2))
        assert shown > 0.5
        assert settings.load(book).unit == "mm"
