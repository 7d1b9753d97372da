"""Time-sortable ids (UUID version 7 as text), moments as text, and the door for typed text."""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

Clock = Callable[[], datetime]
MAX_TEXT = 10_000
"""Longest text kept in one field, characters."""


def utc_now() -> datetime:
    """The present moment in UTC."""
    return datetime.now(UTC)


def moment_text(moment: datetime) -> str:
    """A moment as stored: ISO 8601, UTC, milliseconds, 'Z'. Naive moments are taken as UTC."""
    aware = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    return aware.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def moment(text: str) -> datetime:
    """The stored text of a moment as an aware datetime in UTC."""
    return datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(UTC)


def just_before(text: str) -> str:
    """The stored moment one millisecond, the least there is, before another."""
    return moment_text(moment(text) - timedelta(milliseconds=1))


def local_text(text: str, form: str = "%Y-%m-%d %H:%M") -> str:
    """A stored moment in the time zone of this computer, for screens and paper."""
    return moment(text).astimezone().strftime(form)


class IdMaker:
    """Makes ids that sort in the order they were made, also within one millisecond.

    Layout after RFC 9562 section 5.7: 48 bits of Unix milliseconds, version 7, then a 12-bit
    counter (method 1 of section 6.2), variant, 62 random bits. `random_bytes` is replaced by a
    seeded source where a book must come out the same each time.
    """

    def __init__(
        self, now: Clock = utc_now, random_bytes: Callable[[int], bytes] = os.urandom
    ) -> None:
        self._now = now
        self._random_bytes = random_bytes
        self._last_ms = -1
        self._count = 0

    def __call__(self) -> str:
        now_ms = int(self._now().timestamp() * 1000)
        if now_ms > self._last_ms:
            self._last_ms, self._count = now_ms, 0
        else:
            # Same millisecond, or the clock was set back: count on so that order is kept.
            self._count += 1
            if self._count > 0xFFF:
                self._last_ms, self._count = self._last_ms + 1, 0
        tail = int.from_bytes(self._random_bytes(8), "big") & (2**62 - 1)
        number = (self._last_ms << 80) | (7 << 76) | (self._count << 64) | (2 << 62) | tail
        digits = f"{number:032x}"
        return "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:]))


_KEEP = {"\n", "\t"}
_BIDI = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}


def _harmful(char: str) -> bool:
    return (
        unicodedata.category(char) in ("Cc", "Cs", "Zl", "Zp")
        or unicodedata.bidirectional(char) in _BIDI
    )


def clean_text(text: str, *, lines: bool = False, longest: int = MAX_TEXT) -> str:
    """Text from people or files, made harmless: the one door all stored text comes through.

    Control characters (ESC, NUL, BEL, C1 bytes), lone surrogates and the characters that reorder
    a line are taken out; letters of every script, brackets and quotes stay. `lines=True` keeps
    line breaks (and turns tabs into spaces). Anything past `longest` characters is cut.
    """
    kept: list[str] = []
    for char in text.replace("\r\n", "\n").replace("\r", "\n"):
        if char in _KEEP:
            kept.append(char if lines and char == "\n" else " ")
        elif not _harmful(char):
            kept.append(char)
    return "".join(kept).strip()[:longest].rstrip()
