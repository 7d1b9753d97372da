"""Deleting personal data on request, and who may read the file."""

from __future__ import annotations

import pytest

from core.book import (
    customers,
    drafts,
    events,
    jobs,
    privacy,
    quotes,
    releases,
    search,
    settings,
    sweeps,
)
from core.book.file import Book, Refused
from tests.book.helpers import SmallJob, add_job, read_all

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
    before = sweeps.readings_of(book, small.sweep.id)
    done = privacy.forget_customer(book, small.customer.id)
    assert done.customer.name == privacy.NO_NAME
    assert done.customer.forgotten_at is not None
    assert done.places >= 6
    assert sweeps.readings_of(book, small.sweep.id) == before
    assert jobs.job(book, small.job.id).complaint.endswith("whips at speed")
    ticket = releases.last_release(book, small.job.id)
    assert ticket is not None
    assert "TIR 0.001 in" in ticket.ticket_text
    assert privacy.REMOVED in ticket.ticket_html
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
    book.fold_log()
    assert b"aldorsen" in book.path.read_bytes()
    privacy.forget_customer(book, small.customer.id)
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
