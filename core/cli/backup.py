"""`shaftlog backup FILE`: a copy of the job book, whole even while others write to it."""

from __future__ import annotations

import argparse
from pathlib import Path

from core.cli.frame import DONE, book_path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """FILE."""
    parser.add_argument("file", metavar="FILE", help="where the copy goes; must not exist yet")


def run(args: argparse.Namespace) -> int:
    """Write the copy; an existing file is never overwritten."""
    from core.book.upkeep.backup import make_backup

    path = book_path(args)
    print(f"{path} copied to {make_backup(path, Path(args.file))}")
    return DONE
