"""Hands a paper to the command the shop prints with (`lp` or any other), and notes it at the job.

Text as UTF-8 or a PDF, as the settings say, goes to the standard input of the command.
"""

from __future__ import annotations

import shlex
import subprocess

from core.base.errors import ShaftlogError
from core.base.text import one_line
from core.book import jobs, settings
from core.book.connection import Book
from core.book.settings import AS_PDF
from core.reports.paper import Paper

PRINT_S = 30.0
"""A print command takes the paper and returns; the printing itself goes on without it."""


def print_paper(book: Book, job_id: str, paper: Paper) -> str:
    """Print a paper and note that it was printed; words for the message line.

    Raises
    ------
    ShaftlogError
        No print command is set, it takes no PDF and the paper is nothing else, or it fails:
        nothing is noted then.
    """
    shop = settings.load(book)
    label = bool(shop.label_command.strip()) and not paper.text
    command = (shop.label_command if label else shop.print_command).strip()
    if not command:
        raise ShaftlogError("No print command is set: type it in the settings, group Shop (lp).")
    if label or shop.print_form == AS_PDF:
        content = paper.pdf(shop.sheet)
    elif paper.text:
        content = paper.text.encode("utf-8")
    else:
        raise ShaftlogError(
            f"A {paper.what} is printed as PDF. Settings, group Shop: name a label command, or "
            "choose PDF for the print command."
        )
    run_print_command(command, content)
    jobs.log_printed(book, job_id, paper.what)
    return f"{paper.what[0].upper()}{paper.what[1:]}: given to the printer ({command})."


def run_print_command(command: str, content: bytes) -> None:
    """Run the command with the content as its standard input; `ShaftlogError` when it fails."""
    try:
        words = shlex.split(command)
        done = subprocess.run(
            words, input=content, capture_output=True, timeout=PRINT_S, check=False
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
