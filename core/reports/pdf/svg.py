"""The pictures of a ticket's page as reportlab draws them.

Reads what `core.reports.ticket_drawing` writes: lines, polylines, closed paths of straight lines,
circles and text.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from core.reports.pdf.fonts import Fonts

FONT = 11.0


class PageDrawing:
    """One drawing, shape by shape, in the units of its view box."""

    def __init__(self, attributes: Mapping[str, str], fonts: Fonts) -> None:
        from reportlab.graphics.shapes import Drawing

        _, _, width, height = (float(part) for part in attributes["viewbox"].split())
        self.height = height
        self.fonts = fonts
        self.drawing = Drawing(width, height)

    def scaled_to(self, width: float) -> Any:
        """The drawing as something a page takes, so wide."""
        scale = width / self.drawing.width
        self.drawing.scale(scale, scale)
        self.drawing.width, self.drawing.height = width, self.height * scale
        return self.drawing

    def add(self, tag: str, attributes: Mapping[str, str]) -> None:
        """A shape that is not text; unknown ones are left out."""
        from reportlab.graphics import shapes

        look = _look(attributes)
        if tag == "line":
            ends = [float(attributes[name]) for name in ("x1", "y1", "x2", "y2")]
            self.drawing.add(shapes.Line(*self._flipped(ends), **look))
        elif tag == "circle":
            x, y, radius = (float(attributes[name]) for name in ("cx", "cy", "r"))
            self.drawing.add(shapes.Circle(x, self.height - y, radius, **look, **_fill(attributes)))
        elif tag == "polyline":
            points = self._flipped(_numbers(attributes["points"]))
            self.drawing.add(shapes.PolyLine(points, **look))
        elif tag == "path":  # straight lines, closed: a triangle
            points = self._flipped(_numbers(attributes["d"]))
            self.drawing.add(shapes.Polygon(points, **look, **_fill(attributes)))

    def add_text(self, text: str, attributes: Mapping[str, str]) -> None:
        """A piece of text."""
        from reportlab.graphics.shapes import String

        x, y = float(attributes["x"]), float(attributes["y"])
        self.drawing.add(
            String(
                x,
                self.height - y,
                self.fonts.shown(text),
                fontName=self.fonts.regular,
                fontSize=FONT,
                textAnchor=attributes.get("text-anchor", "start"),
            )
        )

    def _flipped(self, points: list[float]) -> list[float]:
        """Pairs with y upwards."""
        return [self.height - value if at % 2 else value for at, value in enumerate(points)]


def _numbers(text: str) -> list[float]:
    return [float(part) for part in re.findall(r"-?[0-9.]+", text)]


def _colour(text: str | None) -> Any:
    from reportlab.lib.colors import toColor

    if text is None or text == "none":
        return None
    if len(text) == 4 and text.startswith("#"):
        text = "#" + "".join(digit * 2 for digit in text[1:])
    return toColor(text)


def _look(attributes: Mapping[str, str]) -> dict[str, Any]:
    look: dict[str, Any] = {"strokeColor": _colour(attributes.get("stroke"))}
    if "stroke-width" in attributes:
        look["strokeWidth"] = float(attributes["stroke-width"])
    if "stroke-dasharray" in attributes:
        look["strokeDashArray"] = [float(part) for part in attributes["stroke-dasharray"].split()]
    return look


def _fill(attributes: Mapping[str, str]) -> dict[str, Any]:
    return {"fillColor": _colour(attributes.get("fill"))}
