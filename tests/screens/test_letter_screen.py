"""The letter to the owner on its screen: typed, kept, printed."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import TextArea

from core.reports.ticket_collect import ticket_of
from tests.reports.test_ticket_forms import ticket
from tests.support.app_helpers import first_job, go, opened, type_text, worked_out
from tui.screens.release.letter import LetterRead


@pytest.mark.slow
async def test_what_is_typed_is_kept_and_printed(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "letter")
        await worked_out(app, pilot)
        await type_text(pilot, "Dear owner, [/] ")
        await pilot.press("escape")
        assert "Dear owner, [/] Your shaft" in ticket_of(app.book, first_job(app)).letter
        await go(app, pilot, "letter")
        await worked_out(app, pilot)
        area = app.screen.query_one(TextArea)
        assert area.text.startswith("Dear owner")
        await pilot.press("f4")
        assert area.text.startswith("Your shaft")
        await pilot.press("f5")
        assert area.text.startswith("Dear owner")
        await pilot.press("f12")
        await worked_out(app, pilot)
        assert list((tmp_path / "exports").glob("*-letter.pdf"))


def test_a_frozen_letter_is_shown_in_paragraphs_as_wide_as_the_screen() -> None:
    paragraph = "as many words as do not fit a line of eighty columns, " * 3
    assert LetterRead(paragraph, ticket(), None).text == paragraph
