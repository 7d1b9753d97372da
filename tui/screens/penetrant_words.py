"""Words of the penetrant screen."""

from __future__ import annotations

from collections.abc import Sequence

from core.penetrant import Standard
from tui.screens.penetrant_desk import Spot


def verdict_words(spots: Sequence[Spot]) -> str:
    """What can be said of the whole check, in one or two lines."""
    results = [spot.check for spot in spots if spot.check is not None]
    cracks = [c.area for c in results if c.result == "crack" and not c.overrule_by]
    if cracks:
        return f"STOP: crack at {', '.join(cracks)}. No straightening, no release."
    let_go = [c.area for c in results if c.overrule_by]
    clear = sum(1 for s in spots if s.settled and s.check and s.check.result == "clear")
    if let_go:
        return f"Crack at {', '.join(let_go)}, let go on by a named person. {clear} areas clear."
    if spots and clear == len(spots):
        return f"NO CRACK SEEN: {clear} of {clear} areas clear."
    again = sum(spot.again for spot in spots)
    more = f", {again} to do again" if again else ""
    return f"Not finished: {clear} of {len(spots)} areas clear{more}."


def left_words(spot: Spot) -> str:
    """Time left of the stage that runs: m:ss."""
    clock = spot.clock
    if clock is None or spot.settled or clock.seconds_left is None or clock.seconds_left <= 0:
        return ""
    minutes, seconds = divmod(int(clock.seconds_left), 60)
    return f"{minutes}:{seconds:02d}"


def facts_words(
    spot: Spot, chosen: Standard, safety: Sequence[str], *, cold: bool, short: bool
) -> str:
    """What to do at an area, why it is looked at, which times hold, the cautions."""
    clock = spot.clock
    say = clock.say if clock is not None else "Clean, let the cleaner evaporate, put penetrant on."
    if spot.again:
        say = "Clean it and do it again from the start (F4)."
    lines = [f"NOW: {say}  ({spot.area.why})"]
    if spot.area.assumed:
        lines.append("Stations assumed from the diameter: no riding area says where it is.")
    if clock is not None:
        lines += clock.warnings[:2]
    dwell, develop = chosen.dwell, chosen.develop
    most = f" to {develop.most_min:g}" if develop.most_min else ""
    memory = "  FROM MEMORY, not checked against print." if chosen.from_memory else ""
    states = [word for word, on in (("cold shaft", cold), ("shorter dwell", short)) if on]
    said = f"  Stated: {', '.join(states)}." if states else ""
    lines.append(
        f"{chosen.name}: dwell {dwell.least_min:g} min, look {develop.least_min:g}{most} min after "
        f"the developer.{memory}{said}"
    )
    lines += safety
    return "\n".join(lines)


def result_words(result: str, spot: Spot) -> str:
    """What the message line says after a result."""
    name = spot.area.name
    if result == "crack":
        return (
            f"Crack at {name}: the repair stops here. Tell the owner; F12 only for a named person "
            "who answers for it."
        )
    if result == "unclear":
        return f"{name}: clean it and do it again (F4)."
    warned = spot.clock.warnings if spot.clock is not None else ()
    return f"{name}: {warned[-1]}" if warned else f"{name}: clear."
