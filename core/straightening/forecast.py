"""How many hits and bench hours a shaft will take: the planner played many times over.

Each play starts from the measured line, drawn within its uncertainty, and straightens it with the
planner itself: hits scatter by the shop's response, in size, clock and place; quick checks and
sweeps are read with the dial's noise and paid for in minutes. The spread of the plays is the
forecast. The planner in a play learns and errs like the real one.

Lengths inches. Not modelled: cracks found on the way, stress let out by a hit, waiting, setting up.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.base.limits import DEFAULT_LIMIT_IN
from core.bends.find import BendReport
from core.runout.checked_line import CheckedLine
from core.runout.line import ShaftLine
from core.straightening.after_hits import (
    CLOCK_SIGMA_RAD,
    HIT_LENGTH_IN,
    HIT_LENGTH_SIGMA_IN,
    PLACE_SIGMA_IN,
    spread_lift,
)
from core.straightening.plan import (
    PlannedHit,
    after_quick_check,
    on_fitted_bends,
    plan_round,
    with_taken_shares,
)
from core.straightening.response import Response, as_response

Array = NDArray[np.float64]

PLAYS = 50
MOST_HITS = 60
FORECAST_SEED = 20_000


@dataclass(frozen=True)
class Costs:
    """What the bench takes for each thing, minutes."""

    hit_min: float = 6.0
    station_min: float = 1.5


USUAL = Costs()


@dataclass(frozen=True)
class Forecast:
    """Spread of the plays; a sweep at the end is included, the first one is not."""

    hits: tuple[int, ...]
    """Hits of each play."""
    minutes: tuple[float, ...]
    """Bench minutes of each play."""
    unfinished: int
    """Plays that were not true after the most hits allowed."""
    complete: bool
    """False when it was cancelled; the spread is then of fewer plays."""

    @property
    def hits_median(self) -> int:
        """As many hits in half of the plays."""
        return int(np.median(self.hits)) if self.hits else 0

    @property
    def hits_90(self) -> int:
        """No more hits than this in nine plays of ten."""
        return int(np.ceil(np.quantile(self.hits, 0.9))) if self.hits else 0

    @property
    def hours_median(self) -> float:
        """Bench hours, half of the plays."""
        return float(np.median(self.minutes)) / 60 if self.minutes else 0.0

    @property
    def hours_90(self) -> float:
        """Bench hours, nine plays of ten."""
        return float(np.quantile(self.minutes, 0.9)) / 60 if self.minutes else 0.0


def forecast(
    line: ShaftLine,
    *,
    limit_in: float | ArrayLike = DEFAULT_LIMIT_IN,
    response: Response | float | None = None,
    costs: Costs = USUAL,
    bends: BendReport | None = None,
    plays: int = PLAYS,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    spot_ceiling_rad: float | None = None,
    seed: int = FORECAST_SEED,
) -> Forecast:
    """Play the straightening of a measured line `plays` times.

    Parameters
    ----------
    progress : called with (plays done, plays in all) after each play.
    cancelled : asked before each play; True ends it with the plays so far.
    spot_ceiling_rad : by heat: the most one spot can take out; a bend that asks for more takes
        several, and each scatters by itself. None = by press, one stroke a hit.
    seed : the same seed and line give the same forecast.
    """
    start = on_fitted_bends(line, bends)
    shop = as_response(response)
    hits: list[int] = []
    minutes: list[float] = []
    unfinished = 0
    for play in range(plays):
        if cancelled is not None and cancelled():
            break
        rng = np.random.default_rng([seed, play])
        game = _Game(start, limit_in, shop, rng, spot_ceiling_rad)
        unfinished += not game.play()
        hits.append(game.n_hits)
        minutes.append(game.n_hits * costs.hit_min + game.n_stations * costs.station_min)
        if progress is not None:
            progress(play + 1, plays)
    return Forecast(tuple(hits), tuple(minutes), unfinished, len(hits) == plays)


class _Game:
    """One play: the true line is drawn once and then hit."""

    def __init__(
        self,
        line: ShaftLine,
        limit_in: float | ArrayLike,
        response: Response,
        rng: np.random.Generator,
        spot_ceiling_rad: float | None = None,
    ) -> None:
        self.spot_ceiling_rad = spot_ceiling_rad
        self.line, self.limit_in, self.response, self.rng = line, limit_in, response, rng
        self.share = response.mean + response.mean_sigma * float(rng.standard_normal())
        self.true: Array = line.ecc_in + self._noise(line.sigma_in)
        self.n_hits = 0
        self.n_stations = 0

    def play(self) -> bool:
        """Straighten; True when a sweep at the end leaves nothing to hit."""
        known: CheckedLine = _known(self.line, self.line.ecc_in)
        swept = True
        so_far: tuple[PlannedHit, ...] = ()
        while self.n_hits < MOST_HITS:
            hits = plan_round(
                known, limit_in=self.limit_in, response=self.response, hits_so_far=so_far
            )
            if not hits and swept:
                return True
            if not hits:
                known, swept = self._sweep(known), True
                continue
            for hit in hits:
                self._hit(hit)
            after = self._quick_check(known, hits)
            swept = after is None
            if after is not None:
                so_far += with_taken_shares(hits, after)
            known = self._sweep(None) if after is None else after
        return False

    def _hit(self, hit: PlannedHit) -> None:
        """What the hit really does: off in size, clock, place and length."""
        draw = self.rng.standard_normal(4)
        acts = 1
        if self.spot_ceiling_rad is not None:
            acts = max(1, int(np.ceil(hit.ask_for_rad / self.spot_ceiling_rad - 1e-9)))
        scatter = self.response.scatter / np.sqrt(acts)
        size = hit.aim_for * max(0.0, self.share + scatter * float(draw[0]))
        cos, sin = np.cos(CLOCK_SIGMA_RAD * draw[1]), np.sin(CLOCK_SIGMA_RAD * draw[1])
        taken = size * np.array([[cos, -sin], [sin, cos]]) @ hit.kappa_rad
        at = np.array([hit.station_in + PLACE_SIGMA_IN * draw[2]])
        length_in = max(0.0, HIT_LENGTH_IN + HIT_LENGTH_SIGMA_IN * float(draw[3]))
        shape = spread_lift(self.line.station_in, at, self.line.rollers_in, length_in)
        self.true = self.true - shape * taken
        self.n_hits += acts

    def _quick_check(self, known: CheckedLine, hits: tuple[PlannedHit, ...]) -> CheckedLine | None:
        places = np.array(hits[0].check_stations_in)
        index = np.searchsorted(self.line.station_in, places)
        sigma = self.line.sigma_in[index]
        self.n_stations += index.size
        found = self.true[index] + self._noise(sigma)
        return after_quick_check(known, hits, places, found, sigma)

    def _sweep(self, known: CheckedLine | None) -> CheckedLine:
        """A full sweep, worked into what is known where it agrees with that. The search for bends
        is left out for speed: what it saves in noise it loses in spikes it draws over, so that the
        forecast holds in `tests.bench.forecast_check`."""
        places, sigma = self.line.station_in, self.line.sigma_in
        self.n_stations += places.size
        found = self.true + self._noise(sigma)
        after = None if known is None else after_quick_check(known, (), places, found, sigma)
        return _known(self.line, found) if after is None else after

    def _noise(self, sigma_in: Array) -> Array:
        return np.asarray(self.rng.standard_normal((sigma_in.size, 2)) * sigma_in[:, None])


def _known(line: ShaftLine, ecc_in: Array) -> CheckedLine:
    return CheckedLine(
        station_in=line.station_in,
        ecc_in=ecc_in,
        sigma_in=line.sigma_in,
        rollers_in=line.rollers_in,
    )
