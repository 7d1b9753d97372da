"""A stroke led load by load, a heat spot and its cooling, a correction, a hold check, a rest."""

from __future__ import annotations

import re
from datetime import timedelta

from tests.walks.book_rows import Row, added
from tests.walks.machinist import Machinist
from tests.walks.shop_acts import RAM, hit_changes, out_of_popup, same_place, to_screen
from tests.walks.sweep_acts import start_sweep

AT = re.compile(r"Ram at ([\d.]+) in, clock (\d+)")
SPOT = re.compile(r"high side (\d+).*? Station ([\d.]+)", re.DOTALL)
STILL_WARM = re.compile(r"cold|warm")


async def rest(me: Machinist) -> None:
    """Hours go by: penetrant dwells, a bar cools, a shaft rests."""
    me.shop.later += timedelta(hours=me.die.choice((0.1, 0.5, 3.0, 14.0)))
    me.begin()
    await me.hands.press("f1", "escape")
    me.nothing_changed("hours went by")


async def _to_stroke(me: Machinist) -> tuple[float, float] | None:
    """Enter on a hit of the plan: the place that the stroke screen names."""
    if not await to_screen(me, "Straighten", "StraightenScreen"):
        return None
    await me.press(*["down"] * me.die.randint(0, 1), steady=True)
    named = me.hands.find(RAM.pattern)
    me.begin()
    await me.press("enter", steady=True)
    if me.hands.screen == "AskScreen":
        await me.press("2", steady=True)
    if me.hands.screen != "StrokeScreen" or named is None:
        await out_of_popup(me, "StraightenScreen")
        me.nothing_changed("a stroke was not led")
        return None
    shown = me.hands.find(AT.pattern)
    if shown is None or not same_place(shown, named):
        raise me.fault(f"the stroke of {named[0]} was chosen")
    return float(named[2]), float(named[1])


async def stroke(me: Machinist) -> None:
    """Loads of one stroke: the first reading notes the hit, each is stored, undo takes one back."""
    place = await _to_stroke(me)
    if place is None:
        return
    if me.hands.find("diameter not known"):
        await me.hands.type("2")
        await me.press("enter", steady=True)
    hit: Row | None = None
    for number in range(me.die.randint(1, 3)):
        thou = 2 * number
        me.begin()
        await me.at_the_same_time()
        await me.hands.type(str(thou))
        await me.press("enter", steady=True)
        if me.hands.screen == "AskScreen":
            await out_of_popup(me, "StrokeScreen")
            me.nothing_changed("left the question")
            break
        found = list(hit_changes(me, "hit", "hit_reading"))
        made, read = added(found, "hit"), added(found, "hit_reading")
        if not found and me.hands.said and (me.disturbed or me.hands.find("misses the shaft")):
            break
        if len(read) != 1 or len(made) != (hit is None) or len(found) != len(read) + len(made):
            raise me.fault(f"one load was read, the stroke being {hit}", found)
        if abs(read[0]["value_in"] * 1000 - thou) > 1e-9:
            raise me.fault(f"typed {thou} thou", found)
        for row in made:
            hit = row
            _noted(me, row, place, "press")
        if hit is not None and read[0]["hit_id"] != hit["id"]:
            raise me.fault("the load belongs to another hit", found)
    if hit is not None and me.die.random() < 0.4:
        await _undo_load(me, hit)
    await me.press(me.hands.key_of("done"), steady=True)
    await out_of_popup(me, "StraightenScreen")


def _noted(me: Machinist, row: Row, place: tuple[float, float], method: str) -> None:
    """The hit noted is the one that the screen named; the shaft and the memory get it."""
    off = abs((row["clock_deg"] - place[1] + 180) % 360 - 180)
    if abs(row["station_in"] - place[0]) > 0.006 or off > 0.6 or row["method"] != method:
        raise me.fault(f"meant {method} at {place}, noted {row}")
    me.shop.press(row["station_in"], row["clock_deg"], row["angle_rad"])
    me.memory.hits.append((row["station_in"], row["clock_deg"]))


async def _undo_load(me: Machinist, hit: Row) -> None:
    loads = me.rows("hit_reading", hit_id=hit["id"], undone_at=None)
    me.begin()
    await me.at_the_same_time()
    every = me.rows("hit", undone_at=None)
    other = hit["id"] not in {r["id"] for r in every} or any(r["id"] > hit["id"] for r in every)
    await me.press(me.hands.key_of("undo"), steady=True)
    found = me.changes()
    if not found and (me.disturbed or other) and me.hands.said:
        return
    me.only(found, "hit", "hit_reading")
    gone = {c.before["id"] for c in found if c.before and set(c.fields) == {"undone_at"}}
    meant = {max(loads, key=lambda r: r["id"])["id"]} | ({hit["id"]} if len(loads) == 1 else set())
    if gone != meant or len(found) != len(meant):
        raise me.fault(f"undo of a load was to take back {meant}", found)
    if hit["id"] in gone:
        me.memory.hits.remove((hit["station_in"], hit["clock_deg"]))


async def heat_spot(me: Machinist) -> None:
    """A spot on the bend chosen, read while it cools; it counts once, at the place named."""
    if not await to_screen(me, "Straighten", "StraightenScreen"):
        return
    me.begin()
    await me.press(me.hands.key_of("more"), "3", steady=True)
    if me.hands.screen == "HeatScreen":
        named = me.hands.find(SPOT.pattern)
        await me.press("down", "down", "down", *"700", "enter", steady=True)
        await me.at_the_same_time()
        await me.press(me.hands.key_of("store"), steady=True)
        left = me.hands.screen == "AskScreen"  # another bench noted a hit: whether this is one more
        if left:
            await out_of_popup(me, "HeatScreen")
        found = hit_changes(me)
        made = added(found, "hit")
        if not found and not left and not me.hands.said:
            raise me.fault("a heat spot was neither stored nor refused")
        if len(made) != len(found) or len(made) > 1 or (made and named is None):
            raise me.fault("one heat spot was meant", found)
        for row in made:
            assert named is not None
            _noted(me, row, (float(named[2]), float(named[1])), "heat")
            if row["temperature_f"] != 700:
                raise me.fault("meant a spot at 700 F", found)
    if me.hands.screen == "CoolingScreen":
        await _cooled(me)
    me.begin()
    await out_of_popup(me, "StraightenScreen")


async def _cooled(me: Machinist) -> None:
    """Read one mark until the bar is cold, or leave it warm."""
    for _ in range(me.die.choice((1, 3))):
        me.begin()
        await me.hands.type("5")
        await me.press("enter", steady=True)
        found = me.changes()
        me.only(found, "hit_reading")
        if [r["value_in"] for r in added(found, "hit_reading")] != [0.005]:
            raise me.fault("read 5 thou while it cools", found)
        me.shop.later += timedelta(hours=1)


async def correct_hit(me: Machinist) -> None:
    """A hit noted on the wrong side: another clock; the first entry stays in the log."""
    if not await to_screen(me, "Straighten", "StraightenScreen"):
        return
    counted = [r for r in me.rows("hit") if r["undone_at"] is None]
    await me.press(me.hands.key_of("more"), "2", steady=True)
    if me.hands.screen != "AskScreen":
        return
    await me.press("1", steady=True)
    newest = max(counted, key=lambda r: (r["at"], r["id"]))
    clock = float(me.die.randrange(0, 360, 10))
    me.begin()
    await me.press("down", "down", *f"{clock:g}", "enter", steady=True)
    await me.at_the_same_time()
    await me.press(me.hands.key_of("store"), steady=True)
    found = me.changes()
    refused = not found and me.hands.said
    await out_of_popup(me, "StraightenScreen")
    if refused:
        return
    me.only(found, "hit")
    new = added(found, "hit")
    gone = [c for c in found if c.before is not None]
    if len(new) != 1 or len(gone) != 1 or new[0]["corrects"] != newest["id"]:
        raise me.fault("one hit was to be corrected", found)
    kept = {k: newest[k] for k in ("station_in", "method", "round_no", "at")}
    if any(abs(new[0][k] - v) > 0.006 if k == "station_in" else new[0][k] != v
           for k, v in kept.items()) or abs(new[0]["clock_deg"] - clock) > 1e-6:  # fmt: skip
        raise me.fault(f"the clock alone was to become {clock}", found)
    if gone[0].before["id"] != newest["id"] or set(gone[0].fields) != {"undone_at"}:  # type: ignore[index]
        raise me.fault("the first entry was to stay, marked", found)
    me.memory.hits.remove((newest["station_in"], newest["clock_deg"]))
    me.memory.hits.append((new[0]["station_in"], new[0]["clock_deg"]))


async def hold_check(me: Machinist) -> None:
    """The sweep after a rest, or the one before it, is set up from the hold check."""
    if not await to_screen(me, "Hold check", "HoldScreen"):
        return
    me.begin()
    await me.press(me.hands.key_of("sweep"), steady=True)
    if me.hands.screen != "SweepSetupScreen":
        me.nothing_changed("looked for the sweep of the hold check")
        return
    started = await start_sweep(me)
    if started and started["purpose"] not in ("hold check", "working"):
        raise me.fault(f"the hold check began a sweep for {started['purpose']}")
