"""What changed since an index of words was last in step with the book."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from core.book.connection import Book

REBUILD_ABOVE = 2000
"""With more changed rows it is quicker to make the index again."""


def work_off(
    book: Book,
    table: str,
    key: str,
    again: Callable[[Any, str], None],
    rebuild: Callable[[Book], int],
) -> int:
    """Index `again` each row named in a table of changes; how many were looked at."""
    with book.write() as con:
        changed = [row[0] for row in con.execute(f"SELECT {key} FROM {table}")]
        if len(changed) > REBUILD_ABOVE:
            rebuild(book)
        else:
            for row_id in changed:
                again(con, row_id)
            con.execute(f"DELETE FROM {table}")
    return len(changed)
