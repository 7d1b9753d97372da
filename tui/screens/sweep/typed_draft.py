"""The number typed but not entered: kept with the slot it was typed for, and back after a stop."""

from __future__ import annotations

from dataclasses import dataclass

from core.book import drafts
from core.book.connection import Book
from core.jobs.sweep.sweep_session import SweepSession
from core.jobs.sweep.sweep_slots import Cursor


@dataclass(frozen=True)
class TypedDraft:
    """A half typed number and the slot under the cursor when it was typed."""

    text: str = ""
    station_in: float | None = None
    slot_no: int = 0
    chosen: bool = False


NOTHING = TypedDraft()


def kept(book: Book, sweep_id: str) -> TypedDraft:
    """What was kept for a sweep."""
    found = drafts.draft(book, f"sweep {sweep_id}")
    if not found.get("typed"):
        return NOTHING
    station = found.get("station", "")
    return TypedDraft(
        found["typed"],
        float(station) if station else None,
        int(found.get("slot") or 0),
        found.get("chosen") == "yes",
    )


def keep(book: Book, session: SweepSession, text: str, before: TypedDraft) -> TypedDraft:
    """Keep what is typed at the cursor for the next start; `before` is what was kept so far."""
    cursor = session.cursor
    draft = (
        TypedDraft(text, session.station_in, cursor.slot_no, session.chosen) if text else NOTHING
    )
    if draft != before:
        values = {
            "typed": draft.text,
            "station": "" if draft.station_in is None else repr(draft.station_in),
            "slot": str(draft.slot_no),
            "chosen": "yes" if draft.chosen else "",
        }
        name = f"sweep {session.sweep.id}"
        drafts.save_draft(book, name, values if draft.text else {"typed": ""})
    return draft


def restored(session: SweepSession, draft: TypedDraft) -> SweepSession:
    """The session at the slot for which the number was typed."""
    number = None if draft.station_in is None else session.find_station(draft.station_in)
    if not draft.text or number is None:
        return session
    place = Cursor(number, draft.slot_no)
    if draft.chosen:
        return session.choose(place)
    # Read at another bench meanwhile: the number may not go to another mark by itself.
    return session.to(place)
