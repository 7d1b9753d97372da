"""Commands and sentences of the sweep screen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from core.base.records import FULL_SWEEPS, Job, Reading
from core.base.units import format_station
from core.jobs.sweep.sweep_session import SweepSession
from core.jobs.sweep.sweep_slots import ReadingSlot
from tui.base.commands import Command, verb
from tui.base.context import Tone
from tui.screens.sweep.sweep_views import reading_text, slot_text

if TYPE_CHECKING:
    from core.analysis.next_station import NextStation

HOW_TO = (
    "Set the dial over the station. Roll the shaft to each mark, type what the dial shows, press "
    "Enter. A reading is in the list only when it is safe on the disk. "
    "On the number pad: * marks a place where the plunger is blocked (keyway). / on an empty line "
    "takes the last entry back. + Enter and - Enter go to the next and the previous station. A "
    "number and * go to the mark with that clock. "
    "To change a reading, go to its mark with Up, Down or F6, type the new number, Enter. The old "
    "one stays in the book. Entry then goes on where it was. "
    "F7 deals with a reading that does not fit the others. Nothing changes unless you ask. "
    "Letters after the number give another unit: 0.3mm, 0.012in. A number shown in reverse is not "
    "stored: Enter stores it, / removes it, any other key replaces it. "
    "Always turn the shaft the same way to a mark. A dial with backlash reads differently when "
    "you turn back, and the program cannot correct that. "
    "F12, then 9, reads the first station once more (it shows a bar still warm, a shaft that "
    "slid, a loose stand) or makes the half-turn test: a roller wheel as large across as the shaft "
    "looks like a bend in every sweep. "
    "Keep fingers, sleeves and rags away from the rollers while the shaft turns."
)
SWEEP_COMMANDS = (
    verb("act", "block", "Blocked", "The plunger is blocked at this mark (also *)"),
    verb("undo", "undo", "Undo", "Take the last entry back (also / on an empty line)"),
    verb("data", "jump", "Go to", "Go to a station and mark by their numbers"),
    verb("more", "mend", "Odd", "Take the correction offered for the odd reading"),
    verb("setup", "stations", "Stations", "Change the list of stations"),
    verb("finish", "menu", "Sweep", "Finish, start another, dial and direction, shape"),
    Command("next", ("pagedown",), "Next", "Next station (also + Enter)", footer=False),
    Command("previous", ("pageup",), "Previous", "Previous station (- Enter)", footer=False),
    Command("up", ("up",), "Mark up", "Choose an earlier mark to correct", footer=False),
    Command("down", ("down",), "Mark down", "Choose a later mark", footer=False),
)
ALL_READ = "All stations are read. F12 finishes the sweep and shows the result."
ALL_READ_FULL = "All is read. F12 finishes; F12, 9: first station again, half-turn test."
WHAT_NEXT = "Finished. F10 shows the job card with the step that comes next."
NOT_ALL_READ = "Not all of it is read: it does not count yet."
HALF_TURN_HOW = (
    "Hold the wheels and turn the shaft half round on them (or lift it, turn it, lay it down). "
    "Mind your hands. Then read both ends."
)
FIRST_AGAIN_HOW = "Read the first station once more, as at the beginning."
FIRST_READING = "Set the dial to zero, then type what it shows at each mark; Enter takes it."
FINISHED = "This sweep is finished. F12, then 8, opens it again."
NO_SWEEP = "No sweep is open: F12 starts one. The number stays."
ALL_STORED = "The book is free again: all that waited is stored."
NOTHING_ODD = "No reading looks odd. To change one go to it with Up and Down or F6."
HOW_TO_REPLACE = " / drops yours. To replace the reading choose its mark with F6."
FIGURES_FAIL = "The figures cannot be worked out; the readings are stored."


def waiting_text(listed: str) -> str:
    """Readings that are not stored yet."""
    return (
        f"NOT STORED YET: {listed}. Another program holds the book. Go on reading: they are "
        "stored in order when it is free. / takes the last one back."
    )


def stay_text(listed: str) -> str:
    """Why the cursor does not move."""
    return f"Wait: {listed} not stored yet, and belong here. / takes the last back."


def leave_text(listed: str) -> str:
    """Why the screen is not left at the first key."""
    return (
        f"{listed} not stored yet: wait until the book is free. The same key again leaves "
        "without them."
    )


def opening_text(session: SweepSession) -> tuple[str, Tone] | None:
    """What to say of a sweep just opened, and how; None = nothing."""
    if session.finished:
        return FINISHED, "hint"
    if session.complete:
        return all_read(session), "done"
    begun = session.readings or not session.sweep.marks_deg
    return None if begun else (FIRST_READING, "hint")


def all_read(session: SweepSession) -> str:
    """What comes after the last reading."""
    full = session.sweep.purpose in FULL_SWEEPS and session.sweep.marks_deg
    return ALL_READ_FULL if full else ALL_READ


def next_text(following: NextStation) -> str:
    """Where the program goes by itself, and why."""
    if following.station_in is None:
        return f"{following.why} F12 finishes; you may read on."
    return f"Move the dial to station {format_station(following.station_in)}. {following.why}"


def move_text(session: SweepSession) -> str:
    """Where the dial goes next."""
    return f"Move the dial to station {format_station(session.station_in or 0.0)}."


def closed_text(job: Job) -> str:
    """Another bench has closed the job."""
    return f"Another bench closed job {job.tag} ({job.state}). Nothing can be added."


def choice_text(session: SweepSession) -> str:
    """What happens to a reading that the person went to."""
    now = session.current
    if not session.chosen or now is None:
        return ""
    was = reading_text(session, now)
    return f"{was} is read here: a new number replaces it. (Digits moved the mark? NumLock.)"


def where_text(session: SweepSession, row: Reading) -> str:
    """A reading's place: `6 in, mark 45 deg`."""
    kind = "mark" if row.kind == "blocked" else row.kind
    return (
        f"{format_station(row.station_in)}, {slot_text(session, ReadingSlot(kind, row.clock_deg))}"
    )


def undone_text(before: SweepSession, gone: Sequence[Reading]) -> str:
    """What an undo took back."""
    if not gone:
        return "Nothing to take back"
    if len(gone) > 1:
        return f"Taken back: {len(gone)} at {format_station(gone[0].station_in)}"
    return f"Taken back: {reading_text(before, gone[0])}"


def moved_text(before: SweepSession, now: SweepSession, typed: str) -> str:
    """What a number half typed was for, when another bench changed what is asked; else ''."""
    if not typed or before.asked == now.asked or before.slot is None:
        return ""
    meant = f"{format_station(before.station_in or 0.0)}, {slot_text(before, before.slot)}"
    return f"It was for {meant}; another bench changed what is asked for here."


def news(before: SweepSession, now: SweepSession) -> str:
    """What another bench did to this sweep that its reader must know; '' = nothing of that kind."""
    if now.finished and not before.finished:
        return "Another bench finished this sweep. F12, then 8, opens it again."
    if before.finished and not now.finished:
        return "Another bench opened this sweep again."
    if changed := now.changed_here(before):
        was, after = changed[-1]
        becomes = "was taken back" if after is None else f"is now {reading_text(now, after)}"
        more = f" ({len(changed) - 1} more.)" if len(changed) > 1 else ""
        return (
            f"Another bench changed your reading at {where_text(now, was)}: "
            f"{reading_text(before, was)} {becomes}.{more}"
        )
    here = now.current
    if now.cursor == before.cursor and here is not None and here != before.current:
        return (
            f"Another bench has read this mark: {reading_text(now, here)}. Down goes on to the "
            "next mark."
        )
    return ""
