"""The list of loads of a stroke: the newest are always in sight."""

from __future__ import annotations

from tui.screens.straightening.stroke import LOADS, LoadsView


class Plain(LoadsView):
    """Without an app."""

    ascii_only = False


def drawn(loads: int, width: int, height: int) -> list[str]:
    view = Plain()
    view.rows = tuple(f"{number:>4} {10.0 * number:>8} {0.0:>10}" for number in range(1, loads + 1))
    return ["".join(line).rstrip() for line in view.draw(width, height).chars]


def test_the_newest_loads_are_in_sight_in_a_low_list() -> None:
    """With a caution of three lines above, the list ended at the sixth of eight loads."""
    lines = drawn(8, 78, 5)
    assert lines[0].count(LOADS) == 2
    assert lines[4].split() == ["4", "40.0", "0.0", "8", "80.0", "0.0"]
    lines = drawn(15, 78, 5)
    assert lines[4].split()[-3:] == ["15", "150.0", "0.0"]
    assert lines[1].split()[0] == "8", "the oldest have no room"


def test_a_list_without_room_shows_nothing() -> None:
    assert drawn(3, 78, 1) == [""]
    assert drawn(3, 78, 0) == []
    assert drawn(0, 78, 5) == [""] * 5
