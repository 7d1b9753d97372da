"""Next hits of a job, and what a quick check after them says.

A *round* is a handful of hits made one after the other, then a quick check at a few stations. The
hits are those of the fitted bends that matter for the limits, never the highest reading. After
the check the line is worked out again from the sweep, the hits and the check; when the check
contradicts what was expected, the shaft needs a full sweep.

Conventions as in `core.runout.readings`; a hit goes on the high side, which is the direction of
-kappa. Lengths inches, angles radians. What is not modelled is listed in
`core.straightening.after_hits`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.base.errors import BadShaft, ShaftlogError
from core.base.limits import DEFAULT_LIMIT_IN
from core.bends.find import (
    FEWEST_TO_FIT,
    OFF_SIGMAS,
    BendReport,
    Kink,
    find_bends,
    has_outlying_neighbour,
    off_in_sigmas,
)
from core.runout.checked_line import CheckedLine
from core.runout.line import ShaftLine
from core.straightening.after_hits import (
    best_check_stations,
    expected_after,
    hit_lift,
)
from core.straightening.check import agrees, check_against_plan, line_reading
from core.straightening.choice import BrokenLine, CandidateSites, fewest
from core.straightening.response import Response, as_response, learn_from_job

Array = NDArray[np.float64]

MOST_HITS_A_ROUND = 6
AIM = 0.7
"""A round aims to leave at most this share of the limit by the plan."""
CLEAR_OF_NOISE = 3.0
"""But no finer than this many standard deviations of the line."""
GUARD = 0.85
"""Nothing more is hit once the line lies inside the limits by this many standard deviations."""
WAIT = 2.0
NEAR_SPAN = 0.25
"""A bend within this share of the roller span of a larger one waits while it moves the line less
than `WAIT` times the doubt the round brings: the scatter of the large hit may take it out."""
SURE_SIGMAS = 1.96
"""A station this many standard deviations over its limit is surely over it."""
AFTER_HITS_SIGMAS = 1.0
"""The same once it was hit: what a hit left is no dial noise. With `SURE_SIGMAS` one finished shaft
in seven was over its limit at a station, tried in the second world."""
HIT_REACH_IN = 9.0
"""A lone station this near a hit is what the hit left, not a section off centre."""
HALF_MENDED = 0.5
"""A round that leaves the line worse than this share of what it is lets nothing wait."""
CHECK_STATIONS = (3, 9)
"""A quick check reads two stations for each hit, at least the first figure and at most the second.
One a round fewer costs half a hit a shaft, tried in the second world."""
CHECK_NOISE_IN = 0.00013
"""Uncertainty of one component at one station, eight marks with a half-thou dial."""
NO_LIMIT_IN = 10.0
STAY_SHARE = 0.7
"""A dial is not moved to a station that tells less than a third more."""


@dataclass(frozen=True, eq=False)
class PlannedHit(Kink):
    """One hit of a round. The hit is to remove `kappa_rad`."""

    station_in: float
    kappa_rad: Array
    """Change of slope to take out (2,): towards clock 0, towards clock 90."""
    check_stations_in: tuple[float, ...] = ()
    """Stations worth a quick check after the round; the same for all its hits."""
    watch_station_in: float | None = None
    """Where a dial should stand after this hit: one roll there tells what the hit took out."""
    aim_for: float = 1.0
    """Ask press or torch for this many times `kappa_rad`: a shop whose hits take out too little
    aims higher."""
    share_sigma: float = 0.2
    """Standard deviation of what the hit takes out over what it is to take out."""
    worst_tir_after_in: float = 0.0
    """Worst TIR along the shaft expected after this hit and those before it in the round."""
    ecc_after_in: Array | None = None
    """(n, 2) the line expected after this hit, at the stations of the line."""
    taken_share: float | None = None
    """Taken out over what was to be taken out, once a check has measured it; None = not known."""
    taken_sigma: float = 0.0
    """Standard deviation of `taken_share`."""

    def __post_init__(self) -> None:
        kappa = np.asarray(self.kappa_rad, dtype=float)
        if kappa.shape != (2,) or not np.isfinite(kappa).all():
            raise ShaftlogError("A hit needs an angle toward clock 0 and one toward clock 90.")
        object.__setattr__(self, "kappa_rad", kappa)

    @property
    def ask_for_rad(self) -> float:
        """Angle to ask of press or torch, by the response so far."""
        return self.aim_for * self.angle_rad


def plan_round(
    line: ShaftLine,
    *,
    limit_in: float | ArrayLike = DEFAULT_LIMIT_IN,
    response: Response | float | None = None,
    hits_so_far: Sequence[PlannedHit] = (),
    bends: BendReport | None = None,
) -> tuple[PlannedHit, ...]:
    """The hits of the next round; none when the shaft lies within its limits everywhere.

    Parameters
    ----------
    line : measured line, or the line `after_quick_check` or `history.follow` gave.
    limit_in : greatest TIR allowed, one figure or one for each station (n,); inf = no limit there.
    response : what the shop's hits take out of what is asked; None = no record, starts at 1.
    hits_so_far : this job's hits with `taken_share` filled (see `with_taken_shares`); the
        planner learns from them how this shaft answers.
    bends : what `find_bends` says of this line, when it is at hand already.

    Source: common practice, no source; what a round aims at was tried on simulated shafts.
    """
    if not np.isfinite(line.ecc_in).all():
        raise BadShaft("A station of the line has no figure. Leave it out or read it again.")
    allowed = _allowed_in(line, limit_in)
    hit_at = tuple(hit.station_in for hit in hits_so_far)
    line = on_fitted_bends(line, bends, allowed, hit_at)
    learnt = learn_from_job(as_response(response), shares_asked(hits_so_far))
    places = CandidateSites.on(line.station_in, line.rollers_in, allowed)
    corners = _bends_that_matter(line, places, allowed)
    hits = [_hit(corners, k, learnt) for k in range(corners.station_in.size)]
    return _with_forecast(line, _without_waiting(line, hits, allowed))


def line_and_hits(
    line: ShaftLine,
    *,
    limit_in: float | ArrayLike = DEFAULT_LIMIT_IN,
    response: Response | float | None = None,
    hits_so_far: Sequence[PlannedHit] = (),
) -> tuple[ShaftLine, tuple[PlannedHit, ...]]:
    """The hits of the next round as `plan_round` has them, and the line that they are planned on.

    That is the given one; but where it has nothing to hit and a station of the sweep worked into it
    is surely over its limit, it is the sweep by itself, if that has something to hit.
    """

    def planned(on: ShaftLine) -> tuple[PlannedHit, ...]:
        return plan_round(on, limit_in=limit_in, response=response, hits_so_far=hits_so_far)

    hits = planned(line)
    swept = line.swept if isinstance(line, CheckedLine) else None
    if hits or swept is None:
        return line, hits
    if not _surely_over(swept, _allowed_in(swept, limit_in), SURE_SIGMAS).any():
        return line, hits
    by_sweep = planned(swept)
    return (swept, by_sweep) if by_sweep else (line, ())


def after_quick_check(
    line: ShaftLine,
    hits: Sequence[PlannedHit],
    station_in: ArrayLike,
    ecc_in: ArrayLike,
    sigma_in: ArrayLike,
) -> CheckedLine | None:
    """The line after the hits, worked out from readings at a few stations.

    Parameters
    ----------
    line : the line before the hits. hits : all hits made since.
    station_in : (m,) stations read again; each must be one of the line's stations.
    ecc_in : (m, 2) and sigma_in : (m,) or one figure: what was found there.

    Returns None when the readings do not agree with the hits: sweep the whole shaft again.
    """
    read = line_reading(line, len(hits), station_in, ecc_in, sigma_in)
    check = check_against_plan(line, hits, [read])
    return check.line if agrees(check) else None


def with_taken_shares(hits: Sequence[PlannedHit], line: CheckedLine) -> tuple[PlannedHit, ...]:
    """The hits made last before a check, each with the share it took out as `line` tells."""
    shares = line.shares[len(line.shares) - len(hits) :]
    return tuple(
        replace(hit, taken_share=share, taken_sigma=sigma)
        for hit, (share, sigma) in zip(hits, shares, strict=True)
    )


def _allowed_in(line: ShaftLine, limit_in: float | ArrayLike) -> Array:
    """Greatest eccentricity allowed at each station (n,): half the TIR limit."""
    limit = np.broadcast_to(np.asarray(limit_in, dtype=float), line.station_in.shape)
    if np.isnan(limit).any() or (limit <= 0).any():
        raise ShaftlogError("A limit of zero cannot be reached. Give a TIR above zero.")
    return np.asarray(np.minimum(limit, NO_LIMIT_IN) / 2)


def shares_asked(hits: Sequence[PlannedHit]) -> list[tuple[float, float]]:
    """What each checked hit says by itself of taken out over asked, and its sigma.

    The share of a hit was worked out with the expectation 1 +- share_sigma in it; that part is
    taken out again, so that it does not count twice.
    """
    shares = []
    for hit in hits:
        if hit.taken_share is None or hit.taken_sigma >= 0.98 * hit.share_sigma:
            continue
        own, start = max(hit.taken_sigma, 1e-6) ** -2, hit.share_sigma**-2
        share = (hit.taken_share * own - start) / (own - start)
        shares.append((share / hit.aim_for, (own - start) ** -0.5 / hit.aim_for))
    return shares


def on_fitted_bends(
    line: ShaftLine,
    bends: BendReport | None = None,
    allowed_in: Array | None = None,
    hit_at_in: Sequence[float] = (),
) -> ShaftLine:
    """A freshly swept line drawn onto its fitted bends, so that hits do not chase dial noise.

    Neighbouring stations further off the bends than noise explains stay as they were read: a bend
    may have been missed. A single station off the line of its neighbours is no bend, since a bend
    moves its neighbours too, but a section off centre (worn, built up) or misread: no hit mends
    that. After a quick check the line is left as it is: it is made of bends already.

    `hit_at_in`: where it was hit; a lone station beside a hit may be what the hit left, and stays
    as read. `allowed_in` (n,) is the greatest eccentricity allowed. Where the fitted line is inside
    it everywhere and some station surely is not, the whole line stays as read: the fit has smoothed
    away what is left to take out.
    """
    if isinstance(line, CheckedLine) or line.station_in.size < FEWEST_TO_FIT:
        return line
    report = bends or find_bends(line)
    fitted, bent = report.fitted, report.bent
    if line.measured is not None:
        fitted, bent = (one.referred_to(*line.rollers_in) for one in (fitted, bent))
    off = off_in_sigmas(line, fitted)
    outlier = np.isin(line.station_in, report.outlier_stations_in)
    alone = outlier | ((off > OFF_SIGMAS) & ~has_outlying_neighbour(off))
    if len(hit_at_in):
        alone &= np.abs(line.station_in[:, None] - np.array(hit_at_in)).min(axis=1) > HIT_REACH_IN
    as_read = (off > OFF_SIGMAS) & ~alone
    if allowed_in is not None and (np.hypot(*bent.ecc_in.T) <= allowed_in).all():
        sigmas = AFTER_HITS_SIGMAS if len(hit_at_in) else SURE_SIGMAS
        surely = _surely_over(line, allowed_in, sigmas)
        as_read |= ~alone & bool((surely & ~alone).any())
    return replace(line, ecc_in=np.where(as_read[:, None], line.ecc_in, bent.ecc_in))


def _surely_over(line: ShaftLine, allowed_in: Array, sigmas: float) -> NDArray[np.bool_]:
    """Whether each station is over the eccentricity allowed by so many standard deviations."""
    return np.asarray(np.hypot(*line.ecc_in.T) - sigmas * line.sigma_in > allowed_in)


def _bends_that_matter(line: ShaftLine, places: CandidateSites, allowed: Array) -> BrokenLine:
    """Fewest bends that, taken out, leave what a round aims for; none when all is within."""
    doubt = float(np.median(line.sigma_in / allowed))
    aim = min(1.0, max(AIM, CLEAR_OF_NOISE * doubt))
    return fewest(
        places,
        line.ecc_in,
        enough_at=max(aim, 1 - GUARD * doubt),
        enough=aim,
        most=MOST_HITS_A_ROUND,
    )


def _without_waiting(
    line: ShaftLine, hits: Sequence[PlannedHit], allowed: Array
) -> list[PlannedHit]:
    """The hits, largest effect first, less the small ones close to a larger one.

    Hits that only help together (opposed bends close to each other) do not wait for one another.
    """
    if len(hits) < 2:
        return list(hits)
    near = NEAR_SPAN * float(np.ptp(line.rollers_in))
    at = np.array([hit.station_in for hit in hits])
    if np.diff(np.sort(at)).min() >= near:
        return list(hits)
    doubt = float((expected_after(line, hits).sigma_in / allowed).max())
    moves = np.abs(hit_lift(line.station_in, at, line.rollers_in)) / allowed[:, None]
    effect = moves.max(axis=0) * np.array([hit.angle_rad for hit in hits])
    kept: list[PlannedHit] = []
    for k in np.argsort(-effect, kind="stable"):
        close = any(abs(hits[k].station_in - other.station_in) < near for other in kept)
        if effect[k] >= WAIT * doubt or not close:
            kept.append(hits[k])
    waiting = [hit for hit in hits if not any(hit is other for other in kept)]
    enough = max(1.0, HALF_MENDED * _worst(line.ecc_in, allowed))
    while waiting and _worst_after(line, kept, allowed) > enough:
        best = min(waiting, key=lambda hit: _worst_after(line, [*kept, hit], allowed))
        kept.append(best)
        waiting = [hit for hit in waiting if hit is not best]
    return kept


def _worst(ecc_in: Array, allowed: Array) -> float:
    """Greatest eccentricity (n, 2) as a share of what is allowed there."""
    return float((np.hypot(ecc_in[:, 0], ecc_in[:, 1]) / allowed).max())


def _worst_after(line: ShaftLine, hits: Sequence[PlannedHit], allowed: Array) -> float:
    return _worst(expected_after(line, hits).ecc_in, allowed)


def _hit(corners: BrokenLine, k: int, response: Response) -> PlannedHit:
    return PlannedHit(
        float(corners.station_in[k]),
        corners.kappa_rad[k],
        aim_for=response.aim_for,
        share_sigma=response.share_sigma_of(float(np.hypot(*corners.kappa_rad[k]))),
    )


def check_stations(line: ShaftLine, hits: Sequence[PlannedHit]) -> tuple[float, ...]:
    """Stations of a line that tell most of hits to be made on it, inches."""
    fewest, most = CHECK_STATIONS
    index = best_check_stations(line, hits, min(most, max(fewest, 2 * len(hits))), CHECK_NOISE_IN)
    return tuple(float(line.station_in[i]) for i in index)


def _with_forecast(line: ShaftLine, hits: Sequence[PlannedHit]) -> tuple[PlannedHit, ...]:
    """The hits with the line expected after each and the stations to check after all."""
    if not hits:
        return ()
    check = check_stations(line, hits)
    at = np.array([hit.station_in for hit in hits])
    shape = hit_lift(line.station_in, at, line.rollers_in)
    watch = _watch_stations(line.station_in, shape)
    planned, ecc = [], line.ecc_in
    for k, hit in enumerate(hits):
        ecc = ecc - np.outer(shape[:, k], hit.kappa_rad)
        worst = 2 * float(np.hypot(ecc[:, 0], ecc[:, 1]).max())
        planned.append(
            replace(
                hit,
                check_stations_in=check,
                watch_station_in=watch[k],
                worst_tir_after_in=worst,
                ecc_after_in=ecc,
            )
        )
    return tuple(planned)


def _watch_stations(station_in: Array, shape: Array) -> list[float]:
    """For each hit the station that moves most with it; the dial stays where it stands for the next
    hit when that moves at least `STAY_SHARE` as much there. `shape` (n, k): move per radian."""
    chosen: list[int] = []
    for move in np.abs(shape.T):
        stays = bool(chosen) and move[chosen[-1]] >= STAY_SHARE * move.max()
        chosen.append(chosen[-1] if stays else int(move.argmax()))
    return [float(station_in[i]) for i in chosen]
