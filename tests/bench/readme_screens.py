"""Puts the screens as they are now into README.md: `python -m tests.bench.readme_screens`.

Opens the demo at 80x24, goes to each place and copies what stands on the screen as text.
"""

from __future__ import annotations

import asyncio
import re
import shutil
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from core.book import jobs
from tui.app import ShaftlogApp

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"
START, STOP = "<!-- screens: captured at 80x24 -->", "<!-- /screens -->"
NOW = datetime(2026, 2, 12, 14, 30, tzinfo=UTC).timestamp()
SHOWN = (
    ("Open jobs: what is in the shop, and the next step of each", "board", "", ()),
    ("A sweep under way: the station's rose, the profile so far", "sweep", "26-004", ()),
    ("The shape: runout along the shaft, limits, bends", "plot", "26-002", ()),
    ("The card of a job", "card", "26-008", ()),
    ("Straighten: hits of the next round", "straighten", "26-008", ()),
    ("Found again: search as typed", "find", "", tuple("lesser")),
)
"""Caption, place, tag of the job, keys pressed there."""


async def screens() -> list[tuple[str, str]]:
    """Caption and text of every screen that this version has."""
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "demo.db"
        shutil.copyfile(ROOT / "demo.db", book)
        found = []
        for caption, place, tag, keys in SHOWN:
            text = await _screen(book, place, tag, keys)
            if text is None:
                print(f"{place}: not in this version, left out", file=sys.stderr)
            else:
                found.append((caption, text))
        return found


async def _screen(book: Path, place: str, tag: str, keys: tuple[str, ...]) -> str | None:
    app = ShaftlogApp(book, clock=lambda: NOW, warm=False)
    async with app.run_test(size=(80, 24)) as pilot:
        board = app.screen
        if place != "board":
            app.go(place, jobs.job_by_tag(app.book, tag).id if tag else None)
        await pilot.pause()
        await app.workers.wait_for_complete()
        if place != "board" and app.screen is board:
            return None
        for key in keys:
            await pilot.press(key)
        await pilot.pause(0.5)
        await app.workers.wait_for_complete()
        await pilot.pause()
        strips = app.screen._compositor.render_strips()
        lines = ["".join(segment.text for segment in strip).rstrip() for strip in strips]
    app.close_book()
    return "\n".join(lines).rstrip()


def main() -> None:
    """Write README.md anew between the two marks."""
    parts = [f"{caption}:\n\n```text\n{text}\n```" for caption, text in asyncio.run(screens())]
    readme = README.read_text(encoding="utf-8")
    new = f"{START}\n" + "\n\n".join(parts) + f"\n{STOP}"
    written = re.sub(f"{START}.*?{STOP}", lambda _: new, readme, flags=re.DOTALL)
    README.write_text(written, encoding="utf-8")
    print(f"{len(parts)} screens written to README.md")


if __name__ == "__main__":
    main()
