"""What is done with hits on a job: note, correct, take back, start the quick check.

The rules are here and not in the screens: who may hit, to which round a hit belongs, what a bench
must hear when another bench noted a hit in the meantime, what a quick check copies. Lengths
inches, angles radians.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, degrees, radians

from core.base.errors import ShaftlogError
from core.base.records import FULL_SWEEPS, Hit, Sweep
from core.base.times import just_before, local_text, moment
from core.base.units import format_angle, format_dial, format_length
from core.book import history, hits, jobs, sweeps
from core.book.connection import Book
from core.jobs import facts
from core.jobs.heat.cooling import check_cold, cold_rule
from core.jobs.heat.plan import spoilt_refusal
from core.jobs.penetrant import heat_refusal
from core.jobs.rounds import check_after
from core.jobs.straightening import (
    HitToMake,
    RawJob,
    check_stations_in,
    on_taper,
    read_rounds,
)
from core.straightening.history import RepairHistory

MOST_LEFT_RAD = 0.1
"""The most a stroke can be said to have left: far over any that straightens. Ours, no source."""
HITS_CLOSED = "This job is closed: its hits can be read, not changed."
NEAR_CHOSEN_IN = 1.0
NEAR_CHOSEN_RAD = radians(20.0)
"""A hit planned again this near the one chosen before is that hit. Common practice, no source."""
CRACK = "A crack was found: no hit until it is overruled in writing."


class HitsChanged(ShaftlogError):
    """Another bench noted or took back hits since the round was shown; nothing was stored."""

    def __init__(self, newer: Sequence[Hit]) -> None:
        self.newer = tuple(newer)
        named = "; ".join(
            f"{format_length(made.station_in, 2)}, clock {made.clock_deg:.0f}, at "
            f"{local_text(made.at, '%H:%M:%S')} by {made.by or 'another bench'}"
            for made in self.newer
        )
        said = f"noted a hit since: {named}" if named else "took a hit back since"
        super().__init__(f"Another bench {said}.")


@dataclass(frozen=True)
class HitEntry:
    """A hit as it is noted. What nobody read is None."""

    station_in: float
    high_side_rad: float
    asked_rad: float
    method: str = "press"
    load_lbf: float | None = None
    travel_in: float | None = None
    stays_in: float | None = None
    temperature_f: float | None = None
    blocks_in: float | None = None
    diameter_in: float | None = None
    spot_length_in: float | None = None
    spot_arc_rad: float | None = None
    notes: str = ""
    by: str = ""
    """Who made it; '' = the name of the bench."""
    at: str = ""
    """When it was made, as stored; '' = now."""
    overrule_by: str = ""
    overrule_reason: str = ""

    def columns(self) -> dict[str, object]:
        """The fields as the book stores them: the clock in degrees as a number; figures of the
        press only with the press, the temperature only with heat."""
        press = self.method == "press"
        return {
            "method": self.method,
            "station_in": self.station_in,
            "clock_deg": degrees(self.high_side_rad) % 360,
            "angle_rad": self.asked_rad,
            "load_lbf": self.load_lbf if press else None,
            "travel_in": self.travel_in if press else None,
            "blocks_in": self.blocks_in if press else None,
            "stays_in": self.stays_in if press else None,
            "temperature_f": None if press else self.temperature_f,
            "diameter_in": self.diameter_in,
            "spot_length_in": None if press else self.spot_length_in,
            "spot_arc_deg": None
            if press or self.spot_arc_rad is None
            else degrees(self.spot_arc_rad),
            "notes": self.notes,
        }


@dataclass(frozen=True)
class HitPlace:
    """Where a planned hit is, to find it again in a plan that was worked out once more."""

    station_in: float
    high_side_rad: float

    def index_in(self, plan: Sequence[HitToMake]) -> int | None:
        """Index of the hit at this place, the nearest one; None = it is no longer planned."""
        near = [
            (abs(planned.hit.station_in - self.station_in), at)
            for at, planned in enumerate(plan)
            if abs(planned.hit.station_in - self.station_in) <= NEAR_CHOSEN_IN
            and cos(planned.hit.high_side_rad - self.high_side_rad) >= cos(NEAR_CHOSEN_RAD)
        ]
        return min(near)[1] if near else None


def place_of(planned: HitToMake) -> HitPlace:
    """The place of a planned hit."""
    return HitPlace(planned.hit.station_in, planned.hit.high_side_rad)


def as_planned_entry(planned: HitToMake, raw: RawJob) -> HitEntry:
    """A planned hit as it is noted when it was made as planned: no figure that nobody read."""
    return HitEntry(
        planned.hit.station_in,
        planned.hit.high_side_rad,
        planned.hit.ask_for_rad,
        blocks_in=raw.blocks_in,
        diameter_in=None if on_taper(planned.hit.station_in, raw) else raw.shaft.diameter_in,
        by=raw.worker,
    )


def entry_of(made: Hit) -> HitEntry:
    """A recorded hit as an entry, to correct it."""
    return HitEntry(
        made.station_in,
        radians(made.clock_deg),
        made.angle_rad,
        made.method,
        made.load_lbf,
        made.travel_in,
        made.stays_in,
        made.temperature_f,
        made.blocks_in,
        made.diameter_in,
        made.spot_length_in,
        None if made.spot_arc_deg is None else radians(made.spot_arc_deg),
        made.notes,
        made.by,
    )


def check_may_hit(book: Book, job_id: str) -> None:
    """Raise in words when no hit may be noted on this job."""
    if jobs.job(book, job_id).closed_at is not None:
        raise ShaftlogError(HITS_CLOSED)
    if facts.facts_of(book, job_id).cracks:
        raise ShaftlogError(CRACK)


def half_read_sweep(book: Book, job_id: str) -> tuple[Sweep, int] | None:
    """The sweep in hand with its number of readings, if it has any: a hit made in the middle of it
    spoils it, so the person is asked when the hit was made (`before_sweep` or now)."""
    now = facts.facts_of(book, job_id)
    if not now.sweep_in_hand or not now.readings_in_hand:
        return None
    return sweeps.sweep(book, now.sweep_in_hand), now.readings_in_hand


def before_sweep(begun: Sweep) -> str:
    """The moment of a hit that was made before a sweep was begun, as stored."""
    return just_before(begun.started_at)


def next_round(raw: RawJob) -> int:
    """Number of the round a hit made now belongs to: the last one until something was read."""
    if not raw.rounds:
        return 1
    last = raw.rounds[-1]
    return last.number if last.check is None and last.sweep is None else last.number + 1


def check_stays(stays_in: float | None, blocks_in: float | None) -> None:
    """Refuse what no stroke leaves: a figure typed in another unit, or the load in its place."""
    if stays_in is None or blocks_in is None:
        return
    left_rad = 4 * abs(stays_in) / blocks_in  # a kink half way between the blocks
    if left_rad > MOST_LEFT_RAD:
        raise ShaftlogError(
            f"The dial cannot stay at {format_dial(stays_in)}: that is a bend of "
            f"{format_angle(left_rad, 0)} between blocks {format_length(blocks_in, 1)} apart. "
            "Type what the dial under the ram shows after release."
        )


def note_hit(
    book: Book, job_id: str, entry: HitEntry, *, seen: Sequence[str], confirmed: bool = False
) -> Hit:
    """Store a hit.

    `seen`: ids of the hits that counted when the bench was shown what it notes. If they are others
    now, `HitsChanged` is raised and nothing is stored, unless the person has `confirmed` that this
    is one more hit.
    """
    with book.write():
        check_may_hit(book, job_id)
        _check_heat(book, job_id, entry)
        check_stays(entry.stays_in, entry.blocks_in)
        counting = hits.hits_of(book, job_id)
        if not confirmed and {made.id for made in counting} != set(seen):
            raise HitsChanged([made for made in counting if made.id not in seen])
        return hits.add_hit(
            book,
            job_id=job_id,
            round_no=next_round(read_rounds(book, job_id)),
            by=entry.by,
            at=entry.at,
            overrule_by=entry.overrule_by,
            overrule_reason=entry.overrule_reason,
            **entry.columns() | cold_rule(book, job_id, entry.method),  # type: ignore[arg-type]
        )


def _check_heat(book: Book, job_id: str, entry: HitEntry) -> None:
    """No flame near wet penetrant or on a bar that heat spoils, unless a named person overrules
    it."""
    if entry.method != "heat" or (entry.overrule_by.strip() and entry.overrule_reason.strip()):
        return
    shaft = history.shaft_of(book, jobs.job(book, job_id))
    refused = heat_refusal(book, job_id, moment(book.now())) or spoilt_refusal(shaft)
    if refused:
        raise ShaftlogError(refused)


def correct_hit(book: Book, hit_id: str, entry: HitEntry) -> Hit:
    """Replace a hit by what was really done: same round, same time; the first entry is kept."""
    with book.write():
        first = hits.hit(book, hit_id)
        check_may_hit(book, first.job_id)
        check_stays(entry.stays_in, entry.blocks_in)
        changes = entry.columns() | {"by": entry.by or first.by}
        if entry.method != first.method:
            changes |= cold_rule(book, first.job_id, entry.method)
        if replace(first, **changes) == first:  # type: ignore[arg-type]
            raise ShaftlogError("Nothing differs from the hit as noted: change a figure first.")
        return hits.correct_hit(book, hit_id, **changes)


def undo_hit(book: Book, job_id: str, *, seen: Sequence[str] | None = None) -> Hit:
    """Take the entry made last back: a hit, or a correction (the first entry counts again).

    `seen`: ids of the hits that counted when the bench was shown them (None = not asked). If they
    are others now, nothing is taken back: nobody takes back a hit that he was not shown.
    """
    with book.write():
        if jobs.job(book, job_id).closed_at is not None:
            raise ShaftlogError(HITS_CLOSED)
        counting = hits.hits_of(book, job_id)
        if seen is not None and {made.id for made in counting} != set(seen):
            changed = HitsChanged([made for made in counting if made.id not in seen])
            raise ShaftlogError(f"{changed} Nothing is taken back: look, then press again.")
        gone = hits.undo_hit(book, job_id)
    if gone is None:
        raise ShaftlogError("No hit to take back.")
    return gone


def quick_check(book: Book, job_id: str, story: RepairHistory | None) -> str:
    """Id of the quick check of the hits made since anything was read, begun now if there is none.

    It is set up as the last finished full sweep was; only the stations are its own.
    """
    if story is None or not story.waits_for_check:
        raise ShaftlogError("No hits since the last reading: nothing to check yet.")
    check_cold(book, job_id, moment(book.now()))
    with book.write():
        number = hits.last_round(book, job_id)
        begun = check_after(book, hits.hits_of(book, job_id, number))
        if begun is not None:
            return begun
        full = [s for s in sweeps.sweeps_of(book, job_id) if s.purpose in FULL_SWEEPS]
        like = [s for s in full if s.finished_at][-1]
        started = sweeps.start_like(book, like, check_stations_in(story), closing=like.closing)
        sweeps.add_quick_check(book, job_id=job_id, round_no=number, sweep_id=started.id)
        return started.id
