"""Gathers what a ticket says out of the job book, computing what is computed and nothing else."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from core.analysis import SweepAnalysis, analyse
from core.book import (
    customers,
    hits,
    jobs,
    penetrant_checks,
    releases,
    settings,
    shafts,
    sweeps,
)
from core.book.file import Book
from core.book.ids import local_text, moment
from core.book.limits import areas_for_core
from core.book.records import Job, PenetrantCheck, Sweep
from core.book.settings import ShopSettings
from core.desk.penetrant_plan import clear_but_not_good, not_looked_at
from core.hold import compare_readings
from core.ticket.coupling import coupling_sections
from core.ticket.data import (
    CAUTIONS,
    AreaLine,
    BendLine,
    HitLine,
    PenetrantLine,
    StationLine,
    SweepPart,
    Ticket,
    TicketData,
)
from core.ticket.page import ticket_html
from core.ticket.text import ticket_text

When = Callable[[str], str]
"""A stored moment as people read it."""
LAST_STATES = ("final", "hold check", "working")
"""Purposes of the sweeps that can show the shaft as it leaves, best first."""


def utc_text(text: str) -> str:
    """A stored moment in universal time, the same on every computer."""
    return moment(text).strftime("%Y-%m-%d %H:%M UTC")


def make_ticket(
    book: Book,
    job_id: str,
    *,
    released_by: str = "",
    overrule_by: str = "",
    overrule_reason: str = "",
    missing: Sequence[str] = (),
    when: When = local_text,
) -> Ticket:
    """Both forms of the ticket, as it stands now; frozen by whoever stores it in a release."""
    data = collect(
        book,
        job_id,
        released_by=released_by,
        overrule=f"{overrule_by}: {overrule_reason}" if overrule_by else "",
        missing=missing,
        when=when,
    )
    return Ticket(ticket_text(data), ticket_html(data))


def ticket_of(book: Book, job_id: str) -> Ticket:
    """The frozen ticket of a released job, else a draft that says what is missing."""
    frozen = releases.last_release(book, job_id)
    if frozen is not None and jobs.job(book, job_id).state == "released":
        return Ticket(frozen.ticket_text, frozen.ticket_html)
    return make_ticket(book, job_id, missing=missing_for_release(book, job_id))


def missing_for_release(book: Book, job_id: str) -> tuple[str, ...]:
    """What blocks the release, in words; the verdict is that of the sweep it leaves with."""
    from core.book.facts import facts_of
    from core.steps import release_blocks

    facts = replace(facts_of(book, job_id), verdict=leaving_verdict(book, job_id))
    missing = [f"{block.what}: {block.why}" for block in release_blocks(facts)]
    unseen = [area.name for area in not_looked_at(book, job_id)]
    if unseen and facts.penetrant_areas:
        missing.append(f"Penetrant check: not looked at yet: {', '.join(unseen)}")
    for name, why in clear_but_not_good(book, job_id, moment(book.now())):
        missing.append(f"Penetrant check: {name} wants doing again: {why.rstrip('.')}")
    return tuple(missing)


def done_for_release(book: Book, job_id: str) -> tuple[str, ...]:
    """The steps that are done, in words and in the order of the bench."""
    from core.book.facts import facts_of
    from core.steps import steps_of

    facts = replace(facts_of(book, job_id), verdict=leaving_verdict(book, job_id))
    done = [step for step in steps_of(facts) if step.state == "done" and step.name != "release"]
    return tuple(f"{step.title} ({step.say})" if step.say else step.title for step in done)


def leaving_verdict(book: Book, job_id: str) -> str:
    """The worst word among the areas of the sweep the shaft leaves with; '' = no such sweep."""
    job = jobs.job(book, job_id)
    after = _sweeps_to_show(book, job)[1]
    if after is None:
        return ""
    worked = analyse_sweep(book, after, job.shaft_id, settings.load(book))
    words = {verdict.word for verdict in worked.verdicts}
    if "not true" in words:
        return "not true"
    return "too close to call" if words - {"true"} else "true"


def collect(
    book: Book,
    job_id: str,
    *,
    released_by: str = "",
    overrule: str = "",
    missing: Sequence[str] = (),
    when: When = local_text,
) -> TicketData:
    """Everything the ticket says about one job."""
    shop = settings.load(book)
    job = jobs.job(book, job_id)
    shaft = shafts.shaft(book, job.shaft_id)
    vessel = customers.vessel(book, shaft.vessel_id)
    before, after = _sweeps_to_show(book, job)
    return TicketData(
        shop=tuple(
            line
            for text in (shop.shop_name, shop.shop_address, shop.shop_phone)
            for line in text.splitlines()
            if line.strip()
        ),
        tag=job.tag,
        customer=customers.customer(book, vessel.customer_id).name,
        vessel=vessel.name,
        position=shaft.position,
        material=shaft.material,
        condition=shaft.condition,
        diameter_in=shaft.diameter_in,
        length_in=shaft.length_in,
        zero_end=shaft.zero_end,
        opened=when(job.opened_at)[:10],
        complaint=job.complaint,
        written=when(book.now()),
        released_by=released_by,
        overrule=overrule,
        state=job.state,
        before=None if before is None else _part(book, job, before, shop, when),
        after=None if after is None else _part(book, job, after, shop, when),
        hits=_hits(book, job_id, when),
        penetrant=_penetrant(book, job_id, when),
        hold=_hold(book, job, when),
        sections=coupling_sections(book, job_id, when),
        missing=tuple(missing),
        cautions=CAUTIONS,
    )


def _sweeps_to_show(book: Book, job: Job) -> tuple[Sweep | None, Sweep | None]:
    """The first sweep as received, and the newest that shows the shaft as it leaves."""
    finished = [s for s in sweeps.sweeps_of(book, job.id) if s.finished_at]
    before = next((s for s in finished if s.purpose == "as received"), None)
    last_hit_at = max((hit.at for hit in hits.hits_of(book, job.id)), default="")
    leaving = [s for s in finished if s.purpose in LAST_STATES and s.started_at >= last_hit_at]
    leaving.sort(key=lambda s: (LAST_STATES.index(s.purpose), s.started_at))
    best = [s for s in leaving if s.purpose == leaving[0].purpose]
    return before, best[-1] if best else None


def analyse_sweep(book: Book, sweep: Sweep, shaft_id: str, shop: ShopSettings) -> SweepAnalysis:
    """One stored sweep worked out with the shop's limits and rule."""
    return analyse(
        sweeps.readings_for_core(book, sweep.id),
        areas=areas_for_core(book, shaft_id, shop),
        default_limit_in=shop.limit_between_in,
        rule="simple" if shop.acceptance_rule == "simple" else "guarded",
    )


def _part(book: Book, job: Job, sweep: Sweep, shop: ShopSettings, when: When) -> SweepPart:
    worked = analyse_sweep(book, sweep, job.shaft_id, shop)
    stations = tuple(
        StationLine(
            station_in=float(station_in),
            shown_tir_in=fit.shown_tir_in,
            tir_in=fit.tir_in,
            tir_low_in=fit.tir_low_in,
            tir_high_in=fit.tir_high_in,
            high_spot_deg=math.degrees(fit.high_spot_rad),
        )
        for station_in, fit in zip(worked.line.station_in, worked.fits, strict=True)
    )
    return SweepPart(
        title=sweep.purpose,
        on=when(sweep.started_at),
        measured_by=sweep.measured_by,
        gauge=sweep.gauge,
        resolution_in=sweep.resolution_in,
        repeatability_in=sweep.repeatability_in or worked.fits[0].repeatability_in,
        rollers_in=(sweep.roller_a_in, sweep.roller_b_in),
        stations=stations,
        areas=_areas(worked),
        bends=_bends(worked),
        notes=tuple(worked.notes),
        rule=shop.acceptance_rule,
    )


def _areas(worked: SweepAnalysis) -> tuple[AreaLine, ...]:
    return tuple(
        AreaLine(
            name="shaft between" if verdict.area.kind == "between" else verdict.area.name,
            from_in=verdict.area.from_in,
            to_in=verdict.area.to_in,
            limit_in=verdict.limit_in,
            tir_in=verdict.tir_in,
            tir_low_in=verdict.low_in,
            tir_high_in=verdict.high_in,
            verdict=verdict.word,
            settle=verdict.settle,
        )
        for verdict in worked.verdicts
    )


def _bends(worked: SweepAnalysis) -> tuple[BendLine, ...]:
    return tuple(
        BendLine(
            station_in=bend.station_in,
            station_u95_in=bend.station_u95_in,
            angle_mrad=bend.angle_rad * 1000,
            high_side_deg=math.degrees(bend.high_side_rad),
            kind=bend.kind,
        )
        for bend in worked.bends.bends
    )


def _hits(book: Book, job_id: str, when: When) -> tuple[HitLine, ...]:
    return tuple(
        HitLine(
            round_no=hit.round_no,
            method=hit.method,
            station_in=hit.station_in,
            clock_deg=hit.clock_deg,
            angle_mrad=hit.angle_rad * 1000,
            by=hit.by,
            on=when(hit.at)[:16],
        )
        for hit in hits.hits_of(book, job_id)
    )


def _penetrant(book: Book, job_id: str, when: When) -> tuple[PenetrantLine, ...]:
    return tuple(
        PenetrantLine(
            area=check.area,
            from_in=check.from_in,
            to_in=check.to_in,
            standard=check.standard,
            result=check.result,
            by=check.by,
            on=when(check.inspected_at)[:10] if check.inspected_at else "",
            overrule=f"{check.overrule_by}: {check.overrule_reason}" if check.overrule_by else "",
        )
        for check in _checks_to_show(book, job_id)
    )


def _checks_to_show(book: Book, job_id: str) -> list[PenetrantCheck]:
    """The check that counts of each area, and every crack that somebody overruled."""
    counting = {check.id for check in penetrant_checks.newest_checks(book, job_id)}
    every = penetrant_checks.checks_of(book, job_id)
    return [check for check in every if check.id in counting or check.overrule_by]


def _hold(book: Book, job: Job, when: When) -> str:
    """The shaft read again after its rest, against the full sweep before it."""
    finished = [s for s in sweeps.sweeps_of(book, job.id) if s.finished_at]
    rested = next((s for s in reversed(finished) if s.purpose == "hold check"), None)
    if rested is None:
        return ""
    words = f"Swept again after a rest, {when(rested.started_at)}, by {rested.measured_by}."
    last_hit_at = max((h.at for h in hits.hits_of(book, job.id)), default="")
    if rested.started_at < last_hit_at:
        return f"{words} It was hit again after that: no hold check shows it as it is now."
    earlier = [
        s
        for s in finished
        if s.purpose in ("as received", "working", "final")
        and last_hit_at <= s.started_at < rested.started_at
    ]
    if not earlier:
        return f"{words} There is no full sweep before the rest to compare it with."
    read = [sweeps.readings_for_core(book, s.id) for s in (earlier[-1], rested)]
    return f"{words} {compare_readings(*read).words}"
