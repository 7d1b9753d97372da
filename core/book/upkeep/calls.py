"""Who is at work in the book, and a word from one bench to all others, such as 'please leave'."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from core.base.records import Presence
from core.base.times import moment, moment_text
from core.book import rows, settings
from core.book.connection import Book
from core.book.presence import PRESENCE_EXPIRES_S

NAME = "call to all benches"
CALL_EXPIRES_S = 300.0


@dataclass(frozen=True)
class Call:
    """What a bench called."""

    at: str
    bench: str
    words: str


def call_all(book: Book, bench: str, words: str) -> None:
    """Store the call; the other benches see it within two seconds."""
    settings.remember(book, NAME, {"at": book.now(), "bench": bench, "words": words})


def newest_call(book: Book, bench: str) -> Call | None:
    """The last call of another bench, unless it is old."""
    kept = settings.recall(book, NAME)
    if not isinstance(kept, dict) or kept.get("bench") == bench:
        return None
    call = Call(str(kept.get("at")), str(kept.get("bench")), str(kept.get("words")))
    age = moment(book.now()) - moment(call.at)
    return call if age < timedelta(seconds=CALL_EXPIRES_S) else None


def at_work(book: Book, bench: str) -> tuple[Presence, ...]:
    """The other benches that have a job open now."""
    oldest = moment_text(moment(book.now()) - timedelta(seconds=PRESENCE_EXPIRES_S))
    return rows.select(
        book,
        Presence,
        "bench <> ? AND seen_at >= ? ORDER BY seen_at",
        (rows.stored("bench", bench), oldest),
    )
