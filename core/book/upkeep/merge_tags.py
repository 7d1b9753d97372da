"""Two benches that each gave out a tag of their own: the younger job gets letters behind it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any

from core.book.connection import Book
from core.book.upkeep.conflicts import fixed_id

_LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"
"""Without those that look like digits."""


@dataclass(frozen=True)
class Retagged:
    """A job that had to take another tag."""

    job_id: str
    old: str
    new: str


def give_tag(book: Book, theirs: dict[str, Any]) -> list[Retagged]:
    """See that a job which comes in has a tag of its own; who had to change.

    The letters follow from the id of the job, so that it gets the same tag in every book and in
    whatever order books are merged. `theirs["tag"]` is changed where it is the younger one.
    """
    tag = theirs["tag"]
    found = book.one("SELECT id FROM job WHERE tag = ? AND id <> ?", (tag, theirs["id"]))
    if found is None:
        return []
    younger = max(str(found[0]), theirs["id"])
    new = _lettered(book, tag, younger)
    if younger == theirs["id"]:
        theirs["tag"] = new
    else:
        book.con.execute("UPDATE job SET tag = ? WHERE id = ?", (new, younger))
    at = book.one("SELECT opened_at FROM job WHERE id = ?", (younger,)) or (theirs["opened_at"],)
    book.con.execute(
        "INSERT OR IGNORE INTO event VALUES (?, ?, '', 'job', ?, 'tag', ?, ?)",
        (fixed_id(younger, f"tag|{tag}|{new}"), at[0], younger, tag, new),
    )
    return [Retagged(younger, tag, new)]


def _lettered(book: Book, tag: str, job_id: str) -> str:
    """`26-014` -> `26-014KX`."""
    digest = hashlib.sha256(job_id.encode()).digest()
    for at in range(0, len(digest) - 1, 2):
        first, second = (_LETTERS[byte % len(_LETTERS)] for byte in digest[at : at + 2])
        new = f"{tag}{first}{second}"
        if not book.one("SELECT 1 FROM job WHERE tag = ? AND id <> ?", (new, job_id)):
            return new
    raise AssertionError("sixteen jobs with one tag and the same letters")
