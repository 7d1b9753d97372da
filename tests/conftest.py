"""Settings of the whole test suite."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hypothesis import settings
from textual import _wait

from core.base.units import show_dial_in

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("explore", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))

_wait.SLEEP_GRANULARITY = 0.005
_wait.SLEEP_IDLE = 0.0005
# the library looks every 20 ms whether the app is idle, three times for each key


@pytest.fixture(autouse=True)
def _dial_figures_in_thou() -> Iterator[None]:
    """What one test's shop shows its dial figures in is nothing to the next test."""
    yield
    show_dial_in("thou")


def pytest_xdist_auto_num_workers() -> int:
    """Workers for `-n auto`: tests of screens wait for the app half of the time."""
    cores = os.cpu_count() or 1
    return 2 * cores
