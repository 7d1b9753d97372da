"""Quotes: what was offered to the owner, line by line."""

from __future__ import annotations

from collections.abc import Sequence

from core.base.records import Quote, QuoteLine
from core.book.audit import note_change
from core.book.connection import Book
from core.book.gate import check_record
from core.book.rows import stored


def save_quote(
    book: Book, *, job_id: str, kind: str, text: str, lines: Sequence[QuoteLine] = ()
) -> Quote:
    """Store a quote ('repair', 'replace' or 'both'); earlier ones stay."""
    new = Quote(book.new_id(), job_id, book.now(), kind, stored("text", text), tuple(lines))
    with book.write() as con:
        check_record(book, new)
        con.execute(
            "INSERT INTO quote (id, job_id, at, kind, text) VALUES (?, ?, ?, ?, ?)",
            (new.id, new.job_id, new.at, new.kind, new.text),
        )
        for number, line in enumerate(lines):
            values = (line.quantity, line.unit_price, line.amount)
            con.execute(
                "INSERT INTO quote_line VALUES (?, ?, ?, ?, ?, ?)",
                (new.id, number, stored("label", line.label), *(stored("", v) for v in values)),
            )
        note_change(book, "job", job_id, "quote", "", kind)
    return quotes_of(book, job_id)[-1]


def quotes_of(book: Book, job_id: str) -> tuple[Quote, ...]:
    """The quotes of a job, oldest first."""
    heads = book.rows(
        "SELECT id, job_id, at, kind, text FROM quote WHERE job_id = ? ORDER BY at, id", (job_id,)
    )
    return tuple(Quote(*(*head, _lines(book, head[0]))) for head in heads)


def _lines(book: Book, quote_id: str) -> tuple[QuoteLine, ...]:
    found = book.rows(
        "SELECT label, quantity, unit_price, amount FROM quote_line WHERE quote_id = ? "
        "ORDER BY line_no",
        (quote_id,),
    )
    return tuple(QuoteLine(*row) for row in found)
