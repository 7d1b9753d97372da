"""What one station's readings say: the result of `core.runout.station_fit`.

Two figures, each with a 95 % interval:

- the *full-turn TIR* (`tir_in`), what the dial swings over one whole turn, free of reading noise:
  bend, ovality and three lobes together. It is what the trade, ISO 1101 (circular run-out) and ASME
  Y14.5 mean (from memory; see tests/published).
- its *bend part* (`bend_tir_in`), 2 |e|: what the dial would show of a round section that runs
  where this one runs. Only this part comes from bending; straightening can mend nothing else.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.runout.harmonics import TURN, Array, Marks
from core.runout.intervals import tir_intervals
from core.runout.line import clear_of_noise
from core.runout.posterior import Posterior
from core.runout.slips import Slip
from core.runout.swing import full_turn, swings
from core.runout.verdict import Runout


@dataclass(frozen=True, eq=False)
class StationFit:
    """What one station's readings say. Lengths inches, angles radians.

    Not modelled: lobes beyond the third, scratches, a dial that is not square to the shaft.
    """

    mean_in: float
    """Reading at the middle of the swing."""
    ecc_in: Array
    """(2,) eccentricity towards clock 0 and clock 90."""
    cov_in2: Array
    """(6, 6) covariance of `ecc_in`, `oval_in` and `lobes_in` together."""
    tir_in: float
    """Full-turn TIR: swing of the fitted curve over one whole turn, roundness errors included."""
    tir_low_in: float
    tir_high_in: float
    """95 % interval of the full-turn TIR."""
    tir_likely_in: float
    """The full-turn TIR is under this with a probability of `core.runout.swing.LIKELY`."""
    bend_tir_in: float
    """The part of it that bending causes, 2 |e|."""
    bend_tir_low_in: float
    bend_tir_high_in: float
    """95 % interval of the bend part."""
    shown_tir_in: float
    """What the dial showed: greatest minus least reading."""
    high_spot_rad: float
    """Clock of the eccentricity, 0..2 pi."""
    oval_in: Array
    """(2,) second harmonic: cosine and sine parts."""
    ovality_in: float
    """Amplitude of the second harmonic: the surface is this much above and below round."""
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
    """Outliers left out of the fit (indices, in the order taken)."""
    spots: tuple[int, ...] = ()
    """Outliers that were confirmed as right: a dent, burr or scratch. They are not in the fit
    either; their distance from it is in `residual_in`."""
    quick: bool = False
    """True when the station was read as TIR and high spot only: roundness is then unknown."""

    @property
    def ecc_cov_in2(self) -> Array:
        """(2, 2) covariance of `ecc_in`."""
        return self.cov_in2[:2, :2]

    @property
    def ecc_sigma_in(self) -> float:
        """Standard deviation of one component of `ecc_in` (root mean square of the two)."""
        return math.sqrt((self.cov_in2[0, 0] + self.cov_in2[1, 1]) / 2)

    @property
    def oval_cov_in2(self) -> Array:
        """(2, 2) covariance of `oval_in`."""
        return self.cov_in2[2:4, 2:4]

    @property
    def high_spot_known(self) -> bool:
        """Whether the high spot is clear of the noise; otherwise no clock is printed for it."""
        return bool(clear_of_noise(self.ecc_in, self.ecc_cov_in2))

    @property
    def runout(self) -> Runout:
        """Both figures with their intervals."""
        return Runout(
            self.tir_in,
            self.tir_low_in,
            self.tir_high_in,
            self.tir_likely_in,
            self.bend_tir_in,
            self.bend_tir_low_in,
            self.bend_tir_high_in,
        )

    @property
    def out_of_round_in(self) -> float:
        """Swing of the ovality and lobes alone, highest to lowest, inches."""
        round_off = np.concatenate((np.zeros(2), self.oval_in, self.lobes_in))
        return float(full_turn(round_off[None])[0])

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
    tir, around = swings(solved.each[:, :, 1:], marks.cov_in2[:, None, 1:, 1:], solved.share)
    residual = reading_in - solved.theta @ marks.design.T
    shown = reading_in.max(axis=1) - reading_in.min(axis=1)
    fits = []
    for s, theta in enumerate(solved.theta):
        c, e0, e1, a2, b2 = theta[:5].tolist()
        cov_s = solved.cov_in2[0 if shared else s]
        bend = 2 * math.hypot(e0, e1)
        least, likely, most = around[s].tolist()
        fits.append(
            StationFit(
                mean_in=c,
                ecc_in=theta[1:3],
                cov_in2=cov_s[1:, 1:],
                tir_in=float(tir[s]),
                tir_low_in=max(min(least, float(tir[s])), 0.0),
                tir_high_in=max(most, float(tir[s])),
                tir_likely_in=max(likely, float(tir[s])),
                bend_tir_in=bend,
                bend_tir_low_in=min(float(low[s]), bend),
                bend_tir_high_in=max(float(high[s]), bend),
                shown_tir_in=float(shown[s]),
                high_spot_rad=math.atan2(e1, e0) % TURN,
                oval_in=theta[3:5],
                ovality_in=math.hypot(a2, b2),
                ovality_rad=math.atan2(b2, a2) / 2 % math.pi,
                lobes_in=theta[5:7],
                residual_in=residual[s],
                repeatability_in=float(solved.repeatability_in[s]),
            )
        )
    return fits
