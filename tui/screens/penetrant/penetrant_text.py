"""Words of the penetrant screen."""

from __future__ import annotations

from collections.abc import Sequence

from core.base.times import local_text
from core.base.units import format_length, in_shop_unit
from core.jobs.penetrant import AreaCheck, standard_of
from core.jobs.penetrant_actions import Stated
from core.penetrant.clock import SAFETY, Conditions, dwell_least_min
from tui.widgets.big_clock import clock_text
from tui.widgets.list_box import ListRow

START = "Clean, let the cleaner evaporate, put penetrant on."
URGENT = ("wipe", "look", "too late")


def verdict_words(spots: Sequence[AreaCheck]) -> str:
    """What can be said of the whole check, in one or two lines."""
    results = [spot.check for spot in spots if spot.check is not None]
    cracks = [spot.area.shown for spot in spots if spot.crack]
    if cracks:
        return f"STOP: crack at {', '.join(cracks)}. No straightening, no release."
    let_go = [in_shop_unit(c.area) for c in results if c.overrule_by]
    clear = sum(1 for s in spots if s.settled and s.check and s.check.result == "clear")
    if let_go:
        return f"Crack at {', '.join(let_go)}, let go on by a named person. {clear} areas clear."
    if spots and clear == len(spots):
        return f"NO CRACK SEEN: {clear} of {clear} areas clear."
    again = sum(spot.again for spot in spots)
    more = f", {again} to do again" if again else ""
    return f"Not finished: {clear} of {len(spots)} areas clear{more}."


def running_spot(spots: Sequence[AreaCheck], here: AreaCheck) -> AreaCheck | None:
    """The area whose clock is shown big: the one under the cursor, else the most urgent."""
    running = [
        s
        for s in spots
        if s.clock is not None and not s.settled and not s.again and s.stage != "done"
    ]
    running = [s for s in running if s.stage != "not started"]
    if here in running:
        return here
    return min(running, key=_urgency, default=None)


def _urgency(spot: AreaCheck) -> tuple[bool, float]:
    left = spot.clock.seconds_left if spot.clock is not None else None
    return spot.stage not in URGENT, left if left is not None else 0.0


def big_words(spot: AreaCheck | None) -> tuple[str, str]:
    """Digits of the big clock and what style they stand in."""
    if spot is None or spot.clock is None:
        return "", ""
    left = spot.clock.seconds_left
    style = "bad" if spot.stage == "too late" else "strong"
    return ("NOW" if left is None else clock_text(left)), style


def running_words(spot: AreaCheck | None, listed: Sequence[AreaCheck]) -> str:
    """What the big clock counts."""
    if spot is None or spot.clock is None:
        waits = any(one.stage == "not started" for one in listed)
        return "No clock runs." + (" F4 starts an area, F6 all of them." if waits else "")
    counts = {
        "dwell": "time left to dwell",
        "wipe": "time left to wipe off",
        "dry": "time left for the developer",
        "developing": "time until the look",
        "look": "time left to look",
        "too late": "too late by",
    }.get(spot.stage, "")
    timed = spot.clock.seconds_left is not None
    return f"{spot.area.shown}: {counts if timed and counts else spot.stage}"


def left_words(spot: AreaCheck) -> str:
    """Time left of the stage that runs, in minutes: the list is painted seldom."""
    clock = spot.clock
    if (
        clock is None
        or spot.settled
        or spot.again
        or clock.seconds_left is None
        or clock.seconds_left <= 0
    ):
        return ""
    return f"{clock.seconds_left / 60:.0f} min" if clock.seconds_left >= 60 else "< 1 min"


def row_of(spot: AreaCheck) -> ListRow:
    """One line of the list."""
    check = spot.check
    seen = check.result if check is not None else ""
    if check is not None and check.overrule_by:
        seen = "crack, let go"
    cells = (
        spot.area.shown,
        f"{format_length(spot.area.from_in, 1, unit=False)}-"
        f"{format_length(spot.area.to_in, 1, unit=False)}",
        "do again" if spot.again else spot.stage,
        left_words(spot),
        seen,
    )
    return ListRow(spot.area.name, cells, strong=spot.stage in URGENT or spot.crack or spot.again)


def now_words(spot: AreaCheck, by: str) -> str:
    """What to do at an area now, and under whose name it is noted."""
    say = spot.clock.say if spot.clock is not None else START
    if spot.crack:
        say = "A crack: the repair stops. F7 only for a person who answers for it."
    elif spot.again:
        say = f"Clean and do it again (F4): {spot.again_because.rstrip('.')}."
    who = f" Noted for {by}." if by and spot.stage != "done" else ""
    return f"NOW, {spot.area.shown}: {say}{who}"


def facts_words(spot: AreaCheck, now: Stated) -> str:
    """Why the area is looked at, what was noted, which times hold; then the cautions."""
    lines = [f"Why here: {spot.area.why}."]
    if spot.area.assumed:
        lines[0] += " Stations assumed from the diameter: no riding area of that kind is entered."
    lines += _noted(spot)
    lines += _times(spot, now)
    return "\n".join((" ".join(lines), " ".join(SAFETY)))


def _noted(spot: AreaCheck) -> list[str]:
    check = spot.check
    if check is None:
        return []
    said = []
    if check.result and check.inspected_at:
        said.append(f"Looked at {local_text(check.inspected_at, '%d %b %H:%M')} by {check.by}.")
    if check.overrule_by:
        said.append(f"Overruled by {check.overrule_by}: {check.overrule_reason}.")
    if check.notes:
        said.append(f"Note: {check.notes}.")
    return [" ".join(said)] if said else []


def _times(spot: AreaCheck, now: Stated) -> list[str]:
    """The times of the check that runs here, else those for the next one."""
    chosen, conditions = now.standard, Conditions(now.cold, now.short_dwell)
    check = spot.check
    if check is not None and check.penetrant_at and not spot.again:
        conditions = Conditions(check.cold, check.short_dwell)
        chosen = standard_of(check)
    develop = chosen.develop
    most = f" to {develop.most_min:g}" if develop.most_min else ""
    stated = (("cold shaft", conditions.cold), ("shorter dwell", conditions.short_dwell))
    words = [word for word, on in stated if on]
    said = f" ({', '.join(words)})" if words else ""
    dwell = f"dwell {dwell_least_min(chosen, conditions):g} min{said}"
    look = f"look {develop.least_min:g}{most} min after developer"
    source = chosen.dwell.source.removeprefix(chosen.name).strip()
    standing = "FROM MEMORY, not checked in print" if chosen.from_memory else source
    return [f"{chosen.name}: {dwell}, {look} ({standing})."]


def result_words(result: str, spot: AreaCheck) -> str:
    """What the message line says after a result."""
    name = spot.area.name
    if result == "crack":
        return f"Crack at {name}: the repair stops. Tell the owner. F5 takes a slip back."
    if result == "unclear":
        return f"{name}: clean it and do it again (F4)."
    return f"{name}: {spot.again_because}" if spot.again else f"{name}: clear."
