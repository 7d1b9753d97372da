"""In which order the stations of a sweep are read: along the list, or where a reading tells most.

The choice is the person's, stands with the sweep and can be changed at any time; the list itself
is not touched. Stations that nobody needed to read stay open: a sweep is finished without them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from core.base.records import Sweep
from core.book import choices
from core.book.connection import Book
from core.jobs.sweep_session import SweepSession
from core.runout.stations import END_IN

if TYPE_CHECKING:
    from core.analysis.next_station import NextStation
    from core.runout.line import ShaftLine
    from core.runout.verdict import Area

ORDER = "order of reading"
TELLS = "where it tells most"


def goes_by_itself(book: Book, sweep: Sweep) -> bool:
    """Whether the program goes to the station that tells most."""
    return choices.texts(book, sweep.job_id, ORDER).get(sweep.id) == TELLS


def choose_order(book: Book, sweep: Sweep, tells: bool) -> None:
    """Say in which order this sweep is read."""
    if tells != goes_by_itself(book, sweep):
        value = TELLS if tells else ""
        choices.choose(book, job_id=sweep.job_id, subject=ORDER, name=sweep.id, value=value)


def station_to_read(
    line: ShaftLine | None,
    stations_in: Sequence[float],
    *,
    length_in: float | None,
    areas: Sequence[Area],
    limit_in: float,
) -> NextStation:
    """The station of the list to read after those of the line; None in it = enough is read.

    `line` is None while fewer than two stations are read: both ends come first.
    """
    from core.analysis.next_station import NextStation, next_station  # loads numpy

    listed = sorted(stations_in)
    if line is None:
        return NextStation(listed[-1] if listed else None, "Both ends are read first.")
    whole_in = length_in if length_in is not None else listed[-1] + END_IN
    return next_station(line, length_in=whole_in, areas=areas, limit_in=limit_in, among_in=listed)


def gone_on(session: SweepSession, told: NextStation) -> SweepSession | None:
    """The session at the station to read next; None = it stays where it is.

    A station begun is read to its end, and a person who chose a place stays there.
    """
    number = None if told.station_in is None else session.find_station(told.station_in)
    here = session.cursor.station_no
    begun = session.is_started(here) and bool(session.empty_slots(here))
    if number is None or number == here or begun or session.chosen or session.finished:
        return None
    return session.to_station(number)
