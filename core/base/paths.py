"""Where the job book lives when nobody says otherwise."""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

OWNER_ONLY = stat.S_IRUSR | stat.S_IWUSR
"""Mode of every file that may hold customers' data: its owner reads and writes it."""
BOOK_NAME = "book.db"
DEMO_NAME = "demo.db"


def data_folder() -> Path:
    """The user's own data folder for Shaftlog; not made here."""
    home = Path.home()
    if sys.platform == "darwin":
        return home / "Library" / "Application Support" / "shaftlog"
    return Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share") / "shaftlog"


def default_book_path() -> Path:
    """The job book that opens when no file is named."""
    return data_folder() / BOOK_NAME


def demo_copy_path() -> Path:
    """Where the copy of the invented shop lives that ``--demo`` works on."""
    return data_folder() / DEMO_NAME


def shipped_demo_path() -> Path:
    """The invented shop as it comes with the program (beside the packages)."""
    return Path(__file__).resolve().parents[2] / DEMO_NAME
