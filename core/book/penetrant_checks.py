"""Penetrant checks: one row for each area, with the moment of each stage."""

from __future__ import annotations

from collections.abc import Sequence

from core.base.penetrant_records import PenetrantCheck, PenetrantCondition
from core.book import rows
from core.book.audit import change, note_change
from core.book.connection import Book
from core.book.errors import Refused
from core.book.gate import check_record

STAGES = ("penetrant_at", "wiped_at", "developer_at", "inspected_at")


def start_checks(
    book: Book,
    *,
    job_id: str,
    standard: str,
    areas: Sequence[tuple[str, float, float]],
    cold: bool = False,
    short_dwell: bool = False,
) -> tuple[PenetrantCheck, ...]:
    """Open a check for each area (name, from, to in inches) that has none open yet.

    `cold`: the shaft is at 40 to 50 F; `short_dwell`: the standard's conditions for it are met.
    One that is open with no penetrant on yet takes over the standard and the conditions.
    """
    with book.write():
        waiting = {c.area: c for c in checks_of(book, job_id) if not c.result}
        stated = {"standard": standard, "cold": cold, "short_dwell": short_dwell}
        for area, from_in, to_in in areas:
            if area in waiting:
                if waiting[area].penetrant_at is None:
                    change(book, PenetrantCheck, waiting[area].id, stated)
            else:
                low, high = sorted((float(from_in), float(to_in)))
                waiting[area] = PenetrantCheck(
                    book.new_id(), job_id, standard, area, low, high,
                    cold=cold, short_dwell=short_dwell,
                )  # fmt: skip
                rows.insert(book, waiting[area])
    return checks_of(book, job_id)


def check(book: Book, check_id: str) -> PenetrantCheck:
    """The check with this id."""
    return rows.get(book, PenetrantCheck, check_id)


def checks_of(book: Book, job_id: str) -> tuple[PenetrantCheck, ...]:
    """All checks of a job in the order opened; an area done again has several."""
    return rows.select(book, PenetrantCheck, "job_id = ? ORDER BY id", (job_id,))


def newest_checks(book: Book, job_id: str) -> tuple[PenetrantCheck, ...]:
    """The check that counts for each area of a job: the last one (see `takes_over`)."""
    newest: dict[str, PenetrantCheck] = {}
    for later in checks_of(book, job_id):
        old = newest.get(later.area)
        if old is None or takes_over(
            (old.result, old.overrule_by), (later.result, later.penetrant_at)
        ):
            newest[later.area] = later
    return tuple(newest.values())


def takes_over(old: tuple[str, str], later: tuple[str, str | None]) -> bool:
    """Whether a later check of an area counts instead of the old one.

    `old`: result and who overruled it; `later`: result and moment of the penetrant. A crack counts
    until it is overruled, whatever a later check shows; a check taken back does not count.
    """
    result, overrule_by = old
    if result == "crack" and not overrule_by:
        return False
    return bool(later[0] or later[1])


def stage(
    book: Book, check_ids: Sequence[str], stage_name: str, *, by: str = "", at: str = ""
) -> str:
    """Stamp a stage ('penetrant_at', 'wiped_at', 'developer_at') of several areas in one act.

    `by`: who did it, '' = the name of the bench; `at`: when, '' = now. All areas of one act get the
    same moment, so that it can be taken back as a whole. A stamp that another bench has set
    already stays as it is.
    """
    if stage_name not in STAGES[:-1]:
        raise Refused(f"There is no stage {stage_name!r} of a penetrant check.")
    at = at or book.now()
    done = {stage_name: at, stage_name.replace("_at", "_by"): by.strip() or book.by}
    with book.write():
        for check_id in check_ids:
            if getattr(check(book, check_id), stage_name) is None:
                change(book, PenetrantCheck, check_id, done)
    return at


def state_condition(
    book: Book,
    job_id: str,
    *,
    standard: str,
    cold: bool,
    short_dwell: bool,
    by: str = "",
    check_ids: Sequence[str] = (),
) -> PenetrantCondition:
    """State standard and conditions of a job's check from now on, and of the checks named."""
    new = PenetrantCondition(
        book.new_id(), job_id, book.now(), by.strip() or book.by, standard, cold, short_dwell
    )
    with book.write():
        rows.insert(book, new)
        set_conditions(book, check_ids, cold=cold, short_dwell=short_dwell)
    return new


def conditions_of(book: Book, job_id: str) -> tuple[PenetrantCondition, ...]:
    """What was stated about a job's check, oldest first; the last one holds."""
    return rows.select(book, PenetrantCondition, "job_id = ? ORDER BY id", (job_id,))


def set_conditions(book: Book, check_ids: Sequence[str], *, cold: bool, short_dwell: bool) -> None:
    """Change the conditions of checks: cold shaft, shorter dwell allowed."""
    with book.write():
        for check_id in check_ids:
            changes = {"cold": cold, "short_dwell": short_dwell}
            change(book, PenetrantCheck, check_id, changes)


def undo_stage(book: Book, check_ids: Sequence[str], stage_name: str) -> None:
    """Take a stamp back."""
    with book.write():
        for check_id in check_ids:
            gone = {stage_name: None, stage_name.replace("_at", "_by"): ""}
            change(book, PenetrantCheck, check_id, gone)


def set_result(
    book: Book,
    check_id: str,
    *,
    result: str,
    notes: str | None = None,
    by: str = "",
    at: str | None = "",
) -> PenetrantCheck:
    """What was seen: 'clear', 'crack' or 'unclear' (''= take it back); notes None = as they are.

    `by`: who looked, '' = the name of the bench. An overrule belongs to the crack it let go on:
    another result takes it away (event kept).
    """
    at = (at or book.now()) if result else None
    with book.write():
        was = check(book, check_id)
        if result != "crack" and was.overrule_by:
            withdraw_overrule(book, check_id)
        return change(
            book,
            PenetrantCheck,
            check_id,
            {
                "result": result,
                "notes": was.notes if notes is None else notes,
                "inspected_at": at,
                "by": (by.strip() or book.by) if result else "",
            },
        )


def note_area(book: Book, check_id: str, notes: str) -> PenetrantCheck:
    """Where and how it shows, in words, beside the result."""
    return change(book, PenetrantCheck, check_id, {"notes": notes})


def overrule(book: Book, check_id: str, *, by: str, reason: str) -> PenetrantCheck:
    """A named person lets the job go on in spite of a crack, with a written reason."""
    if not by.strip() or not reason.strip():
        raise Refused("To go on with a crack, a name and a written reason are needed.")
    if check(book, check_id).result != "crack":
        raise Refused("No crack is noted at this area (any more): there is nothing to overrule.")
    return _set_overrule(book, check_id, by, reason)


def withdraw_overrule(book: Book, check_id: str) -> PenetrantCheck:
    """The crack stops the job again."""
    return _set_overrule(book, check_id, "", "")


def _set_overrule(book: Book, check_id: str, by: str, reason: str) -> PenetrantCheck:
    was = check(book, check_id)
    with book.write() as con:
        check_record(book, was)
        con.execute(
            "UPDATE penetrant_check SET overrule_by = ?, overrule_reason = ? WHERE id = ?",
            (rows.stored("by", by), rows.stored("overrule_reason", reason), check_id),
        )
        old = f"{was.overrule_by}: {was.overrule_reason}" if was.overrule_by else ""
        new = f"{by}: {reason}" if by else ""
        note_change(book, "penetrant_check", check_id, "overruled", old, new)
    return check(book, check_id)


def running(book: Book) -> tuple[PenetrantCheck, ...]:
    """Checks of open jobs with penetrant or developer on and no result: the running clocks."""
    found = rows.select(
        book,
        PenetrantCheck,
        "result = '' AND penetrant_at IS NOT NULL AND job_id IN "
        "(SELECT id FROM job WHERE closed_at IS NULL) ORDER BY penetrant_at, id",
    )
    counts = {c.id for job_id in {c.job_id for c in found} for c in newest_checks(book, job_id)}
    return tuple(c for c in found if c.id in counts)
