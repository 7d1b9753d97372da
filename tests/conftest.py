"""Settings of the whole test suite."""

from __future__ import annotations

import gc
import os
import socket
import sys
from collections.abc import Iterator

import pytest
from _pytest.unraisableexception import gc_collect_iterations_key
from hypothesis import settings
from xdist.scheduler import WorkStealingScheduling

from core.base.dial_unit import show_dial_in
from tests.support import light_library

settings.register_profile("same", derandomize=True, deadline=None, max_examples=50)
settings.register_profile("explore", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))

light_library.lighten()


@pytest.fixture(autouse=True)
def _dial_figures_in_thou() -> Iterator[None]:
    """What one test's shop shows its dial figures in is nothing to the next test."""
    yield
    show_dial_in("thou")


SEEN: list[tuple[str, str]] = []
"""What of a network was touched since the last test, apart from the event loop's own pair."""
NETWORK = ("socket.", "urllib.", "http.", "ftplib.", "smtplib.", "ssl.")


def _look_out(event: str, arguments: tuple[object, ...]) -> None:
    if not event.startswith(NETWORK) or event == "socket.gethostname":
        return
    if event != "socket.__new__" or arguments[1] != socket.AF_UNIX:
        SEEN.append((event, str(arguments[1:])))


sys.addaudithook(_look_out)


@pytest.fixture(autouse=True)
def _no_network() -> Iterator[None]:
    """The program never talks to a network, whatever a test does with it."""
    SEEN.clear()
    yield
    assert not SEEN


def pytest_configure(config: pytest.Config) -> None:
    """At the end of a worker garbage is looked through once, not five times."""
    config.stash[gc_collect_iterations_key] = 1


def pytest_xdist_auto_num_workers() -> int:
    """Workers for `-n auto`: tests of screens wait for the app half of the time."""
    cores = os.cpu_count() or 1
    return 2 * cores


def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> WorkStealingScheduling:
    """A worker that has nothing left takes tests that another one would have had."""
    return WorkStealingScheduling(config, log)


def pytest_collection_finish(session: pytest.Session) -> None:
    """The modules of all tests are no garbage: looking through them took a tenth of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(200_000, 20, 50)
