"""Coupling, key and shaft end on the ticket: what was found, then the figures as measured."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from core.base.records import Measurement
from core.base.units import format_length, format_station, length_words
from core.jobs.fitting_reports import MeasuredPart
from core.reports.ticket_data import TicketSection


def coupling_sections(
    measured: Sequence[MeasuredPart], when: Callable[[str], str]
) -> tuple[TicketSection, ...]:
    """A section for each thing of which something was measured.

    `when` turns a stored moment into the text people read.
    """
    found = []
    for one in measured:
        figures = f"{_as_measured(one.rows)} {_days(one.rows, when)}"
        lines = (*one.report.for_ticket, figures)
        found.append(TicketSection(one.part.title, lines, one.report.verdicts))
    return tuple(found)


def _as_measured(rows: Sequence[Measurement]) -> str:
    """The figures themselves, each thing measured with its places, in the unit of the shop."""
    newest = {(one.subject, one.what, one.depth_in, one.clock_deg): one for one in rows}
    by_name: dict[str, list[str]] = {}
    for one in newest.values():
        name = one.what if one.what.startswith(one.subject) else f"{one.subject} {one.what}"
        by_name.setdefault(name, []).append(_figure(one))
    things = [f"{name} {', '.join(values)}" for name, values in by_name.items()]
    return f"As measured, {length_words()}: {'; '.join(things)}."


def _days(rows: Sequence[Measurement], when: Callable[[str], str]) -> str:
    """The day, or the first and the last day, on which the figures were taken."""
    days = sorted({when(one.taken_at)[:10] for one in rows})
    return f"Taken {days[0]}." if len(days) == 1 else f"Taken {days[0]} to {days[-1]}."


def _figure(one: Measurement) -> str:
    """One measured figure with its place."""
    value = one.raw if one.value_in is None else format_length(one.value_in, unit=False)
    places = [
        *([] if one.depth_in is None else [format_station(one.depth_in)]),
        *([] if one.clock_deg is None else [f"{one.clock_deg:g} deg"]),
    ]
    return f"{value} ({', '.join(places)})" if places else value
