"""A slow line is painted in turns: in the end the same picture, and what was typed goes first."""

from __future__ import annotations

import os
import pty
import random
import sys
import termios
from pathlib import Path

import pytest
from textual._compositor import ChopsUpdate
from textual.strip import Strip

from tests.support.glass import Glass
from tests.support.ptys import Terminal, python
from tests.support.small_book import make_book
from tests.terminal.test_picture import (
    COLOURS,
    CUT,
    HEIGHT,
    WIDTH,
    WORDS,
    seen,
    some_rows,
    some_strip,
    whole,
)
from tui.terminal.run import line_baud
from tui.terminal.slow_line import CELLS_AT_ONCE, CURSOR, LEAD_S, PacedPicture

BYTE_S = 10 / 9600


class Line:
    """A picture, the line that takes its bytes, and the clock of both."""

    def __init__(self) -> None:
        self.now_s = 0.0
        self.picture = PacedPicture(BYTE_S, lambda: self.now_s)
        self.glass = Glass(WIDTH, HEIGHT)
        self.backlog_s: list[float] = []
        """How much the line had to send after each piece it was given, in seconds."""
        self._free_at = 0.0

    def take(self, sent: str) -> None:
        """The line sends a piece."""
        self.glass.feed(sent.encode())
        if sent:
            length = len(sent.encode()) + CURSOR
            self._free_at = max(self._free_at, self.now_s) + length * BYTE_S
        self.backlog_s.append(self._free_at - self.now_s)

    def send_rest(self) -> None:
        """Wait and send until nothing waits."""
        turns = 0
        while self.picture.waiting:
            self.now_s += self.picture.wait_s
            self.take(self.picture.more())
            turns += 1
            assert turns < 1000, "what waits never ends"

    def change(self, rows: list[dict[int, Strip]], dirty: list[int]) -> None:
        """Some rows of the screen changed."""
        spans = [(y, 0, WIDTH) for y in dirty]
        update = ChopsUpdate(rows, spans, [[CUT, WIDTH]] * HEIGHT)
        self.take(self.picture.changes(update, COLOURS))


@pytest.mark.slow
def test_in_the_end_the_terminal_shows_what_it_should() -> None:
    draw = random.Random(5)
    for round_no in range(24):
        words = [*WORDS, "ø漢字", "e\u0301"] if round_no % 3 == 2 else WORDS
        line, rows = Line(), some_rows(draw, words)
        line.take(line.picture.whole(whole(rows), COLOURS))
        for step in range(12):
            fresh = some_rows(draw, words)
            dirty = sorted(draw.sample(range(HEIGHT), 3))
            for y in dirty:
                rows[y] = fresh[y]
            if step == 6:
                line.take(line.picture.whole(whole(rows), COLOURS))
            else:
                line.change(rows, dirty)
            line.now_s += draw.choice((0.0, 0.01, 0.3))
            if step % 3 == 2:
                line.send_rest()
                assert line.glass.cells == seen(rows)


def test_the_line_never_has_much_to_send() -> None:
    """One run of cells over the lead, in one colour: at most 40 cells and their codes."""
    draw, line = random.Random(8), Line()
    rows = some_rows(draw, ["x" * WIDTH])
    line.take(line.picture.whole(whole(rows), COLOURS))
    for _ in range(40):
        rows = [{0: some_strip(draw, CUT, WORDS), CUT: some_strip(draw, WIDTH - CUT, WORDS)}]
        rows *= HEIGHT
        line.change(rows, list(range(HEIGHT)))
        line.now_s += 0.02
    assert len(line.picture.waiting) > 2, "the test must be too much for the line"
    assert max(line.backlog_s) < LEAD_S + (CELLS_AT_ONCE + CURSOR + 60) * BYTE_S


def test_what_changed_last_goes_first_and_the_bottom_before_the_top() -> None:
    draw, line = random.Random(2), Line()
    rows = [{0: some_strip(draw, CUT, ["a"]), CUT: some_strip(draw, WIDTH - CUT, ["b"])}] * HEIGHT
    line.take(line.picture.whole(whole(rows), COLOURS))
    line.send_rest()
    line.now_s += 1.0
    long = {0: some_strip(random.Random(1), CUT, ["q"]), CUT: some_strip(draw, WIDTH - CUT, ["r"])}
    rows = [long] * HEIGHT
    line.change(rows, list(range(HEIGHT)))
    assert list(line.picture.waiting) == list(range(HEIGHT))[: len(line.picture.waiting)]
    waiting = len(line.picture.waiting)
    assert waiting >= 3
    line.change(rows, [1])
    assert next(reversed(line.picture.waiting)) == 1


def test_a_row_that_is_right_again_before_its_turn_costs_nothing() -> None:
    draw, line = random.Random(2), Line()
    rows = some_rows(draw, WORDS)
    line.take(line.picture.whole(whole(rows), COLOURS))
    line.send_rest()
    other = some_rows(draw, ["z"])
    line.change(other, list(range(HEIGHT)))
    line.change(rows, list(range(HEIGHT)))
    line.send_rest()
    assert line.glass.cells == seen(rows)
    line.change(rows, list(range(HEIGHT)))
    assert line.picture.more() == ""
    assert not line.picture.waiting


@pytest.mark.parametrize("baud", [9600, 38400])
def test_the_system_says_how_fast_the_line_is(baud: int, monkeypatch: pytest.MonkeyPatch) -> None:
    master, slave = pty.openpty()
    settings = termios.tcgetattr(slave)
    settings[5] = getattr(termios, f"B{baud}")
    termios.tcsetattr(slave, termios.TCSANOW, settings)
    with os.fdopen(master), os.fdopen(slave, "w") as terminal:
        monkeypatch.setattr(sys, "__stderr__", terminal)
        assert line_baud() == baud


def test_the_speed_of_something_that_is_no_terminal_is_not_known(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with (tmp_path / "file").open("w") as file:
        monkeypatch.setattr(sys, "__stderr__", file)
        assert line_baud() == 0


@pytest.mark.slow
def test_the_whole_program_shows_the_same_on_a_slow_line(tmp_path: Path) -> None:
    shown = {}
    for baud in (0, 19200):
        book = make_book(tmp_path / f"{baud}.db", count=2)
        argv = python("-m", "tui.main", "--book", str(book))
        with Terminal(argv, baud=baud) as terminal:
            terminal.wait_for(b"F12")
            terminal.drain(0.5)
            for keys in (b"\x1bOQ", b"01", b"1", b"12.5\r-3\r"):
                terminal.send(keys)
                terminal.drain(0.4)
            for _ in range(20):  # a busy machine is slower than the line
                glass = Glass()
                glass.feed(terminal.output)
                shown[baud] = glass.rows
                if not terminal.drain(0.5) and "Taken" in "\n".join(glass.rows):
                    break
    assert "Runout sweep" in "\n".join(shown[0])
    assert "Taken" in "\n".join(shown[0])
    assert shown[19200] == shown[0]
