"""The plain practice: sweep, find the highest reading, press there, sweep again.

A competent machinist's version: every sweep is read at all stations and marks; the high spot is
taken from all eight marks, not from the highest mark alone; the push is worked out so that the
highest station comes down to nothing (lever arms to the rollers); beyond the rollers, where no
push can lower the station itself, the ram goes to the roller next to it.
"""

from __future__ import annotations

import numpy as np

from tests.support.simulated_bench import MOST_HITS, Bench


def chase(bench: Bench, *, lean: bool = False, slide: bool = False) -> bool:
    """Straighten by chasing; True when a full sweep shows every station within the limit.

    `lean`: after a hit only the highest station is read again, and hit again while it stays out;
    a full sweep follows once it is in. `slide`: the dial is slid a third of a gap either way from
    the highest station to find the peak between stations; both places are read and paid for.
    """
    while bench.hits < MOST_HITS:
        line = bench.sweep()
        worst = int(np.argmax(line.bend_tir_in))
        if line.bend_tir_in[worst] <= bench.setup.limit_in:
            return True
        at, ecc = float(line.station_in[worst]), line.ecc_in[worst]
        if slide:
            at, ecc = _peak_near(bench, at, ecc)
        while bench.hits < MOST_HITS:
            _press_down(bench, at, ecc)
            if not lean:
                break
            ecc = bench.read([at])[0][0]
            if 2 * np.hypot(*ecc) <= bench.setup.limit_in:
                break
    return False


def _peak_near(bench: Bench, at: float, ecc: np.ndarray) -> tuple[float, np.ndarray]:
    """The highest of a station and two places a third of a gap from it."""
    step = bench.setup.every_in / 3
    places = [x for x in (at - step, at + step) if 0 < x < bench.setup.length_in]
    found = [(at, ecc), *zip(places, bench.read(places)[0], strict=True)]
    return max(found, key=lambda pair: float(np.hypot(*pair[1])))


def _press_down(bench: Bench, at: float, ecc: np.ndarray) -> None:
    """Press on the high side so that the station comes down to the line of the rollers."""
    a, b = bench.setup.rollers_in
    if at < a:
        bench.hit(a, ecc / (a - at))
    elif at > b:
        bench.hit(b, ecc / (at - b))
    else:
        bench.hit(at, -ecc * (b - a) / ((at - a) * (b - at)))
