"""Old cards into the book: looked at first, doubles left out and listed, stored all or none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from core.base.counting import many
from core.base.errors import ShaftlogError, Stopped
from core.base.records import OldCard
from core.base.shop_records import NOT_NAMED, Customer
from core.book import settings
from core.book.cards import old_cards
from core.book.cards.card_search import catch_up_cards
from core.book.connection import Book
from core.book.search.words import fold
from core.book.upkeep.stoppable import last_row, share, stoppable
from core.jobs.card_import.read_cards import (
    LINES_A_REPORT,
    CardFile,
    CardLine,
    Progress,
    read_card_file,
)

CARD_COLUMNS = "card columns"
"""What the program remembers the column mapping under."""
LINES_NAMED = 10
"""Line numbers listed of each kind."""
_ROWS_SHARE = 0.4
"""Of storing cards is the rows, the rest their search index."""
_INDEX_STEPS_A_CARD = 70
"""Steps of SQLite to build the index, measured on 100,000 cards."""


@dataclass(frozen=True)
class CardPlan:
    """What taking a file in does."""

    customers: tuple[Customer, ...]
    """Known only by their cards until now."""
    cards: tuple[OldCard, ...]
    doubled: tuple[int, ...]
    """Lines that say what another line or a card in the book says."""
    erased: tuple[int, ...]
    """Lines of customers whose data was deleted on request: not taken in again."""
    empty: tuple[int, ...]
    undated: tuple[int, ...]

    def words(self, *, done: bool) -> str:
        """The report as text."""
        came = "came in" if done else "would come in"
        lines = [
            f"{many(len(self.cards), 'card')} {came}, {many(len(self.customers), 'new customer')}."
        ]
        for what, found in (
            ("left out: the same card is there already", self.doubled),
            ("left out: neither customer nor vessel", self.empty),
            ("left out: the customer's data was deleted on request", self.erased),
            ("without a year: it cannot be read, see the note", self.undated),
        ):
            if found:
                listed = ", ".join(map(str, found[:LINES_NAMED]))
                more = ", ..." if len(found) > LINES_NAMED else ""
                lines.append(f"{many(len(found), 'line')} {what} (line {listed}{more}).")
        return "\n".join(lines)


def remembered_card_columns(book: Book) -> dict[str, str]:
    """The mapping used last: our column names to those of the file."""
    return dict(settings.recall(book, CARD_COLUMNS) or {})


def read_for(
    book: Book,
    data: bytes,
    name: str,
    columns: Mapping[str, str],
    progress: Progress = lambda *_: None,
) -> CardFile:
    """The cards of a file, by the columns given, else by those remembered, else by our names."""
    remembered = remembered_card_columns(book)
    if columns or not remembered:
        return read_card_file(data, name, columns, progress)
    try:
        return read_card_file(data, name, remembered, progress)
    except Stopped:
        raise
    except ShaftlogError:
        return read_card_file(data, name, {}, progress)


def plan_cards(
    book: Book, file: CardFile, name: str, progress: Progress = lambda *_: None
) -> CardPlan:
    """Sort out what is new; nothing is stored."""
    ids, erased = old_cards.customers_by_name(book), old_cards.erased_customers(book)
    seen = old_cards.known_cards(book)
    new: dict[str, Customer] = {}
    cards, doubled, struck = [], [], []
    for number, line in enumerate(file.cards):
        if number % LINES_A_REPORT == 0:
            progress(number, len(file.cards))
        who = line.customer or NOT_NAMED
        folded = " ".join(fold(who).split())
        customer_id = ids.get(folded) or old_cards.customer_id_of(who)
        card = _card(line, customer_id, name)
        if customer_id in erased:
            struck.append(line.line)
        elif card.id in seen:
            doubled.append(line.line)
        else:
            seen.add(card.id)
            cards.append(card)
            if folded not in ids:
                ids[folded] = customer_id
                new[customer_id] = Customer(customer_id, who)
    cards.sort(key=lambda one: one.id)  # the tables grow at one end: half the time
    return CardPlan(
        tuple(new.values()), tuple(cards), tuple(doubled), tuple(struck), file.empty, file.undated
    )


def _card(line: CardLine, customer_id: str, name: str) -> OldCard:
    texts = (line.vessel, line.shaft, line.size)
    year = "" if line.year is None else str(line.year)
    return OldCard(
        old_cards.card_id(line.customer or NOT_NAMED, *texts, year, line.outcome, line.note),
        customer_id,
        *texts,
        line.diameter_in,
        line.year,
        line.outcome,
        line.note,
        name,
    )


def store_cards(
    book: Book, plan: CardPlan, columns: Mapping[str, str], progress: Progress = lambda *_: None
) -> None:
    """Store what was planned and remember the columns, all or nothing.

    What `progress` raises ends it, and nothing is stored.
    """
    every = len(plan.cards)
    rows, index = share(progress, 0.0, _ROWS_SHARE), share(progress, _ROWS_SHARE, 1.0)
    with book.write():
        old_cards.add_cards(book, plan.customers, plan.cards, lambda count: rows(count, every))
        if columns:
            settings.remember(book, CARD_COLUMNS, dict(columns))
        steps = last_row(book.con, "old_card") * _INDEX_STEPS_A_CARD
        with stoppable(book.con, index, steps):
            catch_up_cards(book)
    progress(every, every)
