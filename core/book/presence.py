"""Who has which job open, so that two people on one job are warned.

Each bench says 'I am here' when it opens a job and every `RENEW_S` while it stays; a line not
renewed for `PRESENCE_EXPIRES_S` no longer counts, so that a bench that was killed is forgotten.
"""

from __future__ import annotations

from datetime import timedelta

from core.base.records import Presence
from core.base.times import moment, moment_text
from core.book import rows
from core.book.connection import Book

RENEW_S = 20.0
PRESENCE_EXPIRES_S = 60.0


def here(book: Book, job_id: str, bench: str) -> tuple[Presence, ...]:
    """Say that this bench (a name that differs between processes) has the job open.

    Returns the other benches that have it open too. On a book open for reading only nothing is
    written.
    """
    if not book.read_only:
        with book.short_timeout(), book.write() as con:
            con.execute(
                "INSERT INTO presence (job_id, bench, by, seen_at) VALUES (?, ?, ?, ?) "
                "ON CONFLICT (job_id, bench) DO UPDATE SET by = excluded.by, "
                "seen_at = excluded.seen_at",
                (job_id, rows.stored("bench", bench), rows.stored("by", book.by), book.now()),
            )
            con.execute("DELETE FROM presence WHERE seen_at < ?", (_oldest(book),))
    return others(book, job_id, bench)


def others(book: Book, job_id: str, bench: str) -> tuple[Presence, ...]:
    """The other benches that have this job open now."""
    return rows.select(
        book,
        Presence,
        "job_id = ? AND bench <> ? AND seen_at >= ? ORDER BY seen_at",
        (job_id, rows.stored("bench", bench), _oldest(book)),
    )


def leave(book: Book, job_id: str, bench: str) -> None:
    """Say that this bench has left the job."""
    if book.read_only:
        return
    with book.short_timeout(), book.write() as con:
        con.execute(
            "DELETE FROM presence WHERE job_id = ? AND bench = ?",
            (job_id, rows.stored("bench", bench)),
        )


def _oldest(book: Book) -> str:
    return moment_text(moment(book.now()) - timedelta(seconds=PRESENCE_EXPIRES_S))
