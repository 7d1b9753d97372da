"""What a metric shop should not have to read: inches, thousandths, lbf, psi, ft-lb, F, hp, lb."""

from __future__ import annotations

import re

INCH_WORDS = re.compile(
    r"\bthou\b|thousandths?\b|\b[Ii]nch|\d in\b(?! per foot| line| the| \d)|, in(?=  |$)|\(in\)"
    r"|\blbf\b|\b[pk]si\b|ft[- ]lb|lb[- ]ft|short tons?|\bpounds?\b|\blbs?\b|\bhp\b|\d F\b|, F\b"
)
PUBLISHED = re.compile(
    r"J755|B17\.1|^.*(= [\d.]+ mm = |Dial reads to|Key: |Threads per inch|up to [\d.]+ mm ).*$"
)
"""Tables printed in inches stay so; behind a field both units are shown."""


def inch_lines(shown: str) -> list[str]:
    """Lines that speak of inch units where a metric shop should read its own."""
    lines = [line for line in shown.splitlines() if not PUBLISHED.search(line)]
    return [line for line in lines if INCH_WORDS.search(line)]
