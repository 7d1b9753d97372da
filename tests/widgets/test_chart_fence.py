"""No value handed to the chart module can end the process, and no point is hidden."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tui.widgets.chart import Chart, ChartLabel, Series, draw_chart, nice_ticks

ROOT = Path(__file__).resolve().parents[2]
FUZZ = """
import math, random, resource, sys
from tui.widgets.chart import Chart, ChartLabel, Series, draw_chart
resource.setrlimit(resource.RLIMIT_AS, (3 << 30, 3 << 30))
rng = random.Random(int(sys.argv[1]))
ODD = [math.nan, math.inf, -math.inf, None, 0.0, -0.0, 5e-324, -5e-324, 1e-300, 1e9, -1e9, 1e12,
       1e13, 1e300, -1e308, 10**400, "12", True, 1e-12, 2.0**53]
def value():
    if rng.random() < 0.3:
        return rng.choice(ODD)
    return rng.uniform(-1, 1) * 10 ** rng.uniform(-12, 12)
def limits():
    return None if rng.random() < 0.4 else (value(), value())
for round_no in range(300):
    series = tuple(
        Series(tuple(value() for _ in range(rng.randrange(12))),
               tuple(value() for _ in range(rng.randrange(12))),
               rng.choice(["o", "*", "", "ab"]), rng.random() < 0.7)
        for _ in range(rng.randrange(4)))
    chart = Chart(series, limits(), limits(),
                  tuple((value(), "bad") for _ in range(rng.randrange(3))),
                  tuple((value(), ":", "dim") for _ in range(rng.randrange(3))),
                  tuple((value(), value(), value(), "=", "") for _ in range(rng.randrange(3))),
                  tuple(ChartLabel(value(), value(), "word" * rng.randrange(30))
                        for _ in range(rng.randrange(3))))
    width, height = rng.randrange(0, 130), rng.randrange(0, 45)
    canvas = draw_chart(chart, width, height, ascii_only=rng.random() < 0.5)
    assert len(canvas.chars) == height and all(len(row) == width for row in canvas.chars)
print("survived", round_no + 1)
"""


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1])
def test_no_value_can_end_the_process(seed: int) -> None:
    done = subprocess.run(
        [sys.executable, "-c", FUZZ, str(seed)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert done.stdout.strip() == "survived 300"


def test_a_far_outlier_is_marked_on_the_edge() -> None:
    high = Chart((Series((1.0, 2.0, 3.0), (0.0, 1e7, -1e7)),), (0.0, 4.0), (-1.0, 1.0))
    text = draw_chart(high, 60, 12).text()
    assert "^" in text
    assert "v" in text
    wide = Chart((Series((-9.0, 2.0, 9.0), (0.0, 0.5, 0.0)),), (0.0, 4.0), (-1.0, 1.0))
    text = draw_chart(wide, 60, 12).text()
    assert "<" in text
    assert ">" in text


def test_a_gap_breaks_the_line() -> None:
    whole = Chart((Series((0.0, 1.0, 2.0, 3.0), (0.0, 0.0, 0.0, 0.0)),), (0.0, 3.0), (-1.0, 1.0))
    gap = Chart((Series((0.0, 1.0, 2.0, 3.0), (0.0, 0.0, None, 0.0)),), (0.0, 3.0), (-1.0, 1.0))
    dots = [draw_chart(chart, 60, 12).text().count(".") for chart in (whole, gap)]
    assert dots[1] < dots[0] * 0.6


def test_a_line_that_leaves_the_picture_is_cut_where_it_leaves() -> None:
    steep = Chart((Series((0.0, 10.0), (-10.0, 10.0), marker=""),), (0.0, 10.0), (-1.0, 1.0))
    canvas = draw_chart(steep, 80, 12)
    dots = [x for row in canvas.chars[1:-2] for x, char in enumerate(row) if char == "."]
    inside = [x for x in dots if x > 6]
    assert inside
    assert 33 <= min(inside) <= max(inside) <= 50


@pytest.mark.parametrize("width", [16, 40, 80, 120])
def test_marks_stand_where_they_belong(width: int) -> None:
    corners = Chart((Series((0.0, 10.0), (0.0, 5.0), joined=False),), (0.0, 10.0), (0.0, 5.0))
    canvas = draw_chart(corners, width, 12)
    marks = [(x, y) for y, row in enumerate(canvas.chars) for x, c in enumerate(row) if c == "o"]
    assert len(marks) == 2
    (right, top), (left, bottom) = marks
    assert canvas.chars[top][right + 1] in "│┤"
    assert canvas.chars[bottom][left - 1] in "│┤"
    assert bottom > top


def test_ascii_mode_is_all_ascii() -> None:
    chart = Chart((Series((0.0, 1.0), (0.0, 1.0)),), notes=(ChartLabel(0.5, 0.5, "90° ±1"),))
    assert draw_chart(chart, 70, 16, ascii_only=True).text().isascii()
    assert not draw_chart(chart, 70, 16).text().isascii()


def test_ticks_are_round_and_few() -> None:
    assert nice_ticks(0.0, 120.0, 7) == [0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0]
    assert nice_ticks(1.0, 1.0, 5) == []
    for low, high in ((-3.0, 9.7), (1e-9, 2e-9), (-1e9, 1e9)):
        ticks = nice_ticks(low, high, 6)
        assert 2 <= len(ticks) <= 8
        assert low - 1e-6 * abs(low) <= ticks[0] < ticks[-1] <= high + 1e-6 * abs(high)
