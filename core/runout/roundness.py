"""Out-of-round roller seats: what they do to every other station, and how they are detected.

Where a roller pair carries an oval section the axis rises and falls twice a turn; the dial
shows it at every station, in proportion to the distance along the shaft::

    second harmonic(x) = own ovality(x) + (1 - w) A + w B,    w = (x - a) / (b - a)

with one vector A, B (cosine and sine part) for each roller. A straight line is fitted to the second
harmonics along the shaft; own ovality counts as scatter. A shaft that is equally oval from end to
end looks the same as A = B: then the result says so and does not decide.

Source: geometry; the size of the scatter is the ovality prior. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.base.units import format_dial, format_station
from core.runout.harmonics import OVALITY_PRIOR_IN, Array

LIFT_SIGMAS = 4.0
"""Lift over its standard deviation from which it is reported."""
LEAST_LIFT_IN = 0.0003
"""Smaller lifts are not worth a word."""


@dataclass(frozen=True, eq=False)
class RollerOvality:
    """What the second harmonics along the shaft say of the two roller seats."""

    rollers_in: Array
    """(2,)"""
    lift_in: Array
    """(2,) amplitude by which each roller lifts the axis twice a turn."""
    sigma_in: Array
    """(2,) standard deviation of one component of it."""
    found: tuple[bool, bool]
    """Whether it is clear of chance."""
    even: bool
    """Both lifts alike: the whole shaft may simply be oval."""
    own_in: Array
    """(n, 2) ovality of each section itself, the lift taken out."""

    @property
    def words(self) -> tuple[str, ...]:
        """One plain sentence for each finding."""
        if not any(self.found):
            return ()
        if self.even:
            return (
                f"Every station shows about {format_dial(float(self.lift_in.mean()))} of ovality: "
                "either the whole shaft is oval or both roller seats are. Move the rollers to find "
                "out which.",
            )
        return tuple(
            f"The shaft is out of round on the rollers at {format_station(place)}: it lifts the "
            f"axis {format_dial(lift)} twice a turn and shows as ovality along the shaft. Move "
            "that roller a little and sweep again if it matters."
            for place, lift, seen in zip(self.rollers_in, self.lift_in, self.found, strict=True)
            if seen
        )


def roller_ovality(
    station_in: Array,
    oval_in: Array,
    oval_cov_in2: Array,
    rollers_in: Array,
    *,
    own_sigma_in: float = OVALITY_PRIOR_IN / 2,
) -> RollerOvality | None:
    """Find lifts by oval roller seats; None with fewer than five stations.

    Parameters
    ----------
    station_in : (n,); oval_in : (n, 2) second harmonics, *without* the prior's pull where
        possible; oval_cov_in2 : (n, 2, 2) their covariance; rollers_in : (2,).
    own_sigma_in : scatter of the sections' own ovality to start with; raised to what is seen.
    """
    if station_in.size < 5:
        return None
    w = (station_in - rollers_in[0]) / (rollers_in[1] - rollers_in[0])
    rows = np.stack([1 - w, w], axis=1)
    own = own_sigma_in
    for _ in range(3):
        noise2 = np.trace(oval_cov_in2, axis1=1, axis2=2) / 2 + own**2
        weighted = rows / noise2[:, None]
        cov = np.linalg.inv(weighted.T @ rows)
        lifts = cov @ weighted.T @ oval_in
        left = oval_in - rows @ lifts
        own = max(own_sigma_in, float(np.sqrt(np.median(left**2) / 0.455)))
    lift = np.hypot(lifts[:, 0], lifts[:, 1])
    sigma = np.sqrt(np.diagonal(cov))
    seen = (lift > LIFT_SIGMAS * sigma) & (lift > LEAST_LIFT_IN)
    apart = np.hypot(*(lifts[0] - lifts[1]))
    spread = float(np.sqrt(cov[0, 0] + cov[1, 1] - 2 * cov[0, 1]))
    return RollerOvality(
        rollers_in=rollers_in,
        lift_in=lift,
        sigma_in=sigma,
        found=(bool(seen[0]), bool(seen[1])),
        even=bool(seen.all() and apart < max(3.0 * spread, 0.35 * lift.mean())),
        own_in=left,
    )
