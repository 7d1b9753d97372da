"""An old card is found by the search boxes and becomes a job when its shaft comes in."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.book import customers, history, jobs
from core.book.cards import old_cards
from core.jobs.card_import.store_cards import plan_cards, read_for, store_cards
from tests.support.app_helpers import go, opened, text, type_text

FILE = (
    b"customer,vessel,shaft,size,year,outcome,note\nHaldorsen,Gannet,port,1-3/4,1998,replaced,log\n"
)


@pytest.mark.slow
async def test_a_card_found_becomes_a_job(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        plan = plan_cards(app.book, read_for(app.book, FILE, "f", {}), "f")
        store_cards(app.book, plan, {})
        await type_text(pilot, "hald 1998")
        await pilot.pause()
        assert "replaced, 1998" in text(app)
        assert "1 old card below" in text(app)
        await pilot.press("f3")
        await type_text(pilot, "hald")
        await pilot.pause()
        assert "1 old card below" in text(app)
        assert "paper card, 1998" in text(app)
        await pilot.press("enter", "1")
        await pilot.pause()
        assert "From an old card: measure the diameter again" in text(app)
        await type_text(pilot, "1.745")
        await pilot.press("enter")
        await type_text(pilot, "96")
        await pilot.press("enter", "f4")
        await pilot.pause()
        job = jobs.open_jobs(app.book)[-1]
        shaft = history.shaft_of(app.book, job)
        assert (shaft.diameter_in, shaft.length_in, shaft.position) == (1.745, 96.0, "port")
        owner = history.owner_of(app.book, job)
        assert (owner.name, len(customers.vessels_of(app.book, owner.id))) == ("Haldorsen", 1)
        assert len(old_cards.cards_of_shaft(app.book, shaft.id)) == 1
        await pilot.press("f10")
        await pilot.pause()
        assert "1998: 1-3/4, replaced, log" in text(app)


@pytest.mark.slow
async def test_cards_are_taken_in_after_a_look(tmp_path: Path) -> None:
    file = FILE.replace(b"customer", b"Owner") + b",,,,x,,\n" + FILE.split(b"\n")[1] + b"\n"
    async with opened(tmp_path) as (app, pilot):
        (app.book.path.parent / "cards.csv").write_bytes(file)
        await go(app, pilot, "import_cards")
        await pilot.press("f12")
        await type_text(pilot, "cards.csv")
        await pilot.press("enter")
        await type_text(pilot, "own")
        await pilot.press("enter", "f12")
        await pilot.pause()
        assert "Look first" in text(app)
        await pilot.press("f4")
        await app.workers.wait_for_complete()
        await pilot.pause()
        shown = text(app)
        assert "1 card would come in, 1 new customer." in shown
        assert "1 line left out: the same card is there already (line 4)." in shown
        assert "1 line left out: neither customer nor vessel (line 3)." in shown
        assert old_cards.all_cards(app.book) == ()
        await pilot.press("f12")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert "TAKEN IN." in text(app)
        assert [one.vessel for one in old_cards.all_cards(app.book)] == ["Gannet"]
