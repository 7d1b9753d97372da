"""Two benches that each gave out a tag of their own: the newcomer gets a distinct one."""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_uppercase

from core.book.connection import Book


@dataclass(frozen=True)
class Retagged:
    """A job that had to take another tag."""

    job_id: str
    old: str
    new: str


def distinct_tag(book: Book, tag: str) -> str:
    """The tag itself if it is free, else with the first free letter: 26-014B, 26-014C, ..."""
    letters = [*ascii_uppercase[1:], *(f"Z{number}" for number in range(2, 10_000))]
    for candidate in (tag, *(f"{tag}{letter}" for letter in letters)):
        if not book.one("SELECT 1 FROM job WHERE tag = ?", (candidate,)):
            return candidate
    raise AssertionError("ten thousand jobs with one tag")
