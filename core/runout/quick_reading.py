"""Lower bound on the runout of a section read the quick way: by the swing of the dial alone.

Over a turn the dial swings by more than the axis runs out: ovality always adds (nearly nothing to
a large runout, all of itself to none), three lobes add or take. Their size at this station is
unknown; the priors give the usual size. The bound is the runout with which a swing as large as
the one seen still has a probability of 1 in 40.

Method: inversion of a test, textbook; the swing's distribution by an even spread of draws.
"""

from __future__ import annotations

from functools import lru_cache
from statistics import NormalDist

import numpy as np

from core.runout.harmonics import TURN, Array, Priors, harmonics
from core.runout.swing import even_draws

UPPER_QUANTILE = 0.975
DRAWS = 1024
ANGLES = 48
RUNOUTS = 32
OVALITY_NEGLIGIBLE_FROM = 60.0
"""From a runout so many times the usual ovality on, ovality adds nothing worth counting."""


def least_runout_in(swing_in: float, noise_in: float, priors: Priors) -> float:
    """Lower end of the 95 % interval of the axis's TIR, inches, never below zero.

    Parameters
    ----------
    swing_in : greatest less least reading. noise_in : standard deviation of one reading.
    priors : usual out-of-roundness.
    """
    runout, most = _most_shown(noise_in, priors)
    if swing_in > most[-1]:
        return float(swing_in - most[-1] + runout[-1])
    return float(np.interp(swing_in, most, runout))


@lru_cache(maxsize=32)
def _most_shown(noise_in: float, priors: Priors) -> tuple[Array, Array]:
    """Runouts (RUNOUTS,), rising, and the swing that each passes once in forty."""
    even = even_draws(DRAWS, 5)
    oval, lobes = (np.sqrt(-2 * np.log(even[:, k])) for k in (0, 2))
    parts = [
        priors.ovality_in * oval * np.cos(TURN * even[:, 1]),
        priors.ovality_in * oval * np.sin(TURN * even[:, 1]),
        priors.lobes_in * lobes * np.cos(TURN * even[:, 3]),
        priors.lobes_in * lobes * np.sin(TURN * even[:, 3]),
    ]
    rows = harmonics(np.linspace(0, TURN, ANGLES, endpoint=False))
    out_of_round = np.stack(parts, axis=1) @ rows[:, 3:].T
    noise = noise_in * np.sqrt(2) * np.array([NormalDist().inv_cdf(u) for u in even[:, 4].tolist()])
    runout = (
        OVALITY_NEGLIGIBLE_FROM
        * max(priors.ovality_in, priors.lobes_in)
        * np.linspace(0, 1, RUNOUTS) ** 2
    )
    most = [
        np.quantile(np.ptp(out_of_round + tir / 2 * rows[:, 1], axis=1) + noise, UPPER_QUANTILE)
        for tir in runout.tolist()
    ]
    return runout, np.maximum.accumulate(np.array(most))
