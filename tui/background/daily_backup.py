"""The backup of the day, made in a thread a while after the first picture."""

from __future__ import annotations

import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING

from core.base.errors import ShaftlogError

if TYPE_CHECKING:
    from tui.app import ShaftlogApp

PAUSE_S = 3.0


def start(app: ShaftlogApp, pause_s: float = PAUSE_S) -> threading.Thread:
    """Make today's backup unless there is one; only trouble is told, on the message line."""
    from core.book import settings

    path, keep = app.book_path, settings.load(app.book).backups_kept
    thread = threading.Thread(
        target=_make, args=(app, path, keep, pause_s), name="backup", daemon=True
    )
    thread.start()
    return thread


def _make(app: ShaftlogApp, path: Path, keep: int, pause_s: float) -> None:
    from core.book.upkeep import backup

    time.sleep(pause_s)
    try:
        backup.daily(path, keep=keep)
    except ShaftlogError as error:
        words = f"No backup was made today: {error}"
        if app.is_running:
            app.call_from_thread(app.say, words)
