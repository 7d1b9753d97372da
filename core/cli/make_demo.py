"""`shaftlog make-demo FILE`: write the invented shop's job book to a new file."""

from __future__ import annotations

import argparse
from pathlib import Path

from core.cli.frame import DONE


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """FILE."""
    parser.add_argument("file", metavar="FILE", help="the new file; must not exist yet")


def run(args: argparse.Namespace) -> int:
    """Make the book; an existing file is never overwritten."""
    from core.demo.make import make_demo

    make_demo(Path(args.file))
    print(f"invented shop written to {args.file}")
    return DONE
