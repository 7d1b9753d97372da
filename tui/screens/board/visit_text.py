"""The visits of a shaft as rows of a list and as words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from core.base.counting import many
from core.base.shop_records import OPEN_STATES, Job, Note
from core.base.times import local_text
from core.base.units import (
    Unit,
    format_angle,
    format_clock,
    format_in_unit,
    format_length,
    length_unit,
)
from tui.widgets.chapters import ShownChapter
from tui.widgets.list_box import Column, ListRow

if TYPE_CHECKING:
    from core.bends.returning import PastBend
    from core.fitting.shaft.wear_job import WornPlace
    from core.jobs.visits import Returned, VisitSummary


def columns() -> tuple[Column, ...]:
    """Of the list of visits."""
    return (
        Column("Tag", 7),
        Column("Came in", 9),
        Column("Outcome", 8),
        Column("TIR", 6, right=True),
        Column("left", 5, right=True),
        Column("hits", 4, right=True),
        Column(f"Bends at, {length_unit()}", 18),
        Column("Complaint"),
    )


TO_KNOW = (
    "Causes by place, and two diameters as the reach of a bend, are common practice, no source. "
    "The interval of a bend says how well its place was read, not how long the bend is. F6, 1 lays "
    "the runout of then over that of now; on that picture F8 sees both as in the boat."
)


def row_of(job: Job, summary: VisitSummary | None, unit: Unit) -> ListRow:
    """One visit in a line; dots while it is being worked out."""
    figures: tuple[str, ...] = ("..", "..", "..", "..")
    if summary is not None:
        hits = len(summary.raw.hits_in)
        figures = (
            _tir(summary.came_tir_in, unit),
            _tir(summary.left_tir_in, unit),
            str(hits) if hits else "-",
            bends_at(summary),
        )
    day = local_text(job.opened_at, "%d %b %y")
    cells = (job.tag, day, job.state, *figures, job.complaint)
    return ListRow(job.id, cells, strong=job.state in OPEN_STATES)


def _tir(tir_in: float | None, unit: Unit) -> str:
    return "-" if tir_in is None else format_in_unit(tir_in, unit).split(" ")[0]


def bends_at(summary: VisitSummary) -> str:
    """Where it was bent when it came."""
    if summary.came_tir_in is None:
        return "-"
    return ", ".join(_place(bend) for bend in summary.visit.came) or "none"


def _place(bend: PastBend) -> str:
    x, u = bend.spot.station_in, bend.spot.u95_in
    if not bend.spot.spread:
        return format_length(x, 1, unit=False)
    return " to ".join(format_length(end, 0, unit=False) for end in (x - u, x + u))


def chapters_of(
    returned: Returned, places: Sequence[WornPlace], notes: Sequence[Note], unit: Unit
) -> list[ShownChapter]:
    """Everything about the last visit: itself, old places, wear, notes."""
    from core.bends.returning_text import compared_words, headline, sentences
    from core.fitting.shaft.wear_job import wear_lines, wear_verdict

    summary, raw = returned.summaries[-1], returned.raw
    worn = wear_lines(places, unit)
    itself = [*_itself(summary, unit), *([wear_verdict(places, unit)] if worn else [])]
    shown = [ShownChapter(f"{summary.visit.tag}: {_outcome(summary.raw.job)}", tuple(itself))]
    for one in returned.again:
        lines = sentences(one, raw.areas, raw.shaft.diameter_in)
        shown.append(ShownChapter(headline([one]), lines, "doubt"))
    if returned.earlier and not returned.again and summary.visit.came:
        words = "None of its bends lies at or beside a bend of an earlier visit."
        shown.append(ShownChapter("Other places than before", (words,)))
    if worn:
        shown.append(ShownChapter("Wear", worn))
    lost = compared_words(returned.earlier)
    if lost:
        shown.append(ShownChapter("Not compared", lost))
    if notes:
        lines = tuple(f"{local_text(n.at, '%d %b %Y')}  {n.text}" for n in notes[-6:])
        shown.append(ShownChapter(f"Notes ({len(notes)})", lines))
    shown.append(ShownChapter("To know", (TO_KNOW,)))
    return shown


def _outcome(job: Job) -> str:
    came = local_text(job.opened_at, "%d %b %Y")
    if job.closed_at:
        return f"{job.state} {local_text(job.closed_at, '%d %b %Y')}, came {came}"
    waiting = f" for {job.waiting_for}" if job.waiting_for else ""
    return f"{job.state}{waiting}, came {came}"


def _itself(summary: VisitSummary, unit: Unit) -> list[str]:
    lines = [said for said in (summary.raw.job.complaint, summary.raw.size_then) if said]
    if summary.came_tir_in is None:
        return [*lines, "Not swept to the end before anything was done to it."]
    bends = "; ".join(_bend_words(bend) for bend in summary.visit.came) or "none found"
    lines.append(f"Came with {format_in_unit(summary.came_tir_in, unit)} TIR. Bends: {bends}.")
    hits_in = summary.raw.hits_in
    return [*lines, hits_words(hits_in, summary.left_tir_in, unit)] if hits_in else lines


def hits_words(hits_in: Sequence[float], left_tir_in: float | None, unit: Unit) -> str:
    """How often and where a visit was hit, and what it left with."""
    where = ", ".join(format_length(x, 1, unit=False) for x in sorted(set(hits_in)))
    left = "" if left_tir_in is None else f"; left with {format_in_unit(left_tir_in, unit)}"
    return f"{many(len(hits_in), 'hit')}, at {where} {length_unit()}{left}."


def _bend_words(bend: PastBend) -> str:
    known = "" if bend.spot.spread else f" +- {format_length(bend.spot.u95_in, 2)}"
    side = format_clock(bend.high_side_rad)
    return (
        f"{_place(bend)} {length_unit()}{known} ({format_angle(bend.angle_rad)}, high side {side})"
    )


def clock_words(now: VisitSummary, then: VisitSummary) -> str:
    """Whether the clocks of two visits laid over each other mean the same."""
    from core.bends.returning import clock_doubt

    why = clock_doubt(now.visit, then.visit)
    if why:
        return f"The clocks cannot be compared: {why}."
    return "Clocks agree: the keyway lay at one clock both times. F8: as in the boat."
