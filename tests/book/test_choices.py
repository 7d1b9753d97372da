"""Choices of a job: the newest counts, the older ones stay; old books give the same."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from core.book import choices, drafts, jobs, measurements, penetrant_checks, settings
from core.book.connection import Book
from core.book.errors import Overtaken
from core.book.opening import open_book
from core.book.privacy.erase import erase_customer
from core.book.upkeep import check
from core.book.upkeep.merge import merge_book
from core.fitting.keys.checklist import ticks_of
from core.jobs.measured import read_figures
from core.jobs.repair_offer import change_terms, terms_of
from core.reports.job_export import job_record
from tests.support.book_helpers import SmallJob

DATA = Path(__file__).with_name("data")


def test_the_newest_choice_counts_and_the_older_stay(book: Book, small: SmallJob) -> None:
    for rate in (77.0, 81.0):
        choices.choose(
            book, job_id=small.job.id, subject="repair terms", name="labour_rate", number=rate
        )
    assert choices.numbers(book, small.job.id, "repair terms") == {"labour_rate": 81.0}
    assert [one.number for one in choices.all_choices(book, small.job.id)] == [77.0, 81.0]
    assert choices.all_choices(book, small.job.id)[0].by == "Ada"


def test_a_choice_made_at_another_bench_meanwhile_is_not_overwritten(
    book: Book, small: SmallJob
) -> None:
    def put(value: str, seen_id: str) -> str:
        return choices.choose(
            book, job_id=small.job.id, subject="s", name="n", value=value, seen_id=seen_id
        ).id

    first = put("one", "")
    with pytest.raises(Overtaken, match="'one'"):
        put("two", "")
    put("three", first)
    assert choices.texts(book, small.job.id, "s") == {"n": "three"}


def test_the_job_data_of_release_3_comes_over_into_choices(tmp_path: Path) -> None:
    """The file was written by that release: prices, conditions, set-ups, parts, a check list."""
    path = tmp_path / "shop.db"
    shutil.copyfile(DATA / "book_v3_job_data.db", path)
    with open_book(path) as book:
        job = jobs.job_by_tag(book, "26-001")
        terms = terms_of(book, job.id)
        assert (terms.labour_rate, terms.other_hours, terms.worn_in) == (77.0, 1.5, 1.24)
        assert terms.other_label == "strut for Haldorsen"
        assert settings.recall(book, f"repair terms {job.id}") is None
        (stated,) = penetrant_checks.conditions_of(book, job.id)
        assert (stated.standard, stated.cold, stated.short_dwell) == ("ASTM E1417", True, False)
        assert drafts.draft(book, f"penetrant {job.id}") == {}
        assert drafts.draft(book, "intake") == {"name": "Half Typed"}
        figures = read_figures(book, job.id, set_no=1)
        assert figures.word("coupling setup", "kind") == "tapered"
        assert figures.length_in("coupling setup", "nominal size") == 1.25
        assert figures.word("key setup", "class of fit") == "2", "the second was taken back"
        assert figures.word("face setup", "dials", "none") == "none", "taken back"
        assert figures.number("sizes", "safety factor") == 8
        burrs = next(t for t in ticks_of(figures) if t.check.name == "burrs")
        assert (burrs.answer, burrs.by, burrs.note) == ("yes", "J. Marlow", "burr dressed")
        again = next(t for t in ticks_of(figures.of_set(2)) if t.check.name == "burrs")
        assert (again.answer, again.by, again.note) == ("no", "Ann", "")
        left = {m.subject for m in measurements.measurements_of(book, job.id, all_rows=True)}
        assert left == {"bore"}
        assert len(choices.all_choices(book, job.id)) == 17
    assert check.check_book(path).sound


def test_a_merge_brings_the_prices_of_a_job(tmp_path: Path) -> None:
    ours, laptop = tmp_path / "shop.db", tmp_path / "laptop.db"
    for path in (ours, laptop):
        shutil.copyfile(DATA / "book_v3_job_data.db", path)
    with open_book(laptop) as there:
        job = jobs.job_by_tag(there, "26-001")
        change_terms(there, job.id, labour_rate=91.0)
    with open_book(ours) as book:
        merge_book(book, laptop, dry_run=False)
        assert terms_of(book, job.id).labour_rate == 91.0
        assert terms_of(book, job.id).other_hours == 1.5


def test_erasing_a_customer_takes_the_name_out_of_choices(book: Book, small: SmallJob) -> None:
    change_terms(book, small.job.id, other_label="strut for Haldorsen", other_hours=1.0)
    erase_customer(book, small.customer.id)
    assert terms_of(book, small.job.id).other_label == "strut for [removed]"
    assert terms_of(book, small.job.id).other_hours == 1.0


def test_an_export_holds_the_choices(book: Book, small: SmallJob) -> None:
    change_terms(book, small.job.id, labour_rate=77.0)
    exported = job_record(book, small.job, contact=False)["choices"]
    assert [(one["name"], one["number"]) for one in exported] == [("labour_rate", 77.0)]
