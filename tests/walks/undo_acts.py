"""An act and its undo: the screen shows again exactly what it showed before."""

from __future__ import annotations

from tests.walks.machinist import Machinist
from tests.walks.shop_acts import RAM, hit_changes, out_of_popup, to_screen
from tests.walks.sweep_acts import at_mark, at_sweep, finished, read, wipe
from tests.walks.sweep_changes import undo

TO_THE_FIRST = ("up",) * 4
BOTTOM = 3
"""Rows at the bottom that say what was done last, and the keys."""


async def reading_and_back(me: Machinist) -> None:
    """A reading and its undo: all readings and figures are as before."""
    if not await at_sweep(me) or finished(me):
        return
    await wipe(me)
    meant = at_mark(me)
    if meant is None or meant.closed:
        return
    shown, stored = await _rested(me), len(me.rows("reading"))
    with me.undisturbed():
        await read(me)
        if len(me.rows("reading")) == stored:
            return
        await undo(me)
    _same(me, "a reading and its undo", shown, await _rested(me))


async def hit_and_back(me: Machinist) -> None:
    """A hit noted and taken back: the plan is as before."""
    if not await to_screen(me, "Straighten", "StraightenScreen"):
        return
    await me.press(*TO_THE_FIRST, steady=True)
    if me.hands.find(RAM.pattern) is None:
        return
    shown = _body(me)
    me.begin()
    await me.press(me.hands.key_of("hit"), steady=True)
    if me.hands.screen != "StraightenScreen":
        await out_of_popup(me, "StraightenScreen")
        me.nothing_changed("left the question")
        return
    if not hit_changes(me):
        return
    me.begin()
    await me.press(me.hands.key_of("undo"), steady=True)
    await out_of_popup(me, "StraightenScreen")
    me.only(me.changes(), "hit")
    await me.press(*TO_THE_FIRST, steady=True)
    _same(me, "a hit and its undo", shown, _body(me))


def _body(me: Machinist) -> list[str]:
    """All rows but the top line, which tells of the clock, and the bottom."""
    return [row.rstrip() for row in me.hands.text.splitlines()[1:-BOTTOM]]


async def _rested(me: Machinist) -> list[str]:
    """The rows once the figures have been worked out."""
    await me.hands.rest()
    return _body(me)


def _same(me: Machinist, what: str, before: list[str], after: list[str]) -> None:
    if before != after:
        pairs = zip(before, after, strict=False)
        other = "\n".join(f"- {a}\n+ {b}" for a, b in pairs if a != b)
        raise me.fault(f"{what}: the screen shows something else than before\n{other}")
