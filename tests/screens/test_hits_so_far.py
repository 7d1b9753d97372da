"""The page of the hits so far and the ticket say the same of what a hit took out."""

from __future__ import annotations

import re
from pathlib import Path

from core.book import jobs
from core.book.opening import open_book
from core.jobs.straightening import read_earlier, read_rounds, work_out
from core.reports.ticket_collect import collect_now
from tui.screens.straightening.hit_pages import made_hits

DEMO = Path(__file__).resolve().parents[2] / "demo.db"
TAG = "26-008"
"""The shop has a record of its material, which only the plan uses."""


def test_the_page_and_the_ticket_have_one_figure_of_each_hit() -> None:
    """A led stroke of which the dial showed less than was asked had '98% of what was asked' here
    and 94% of it on paper."""
    with open_book(DEMO, read_only=True) as book:
        job = jobs.job_by_tag(book, TAG)
        raw, earlier = read_rounds(book, job.id), read_earlier(book, job.id)
        ticket = collect_now(book, job.id)
    page = " ".join(made_hits(work_out(raw, earlier)))
    here = [float(found) for found in re.findall(r"taken out: ([\d.]+) mrad", page)]
    paper = [hit.taken_mrad for hit in ticket.hits]
    assert here == [round(taken, 2) for taken in paper if taken is not None]
    assert len(here) > 3
