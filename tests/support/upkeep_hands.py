"""Hands at the screens that keep the book."""

from __future__ import annotations

from textual.pilot import Pilot

from core.book import customers
from tests.support.bench_book import workers_done
from tests.support.typed_figures import press
from tui.app import ShaftlogApp

OWNER = "T. Marlow"


async def keys(pilot: Pilot[None], *some: str) -> None:
    """Press keys; after each that may start work wait until the work is done."""
    typed: list[str] = []
    for key in some:
        typed.append(key)
        if len(key) > 1 or key.isdigit():
            await press(pilot, *typed)
            await workers_done(pilot)
            while not pilot.app.screen.is_mounted:  # a screen just opened has no parts yet
                await pilot.pause()
            typed.clear()
    await press(pilot, *typed)


def customer_names(app: ShaftlogApp) -> set[str]:
    """All customers in the open book."""
    return {one.name for one in customers.customers(app.book)}


def rename(app: ShaftlogApp, new: str, old: str = OWNER) -> None:
    """Change the name of a customer in the open book."""
    found = next(one for one in customers.customers(app.book) if one.name == old)
    customers.change_customer(app.book, found.id, name=new)
