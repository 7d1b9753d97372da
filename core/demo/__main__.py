"""`python -m core.demo FILE`: write the invented shop's job book."""

from __future__ import annotations

import sys

from core.cli.frame import run_command

if __name__ == "__main__":
    sys.exit(run_command("make-demo", sys.argv[1:]))
