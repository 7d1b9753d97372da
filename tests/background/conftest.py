"""Fixtures of the screens."""

from tests.support.screen_fixtures import book_and_job  # noqa: F401
