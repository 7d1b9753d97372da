"""Settings of the whole test suite."""

from __future__ import annotations

import os

from hypothesis import settings
from textual import _wait

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("explore", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))

_wait.SLEEP_GRANULARITY = 0.005
_wait.SLEEP_IDLE = 0.0005
# the library looks every 20 ms whether the app is idle, three times for each key


def pytest_xdist_auto_num_workers() -> int:
    """Workers for `-n auto`: tests of screens wait for the app half of the time."""
    cores = os.cpu_count() or 1
    return 2 * cores
