"""Makes the invented shop's job book: same seed, same calendar, same ids, same book.

python -m core.demo demo.db
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from core.base.errors import ShaftlogError
from core.base.whole_file import whole_file
from core.book import settings
from core.book.ids import IdMaker
from core.book.opening import open_book
from core.demo.bench import Calendar
from core.demo.cast import BENCH_HANDS, SHOP
from core.demo.shop import Shop
from core.demo.stories import STORIES

SEED = 1789


def make_demo(path: Path) -> None:
    """Write the invented shop's job book to a new file."""
    try:
        with whole_file(path) as part:
            fill_demo(part)
    except FileExistsError:
        raise ShaftlogError(f"{path}: there is such a file already; name a new one") from None


def fill_demo(path: Path) -> None:
    """Play the invented shop into an empty file."""
    calendar = Calendar()
    new_id = IdMaker(calendar, _seeded_bytes())
    with open_book(path, by=BENCH_HANDS[0], now=calendar, new_id=new_id) as book:
        shop = Shop(book, calendar, SEED)
        with book.write():
            settings.save(
                book,
                shop_name=SHOP["name"],
                shop_address=SHOP["address"],
                shop_phone=SHOP["phone"],
                closing_mark=True,
                gauge="bench dial 2, 0.0005",
            )
            shop.take_on_customers()
            for story in STORIES:
                story(shop)


def _seeded_bytes() -> Callable[[int], bytes]:
    """Chance for the ids, the same every time."""
    return np.random.default_rng(SEED).bytes
