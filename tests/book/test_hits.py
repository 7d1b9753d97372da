"""Hits in the book: who made them, with what; a correction keeps the first entry."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.book import hits, penetrant_checks
from core.book.changes import changes_of
from core.book.errors import Refused
from tests.support.book_helpers import add_job, open_fixed


def test_a_hit_keeps_what_it_was_made_with(tmp_path: Path) -> None:
    with open_fixed(tmp_path / "shop.db") as book:
        job_id = add_job(book).job.id
        made = _hit(book, job_id, 30.0, by="Jo Ferry", blocks_in=30.0, diameter_in=1.25)
        assert (made.by, made.blocks_in, made.diameter_in, made.stays_in) == (
            "Jo Ferry", 30.0, 1.25, None,
        )  # fmt: skip
        assert _hit(book, job_id, 40.0).by == "Ada", "the bench, when nobody is named"


def test_a_correction_belongs_to_the_round_of_its_hit_and_keeps_the_first_entry(
    tmp_path: Path,
) -> None:
    with open_fixed(tmp_path / "shop.db") as book:
        job_id = add_job(book).job.id
        first = _hit(book, job_id, 30.0)
        other = _hit(book, job_id, 40.0, round_no=2)
        fixed = hits.correct_hit(book, first.id, clock_deg=225.0)
        assert hits.hits_of(book, job_id) == (fixed, other)
        assert (fixed.round_no, fixed.at, fixed.corrects) == (1, first.at, first.id)
        assert hits.hit(book, first.id).clock_deg == 45.0, "the first entry stays"
        change = changes_of(book, job_id)[0]
        assert (change.field, "45 deg" in change.old, "225 deg" in change.new) == (
            "corrected", True, True,
        )  # fmt: skip
        with pytest.raises(Refused, match="meanwhile"):
            hits.correct_hit(book, first.id, clock_deg=1.0)


def test_undo_takes_the_newest_entry_back_and_a_correction_brings_the_first_back(
    tmp_path: Path,
) -> None:
    with open_fixed(tmp_path / "shop.db") as book:
        job_id = add_job(book).job.id
        first, second = _hit(book, job_id, 30.0), _hit(book, job_id, 40.0)
        hits.correct_hit(book, first.id, clock_deg=225.0)
        hits.undo_hit(book, job_id)
        assert [h.id for h in hits.hits_of(book, job_id)] == [first.id, second.id]
        early = _hit(book, job_id, 50.0, at="2026-03-02T07:00:00.000Z")
        gone = hits.undo_hit(book, job_id)
        assert gone is not None
        assert gone.id == early.id, "noted last, though it was made first"


def test_a_stage_names_who_did_it_and_a_condition_when_it_was_stated(tmp_path: Path) -> None:
    with open_fixed(tmp_path / "shop.db") as book:
        job_id = add_job(book).job.id
        (check,) = penetrant_checks.start_checks(
            book, job_id=job_id, standard="shop", areas=[("taper", 66.0, 72.0)]
        )
        penetrant_checks.stage(book, [check.id], "penetrant_at", by="Jo Ferry")
        penetrant_checks.state_condition(
            book, job_id, standard="shop", cold=True, short_dwell=False, by="Jo Ferry",
            check_ids=[check.id],
        )  # fmt: skip
        found = penetrant_checks.check(book, check.id)
        assert (found.penetrant_by, found.cold) == ("Jo Ferry", True)
        (stated,) = penetrant_checks.conditions_of(book, job_id)
        assert (stated.by, stated.cold, bool(stated.at)) == ("Jo Ferry", True, True)


def _hit(book, job_id: str, station_in: float, round_no: int = 1, **more):
    return hits.add_hit(
        book, job_id=job_id, round_no=round_no, method="press", station_in=station_in,
        clock_deg=45.0, angle_rad=0.002, **more,
    )  # fmt: skip
