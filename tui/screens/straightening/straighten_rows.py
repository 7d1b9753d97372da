"""Who gets the rows of the straighten screen: the texts, then the hits, then the picture."""

from __future__ import annotations

from textual.css.query import NoMatches
from textual.screen import Screen
from textual.widget import Widget

from tui.widgets.list_box import ListBox
from tui.widgets.message import MessageLine
from tui.widgets.shaft_picture import LEAST_PICTURE_ROWS, PICTURE_ROWS, ShaftPicture

LEAST_HIT_ROWS = 3


def deal_rows(screen: Screen[object]) -> None:
    """The picture gets what the hits leave; with less than a bar and its scale it goes.

    A message of two lines moves nothing: a row below the hits is kept for it, or it covers the
    last row of the picture.
    """
    try:
        picture, hits = screen.query_one(ShaftPicture), screen.query_one(ListBox)
        message = screen.query_one(MessageLine).size.height - 1
    except NoMatches:
        return  # the screen is being closed
    body = picture.parent
    shown = [child for child in body.children if child.display] if body is not None else []
    if not isinstance(body, Widget) or not shown:
        return  # the same: what is being closed is displayed no longer
    needs = max(len(hits.rows) + 1, LEAST_HIT_ROWS)
    lowest = max(child.region.bottom for child in shown)
    left = body.content_region.bottom - lowest + message
    left += picture.size.height if picture.display else 0
    rows = hits.size.height + left - needs
    picture.display = rows >= LEAST_PICTURE_ROWS
    picture.styles.height = max(min(rows, PICTURE_ROWS), LEAST_PICTURE_ROWS)
    room = hits.size.height + left - 1
    hits.styles.height = needs if picture.display else max(min(needs, room), LEAST_HIT_ROWS)
