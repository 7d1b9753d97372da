"""Acts that begin and end a job: intake by keys, release, closing unrepaired, opened again."""

from __future__ import annotations

import re

from tests.walks import paper
from tests.walks.between import OTHERS, help_and_back, jobs_and_back
from tests.walks.book_rows import Row, RowChange, added
from tests.walks.machinist import Machinist


async def release(me: Machinist) -> None:
    """Release, overruling what is in the way; nothing is taken then; open it again."""
    with me.undisturbed():
        await me.to_step("Release")
        listed = " ".join(me.hands.text.split())
        free = "NOTHING IS IN THE WAY" in listed
        await me.press(me.hands.key_of("release"), steady=True)
        if me.hands.screen != "ReleaseFormScreen":
            raise me.fault("F4 did not open the release")
        number = len(me.memory.notes) + len(me.memory.finished)
        typed = [f"R. Keel {number}"] + ([] if free else [f"O. Strake {number}", f"why {number}"])
        me.begin()
        for text in typed:
            await me.hands.type(text)
            await me.press("enter", steady=True)
        me.nothing_changed("typed the names of a release")
        await me.press(me.hands.key_of("freeze"), steady=True)
        found = me.changes()
        row = _closed(me, found, "released")
        stored = [row["by"], row["overrule_by"], row["overrule_reason"]]
        if stored != [*typed, "", ""][:3]:
            raise me.fault(f"typed {typed}, stored {stored}", found)
        for text in typed:
            if text not in row["ticket_text"] or text not in row["ticket_html"]:
                raise me.fault(f"{text!r} is not on the ticket\n{row['ticket_text']}")
        paper.check_ticket(me, row["ticket_text"], row["ticket_html"])
        await _opened_again(me)


async def close(me: Machinist) -> None:
    """Given back without repair, with a reason; open it again."""
    with me.undisturbed():
        await me.to_card()
        await me.press(me.hands.key_of("more"), steady=True)
        await _digit(me, "Close: given back without repair")
        if me.hands.screen != "CloseFormScreen":
            raise me.fault("the card's menu did not open the closing form")
        reason = f"too dear {len(me.memory.notes)}"
        me.begin()
        await me.press("down", steady=True)
        for text in ("C. Frame", reason):
            await me.hands.type(text)
            await me.press("enter", steady=True)
        await me.press(me.hands.key_of("close"), steady=True)
        found = me.changes()
        row = _closed(me, found, "returned", "note")
        if row["by"] != "C. Frame" or reason not in row["ticket_text"]:
            raise me.fault(f"typed C. Frame, {reason}", found)
        paper.check_ticket(me, row["ticket_text"], row["ticket_html"])
        await _opened_again(me)


def _closed(me: Machinist, found: list[RowChange], state: str, *more: str) -> Row:
    """The job was closed with a paper, and nothing else was changed; the row of the paper."""
    me.only(found, "release", "job", "setting", "choice", *more)
    letters = [row["note"] for row in added(found, "choice") if row["subject"] == "letter"]
    if len(letters) != 1 or len([c for c in found if c.table == "choice"]) != 1:
        raise me.fault("one letter was to be frozen with the paper", found)
    paper.check_letter(me, letters[0])
    papers, jobs = added(found, "release"), [c for c in found if c.table == "job"]
    if len(papers) != 1 or len(jobs) != 1 or jobs[0].before is None:
        raise me.fault(f"the job was to be {state}, with one paper", found)
    fields = jobs[0].fields
    if jobs[0].before["id"] != me.shop.job_id or fields["state"][1] != state:
        raise me.fault(f"the job was to be {state}", found)
    if set(fields) - {"state", "closed_at", "waiting_for"}:
        raise me.fault("closing a job changed more of it", found)
    return papers[0]


async def _opened_again(me: Machinist) -> None:
    """On a closed job nothing is taken; its card opens it again."""
    await me.press("f10", steady=True)
    for step, keys in (("Coupling face", "5"), ("Straighten", "")):
        me.begin()
        await _digit(me, step)
        await me.hands.type(keys)
        await me.press("enter" if keys else "f4", steady=True)
        me.nothing_changed(f"{step} of a closed job")
        for _ in range(len(keys)):
            await me.hands.press("backspace")
        await me.press("f10", steady=True)
    me.begin()
    await me.press("f7", steady=True)
    await _digit(me, "Go on with it")
    me.nothing_changed("before it was said who opens the job again")
    await me.hands.type("P. Thwart")
    await me.press("enter", steady=True)
    found = me.changes()
    me.only(found, "job", "setting")
    if [c.fields["state"][1] for c in found if c.table == "job"] != ["open"]:
        raise me.fault("the job was to be open again", found)


async def _digit(me: Machinist, words: str) -> None:
    """The digit of a line of a menu or of the card."""
    found = me.hands.find(rf"(\d) {re.escape(words)}")
    if found is None:
        raise me.fault(f"no line {words!r}")
    await me.press(found[1], steady=True)


async def intake(me: Machinist) -> None:
    """Another shaft comes in: what was typed is what is stored, once."""
    await me.to_card()
    while me.hands.screen != "BoardScreen":
        await me.hands.press("escape")
    await me.press("f4", "f4", steady=True)
    if me.hands.screen != "NewCustomerScreen":
        raise me.fault("F4, F4 on the board did not open the intake")
    number = len(me.rows("job"))
    typed = ("1-3/4", "84", "14", "70", f"Tern {number}", f"Dunlin {number}",
             f"555-02{number:02d}", "2", "", f"bent {number}")  # fmt: skip
    me.begin()
    for text in typed:
        if me.disturbances and me.die.random() < 2 * me.chance:
            await me.disturb((help_and_back, jobs_and_back, *OTHERS))
        await me.hands.type(text)
        await me.press("enter", steady=True)
    found = me.changes()
    me.only(found, "customer", "vessel", "shaft", "job", "shaft_spell", "sweep", "setting")
    stored = {
        name: [row[field] for row in added(found, table)]
        for name, table, field in (
            ("customer", "customer", "name"), ("phone", "customer", "phone"),
            ("vessel", "vessel", "name"), ("position", "shaft", "position"),
            ("diameter", "shaft", "diameter_in"), ("length", "shaft", "length_in"),
            ("complaint", "job", "complaint"), ("roller a", "sweep", "roller_a_in"),
            ("roller b", "sweep", "roller_b_in"),
        )
    }  # fmt: skip
    meant = {
        "customer": [typed[4]], "phone": [typed[6]], "vessel": [typed[5]],
        "position": ["starboard"], "diameter": [1.75], "length": [84.0], "complaint": [typed[9]],
        "roller a": [14.0], "roller b": [70.0],
    }  # fmt: skip
    if stored != meant:
        raise me.fault(f"typed {meant}, stored {stored}", found)
    me.begin()
    await me.to_card()
