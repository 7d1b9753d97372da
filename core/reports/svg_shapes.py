"""Inline SVG of the papers: lines, dots and words, all numbers our own and all text escaped.

No script, no link, no font to fetch. `core.reports.pdf.svg` draws the same shapes on a PDF.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from html import escape

from core.base.dial_unit import shown_dial_unit
from core.base.units import PER_INCH, length_unit
from core.reports.ticket_format import clean

DRAWING_WIDTH = 760
"""Of every drawing, in its own units."""
Point = tuple[float, float]


def drawing(title: str, height: float, pieces: Iterable[str]) -> str:
    """A drawing of `DRAWING_WIDTH` by `height` with its title for whoever cannot see it."""
    label = escape(clean(title, 200), quote=True)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {DRAWING_WIDTH} {height:g}"'
        ' role="img"'
        f' aria-label="{label}" font-family="sans-serif" font-size="11">'
        f"<title>{label}</title>{''.join(pieces)}</svg>"
    )


def round_step(value: float, most: int) -> float:
    """The finest step of 1, 2, 5, 10, ... that reaches `value` in `most` steps."""
    power = 10.0 ** math.floor(math.log10(value / most))
    return next(step * power for step in (1, 2, 5, 10) if step * power * most >= value * 0.999999)


def dial_step(most_in: float, steps: int) -> float:
    """Such a step for dial figures, inches, round in the unit that the shop reads dials in."""
    per_inch = PER_INCH[shown_dial_unit()]
    return round_step(most_in * per_inch, steps) / per_inch


def dial_scale(value_in: float, *, unit: bool = True) -> str:
    """A round dial figure of a scale: ``100 thou``, in a metric shop ``2.5 mm``."""
    shown_in = shown_dial_unit()
    return f"{value_in * PER_INCH[shown_in]:.4g}" + (f" {shown_in}" if unit else "")


def station_ticks(length_in: float, most: int) -> list[float]:
    """Places for the scale along a shaft, inches, round in the unit of the shop."""
    per_inch = PER_INCH[length_unit()]
    step = round_step(length_in * per_inch, most)
    return [n * step / per_inch for n in range(int(length_in * per_inch / step) + 1)]


def words(x: float, y: float, text: str, anchor: str = "middle") -> str:
    """A short text; `anchor` is start, middle or end."""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(clean(text, 60))}</text>'


def segment(start: Point, end: Point, look: str) -> str:
    """A straight line; `look` holds the attributes of its stroke."""
    (x1, y1), (x2, y2) = start, end
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" {look}/>'


def path_of(points: Sequence[Point], look: str) -> str:
    """Points joined by straight lines."""
    listed = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    return f'<polyline points="{listed}" fill="none" {look}/>'


def dot(at: Point, radius: float, look: str) -> str:
    """A circle."""
    return f'<circle cx="{at[0]:.1f}" cy="{at[1]:.1f}" r="{radius:.1f}" {look}/>'


def roller(x: float, top: float) -> str:
    """A black triangle that points up to the shaft."""
    return (
        f'<path d="M{x - 6:.1f} {top + 10:.1f}L{x + 6:.1f} {top + 10:.1f}'
        f'L{x:.1f} {top:.1f}Z" fill="#000"><title>roller</title></path>'
    )
