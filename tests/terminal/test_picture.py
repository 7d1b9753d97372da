"""What is sent to the terminal: the cells that changed, and the picture is right all the same."""

from __future__ import annotations

import random

import pytest
from rich.color import ColorSystem
from rich.segment import Segment
from rich.style import Style
from textual._compositor import ChopsUpdate, LayoutUpdate
from textual.geometry import Region
from textual.strip import Strip

from tests.support.glass import Glass
from tui.terminal.picture import Picture, cells_of, changed_runs

COLOURS = ColorSystem.STANDARD
WIDTH, HEIGHT = 40, 6
CUT = 17
"""Where the left widget of each row ends and the right one begins."""
STYLES = [
    Style(),
    Style(bold=True),
    Style(reverse=True),
    Style(color="red"),
    Style(color="default"),
]
WORDS = ["Station 6 in", "   ", "mark 45 deg:", "·", "█", "-4.2", "        ", "H", "o"]


def some_strip(draw: random.Random, width: int, words: list[str]) -> Strip:
    """Words in styles, filled up with blanks."""
    segments, at = [], 0
    while at < width and draw.random() < 0.8:
        segment = Segment(draw.choice(words), draw.choice(STYLES))
        if at + segment.cell_length > width:
            break
        segments.append(segment)
        at += segment.cell_length
    return Strip([*segments, Segment(" " * (width - at), Style(color="default"))], width)


def some_rows(draw: random.Random, words: list[str]) -> list[dict[int, Strip]]:
    """A screen: two widgets beside each other in each row."""
    return [
        {0: some_strip(draw, CUT, words), CUT: some_strip(draw, WIDTH - CUT, words)}
        for _ in range(HEIGHT)
    ]


def seen(rows: list[dict[int, Strip]]) -> list[list[tuple[str, tuple[str, ...]]]]:
    """The cells that somebody should see."""
    return [
        [
            (char, tuple(sorted(filter(None, codes.split(";")))))
            for strip in row.values()
            for char, codes in cells_of(strip, COLOURS)
        ]
        for row in rows
    ]


def whole(rows: list[dict[int, Strip]]) -> LayoutUpdate:
    """The paint of everything."""
    return LayoutUpdate([list(row.values()) for row in rows], Region(0, 0, WIDTH, HEIGHT))


@pytest.mark.slow
def test_after_any_changes_the_terminal_shows_what_it_should() -> None:
    draw = random.Random(3)
    for round_no in range(24):
        words = [*WORDS, "ø漢字", "e\u0301"] if round_no % 3 == 2 else WORDS
        picture, glass = Picture(), Glass(WIDTH, HEIGHT)
        rows = some_rows(draw, words)
        glass.feed(picture.whole(whole(rows), COLOURS).encode())
        assert _look(glass.cells) == _look(seen(rows))
        for _ in range(8):
            fresh = some_rows(draw, words)
            dirty = sorted(draw.sample(range(HEIGHT), 3))
            for y in dirty:
                rows[y] = fresh[y]
            spans = [(y, 0, WIDTH) for y in dirty]
            update = ChopsUpdate(rows, spans, [[CUT, WIDTH]] * HEIGHT)
            glass.feed(picture.changes(update, COLOURS).encode())
            assert _look(glass.cells) == _look(seen(rows))


def _look(cells: list[list[tuple[str, tuple[str, ...]]]]) -> list[str]:
    """Cells one by one, for a message that says where they differ."""
    return [f"{y} {c}" for y, row in enumerate(cells) for c in row]


def test_only_the_part_of_a_row_that_is_said_to_have_changed_is_sent() -> None:
    picture = Picture()
    before = [{0: Strip([Segment("prompt: 12", Style())], 10)}]
    after = [{0: Strip([Segment("PROMPT: 13", Style())], 10)}]
    picture.whole(LayoutUpdate([list(before[0].values())], Region(0, 0, 10, 1)), COLOURS)
    sent = picture.changes(ChopsUpdate(after, [(0, 8, 10)], [[10]]), COLOURS)
    assert sent == "\x1b[1;10H3"
    assert picture.changes(ChopsUpdate(after, [(0, 8, 10)], [[10]]), COLOURS) == ""


def test_changes_close_to_each_other_are_one_run() -> None:
    old = [(char, "") for char in "1234567890"]
    new = [(char, "") for char in "x234x6789x"]
    assert changed_runs(old, new) == [(0, 10)]
    assert changed_runs(old[:9] + new[9:], new) == [(0, 5)]
    between = [("x", "1"), ("2", "31"), ("3", "1"), ("4", "1")]
    assert changed_runs([("1", "1"), *between[1:3], ("x", "1")], between) == [(0, 1), (3, 4)]
