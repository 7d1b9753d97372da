"""What is done at a penetrant check: stages, results, conditions, and taking them back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from core.base.errors import ShaftlogError
from core.base.penetrant_records import PenetrantCheck
from core.book import jobs, penetrant_checks, settings
from core.book.connection import Book
from core.book.errors import Overtaken
from core.jobs.penetrant import AreaCheck
from core.penetrant.clock import Standard, standard

PENETRANT_STANDARD = "penetrant standard"
"""What the shop's last choice of standard is remembered under."""
BEGUN_AGAIN = "begun again before the look"
"""Note of a check that was closed because its area was begun again."""
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
        name = checks[-1].standard if checks else shop_standard(book)
    try:
        chosen = standard(name)
    except ShaftlogError:
        chosen = standard("")
    return Stated(
        chosen,
        bool(kept) and kept[-1].cold and chosen.cold_times is not None,
        bool(kept) and kept[-1].short_dwell and chosen.short_dwell is not None,
    )


def shop_standard(book: Book) -> str:
    """The standard in the shop's settings, else the one chosen last; '' = none yet."""
    typed = settings.load(book).penetrant_standard
    return typed or str(settings.recall(book, PENETRANT_STANDARD, "") or "")


def choose_standard(book: Book, job_id: str, title: str) -> None:
    """Keep the choice for this job, and as the first offer for the next."""
    settings.remember(book, PENETRANT_STANDARD, title)
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
    cold = not was.cold if name == "cold" else was.cold
    short_dwell = not was.short_dwell if name == "short_dwell" else was.short_dwell
    now = Stated(chosen, cold, short_dwell)
    dwelling = [
        spot.check.id
        for spot in some
        if spot.check is not None and spot.stage in ("dwell", "wipe") and not spot.again
    ]
    _keep(book, job_id, now, dwelling)
    return bool(getattr(now, name)), len(dwelling)


def _keep(book: Book, job_id: str, now: Stated, check_ids: Sequence[str] = ()) -> None:
    """Store what is stated, with who stated it and when, also for checks under way."""
    penetrant_checks.state_condition(
        book,
        job_id,
        standard=now.standard.title,
        cold=now.cold,
        short_dwell=now.short_dwell,
        by=worker_of(book, job_id),
        check_ids=check_ids,
    )


def begin(
    book: Book,
    job_id: str,
    some: Sequence[AreaCheck],
    *,
    wet: bool = True,
    listed: Sequence[AreaCheck] = (),
) -> None:
    """Open checks for areas and stamp the penetrant on; one that was spoilt is closed first.

    `listed`: all areas on the screen. Those to be looked at before pressing get an open check too,
    so that every screen counts them from now on.
    """
    now = stated(book, job_id)
    at = book.now()
    by = worker_of(book, job_id)
    places = [one for one in listed if one.area.before_hits and one.check is None]
    areas = [(one.area.name, one.area.from_in, one.area.to_in) for one in (*some, *places)]
    with book.write():
        for spot in some:
            if spot.wet and spot.check is not None:
                penetrant_checks.set_result(
                    book, spot.check.id, result="unclear", notes=BEGUN_AGAIN, by=by, at=at
                )
        opened = penetrant_checks.start_checks(
            book, job_id=job_id, standard=now.standard.title, areas=areas,
            cold=now.cold, short_dwell=now.short_dwell,
        )  # fmt: skip
        if wet:
            names = {spot.area.name for spot in some}
            fresh = [c.id for c in opened if c.area in names and not c.result]
            penetrant_checks.stage(book, fresh, "penetrant_at", by=by, at=at)


def worker_of(book: Book, job_id: str) -> str:
    """Who works on this job; '' = nobody named (the bench is then noted)."""
    return jobs.job(book, job_id).worker


@dataclass(frozen=True)
class StageDone:
    """One act: the same stage at one or more areas."""

    stamp: str
    """'penetrant_at', 'wiped_at' or 'developer_at'."""
    areas: tuple[str, ...]
    left_out: tuple[str, ...] = ()
    """Areas at this stage that are not due yet, each with the time left."""


def stamp_due(book: Book, job_id: str, here: AreaCheck, listed: Sequence[AreaCheck]) -> StageDone:
    """The next stage at every area that waits for the same one as `here` and is due; the others
    are named, not stamped. From a finished `here` the first that is not finished is taken. Raises
    when none is due."""
    waiting = (_stamp_or_none(one) for one in (here, *listed))
    stamp = next((found for found in waiting if found), "") or next_stamp(here)
    alike = [one for one in listed if not one.crack and _stamp_or_none(one) == stamp]
    due = [one for one in alike if one.due]
    early = tuple(f"{one.area.shown} ({_minutes_left(one)})" for one in alike if not one.due)
    if not due:
        raise ShaftlogError(f"Not due yet: {', '.join(early)}. F4 stamps one that was done early.")
    return replace(stamp_some(book, job_id, due, listed), left_out=early)


def stamp_some(
    book: Book, job_id: str, some: Sequence[AreaCheck], listed: Sequence[AreaCheck]
) -> StageDone:
    """The next stage at these areas in one act; all must wait for the same one."""
    stamp = next_stamp(some[0])
    with book.write():
        for one in some:
            check_as_seen(book, job_id, one)
        if stamp == "penetrant_at":
            begin(book, job_id, some, listed=listed)
        else:
            ids = [one.check.id for one in some if one.check is not None]
            penetrant_checks.stage(book, ids, stamp, by=worker_of(book, job_id))
    return StageDone(stamp, tuple(one.area.shown for one in some))


def next_stamp(one: AreaCheck) -> str:
    """The stamp that an area waits for; raises in words where there is none."""
    if one.crack:
        raise ShaftlogError("A crack is noted here: F5 takes a slip back, F7 overrules it.")
    if one.again:
        return "penetrant_at"
    if one.settled:
        raise ShaftlogError("This area is finished. F7 does it again, F5 takes it back.")
    stamp = STAGES.get(one.stage)
    if stamp is None:
        raise ShaftlogError("Nothing more to put on: F12 says what was seen.")
    return stamp


def _stamp_or_none(one: AreaCheck) -> str | None:
    try:
        return next_stamp(one)
    except ShaftlogError:
        return None


def _minutes_left(one: AreaCheck) -> str:
    left = one.clock.seconds_left if one.clock is not None else None
    return f"{(left or 0.0) / 60:.0f} min left"


def put_result(book: Book, job_id: str, spot: AreaCheck, result: str) -> None:
    """What was seen; a crack can be seen before any penetrant is on."""
    check = spot.check
    ready = check is not None and check.developer_at is not None
    if result != "crack" and not ready:
        raise ShaftlogError("Penetrant, wiping and developer come first (F4).")
    with book.write():
        check_as_seen(book, job_id, spot)
        if check is None or (spot.again and check.result):
            begin(book, job_id, (spot,), wet=False)
            check = _open_check(book, job_id, spot.area.name)
        by = worker_of(book, job_id)
        penetrant_checks.set_result(book, check.id, result=result, by=by)


def check_as_seen(book: Book, job_id: str, spot: AreaCheck) -> None:
    """Raise `Overtaken` when another bench has stamped this area, or noted what it saw, since."""
    held = {c.area: c for c in penetrant_checks.newest_checks(book, job_id)}.get(spot.area.name)
    if held is None or (spot.check is not None and _acts(held) == _acts(spot.check)):
        return
    if spot.check is None and not held.penetrant_at and not held.result:
        return
    last = _last_stamp(held)
    what = held.result or (DONE_WORDS[last[0]].lower() if last else "taken back")
    raise Overtaken(
        f"Another bench was at {spot.area.shown} meanwhile: {what}. Nothing is noted: look at it, "
        "then press the key again."
    )


def _acts(check: PenetrantCheck) -> tuple[object, ...]:
    """What was done at an area and seen there."""
    stamps = tuple(getattr(check, name) for name in DONE_WORDS)
    return (check.id, *stamps, check.result, check.overrule_by)


def _open_check(book: Book, job_id: str, area: str) -> PenetrantCheck:
    every = penetrant_checks.checks_of(book, job_id)
    return next(c for c in reversed(every) if c.area == area and not c.result)


def take_back(book: Book, check: PenetrantCheck) -> str:
    """Take the last act at this area back, as a whole: what it did at other areas too.

    An overrule or a result belongs to one area. A stage stamped at several areas in one act has
    the same moment at all of them. Returns what was taken back, in words.
    """
    if check.overrule_by:
        penetrant_checks.withdraw_overrule(book, check.id)
        return f"the overrule by {check.overrule_by}; the crack stops the job again"
    if check.result:
        penetrant_checks.set_result(book, check.id, result="")
        return f"result '{check.result}'"
    for name in reversed(DONE_WORDS):
        at = getattr(check, name)
        if at:
            every = penetrant_checks.checks_of(book, check.job_id)
            same = [c for c in every if _last_stamp(c) == (name, at)]
            with book.write():
                penetrant_checks.undo_stage(book, [c.id for c in same], name)
                for one in every:
                    if one.inspected_at == at and one.notes == BEGUN_AGAIN:
                        penetrant_checks.set_result(book, one.id, result="", notes="")
            count = f" at {len(same)} areas" if len(same) > 1 else ""
            return f"{DONE_WORDS[name].lower()}{count}"
    raise ShaftlogError("Nothing to take back at this area.")


def _last_stamp(check: PenetrantCheck) -> tuple[str, str] | None:
    """The stage stamped last at a check without a result, with its moment."""
    if check.result:
        return None
    stamps = ((name, getattr(check, name)) for name in reversed(DONE_WORDS))
    return next(((name, at) for name, at in stamps if at), None)
