"""The command line: one module a subcommand, loaded only when it is asked for.

Each module has ``add_arguments(parser)`` and ``run(args) -> int``; exit codes are 0 = done,
1 = looked and found nothing or found trouble, 2 = could not do it (one plain line on stderr).
"""

from __future__ import annotations

COMMANDS = {
    "sweep": "shape, bends and next hits out of a sweep in a CSV file",
    "ticket": "the paper that goes with a job's shaft, as text, HTML or PDF",
    "label": "the label for a job's shaft, with the bar code of its tag",
    "history": "find jobs by customer, vessel, phone, tag, material, notes",
    "figures": "what all jobs say: who waits, response, hours, outcomes",
    "export": "one job, or the whole book, as CSV or JSON",
    "import-sweep": "put a sweep from a CSV file into a job",
    "import-cards": "put the paper cards of earlier years into the history",
    "backup": "copy the job book, safely while it is in use",
    "restore": "put a backup in place of the book, which is kept aside",
    "check": "look the job book over for damage",
    "merge": "bring the jobs of another job book into this one",
    "erase": "delete a customer's personal data on request",
    "make-demo": "write the invented shop's job book to a new file",
}
"""Subcommand and what it does, in the order help shows them."""
WITHOUT_BOOK = ("sweep", "make-demo")
"""Subcommands that use no job book."""


def module_of(command: str) -> str:
    """Module that carries out a subcommand."""
    return "core.cli." + command.replace("-", "_")
