"""Settings, jobs and tags, events, drafts, hits, checks, measurements, quotes, releases, facts."""

from __future__ import annotations

from datetime import timedelta

import pytest

from core.base.records import QuoteLine
from core.book import (
    audit as events,
)
from core.book import (
    customers,
    drafts,
    hits,
    jobs,
    measurements,
    penetrant_checks,
    quotes,
    releases,
    settings,
    shafts,
    sweeps,
)
from core.book.connection import Book
from core.book.errors import NotFound, Refused
from core.jobs import facts, steps
from tests.support.book_helpers import SmallJob, add_sweep, newest_events, read_all


def test_settings_have_types_and_defaults(book: Book) -> None:
    shop = settings.load(book)
    assert shop == settings.ShopSettings()
    changed = settings.save(book, spacing_in=4, marks=12, bell=False, repeatability_in=None)
    assert (changed.spacing_in, changed.marks, changed.bell) == (4.0, 12, False)
    told = events.events_of(book, "setting", "spacing_in")[0]
    assert (told.old, told.new) == ("6.0", "4.0")


@pytest.mark.parametrize(
    "change",
    [
        {"spacing_in": 0},
        {"spacing_in": float("nan")},
        {"limit_taper_in": -1},
        {"unit": "cubits"},
        {"acceptance_rule": "maybe"},
        {"no_such": 1},
    ],
)
def test_settings_refuse_nonsense(book: Book, change: dict[str, object]) -> None:
    with pytest.raises(Refused):
        settings.save(book, **change)
    assert settings.load(book) == settings.ShopSettings()


def test_every_setting_stands_on_the_screen_once() -> None:
    shown = [field.name for field in settings.FIELDS]
    assert sorted(shown) == sorted(settings.ShopSettings.__dataclass_fields__)


def test_remember_and_recall(book: Book) -> None:
    settings.remember(book, "csv mapping logger", {"station": 0, "reading": 3})
    assert settings.recall(book, "csv mapping logger") == {"station": 0, "reading": 3}
    assert settings.recall(book, "nothing", 7) == 7


def test_tags_count_on(book: Book, small: SmallJob) -> None:
    assert small.job.tag == "26-001"
    bars = [shafts.new_bar(book, small.shaft.id).id for _ in range(3)]
    jobs.start_job(book, shaft_id=bars[0], tag="26-041B")
    assert jobs.start_job(book, shaft_id=bars[1]).tag == "26-042"
    with pytest.raises(Refused, match="already"):
        jobs.start_job(book, shaft_id=bars[2], tag="26-042")
    assert jobs.job_by_tag(book, " 26-041b ").tag == "26-041B"
    with pytest.raises(NotFound, match="no job with the tag"):
        jobs.job_by_tag(book, "99-999")


def test_every_change_stands_in_the_log(book: Book, small: SmallJob) -> None:
    customers.change_customer(book, small.customer.id, phone="555-0177", notes="")
    shafts.change_shaft(book, small.shaft.id, diameter_in=1.5)
    jobs.set_state(book, small.job.id, "waiting", waiting_for="owner")
    told = {(e.subject, e.what): (e.old, e.new, e.by) for e in newest_events(book)}
    assert told["customer", "phone"] == ("206 555-0142", "555-0177", "Ada")
    assert ("customer", "notes") not in told
    assert told["shaft", "diameter_in"] == ("1.25", "1.5", "Ada")
    assert told["job", "state"] == ("open", "waiting", "Ada")


def test_drafts(book: Book) -> None:
    drafts.save_draft(book, "intake", {"name": "Hal"})
    drafts.save_draft(book, "intake", {"name": "Hald\x1b[31m", "phone": "2"})
    assert drafts.draft(book, "intake") == {"name": "Hald[31m", "phone": "2"}
    drafts.drop_draft(book, "intake")
    assert drafts.draft(book, "intake") == {}


def test_riding_area_must_lie_on_the_shaft(book: Book, small: SmallJob) -> None:
    with pytest.raises(Refused, match="not on the shaft"):
        shafts.add_area(book, shaft_id=small.shaft.id, kind="bearing", from_in=60, to_in=90)


def test_released_ticket_is_frozen_and_closes_the_job(book: Book, small: SmallJob) -> None:
    with pytest.raises(Refused, match="name"):
        releases.release_job(book, job_id=small.job.id, by=" ", ticket_text="t", ticket_html="h")
    with pytest.raises(Refused, match="both"):
        releases.release_job(
            book, job_id=small.job.id, by="Ada", ticket_text="t", ticket_html="h", overrule_by="Bo"
        )
    releases.release_job(
        book, job_id=small.job.id, by="Ada", ticket_text="  t\n\n", ticket_html="<p>"
    )
    found = releases.last_release(book, small.job.id)
    assert found is not None
    assert (found.ticket_text, found.ticket_html) == ("  t\n\n", "<p>")
    assert jobs.job(book, small.job.id).state == "released"
    assert facts.board(book) == ()


def test_quote_lines_come_back_in_order(book: Book, small: SmallJob) -> None:
    lines = [QuoteLine(f"line {n}", n, 2.0, 2.0 * n) for n in range(12)]
    quotes.save_quote(book, job_id=small.job.id, kind="both", text="a\nb", lines=lines)
    assert quotes.quotes_of(book, small.job.id)[0].lines == tuple(lines)


def test_measurements_are_append_only(book: Book, small: SmallJob) -> None:
    for raw in ("1.2501", "1.2503"):
        measurements.take_measurement(
            book,
            job_id=small.job.id,
            subject="bore",
            what="diameter",
            value_in=float(raw),
            raw=raw,
            depth_in=0.5,
            clock_deg=0,
        )
    assert [m.raw for m in measurements.measurements_of(book, small.job.id)] == ["1.2503"]
    assert len(measurements.measurements_of(book, small.job.id, all_rows=True)) == 2
    measurements.undo_measurement(book, small.job.id, "bore")
    assert [m.raw for m in measurements.measurements_of(book, small.job.id)] == ["1.2501"]
    with pytest.raises(Refused, match="never"), book.write() as con:
        con.execute("UPDATE measurement SET value_in = 1")


def hit(book: Book, small: SmallJob, round_no: int = 1) -> None:
    hits.add_hit(
        book,
        job_id=small.job.id,
        round_no=round_no,
        method="press",
        station_in=30,
        clock_deg=45,
        angle_rad=0.002,
    )


def sweep_whole(book: Book, small: SmallJob, purpose: str) -> None:
    done = add_sweep(book, small.job.id, purpose)
    read_all(book, done)
    sweeps.finish_sweep(book, done.id)


def says(book: Book) -> str:
    return facts.board(book)[0].next


def test_a_whole_job_step_by_step(book: Book, small: SmallJob) -> None:
    """From the sweep as received to the release, the board always names the next step."""
    assert says(book) == "Sweep as received: go on, 0 readings taken"
    read_all(book, small.sweep)
    assert says(book) == "Sweep as received: go on, 12 readings taken"
    sweeps.finish_sweep(book, small.sweep.id)
    assert says(book) == "Penetrant check"
    checks = penetrant_checks.start_checks(
        book, job_id=small.job.id, standard="s", areas=[("taper", 66, 72), ("keyway", 60, 66)]
    )
    penetrant_checks.stage(book, [c.id for c in checks], "penetrant_at")
    assert says(book).startswith("Penetrant check: clock running on 2")
    assert len(penetrant_checks.running(book)) == 2
    for one in checks:
        penetrant_checks.set_result(book, one.id, result="clear")
    assert says(book) == "Repair or replace"
    quotes.save_quote(book, job_id=small.job.id, kind="both", text="")
    assert says(book) == "Repair or replace: owner to answer"
    quotes.save_quote(book, job_id=small.job.id, kind="repair", text="")
    assert says(book) == "Straighten"
    hit(book, small)
    assert says(book) == "Straighten: 1 hit, 1 round, check the line"
    sweep_whole(book, small, "quick check")
    assert says(book) == "Straighten: 1 hit, 1 round"
    sweep_whole(book, small, "hold check")
    assert says(book) == "Hold check: nothing to compare with"
    hit(book, small, 2)
    assert says(book) == "Straighten: 2 hits, 2 rounds, check the line"
    sweep_whole(book, small, "working")
    sweep_whole(book, small, "hold check")
    assert says(book).startswith("Hold check: rested")
    book._now.moment += timedelta(hours=13)
    sweep_whole(book, small, "hold check")
    assert says(book) == "If good: Coupling bore"
    for subject in ("bore", "seat", "face", "key"):
        measurements.take_measurement(
            book, job_id=small.job.id, subject=subject, what="x", value_in=1, raw="1"
        )
    assert says(book) == "If good: Release"
    assert steps.release_blocks(facts.facts_of(book, small.job.id)) == ()


def test_a_crack_stops_the_job_until_overruled(book: Book, small: SmallJob) -> None:
    sweeps.finish_sweep(book, small.sweep.id)
    (one,) = penetrant_checks.start_checks(
        book, job_id=small.job.id, standard="s", areas=[("taper", 66, 72)]
    )
    penetrant_checks.set_result(book, one.id, result="crack")
    found = facts.facts_of(book, small.job.id)
    states = {s.name: s.state for s in steps.steps_of(found)}
    assert (states["penetrant"], states["straighten"]) == ("blocked", "blocked")
    assert "Crack" in [b.what for b in steps.release_blocks(found)]
    with pytest.raises(Refused, match="reason"):
        penetrant_checks.overrule(book, one.id, by="Ada", reason=" ")
    penetrant_checks.overrule(book, one.id, by="Ada", reason="surface scratch, polished out")
    found = facts.facts_of(book, small.job.id)
    assert found.cracks == 0
    (told,) = events.events_of(book, "penetrant_check", one.id)[-1:]
    assert told.what == "overruled"
    assert "polished" in told.new


def test_undone_hits_do_not_count(book: Book, small: SmallJob) -> None:
    hit(book, small)
    taken_back = hits.undo_hit(book, small.job.id)
    assert taken_back is not None
    assert hits.hits_of(book, small.job.id) == ()
    assert hits.undo_hit(book, small.job.id) is None
    assert facts.facts_of(book, small.job.id).hits == 0


def test_a_name_of_control_characters_alone_is_no_name(book: Book) -> None:
    with pytest.raises(Refused, match="no name"):
        customers.add_customer(book, name="\x00\x1b\u200b ")


def test_the_rollers_of_a_job_are_those_of_its_newest_sweep(book: Book, small: SmallJob) -> None:
    assert small.job.roller_b_in != 24.0
    assert sweeps.rollers_of(book, small.job) == (10.0, 60.0)
    add_sweep(book, small.job.id, roller_a_in=12.0, roller_b_in=24.0)
    assert sweeps.rollers_of(book, small.job) == (12.0, 24.0)


def test_a_sweep_begun_by_mistake_is_forgotten_when_another_follows(
    book: Book, small: SmallJob
) -> None:
    assert facts.facts_of(book, small.job.id).sweep_in_hand == small.sweep.id
    right = add_sweep(book, small.job.id)
    assert facts.facts_of(book, small.job.id).sweep_in_hand == right.id
    read_all(book, right)
    sweeps.finish_sweep(book, right.id)
    assert facts.facts_of(book, small.job.id).sweep_in_hand is None
