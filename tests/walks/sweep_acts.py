"""What a machinist does at the sweep screen, each act with its check."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, replace

from tests.walks.book_rows import Row, RowChange, added
from tests.walks.machinist import Machinist

PROMPT = re.compile(
    r"Station (?P<station>[\d.]+) in, (?:mark (?P<clock>[\d.]+) deg(?P<again> again)?)"
    r"(?: \((?P<state>now|read:|all read:|finished) ?(?P<now>[^)]*)\))?:"
)
MARK = ("mark", "blocked")


@dataclass(frozen=True)
class AtMark:
    """What the prompt names."""

    station_in: float
    clock_deg: float
    kind: str
    replaces: str | None
    """What stands there now, where the prompt says that it will be replaced."""
    closed: bool
    """Whether the prompt says that nothing is taken here."""


def at_mark(me: Machinist) -> AtMark | None:
    """The prompt of the sweep screen; None when it asks for something else."""
    found = PROMPT.search(re.sub(r"\s+", " ", me.hands.text))
    if found is None:
        return None
    state = found["state"]
    return AtMark(
        float(found["station"]),
        float(found["clock"]),
        "closing" if found["again"] else "mark",
        found["now"] if state == "now" else None,
        state is not None and state != "now",
    )


async def at_sweep(me: Machinist) -> bool:
    """Be at the sweep screen with a sweep open; True when a mark is asked for."""
    await me.hear()
    if me.hands.screen != "SweepScreen":
        me.elsewhere = set()  # opened anew, it does not know who read what
        for name in (me.sweep_step, "Sweep as received", "Final sweep", "Hold check"):
            await me.to_step(name)
            if me.hands.screen == "AskScreen":
                await _all_finished(me)
            if me.hands.screen in ("SweepScreen", "SweepSetupScreen"):
                me.sweep_step = name
                break
        if me.hands.screen == "SweepSetupScreen":
            await start_sweep(me)
    return me.hands.screen == "SweepScreen" and at_mark(me) is not None


async def _all_finished(me: Machinist) -> None:
    """Every sweep of the job is finished, the menu is open: a new one, or one of the old ones."""
    new = me.die.random() < 0.7
    digit = me.hands.find(rf"(\d) {'Start a new sweep' if new else 'Open another sweep'}")
    if digit is None:
        return
    me.begin()
    await me.press(digit[1], steady=True)
    if not new:
        await me.press(*["down"] * me.die.randint(0, 3), "enter", steady=True)
    me.nothing_changed("chose a sweep")


async def start_sweep(me: Machinist) -> Row | None:
    """F12 at the set-up begins a sweep; None on a bar that is not read cold yet."""
    me.begin()
    await me.press(me.hands.key_of("start"), steady=True)
    found = me.changes()
    if not found and "not read cold" in me.hands.said and me.rows("hit", method="heat"):
        await me.press("escape", steady=True)
        return None
    me.only(found, "sweep")
    if len(added(found, "sweep")) != 1:
        raise me.fault("the set-up did not begin one sweep", found)
    return added(found, "sweep")[0]


def sweep_row(me: Machinist) -> Row:
    """The sweep on the screen."""
    sweep_id = me.hands.app.screen.sweep_id  # type: ignore[attr-defined]
    return me.rows("sweep", id=sweep_id)[0]


def one_reading(me: Machinist, what: str, meant: AtMark, found: list[RowChange]) -> Row:
    """The one reading that was stored, where it was meant to be."""
    me.only(found, "reading")
    new = added(found, "reading")
    if len(new) != 1:
        raise me.fault(f"{what}: {len(new)} readings stored", found)
    row = new[0]
    kinds = MARK if meant.kind == "mark" else (meant.kind,)
    if (row["station_in"], row["clock_deg"]) != (meant.station_in, meant.clock_deg) or (
        row["kind"] not in kinds
    ):
        raise me.fault(f"{what}: stored elsewhere than at {meant}", found)
    replaced = [c for c in found if c.before is not None]
    if meant.replaces is None and replaced:
        raise me.fault(f"{what}: replaced a reading that the prompt did not name", found)
    for change in replaced:
        if set(change.fields) != {"replaced_by"} or change.fields["replaced_by"][1] != row["id"]:
            raise me.fault(f"{what}: another row was changed", [change])
    return row


def _mark_named(me: Machinist) -> AtMark | None:
    """The mark that the prompt names, whatever another bench has read there meanwhile."""
    at = at_mark(me)
    return at and replace(at, replaces=None, closed=False)


async def enter_number(me: Machinist, text: str) -> list[RowChange] | None:
    """Type a number at the mark and Enter: what changed; None (and wiped) when the screen was
    opened again meanwhile at another mark."""
    me.begin()
    if not await me.number(text, _mark_named):
        await wipe(me)
        return None
    await me.at_the_same_time()
    await me.press("enter", steady=True)
    return me.changes()


async def read(me: Machinist) -> None:
    """Roll to the mark that the prompt names, type what the dial shows, Enter."""
    if not await at_sweep(me):
        return
    meant = at_mark(me)
    assert meant is not None
    if meant.kind == "closing":
        _closes_the_roll(me, meant)
    shown = me.shop.dial_thou(meant.station_in, meant.clock_deg)
    if shown is None:
        await block(me)
        return
    text = f"{shown:g}"
    found = await enter_number(me, text)
    if found is None:
        return
    if meant.closed or finished(me):
        me.nothing_changed(f"typed {text} where all is read")
        await wipe(me)
        return
    if me.refused_or(f"reading {text} at {meant}", found):
        await wipe(me)
        return
    row = one_reading(me, f"reading {text}", meant, found)
    if row["raw"] != text or abs(row["value_in"] * 1000 - shown) > 1e-9:
        raise me.fault(f"typed {text}, stored {row['raw']}", found)


def _closes_the_roll(me: Machinist, meant: AtMark) -> None:
    """The mark read once more is the first one that is not blocked."""
    row = sweep_row(me)
    blocked = {
        r["clock_deg"]
        for r in me.rows("reading", sweep_id=row["id"], station_in=meant.station_in)
        if r["replaced_by"] is None and r["kind"] == "blocked"
    }
    free = [mark for mark in json.loads(row["marks_deg"]) if mark not in blocked]
    if free and free[0] != meant.clock_deg:
        raise me.fault(f"asks for mark {meant.clock_deg} again; the first free one is {free[0]}")


async def no_number(me: Machinist) -> None:
    """Text that is no plain number changes nothing, and the next number replaces it."""
    if not await at_sweep(me) or finished(me):
        return
    await wipe(me)
    meant = at_mark(me)
    if meant is None or meant.closed:
        return
    me.begin()
    await me.hands.type(me.die.choice(("5-", "1-5", "3/4", "1..5", "2 3")))
    await me.press("enter", steady=True)
    me.nothing_changed("typed what is no plain number")
    await read(me)


def finished(me: Machinist) -> bool:
    """Whether the sweep on the screen is finished."""
    return sweep_row(me)["finished_at"] is not None


async def wipe(me: Machinist) -> None:
    """Empty the field by hand: what is in it is not stored."""
    me.begin()
    while getattr(me.hands.app.screen, "field", None) is not None:
        field = me.hands.app.screen.field  # type: ignore[attr-defined]
        if not field.value:
            break
        await me.hands.press("backspace")
    me.nothing_changed("emptied the field")


async def block(me: Machinist) -> None:
    """The plunger is blocked at the mark that the prompt names."""
    if not await at_sweep(me):
        return
    await wipe(me)
    meant = at_mark(me)
    if meant is None or meant.kind != "mark":
        return
    me.begin()
    if me.disturbances and me.die.random() < me.chance:
        await me.disturb()
        meant = at_mark(me) if me.hands.screen == "SweepScreen" else None
        if meant is None or meant.kind != "mark":
            return
    await me.press("asterisk", steady=True)
    found = me.changes()
    if meant.closed or finished(me):
        me.nothing_changed("blocked where all is read")
        return
    if me.refused_or(f"blocked at {meant}", found):
        return
    row = one_reading(me, "blocked", meant, found)
    if row["kind"] != "blocked":
        raise me.fault("blocked: stored as something else", found)


async def fill(me: Machinist) -> None:
    """Read on without a break, as far as the roll goes."""
    with me.undisturbed(alone=False):
        for _ in range(me.die.randint(6, 30)):
            meant = at_mark(me) if await at_sweep(me) else None
            if meant is None or meant.closed or finished(me):
                return
            await read(me)


async def stations(me: Machinist) -> None:
    """Add a station to the list, or take the chosen one off; readings stay."""
    if not await at_sweep(me):
        return
    await me.press(me.hands.key_of("stations"), steady=True)
    if me.hands.screen != "StationsScreen":
        return
    me.begin()
    station = me.die.choice((7.5, 18.0, 22.0, 40.0))
    await me.hands.type(f"{station:g}")
    await me.press("enter")
    found = me.changes()
    me.only(found, "sweep")
    for change in found:
        if set(change.fields) != {"stations_in"}:
            raise me.fault("the list of stations changed something else", found)
    await me.press("escape", steady=True)
