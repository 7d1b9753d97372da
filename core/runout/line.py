"""The shaft's centre line, seen from two supports.

Eccentricity vector e(x) = (component towards clock 0, component towards clock 90), inches, of the
centre of the section at station x from the line through the section centres at the two
supports. It is zero at the rollers by definition; a round shaft shows TIR = 2 |e|.

Not modelled here: sag (it does not turn with the shaft, so the dial does not see it). Out-of-round
seats on the rollers show in the second harmonics: `core.runout.roundness`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from core.base.errors import BadShaft
from core.base.units import format_from_to

Array = NDArray[np.float64]
SAME_PLACE_IN = 0.01
"""Two stations closer than this are one place (a chalk line is wider)."""
ROLLER_SIGMA_IN = 0.5
"""A roller's station taken off a tape along the shaft may be this far off (standard deviation).
Common practice, no source."""
CHI2_95 = 5.991
"""95 % point of chi-squared with two degrees of freedom."""


def clear_of_noise(ecc_in: Array, cov_in2: Array) -> NDArray[np.bool_]:
    """Whether eccentricities (..., 2) with covariances (..., 2, 2) have a direction worth printing.

    Zero must lie outside the 95 % ellipse of the vector: then its clock is known to about 25
    degrees. Every clock of a high spot on a screen or a paper hangs on this.
    """
    det = cov_in2[..., 0, 0] * cov_in2[..., 1, 1] - cov_in2[..., 0, 1] ** 2
    x, y = ecc_in[..., 0], ecc_in[..., 1]
    square = cov_in2[..., 1, 1] * x**2 - 2 * cov_in2[..., 0, 1] * x * y + cov_in2[..., 0, 0] * y**2
    return np.asarray(square > CHI2_95 * det)


@dataclass(frozen=True, eq=False)
class ShaftLine:
    """Eccentricity along the shaft, referred to two supports.

    `station_in` (n,) rising; `ecc_in` (n, 2); `sigma_in` (n,) standard deviation of each
    component; `rollers_in` (2,) the supports. `cov_in2` (n, 2, 2) is the full covariance of each
    vector where it is known. `measured` is the line as measured when this one was re-referred.
    `noise_freedom` says how many degrees of freedom the noise behind the uncertainties rests on.
    `own_share` (n,) is how much of each measured vector is in the one of this line: 1 as measured.
    """

    station_in: Array
    ecc_in: Array
    sigma_in: Array
    rollers_in: Array
    cov_in2: Array | None = None
    measured: ShaftLine | None = None
    noise_freedom: float = math.inf
    own_share: Array | None = None
    roller_sigma_in: float = ROLLER_SIGMA_IN
    """How well the stations of the rollers of the measurement are known, standard deviation."""

    def __post_init__(self) -> None:
        for name in ("station_in", "ecc_in", "sigma_in", "rollers_in"):
            object.__setattr__(self, name, np.asarray(getattr(self, name), dtype=float))
        n = self.station_in.shape[0] if self.station_in.ndim == 1 else -1
        if n < 1 or self.ecc_in.shape != (n, 2) or self.sigma_in.shape != (n,):
            raise BadShaft("Each station needs one eccentricity vector and one uncertainty.")
        if self.rollers_in.shape != (2,):
            raise BadShaft("Give two roller stations.")
        if abs(self.rollers_in[1] - self.rollers_in[0]) < SAME_PLACE_IN:
            raise BadShaft(
                "The two rollers stand at one place; a shaft needs two supports. "
                "Give two different stations."
            )
        if np.any(np.diff(self.station_in) <= 0):
            raise BadShaft("Stations must rise along the shaft, each only once.")

    @cached_property
    def bend_tir_in(self) -> Array:
        """The part of the TIR that bending causes, inches (n,): twice the eccentricity."""
        return 2.0 * np.hypot(self.ecc_in[:, 0], self.ecc_in[:, 1])

    @cached_property
    def high_spot_rad(self) -> Array:
        """Clock of the high spot at each station, radians in 0..2 pi (n,)."""
        return np.mod(np.arctan2(self.ecc_in[:, 1], self.ecc_in[:, 0]), 2 * np.pi)

    @cached_property
    def high_spot_known(self) -> NDArray[np.bool_]:
        """Whether the high spot at each station is clear of the noise (n,)."""
        return clear_of_noise(self.ecc_in, self.covariance_in2)

    @cached_property
    def covariance_in2(self) -> Array:
        """Covariance of each vector (n, 2, 2): `cov_in2`, or a round one from `sigma_in`."""
        if self.cov_in2 is not None:
            return self.cov_in2
        return np.asarray(self.sigma_in[:, None, None] ** 2 * np.eye(2))

    def ecc_at(self, x_in: float) -> Array:
        """Eccentricity vector at any station between the measured ones, by straight lines (2,)."""
        return self.point_at(x_in)[0]

    def point_at(self, x_in: float) -> tuple[Array, Array]:
        """Eccentricity (2,) and its covariance (2, 2) at any station, by straight lines.

        Between neighbouring stations (zero at the rollers of the measurement), the uncertainty of
        every station that takes part carried along. What the shaft does between stations is
        not known and not in the covariance.
        """
        base = self.measured or self
        mix = base._weights(np.array([x_in]))
        if self.measured is not None:
            a, b = self.rollers_in
            share = (x_in - a) / (b - a)
            ends = base._weights(self.rollers_in)
            mix = mix - (1 - share) * ends[:1] - share * ends[1:]
        cov = np.einsum("j,jkl->kl", mix[0] ** 2, base.covariance_in2)
        return np.asarray((mix @ base.ecc_in)[0]), np.asarray(cov)

    def referred_to(self, a_in: float, b_in: float) -> ShaftLine:
        """The same shaft seen from supports at stations `a_in` and `b_in` (subtract the chord).

        Supports may lie between stations (straight lines between neighbours, zero at the
        rollers). The uncertainty of the two support points is carried into every station.
        Going back to the rollers of the measurement gives the measured line itself.
        """
        base = self.measured or self
        if abs(b_in - a_in) < SAME_PLACE_IN:
            raise BadShaft("The two supports stand at one place. Give two different stations.")
        if np.allclose(sorted((a_in, b_in)), np.sort(base.rollers_in), rtol=0, atol=1e-9):
            return base
        support = base._weights(np.array([a_in, b_in]))
        share = (base.station_in - a_in) / (b_in - a_in)
        chord = np.outer(1 - share, support[0]) + np.outer(share, support[1])
        mix = np.eye(base.station_in.size) - chord
        cov = np.einsum("ij,jkl->ikl", mix**2, base.covariance_in2)
        return ShaftLine(
            station_in=base.station_in,
            ecc_in=mix @ base.ecc_in,
            sigma_in=np.sqrt(np.trace(cov, axis1=1, axis2=2) / 2),
            rollers_in=np.array([a_in, b_in], dtype=float),
            cov_in2=cov,
            measured=base,
            noise_freedom=base.noise_freedom,
            own_share=np.diag(mix),
        )

    def _weights(self, x_in: Array) -> Array:
        """Share of each station of a measured line in the vector at stations x (m, n)."""
        knots = [(x, i) for i, x in enumerate(self.station_in) if not self._on_roller(float(x))]
        knots += [(r, -1) for r in self.rollers_in]
        knots.sort()
        place = np.array([k[0] for k in knots])
        low, high = place[0] - SAME_PLACE_IN, place[-1] + SAME_PLACE_IN
        if np.any((x_in < low) | (x_in > high)):
            raise BadShaft(
                "A support lies outside the measured length "
                f"({format_from_to(place[0], place[-1])}). Read a station there, or choose a "
                "support between the stations."
            )
        weights = np.zeros((x_in.size, self.station_in.size))
        for column, (_, index) in enumerate(knots):
            if index >= 0:
                hat = np.zeros(place.size)
                hat[column] = 1.0
                weights[:, index] = np.interp(x_in, place, hat)
        return weights

    def _on_roller(self, x_in: float) -> bool:
        return bool(np.min(np.abs(self.rollers_in - x_in)) < SAME_PLACE_IN)
