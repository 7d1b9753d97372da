"""`shaftlog history WORDS`: jobs and old cards found by anything ever written about them."""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING

from core.base.counting import many
from core.base.text import one_line
from core.cli.frame import DONE, NOTHING, at_least, shop_book
from core.jobs.card_import.card_words import card_words
from core.reports.ticket_format import pad, shop_size

if TYPE_CHECKING:
    from core.book.cards.card_search import FoundCard
    from core.book.connection import Book
    from core.book.search.find import Found, Page

COLUMNS = (("tag", 9), ("came in", 11), ("state", 9), ("customer", 22), ("vessel", 20))


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """WORDS and how much of each job."""
    parser.add_argument(
        "words",
        metavar="WORDS",
        nargs="+",
        help="anything known, in any order: names, tag, phone, year, month, size, side, outcome, "
        "alloy, a word of a note",
    )
    parser.add_argument("--most", type=at_least(1), default=50, metavar="N", help="at most N jobs")
    parser.add_argument(
        "--skip", type=at_least(0), default=0, metavar="N", help="leave the first N out"
    )
    parser.add_argument("--brief", action="store_true", help="one line a job")
    parser.add_argument("--json", action="store_true", help="as JSON")
    parser.add_argument("--with-phone", action="store_true", help="show phone numbers too")


def run(args: argparse.Namespace) -> int:
    """Print the jobs found, best first; exit code 1 when there is none."""
    from core.jobs.find_jobs import find_cards, find_jobs

    typed = " ".join(args.words)
    with shop_book(args, read_only=True) as book:
        page = find_jobs(book, typed, first=args.skip, limit=args.most)
        # slips of the finger are allowed for only where nothing meets the words as they were typed
        found = tuple(one for one in page.found if one.how != "nearly") or page.found
        cards = find_cards(book, typed, limit=args.most)
        if args.json:
            records = [_record(book, one, args) for one in found] + [*map(_card_record, cards)]
            print(json.dumps(records, indent=1))
        elif found or cards:
            if found:
                _print_table(book, found, page, args)
            _print_cards(cards)
        else:
            words = (
                f"no more than {many(page.total, 'job')} found" if page.total else "nothing found"
            )
            print(f"{words} for {one_line(typed)!r}")
    return DONE if found or cards else NOTHING


def _print_table(
    book: Book, found: tuple[Found, ...], page: Page, args: argparse.Namespace
) -> None:
    if found[0].how == "nearly":
        print("nothing meets these words; a slip or two of the finger away:")
    print("".join(f"{name:<{width}}" for name, width in COLUMNS) + "shaft")
    for one in found:
        print(_line(one, args.with_phone))
        if not args.brief:
            print(f"         {one_line('; '.join(_about(book, one)))}")
    first, last = args.skip + 1, args.skip + len(page.found)
    if found != page.found:
        print(many(len(found), "job"))
    elif last < page.total:
        print(f"{page.total:,} jobs; {first} to {last} listed, --skip {last} lists the next")
    else:
        print(f"{page.total:,} jobs; {first} to {last} listed" if args.skip else many(last, "job"))


def _print_cards(cards: tuple[FoundCard, ...]) -> None:
    if cards:
        print(f"{many(len(cards), 'old card')}, the newest first:")
    for one in cards:
        print(one_line(card_words(one)))


def _card_record(one: FoundCard) -> dict[str, object]:
    card = one.card
    return {
        "old_card": card.id,
        "customer": one.customer_name,
        "vessel": card.vessel,
        "shaft": card.shaft,
        "size": card.size,
        "diameter_in": card.diameter_in,
        "year": card.year,
        "outcome": card.outcome,
        "note": card.note,
    }


def _about(book: Book, one: Found) -> list[str]:
    from core.book import settings
    from core.jobs.about_job import about_job, tir_words
    from core.jobs.sweep.sweep_entry import dial_unit

    unit = dial_unit(settings.load(book))
    lines = about_job(book, one.job_id).lines(tir_words(_tir(book, one), unit))
    return [line for line in lines if line]


def _tir(book: Book, one: Found) -> tuple[float | None, float | None]:
    from core.book.sweeps import sweeps_of

    if not sweeps_of(book, one.job_id):
        return None, None
    from core.jobs.tir_in_out import tir_in_out

    return tir_in_out(book, one.job_id)


def _line(one: Found, phone: bool) -> str:
    """One job as a line of the table."""
    values = (one.tag, one.opened_at[:10], one.state, one.customer_name, one.vessel_name)
    cells = [
        pad(one_line(value), width - 1) + " "
        for value, (_, width) in zip(values, COLUMNS, strict=True)
    ]
    shaft = f"{one_line(one.position)} {shop_size(one.diameter_in)} {one_line(one.material)}"
    if phone and one.phone:
        shaft += f"  phone {one_line(one.phone)}"
    return "".join(cells) + shaft


def _record(book: Book, one: Found, args: argparse.Namespace) -> dict[str, object]:
    record: dict[str, object] = {
        "tag": one.tag,
        "opened_at": one.opened_at,
        "closed_at": one.closed_at,
        "state": one.state,
        "customer": one.customer_name,
        "vessel": one.vessel_name,
        "position": one.position,
        "material": one.material,
        "diameter_in": one.diameter_in,
        "complaint": one.complaint,
        "found_by": one.how,
    }
    if not args.brief:
        from core.jobs.about_job import about_job

        about = about_job(book, one.job_id)
        came_in, left_in = _tir(book, one)
        record |= {
            "visit": about.visit,
            "last_seen": about.last_seen,
            "done": about.done,
            "tir_in_in": came_in,
            "tir_out_in": left_in,
        }
    if args.with_phone:
        record["phone"] = one.phone
    return record
