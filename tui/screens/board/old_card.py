"""Old cards in the lists of the searching screens, and what is done with a chosen one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from core.base.counting import many
from core.base.units import format_shop_size
from core.book import jobs
from core.book.cards import old_cards
from core.book.cards.card_search import CARDS_LISTED
from core.jobs.card_import.card_words import UNDATED, about_card
from core.jobs.intake import new_shaft
from tui.screens.base.job_text import shaft_words
from tui.screens.base.screen import ShopScreen
from tui.screens.board.searching import OLD_CARD
from tui.widgets.list_box import ListRow
from tui.widgets.menu import MenuItem

if TYPE_CHECKING:
    from core.book.cards.card_search import FoundCard

_TAKE_UP = (MenuItem("new", "The shaft is here again: a new job with what the card says"),)


def is_card(name: str) -> bool:
    """Whether a row is an old card."""
    return name.startswith(OLD_CARD)


def cards_below(count: int) -> str:
    """That so many old cards are listed under the jobs; '' = none."""
    more = "or more " if count == CARDS_LISTED else ""
    return f"{many(count, f'{more}old card')} below." if count else ""


def finding_rows(found: Iterable[FoundCard]) -> list[ListRow]:
    """Rows in the columns of the search in history."""
    return [
        _row(one, ("card", _year(one), *_where(one), _size(one), one.card.outcome, "", "", ""))
        for one in found
    ]


def board_card_rows(found: Iterable[FoundCard]) -> list[ListRow]:
    """Rows in the columns of the board."""
    return [
        _row(
            one,
            ("", "card", *_where(one), "", "",
             f"{one.card.outcome}, {_year(one)}"),
        )
        for one in found
    ]  # fmt: skip


def shaft_rows(found: Iterable[FoundCard]) -> list[ListRow]:
    """Rows in the columns of a new job: cards whose shaft has not come in again."""
    return [
        _row(one, (one.customer_name, "", _where(one)[0], _size(one), f"card, {_year(one)}"))
        for one in found
        if one.card.shaft_id is None
    ]


def about_found(one: FoundCard) -> list[str]:
    """What the card says, for the lines below a list."""
    here = "Its shaft has been here since: Enter opens its last job." if one.card.shaft_id else ""
    return [f"{one.customer_name}, paper card, {_year(one)}", about_card(one.card), here]


def open_card(screen: ShopScreen, row_name: str) -> None:
    """The newest job of its shaft, if that came in again; else ask whether it has."""
    book, context = screen.book, screen.context
    card = old_cards.card(book, row_name.removeprefix(OLD_CARD))
    if card.shaft_id is not None:
        context.go("card", jobs.jobs_of_shaft(book, card.shaft_id)[0].id)
        return

    def answered(name: str | None) -> None:
        if name is not None:
            context.go("new_customer", known=new_shaft.from_card(book, card), start_at="diameter")

    screen.ask_which(about_card(card), _TAKE_UP, answered)


def _row(one: FoundCard, cells: tuple[str, ...]) -> ListRow:
    return ListRow(f"{OLD_CARD}{one.card.id}", cells)


def _year(one: FoundCard) -> str:
    return str(one.card.year or UNDATED)


def _where(one: FoundCard) -> tuple[str, str]:
    return shaft_words(one.card.vessel, one.card.shaft), one.customer_name


def _size(one: FoundCard) -> str:
    diameter_in = one.card.diameter_in
    return one.card.size if diameter_in is None else format_shop_size(diameter_in)
