"""Jobs and old cards found by what was typed, alloys by their common names too."""

from __future__ import annotations

from functools import partial

from core.book.cards.card_search import find_cards as cards_with
from core.book.search.find import find_page
from core.book.search.typed import AlloyNames
from core.tables.alloy_names import alloys_beginning, alloys_named

_ALLOYS = AlloyNames(alloys_named, alloys_beginning)
find_jobs = partial(find_page, alloys=_ALLOYS)
"""`core.book.search.find.find_page` with the common names of the alloys table."""
find_cards = partial(cards_with, alloys=_ALLOYS)
"""`core.book.cards.card_search.find_cards` with them."""
