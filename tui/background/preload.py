"""After the first picture: garbage is collected again, the heavy libraries load in idle time.

No fit stalls later, and what the start has loaded is never searched for garbage.
"""

from __future__ import annotations

import contextlib
import gc
import threading
import time
from importlib import import_module

HEAVY = ("numpy", "core.analysis.sweep", "plotext")
"""Imported one after the other; a screen that needs one sooner simply imports it itself."""
FIRST_PAUSE_S = 0.4
IMPORT_PAUSE_S = 0.05
COLLECT_AFTER = (50_000, 20, 50)
"""Objects made, then rounds: a search through all objects takes longer than a key may wait."""


def warm_up() -> threading.Thread:
    """Start the background import; gives back the thread."""
    gc.freeze()
    gc.set_threshold(*COLLECT_AFTER)
    gc.enable()

    def load() -> None:
        time.sleep(FIRST_PAUSE_S)
        for name in HEAVY:
            with contextlib.suppress(ImportError):
                import_module(name)
            time.sleep(IMPORT_PAUSE_S)
        gc.freeze()

    thread = threading.Thread(target=load, name="warm-up", daemon=True)
    thread.start()
    return thread
