"""What the shop's own hits take out of a shaft, against what they were asked to.

Share = angle taken out / angle asked for, per material and method. Model: the hits of one group
scatter about the group's own mean share; the group means scatter about 1, the honest start for a
calculated stroke. So a group with few hits stays near 1 and one with many follows its own record
(shrinkage, empirical Bayes; the spread of group means and the scatter are themselves drawn towards
starting values until the record outweighs them).

Source of the method: textbook normal-normal shrinkage. The starting values are common practice
without a source: 0.20 scatter, 0.15 spread between groups.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import hypot, isfinite, sqrt

from core.base.errors import ShaftlogError

PRESS, HEAT = "press", "heat"


@dataclass(frozen=True)
class Start:
    """What is reckoned with before any hit of a method was measured."""

    mean: float
    """Share taken out."""
    scatter: float
    """Of one hit about the mean."""
    spread: float
    """Of the means of materials."""
    of: str
    """What the share is a share of."""
    least: float
    """A group that takes out less than this share is not made up for by asking for more still."""
    bar_to_bar: float
    """Spread of the mean from one job to the next: other diameters, spots and torches."""


STARTS = {
    PRESS: Start(1.0, 0.20, 0.15, "what was asked", 0.2, 0.0),
    HEAT: Start(0.30, 0.12, 0.15, "the most by mechanics", 0.06, 0.03),
}
"""The mean of heat is that of a transient model of heated
fibres (`tests/bench/world/heat.py`: 0.22 to 0.37 over diameter, arc, temperature, time), which is
why it differs from bar to bar; no source for the spreads."""
TRUST_IN_SCATTER = 6.0
"""The starting scatter counts like this many hits."""
TRUST_IN_SPREAD = 8.0
"""The starting spread counts like this many groups."""
FINEST_HIT_RAD = 5e-5
"""No hit is made closer than this, one standard deviation: a third of a thou under the ram with the
blocks 2 ft apart. Common practice, no source."""
SHARE_LIMITS = (-1.0, 3.0)
"""Shares beyond are slips (wrong hit, wrong side); they are drawn in so that one does not rule."""

Group = tuple[str, str]
"""(material, method)"""


@dataclass(frozen=True)
class HitOutcome:
    """One hit of the past: asked and taken out along the same direction, radians."""

    material: str
    method: str
    asked_rad: float
    taken_rad: float
    sigma_rad: float = 0.0
    """Standard deviation of `taken_rad` from the measurement."""


@dataclass(frozen=True)
class Response:
    """How much of what is asked a hit takes out."""

    mean: float = 1.0
    """Expected share."""
    mean_sigma: float = STARTS[PRESS].spread
    """Standard deviation of that mean."""
    scatter: float = STARTS[PRESS].scatter
    """Standard deviation of one hit about the mean."""
    n_hits: int = 0
    """Hits of the record behind it."""
    least: float = STARTS[PRESS].least
    """See `Start`."""

    @property
    def aim_for(self) -> float:
        """Ask for this many times the angle wanted."""
        return 1.0 / max(self.mean, self.least)

    @property
    def share_sigma(self) -> float:
        """Standard deviation of taken out over wanted, when asked for `aim_for` times it."""
        return hypot(self.mean_sigma, self.scatter) * self.aim_for

    def share_sigma_of(self, angle_rad: float) -> float:
        """The same for a hit of this size: a small one is set and read no finer than a dial."""
        return hypot(self.share_sigma, FINEST_HIT_RAD / angle_rad)


def as_response(response: Response | float | None) -> Response:
    """A plain mean share, or nothing, as a `Response`."""
    if response is None:
        return Response()
    if isinstance(response, Response):
        return response
    if not isfinite(response) or response <= 0:
        raise ShaftlogError(f"A hit cannot take out {response:g} of what is asked. Give above 0.")
    return Response(mean=float(response))


def learn(records: Iterable[HitOutcome]) -> dict[Group, Response]:
    """The response of every group of the record."""
    groups: dict[Group, list[tuple[float, float]]] = defaultdict(list)
    for record in records:
        if record.asked_rad <= 0:
            raise ShaftlogError("A hit of the record asks for no angle; it teaches nothing.")
        low, high = SHARE_LIMITS
        share = min(max(record.taken_rad / record.asked_rad, low), high)
        groups[record.material, record.method].append((share, record.sigma_rad / record.asked_rad))
    scatter = {group: _scatter(shares, group[1]) for group, shares in groups.items()}
    fits = {group: _weighted(shares, scatter[group]) for group, shares in groups.items()}
    spread = {
        method: _spread([fit for group, fit in fits.items() if group[1] == method], method)
        for method in {group[1] for group in groups}
    }
    return {
        group: _shrunk(fits[group], group[1], spread[group[1]], scatter[group], len(shares))
        for group, shares in groups.items()
    }


def response_for(records: Sequence[HitOutcome], material: str, method: str) -> Response:
    """Response of one material and method; with no hits of its own it starts at `STARTS`."""
    learnt = learn(records)
    start = STARTS[method]
    first = Response(start.mean, _spread_of(records, method), start.scatter, 0, start.least)
    return learnt.get((material, method), first)


def learn_from_job(response: Response, shares: Iterable[tuple[float, float]]) -> Response:
    """The response with this job's own hits added: (taken out over asked, its sigma) each."""
    weight = 1.0 / response.mean_sigma**2
    total = response.mean * weight
    count = 0
    for share, sigma in shares:
        low, high = SHARE_LIMITS
        own = 1.0 / (response.scatter**2 + sigma**2)
        weight += own
        total += own * min(max(share, low), high)
        count += 1
    return replace(
        response,
        mean=total / weight,
        mean_sigma=1 / sqrt(weight),
        n_hits=response.n_hits + count,
    )


def _scatter(shares: Sequence[tuple[float, float]], method: str) -> float:
    """Scatter about the mean, measurement noise taken off, drawn towards the start."""
    mean = sum(s for s, _ in shares) / len(shares)
    raw = sum((s - mean) ** 2 - sigma**2 for s, sigma in shares)
    pooled = TRUST_IN_SCATTER * STARTS[method].scatter ** 2 + max(raw, 0.0)
    return sqrt(pooled / (TRUST_IN_SCATTER + len(shares) - 1))


def _weighted(shares: Sequence[tuple[float, float]], scatter: float) -> tuple[float, float]:
    """Mean share of a group by its own record, and the variance of that mean."""
    weights = [1 / (scatter**2 + sigma**2) for _, sigma in shares]
    total = sum(weights)
    return sum(w * s for w, (s, _) in zip(weights, shares, strict=True)) / total, 1 / total


def _spread(fits: Iterable[tuple[float, float]], method: str) -> float:
    """Spread of the group means about the start."""
    pairs, start = list(fits), STARTS[method]
    raw = sum((mean - start.mean) ** 2 - variance for mean, variance in pairs)
    pooled = TRUST_IN_SPREAD * start.spread**2 + max(raw, 0.0)
    return sqrt(pooled / (TRUST_IN_SPREAD + len(pairs)))


def _spread_of(records: Sequence[HitOutcome], method: str) -> float:
    groups: dict[Group, list[tuple[float, float]]] = defaultdict(list)
    for r in records:
        if r.method == method:
            share = r.taken_rad / r.asked_rad, r.sigma_rad / r.asked_rad
            groups[r.material, r.method].append(share)
    return _spread([_weighted(s, _scatter(s, method)) for s in groups.values()], method)


def _shrunk(
    fit: tuple[float, float], method: str, spread: float, scatter: float, count: int
) -> Response:
    own, before, start = 1 / fit[1], 1 / spread**2, STARTS[method]
    mean = (fit[0] * own + start.mean * before) / (own + before)
    sigma = hypot(1 / sqrt(own + before), start.bar_to_bar)
    return Response(mean, sigma, scatter, count, start.least)
