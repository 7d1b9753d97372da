"""Fixtures of the command line."""

from tests.support.command_fixtures import (  # noqa: F401
    book,
    shaftlog,
    shaftlog_process,
)
