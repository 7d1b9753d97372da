"""Before the first screen: what to do when there is no job book where one was looked for.

An emptied or lost book, or a mistyped name, must never start as a new shop unasked: the backups
would age out behind it. So the program asks in plain text, before any screen.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.times import local_text

RESTORE, OTHER, NEW = "restore", "other", "new"
Ask = Callable[[str], str]


def ready_book(path: Path, *, named: bool, ask: Ask | None = None) -> Path:
    """The book to open. Asks when it is missing or empty and something else may be meant.

    `named`: the path was given with --book. On a true first start (default path, nothing beside
    it) nothing is asked. Raises `ShaftlogError` when the person leaves.
    """
    if not path.parent.is_dir() or path.is_dir():
        return path
    from core.book.upkeep.look import has_jobs

    begun = path.is_file() and path.stat().st_size > 0
    if begun and has_jobs(path):
        return path
    from core.book.upkeep.copies import Copy, proposed

    copy: Copy | None = proposed(path)
    if begun and (copy is None or copy.contents is None or not copy.contents.jobs):
        return path
    near = [] if begun else _like(path)
    if copy is None and not named and not path.exists() and not near:
        return path
    answers: list[tuple[str, str, Path | None]] = [
        (OTHER, f"open {one.name} in the same folder", one) for one in near
    ]
    what = "holds no job" if begun else "is empty (0 bytes)" if path.is_file() else "is not there"
    lines = [f"The job book {path} {what}."]
    if copy is not None and copy.contents is not None:
        held = copy.contents
        last = local_text(held.newest_at) if held.newest_at else "none"
        lines.append(
            f"A backup of {copy.file.at:%Y-%m-%d %H:%M} beside it holds {many(held.jobs, 'job')} "
            f"and {many(held.readings, 'reading')}; last entry {last}."
        )
        answers.append((RESTORE, f"put that backup in place as {path.name}", None))
    new = "go on with it as it is" if begun else f"start a new, empty job book as {path.name}"
    answers.append((NEW, new, None))
    lines += [f"  {number}  {words}" for number, (_, words, _) in enumerate(answers, start=1)]
    lines.append("Number and Enter; Enter alone leaves and changes nothing: ")
    typed = (ask or input)("\n".join(lines)).strip()
    if not typed.isdigit() or not 1 <= int(typed) <= len(answers):
        raise ShaftlogError("nothing was changed.")
    kind, _, other = answers[int(typed) - 1]
    if other is not None:
        return other
    if kind == RESTORE and copy is not None:
        _restore(path, copy.file.path)
    return path


def _like(path: Path) -> list[Path]:
    """Job books in the same folder whose names are nearly the one that was typed."""
    from difflib import get_close_matches

    if not path.parent.is_dir():
        return []
    names = [one.name for one in path.parent.glob("*.db") if one != path and one.stat().st_size]
    return [path.parent / name for name in get_close_matches(path.name, names, n=2, cutoff=0.7)]


def _restore(path: Path, backup: Path) -> None:
    from core.book.privacy.text import restored_words
    from core.book.upkeep.backup import restore

    kept = restore(path, backup)
    words = restored_words(path, kept)
    if words:
        sys.stderr.write(words + "\n")
