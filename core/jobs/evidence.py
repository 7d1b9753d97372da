"""Which sweeps of a job the ticket shows and the release rests on; those that show nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.analysis.sweep import SweepAnalysis, analyse
from core.base.errors import ShaftlogError
from core.base.records import Job, Sweep
from core.base.times import local_text
from core.book import hits, sweeps
from core.book.connection import Book
from core.book.settings import ShopSettings
from core.jobs.limits import areas_for_core
from core.jobs.mixed_sweeps import of_one_shape
from core.jobs.resume import readings_for_core
from core.runout.sweep_fit import fit_sweep

LAST_STATES = ("final", "hold check", "working", "as received")
"""Purposes of the sweeps that can show the shaft as it leaves, best first."""


@dataclass(frozen=True)
class TicketSweeps:
    """The full sweeps of a job that were finished and can be worked out."""

    before: Sweep | None
    """The shaft as received; None = no such sweep."""
    since_hit: tuple[Sweep, ...]
    """Begun after the last hit (all of them when there was no hit), oldest first."""
    troubles: tuple[str, ...]
    """Words on sweeps since the last hit that cannot be worked out and that no other replaces."""

    @property
    def leaving(self) -> Sweep | None:
        """The newest of the best purpose since the last hit: the shaft as it leaves."""
        ranked = sorted(self.since_hit, key=lambda s: LAST_STATES.index(s.purpose))
        best = [s for s in ranked if s.purpose == ranked[0].purpose]
        return max(best, key=lambda s: s.started_at, default=None)

    @property
    def after(self) -> Sweep | None:
        """`leaving`, unless it is the sweep as received itself."""
        return None if self.leaving is self.before else self.leaving

    def has(self, purpose: str) -> bool:
        """Whether a sweep of this purpose shows the shaft since the last hit."""
        return any(sweep.purpose == purpose for sweep in self.since_hit)


def shown_sweeps(book: Book, job: Job) -> TicketSweeps:
    """Read the sweeps of a job and try each; a sweep without readings counts as not made."""
    made = [hit.at for hit in hits.hits_of(book, job.id)]
    tried = {sweep: trouble_of(book, sweep) for sweep in of_one_shape(book, job.id, *LAST_STATES)}
    good = [sweep for sweep, trouble in tried.items() if not trouble]
    received = [s for s in good if s.purpose == "as received"]
    unbent = [s for s in received if s.started_at <= min(made, default="9999")] or received[:1]
    since = tuple(s for s in good if s.started_at >= max(made, default=""))
    replaced = {s.purpose for s in since}
    troubles = tuple(
        f"{sweep.purpose.capitalize()}: the sweep of "
        f"{local_text(sweep.started_at, '%d %b %Y %H:%M')} cannot be worked out: {trouble}"
        for sweep, trouble in tried.items()
        if trouble and sweep.started_at >= max(made, default="") and sweep.purpose not in replaced
    )
    return TicketSweeps(unbent[-1] if unbent else None, since, troubles)


def trouble_of(book: Book, sweep: Sweep) -> str:
    """Why a sweep says nothing of the shaft; '' when it does."""
    try:
        fit_sweep(readings_for_core(book, sweep.id), strict=False)
    except ShaftlogError as error:
        return str(error)
    return ""


def analyse_sweep(book: Book, sweep: Sweep, shaft_id: str, shop: ShopSettings) -> SweepAnalysis:
    """One stored sweep worked out with the shop's limits and rule; stations left out are told."""
    return analyse(
        readings_for_core(book, sweep.id),
        areas=areas_for_core(book, shaft_id, shop),
        default_limit_in=shop.limit_between_in,
        rule=shop.rule,
        strict=False,
    )


def before_rest(book: Book, job: Job, rested: Sweep) -> Sequence[Sweep]:
    """Full sweeps of the same state before a hold check, oldest first."""
    last_hit_at = max((hit.at for hit in hits.hits_of(book, job.id)), default="")
    return [
        sweep
        for sweep in sweeps.sweeps_of(book, job.id)
        if sweep.finished_at
        and sweep.purpose in ("as received", "working", "final")
        and last_hit_at <= sweep.started_at < rested.started_at
        and not trouble_of(book, sweep)
    ]
