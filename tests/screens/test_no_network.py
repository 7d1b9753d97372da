"""The program never talks to a network: no socket but the pair the event loop wakes itself with."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.small_book import make_book

ROOT = Path(__file__).resolve().parent.parent.parent
WALK = """
import asyncio, importlib, json, pkgutil, socket, sys
seen = []

def look(event, arguments):
    if event == "socket.__new__" and arguments[1] != socket.AF_UNIX:
        seen.append([event, str(arguments[1])])
    elif event.startswith(("socket.", "urllib.", "http.", "ftplib.", "smtplib.", "ssl.")):
        if event not in ("socket.__new__", "socket.gethostname"):
            seen.append([event, str(arguments[1:])])

sys.addaudithook(look)
import core
for module in pkgutil.walk_packages(core.__path__, "core."):
    importlib.import_module(module.name)
from core.book import jobs
from tui.app import ShaftlogApp
from tests.support.app_helpers import present_places
from tui.routes import ROUTES

async def walk():
    app = ShaftlogApp(sys.argv[1], warm=True)
    async with app.run_test() as pilot:
        job_id = jobs.open_jobs(app.book)[0].id
        await pilot.press("f3", *"gannet", "escape")
        for name in present_places():
            app.go(name, job_id if ROUTES[name].needs_job else None)
            await pilot.pause()
            await pilot.press("f5")
            app.back_to_board()
        await pilot.pause()
        walked = len(present_places())
    app.close_book()
    return walked

walked = asyncio.run(walk())
ours = list(seen)
try:
    socket.create_connection(("127.0.0.1", 9), 0.1)
except OSError:
    pass
print(json.dumps([walked, ours, [event for event, _ in seen[len(ours):]]]))
"""


@pytest.mark.slow
def test_no_socket_is_opened(tmp_path: Path) -> None:
    book = make_book(tmp_path / "shop.db", count=2)
    done = subprocess.run(
        [sys.executable, "-c", WALK, str(book)],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env={"PYTHONPATH": str(ROOT), "HOME": str(tmp_path), "PATH": "/usr/bin:/bin"},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    walked, ours, deliberate = json.loads(done.stdout.splitlines()[-1])
    assert walked > 20
    assert ours == []
    assert "socket.connect" in deliberate, "the look-out itself must see a connection"
