"""Hands a paper to the command the shop prints with (`lp` or any other), and notes it at the job.

The text goes to the standard input of the command as UTF-8.
"""

from __future__ import annotations

import shlex
import subprocess

from core.base.errors import ShaftlogError
from core.base.text import one_line
from core.book import jobs, settings
from core.book.connection import Book

PRINT_S = 30.0
"""A print command takes the text and returns; the printing itself goes on without it."""


def print_paper(book: Book, job_id: str, what: str, text: str) -> str:
    """Print `text` and note `what` was printed; words for the message line.

    Raises
    ------
    ShaftlogError
        No print command is set, or it fails: nothing is noted then.
    """
    command = settings.load(book).print_command
    if not command.strip():
        raise ShaftlogError("No print command is set: type it in the settings, group Shop (lp).")
    run_print_command(command, text)
    jobs.log_printed(book, job_id, what)
    return f"{what[0].upper()}{what[1:]}: given to the printer ({command})."


def run_print_command(command: str, text: str) -> None:
    """Run the command with the text as its standard input; `ShaftlogError` when it fails."""
    try:
        words = shlex.split(command)
        done = subprocess.run(
            words, input=text.encode("utf-8"), capture_output=True, timeout=PRINT_S, check=False
        )
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or str(error)
        raise ShaftlogError(
            f"Not printed: {command} cannot be run ({said}). The settings, group Shop, have it."
        ) from error
    except subprocess.TimeoutExpired as error:
        raise ShaftlogError(
            f"{command} has not taken the paper within {PRINT_S:.0f} s and was stopped. Look at "
            "the printer: a part may be printed."
        ) from error
    if done.returncode:
        said = one_line(done.stderr.decode("utf-8", "replace").strip())[:120] or "no reason given"
        raise ShaftlogError(f"Not printed: {command} ended with {done.returncode} ({said}).")
