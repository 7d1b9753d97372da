"""Our way: hits on the fitted bends, quick checks, a full sweep before the shaft is called true."""

from __future__ import annotations

from core.straightening.plan import PlannedHit, after_quick_check, plan_round, with_taken_shares
from core.straightening.response import Response
from tests.support.simulated_bench import MOST_HITS, Bench


def straighten(bench: Bench, *, response: Response | None = None) -> bool:
    """Follow the program; True when a full sweep leaves nothing to hit.

    The press is asked for `aim_for` times the angle of the hit. Every quick check is read as the
    hits say; when it contradicts the plan, and at the end, the whole shaft is swept.
    """
    limit = bench.setup.limit_in
    so_far: tuple[PlannedHit, ...] = ()
    line, swept = bench.sweep(), True
    while bench.hits < MOST_HITS:
        hits = plan_round(line, limit_in=limit, response=response, hits_so_far=so_far)
        if not hits and swept:
            return True
        if not hits:
            sweep = bench.sweep()
            read = sweep.station_in, sweep.ecc_in, sweep.sigma_in
            line, swept = after_quick_check(line, (), *read) or sweep, True
            continue
        for hit in hits:
            bench.hit(hit.station_in, hit.kappa_rad * hit.aim_for)
        check = hits[0].check_stations_in
        after = after_quick_check(line, hits, check, *bench.read(check))
        bench.rounds += 1
        swept = after is None
        if after is None:
            bench.disagreed += 1
            line = bench.sweep()
        else:
            so_far += with_taken_shares(hits, after)
            line = after
    return False
