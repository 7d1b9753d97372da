"""The end of a walk: ticket, card, board and release list held against the memory."""

from __future__ import annotations

import re
from collections import Counter

from core.reports.ticket_collect import ticket_of
from tests.walks.machinist import Machinist

HIT_ROW = re.compile(r"^ *\d+ +([\d.]+) +(\d+) ", re.MULTILINE)


async def check(me: Machinist) -> None:
    """Every act is stated, none is invented, nothing is done and in the way at once."""
    with me.shop.open("bench 1") as book:
        ticket = ticket_of(book, me.shop.job_id)
    check_ticket(me, ticket.text, ticket.html)
    for text in me.memory.notes:
        if not me.rows("note", text=text):
            raise me.fault(f"the note {text!r} is gone")
    await _card_and_release(me)


def check_ticket(me: Machinist, text: str, page: str) -> None:
    """Both forms of a ticket against the memory."""
    _hits(me, text)
    _page_rows(me, page)
    _clear(me, text)
    for form in (text, page):
        _blocked(me, form)


def check_letter(me: Machinist, letter: str) -> None:
    """The letter to the owner counts the hits that were made, and names no area without a word."""
    stated = sum(int(n) for n in re.findall(r"(\d+) (?:press stroke|heat spot)", letter))
    if stated != len(me.memory.hits):
        raise me.fault(f"the letter counts {stated} hits, made were {me.memory.hits}\n{letter}")
    if "()" in letter or (" and found none" in letter and not me.memory.clear):
        raise me.fault(f"the letter says nothing of an area, or too much\n{letter}")


def _same_hit(stated: tuple[float, float], made: tuple[float, float]) -> bool:
    """Station as the plan showed it, to a tenth; clock to a degree."""
    off_deg = (stated[1] - made[1] + 180) % 360 - 180
    return abs(stated[0] - made[0]) <= 0.051 and abs(off_deg) <= 1


def _hits(me: Machinist, text: str) -> None:
    """The ticket lists the hits that were made and no other."""
    at = text.find("STRAIGHTENED")
    body = text[at:] if at >= 0 else ""
    body = re.split(r"\n[A-Z][A-Z ]{6,}", body[12:])[0]
    stated = sorted((float(s), float(c) % 360) for s, c in HIT_ROW.findall(body))
    made = sorted((round(s, 1), round(c) % 360) for s, c in me.memory.hits)
    left = list(stated)
    for one in made:
        alike = [hit for hit in left if _same_hit(hit, one)]
        if not alike:
            raise me.fault(f"ticket states the hits {stated}, made were {made}\n{text}")
        left.remove(alike[0])
    if left:
        raise me.fault(f"ticket states the hits {stated}, made were {made}\n{text}")


def _page_rows(me: Machinist, page: str) -> None:
    """The page lists as many hits as were made."""
    table = re.split(r"<h2>", page.partition("<h2>Straightened at</h2>")[2])[0]
    rows = max(table.count("<tr") - 1, 0)
    if rows != len(me.memory.hits):
        raise me.fault(f"the page lists {rows} hits, made were {me.memory.hits}\n{table}")


def _clear(me: Machinist, text: str) -> None:
    """No area is clear on the ticket that nobody found clear."""
    table = re.split(r"\n[A-Z][A-Z ,]{6,}", text.partition("\nPENETRANT CHECK")[2])[0]
    stated = set(re.findall(r"^CLEAR +(.+?) {2,}", table, re.MULTILINE))
    if invented := stated - me.memory.clear:
        raise me.fault(f"clear on the ticket, found clear by nobody: {invented}\n{text}")


def _blocked(me: Machinist, form: str) -> None:
    """No number of blocked marks is stated that no sweep has."""
    sweeps = Counter(r["sweep_id"] for r in me.rows("reading", kind="blocked", replaced_by=None))
    for number in re.findall(r"(\d+) marks? blocked, not read", re.sub(r"\s+", " ", form)):
        if int(number) not in sweeps.values():
            raise me.fault(f"{number} marks blocked are stated, blocked were {sweeps}\n{form}")


async def _card_and_release(me: Machinist) -> None:
    """Nothing is done on the card and in the way of the release; both count alike."""
    await me.to_card()
    card = me.hands.text
    done = set(re.findall(r"\d  ([A-Z][A-Za-z ]+?) {2,}done", card))
    counted = re.search(r"Release +(\d+) (?:step|thing)s? in the way", card)
    await me.to_step("Release")
    listed = me.hands.text
    blocks = set(re.findall(r"^ - ([A-Z][A-Za-z ]+?):", listed, re.MULTILINE))
    if both := done & blocks:
        raise me.fault(f"done on the card and in the way of the release: {both}\n{card}")
    said_done = re.search(r"DONE: ([^.]*)\.", re.sub(r"\s+", " ", listed))
    names = set(said_done[1].split("; ")) if said_done else set()
    if names & blocks:
        raise me.fault(f"done and in the way at once: {names & blocks}")
    number = re.search(r"IN THE WAY, (\d+) thing", " ".join(listed.split()))
    await _board(me, card)
    if (counted and counted[1]) != (number and number[1]):
        raise me.fault(f"the card counts {counted} in the way, the release lists {number}\n{card}")


async def _board(me: Machinist, card: str) -> None:
    """The board names the step that the card calls the next one."""
    following = re.search(r"\d  ([A-Z][A-Za-z ]+?) {2,}.*NEXT", card)
    await me.to_card()
    while me.hands.screen != "BoardScreen":
        await me.hands.press("escape")
    row = re.search(rf"^ *\d\d +{me.shop.tag}.*$", me.hands.text, re.MULTILINE)
    if row is None:
        raise me.fault(f"job {me.shop.tag} is not on the board")
    if following is not None and following[1][:9] not in row[0]:
        raise me.fault(f"the card's next step is {following[1]}, the board says {row[0]}")
