"""What can come between two keys: a look elsewhere, the other bench, a dead computer."""

from __future__ import annotations

from core.base.times import moment
from core.book import customers, drafts, hits, jobs, shafts
from core.jobs import penetrant, penetrant_actions
from core.jobs.sweep import sweep_entry
from tests.walks.book_rows import diff
from tests.walks.hands import Hands
from tests.walks.machinist import Machinist


async def help_and_back(me: Machinist) -> None:
    """F1, Esc."""
    await _there_and_back(me, "f1")


async def jobs_and_back(me: Machinist) -> None:
    """F2, Esc."""
    await _there_and_back(me, "f2")


async def note_and_back(me: Machinist) -> None:
    """F9, Esc: nothing is written."""
    await _there_and_back(me, "f9")


async def _there_and_back(me: Machinist, key: str) -> None:
    screen = me.hands.app.screen
    await me.hands.press(key)
    for _ in range(3):
        if me.hands.app.screen is screen:
            return
        await me.hands.press("escape")


async def out_and_in(me: Machinist) -> None:
    """Esc to the card and back by the card's digit."""
    steps = {
        "SweepScreen": None,
        "StraightenScreen": "Straighten",
        "PenetrantScreen": "Penetrant check",
        "CouplingScreen": "Coupling bore",
        "FaceScreen": "Coupling face",
        "KeyScreen": "Key",
    }
    name = me.hands.screen
    if name not in steps:
        return
    await me.hands.press("escape")
    if steps[name] is not None and me.hands.screen != name:
        await me.to_step(steps[name] or "")
    elif name == "SweepScreen":
        await _back_to_sweep(me)


async def _back_to_sweep(me: Machinist) -> None:
    from tests.walks.sweep_acts import at_sweep

    await at_sweep(me)


async def other_bench(me: Machinist) -> None:
    """Another program on the book stores something, and this one hears of it."""
    await _other_stores(me)
    me.news = True
    await me.hear()


async def other_bench_unheard(me: Machinist) -> None:
    """Another program stores something, and the next key comes before this one hears of it."""
    await _other_stores(me)
    me.unheard = me.news = True


async def _other_stores(me: Machinist) -> None:
    before = me.watcher.look()
    own = diff(me.before, before)
    if own:
        raise me.fault("stored before the act was ended", own)
    with me.shop.open("bench 2") as book:
        me.die.choice(OTHERS_DO.get(me.hands.screen, ANYTHING))(me, book)
    me.before = me.watcher.look()
    for change in diff(before, me.before):
        row = change.after or {}
        me.elsewhere.add(row.get("id", ""))


def _reading(me: Machinist, book) -> None:  # type: ignore[no-untyped-def]
    sweep = sweep_entry.unfinished_sweep(book, me.shop.job_id)
    if sweep is None:
        return
    session = sweep_entry.open_session(book, sweep.id)
    if session.complete or session.station_in is None:
        return
    if me.die.random() < 0.3 and len(session.readings) > 3:
        place = session.find(me.die.choice(session.readings))
        if place is None:
            return
        session = session.choose(place)
    sweep_entry.take(book, session, f"{me.die.randint(-20, 20) / 2:g}")


def _phone(me: Machinist, book) -> None:  # type: ignore[no-untyped-def]
    job = jobs.job(book, me.shop.job_id)
    vessel = customers.vessel(book, shafts.shaft(book, job.shaft_id).vessel_id)
    customers.change_customer(book, vessel.customer_id, phone=f"555-01{me.die.randint(10, 99)}")


def _hit(me: Machinist, book) -> None:  # type: ignore[no-untyped-def]
    if not hits.hits_of(book, me.shop.job_id):
        return
    station, clock, angle = me.die.uniform(14, 46), float(me.die.randrange(0, 360, 5)), 3e-4
    made = hits.add_hit(
        book,
        job_id=me.shop.job_id,
        round_no=hits.last_round(book, me.shop.job_id),
        method="press",
        station_in=round(station, 2),
        clock_deg=clock,
        angle_rad=angle,
    )
    me.shop.press(made.station_in, clock, angle)
    me.memory.hits.append((made.station_in, made.clock_deg))


def _hit_taken_back(me: Machinist, book) -> None:  # type: ignore[no-untyped-def]
    if not hits.hits_of(book, me.shop.job_id):
        return
    gone = hits.undo_hit(book, me.shop.job_id)
    if gone is not None:
        me.memory.hits.remove((gone.station_in, gone.clock_deg))
    if gone is not None and gone.corrects is not None:
        first = hits.hit(book, gone.corrects)
        me.memory.hits.append((first.station_in, first.clock_deg))


def _note(me: Machinist, book) -> None:  # type: ignore[no-untyped-def]
    jobs.add_note(book, job_id=me.shop.job_id, text=f"from bench 2, {me.die.random():.6f}")
    drafts.drop_draft(book, "nothing of this name")


def _who_works(me: Machinist, book) -> None:  # type: ignore[no-untyped-def]
    jobs.change_job(book, me.shop.job_id, worker=f"hand {me.die.randint(10, 99)}")


def _stamp(me: Machinist, book) -> None:  # type: ignore[no-untyped-def]
    now = moment(book.now())
    there = penetrant.spots(book, me.shop.job_id, now)
    due = [spot for spot in there if spot.due]
    if due:
        penetrant_actions.stamp_some(book, me.shop.job_id, (me.die.choice(due),), there)


ANYTHING = (_reading, _phone, _hit, _note, _hit_taken_back)
OTHERS_DO = {
    "SweepScreen": (*ANYTHING, _reading, _reading, _reading),
    "PenetrantScreen": (_stamp, _stamp, _phone, _hit),
    "StraightenScreen": (_hit, _hit_taken_back, _who_works, _who_works),
}
"""What the other bench does: likely the same work, as two people on one shaft do."""


async def kill_and_restart(me: Machinist) -> None:
    """The program dies; a new one is started and goes back to the same screen."""
    name = me.hands.screen
    pressed = me.hands.pressed
    await me.hands.kill()
    me.hands = Hands(me.shop)
    me.hands.pressed = pressed
    pressed.append("(kill)")
    await me.hands.start()
    if found := diff(me.before, me.watcher.look()):
        raise me.fault("a kill or a start changed the book", found)
    steps = {"StraightenScreen": "Straighten", "PenetrantScreen": "Penetrant check",
             "CouplingScreen": "Coupling bore", "FaceScreen": "Coupling face",
             "KeyScreen": "Key"}  # fmt: skip
    if name in steps:
        await me.to_step(steps[name])
    elif name == "SweepScreen":
        await _back_to_sweep(me)


LOOKS = (help_and_back, jobs_and_back, note_and_back, out_and_in)
OTHERS = (other_bench, other_bench_unheard)
ALL = (*LOOKS, *LOOKS, *OTHERS, kill_and_restart)
