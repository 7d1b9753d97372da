"""The letter to the owner: from the facts, changed by hand, frozen with the paper of the job."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from core.base.errors import ShaftlogError
from core.base.records import Job
from core.book import jobs
from core.book.connection import Book
from core.book.releases import last_release
from core.reports.closing import close_unreleased, release_shaft
from core.reports.letter import letter_as_html, letter_as_text, letter_body, whole_letter
from core.reports.letter_job import body_of, frozen_letter, save_body
from core.reports.ticket_collect import collect_now, ticket_of
from core.reports.ticket_data import Ending, TicketData, TicketSection
from tests.reports.test_ticket_forms import HOSTILE, flooded, ticket
from tests.support.bench_book import new_job


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[tuple[Book, Job]]:
    book, job = new_job(tmp_path / "shop.db")
    with book:
        yield book, job


def flat(data: TicketData) -> str:
    return " ".join(whole_letter(data, letter_body(data)).split())


def test_half_a_page_says_what_came_was_done_and_how_it_leaves() -> None:
    data = ticket()
    words = flat(data)
    for part in (
        "Your shaft came in on 2026-02-02. You told us: Shudders.", "swung, as it came, by up to",
        "We straightened it:", "We looked for cracks with penetrant", "It leaves with a swing of",
        "first hours under power", "To Ottoline Vask", "tag 26-002",
    ):  # fmt: skip
        assert part in words, part
    assert len(letter_as_text(whole_letter(data, letter_body(data))).splitlines()) < 45


def test_both_units_of_a_small_swing_agree() -> None:
    data = ticket()
    assert data.after is not None
    small = replace(data.after.stations[0], tir_in=0.00138)
    words = flat(replace(data, after=replace(data.after, stations=(small,))))
    assert "0.0014 in (0.035 mm)" in words, "0.03 mm would be 0.0012 in"


def test_nothing_is_called_better_than_the_ticket_does() -> None:
    data = ticket()
    assert "Not all of it is true" in flat(data)
    assert "Not true: propeller taper" in flat(data)
    bare = replace(data, before=None, after=None, hits=(), penetrant=(), sections=())
    for part in ("It was not measured", "was not straightened", "did not look for cracks"):
        assert part in flat(bare)
    unmeasured = replace(data, after=None)
    assert "It was not measured after the work." in flat(unmeasured)
    crack = replace(data, penetrant=(replace(data.penetrant[0], result="crack", overrule=""),))
    assert "A crack was found: the shaft must not run." in flat(crack)
    assert "when it is next out of the boat" not in flat(crack)
    closed = replace(data, released_by="", ending=Ending("replaced", "Odo", "Too far gone."))
    assert "NOT RELEASED" in flat(closed)
    assert "Too far gone." in flat(closed)


def test_the_owner_reads_verdicts_and_no_figures_of_coupling_and_key() -> None:
    """Found: 'Key: CLEAR: 9.2 thou over the key: clear', and the pilot was left out.

    Found later: 'key: clear' of a key loose in its sides, 'sizes and whirl: safety factor'.
    """
    bore = "TOO LOOSE by 0.7 thou for the shop's band", "As 1.7"
    sections = (
        TicketSection("Coupling bore", bore, ("too loose",)),
        TicketSection("Coupling face and pilot", (), ("face true", "pilot not true")),
        TicketSection("Key", ("CLEAR: 9.2 thou over the key",), ("clear", "in the hub too loose")),
        TicketSection("Diameters miked, inches", ("1.2490 at 30 in.",)),
        TicketSection("Sizes and whirl", ("SAFETY FACTOR 2.10 for 1-3/4 in",)),
    )
    words = flat(replace(ticket(), sections=sections))
    assert (
        "What we measured besides: coupling bore: too loose; coupling face and pilot: face true, "
        "pilot not true; key: clear, in the hub too loose."
    ) in words
    assert "1.2490" not in words


def test_only_what_was_looked_at_counts_as_looked_at() -> None:
    data = ticket()
    first, *others = data.penetrant
    begun = replace(data, penetrant=(replace(first, result=""),))
    assert "We did not look for cracks" in flat(begun)
    assert f"Begun and not finished at: {first.area}." in flat(begun)
    assert "()" not in flat(begun)
    some = replace(
        data, penetrant=(replace(first, result="unclear"), *(replace(o, result="") for o in others))
    )
    assert f"at 1 place: cannot tell at {first.area}." in flat(some)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_text(text: str) -> None:
    data = flooded(ticket(), text)
    letter = whole_letter(data, letter_body(data) + text)
    assert all(line.isprintable() for line in letter_as_text(letter).splitlines())
    page = letter_as_html(letter, text)
    for tag in ("<script", "<img", "<svg"):
        assert tag not in page


def test_changed_by_hand_and_frozen(bench: tuple[Book, Job]) -> None:
    book, job = bench
    seen = body_of(book, job.id, collect_now(book, job.id))
    save_body(book, job.id, "Dear owner,\n\nall is well.", seen)
    assert "all is well." in ticket_of(book, job.id).letter
    assert "DRAFT" not in ticket_of(book, job.id).letter
    assert "the shaft has not been released" in ticket_of(book, job.id).letter
    release_shaft(book, job.id, by="Odo", overrule_by="Bo", overrule_reason="spare")
    paper = last_release(book, job.id)
    assert paper is not None
    frozen = frozen_letter(book, paper)
    assert "all is well." in frozen
    assert "Released by Odo" in frozen
    assert "OVERRULED: Bo: spare" in frozen
    assert ticket_of(book, job.id).letter == frozen
    jobs.set_state(book, job.id, "open", by="Ada")
    again = body_of(book, job.id, collect_now(book, job.id))
    save_body(book, job.id, "Second try.", again)
    assert frozen_letter(book, paper) == frozen


def test_the_same_as_from_the_facts_is_from_the_facts(bench: tuple[Book, Job]) -> None:
    book, job = bench
    for text in ("Mine.", ""):
        save_body(book, job.id, text, body_of(book, job.id, collect_now(book, job.id)))
    body = body_of(book, job.id, collect_now(book, job.id))
    assert body.text == body.from_facts
    save_body(book, job.id, body.from_facts.replace("\n", " \n"), body)
    assert body_of(book, job.id, collect_now(book, job.id)).text == body.from_facts


def test_a_letter_older_than_its_facts_does_not_go_out(bench: tuple[Book, Job]) -> None:
    book, job = bench
    save_body(book, job.id, "Runs true.", body_of(book, job.id, collect_now(book, job.id)))
    jobs.change_job(book, job.id, complaint="Hit a rock after all")
    with pytest.raises(ShaftlogError, match="figures have changed since"):
        close_unreleased(book, job.id, state="returned", by="Odo", reason="asked for")
    assert jobs.job(book, job.id).closed_at is None
    body = body_of(book, job.id, collect_now(book, job.id))
    assert body.outdated
    save_body(book, job.id, "Runs true.", body)
    close_unreleased(book, job.id, state="returned", by="Odo", reason="asked for")
    assert "Runs true." in ticket_of(book, job.id).letter
