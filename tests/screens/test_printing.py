"""Papers printed from card and release screen with the shop's command."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

import pytest

from core.book import settings
from core.book.audit import events_of
from core.reports.ticket_collect import ticket_of
from tests.support.app_helpers import first_job, go, message, opened, text, worked_out


@pytest.mark.slow
async def test_card_and_ticket(tmp_path: Path) -> None:
    take = "import sys; open(sys.argv[1], 'ab').write(sys.stdin.buffer.read())"
    out = tmp_path / "out.txt"
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "card")
        await pilot.press("f12", "1")
        await worked_out(app, pilot)
        assert "26-001-job-card.txt (also pdf)" in message(app)
        command = shlex.join([sys.executable, "-S", "-c", take, str(out)])
        settings.save(app.book, print_command=command)
        await pilot.press("f12", "1")
        await worked_out(app, pilot)
        assert "Job card: given to the printer" in message(app)
        assert "STEPS" in out.read_text(encoding="utf-8")
        await go(app, pilot, "release")
        await pilot.press("f12", "1")
        await worked_out(app, pilot)
        assert "Ticket: given to the printer" in text(app)
        assert out.read_text(encoding="utf-8").endswith(ticket_of(app.book, first_job(app)).text)
        done = [
            one.new for one in events_of(app.book, "job", first_job(app)) if one.what == "printed"
        ]
        assert done == ["job card", "ticket"]
