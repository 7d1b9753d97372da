"""Search as typed over all jobs ever done.

    for found in search.find(book, "hal 2019 stbd"):
        ...

Every piece typed must be met. Jobs in which names, tag or phone are met by whole words come first,
then those where they begin with what was typed or a meaning is met (a size, a side, an outcome, an
alloy), then those where the words are elsewhere; the newest first in each. When that finds too
little, pieces inside words count, and then words one or two slips of the finger away.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from core.book.connection import Book
from core.book.search.near import inside, nearly
from core.book.search.terms import Query, count, few, is_met, match, newest, query_of
from core.book.search.typed import NO_ALLOYS, AlloyNames, what_is_asked

LIMIT = 50
_ENOUGH = 8


@dataclass(frozen=True)
class Found:
    """One job found; shaft, vessel and owner as they were at that visit."""

    job_id: str
    shaft_id: str
    tag: str
    state: str
    opened_at: str
    closed_at: str | None
    customer_name: str
    phone: str
    vessel_name: str
    position: str
    material: str
    diameter_in: float
    complaint: str
    how: str
    """'newest' (nothing typed), 'words', 'inside' or 'nearly' (one or two slips away)."""


@dataclass(frozen=True)
class Page:
    """Some of the jobs found, best first."""

    found: tuple[Found, ...]
    total: int
    """How many there are in all."""
    at_least: bool = False
    """There are more than `total`: they were not counted to the end."""
    sure: int = 0
    """How many of them are meant first: of a year typed those opened in it, not those that have it
    in a tag or a phone number."""

    @property
    def near(self) -> int:
        """How many of those listed have the words only nearly, or inside other words."""
        return sum(one.how in ("inside", "nearly") for one in self.found)


def find(book: Book, typed: str, limit: int = LIMIT) -> tuple[Found, ...]:
    """The best jobs for what has been typed so far; only blanks or punctuation: the newest."""
    return find_page(book, typed, limit=limit).found


def find_page(
    book: Book,
    typed: str,
    *,
    first: int = 0,
    limit: int = LIMIT,
    one_per_shaft: bool = False,
    alloys: AlloyNames = NO_ALLOYS,
    counted: bool = True,
) -> Page:
    """The jobs from number `first` on (0 = the best), and how many there are.

    `alloys` gives the UNS numbers a typed word may name. Without `counted` only those up to the end
    of this page are, which is much quicker while somebody types.
    `one_per_shaft` gives the last visit of each shaft found, for intake.
    """
    upto = first + limit * (2 if one_per_shaft else 1)
    page = _page(book, typed, first, upto, alloys, counted)
    if not one_per_shaft:
        return page
    shafts = list(dict.fromkeys(one.shaft_id for one in page.found))[:limit]
    return replace(page, found=tuple(_last_visits(book, shafts, page.found)))


def _last_visits(book: Book, shafts: Sequence[str], found: Sequence[Found]) -> list[Found]:
    """The newest job of each shaft, whichever of its jobs was found."""
    marks = ", ".join("?" * len(shafts))
    newest_of = book.rows(
        "SELECT shaft_id, max(doc_no) FROM job JOIN search_doc ON search_doc.job_id = job.id "
        f"WHERE shaft_id IN ({marks}) GROUP BY shaft_id",
        shafts,
    )
    numbers = dict(newest_of)
    how = {one.shaft_id: one.how for one in reversed(found)}
    rows = _rows(book, [numbers[shaft_id] for shaft_id in shafts], "")
    return [replace(one, how=how[one.shaft_id]) for one in rows]


def _page(book: Book, typed: str, first: int, upto: int, alloys: AlloyNames, counted: bool) -> Page:
    queries = _queries(book, typed, alloys)
    numbers = _by_words(book, queries, upto) if queries else newest(book, None, upto)
    if len(numbers) >= upto or not queries:
        shown = tuple(_rows(book, numbers[first:], "words" if queries else "newest"))
        if not counted:
            return Page(shown, upto, len(numbers) >= upto, upto)
        return Page(shown, count(book, queries), sure=count(book, queries[:1]))
    ways = [("words", numbers)]
    # Of several pieces, parts of words and slips are looked for only when they find nothing as
    # they are.
    enough = 1 if len(queries) > 1 or len(queries[0].pieces) > 1 else _ENOUGH
    for how, look in (("inside", inside), ("nearly", nearly)):
        have = {number for _, some in ways for number in some}
        if len(have) < enough:
            more = look(book, queries[0], alone=not have)
            ways.append((how, [number for number in more if number not in have]))
    every = [(how, number) for how, some in ways for number in some]
    found = []
    for how, _ in ways:
        found += _rows(book, [no for way, no in every[first:upto] if way == how], how)
    sure = len(_by_words(book, queries[:1], upto)) if queries[0].period else len(numbers)
    return Page(tuple(found), len(every), sure=sure)


def _queries(book: Book, typed: str, alloys: AlloyNames) -> list[Query]:
    """What may be meant; the later ones leave out the period of the one before."""
    asked = what_is_asked(typed, alloys)
    before = [None, *(one.period for one in asked)]
    return [query_of(book, one, past) for one, past in zip(asked, before, strict=False)]


def _by_words(book: Book, queries: Iterable[Query], upto: int) -> list[int]:
    """The best matches by their words, the first `upto` of them."""
    found: dict[int, None] = {}
    for query in queries:
        if not query.pieces:
            found.update(dict.fromkeys(newest(book, query.period, upto)))
        if not query.ways or len(found) >= upto:
            continue
        texts = few(book, query.ways[-1][1], query.period)
        for table, pieces in query.ways:
            if texts is not None:
                which = 1 if table == "search_who" else 2
                met = [
                    no
                    for no, both in texts.items()
                    if all(is_met("".join(both[:which]), piece) for piece in pieces)
                ]
            elif len(found) < upto:
                met = match(book, table, pieces, query.period, upto)
            found.update(dict.fromkeys(met))
    return list(found)[:upto]


def _rows(book: Book, numbers: Sequence[int], how: str) -> list[Found]:
    """The jobs of these document numbers, in that order, as they were at their visits."""
    then = (
        "(SELECT facts FROM past WHERE subject_id = {}.id AND until_at > job.opened_at "
        "ORDER BY until_at, past.id LIMIT 1)"
    )
    found: dict[int, Found] = {}
    chosen = list(dict.fromkeys(numbers))
    for at in range(0, len(chosen), LIMIT):
        some = chosen[at : at + LIMIT]
        marks = ", ".join("?" * len(some))
        for number, shaft_then, vessel_then, *values in book.rows(
            f"SELECT doc_no, {then.format('shaft')}, {then.format('vessel')}, job.id, shaft.id, "
            "job.tag, job.state, job.opened_at, job.closed_at, customer.name, customer.phone, "
            "vessel.name, shaft.position, shaft.material, shaft.diameter_in, job.complaint "
            "FROM search_doc JOIN job ON job.id = search_doc.job_id "
            "JOIN shaft ON shaft.id = job.shaft_id JOIN vessel ON vessel.id = shaft.vessel_id "
            f"JOIN customer ON customer.id = vessel.customer_id WHERE doc_no IN ({marks})",
            some,
        ):
            found[number] = _as_then(book, Found(*(*values, how)), shaft_then, vessel_then)
    return [found[number] for number in chosen if number in found]


def _as_then(book: Book, one: Found, shaft_then: str | None, vessel_then: str | None) -> Found:
    if shaft_then:
        shaft = json.loads(shaft_then)["shaft"]
        names = ("position", "material", "diameter_in")
        one = replace(one, **{name: shaft[name] for name in names})
    if vessel_then:
        vessel = json.loads(vessel_then)["vessel"]
        owner = book.one("SELECT name, phone FROM customer WHERE id = ?", (vessel["customer_id"],))
        name, phone = owner or (one.customer_name, one.phone)
        one = replace(one, vessel_name=vessel["name"], customer_name=name, phone=phone)
    return one
