"""Parameters of many stations with the same marks at once, the noise weighed over its grid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.runout.harmonics import Array, Marks


@dataclass(frozen=True, eq=False)
class Posterior:
    """S stations, G noise values, 7 parameters in the order of `core.runout.harmonics`."""

    share: Array
    """(G, S) probability of each noise value."""
    each: Array
    """(G, S, 7) parameters for each noise value."""
    theta: Array
    """(S, 7) parameters, averaged."""
    cov_in2: Array
    """(S, 7, 7) their covariance."""
    repeatability_in: Array
    """(S,) mean repeatability."""


def evidences(marks: Marks, reading_in: Array) -> tuple[Array, Array]:
    """Pull of each reading (G, S, n) and log evidence (G, S) of readings (S, n)."""
    pull = np.matmul(reading_in, marks.precision)
    return pull, marks.log_base[:, None] - 0.5 * (pull * reading_in).sum(axis=-1)


def posterior(marks: Marks, reading_in: Array, log_evidence: Array) -> Posterior:
    """Solve S stations (S, n) whose log evidence (G, S) is known."""
    each = np.matmul(reading_in, marks.gain_t)
    if log_evidence.shape[0] == 1:
        cov = np.broadcast_to(marks.cov_in2, (reading_in.shape[0], 7, 7))
        repeat = np.broadcast_to(marks.repeatability_in, (reading_in.shape[0],))
        return Posterior(np.ones(log_evidence.shape), each, each[0], cov, repeat)
    weight = np.exp(log_evidence - log_evidence.max(axis=0))
    share = weight / weight.sum(axis=0)
    theta = (share[:, :, None] * each).sum(axis=0)
    apart = each - theta
    within = share.T @ marks.cov_in2.reshape(-1, 49)
    between = np.einsum("gs,gsp,gsq->spq", share, apart, apart)
    cov = within.reshape(-1, 7, 7) + between
    return Posterior(share, each, theta, cov, share.T @ marks.repeatability_in)
