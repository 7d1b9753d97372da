"""Time at the bench, from the times at which entries were made.

Nobody stops a clock at the bench, but every reading, hit and stage is stored with its moment. The
time before an entry, back to the entry before it on the same job, is counted as work on it; a gap
of more than `GAP_MIN` minutes (a night, a meal, another job) is not counted at all. The figure is
low where somebody worked long without entering anything, high where somebody waited less than the
gap. Moments in seconds, results in hours. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from core.book.shop_queries import JobMoments, SweepMoments

GAP_MIN = 30.0
"""A longer gap between two entries of a job is not work on it."""
FASTEST_READING_S = 0.5
"""A sweep read faster than this, reading for reading, was taken in from a file."""
RULE = (
    "the time before an entry (reading, hit, stage) back to the entry before it on the same job; a "
    f"gap over {GAP_MIN:.0f} min is not counted"
)


@dataclass(frozen=True)
class Straightening:
    """What the hits of a job took, their checks and the sweep after them included."""

    hours: float | None
    """None = not known, `why` says why."""
    why: str = ""
    """'no hits', 'not swept since the last hit', 'sweeps from a file'."""


def from_file(sweep: SweepMoments) -> bool:
    """Whether the readings of a sweep came in from a file, so that their times say nothing."""
    count = len(sweep.readings_s)
    if count < 2:
        return False
    return max(sweep.readings_s) - min(sweep.readings_s) < FASTEST_READING_S * (count - 1)


def straightening_time(job: JobMoments) -> Straightening:
    """Hours from the sweep before the first hit to the end of the first full sweep after the last.

    The same stretch a forecast is made for (`core.straightening.forecast`): hits, quick checks,
    sweeps
    between, one sweep at the end. Penetrant, coupling and the hold check after a rest are left
    out: the time before their entries is theirs.
    """
    if not job.hits_s:
        return Straightening(None, "no hits")
    first, last = min(job.hits_s), max(job.hits_s)
    ends = [s for s in job.sweeps if s.full and s.finished_s is not None and s.started_s >= last]
    if not ends:
        return Straightening(None, "not swept since the last hit")
    end = min(ends, key=lambda s: s.started_s)
    until = end.finished_s if end.finished_s is not None else last
    between = [s for s in job.sweeps if first <= s.started_s < until]
    if any(from_file(s) for s in between):
        return Straightening(None, "sweeps from a file")
    own = {*job.hits_s}
    for sweep in between:
        own |= {at for at in _moments(sweep) if at <= until}
    every = own.union(job.other_s, *(_moments(s) for s in job.sweeps))
    # Two entries of one moment: the time before them is given to the one that is no straightening.
    return Straightening(hours_before(own.difference(job.other_s), sorted(every)))


def _moments(sweep: SweepMoments) -> set[float]:
    """Its readings and its end; its start is no work done."""
    end = () if sweep.finished_s is None else (sweep.finished_s,)
    return {*sweep.readings_s, *end}


def hours_before(own: set[float], moments: Sequence[float]) -> float:
    """Sum of the gaps that end at one of `own`, gaps over the limit left out, hours.

    `moments` : every moment of the job in order, `own` among them.
    """
    gaps = (after - before for before, after in pairwise(moments) if after in own)
    return sum(gap for gap in gaps if gap <= GAP_MIN * 60) / 3600
