"""Fixtures of the job book."""

from tests.support.book_fixtures import book, path, small  # noqa: F401
