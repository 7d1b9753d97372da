"""What the penetrant screen works on: the areas of a shaft, each with its newest check."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.book import penetrant_checks, settings
from core.book.file import Book
from core.book.records import PenetrantCheck
from core.desk.penetrant_plan import planned_areas
from core.errors import ShaftlogError
from core.penetrant import Clock, Standard, standard
from core.penetrant_areas import CheckArea
from tui.penetrant_clock import clock_of

REMEMBERED = "penetrant standard"
"""What the shop's last choice of standard is remembered under."""
STAGES = {
    "not started": "penetrant_at",
    "dwell": "wiped_at",
    "wipe": "wiped_at",
    "dry": "developer_at",
}
"""The stamp that follows each stage of the clock."""
DONE_WORDS = {
    "penetrant_at": "Penetrant on",
    "wiped_at": "Wiped off",
    "developer_at": "Developer on",
}


@dataclass(frozen=True)
class Spot:
    """One area and where its check stands."""

    area: CheckArea
    check: PenetrantCheck | None
    clock: Clock | None
    """None = no check opened yet."""

    @property
    def stage(self) -> str:
        """Stage of the clock."""
        return self.clock.stage if self.clock is not None else "not started"

    @property
    def again(self) -> bool:
        """Whether this area has to be done again from the start."""
        check, clock = self.check, self.clock
        if check is None or clock is None:
            return False
        spoilt = clock.stage == "too late" or (bool(clock.warnings) and check.result != "crack")
        return spoilt or check.result == "unclear"

    @property
    def settled(self) -> bool:
        """Whether nothing more is to be done here."""
        check = self.check
        return check is not None and bool(check.result) and not self.again


def chosen_standard(book: Book, job_id: str) -> Standard:
    """The standard of the job's newest check, else the shop's last one."""
    checks = penetrant_checks.checks_of(book, job_id)
    name = checks[-1].standard if checks else str(settings.recall(book, REMEMBERED, "") or "")
    try:
        return standard(name)
    except ShaftlogError:
        return standard("")


def spots(book: Book, job_id: str, now: datetime) -> tuple[Spot, ...]:
    """Areas from the shaft's geometry and its hits, then any that were checked under old names."""
    planned = planned_areas(book, job_id)
    newest = {check.area: check for check in penetrant_checks.newest_checks(book, job_id)}
    names = {area.name for area in planned}
    extra = tuple(
        CheckArea(check.area, check.from_in, check.to_in, "checked before")
        for check in newest.values()
        if check.area not in names
    )
    return tuple(_spot(area, newest.get(area.name), now) for area in planned + extra)


def _spot(area: CheckArea, check: PenetrantCheck | None, now: datetime) -> Spot:
    return Spot(area, check, clock_of(check, now) if check is not None else None)


def begin(
    book: Book, job_id: str, chosen: Standard, some: tuple[Spot, ...], *, cold: bool, short: bool
) -> None:
    """Open checks for areas and stamp the penetrant on; one that was spoilt is closed first."""
    for spot in some:
        if spot.check is not None and not spot.check.result:
            penetrant_checks.set_result(
                book, spot.check.id, result="unclear", notes="not finished in time"
            )
    areas = [(spot.area.name, spot.area.from_in, spot.area.to_in) for spot in some]
    penetrant_checks.start_checks(
        book, job_id=job_id, standard=chosen.title, areas=areas, cold=cold, short_dwell=short
    )
    names = {spot.area.name for spot in some}
    opened = [
        check.id
        for check in penetrant_checks.newest_checks(book, job_id)
        if check.area in names and not check.result
    ]
    penetrant_checks.stage(book, opened, "penetrant_at")


def take_back(book: Book, check: PenetrantCheck) -> str:
    """Take the last stamp or result of a check back; what it was, in words."""
    if check.result:
        penetrant_checks.set_result(book, check.id, result="")
        return f"result '{check.result}'"
    for name in ("developer_at", "wiped_at", "penetrant_at"):
        if getattr(check, name):
            penetrant_checks.undo_stage(book, [check.id], name)
            return DONE_WORDS[name].lower()
    raise ShaftlogError("Nothing to take back at this area.")
