"""Acts at the other screens: hits, penetrant, measuring, notes; each with its check."""

from __future__ import annotations

import re

from tests.walks.book_rows import RowChange, added
from tests.walks.machinist import Machinist

RAM = re.compile(r"Ram: clock (\d+) deg, ([\d.]+) in")
NOW = re.compile(r"NOW, (.+?):")
MEASURED = (
    ("Coupling bore", "CouplingScreen"),
    ("Coupling face", "FaceScreen"),
    ("Key", "KeyScreen"),
    ("WEAR", "WearScreen"),
    ("SHAFT ENDS", "ShaftEndScreen"),
)
"""Steps of the card, and in capitals lines of its menu of more; the screen of each."""
STAGES = ("penetrant_at", "wiped_at", "developer_at", "inspected_at")


async def to_screen(me: Machinist, step: str, screen: str) -> bool:
    """Be at a screen of the card."""
    if me.hands.screen != screen:
        await me.to_step(step)
    return me.hands.screen == screen


async def out_of_popup(me: Machinist, screen: str) -> None:
    """Esc out of whatever asks, as somebody who has changed his mind."""
    for _ in range(3):
        if me.hands.screen in (screen, "JobCardScreen", "BoardScreen"):
            return
        await me.hands.press("escape")


async def hit(me: Machinist) -> None:
    """Choose a hit of the plan, make it, and say so: that hit is noted, and no other."""
    if not await to_screen(me, "Straighten", "StraightenScreen"):
        return
    await me.press(*["down"] * me.die.choice((0, 1, 1, 2)), steady=True)
    meant = me.hands.find(RAM.pattern)
    me.begin()
    if meant is None:
        await me.press(me.hands.key_of("hit"), steady=True)
        await out_of_popup(me, "StraightenScreen")
        me.nothing_changed("noted a hit where none was planned")
        if me.hands.screen == "StraightenScreen":
            for _ in range(me.die.randint(0, 3)):
                await undo_hit(me)
        return
    if await me.looks_again():
        return
    chosen, meant = meant, me.hands.find(RAM.pattern)
    if meant is not None and not _near(meant, chosen):
        raise me.fault(f"{chosen[0]!r} was chosen, now it is {meant[0]!r}")
    await me.press(me.hands.key_of("hit"), steady=True)
    popup = me.hands.screen != "StraightenScreen"
    if popup:
        await out_of_popup(me, "StraightenScreen")
    found = hit_changes(me)
    if not found:
        if not popup and not me.hands.said:
            raise me.fault("a hit was neither stored nor refused")
        return
    rows = added(found, "hit")
    if len(rows) != 1 or len(found) != 1 or meant is None:
        raise me.fault(f"one hit was meant, {len(rows)} stored", found)
    row, clock, station = rows[0], float(meant[1]), float(meant[2])
    off = abs((row["clock_deg"] - clock + 180) % 360 - 180)
    if abs(row["station_in"] - station) > 0.006 or off > 0.6:
        raise me.fault(f"meant {station} in, clock {clock}; stored another hit", found)
    if row["stays_in"] is not None:
        raise me.fault("a figure that nobody read is stored as read", found)
    me.shop.press(station, clock, row["angle_rad"])
    me.memory.hits.append((row["station_in"], row["clock_deg"]))


def _near(now: re.Match[str], chosen: re.Match[str]) -> bool:
    """Whether a hit planned again is the one chosen: the plan moves a little with what is known."""
    off = abs((float(now[1]) - float(chosen[1]) + 180) % 360 - 180)
    return abs(float(now[2]) - float(chosen[2])) <= 1.01 and off <= 21


def same_place(one: re.Match[str], two: re.Match[str]) -> bool:
    """Whether two sentences name one station and clock, in whichever order."""
    return {float(one[1]), float(one[2])} == {float(two[1]), float(two[2])}


def hit_changes(me: Machinist, *tables: str) -> list[RowChange]:
    """What noting a hit changed: hits alone, or these tables."""
    found = [change for change in me.changes() if not _empty_sweep_begins_later(me, change)]
    me.only(found, *(tables or ("hit",)))
    return found


def _empty_sweep_begins_later(me: Machinist, change: RowChange) -> bool:
    """A sweep that was set up but not read begins after the hit."""
    if change.table != "sweep" or change.before is None or set(change.fields) != {"started_at"}:
        return False
    return not me.rows("reading", sweep_id=change.before["id"], replaced_by=None)


async def enter_at_hits(me: Machinist) -> None:
    """Enter on the plan notes no hit; a bouncing key does no harm."""
    if not await to_screen(me, "Straighten", "StraightenScreen"):
        return
    me.begin()
    await me.press("enter", "enter", steady=True)
    await out_of_popup(me, "StraightenScreen")
    me.nothing_changed("Enter on the plan of hits")


async def undo_hit(me: Machinist) -> None:
    """The last hit is taken back, that one alone."""
    if not await to_screen(me, "Straighten", "StraightenScreen"):
        return
    me.begin()
    shown = {r["id"] for r in me.rows("hit", undone_at=None)}
    await me.at_the_same_time()
    counted = me.rows("hit", undone_at=None)
    await me.press(me.hands.key_of("undo"), steady=True)
    await out_of_popup(me, "StraightenScreen")
    found = me.changes()
    if not found:
        return
    me.only(found, "hit")
    if me.unheard and shown != {r["id"] for r in counted}:
        raise me.fault("took a hit back though another bench has changed them since", found)
    last = max(counted, key=lambda r: r["id"])
    meant = {last["id"]: last} | {r["id"]: r for r in me.rows("hit", id=last["corrects"])}
    if {c.before["id"] for c in found if c.before} != set(meant) or len(found) != len(meant) or any(
        set(c.fields) != {"undone_at"} for c in found
    ):  # fmt: skip
        raise me.fault(f"the hit or correction {last} alone was to be taken back", found)
    me.memory.hits.remove((last["station_in"], last["clock_deg"]))
    me.memory.hits += [
        (r["station_in"], r["clock_deg"]) for r in meant.values() if r["id"] != last["id"]
    ]


async def penetrant_stage(me: Machinist) -> None:
    """The next stage of the area that the screen names, and of no other."""
    if not await to_screen(me, "Penetrant check", "PenetrantScreen"):
        return
    await me.press(*["down"] * me.die.randint(0, 3), steady=True)
    named = me.hands.find(NOW.pattern)
    if named is None:
        return
    area = named[1]
    me.begin()
    if await me.looks_again():
        return
    await me.press(me.hands.key_of("stage"), steady=True)
    await out_of_popup(me, "PenetrantScreen")
    found = me.changes()
    if not found:
        return
    me.only(found, "penetrant_check", "penetrant_condition")
    touched = {
        (c.after or c.before or {}).get("area") for c in found if c.table == "penetrant_check"
    }
    stamped = [c for c in found if set(c.fields) & set(STAGES) and _really(c.fields)]
    if {(c.after or {}).get("area") for c in stamped} - {area}:
        raise me.fault(f"meant {area}, stamped {touched}", found)


def _really(fields: dict[str, tuple[object, object]]) -> bool:
    """Whether a stage got or lost its time."""
    return any(fields[name][0] != fields[name][1] for name in STAGES if name in fields)


async def penetrant_result(me: Machinist) -> None:
    """Clear is noted at the area that the question names, and at no other."""
    if not await to_screen(me, "Penetrant check", "PenetrantScreen"):
        return
    await me.press(*["down"] * me.die.randint(0, 3), steady=True)
    me.begin()
    await me.press(me.hands.key_of("result"), steady=True)
    asked = me.hands.find(r"What is seen at: (.+?)\?")
    if asked is None:
        me.nothing_changed("was not asked what is seen")
        return
    await me.at_the_same_time()
    await me.press("1", steady=True)
    found = me.changes()
    await out_of_popup(me, "PenetrantScreen")
    if not found:
        return
    me.only(found, "penetrant_check")
    seen = [(c.after or {}).get("area") for c in found if "result" in c.fields]
    if seen != [asked[1]] or found[0].fields["result"][1] != "clear":
        raise me.fault(f"clear was meant for {asked[1]}", found)
    me.memory.clear.add(asked[1])


async def penetrant_undo(me: Machinist) -> None:
    """The last stamp of the area that the screen names is taken back, no other area is touched."""
    if not await to_screen(me, "Penetrant check", "PenetrantScreen"):
        return
    await me.press(*["down"] * me.die.randint(0, 3), steady=True)
    me.begin()
    await me.press(me.hands.key_of("undo"), steady=True)
    await out_of_popup(me, "PenetrantScreen")
    found = me.changes()
    me.only(found, "penetrant_check")
    if any(c.before is None for c in found):
        raise me.fault("undo added a penetrant check", found)
    me.memory.clear -= {c.before["area"] for c in found if c.before and "result" in c.fields}


async def measure(me: Machinist) -> None:
    """Type the figure that the prompt asks for: it is stored there and nowhere else."""
    step, screen = me.die.choice(MEASURED)
    if me.hands.screen != screen:
        if step.isupper():
            await me.to_card()
            await me.press(me.hands.key_of("more"), steady=True)
            found = me.hands.find(rf"(\d) {step.capitalize()}")
            await me.press(found[1] if found else "escape", steady=True)
        else:
            await me.to_step(step)
    if me.hands.screen != screen:
        return
    where = me.hands.app.screen.here  # type: ignore[attr-defined]
    if where is None:
        return
    near = where.near_in or (2.0 if step in ("Coupling bore", "WEAR") else 0.5)
    text = f"{me.die.uniform(0.998, 1.002) * near:.4f}"
    me.begin()
    if not await me.number(text, lambda me: getattr(me.hands.app.screen, "here", None)):
        await _empty_field(me)
        return
    await me.press("enter", steady=True)
    found = me.changes()
    if not found:
        await _empty_field(me)
        return
    me.only(found, "measurement")
    rows = added(found, "measurement")
    if len(rows) != 1:
        raise me.fault("one figure was typed", found)
    row = rows[0]
    for name in ("subject", "what", "depth_in", "clock_deg"):
        if row[name] != getattr(where, name):
            raise me.fault(f"meant {where.subject} {where.what}, stored elsewhere", found)
    if row["raw"].split(" ")[0] != text:
        raise me.fault(f"typed {text}, stored {row['raw']}", found)


async def _empty_field(me: Machinist) -> None:
    for _ in range(20):
        field = getattr(me.hands.app.screen, "field", None)
        if field is None or not field.value:
            break
        await me.hands.press("backspace")
    if getattr(me.hands.app.screen, "question", None) is not None:
        await me.hands.press("escape")
        await _empty_field(me)


async def undo_measure(me: Machinist) -> None:
    """The last figure of this screen is taken back, nothing else."""
    if not await to_screen(me, "Coupling bore", "CouplingScreen"):
        return
    await _empty_field(me)
    me.begin()
    await me.press(me.hands.key_of("undo"), steady=True)
    found = me.changes()
    me.only(found, "measurement")
    gone = [c for c in found if c.before is not None]
    if len(gone) > 1 or any(set(c.fields) != {"replaced_by"} for c in gone):
        raise me.fault("undo of a figure changed more", found)


async def note(me: Machinist) -> None:
    """A note from wherever one is."""
    if me.hands.screen in ("BoardScreen", "AskScreen"):
        await me.to_card()
    me.begin()
    await me.press("f9", steady=True)
    if me.hands.screen != "NotesScreen":
        return
    text = f"note {len(me.memory.notes)}"
    await me.hands.type(text)
    await me.press("enter", steady=True)
    found = me.changes()
    me.only(found, "note")
    if [r["text"] for r in added(found, "note")] != [text]:
        raise me.fault(f"the note {text!r} is not what was stored", found)
    me.memory.notes.append(text)
    await me.hands.press("escape")
    me.begin()


async def look_about(me: Machinist) -> None:
    """Screens that are only looked at change nothing."""
    me.begin()
    for step in me.die.sample(("Release", "Repair or replace", "Hold check"), 2):
        await me.to_step(step)
        if me.hands.screen == "SweepSetupScreen":
            break
        await me.press(*me.die.choices(("up", "down", "pageup", "pagedown"), k=3), steady=True)
    await me.to_card()
    await me.press("f5", "escape", steady=True)
    me.nothing_changed("looked about")
