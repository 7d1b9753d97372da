"""Which of several penetrant checks of one area counts; light, for the first picture."""

from __future__ import annotations


def takes_over(old: tuple[str, str], later: tuple[str, str | None]) -> bool:
    """Whether a later check of an area counts instead of the old one.

    `old`: result and who overruled it; `later`: result and moment of the penetrant. A crack stands
    until it is overruled, whatever a later check shows; a check taken back to nothing counts not.
    """
    result, overrule_by = old
    if result == "crack" and not overrule_by:
        return False
    return bool(later[0] or later[1])
