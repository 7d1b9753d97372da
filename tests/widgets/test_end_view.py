"""The view of the shaft from its end."""

from __future__ import annotations

import pytest

from core.base.dial_unit import show_dial_in
from tui.widgets.end_view import EndPoint, EndView, draw_end_view


@pytest.mark.parametrize("width", [40, 46, 60])
@pytest.mark.parametrize("unit", ["thou", "mm"])
def test_the_scale_does_not_run_into_the_clock(unit: str, width: int) -> None:
    """Found: 'rim 0.511 mm off centre0', the 180 under the words."""
    show_dial_in(unit)
    view = EndView((EndPoint(0.0201, 0.0),), 0.001, joined=False)
    last = draw_end_view(view, width, 15).lines()[-1].strip()
    assert last.endswith("  180")
    assert last.startswith(("rim 20.1 thou", "rim 0.511 mm"))
