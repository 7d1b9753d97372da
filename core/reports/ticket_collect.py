"""Gathers what a ticket says out of the job book, computing what is computed and nothing else."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from core.analysis.sweep import SweepAnalysis
from core.base.errors import ShaftlogError
from core.base.records import PenetrantCheck, Sweep
from core.base.times import local_text, moment
from core.book import customers, history, jobs, penetrant_checks, releases, settings
from core.book.connection import Book
from core.book.settings import ShopSettings
from core.jobs.evaluate import evaluate_sweep
from core.jobs.evidence import rest_hours, shown_sweeps
from core.jobs.fitting_reports import measured_parts
from core.jobs.release import missing_for_release
from core.jobs.straightening import read_rounds
from core.jobs.straightening import tell as follow_job
from core.jobs.sweep.sweep_readings import readings_for_core
from core.reports.fitting_sections import coupling_sections
from core.reports.letter_job import frozen_letter, letter_of
from core.reports.ticket_data import (
    CAUTIONS,
    ENDINGS,
    AreaLine,
    BendLine,
    Ending,
    PenetrantLine,
    StationLine,
    SweepPart,
    Ticket,
    TicketData,
)
from core.reports.ticket_format import high_spot_deg
from core.reports.ticket_page import ticket_html
from core.reports.ticket_remarks import (
    blocked_lines,
    changed_lines,
    done_lines,
    hit_lines,
    miked_section,
    remark_lines,
)
from core.reports.ticket_text import ticket_text
from core.runout.hold_check import compare_readings
from core.straightening.history import RepairHistory

When = Callable[[str], str]
"""A stored moment as people read it."""


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
    ending: Ending | None = None,
    when: When = local_text,
) -> Ticket:
    """Both forms of the ticket, as it is now; frozen by whoever stores it in a release.

    `ending` is given for the closing paper of a job that is not released.
    """
    data = collect(
        book,
        job_id,
        released_by=released_by,
        overrule=f"{overrule_by}: {overrule_reason}" if overrule_by else "",
        missing=missing,
        ending=ending,
        when=when,
    )
    return _forms(book, job_id, data)


def ticket_of(book: Book, job_id: str) -> Ticket:
    """The frozen paper of a closed job, else a draft that says what is missing."""
    job = jobs.job(book, job_id)
    frozen = releases.paper_in_force(book, job)
    if frozen is not None:
        return Ticket(frozen.ticket_text, frozen.ticket_html, frozen_letter(book, frozen))
    return _forms(book, job_id, collect_now(book, job_id))


def collect_now(book: Book, job_id: str) -> TicketData:
    """What the paper of a job without a frozen one says now, and what is missing."""
    state = jobs.job(book, job_id).state
    ending = Ending(state) if state in ENDINGS else None
    return collect(book, job_id, missing=missing_for_release(book, job_id), ending=ending)


def _forms(book: Book, job_id: str, data: TicketData) -> Ticket:
    return Ticket(ticket_text(data), ticket_html(data), letter_of(book, job_id, data))


def collect(
    book: Book,
    job_id: str,
    *,
    released_by: str = "",
    overrule: str = "",
    missing: Sequence[str] = (),
    ending: Ending | None = None,
    when: When = local_text,
) -> TicketData:
    """Everything the ticket says about one job."""
    job = jobs.job(book, job_id)
    shop = settings.as_of(book, job.closed_at)
    shaft = history.shaft_of(book, job)
    vessel = history.vessel_of(book, job)
    counting = shown_sweeps(book, job_id).sweeps
    before = None if counting.as_received is None else _part(book, counting.as_received, shop, when)
    after = None if counting.after is None else _part(book, counting.after, shop, when)
    parts = [part for part in (before, after) if part is not None]
    repairs = _history(book, job_id)
    made = hit_lines(book, job_id, repairs, when)
    looked_at = _penetrant(book, job_id, when)
    hold = _hold(book, job_id, shop.hold_hours, when)
    measured = measured_parts(book, job_id)
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
        ending=ending,
        before=before,
        after=after,
        hits=made,
        penetrant=looked_at,
        hold=hold,
        sections=(*coupling_sections(measured, when), *miked_section(book, job_id, when)),
        missing=tuple(missing),
        done=done_lines(parts, made, looked_at, hold, measured),
        remarks=remark_lines(book, job_id, parts, repairs, when),
        cautions=CAUTIONS,
    )


def _history(book: Book, job_id: str) -> RepairHistory | None:
    """The rounds of hits as the readings tell them; None = none, or they cannot be followed."""
    try:
        return follow_job(read_rounds(book, job_id))
    except ShaftlogError:
        return None


def _part(book: Book, sweep: Sweep, shop: ShopSettings, when: When) -> SweepPart:
    worked = evaluate_sweep(book, sweep)
    stations = tuple(
        StationLine(
            station_in=float(station_in),
            shown_tir_in=fit.shown_tir_in,
            tir_in=fit.tir_in,
            tir_low_in=fit.tir_low_in,
            tir_high_in=fit.tir_high_in,
            bend_tir_in=fit.bend_tir_in,
            high_spot_deg=high_spot_deg(fit),
            ecc_in=(float(ecc_in[0]), float(ecc_in[1])),
        )
        for station_in, ecc_in, fit in zip(
            worked.line.station_in, worked.line.ecc_in, worked.fits, strict=True
        )
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
        changed=changed_lines(book, sweep),
        blocked=blocked_lines(book, sweep),
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
            bend_tir_in=verdict.bend_tir_in,
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


def _hold(book: Book, job_id: str, asked_hours: float, when: When) -> str:
    """The shaft read again after its rest, against the full sweep before it."""
    counting = shown_sweeps(book, job_id).sweeps
    checks = [s for s in counting.full if s.purpose == "hold check"]
    if not checks:
        return ""
    rested = checks[-1]
    words = f"Swept again {when(rested.started_at)}, by {rested.measured_by}."
    if rested.started_at < counting.last_hit_at:
        return f"{words} It was hit again after that: no hold check shows it as it is now."
    before = counting.before_rest(rested, asked_hours)
    if before is None:
        return f"{words} There is no full sweep before the rest to compare it with."
    hours = rest_hours(before, rested)
    rest = f"Rested {hours:.1f} h."
    if hours < asked_hours:
        rest = f"RESTED ONLY {hours:.1f} h; the shop asks for {asked_hours:g} h."
    read = [readings_for_core(book, s.id) for s in (before, rested)]
    return f"{words} {rest} {compare_readings(*read).words}"
