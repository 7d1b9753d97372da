"""Deleting a customer's personal data on request; the measurements stay.

Name, phone, e-mail, address and notes of the customer are deleted, and removed wherever they
are in the notes, complaints, quotes, tickets and events of the customer's jobs. Vessels, shafts,
readings, hits and verdicts stay. The event log says that it was done, not what was removed. The
file is then rewritten, so that no free page holds the data.
"""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from core.base.shop_records import OPEN_STATES, Customer, Job
from core.book import rows
from core.book.audit import events_of, note_change
from core.book.cards.card_search import catch_up_cards
from core.book.connection import Book
from core.book.customers import customer, vessels_of
from core.book.errors import READ_ERRORS, BookError, NotFound, Refused
from core.book.history import owner_of
from core.book.jobs import job_by_tag
from core.book.opening import open_book
from core.book.privacy.redaction import REMOVED, drop_drafts, named_in, strike_everywhere
from core.book.search import index as search_index
from core.book.search.words import words_of
from core.book.upkeep.backup import Progress
from core.book.upkeep.copies import BackupFile, backup_folder, books_set_aside, list_backups
from core.book.upkeep.look import look
from core.book.upkeep.stoppable import cannot_be_stopped, rows_in, share, stoppable

NO_NAME = "(removed on request)"
_LONGEST_TYPED = 60
_STEPS_A_ROW = 30
"""Steps of SQLite to rewrite one row of the file."""


@dataclass(frozen=True)
class ErasePlan:
    """What deleting would do."""

    customer: Customer
    to_type: str
    """What has to be typed as the written confirmation: the name, or a tag for a name that no
    keyboard has."""
    vessels: tuple[str, ...]
    jobs: tuple[Job, ...]
    texts: int
    """Texts of the customer's jobs in which name or numbers would be removed."""
    copies: tuple[BackupFile, ...]
    """Backups and replaced books beside the book, newest first."""
    folder: Path
    """Where the backups lie."""

    @property
    def open_tags(self) -> tuple[str, ...]:
        """Jobs of the customer that are still in the shop."""
        return tuple(job.tag for job in self.jobs if job.state in OPEN_STATES)

    def confirmed_by(self, typed: str) -> bool:
        """Whether the right thing was typed; case, accents and punctuation do not matter."""
        return bool(typed.strip()) and _bare(typed) == _bare(self.to_type)


@dataclass(frozen=True)
class Erased:
    """What was done."""

    customer: Customer
    places: int
    """Texts in which something was removed."""
    backups: int
    """Backups beside the book that still hold the data; they age out with the daily ones."""
    rewritten: bool
    """Whether the file could be rewritten; if not, call `wipe_free_pages` later."""


def erase_plan(book: Book, customer_id: str) -> ErasePlan:
    """Look what deleting this customer's personal data would do; nothing is changed."""
    who = customer(book, customer_id)
    vessels = vessels_of(book, customer_id)
    found = _jobs_of(book, customer_id)
    typeable = words_of(who.name) and len(who.name) <= _LONGEST_TYPED
    to_type = who.name if typeable or not found else found[-1].tag
    texts = 0 if who.forgotten_at else strike_everywhere(book, who, dry_run=True)
    return ErasePlan(
        who,
        to_type,
        tuple(vessel.name for vessel in vessels),
        found,
        texts,
        (*list_backups(book.path), *books_set_aside(book.path)),
        backup_folder(book.path),
    )


def _jobs_of(book: Book, customer_id: str) -> tuple[Job, ...]:
    """The jobs of boats that were this customer's at the time, oldest first."""
    of_boats = (
        "shaft_id IN (SELECT id FROM shaft WHERE vessel_id IN (SELECT id FROM vessel "
        "WHERE customer_id = ?1 UNION SELECT subject_id FROM past WHERE subject = 'vessel' "
        "AND json_extract(facts, '$.vessel.customer_id') = ?1)) ORDER BY opened_at, id"
    )
    found = rows.select(book, Job, of_boats, (customer_id,))
    return tuple(one for one in found if owner_of(book, one).id == customer_id)


def _bare(text: str) -> tuple[str, ...]:
    return tuple(sorted(words_of(text))) or (text.strip(),)


def customer_by_words(book: Book, typed: str) -> Customer:
    """The owner at the visit of a job's tag, or the customer of exactly this name, in any case."""
    try:
        found_job = job_by_tag(book, typed)
    except NotFound:
        named = rows.select(book, Customer, "forgotten_at IS NULL")
        found = [one for one in named if one.name.casefold() == typed.strip().casefold()]
    else:
        found = [owner_of(book, found_job)]
    if not found:
        raise NotFound(
            f"There is no customer {typed.strip()!r} and no job with that tag. Type the whole "
            "name as written in the book, or the tag of one of the customer's jobs."
        )
    if len(found) > 1:
        raise Refused(
            f"{len(found)} customers are called {typed.strip()!r}. Name the one meant by the tag "
            "of one of the jobs."
        )
    return found[0]


def erase_customer(book: Book, customer_id: str, progress: Progress | None = None) -> Erased:
    """Take out the personal data of a customer for good. This cannot be undone.

    What `progress` raises while texts are looked through leaves the book as it was; the rewriting
    of the file after it goes on to its end. Done again on a customer deleted already, it only
    rewrites the file.
    """
    who = customer(book, customer_id)
    steps = rows_in(book.con) * _STEPS_A_ROW
    with stoppable(book.con, share(progress, 0.0, 0.5), steps):
        places = 0 if who.forgotten_at else _take_out(book, who)
    with stoppable(book.con, cannot_be_stopped(share(progress, 0.5, 1.0)), steps):
        rewritten = wipe_free_pages(book)
    left = len(list_backups(book.path)) + len(books_set_aside(book.path))
    return Erased(customer(book, customer_id), places, left, rewritten)


def _take_out(book: Book, who: Customer) -> int:
    """Everything in one transaction; how many texts were changed."""
    with book.write() as con:
        changes = [(e.what, e.old, e.new) for e in events_of(book, "customer", who.id)]
        names = (who, *named_in(who.id, changes))
        con.execute(
            "UPDATE customer SET name = ?, phone = '', email = '', address = '', notes = '', "
            "forgotten_at = ? WHERE id = ?",
            (NO_NAME, book.now(), who.id),
        )
        con.execute(
            "UPDATE event SET old = iif(old = '', '', ?1), new = iif(new = '', '', ?1) "
            "WHERE subject = 'customer' AND subject_id = ?2",
            (REMOVED, who.id),
        )
        places = 0
        for name in names:
            places += strike_everywhere(book, name)
            drop_drafts(book, name)
        search_index.catch_up(book)
        catch_up_cards(book)
        note_change(book, "customer", who.id, "forgotten", "", "personal data removed on request")
    return places


def wipe_free_pages(book: Book) -> bool:
    """Rewrite search index and file, so that nothing of what was deleted stays in free pages.

    False when another program was in the way or the disk has no room for a second copy; the data
    is deleted all the same and this can be done again at any time.
    """
    try:
        search_index.scrub(book)
        book.vacuum()
        return book.checkpoint()
    except BookError:
        return False


def erase_again(book_path: Path, kept_aside: Path | None) -> int:
    """After a restore: who was erased in the book set aside is erased again.

    The number of customers whose data had come back. A book set aside that cannot be read any
    more says nothing.
    """
    if kept_aside is None:
        return 0
    known = _erased_in(kept_aside)
    if not known:
        return 0
    with open_book(book_path, create=False) as book:
        back = [
            one.id for one in rows.select(book, Customer, "forgotten_at IS NULL") if one.id in known
        ]
        for customer_id in back:
            _take_out(book, customer(book, customer_id))
        if back:
            wipe_free_pages(book)
    return len(back)


def _erased_in(place: Path) -> set[str]:
    try:
        with closing(look(place)) as con:
            found = con.execute("SELECT id FROM customer WHERE forgotten_at IS NOT NULL")
            return {str(row[0]) for row in found}
    except READ_ERRORS:
        return set()
