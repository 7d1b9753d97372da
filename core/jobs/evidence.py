"""Which sweeps of a job count, and for what: as received, since the last hit, before the rest.

A sweep counts when it is full (not a quick check), finished, and no hit fell between its readings.
It shows the shaft after a hit only if it was begun after the hit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from core.base.records import FULL_SWEEPS, Hit, Sweep
from core.base.times import local_text, moment
from core.book import hits
from core.book.connection import Book
from core.jobs.mixed_sweeps import of_one_shape
from core.jobs.sweep.sweep_fits import trouble_of
from core.jobs.sweep.sweep_readings import readings_for_core
from core.runout.readings import SweepReadings

HOLD_CHECK = "hold check"
AFTER_REST = (HOLD_CHECK, "final")
"""Sweeps that show the shaft after a rest."""


@dataclass(frozen=True)
class JobSweeps:
    """The sweeps of one job that count, and the hits between them."""

    full: tuple[Sweep, ...]
    """Oldest first."""
    hits: tuple[Hit, ...] = ()
    """Hits in force, oldest first."""

    @property
    def last_hit_at(self) -> str:
        """Moment of the last hit; '' = none."""
        return max((hit.at for hit in self.hits), default="")

    @property
    def before_hits(self) -> tuple[Sweep, ...]:
        """Begun before the first hit."""
        first = min((hit.at for hit in self.hits), default="9999")
        return tuple(s for s in self.full if s.started_at <= first)

    @property
    def start(self) -> Sweep | None:
        """The line the hits start from: the newest sweep before the first hit."""
        return self.before_hits[-1] if self.before_hits else None

    @property
    def as_received(self) -> Sweep | None:
        """The newest sweep as received before the first hit, else the first there is."""
        every = [s for s in self.full if s.purpose == "as received"]
        unbent = [s for s in self.before_hits if s.purpose == "as received"] or every[:1]
        return unbent[-1] if unbent else None

    @property
    def since_hit(self) -> tuple[Sweep, ...]:
        """Begun after the last hit (all, when there was none)."""
        return tuple(s for s in self.full if s.started_at >= self.last_hit_at)

    @property
    def leaving(self) -> Sweep | None:
        """The shaft as it leaves: the newest sweep since the last hit, whatever its purpose."""
        return self.since_hit[-1] if self.since_hit else None

    @property
    def after(self) -> Sweep | None:
        """`leaving`, unless that is the sweep as received itself."""
        return None if self.leaving is self.as_received else self.leaving

    def has(self, purpose: str) -> bool:
        """Whether a sweep of this purpose shows the shaft since the last hit."""
        return any(sweep.purpose == purpose for sweep in self.since_hit)

    def after_round(self, number: int) -> Sweep | None:
        """The newest sweep between the last hit of a round and the first of the next."""
        own = max(hit.at for hit in self.hits if hit.round_no == number)
        until = min((hit.at for hit in self.hits if hit.round_no > number), default="9999")
        between = [s for s in self.full if own < s.started_at <= until]
        return between[-1] if between else None

    def after_rest(self, number: int, sweep: Sweep) -> bool:
        """Whether the shaft has rested between the hits of a round and a sweep after them."""
        own = max(hit.at for hit in self.hits if hit.round_no == number)
        rested = [s for s in (*self.full, sweep) if s.purpose in AFTER_REST]
        return any(own <= s.started_at <= sweep.started_at for s in rested)

    @property
    def hold_check(self) -> Sweep | None:
        """The newest hold check since the last hit."""
        checks = [s for s in self.since_hit if s.purpose == HOLD_CHECK]
        return checks[-1] if checks else None

    def before_rest(self, rested: Sweep, hours: float = 0.0) -> Sweep | None:
        """The sweep a hold check is compared with: the same state, before the rest.

        The newest one that had been finished `hours` before the hold check began; when none had,
        the newest one.
        """
        hit_at = max((h.at for h in self.hits if h.at <= rested.started_at), default="")
        earlier = [s for s in self.full if hit_at <= s.started_at < rested.started_at]
        rested_long = [s for s in earlier if rest_hours(s, rested) >= hours]
        chosen = rested_long or earlier
        return chosen[-1] if chosen else None


def rest_hours(before: Sweep, rested: Sweep) -> float:
    """Hours of rest between the end of one sweep and the begin of the next."""
    ended = moment(before.finished_at or before.started_at)
    return (moment(rested.started_at) - ended).total_seconds() / 3600


def sweeps_that_count(book: Book, job_id: str) -> JobSweeps:
    """Read them; a sweep that cannot be evaluated is still among them."""
    return JobSweeps(tuple(of_one_shape(book, job_id, *FULL_SWEEPS)), hits.hits_of(book, job_id))


@dataclass(frozen=True)
class ShownSweeps:
    """The sweeps of a job that can be evaluated, and what is wrong with the others."""

    sweeps: JobSweeps
    troubles: tuple[str, ...]
    """Of sweeps since the last hit that cannot be evaluated and that no other replaces."""


def shown_sweeps(book: Book, job_id: str) -> ShownSweeps:
    """Read the sweeps of a job and try each; a sweep without readings counts as not made."""
    found = sweeps_that_count(book, job_id)
    return that_can_be_shown(found, {s.id: readings_for_core(book, s.id) for s in found.full})


def that_can_be_shown(found: JobSweeps, readings: Mapping[str, SweepReadings]) -> ShownSweeps:
    """Try each sweep; `readings` by the id of the sweep. Touches no book."""
    tried = {sweep: trouble_of(readings[sweep.id]) for sweep in found.full}
    good = JobSweeps(tuple(s for s, trouble in tried.items() if not trouble), found.hits)
    replaced = {s.purpose for s in good.since_hit}
    left_out = [s for s in found.since_hit if tried[s] and s.purpose not in replaced]
    return ShownSweeps(good, tuple(_trouble_text(s, tried[s]) for s in left_out))


def _trouble_text(sweep: Sweep, trouble: str) -> str:
    when = local_text(sweep.started_at, "%d %b %Y %H:%M")
    return f"the sweep '{sweep.purpose}' of {when} cannot be evaluated: {trouble}"
