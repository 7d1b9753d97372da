"""A tag read by a hand scanner, which types it faster than any hand and ends with Enter."""

from __future__ import annotations

import re

GAP_S = 0.035
"""A scanner leaves less than this between two keys; hands leave more."""
TAG = re.compile(r"\d\d-\d{3,5}")
_BEGINNING = re.compile(r"\d{1,2}|\d\d-\d{0,5}")
ENTER = ("enter", "ctrl+j")


class TagScanner:
    """Watches the keys; pure, the time of each key is handed in."""

    def __init__(self) -> None:
        self.burst = ""
        """What came without a pause so far."""
        self._last_s = 0.0

    def key(self, key: str, character: str | None, time_s: float) -> str:
        """The tag, when this key is the Enter of one; else ''."""
        if time_s - self._last_s > GAP_S:
            self.burst = ""
        self._last_s = time_s
        if key not in ENTER:
            self.burst += character or "?"
            return ""
        burst, self.burst = self.burst, ""
        return burst if TAG.fullmatch(burst) else ""

    @property
    def may_be_tag(self) -> bool:
        """Whether what came so far can be the beginning of a tag."""
        return _BEGINNING.fullmatch(self.burst) is not None
