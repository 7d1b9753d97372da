"""Readings corrected, taken back and closed off at the sweep screen, each act with its check."""

from __future__ import annotations

from tests.walks.book_rows import Row, RowChange, added
from tests.walks.machinist import Machinist
from tests.walks.sweep_acts import (
    AtMark,
    at_mark,
    at_sweep,
    enter_number,
    finished,
    one_reading,
    sweep_row,
    wipe,
)

OWN = "bench 1"
"""Name of the bench the machinist stands at."""


async def correct(me: Machinist) -> None:
    """Choose an earlier mark with Up, type another number; entry goes on where it was."""
    if not await at_sweep(me) or finished(me):
        return
    await wipe(me)
    home = at_mark(me)
    await me.press(*["up"] * me.die.randint(1, 4), steady=True)
    await _corrected(me, home)


async def correct_by_number(me: Machinist) -> None:
    """Go to a reading of any station with F6, type another number; entry goes on where it was."""
    if not await at_sweep(me) or finished(me):
        return
    await wipe(me)
    home = at_mark(me)
    there = me.rows("reading", sweep_id=sweep_row(me)["id"], kind="mark", replaced_by=None)
    if not there:
        return
    row = me.die.choice(there)
    await me.press(me.hands.key_of("jump"), steady=True)
    if me.die.random() < 0.2:
        me.begin()
        await me.press(me.die.choice(("f5", "f7", "slash")), steady=True)
        me.nothing_changed("asked where to go")
    for number in (row["station_in"], row["clock_deg"]):
        await me.hands.type(f"{number:g}")
        await me.press("enter", steady=True)
    if (named := at_mark(me)) is None or (named.station_in, named.clock_deg) != (
        row["station_in"], row["clock_deg"]
    ):  # fmt: skip
        raise me.fault(f"F6 went to {named}, asked for {row['station_in']}, {row['clock_deg']}")
    await _corrected(me, home)


async def _corrected(me: Machinist, home: AtMark | None) -> None:
    """Type another number at the mark that the prompt names."""
    meant = at_mark(me)
    if meant is None:
        return
    text = f"{me.die.randint(-40, 40) / 2:g}"
    found = await enter_number(me, text)
    if found is None:
        return
    if me.refused_or(f"correcting to {text} at {meant}", found):
        await wipe(me)
        return
    row = one_reading(me, f"correcting to {text}", meant, found)
    if row["raw"] != text:
        raise me.fault(f"typed {text}, stored {row['raw']}", found)
    here = at_mark(me)
    if home is None or home.closed or home.replaces is not None or meant.replaces is None:
        return
    if here != home and not me.disturbed:
        raise me.fault(f"after a correction entry goes on at {here}, not at {home}")


async def undo(me: Machinist) -> None:
    """F5 takes back the last entry made here, and brings back what it had replaced."""
    if not await at_sweep(me):
        return
    await wipe(me)
    sweep_id = sweep_row(me)["id"]
    own = me.rows("reading", sweep_id=sweep_id, replaced_by=None)
    me.begin()
    await me.at_the_same_time()
    await me.press("f5" if me.die.random() < 0.5 else "slash", steady=True)
    found = me.changes()
    if finished(me):
        me.nothing_changed("undo on a finished sweep")
        return
    me.only(found, "reading")
    gone = [c for c in found if c.before is not None]
    if not gone:
        ours = [r for r in own if r["id"] not in me.elsewhere and r["by"] == OWN]
        if ours and not any(e for e in me.elsewhere):
            raise me.fault("undo took nothing back though there is something", found)
        return
    for change in gone:
        fields = change.fields
        if set(fields) != {"replaced_by"} or fields["replaced_by"][1] != change.before["id"]:  # type: ignore[index]
            raise me.fault("undo changed more than what it takes back", found)
    # Brought back by an undo, a reading of the other bench has another id and the same time.
    every = me.rows("reading")
    theirs = {r["taken_at"] for r in every if r["id"] in me.elsewhere or r["by"] != OWN}
    newest = max((r["taken_at"] for r in own if r["taken_at"] not in theirs), default="")
    for change in gone:
        assert change.before is not None
        if change.before["taken_at"] != newest:
            raise me.fault("undo took back another entry than the last one", found)
    _brought_back(me, found)
    _nothing_missing(me, found, [c.before for c in gone if c.before is not None])


def _nothing_missing(me: Machinist, found: list[RowChange], gone: list[Row]) -> None:
    """A place that held another reading before the entry holds that one again."""
    history = me.rows("reading")
    back = added(found, "reading")
    for row in gone:
        same_entry = {
            r["id"]
            for r in history
            if r["taken_at"] == row["taken_at"] and r["clock_deg"] == row["clock_deg"]
        }
        earlier = [
            r
            for r in history
            if r["replaced_by"] in same_entry and r["taken_at"] != row["taken_at"]
        ]
        place = (row["station_in"], row["clock_deg"])
        if earlier and place not in {(r["station_in"], r["clock_deg"]) for r in back}:
            raise me.fault("undo did not bring back what the entry had replaced", found)


def _brought_back(me: Machinist, found: list[RowChange]) -> None:
    """What an undo entered again is what had been there before."""
    history = me.rows("reading")
    for row in added(found, "reading"):
        same = [
            r
            for r in history
            if r["id"] != row["id"]
            and all(r[k] == row[k] for k in ("value_in", "raw", "kind", "taken_at", "clock_deg"))
        ]
        if not same:
            raise me.fault("undo brought back what was never there", found)


async def undo_all(me: Machinist) -> None:
    """Undo several times, and read again."""
    for _ in range(me.die.randint(2, 6)):
        await undo(me)


async def odd(me: Machinist) -> None:
    """The key takes the correction that the line names."""
    if not await at_sweep(me) or finished(me):
        return
    await me.hands.rest()
    offered = me.hands.find(r"Slip\? ([\d.]+) in, (\d+) deg: ([-\d.]+),? .*? F7 makes it ([-\d.]+)")
    if offered is None:
        return
    me.begin()
    await me.press(me.hands.key_of("mend"), steady=True)
    found = me.changes()
    me.only(found, "reading")
    station, clock, new = float(offered[1]), float(offered[2]), float(offered[4])
    rows = added(found, "reading")
    named = [r for r in rows if r["station_in"] == station and round(r["clock_deg"]) % 360 == clock]
    if not named or abs(named[0]["value_in"] * 1000 - new) > 1e-6 or len(rows) > 2:
        raise me.fault(f"the key did not make it {new} at {station} in, {clock} deg", found)


async def finish(me: Machinist) -> None:
    """F12, then 1, when all is read: the sweep is finished, nothing else."""
    if not await at_sweep(me) or finished(me):
        return
    await wipe(me)
    mark = at_mark(me)
    if mark is None or (not mark.closed and me.die.random() < 0.8):
        return
    sweep_id = sweep_row(me)["id"]
    me.begin()
    await me.press(me.hands.key_of("menu"), steady=True)
    digit = me.hands.find(r"(\d) Finish this")
    if digit is None:
        raise me.fault("no line of the menu finishes the sweep")
    if await me.looks_again():
        return
    await me.press(digit[1], steady=True)
    found = me.changes()
    if me.refused_or("finishing", found):
        return
    me.only(found, "sweep")
    if [c.before and c.before["id"] for c in found] != [sweep_id] or set(found[0].fields) != {
        "finished_at"
    }:
        raise me.fault("finishing changed something else", found)
    me.memory.finished.append(sweep_id)


async def open_other(me: Machinist) -> None:
    """Open another sweep of the job from the list."""
    if not await at_sweep(me):
        return
    await wipe(me)
    me.begin()
    await me.press(me.hands.key_of("menu"), steady=True)
    digit = me.hands.find(r"(\d) Open another sweep")
    if digit is None:
        raise me.fault("no line of the menu opens another sweep")
    await me.press(digit[1], *["down"] * me.die.randint(0, 3), "enter", steady=True)
    me.elsewhere = set()
    me.nothing_changed("opened another sweep")


async def finished_takes_nothing(me: Machinist) -> None:
    """A number typed into a finished sweep, or after the last mark, changes nothing."""
    if not await at_sweep(me):
        return
    if not finished(me) and me.die.random() < 0.5:
        await open_other(me)
        if me.hands.screen != "SweepScreen":
            return
    if finished(me):
        await me.press(*["up"] * me.die.randint(0, 3), steady=True)
    mark = at_mark(me)
    if mark is None or not (mark.closed or finished(me)):
        return
    me.begin()
    await me.hands.type(str(me.die.randint(1, 99)))
    await me.press("enter", "enter", steady=True)
    me.nothing_changed("typed after the last mark")
    await wipe(me)
