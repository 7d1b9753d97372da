"""Where to go in a sweep by numbers typed: station, mark, or a reading; no screen here."""

from __future__ import annotations

import math

from core.base.errors import BadNumber
from core.base.units import format_station, length_unit, parse_clock_rad, parse_place_in
from core.jobs.sweep.sweep_session import SweepSession, true_clock_rad
from core.jobs.sweep.sweep_slots import Cursor
from tui.screens.sweep.sweep_views import clock_text


def question_text(asking: str) -> str:
    """What F6 asks: first the station, then the mark; empty while it asks nothing."""
    station = f"Go to station ({length_unit()})"
    return {"station": station, "clock": "Go to mark (deg)"}.get(asking, "")


def to_station(session: SweepSession, text: str) -> SweepSession:
    """The station that was typed; `BadNumber` when it is not on the list."""
    station_in = parse_place_in(text)
    number = session.find_station(station_in)
    if number is None:
        raise BadNumber(f"Station {format_station(station_in)} is not on the list. F8 adds it.")
    return session if number == session.cursor.station_no else session.to_station(number)


def to_clock(session: SweepSession, text: str) -> SweepSession:
    """The mark with a clock at the station under the dial; `BadNumber` when there is none."""
    typed_deg = math.degrees(parse_clock_rad(text, what="The mark"))
    called_deg = math.degrees(true_clock_rad(typed_deg, session.sweep.direction))
    place = session.find_clock(session.cursor.station_no, called_deg)
    if place is None:
        marks = ", ".join(
            clock_text(session, slot.clock_deg)
            for slot in session.slots(session.cursor.station_no)
            if slot.kind == "mark" and slot.clock_deg is not None
        )
        raise BadNumber(f"There is no mark at {typed_deg:g} deg here. Marks: {marks}.")
    return session.choose(place)


def to_reading(session: SweepSession, reading_id: str) -> SweepSession:
    """The slot of a reading, to read it again."""
    place = session.find(session.row(reading_id))
    return session if place is None else session.choose(place)


def to_next_station(session: SweepSession, by: int) -> SweepSession:
    """The next or previous station, at its first empty mark; entry goes on there."""
    number = session.cursor.station_no + by
    if not 0 <= number < len(session.stations_in):
        raise BadNumber("This is the last station." if by > 0 else "This is the first station.")
    return session.to_station(number)


def answered(session: SweepSession, text: str, *, question: str, home: Cursor) -> SweepSession:
    """An answer to F6; Enter alone stays at the station, or names the mark under the cursor.

    `home`: where entry was going on when F6 was pressed; there it goes on after a correction.
    """
    if question == "station":
        return to_station(session, text) if text else session
    named = to_clock(session, text) if text else session
    return session.to_read_again(named.cursor, home)
