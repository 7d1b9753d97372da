"""Loads the heavy libraries in idle time after the first picture, so that no fit stalls later."""

from __future__ import annotations

import contextlib
import threading
import time
from importlib import import_module

HEAVY = ("numpy", "core.analysis.sweep", "plotext")
"""Imported one after the other; a screen that needs one sooner simply imports it itself."""
FIRST_PAUSE_S = 0.4
IMPORT_PAUSE_S = 0.05


def warm_up() -> threading.Thread:
    """Start the background import; gives back the thread."""

    def load() -> None:
        time.sleep(FIRST_PAUSE_S)
        for name in HEAVY:
            with contextlib.suppress(ImportError):
                import_module(name)
            time.sleep(IMPORT_PAUSE_S)

    thread = threading.Thread(target=load, name="warm-up", daemon=True)
    thread.start()
    return thread
