"""The backup of the day, made in a thread a while after the first picture."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

from core.base.errors import ShaftlogError

START_AFTER_S = 3.0


def start(
    path: Path, keep: int, tell: Callable[[str], None], pause_s: float = START_AFTER_S
) -> threading.Thread:
    """Make today's backup of the book at `path` unless there is one; keep the newest `keep`.

    Only trouble is reported: `tell` gets the words, on the thread.
    """

    def make() -> None:
        from core.book.upkeep import backup

        time.sleep(pause_s)
        try:
            backup.daily(path, keep=keep)
        except ShaftlogError as error:
            tell(f"No backup was made today: {error}")

    thread = threading.Thread(target=make, name="backup", daemon=True)
    thread.start()
    return thread
