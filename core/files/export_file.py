"""Writes a text file beside the job book, readable by its owner only; never over another file."""

from __future__ import annotations

import os
import re
from pathlib import Path

FOLDER = "exports"
MOST_ALIKE = 10_000


def write_export(beside: Path, name: str, ending: str, text: str) -> Path:
    """Write `text` under `beside`/exports; gives back the file.

    Signs that file systems do not like become dashes in the name; a number is added when there is
    such a file already. Raises `BookError` in plain words when the disk refuses.
    """
    from core.book.errors import plain_words

    folder = beside / FOLDER
    safe = re.sub(r"[^A-Za-z0-9-]+", "-", name).strip("-") or "file"
    with plain_words(str(folder)):
        folder.mkdir(mode=0o700, exist_ok=True)
        for number in range(1, MOST_ALIKE):
            place = folder / (f"{safe}.{ending}" if number == 1 else f"{safe}-{number}.{ending}")
            try:
                handle = os.open(place, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
            except FileExistsError:
                continue
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)
            return place
    raise FileExistsError(str(folder))
