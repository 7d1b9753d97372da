"""Every test looks out for a network (`conftest.py`); here the look-out itself, and all modules."""

from __future__ import annotations

import pkgutil
import socket
from contextlib import suppress
from importlib import import_module

import core
from tests import conftest
from tests.support.app_helpers import present_places


def test_no_module_opens_a_socket() -> None:
    for module in pkgutil.walk_packages(core.__path__, "core."):
        import_module(module.name)
    assert len(present_places()) > 20
    assert conftest.SEEN == []


def test_the_look_out_sees_a_connection() -> None:
    with suppress(OSError):
        socket.create_connection(("127.0.0.1", 9), 0.1)
    assert "socket.connect" in [event for event, _ in conftest.SEEN]
    conftest.SEEN.clear()
