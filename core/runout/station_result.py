"""What one station's readings say: the result of `core.runout.station_fit`.

*Full-turn TIR* (`tir_in`) is 2 |e|: what the dial would show over one whole turn of a round section
that runs where this one runs. It is what bending causes, what straightening can mend, and what
the shaft line is made of. Roundness errors are kept apart: `ovality_in`, and `swing_in`, the
swing of the whole fitted curve over one turn, roundness included, free of reading noise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from core.runout.harmonics import TURN, Array, Marks, full_turn
from core.runout.intervals import tir_intervals
from core.runout.posterior import Posterior
from core.runout.slips import Slip


@dataclass(frozen=True, eq=False)
class StationFit:
    """What one station's readings say. Lengths inches, angles radians.

    Not modelled: lobes beyond the third, scratches, a dial that is not square to the shaft.
    """

    mean_in: float
    """Reading at the middle of the swing."""
    ecc_in: Array
    """(2,) eccentricity towards clock 0 and clock 90."""
    ecc_cov_in2: Array
    """(2, 2) covariance of `ecc_in`."""
    ecc_sigma_in: float
    """Standard deviation of one component (root mean square of the two)."""
    tir_in: float
    """Full-turn TIR of the axis, 2 |e|."""
    tir_low_in: float
    tir_high_in: float
    """95 % interval of the full-turn TIR."""
    shown_tir_in: float
    """What the dial showed: greatest minus least reading."""
    high_spot_rad: float
    """Clock of the eccentricity, 0..2 pi."""
    oval_in: Array
    """(2,) second harmonic: cosine and sine parts."""
    oval_cov_in2: Array
    """(2, 2) covariance of `oval_in`."""
    ovality_in: float
    """Amplitude of the second harmonic: the surface stands this much above and below round."""
    ovality_rad: float
    """Clock of the oval's high point, 0..pi."""
    lobes_in: Array
    """(2,) third harmonic."""
    residual_in: Array
    """(n,) reading minus fitted curve."""
    repeatability_in: float
    """Standard deviation of a repeated reading used in the fit."""
    drift_in: float | None = None
    """First mark read again minus first reading; None = not read."""
    slips: tuple[Slip, ...] = ()
    left_out: tuple[int, ...] = ()
    """Readings left out of the fit because they stand apart (indices, in the order taken)."""
    spots: tuple[int, ...] = ()
    """Readings that stand apart too and are right all the same: a dent, burr or scratch there. They
    are not in the fit either; what they are off by is in `residual_in`."""
    quick: bool = False
    """True when the station was read as TIR and high spot only: roundness is then unknown."""

    @cached_property
    def swing_in(self) -> float:
        """Swing of the fitted curve over one whole turn, roundness errors included, inches."""
        return full_turn(self.theta_in)

    @property
    def theta_in(self) -> Array:
        """(7,) parameters of the fitted curve, in the order of `core.runout.harmonics`."""
        parts = (np.array([self.mean_in]), self.ecc_in, self.oval_in, self.lobes_in)
        return np.concatenate(parts)


def station_fits(marks: Marks, reading_in: Array, solved: Posterior) -> list[StationFit]:
    """One result for each of S stations (S, n) solved together."""
    shared = solved.share.shape[0] == 1
    # The covariance of one noise value is the same for all stations with these marks.
    cov = marks.cov_in2[:, None, 1:3, 1:3]
    low, high = tir_intervals(solved.each[:, :, 1:3], cov, solved.share)
    residual = reading_in - solved.theta @ marks.design.T
    shown = reading_in.max(axis=1) - reading_in.min(axis=1)
    fits = []
    for s, theta in enumerate(solved.theta):
        c, e0, e1, a2, b2 = theta[:5].tolist()
        cov_s = solved.cov_in2[0 if shared else s]
        tir = 2 * math.hypot(e0, e1)
        fits.append(
            StationFit(
                mean_in=c,
                ecc_in=theta[1:3],
                ecc_cov_in2=cov_s[1:3, 1:3],
                ecc_sigma_in=math.sqrt((cov_s[1, 1] + cov_s[2, 2]) / 2),
                tir_in=tir,
                tir_low_in=min(float(low[s]), tir),
                tir_high_in=max(float(high[s]), tir),
                shown_tir_in=float(shown[s]),
                high_spot_rad=math.atan2(e1, e0) % TURN,
                oval_in=theta[3:5],
                oval_cov_in2=cov_s[3:5, 3:5],
                ovality_in=math.hypot(a2, b2),
                ovality_rad=math.atan2(b2, a2) / 2 % math.pi,
                lobes_in=theta[5:7],
                residual_in=residual[s],
                repeatability_in=float(solved.repeatability_in[s]),
            )
        )
    return fits
