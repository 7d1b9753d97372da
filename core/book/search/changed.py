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
    *,
    source: str,
    take_out: Callable[[Any, str], None],
    put_in: Callable[[Any, tuple[Any, ...]], None],
    rebuild: Callable[[Book], int],
) -> int:
    """Index again each row named in a table of changes; how many were looked at.

    `source` selects what is put in for one id; no row = it is gone.
    """
    with book.write() as con:
        changed = [row[0] for row in con.execute(f"SELECT {key} FROM {table}")]
        if len(changed) > REBUILD_ABOVE:
            rebuild(book)
        else:
            for row_id in changed:
                take_out(con, row_id)
                row = con.execute(source, (row_id,)).fetchone()
                if row is not None:
                    put_in(con, row)
            con.execute(f"DELETE FROM {table}")
    return len(changed)
