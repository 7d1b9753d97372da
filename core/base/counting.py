"""Numbers with their noun."""

from __future__ import annotations


def many(count: int, noun: str, plural: str = "") -> str:
    """`1 job`, `3 jobs`; `plural` where an s does not make it."""
    return f"{count} {noun}" if count == 1 else f"{count} {plural or noun + 's'}"
