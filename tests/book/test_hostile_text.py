"""Names from people and files: nothing in them does harm, nothing harmless is lost."""

from __future__ import annotations

import pytest

from core.base.text import MAX_TEXT, clean_text
from core.book import customers, jobs
from core.book.connection import Book
from core.book.readings import readings_of, take_reading
from core.book.search import find as search
from tests.support.book_helpers import SmallJob, add_job

HOSTILE = {
    "brackets": ("A [b]bold[/b] [/] [mm] [red]", "A [b]bold[/b] [/] [mm] [red]"),
    "escape": ("A\x1b[31mred\x1b]52;c;eA==\x07", "A[31mred]52;c;eA=="),
    "nul": ("A\x00B\x07\x08\x7f\x9b2J", "AB2J"),
    "lines": ("A\r\nB\tC\nD", "A B C D"),
    "bidi": ("A\u202egnp.exe\u2066\u2069", "Agnp.exe"),
    "hebrew": ("שלום ships", "שלום ships"),
    "wide": ("日本丸 漁船", "日本丸 漁船"),
    "emoji": ("Anna ⚓🛥️", "Anna ⚓🛥️"),
    "quotes": ('O\'Brien "Bob"; DROP TABLE job; --', 'O\'Brien "Bob"; DROP TABLE job; --'),
    "slashes": ("c:\\temp\\../../etc", "c:\\temp\\../../etc"),
    "formula": ("=1+1|cmd", "=1+1|cmd"),
    "surrogate": ("A\ud800B", "AB"),
    "separator": ("A\u2028B\u2029C", "ABC"),
}


@pytest.mark.parametrize(("typed", "kept"), HOSTILE.values(), ids=HOSTILE)
def test_every_text_comes_through_the_same_door(book: Book, typed: str, kept: str) -> None:
    small = add_job(book, name=typed, boat=typed, complaint=typed)
    note = jobs.add_note(book, job_id=small.job.id, topic=typed, text="x" + typed)
    reading = take_reading(
        book, small.sweep.id, station_in=6, clock_deg=0, value_in=0.001, raw=typed
    )
    assert small.customer.name == small.vessel.name == note.topic == reading.raw == kept
    assert customers.customer(book, small.customer.id).name == kept
    assert readings_of(book, small.sweep.id)[0].raw == kept
    search.find(book, typed)


def test_notes_keep_their_lines(book: Book, small: SmallJob) -> None:
    note = jobs.add_note(book, job_id=small.job.id, text="first\r\n\x1b[2Jsecond\n\n")
    assert note.text == "first\n[2Jsecond"


def test_ten_thousand_characters_and_more(book: Book) -> None:
    small = add_job(book, name="n" * 10_000, complaint="c" * 30_000)
    assert len(small.customer.name) == 10_000
    assert len(small.job.complaint) == MAX_TEXT
    assert search.find(book, "n" * 60)[0].tag == small.job.tag


def test_cleaning_twice_is_cleaning_once() -> None:
    for typed, _ in HOSTILE.values():
        assert clean_text(clean_text(typed)) == clean_text(typed)
