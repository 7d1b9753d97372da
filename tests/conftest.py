"""Settings of the whole test suite."""

from __future__ import annotations

import gc
import os
import socket
import sys
from collections.abc import Iterator

import pytest
from hypothesis import settings
from textual import _wait
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.css.types import CSSLocation

from core.base.dial_unit import show_dial_in

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


def pytest_xdist_auto_num_workers() -> int:
    """Workers for `-n auto`: tests of screens wait for the app half of the time."""
    cores = os.cpu_count() or 1
    return 2 * cores


def pytest_collection_finish(session: pytest.Session) -> None:
    """The modules of all tests are no garbage: looking through them took a tenth of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(200_000, 20, 50)


_parse_rules = Stylesheet._parse_rules
_parsed: dict[tuple[object, ...], list[RuleSet]] = {}


def _parsed_once(
    self: Stylesheet,
    css: str,
    read_from: CSSLocation,
    is_default_rules: bool = False,
    tie_breaker: int = 0,
    scope: str = "",
) -> list[RuleSet]:
    """The library keeps parsed styles for one app; here hundreds of apps have the same."""
    asked = (css, read_from, is_default_rules, tie_breaker, scope)
    key = (*asked, tuple(self._variables.items()))
    if key not in _parsed:
        _parsed[key] = _parse_rules(self, *asked)
    return _parsed[key]


Stylesheet._parse_rules = _parsed_once  # type: ignore[method-assign]
