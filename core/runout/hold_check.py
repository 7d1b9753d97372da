"""Hold check: two sweeps of one state, before and after a rest, compared station by station.

Both lines must be on the same supports with the clock zero at the same place. Where the same
marks were read both times, the readings themselves are compared (`core.runout.same_marks`):
out-of-roundness drops out, and the repeated marks give the noise. Elsewhere the
difference vector of a station has the sum of both covariances. Under "nothing moved" its squared
Mahalanobis length is chi squared with two degrees of freedom, or twice an F when the noise was
itself estimated from the sweeps. A station has moved when that passes the limit for the whole
family of stations, or the shaft as a whole has when the sum over all stations does.

Error rate: at most 3 % of checks of a shaft that held are called moved, however many stations
were read. Half of that goes to the single stations, shared out evenly (Bonferroni), half to the
sum. Sources: textbook statistics; Wilson and Hilferty 1931, Paulson 1942 for the limits (from
memory).

Not modelled: a sweep laid on other seats of out-of-round rollers; a chalk zero that moved; the dial
at another place of the station.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Literal

import numpy as np

from core.base.errors import BadShaft
from core.base.units import format_clock, format_dial, format_length
from core.runout.harmonics import LEAST_NOISE_IN, TURN, Array
from core.runout.intervals import tir_interval
from core.runout.line import SAME_PLACE_IN, ShaftLine
from core.runout.readings import SweepReadings
from core.runout.same_marks import change_at, difference_noise
from core.runout.sweep_fit import SweepFit, fit_sweep

FALSE_ALARMS = 0.03
"""Share of checks of a shaft that held which are called moved."""
CHANCE = 0.01
"""Below this probability of the scatter seen, the stated repeatability is rejected."""
FREEDOM_FOR_OWN_NOISE = 10.0
"""With fewer degrees of freedom the noise is taken from the lines, not from the repeated marks."""


@dataclass(frozen=True)
class Move:
    """How the shaft line changed at one station read both times."""

    station_in: float
    moved_in: float
    """Length of the change of eccentricity, inches."""
    low_in: float
    high_in: float
    """95 % interval of it, inches."""
    toward_rad: float
    """Clock it moved to, 0..2 pi."""
    tir_change_in: float
    """TIR after less TIR before, inches."""
    real: bool
    """Clear of chance."""


@dataclass(frozen=True)
class HoldCheck:
    """What two sweeps of one state say about each other."""

    word: Literal["held", "moved"]
    moves: tuple[Move, ...]
    """One for each station read both times."""
    worst: Move
    """The real move that is greatest; when held, the greatest change seen."""
    could_hide_in: float
    """A change of eccentricity up to this would not have been seen, inches (worst station)."""
    noise_understated: bool = False
    """The readings repeat worse than the repeatability set; what they show was used."""

    @property
    def words(self) -> str:
        """One sentence, one more when the repeatability set was not used."""
        words = _words(self.word, self.worst, self.could_hide_in)
        if self.noise_understated:
            words += " The readings repeat worse than the repeatability set: what they show was"
            words += " used."
        return words


def compare_readings(before: SweepReadings, after: SweepReadings) -> HoldCheck:
    """Compare two sweeps of the same shaft, mark by mark where the marks are the same.

    Stations that cannot be fitted are left out.

    Raises
    ------
    BadShaft, BadReadings : as `core.runout.sweep_fit.fit_sweep` and `compare_sweeps` do.
    """
    first, second = (fit_sweep(sweep, strict=False) for sweep in (before, after))
    step = _steps(first.line, second.line)
    step = replace(step, noise_understated=first.noise_understated or second.noise_understated)
    if _same_supports(first.line, second.line):
        step = _by_marks(step, (before, after), (first, second))
    return _judged(step)


def compare_sweeps(before: ShaftLine, after: ShaftLine) -> HoldCheck:
    """Compare two lines of the same shaft; stations within a quarter inch are one place.

    When the rollers stood elsewhere the second line is referred to the first one's rollers.

    Raises
    ------
    BadShaft : no station in common, or supports that cannot be matched.
    """
    return _judged(_steps(before, after))


@dataclass(frozen=True, eq=False)
class _Steps:
    """Change of eccentricity at the n stations read both times."""

    places: tuple[tuple[float, float], ...]
    """Station of the first and of the second sweep, inches."""
    step_in: Array
    """(n, 2)"""
    cov_in2: Array
    """(n, 2, 2)"""
    tir_change_in: Array
    """(n,)"""
    freedom: float
    """Degrees of freedom of the noise behind the covariances."""
    noise_understated: bool = False
    """The readings repeat clearly worse than stated; the scatter seen was used instead."""


def _steps(before: ShaftLine, after: ShaftLine) -> _Steps:
    """The changes as the two lines have them."""
    if not _same_supports(before, after):
        after = after.referred_to(float(before.rollers_in[0]), float(before.rollers_in[1]))
    pairs = _same_places(before, after)
    if not pairs:
        raise BadShaft(
            "The two sweeps have no station in common. Sweep again at the stations of the first."
        )
    i, j = (np.array(index) for index in zip(*pairs, strict=True))
    return _Steps(
        places=tuple(zip(before.station_in[i].tolist(), after.station_in[j].tolist(), strict=True)),
        step_in=after.ecc_in[j] - before.ecc_in[i],
        cov_in2=before.covariance_in2[i] + after.covariance_in2[j],
        tir_change_in=after.bend_tir_in[j] - before.bend_tir_in[i],
        freedom=_freedom(before, after),
    )


def _by_marks(
    steps: _Steps, read: tuple[SweepReadings, SweepReadings], fitted: tuple[SweepFit, SweepFit]
) -> _Steps:
    """The same changes from the marks read both times; as they were where too few are."""
    sources = [
        {
            place: (station, fit.left_out)
            for place, fit in zip(one.station_in, one.fits, strict=True)
            for station in sweep.stations
            if station.station_in == place
        }
        for sweep, one in zip(read, fitted, strict=True)
    ]
    found = {}
    for n, (here, there) in enumerate(steps.places):
        (first, aside), (second, aside_too) = sources[0][here], sources[1][there]
        change = change_at(first, second, aside, aside_too)
        if change is not None:
            found[n] = change
    seen2, freedom = difference_noise(
        list(found.values()), max(sweep.resolution_in for sweep in read)
    )
    stated2 = None if steps.noise_understated else _stated_noise2(read)
    if stated2 is not None and seen2 * freedom <= stated2 * _chance_limit(freedom):
        noise2, freedom = stated2, math.inf
    elif freedom >= FREEDOM_FOR_OWN_NOISE:
        noise2, steps = seen2, replace(steps, noise_understated=_stated_noise2(read) is not None)
    else:
        return steps
    step, cov = steps.step_in.copy(), steps.cov_in2.copy()
    for n, change in found.items():
        step[n], cov[n] = change.step_in, noise2 * change.shape
    elsewhere = len(found) < len(steps.places)
    freedom = min(freedom, steps.freedom) if elsewhere else freedom
    return replace(steps, step_in=step, cov_in2=cov, freedom=freedom)


def _stated_noise2(read: tuple[SweepReadings, SweepReadings]) -> float | None:
    """Stated variance of the difference of two readings; None when none was stated."""
    stated = [sweep.repeatability_in for sweep in read]
    if None in stated:
        return None
    rounding2 = sum(sweep.resolution_in**2 / 12 for sweep in read)
    return max(sum(float(value or 0.0) ** 2 for value in stated) + rounding2, 2 * LEAST_NOISE_IN**2)


def _chance_limit(freedom: float) -> float:
    """Limit that a sum of this many squares of unit variance passes by chance; inf for too few."""
    return _limit(int(freedom), math.inf, CHANCE) if freedom >= FREEDOM_FOR_OWN_NOISE else math.inf


def _judged(steps: _Steps) -> HoldCheck:
    """Which changes are clear of chance."""
    limit = _limit(2, steps.freedom, FALSE_ALARMS / 2 / len(steps.places))
    moves, lengths, hidden = [], [], []
    for n, (place, _) in enumerate(steps.places):
        step, cov = steps.step_in[n], steps.cov_in2[n]
        lengths.append(float(step @ np.linalg.solve(cov, step)))
        hidden.append(math.sqrt(limit * float(np.linalg.eigvalsh(cov)[-1])))
        low, high = tir_interval(step, cov)
        size = math.hypot(step[0], step[1])
        moves.append(
            Move(
                station_in=place,
                moved_in=size,
                low_in=min(low / 2, size),
                high_in=max(high / 2, size),
                toward_rad=math.atan2(step[1], step[0]) % TURN,
                tir_change_in=float(steps.tir_change_in[n]),
                real=lengths[-1] > limit,
            )
        )
    whole = sum(lengths) > _limit(2 * len(lengths), steps.freedom, FALSE_ALARMS / 2)
    real = [move for move in moves if move.real]
    worst = max(real or moves, key=lambda move: move.moved_in)
    word: Literal["held", "moved"] = "moved" if real or whole else "held"
    return HoldCheck(word, tuple(moves), worst, max(hidden), steps.noise_understated)


def _same_supports(before: ShaftLine, after: ShaftLine) -> bool:
    distance = np.abs(np.sort(before.rollers_in) - np.sort(after.rollers_in))
    return bool(distance.max() <= SAME_PLACE_IN)


def _same_places(
    before: ShaftLine, after: ShaftLine, near_in: float = 0.25
) -> list[tuple[int, int]]:
    """Indices of stations read both times, away from the rollers (there nothing can move)."""
    pairs = []
    for i, x in enumerate(before.station_in):
        j = int(np.abs(after.station_in - x).argmin())
        on_roller = np.abs(before.rollers_in - x).min() < near_in
        if abs(after.station_in[j] - x) < near_in and not on_roller:
            pairs.append((i, j))
    return pairs


def _freedom(before: ShaftLine, after: ShaftLine) -> float:
    """Degrees of freedom of the sum of both variances (Welch and Satterthwaite)."""
    parts = [(float(np.mean(s.sigma_in**2)), s.noise_freedom) for s in (before, after)]
    uncertain = sum(part**2 / freedom for part, freedom in parts)
    return sum(part for part, _ in parts) ** 2 / uncertain if uncertain > 0 else math.inf


def _limit(freedom: int, noise_freedom: float, tail: float) -> float:
    """What a sum of `freedom` squares passes with probability `tail`, the noise estimated.

    Exact for two squares. `noise_freedom` infinite = noise known: chi squared; else that many
    times F.
    """
    if freedom == 2 and math.isinf(noise_freedom):
        return -2 * math.log(tail)
    if freedom == 2:
        return float(noise_freedom * (tail ** (-2 / noise_freedom) - 1))
    z = NormalDist().inv_cdf(1 - tail)
    a, b = 2 / (9 * freedom), 2 / (9 * noise_freedom)
    # Cube root of F: ((1 - b) root - (1 - a)) / sqrt(a + b root^2) is a standard normal.
    square = max((1 - b) ** 2 - z**2 * b, 1e-3)
    half = (1 - a) * (1 - b)
    root = (half + math.sqrt(half**2 - square * ((1 - a) ** 2 - z**2 * a))) / square
    return float(freedom * root**3)


def _words(word: str, worst: Move, hidden_in: float) -> str:
    if word == "held":
        could = format_dial(2 * hidden_in)
        return f"Held: no station moved; a change of TIR up to {could} could hide."
    change = format_dial(abs(worst.tir_change_in))
    way = "more" if worst.tir_change_in > 0 else "less"
    return (
        f"Moved: most at {format_length(worst.station_in, 1)}, "
        f"{format_dial(worst.moved_in)} toward {format_clock(worst.toward_rad)}; TIR "
        f"there is {change} {way}."
    )
