"""Writes the figures of a sweep to a CSV file beside the job book, readable by its owner only."""

from __future__ import annotations

import os
import re
from pathlib import Path

from core.book.ids import local_text
from core.book.records import Sweep
from core.seen import Seen, figures_csv

FOLDER = "exports"


def write_figures(beside: Path, tag: str, sweep: Sweep, seen: Seen) -> Path:
    """Write the figures under `beside`/exports; gives back the file.

    An earlier file is never overwritten. Raises `BookError` in plain words when the disk refuses.
    """
    from core.book.errors import plain_words  # loads sqlite3, which no module up here may

    folder = beside / FOLDER
    when = local_text(sweep.started_at, "%Y-%m-%d")
    name = re.sub(r"[^A-Za-z0-9-]+", "-", f"{tag} {sweep.purpose} {when}").strip("-")
    with plain_words(str(folder)):
        folder.mkdir(mode=0o700, exist_ok=True)
        for number in range(1, 10_000):
            place = folder / (f"{name}.csv" if number == 1 else f"{name}-{number}.csv")
            try:
                handle = os.open(place, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
            except FileExistsError:
                continue
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(figures_csv(seen))
            return place
    raise FileExistsError(str(folder))
