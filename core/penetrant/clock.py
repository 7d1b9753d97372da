"""Penetrant check: where to look, and how long each stage must wait.

Times come from `core/tables/dye_penetrant.csv`, one selectable standard each; a figure from memory
says so. The stage clock is pure: moments of the stages and the moment now go in, the stage, the
time left and what went wrong come out, so that it survives a restart and can be tested.

    penetrant on -> dwell -> wipe off -> dry -> developer on -> develop -> look -> done

This tool keeps the time; it does not replace the standard, the maker's sheet or a qualified
inspector.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

from core.base.errors import ShaftlogError
from core.tables.reader import Row, number, read_table

SAFETY = (
    "Solvent and penetrant burn, their fumes harm: open doors, no flame, heater or grinding near.",
    "Gloves and glasses; soaked rags into a closed metal can.",
    "Never heat a spot until the penetrant is cleaned off and dry.",
)
COLD_F = (40.0, 50.0)
"""A cold shaft, F: ASME V Article 6 as quoted on an inspection web page."""
LONGEST_DWELL_MIN = 90.0
"""Where a standard names no longest dwell: after this the penetrant has dried and must be cleaned
off and put on again. Common practice, no source."""
CLOSING_SOON_MIN = 5.0
"""The bell also rings this long before a window closes. Common practice, no source."""


@dataclass(frozen=True)
class Times:
    """One time of a standard, minutes."""

    least_min: float
    most_min: float | None
    applies_to: str
    status: str
    source: str

    @property
    def from_memory(self) -> bool:
        """True when it could not be checked against print."""
        return "memory" in self.status


@dataclass(frozen=True)
class Standard:
    """What one standard asks for."""

    name: str
    method: str
    dwell: Times
    develop: Times
    """From the developer (dried, where the standard says so) to the look."""
    dry: Times | None
    """From wiping to the developer."""
    short_dwell: Times | None
    """Dwell allowed under the conditions it names."""
    cold_times: float | None
    """Dwell is multiplied by this in the range `COLD_F`; None = nothing said."""
    said: tuple[str, ...]
    """Everything else it asks, with its source."""

    @property
    def from_memory(self) -> bool:
        """True when a time used by the clock could not be checked against print."""
        return self.dwell.from_memory or self.develop.from_memory

    @property
    def title(self) -> str:
        """Name and method, as kept with a check."""
        return f"{self.name}, {self.method}"


@cache
def standards() -> tuple[Standard, ...]:
    """All standards, those read in print first: the first is the one to start with."""
    names = dict.fromkeys(row["standard"] for row in read_table("dye_penetrant"))
    return tuple(_standard(name) for name in names if name != "any")


def standard(name: str) -> Standard:
    """A standard by name or title; the first one when nothing is chosen."""
    wanted = name.strip().casefold()
    for found in standards():
        if not wanted or wanted in (found.name.casefold(), found.title.casefold()):
            return found
    known = "; ".join(s.name for s in standards())
    raise ShaftlogError(f"No times known for the standard '{name}'. Choose one of: {known}.")


def _standard(name: str) -> Standard:
    rows = {row["item"]: row for row in read_table("dye_penetrant") if row["standard"] == name}

    def times(item: str) -> Times | None:
        row = rows.get(item)
        if row is None:
            return None
        least, most = number(row, "low") or 0.0, number(row, "high")
        return Times(least, most, row["applies_to"], row["status"], row["source"])

    dwell, develop = times("dwell"), times("develop")
    if dwell is None or develop is None:
        raise ShaftlogError(f"The table of penetrant times is not complete for {name}.")
    cold = rows.get("cold")
    return Standard(
        name=name,
        method=rows["title"]["applies_to"],
        dwell=dwell,
        develop=develop,
        dry=times("dry"),
        short_dwell=times("dwell_short"),
        cold_times=number(cold, "low") if cold else None,
        said=tuple(_said(item, row) for item, row in rows.items() if item != "title"),
    )


_WORDS = {
    "dwell": "Penetrant dwell",
    "dwell_short": "Shorter dwell",
    "dry": "Drying before the developer",
    "develop": "Look",
    "evaporate": "Evaporation after cleaning",
    "margin": "Margin",
    "cold": "Cold shaft",
    "temperature": "Temperature",
    "light": "Light",
}


def _said(item: str, row: Row) -> str:
    low, high, unit = row["low"], row["high"], row["unit"]
    figure = f"{low} to {high} {unit}" if low and high else f"at least {low} {unit}"
    if item == "dry":
        figure = f"at most {high} {unit}"
    if item == "cold":
        figure = f"{low} times the dwell"
    source = "from memory, not checked" if "memory" in row["status"] else row["source"]
    about = f", {row['applies_to']}" if row["applies_to"] else ""
    return f"{_WORDS[item]}: {figure}{about} ({source})."


@dataclass(frozen=True)
class Stamps:
    """When each stage of one area happened; None = not yet."""

    penetrant_at: datetime | None = None
    wiped_at: datetime | None = None
    developer_at: datetime | None = None
    inspected_at: datetime | None = None


@dataclass(frozen=True)
class Conditions:
    """What the shop states about this check."""

    cold: bool = False
    """Shaft in the range `COLD_F`."""
    short_dwell: bool = False
    """The conditions for the shorter dwell are met."""


AS_USUAL = Conditions()


@dataclass(frozen=True)
class Bell:
    """A moment to ring, and why."""

    at: datetime
    say: str


@dataclass(frozen=True)
class Clock:
    """The stage that one area has reached."""

    stage: str
    """'not started', 'dwell', 'wipe', 'dry', 'developing', 'look', 'too late' or 'done'."""
    say: str
    seconds_left: float | None
    """To the end of the wait, or of the time allowed; None = nothing runs."""
    next_bell: Bell | None
    warnings: tuple[str, ...]
    """What was done too early or too late; such an area must be done again."""


def dwell_least_min(chosen: Standard, conditions: Conditions = AS_USUAL) -> float:
    """Least dwell, minutes, under the conditions stated."""
    least = chosen.dwell.least_min
    if conditions.short_dwell and chosen.short_dwell is not None:
        least = chosen.short_dwell.least_min
    if conditions.cold and chosen.cold_times is not None:
        least *= chosen.cold_times
    return least


def bells(chosen: Standard, stamps: Stamps, conditions: Conditions = AS_USUAL) -> tuple[Bell, ...]:
    """Every moment the bell rings for the stage that runs, in order."""
    if stamps.inspected_at is not None or stamps.penetrant_at is None:
        return ()
    if stamps.developer_at is not None:
        return _window(
            stamps.developer_at,
            (chosen.develop.least_min, chosen.develop.most_min),
            ("look now", "the time to look ends soon", "too late to look: do it again"),
        )
    if stamps.wiped_at is not None:
        most = chosen.dry.most_min if chosen.dry else None
        closing = ("developer on now", "developer on: the surface has waited too long")
        return _window(stamps.wiped_at, (None, most), ("", *closing))
    least = dwell_least_min(chosen, conditions)
    return _window(
        stamps.penetrant_at,
        (least, chosen.dwell.most_min),
        ("dwell is over: wipe off", "wipe off soon", "dwell too long: clean and do it again"),
    )


def clock(
    chosen: Standard, stamps: Stamps, now: datetime, conditions: Conditions = AS_USUAL
) -> Clock:
    """The stage of one area at the moment `now`."""
    warned = _warnings(chosen, stamps, conditions)
    ahead = tuple(b for b in bells(chosen, stamps, conditions) if b.at > now)
    following = ahead[0] if ahead else None

    def at(stage: str, say: str, until: datetime | None) -> Clock:
        left = (until - now).total_seconds() if until is not None else None
        return Clock(stage, say, left, following, warned)

    if stamps.inspected_at is not None:
        return at("done", "Looked at.", None)
    if stamps.penetrant_at is None:
        return at("not started", "Clean, let the cleaner evaporate, put penetrant on.", None)
    if stamps.developer_at is not None:
        ready, closes = _span(stamps.developer_at, chosen.develop)
        if now < ready:
            return at("developing", "Wait, then look.", ready)
        if closes is not None and now > closes:
            return at("too late", "Too late to look: clean and do this area again.", closes)
        return at("look", "Look now, under good light.", closes)
    if stamps.wiped_at is not None:
        closes = _span(stamps.wiped_at, chosen.dry)[1] if chosen.dry else None
        if closes is not None and now > closes:
            return at("too late", "Waited too long for developer: do this area again.", closes)
        return at("dry", "Let it dry, then developer on.", closes)
    ready = stamps.penetrant_at + timedelta(minutes=dwell_least_min(chosen, conditions))
    closes = _span(stamps.penetrant_at, chosen.dwell)[1]
    if now < ready:
        return at("dwell", "Keep it wet.", ready)
    longest = closes or stamps.penetrant_at + timedelta(minutes=LONGEST_DWELL_MIN)
    if now > longest:
        return at("too late", "Dwelt too long: clean and do this area again.", longest)
    return at("wipe", "Wipe off, never spray: dry cloth, then one damp with solvent.", closes)


def _span(start: datetime, times: Times) -> tuple[datetime, datetime | None]:
    most = times.most_min
    closes = None if most is None else start + timedelta(minutes=most)
    return start + timedelta(minutes=times.least_min), closes


def _window(
    start: datetime, minutes: tuple[float | None, float | None], say: tuple[str, str, str]
) -> tuple[Bell, ...]:
    """Bells at the opening, shortly before the closing and at the closing of a window."""
    opens, closes = minutes
    found = [] if opens is None else [Bell(start + timedelta(minutes=opens), say[0])]
    if closes is not None:
        if closes - (opens or 0.0) > CLOSING_SOON_MIN:
            found.append(Bell(start + timedelta(minutes=closes - CLOSING_SOON_MIN), say[1]))
        found.append(Bell(start + timedelta(minutes=closes), say[2]))
    return tuple(found)


def _warnings(chosen: Standard, stamps: Stamps, conditions: Conditions) -> tuple[str, ...]:
    steps = (
        ("dwell", "wiped", stamps.penetrant_at, stamps.wiped_at, chosen.dwell),
        ("drying", "developer put on", stamps.wiped_at, stamps.developer_at, chosen.dry),
        ("developing", "looked at", stamps.developer_at, stamps.inspected_at, chosen.develop),
    )
    said = []
    for name, did, start, stop, times in steps:
        if start is None or stop is None:
            continue
        took = (stop - start).total_seconds() / 60
        if took < 0:
            said.append(f"The times are out of order: {did} before {name} began. Check the clock.")
            continue
        if times is None:
            continue
        least, most = times.least_min, times.most_min
        if name == "dwell":
            least, most = dwell_least_min(chosen, conditions), most or LONGEST_DWELL_MIN
        if took < least:
            said.append(f"{did.capitalize()} after {took:.0f} of {least:.0f} min: do it again.")
        elif most is not None and took > most:
            said.append(f"{did.capitalize()} after {took:.0f} min, at most {most:.0f}: again.")
    return tuple(said)
