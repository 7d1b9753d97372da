"""Half-filled forms, kept so that Esc, an interruption or a power cut loses nothing typed.

Each bench has its own: what is half typed at one is not shown, or written over, at another.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from core.base.text import clean_text
from core.book.connection import Book


def save_draft(book: Book, name: str, fields: Mapping[str, str]) -> None:
    """Keep the fields of a form under its name (such as 'intake'); replaces the earlier draft."""
    clean = {key: clean_text(value, lines=True) for key, value in fields.items()}
    with book.write() as con:
        con.execute(
            "INSERT INTO draft (name, fields, saved_at) VALUES (?, ?, ?) ON CONFLICT (name) "
            "DO UPDATE SET fields = excluded.fields, saved_at = excluded.saved_at",
            (_own(book, name), json.dumps(clean), book.now()),
        )


def draft(book: Book, name: str) -> dict[str, str]:
    """The fields kept under this name; empty when there are none."""
    row = book.one("SELECT fields FROM draft WHERE name = ?", (_own(book, name),))
    return {str(key): str(value) for key, value in json.loads(row[0]).items()} if row else {}


def drop_draft(book: Book, name: str) -> None:
    """Forget a draft, once the form has been stored."""
    with book.write() as con:
        con.execute("DELETE FROM draft WHERE name = ?", (_own(book, name),))


def _own(book: Book, name: str) -> str:
    return f"{name} {book.by}".strip()
