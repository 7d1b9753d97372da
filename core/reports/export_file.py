"""Writes a whole file beside the job book, readable by its owner only; never over another file."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from pathlib import Path

from core.base.whole_file import PART, discard_left_overs, whole_file

FOLDER = "exports"
MOST_SAME_NAMES = 10_000


@contextmanager
def new_export(beside: Path, name: str, ending: str) -> Iterator[tuple[TextIOWrapper, Path]]:
    """A new file under `beside`/exports, open for writing, and its path.

    Signs that file systems do not like become dashes in the name; a number is added when there is
    such a file already. Raises `BookError` in plain words when the disk refuses, and leaves no
    half-written file then.
    """
    from core.book.errors import plain_words

    folder = beside / FOLDER
    with plain_words(str(folder)):
        folder.mkdir(mode=0o700, exist_ok=True)
        discard_left_overs(folder)
        place = _free_name(folder, name, ending)
        with whole_file(place) as part, part.open("w", encoding="utf-8") as file:
            yield file, place


def write_export(beside: Path, name: str, ending: str, content: str | bytes) -> Path:
    """Write text or bytes to a new file under `beside`/exports; gives back the file."""
    with new_export(beside, name, ending) as (file, place):
        if isinstance(content, str):
            file.write(content)
        else:
            file.buffer.write(content)
    return place


def _free_name(folder: Path, name: str, ending: str) -> Path:
    safe = re.sub(r"[^A-Za-z0-9-]+", "-", name).strip("-") or "file"
    for number in range(1, MOST_SAME_NAMES):
        place = folder / (f"{safe}.{ending}" if number == 1 else f"{safe}-{number}.{ending}")
        if not place.exists() and not place.with_name(place.name + PART).exists():
            return place
    raise FileExistsError(str(folder))
