"""What was done on a job, and what limits the trust in its figures, in sentences for the ticket."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby

from core.base.counting import many
from core.base.quantities import TEMPERATURE
from core.base.records import Hit, Reading, Sweep
from core.base.times import moment
from core.base.units import (
    format_dial,
    format_length,
    format_station,
    in_shop_unit,
    length_unit,
    length_words,
)
from core.book import hits, jobs, measurements, penetrant_checks
from core.book.connection import Book
from core.book.readings import readings_of
from core.fitting.shaft.wear_job import diameters_of
from core.jobs.fitting_reports import MeasuredPart
from core.jobs.penetrant import clock_of
from core.reports.ticket_data import HitLine, PenetrantLine, SweepPart, TicketSection
from core.reports.ticket_format import clock, dial, station_text
from core.straightening.history import RepairHistory

When = Callable[[str], str]
NOT_READ_AGAIN = ("not read again", "offered mend of")
"""What the text of a reading says that was changed without reading the mark again."""


def changed_lines(book: Book, sweep: Sweep) -> tuple[str, ...]:
    """Readings changed without being read again."""
    every = readings_of(book, sweep.id, all_rows=True)
    before = {r.replaced_by: r for r in every if r.replaced_by}
    changed = [
        f"{_mark(r)} from {_figure(before.get(r.id))} to {_figure(r)}"
        for r in every
        if r.replaced_by is None and any(words in r.raw for words in NOT_READ_AGAIN)
    ]
    if not changed:
        return ()
    return (f"{many(len(changed), 'reading')} changed, not read again: {'; '.join(changed)}.",)


def blocked_lines(book: Book, sweep: Sweep) -> tuple[str, ...]:
    """Marks at which the plunger was blocked."""
    blocked = [r for r in readings_of(book, sweep.id) if r.kind == "blocked"]
    if not blocked:
        return ()
    blocked.sort(key=_station)
    named = "; ".join(
        f"{format_station(x)} at {', '.join(clock(r.clock_deg or 0.0) for r in some)}"
        for x, some in groupby(blocked, _station)
    )
    return (f"{many(len(blocked), 'mark')} blocked, not read: {named}.",)


def _station(reading: Reading) -> float:
    return reading.station_in


def _mark(reading: Reading) -> str:
    at = "" if reading.clock_deg is None else f", {clock(reading.clock_deg)}"
    return f"{format_station(reading.station_in)}{at}"


def _figure(reading: Reading | None) -> str:
    return "-" if reading is None else dial(reading.value_in)


def hit_lines(
    book: Book, job_id: str, history: RepairHistory | None, when: When
) -> tuple[HitLine, ...]:
    """Every hit in force: what was asked, what readings say it took out, what was corrected."""
    made = hits.hits_of(book, job_id)
    planned = () if history is None else history.hits
    taken: list[float | None] = [None] * len(made)
    for at, one in enumerate(planned[: len(made)]):
        if one.taken_share is not None and one.taken_sigma < 0.98 * one.share_sigma:
            taken[at] = one.taken_share * one.angle_rad * 1000
    return tuple(
        HitLine(
            round_no=hit.round_no,
            method=hit.method,
            station_in=hit.station_in,
            clock_deg=hit.clock_deg,
            asked_mrad=None if hit.is_sized_spot else hit.angle_rad * 1000,
            taken_mrad=share,
            by=hit.by,
            on=when(hit.at)[:16],
            remark=" ".join(filter(None, (_spot_words(hit), _correction(book, hit)))),
        )
        for hit, share in zip(made, taken, strict=True)
    )


def _spot_words(hit: Hit) -> str:
    """Temperature and size of a heat spot; '' for the press."""
    if hit.method != "heat":
        return ""
    hot = "temperature not measured"
    if hit.temperature_f is not None:
        hot = f"{TEMPERATURE.text(hit.temperature_f)} measured"
    size = ""
    if hit.spot_length_in is not None and hit.spot_arc_deg is not None:
        size = f", {format_station(hit.spot_length_in)} along and {hit.spot_arc_deg:.0f} deg round"
        size += f", by mechanics {hit.angle_rad * 1000:.2f} mrad at most"
    overruled = f", overruled by {hit.overrule_by}" if hit.overrule_by else ""
    return f"Heat spot at {format_station(hit.station_in)}: {hot}{size}{overruled}."


def _correction(book: Book, hit: Hit) -> str:
    if hit.corrects is None:
        return ""
    first = hits.hit(book, hit.corrects)
    return (
        f"Hit at {format_station(hit.station_in)}, clock {clock(hit.clock_deg)}: corrected; first "
        f"noted at {format_station(first.station_in)}, clock {clock(first.clock_deg)}."
    )


def done_lines(
    parts: Sequence[SweepPart],
    made: Sequence[HitLine],
    looked_at: Sequence[PenetrantLine],
    hold: str,
    measured: Sequence[MeasuredPart],
) -> tuple[str, ...]:
    """What was done, a sentence each, in the order of the bench."""
    found = [_swept(part) for part in parts[:1]]
    if made:
        places = ", ".join(dict.fromkeys(station_text(hit.station_in) for hit in made))
        who = ", ".join(dict.fromkeys(hit.by for hit in made if hit.by))
        methods = " and ".join(dict.fromkeys(hit.method for hit in made))
        rounds = len({hit.round_no for hit in made})
        found.append(
            f"Straightened ({methods}): {many(len(made), 'hit')} in {many(rounds, 'round')} at "
            f"{places} {length_unit()}{f', by {who}' if who else ''}."
        )
    found += [_swept(part) for part in parts[1:]]
    if hold:
        found.append(f"Hold check: {hold}")
    if looked_at:
        clear = sum(check.result == "clear" for check in looked_at)
        found.append(f"Penetrant check: {clear} of {many(len(looked_at), 'area')} clear.")
    for one in measured:
        found.append(f"{one.part.title}: {one.report.verdict}")
    return tuple(found)


def _swept(part: SweepPart) -> str:
    worst = max(part.stations, key=lambda s: s.tir_in)
    bends = f"; {many(len(part.bends), 'bend')}" if part.bends else ""
    return (
        f"Swept ({part.title}) {part.on}, by {part.measured_by or '(not named)'}: most "
        f"{format_dial(worst.tir_in)} TIR, at {format_station(worst.station_in)}{bends}."
    )


def remark_lines(
    book: Book, job_id: str, parts: Sequence[SweepPart], history: RepairHistory | None, when: When
) -> tuple[str, ...]:
    """What limits the trust in the figures."""
    found = [f"{part.title.capitalize()}: {line}" for part in parts for line in part.changed]
    numbers = sorted({hit.round_no for hit in hits.hits_of(book, job_id)})
    for number, result in zip(numbers, history.rounds if history else (), strict=False):
        if result.checked and (result.after is None or result.doubts):
            words = " ".join(result.doubts) or "They do not agree with the hits noted."
            found.append(f"Readings after round {number} contradicted its hits. {words}")
    return (*found, *penetrant_remarks(book, job_id, when))


def penetrant_remarks(book: Book, job_id: str, when: When) -> tuple[str, ...]:
    """Times not kept, and conditions that change the dwell, with who stated them and when."""
    now = moment(book.now())
    found = []
    for check in penetrant_checks.newest_checks(book, job_id):
        found += [
            f"Penetrant, {in_shop_unit(check.area)}: {words}"
            for words in clock_of(check, now).warnings
        ]
    for stated in penetrant_checks.conditions_of(book, job_id):
        conditions = [
            words
            for holds, words in (
                (stated.cold, "cold shaft, longer dwell"),
                (stated.short_dwell, "shorter dwell allowed"),
            )
            if holds
        ]
        if conditions:
            found.append(
                f"Penetrant: {' and '.join(conditions)}, stated by {stated.by}, {when(stated.at)}."
            )
    return tuple(dict.fromkeys(found))


def miked_section(book: Book, job_id: str, when: When) -> tuple[TicketSection, ...]:
    """The diameters miked at the riding areas of this visit."""
    tag = jobs.job(book, job_id).tag
    every = diameters_of(tag, measurements.measurements_of(book, job_id))
    taken = [one for one in every if one.station_in is not None]
    if not taken:
        return ()
    figures = ", ".join(
        f"{format_length(one.diameter_in, unit=False)} at {format_station(one.station_in or 0.0)}"
        for one in taken
    )
    days = sorted({when(one.taken_at)[:10] for one in taken})
    return (TicketSection(f"Diameters miked, {length_words()}", (f"{figures}. Taken {days[0]}.",)),)
