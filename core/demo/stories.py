"""The jobs of the invented shop, in the order they came in: one of every stage, some coming back.

Each story opens its job through the shop and plays it as far as it has got.
"""

from __future__ import annotations

import math

from core.book import jobs
from core.demo import work
from core.demo.bench import bend, lost_turn, other_sign
from core.demo.shop import Shop
from core.demo.simulate import Ovality, TrueBow


def ledge_the_first_time(shop: Shop) -> None:
    """Released three years ago; the same shaft comes back later."""
    bench = shop.open_job(
        "supper",
        "22-031",
        "2022-09-12",
        bends=(bend(70.5, 7.2, 118), bend(48.0, 1.6, 290)),
        complaint="Shudder above half throttle since the ledge at low water.",
    )
    work.penetrant(bench)
    bench.sweep("as received")
    work.quote(bench, 1.5, replace_price=2350)
    work.straighten(bench)
    bench.sweep("working")
    bench.calendar.at("2022-09-14", 7, 40)
    bench.sweep("hold check")
    bench.sweep("final")
    work.coupling(bench)
    work.key(bench)
    work.release(bench, "Odo Kettleby")


def small_ketch(shop: Shop) -> None:
    """A light shaft straightened and released; nothing special."""
    bench = shop.open_job(
        "heron",
        "23-007",
        "2023-03-20",
        bends=(bend(38.5, 4.1, 210),),
        complaint="Stuffing box drips whatever the packing.",
        hand="Wren Halvard",
    )
    work.penetrant(bench)
    bench.sweep("as received")
    work.wear(bench, [(30.0, 1.2490), (63.0, 1.2460)])
    work.quote(bench, 1.0, replace_price=1450)
    work.straighten(bench)
    bench.sweep("final")
    work.coupling(bench)
    work.key(bench)
    work.release(bench, "Wren Halvard")


def released_under_protest(shop: Shop) -> None:
    """Released without a hold check, by the owner's wish and with a reason."""
    bench = shop.open_job(
        "bucket",
        "24-018",
        "2024-06-03",
        bends=(bend(52.5, 5.4, 20), bend(76.5, 3.3, 65)),
        complaint="Dredge chain in the propeller.",
    )
    work.penetrant(bench)
    bench.sweep("as received")
    work.quote(bench, 2.0, replace_price=3900)
    work.straighten(bench)
    bench.sweep("final")
    work.release(
        bench,
        "Odo Kettleby",
        overrule_by="Odo Kettleby",
        reason="Tide and season: the owner takes it today without the rest and the hold check,"
        " coupling and key not looked at. Told to bring it back at the first shudder.",
    )


def ferry_scrapped(shop: Shop) -> None:
    """A crack at the keyway end stops the repair; the shaft is replaced."""
    bench = shop.open_job(
        "fiddle",
        "25-009",
        "2025-02-17",
        bends=(bend(96.5, 6.5, 330), bend(132.5, 4.8, 305)),
        complaint="Struck a log at speed. Vibration at every speed.",
    )
    bench.sweep("as received")
    work.penetrant(bench, crack_in="propeller keyway and its end")
    work.quote(bench, 14.0, replace_price=6900)
    jobs.add_note(
        bench.book,
        job_id=bench.job.id,
        topic="penetrant",
        text="Crack runs out of the keyway corner into the taper. Stopped. Owner told by phone.",
    )
    bench.calendar.later(hours=26)
    work.close(bench, "replaced", "Cracked out of the keyway corner; a new shaft is made.")


def ledge_again(shop: Shop) -> None:
    """The returning shaft, bent where it was bent before; swept, not yet decided."""
    bench = shop.open_job(
        "supper",
        "26-002",
        "2026-02-02",
        bends=(bend(70.5, 5.1, 126), bend(27.0, 1.9, 12)),
        complaint="Same ledge, same shudder.",
        due="2026-02-20",
    )
    work.penetrant(bench)
    bench.sweep("as received", slips={(30.0, 135.0): other_sign})


def intake_only(shop: Shop) -> None:
    """On the rack, tagged; nothing read yet."""
    shop.open_job(
        "tide",
        "26-003",
        "2026-02-04",
        complaint="Yard could not get the coupling off without heat. Look at the taper.",
        due="2026-03-01",
        hand="Wren Halvard",
    )


def half_a_sweep(shop: Shop) -> None:
    """Interrupted in the middle of a roll."""
    bench = shop.open_job(
        "pelican port",
        "26-004",
        "2026-02-05",
        bends=(bend(64.5, 4.6, 75), bend(88.5, 2.8, 140)),
        complaint="Net round both wheels.",
        due="2026-02-24",
    )
    bench.sweep("as received", stop_after=76)


def swept(shop: Shop) -> None:
    """A bow over a length, an oval part, one slip of hand still standing."""
    bench = shop.open_job(
        "pelican starboard",
        "26-005",
        "2026-02-05",
        bends=(bend(75.0, 3.9, 250),),
        bows=(TrueBow(24.0, 60.0, (0.0012, -0.0016)),),
        ovality=(Ovality(40.0, 54.0, 0.0006, math.radians(30)),),
        complaint="Net round both wheels.",
        due="2026-02-24",
        hour=14,
    )
    bench.sweep("as received", slips={(60.0, 90.0): lost_turn})


def penetrant_on(shop: Shop) -> None:
    """Swept; penetrant cleaned off, developer not yet on."""
    bench = shop.open_job(
        "walnut",
        "26-006",
        "2026-02-06",
        bends=(bend(55.5, 5.8, 185),),
        complaint="Grounded on the bar, now hums.",
        due="2026-02-18",
        hand="Wren Halvard",
    )
    bench.sweep("as received")
    work.penetrant(bench, stop_before="developer_at")


def quoted(shop: Shop) -> None:
    """Waiting for the office to say yes."""
    bench = shop.open_job(
        "mitten",
        "26-007",
        "2026-02-09",
        bends=(bend(60.5, 2.9, 40), bend(102.5, 4.4, 60), bend(138.5, 2.2, 310)),
        complaint="Yearly haul-out; yard measured 25 thou at the strut.",
        due="2026-03-15",
    )
    work.penetrant(bench)
    bench.sweep("as received")
    work.quote(bench, 9.0, replace_price=6900)
    jobs.set_state(bench.book, bench.job.id, "waiting", waiting_for="owner's yes to the quote")


def at_the_press(shop: Shop) -> None:
    """Two rounds of hits done, each with its quick check."""
    bench = shop.open_job(
        "bucket",
        "26-008",
        "2026-02-10",
        bends=(bend(45.0, 6.1, 160), bend(69.0, 4.9, 205)),
        complaint="Dredge chain again.",
        due="2026-02-27",
    )
    bench.response = 0.72
    work.penetrant(bench)
    bench.sweep("as received")
    work.hit_round(bench)
    work.hit_round(bench)


def hold_check_begun(shop: Shop) -> None:
    """True last night; being read again after its rest."""
    bench = shop.open_job(
        "heron",
        "26-009",
        "2026-02-11",
        bends=(bend(33.0, 3.8, 300), bend(51.0, 3.1, 280)),
        complaint="Touched ground at anchor.",
        due="2026-02-19",
        hand="Wren Halvard",
    )
    work.penetrant(bench)
    bench.sweep("as received")
    work.wear(bench, [(30.0, 1.2480), (63.0, 1.2410)])
    work.straighten(bench)
    bench.sweep("working")
    bench.calendar.at("2026-02-12", 7, 50)
    bench.sweep("hold check", stop_after=27)
    jobs.add_note(
        bench.book,
        job_id=bench.job.id,
        text="On the rollers overnight; called to the crane in the middle.",
    )


def coupling_next(shop: Shop) -> None:
    """Straight and held; bore, face and pilot measured, key not yet."""
    bench = shop.open_job(
        "umbrella",
        "25-044",
        "2025-11-18",
        bends=(bend(57.0, 5.0, 95),),
        complaint="Coupling bolts loosened twice this season.",
        due="2026-02-16",
    )
    work.penetrant(bench)
    bench.sweep("as received")
    work.straighten(bench)
    bench.sweep("working")
    bench.calendar.at("2025-11-20", 8)
    bench.sweep("hold check")
    work.coupling(bench, clearance_in=0.0016)


def key_next(shop: Shop) -> None:
    """All but the release: key measured as well, final sweep missing."""
    bench = shop.open_job(
        "tide starboard",
        "25-047",
        "2025-12-02",
        bends=(bend(45.0, 3.6, 15),),
        complaint="Key rattles, keyway worn on one side.",
        due="2026-02-13",
        hand="Wren Halvard",
    )
    work.penetrant(bench)
    bench.sweep("as received")
    work.straighten(bench)
    bench.sweep("working")
    bench.calendar.at("2025-12-04", 8)
    bench.sweep("hold check")
    work.coupling(bench)
    work.key(bench)


def ready_for_release(shop: Shop) -> None:
    """Everything done; rolled the other way round on purpose in the last sweep."""
    bench = shop.open_job(
        "walnut spare",
        "25-049",
        "2025-12-08",
        bends=(bend(60.0, 4.2, 230), bend(81.0, 2.5, 200)),
        complaint="Spare shaft: make it true and keep it true.",
        due="2026-02-12",
    )
    work.penetrant(bench)
    bench.sweep("as received")
    work.straighten(bench)
    bench.sweep("working")
    bench.calendar.at("2025-12-10", 8)
    bench.sweep("hold check")
    work.coupling(bench)
    work.key(bench)
    bench.sweep("final", direction=-1)


def returned_unrepaired(shop: Shop) -> None:
    """Read the quick way; the owner would not pay, nothing was done to the shaft."""
    bench = shop.open_job(
        "mitten",
        "24-029",
        "2024-10-07",
        bends=(bend(110.0, 3.0, 45),),
        complaint="Survey asked for figures.",
    )
    bench.quick_sweep("as received")
    work.quote(bench, 5.0, replace_price=6600)
    work.close(bench, "returned", "The owner wants neither repair nor a new shaft.")


STORIES = (
    ledge_the_first_time,
    small_ketch,
    released_under_protest,
    returned_unrepaired,
    ferry_scrapped,
    coupling_next,
    key_next,
    ready_for_release,
    ledge_again,
    intake_only,
    half_a_sweep,
    swept,
    penetrant_on,
    quoted,
    at_the_press,
    hold_check_begun,
)
"""In the order the jobs came in."""
