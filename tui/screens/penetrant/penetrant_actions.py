"""What the keys of the penetrant screen do with the book."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from core.base.errors import ShaftlogError
from core.base.records import PenetrantCheck
from core.book import penetrant_checks, settings
from core.book.connection import Book
from core.jobs.penetrant import AreaCheck
from core.penetrant.clock import Standard, standard

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
class Stated:
    """What holds for the areas begun from now on."""

    standard: Standard
    cold: bool = False
    short_dwell: bool = False


def stated(book: Book, job_id: str) -> Stated:
    """As said on this job; else the standard of its newest check, else the shop's last one."""
    kept = penetrant_checks.conditions_of(book, job_id)
    name = kept[-1].standard if kept else ""
    if not name:
        checks = penetrant_checks.checks_of(book, job_id)
        name = checks[-1].standard if checks else str(settings.recall(book, REMEMBERED, "") or "")
    try:
        chosen = standard(name)
    except ShaftlogError:
        chosen = standard("")
    return Stated(
        chosen,
        bool(kept) and kept[-1].cold and chosen.cold_times is not None,
        bool(kept) and kept[-1].short_dwell and chosen.short_dwell is not None,
    )


def choose_standard(book: Book, job_id: str, title: str) -> None:
    """Keep the choice for this job, and as the first offer for the next."""
    settings.remember(book, REMEMBERED, title)
    _keep(book, job_id, replace(stated(book, job_id), standard=standard(title)))


def switch(book: Book, job_id: str, name: str, some: Sequence[AreaCheck]) -> tuple[bool, int]:
    """Switch 'cold' or 'short_dwell', also for areas that dwell now; the new state, how many."""
    was = stated(book, job_id)
    chosen = was.standard
    if name == "cold" and chosen.cold_times is None:
        raise ShaftlogError(
            f"{chosen.name} gives no time for a cold shaft: warm it, or take another standard (F8)."
        )
    if name == "short_dwell" and chosen.short_dwell is None:
        raise ShaftlogError(f"{chosen.name} knows no shorter dwell. F8 chooses another standard.")
    on = not getattr(was, name)
    now = replace(was, cold=on) if name == "cold" else replace(was, short_dwell=on)
    dwelling = [
        spot.check.id
        for spot in some
        if spot.check is not None and spot.stage in ("dwell", "wipe") and not spot.again
    ]
    with book.write():
        _keep(book, job_id, now)
        penetrant_checks.set_conditions(book, dwelling, cold=now.cold, short_dwell=now.short_dwell)
    return bool(getattr(now, name)), len(dwelling)


def _keep(book: Book, job_id: str, now: Stated) -> None:
    penetrant_checks.state_condition(
        book, job_id, standard=now.standard.title, cold=now.cold, short_dwell=now.short_dwell
    )


def begin(book: Book, job_id: str, some: Sequence[AreaCheck], *, wet: bool = True) -> None:
    """Open checks for areas and stamp the penetrant on; one that was spoilt is closed first."""
    now = stated(book, job_id)
    areas = [(spot.area.name, spot.area.from_in, spot.area.to_in) for spot in some]
    with book.write():
        for spot in some:
            if spot.check is not None and spot.check.penetrant_at and not spot.check.result:
                penetrant_checks.set_result(
                    book, spot.check.id, result="unclear", notes="begun again before the look"
                )
        opened = penetrant_checks.start_checks(
            book, job_id=job_id, standard=now.standard.title, areas=areas,
            cold=now.cold, short_dwell=now.short_dwell,
        )  # fmt: skip
        if wet:
            names = {area[0] for area in areas}
            fresh = [c.id for c in opened if c.area in names and not c.result]
            penetrant_checks.stage(book, fresh, "penetrant_at")


def put_result(book: Book, job_id: str, spot: AreaCheck, result: str) -> None:
    """What was seen; a crack can be seen before any penetrant is on."""
    check = spot.check
    ready = check is not None and check.developer_at is not None
    if result != "crack" and not ready:
        raise ShaftlogError("Penetrant, wiping and developer come first (F4).")
    if check is None or (spot.again and check.result):
        begin(book, job_id, (spot,), wet=False)
        check = _open_check(book, job_id, spot.area.name)
    penetrant_checks.set_result(book, check.id, result=result)


def _open_check(book: Book, job_id: str, area: str) -> PenetrantCheck:
    every = penetrant_checks.checks_of(book, job_id)
    return next(c for c in reversed(every) if c.area == area and not c.result)


def take_back(book: Book, check: PenetrantCheck) -> str:
    """Take the last overrule, result or stamp of a check back; what it was, in words."""
    if check.overrule_by:
        penetrant_checks.withdraw_overrule(book, check.id)
        return f"the overrule by {check.overrule_by}; the crack stops the job again"
    if check.result:
        penetrant_checks.set_result(book, check.id, result="")
        return f"result '{check.result}'"
    for name in ("developer_at", "wiped_at", "penetrant_at"):
        if getattr(check, name):
            penetrant_checks.undo_stage(book, [check.id], name)
            return DONE_WORDS[name].lower()
    raise ShaftlogError("Nothing to take back at this area.")
