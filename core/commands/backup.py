"""`shaftlog backup FILE`: a copy of the job book, whole even while others write to it."""

from __future__ import annotations

import argparse
from pathlib import Path

from core.commands.frame import DONE, book_path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """FILE."""
    parser.add_argument("file", metavar="FILE", help="where the copy goes; must not exist yet")


def run(args: argparse.Namespace) -> int:
    """Write the copy; an existing file is never overwritten."""
    from core.book.backup import backup_to
    from core.book.file import open_book

    target = Path(args.file)
    if target.exists():
        raise FileExistsError(17, "exists", str(target))
    path = book_path(args)
    with open_book(path, create=False, read_only=True) as book:
        backup_to(book, target)
    print(f"{path} copied to {target}")
    return DONE
