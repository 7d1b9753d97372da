"""Deleting personal data on request, and who may read the file."""

from __future__ import annotations

import pytest

from core.base.records import QuoteLine
from core.base.shop_records import NOT_NAMED
from core.book import (
    audit as events,
)
from core.book import (
    customers,
    drafts,
    jobs,
    measurements,
    penetrant_checks,
    quotes,
    releases,
    settings,
)
from core.book.connection import Book
from core.book.errors import NotFound, Refused
from core.book.opening import open_book
from core.book.privacy import erase as privacy
from core.book.privacy import redaction as struck_out
from core.book.privacy.text import plan_words
from core.book.readings import readings_of
from core.book.search import find as search
from core.book.upkeep import backup
from core.reports.job_export import csv_rows, job_record, json_text
from tests.support.book_helpers import SmallJob, add_job, read_all

NAMED = ("Haldorsen", "555-0142", "555-0188", "Ines", "ines@", "Quay 7", "2065550142")


def fill(book: Book, small: SmallJob) -> None:
    """Put the customer's name and numbers in every text a job has."""
    read_all(book, small.sweep)
    customers.change_customer(
        book,
        small.customer.id,
        phone="206 555-0188",
        email="ines@example.invalid",
        address="Quay 7\nHaldorsen yard",
        notes="pays late",
    )
    text = "Mrs Haldorsen rang from 206 555-0142: whips at speed"
    jobs.change_job(book, small.job.id, complaint=text)
    jobs.add_note(book, job_id=small.job.id, text=text)
    quotes.save_quote(book, job_id=small.job.id, kind="repair", text="Dear Haldorsen, Ines")
    drafts.save_draft(book, "intake", {"customer": "Haldorsen, Ines"})
    releases.release_job(
        book,
        job_id=small.job.id,
        by="Ada",
        ticket_text="Owner: Haldorsen, Ines, 206 555-0188\nTIR 0.001 in",
        ticket_html="<p>Haldorsen, Ines</p><p>TIR 0.001 in</p>",
    )


def test_personal_data_goes_and_measurements_stay(book: Book, small: SmallJob) -> None:
    other = add_job(book, name="Quist, Pia", complaint="knows Haldorsen well")
    fill(book, small)
    before = readings_of(book, small.sweep.id)
    done = privacy.erase_customer(book, small.customer.id)
    assert done.customer.name == privacy.NO_NAME
    assert done.customer.forgotten_at is not None
    assert done.places >= 6
    assert readings_of(book, small.sweep.id) == before
    assert jobs.job(book, small.job.id).complaint.endswith("whips at speed")
    ticket = releases.last_release(book, small.job.id)
    assert ticket is not None
    assert "TIR 0.001 in" in ticket.ticket_text
    assert struck_out.REMOVED in ticket.ticket_html
    (told,) = [
        e for e in events.events_of(book, "customer", small.customer.id) if e.new[:4] == "pers"
    ]
    assert told.what == "forgotten"
    assert search.find(book, "haldorsen ines") == ()
    assert [f.tag for f in search.find(book, "petrel whips")] == [small.job.tag]
    assert jobs.job(book, other.job.id).complaint == "knows Haldorsen well"


def test_nothing_is_left_in_the_file(book: Book, small: SmallJob) -> None:
    """Also not in free pages, the index or the log (a search for the raw bytes)."""
    fill(book, small)
    book.checkpoint()
    assert b"aldorsen" in book.path.read_bytes()
    privacy.erase_customer(book, small.customer.id)
    log = book.path.with_name(book.path.name + "-wal")
    held = (book.path.read_bytes() + log.read_bytes()).lower()
    for name in NAMED:
        assert name.lower().encode() not in held, name


def test_a_ticket_of_any_other_customer_stays_frozen(book: Book, small: SmallJob) -> None:
    fill(book, small)
    with pytest.raises(Refused, match="never changed"), book.write() as con:
        con.execute("UPDATE release SET ticket_text = ''")
    with pytest.raises(Refused, match="never deleted"), book.write() as con:
        con.execute("DELETE FROM release")


def test_phone_numbers_stay_out_of_exports_unless_asked(book: Book) -> None:
    assert settings.load(book).phone_in_exports is False


def test_the_file_is_written_anew(book: Book, small: SmallJob) -> None:
    """Pages are moved about as they fill; what was left behind there goes with the free pages."""
    fill(book, small)
    jobs.set_state(book, small.job.id, "open", by="Ada")
    for count in range(8):
        jobs.change_job(book, small.job.id, complaint=f"Haldorsen {'x' * 900 * (8 - count)}")
    assert privacy.erase_customer(book, small.customer.id).rewritten
    assert book.one("PRAGMA freelist_count") == (0,)


def test_the_way_it_was_written_does_not_matter(book: Book, small: SmallJob) -> None:
    """Numbers with any punctuation; names of long ago; but figures and words of the trade stay."""
    customers.change_customer(
        book, small.customer.id, name="Haldorsen & Sons Marine Press", notes="pays late"
    )
    texts = (
        "rang 2065550142", "(206) 555.0142", "at 555-0142", "Ines rang", "Press 12 tons at mark 3",
        "pays for the late bar", "12065550142 7", "HALDORSEN marine press here",
    )  # fmt: skip
    for text in texts:
        jobs.add_note(book, job_id=small.job.id, text=text)
    privacy.erase_customer(book, small.customer.id)
    gone = struck_out.REMOVED
    assert [note.text for note in jobs.notes_of(book, small.job.id)] == [
        f"rang {gone}", gone, f"at {gone}", f"{gone} rang", "Press 12 tons at mark 3",
        "pays for the late bar", "12065550142 7", f"{gone} marine press here",
    ]  # fmt: skip


def test_every_text_of_the_jobs_is_reached(book: Book, small: SmallJob) -> None:
    """Check lists, overrules, a vessel that was sold; a form of somebody else stays."""
    name = "told Haldorsen"
    measurements.take_measurement(
        book, job_id=small.job.id, subject="key", what="trial fit", raw=f"yes, Bo: {name}"
    )
    (check,) = penetrant_checks.start_checks(
        book, job_id=small.job.id, standard="", areas=[("taper", 66.0, 72.0)]
    )
    penetrant_checks.set_result(book, check.id, result="crack", notes=name)
    penetrant_checks.overrule(book, check.id, by="Haldorsen", reason=name)
    line = QuoteLine(f"work, {name}", 1, 1, 1)
    quotes.save_quote(book, job_id=small.job.id, kind="repair", text=name, lines=[line])
    drafts.save_draft(book, "intake 1", {"customer": "Haldorsen, Ines"})
    drafts.save_draft(book, "intake 2", {"customer": "Quist, Pia"})
    jobs.set_state(book, small.job.id, "waiting", waiting_for=name)
    releases.release_job(
        book, job_id=small.job.id, by="Ada", ticket_text=name, ticket_html="",
        overrule_by="Ines Haldorsen", overrule_reason=name,
    )  # fmt: skip
    buyer = customers.add_customer(book, name="Quist, Pia")
    customers.change_vessel(book, small.vessel.id, customer_id=buyer.id)
    privacy.erase_customer(book, small.customer.id)
    dump = "\n".join(book.con.iterdump())
    assert "aldorsen" not in dump.lower()
    assert drafts.draft(book, "intake 2") == {"customer": "Quist, Pia"}
    assert customers.customer(book, buyer.id).name == "Quist, Pia"
    with pytest.raises(Refused, match="never rewritten"), book.write() as con:
        con.execute("UPDATE measurement SET raw = 'x'")
    with pytest.raises(Refused, match="never changed"), book.write() as con:
        con.execute("UPDATE release SET ticket_text = 'x'")


def test_exports_name_nobody(book: Book, small: SmallJob) -> None:
    fill(book, small)
    assert "Haldorsen" in json_text(job_record(book, small.job, contact=True))
    privacy.erase_customer(book, small.customer.id)
    job = jobs.job(book, small.job.id)
    held = json_text(job_record(book, job, contact=True)) + repr(list(csv_rows(book, job)))
    assert not [name for name in NAMED if name in held]
    assert len(list(csv_rows(book, job))) == 12


def test_looking_first_says_what_goes_and_changes_nothing(book: Book, small: SmallJob) -> None:
    fill(book, small)
    before = list(book.con.iterdump())
    plan = privacy.erase_plan(book, small.customer.id)
    assert list(book.con.iterdump()) == before
    words = plan_words(plan)
    for said in ("206 555-0188", "ines@example.invalid", "Quay 7", "pays late", "Grey Petrel"):
        assert said in words
    assert plan.open_tags == ()
    assert plan.confirmed_by("  haldorsen ines")
    assert not any(plan.confirmed_by(text) for text in ("", "Haldorsen", "yes", " "))
    assert privacy.erase_customer(book, small.customer.id).places >= plan.texts


def test_a_name_no_keyboard_has_is_confirmed_by_the_tag(book: Book) -> None:
    small = add_job(book, name="⚓🛥️")
    plan = privacy.erase_plan(book, small.customer.id)
    assert plan.to_type == small.job.tag
    assert plan.confirmed_by(small.job.tag)
    assert not plan.confirmed_by("")
    assert not privacy.erase_plan(book, add_job(book, name="n" * 5000).customer.id).confirmed_by(
        small.job.tag
    )


def test_a_restored_backup_brings_nobody_back(book: Book, small: SmallJob) -> None:
    fill(book, small)
    made = backup.by_hand(book.path)
    privacy.erase_customer(book, small.customer.id)
    assert privacy.erase_plan(book, small.customer.id).copies[0].path == made.path
    book.close()
    kept = backup.restore(book.path, made.path)
    assert privacy.erase_again(book.path, kept) == 1
    with open_book(book.path) as restored:
        assert "aldorsen" not in "\n".join(restored.con.iterdump()).lower()
        assert len(readings_of(restored, small.sweep.id)) == 12
    assert privacy.erase_again(book.path, kept) == 0
    assert privacy.erase_again(book.path, None) == 0


def test_twice_is_once_and_a_name_is_found_by_its_words(book: Book, small: SmallJob) -> None:
    assert privacy.customer_by_words(book, " haldorsen, INES") == small.customer
    assert privacy.customer_by_words(book, small.job.tag) == small.customer
    with pytest.raises(NotFound, match="whole name"):
        privacy.customer_by_words(book, "Hald")
    add_job(book)
    with pytest.raises(Refused, match="2 customers"):
        privacy.customer_by_words(book, "Haldorsen, Ines")
    first = privacy.erase_customer(book, small.customer.id)
    again = privacy.erase_customer(book, small.customer.id)
    assert again.customer == first.customer
    assert again.places == 0
    assert again.rewritten
    told = [e.what for e in events.events_of(book, "customer", small.customer.id)]
    assert told.count("forgotten") == 1


def test_another_bench_in_the_way_is_told(book: Book, small: SmallJob) -> None:
    """The data goes all the same; the file is written anew another time."""
    with open_book(book.path, wait_s=0.05) as other:
        other.con.execute("BEGIN")
        other.one("SELECT count(*) FROM job")
        book.con.execute("PRAGMA busy_timeout = 50")
        assert not privacy.erase_customer(book, small.customer.id).rewritten
        other.con.execute("COMMIT")
    assert customers.customer(book, small.customer.id).name == privacy.NO_NAME
    assert privacy.erase_customer(book, small.customer.id).rewritten


def test_a_shaft_nobody_has_named_strikes_no_words(book: Book, small: SmallJob) -> None:
    """'not', 'named' and 'yet' would be taken for a name, also as what the name was before."""
    customers.change_customer(book, small.customer.id, name=NOT_NAMED)
    customers.change_customer(book, small.customer.id, name="Ines Haldorsen")
    jobs.add_note(book, job_id=small.job.id, text="Ines has not paid yet")
    privacy.erase_customer(book, small.customer.id)
    assert jobs.notes_of(book, small.job.id)[-1].text.endswith("has not paid yet")
