"""Which tables hold something entered by people, in the order in which rows may be put in."""

from __future__ import annotations

WITH_ID = (
    "customer",
    "vessel",
    "shaft",
    "old_card",
    "riding_area",
    "job",
    "sweep",
    "reading",
    "quick_check",
    "hit",
    "hit_reading",
    "penetrant_check",
    "penetrant_condition",
    "measurement",
    "choice",
    "quote",
    "release",
    "note",
    "past",
)
"""Tables whose rows have an id that no other book gives out, parents before children."""
WITH_THEIR_PARENT = {"quote": "quote_line"}
"""Tables without ids of their own, which go where their parent goes."""
LAST = ("event", "setting")
"""Tables that point to any other, or to none."""
ENTERED = (
    *(each for table in WITH_ID for each in (table, WITH_THEIR_PARENT.get(table)) if each),
    *LAST,
)
"""All of them, parents before children."""
