"""Time-sortable ids (UUID version 7 as text)."""

from __future__ import annotations

import os
from collections.abc import Callable

from core.base.times import Clock, utc_now


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
