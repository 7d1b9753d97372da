"""What start, a key and idleness may cost; the benches measure, this keeps it so."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.bench.key_paint import open_sweep
from tests.bench.random_keys import resize
from tests.support.glass import Glass
from tests.support.small_book import make_book

ROOT = Path(__file__).resolve().parent.parent.parent
HEAVY = ("numpy", "plotext", "sqlite_utils", "scipy", "core.base.units")
START = """
import asyncio, sys
from tui import main
from tui.terminal import run as terminal
from tui.app import ShaftlogApp

async def run():
    app = ShaftlogApp({path!r}, warm=False)
    loaded = []
    app._start_heart = lambda: loaded.extend(sys.modules)
    async with app.run_test() as pilot:
        await pilot.pause()
    print(*sorted(set(loaded) & set({heavy!r})))
    print("tui.screens.board.board" in loaded)
    own = [sys.modules[name] for name in loaded if name.startswith(("core.", "tui."))]
    held = [one for module in own for one in vars(module).values() if isinstance(one, type)]
    made = set(one for one in held if "__dataclass_fields__" in vars(one))
    light = set(one for one in made if one.__init__.__module__ == "core.base.light_dataclass")
    print(len(light) > 10, *sorted(one.__qualname__ for one in made - light
          if one.__module__.startswith(("core.", "tui."))))

asyncio.run(run())
"""


@pytest.mark.slow
def test_the_first_picture_needs_no_heavy_library(tmp_path: Path) -> None:
    """Nor a standard dataclass: each costs the start over a millisecond."""
    book = make_book(tmp_path / "shop.db", count=2)
    done = subprocess.run(
        [sys.executable, "-c", START.format(path=str(book), heavy=HEAVY)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
    )
    assert done.stdout.splitlines() == ["", "True", "True"]


@pytest.mark.slow
def test_a_key_costs_few_bytes_and_idleness_none(tmp_path: Path) -> None:
    with open_sweep(make_book(tmp_path / "shop.db", count=2)) as terminal:
        glass = Glass()
        glass.feed(terminal.forget())
        terminal.drain(1.5, 1.5)
        assert terminal.output == b""
        for digit in b"12":
            _, painted = terminal.key(bytes([digit]))
            glass.feed(painted)
            assert 0 < len(painted) < 100
        terminal.send(b"\r")
        taken = terminal.drain(0.5)
        glass.feed(taken)
        assert 0 < len(taken) < 400
        # What was painted bit by bit is what a paint of the whole screen shows.
        assert "Taken: 12 thou" in glass.text
        seen = [list(row) for row in glass.cells]
        terminal.forget()
        for size in ((81, 24), (80, 24)):
            resize(terminal, *size)
            terminal.drain(0.4)
        glass.feed(terminal.output)
        assert glass.cells == seen
