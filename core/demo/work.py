"""Everything of a demo job that is no sweep: hits, penetrant, coupling, key, quote, release."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from core.base.records import QuoteLine
from core.book import choices, hits, measurements, penetrant_checks, quotes, sweeps
from core.demo.bench import DemoBench
from core.demo.simulate import apply_hit
from core.fitting.keys import checklist as key_list
from core.fitting.keys.trial_checks import TRIAL_CHECKS
from core.fitting.shaft import wear_job
from core.jobs.penetrant import not_looked_at
from core.straightening.press import stroke_for_set
from core.straightening.repair_or_replace import STRAIGHTENING

E_AND_YIELD_PSI = {
    "S20910": (28.0e6, 105_000.0),
    "S31600": (28.0e6, 30_000.0),
    "S30400": (28.0e6, 30_000.0),
    "S17400": (28.5e6, 105_000.0),
    "N05500": (26.0e6, 100_500.0),
    "G10450": (29.0e6, 48_000.0),
    "C46400": (15.0e6, 53_000.0),
}
"""As in the tables of materials; what the invented shop's hits were set by."""
SPAN_IN = 24.0
SAME_BEND_IN = 6.0
WORTH_A_HIT_RAD = 0.00015
STANDARD = "ASTM E1417 / E165, solvent removable visible"


def hit_round(bench: DemoBench, *, check: bool = True, least_rad: float = WORTH_A_HIT_RAD) -> None:
    """Hit every bend that is left, then read three stations."""
    bench.rounds += 1
    done: list[float] = []
    for station_in, kappa in _bends_left(bench):
        if float(np.hypot(*kappa)) < least_rad:
            continue
        _hit(bench, station_in, kappa)
        done.append(station_in)
    if check and done:
        _quick_check(bench, done)


def _bends_left(bench: DemoBench) -> list[tuple[float, np.ndarray]]:
    """What is still bent, hits taken off, bend by bend."""
    left: list[tuple[float, np.ndarray]] = []
    for one in sorted(bench.true.bends, key=lambda b: b.station_in):
        kappa = np.array(one.kappa_rad)
        if left and one.station_in - left[-1][0] < SAME_BEND_IN:
            left[-1] = (left[-1][0], left[-1][1] + kappa)
        else:
            left.append((one.station_in, kappa))
    return left


def _hit(bench: DemoBench, station_in: float, kappa: np.ndarray) -> None:
    """One hit as a person sets it: station to a quarter inch, clock to five degrees."""
    at_in = round(station_in * 4) / 4
    clock_deg = round(math.degrees(math.atan2(-kappa[1], -kappa[0])) / 5) * 5 % 360
    angle_rad = round(float(np.hypot(*kappa)), 5)
    e_psi, yield_psi = E_AND_YIELD_PSI[bench.shaft.material]
    stroke = stroke_for_set(bench.shaft.diameter_in, SPAN_IN, e_psi, yield_psi, angle_rad)
    press = bench.method == "press"
    hits.add_hit(
        bench.book,
        job_id=bench.job.id,
        round_no=bench.rounds,
        method=bench.method,
        station_in=at_in,
        clock_deg=float(clock_deg),
        angle_rad=angle_rad,
        load_lbf=round(stroke.load_lbf, -1) if press else None,
        travel_in=round(stroke.travel_in, 3) if press else None,
        stays_in=round(stroke.stays_in * bench.response, 3) if press else None,
    )
    clock = math.radians(clock_deg)
    wanted = (-angle_rad * math.cos(clock), -angle_rad * math.sin(clock))
    bench.true = apply_hit(
        bench.true,
        at_in,
        wanted,
        rng=bench.rng,
        response=bench.response,
        scatter=0.12,
        clock_sigma_rad=math.radians(3),
        placing_sigma_in=0.06,
    )
    bench.calendar.later(minutes=6)


def _quick_check(bench: DemoBench, done: Sequence[float]) -> None:
    """Three stations: at the bends just hit and between them."""
    every = bench.stations_in()
    near = sorted({min(every, key=lambda s: abs(s - place)) for place in done})
    middle = min(every, key=lambda s: abs(s - bench.shaft.length_in / 2))
    places = sorted({*near, middle, every[1], every[-2]} - {every[0]})[:3]
    sweep = bench.sweep("quick check", stations_in=places)
    sweeps.add_quick_check(
        bench.book, job_id=bench.job.id, round_no=bench.rounds, sweep_id=sweep.id
    )


def straighten(bench: DemoBench, *, to_in: float = 0.0011, most_rounds: int = 8) -> None:
    """Rounds of hits until the shaft is true."""
    while bench.true.worst_tir_in(bench.rollers_in) > to_in and bench.rounds < most_rounds:
        hit_round(bench, least_rad=0.00004)
    penetrant(bench)


def penetrant(bench: DemoBench, *, crack_in: str = "", stop_before: str = "") -> None:
    """Penetrant check of every area not looked at yet; `stop_before` leaves a stage open."""
    areas = [(a.name, a.from_in, a.to_in) for a in not_looked_at(bench.book, bench.job.id)]
    if not areas:
        return
    made = penetrant_checks.start_checks(
        bench.book, job_id=bench.job.id, standard=STANDARD, areas=areas
    )
    names = {name for name, _, _ in areas}
    made = tuple(check for check in made if check.area in names)
    ids = [check.id for check in made]
    for stage, minutes in (("penetrant_at", 12), ("wiped_at", 2), ("developer_at", 15)):
        if stage == stop_before:
            return
        penetrant_checks.stage(bench.book, ids, stage)
        bench.calendar.later(minutes=minutes)
    for check in made:
        crack = check.area == crack_in
        penetrant_checks.set_result(
            bench.book,
            check.id,
            result="crack" if crack else "clear",
            notes="open line 0.6 in long from the keyway corner" if crack else "",
        )


def quote(bench: DemoBench, hours: float, *, replace_price: float) -> None:
    """A repair against a new shaft, as read to the owner over the phone."""
    rate, consumables = 100.0, 40.0
    lines = [
        QuoteLine(STRAIGHTENING, hours, rate, hours * rate),
        QuoteLine("penetrant and consumables", 1, consumables, consumables),
        QuoteLine("new shaft instead, for comparison", 1, replace_price, replace_price),
    ]
    quotes.save_quote(
        bench.book,
        job_id=bench.job.id,
        kind="both",
        text=f"Straightening about {hours * rate + consumables:.0f}; a new shaft about"
        f" {replace_price:.0f}. Repair is the cheaper as long as it takes under"
        f" {(replace_price - consumables) / rate:.0f} hours.",
        lines=lines,
    )


def measure(
    bench: DemoBench,
    subject: str,
    what: str,
    values_in: Sequence[float],
    *,
    depths_in: Sequence[float | None] = (None,),
    clocks_deg: Sequence[float | None] = (None,),
    set_no: int = 1,
) -> None:
    """Figures at depths and clocks, depth by depth."""
    places = [(depth, clock) for depth in depths_in for clock in clocks_deg]
    for (depth_in, clock_deg), value_in in zip(places, values_in, strict=True):
        measurements.take_measurement(
            bench.book,
            job_id=bench.job.id,
            subject=subject,
            what=what,
            raw=f"{value_in:.4f}",
            value_in=value_in,
            set_no=set_no,
            depth_in=depth_in,
            clock_deg=clock_deg,
        )
        bench.calendar.later(seconds=25)


def coupling(bench: DemoBench, *, clearance_in: float = 0.0006) -> None:
    """Bore and seat at three depths and two clocks, face at a radius, pilot."""
    size = bench.shaft.diameter_in
    depths, clocks = (0.5, 2.0, 3.5), (0.0, 90.0)
    wobble = np.round(bench.rng.normal(0, 0.0001, 12), 4).tolist()
    seat = [round(size - 0.0004 + w, 4) for w in wobble[:6]]
    bore = [round(size - 0.0004 + clearance_in + w, 4) for w in wobble[6:]]
    measure(bench, "seat", "diameter", seat, depths_in=depths, clocks_deg=clocks)
    measure(bench, "bore", "diameter", bore, depths_in=depths, clocks_deg=clocks)
    face = [0.0, 0.0001, 0.0002, 0.0003, 0.0003, 0.0002, 0.0001, 0.0]
    measure(bench, "face", "face reading", face, clocks_deg=[45.0 * n for n in range(8)])
    measure(bench, "flange", "dial radius", [2.0])
    measure(bench, "flange", "rim radius", [2.5])
    pilot = [0.0, 0.0002, 0.0005, 0.0006, 0.0006, 0.0004, 0.0001, -0.0001]
    measure(bench, "pilot", "reading", pilot, clocks_deg=[45.0 * n for n in range(8)])


def key(bench: DemoBench) -> None:
    """Widths and depths of both keyways and of the key, and the list after the trial fit."""
    width = {1.25: 0.3125, 1.5: 0.375, 1.75: 0.4375, 2.0: 0.5, 2.5: 0.625, 3.0: 0.75}[
        bench.shaft.diameter_in
    ]
    widths = [width + 0.0004, width + 0.0006]
    measure(bench, "shaft keyway", "width", widths, depths_in=(0.5, 3.0))
    measure(bench, "shaft keyway", "depth", [width / 2 + 0.002])
    measure(bench, "shaft keyway", "length", [3.25])
    measure(bench, "hub keyway", "width", [width + 0.0009])
    measure(bench, "hub keyway", "depth", [width / 2 + 0.006])
    measure(bench, "key", "width", [width - 0.0002])
    measure(bench, "key", "height", [width - 0.001])
    measure(bench, "hub keyway", "length", [3.5])
    measure(bench, "key", "length", [3.0])
    for check in TRIAL_CHECKS:
        choices.choose(
            bench.book,
            job_id=bench.job.id,
            subject=key_list.KEY_CHECK,
            name=check.name,
            value="yes",
            by=bench.hand,
        )


def wear(bench: DemoBench, diameters: Sequence[tuple[float, float]]) -> None:
    """Diameters miked at the riding areas: (station, diameter), inches."""
    for station_in, diameter_in in diameters:
        measure(bench, wear_job.SUBJECT, wear_job.DIAMETER, [diameter_in], depths_in=(station_in,))


def release(bench: DemoBench, by: str, *, overrule_by: str = "", reason: str = "") -> None:
    """Freeze the ticket and close the job."""
    from core.reports.closing import release_shaft
    from core.reports.ticket_collect import utc_text

    release_shaft(
        bench.book,
        bench.job.id,
        by=by,
        overrule_by=overrule_by,
        overrule_reason=reason,
        when=utc_text,
    )


def close(bench: DemoBench, state: str, reason: str) -> None:
    """Freeze the closing paper of a shaft that is not released."""
    from core.reports.closing import close_unreleased
    from core.reports.ticket_collect import utc_text

    close_unreleased(
        bench.book, bench.job.id, state=state, by=bench.hand, reason=reason, when=utc_text
    )
