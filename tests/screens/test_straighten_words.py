"""What the straighten screen says when nothing is left to hit."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from core.book import jobs
from core.book.opening import open_book
from core.jobs.straightening import read_rounds, work_out
from tui.screens.straightening.straighten_text import headline

DEMO = Path(__file__).resolve().parents[2] / "demo.db"


@pytest.mark.parametrize(("swept", "says"), [(True, "The hold check"), (False, "Sweep the whole")])
def test_after_a_quick_check_alone_the_next_is_a_full_sweep(swept: bool, says: str) -> None:
    """It sent to the hold check, which asked for a sweep first, and to verdicts from before the
    last hit."""
    with open_book(DEMO, read_only=True) as book:
        state = work_out(read_rounds(book, jobs.job_by_tag(book, "25-049").id))
    assert state.story is not None
    state = replace(state, story=replace(state.story, swept=swept))
    assert state.plan == ()
    first, then = headline(state, 0)
    assert first.startswith("NOTHING MORE TO HIT")
    assert then.startswith(says)
