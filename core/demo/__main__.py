"""`python -m core.demo FILE`: write the invented shop's job book to a new file."""

from __future__ import annotations

import sys
from pathlib import Path

from core.base.errors import ShaftlogError
from core.demo.make import make_demo

if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("python -m core.demo FILE: name the new file")
    try:
        make_demo(Path(sys.argv[1]))
    except (ShaftlogError, OSError) as error:
        sys.exit(str(error))
