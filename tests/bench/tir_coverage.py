"""How often the two 95 % intervals of a station hold the truth: full-turn TIR and bend part.

Run: python -m tests.bench.tir_coverage [--seed N] [--n N]

Truth of a trial: eccentricity of the wanted size in a random direction, second and third
harmonic drawn with the standard deviations of the row (or none: a round shaft). The bend part is
twice the eccentricity, the full-turn TIR the swing of the true curve on a fine grid. Readings:
normal repeatability, rounded to the graduation. `single` fits each station by itself with the usual
priors; `sweep` fits twelve such stations as one sweep, which learns how round the shaft is.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass

import numpy as np

from core.runout.harmonics import TURN, Array, harmonics
from core.runout.readings import StationReadings, SweepReadings
from core.runout.station_fit import StationFit, fit_station
from core.runout.sweep_fit import fit_sweep

SIZES_THOU = (0.5, 1.0, 2.0, 5.0, 20.0, 200.0)
ROLLS = ((180, 22.5), (210, 30), (225, 45), (270, 30), (315, 45), (330, 30))
"""Degrees from first to last mark and between marks; 315 by 45 is the full turn of 8 marks."""
OVALITY_THOU = (0.2, 0.4, 0.8)
LOBES_THOU = 0.15
STATIONS = 12
FINE = harmonics(np.linspace(0, TURN, 720, endpoint=False))


@dataclass(frozen=True)
class Trials:
    """What one row of trials is made of. Inches."""

    tir_in: float
    """Bend part."""
    roll: tuple[float, float]
    ovality_in: float = 0.0004
    lobes_in: float = 0.0002
    noise_in: float = 0.0002
    resolution_in: float = 0.0005
    known: bool = False
    """The repeatability is given."""
    in_sweep: bool = False


@dataclass(frozen=True)
class Coverage:
    """Share of intervals that hold the truth and their mean width in inches."""

    right: float
    width_in: float


def one_theta(
    tir_in: float,
    round_shaft: bool,
    rng: np.random.Generator,
    ovality_in: float = 0.0004,
    lobes_in: float = 0.0002,
) -> Array:
    """Parameters (7,) of one true station."""
    theta = np.zeros(7)
    angle = rng.uniform(0, TURN)
    theta[0] = rng.uniform(-0.02, 0.02)
    theta[1:3] = tir_in / 2 * np.array([np.cos(angle), np.sin(angle)])
    if not round_shaft:
        theta[3:5] = rng.normal(0, ovality_in, 2)
        theta[5:7] = rng.normal(0, lobes_in, 2)
    return theta


def coverage(n: int, seed: int, trials: Trials) -> tuple[Coverage, Coverage]:
    """Of the full-turn TIR, and of its bend part."""
    rng = np.random.default_rng(seed)
    clock = np.radians(np.arange(0, trials.roll[0] + 1e-6, trials.roll[1]))
    swing, bend = [], []
    for _ in range(-(-n // STATIONS) if trials.in_sweep else n):
        thetas = [
            one_theta(trials.tir_in, False, rng, trials.ovality_in, trials.lobes_in)
            for _ in range(STATIONS if trials.in_sweep else 1)
        ]
        readings = [
            harmonics(clock) @ t + rng.normal(0, trials.noise_in, clock.size) for t in thetas
        ]
        if trials.resolution_in:
            readings = [np.round(r / trials.resolution_in) * trials.resolution_in for r in readings]
        for theta, fit in zip(thetas, _fits(clock, readings, trials), strict=True):
            truth = float(np.ptp(FINE @ theta))
            swing.append(
                (fit.tir_low_in <= truth <= fit.tir_high_in, fit.tir_high_in - fit.tir_low_in)
            )
            held = fit.bend_tir_low_in <= trials.tir_in <= fit.bend_tir_high_in
            bend.append((held, fit.bend_tir_high_in - fit.bend_tir_low_in))
    of_swing, of_bend = np.mean(swing, axis=0), np.mean(bend, axis=0)
    return Coverage(*of_swing.tolist()), Coverage(*of_bend.tolist())


def _fits(clock: Array, readings: list[Array], trials: Trials) -> list[StationFit]:
    repeat = trials.noise_in if trials.known else None
    if not trials.in_sweep:
        return [
            fit_station(clock, r, resolution_in=trials.resolution_in, repeatability_in=repeat)
            for r in readings
        ]
    stations = tuple(
        StationReadings(6.0 * k, tuple(clock.tolist()), tuple(r.tolist()))
        for k, r in enumerate(readings, start=1)
    )
    sweep = SweepReadings(stations, (1.0, 99.0), trials.resolution_in, repeat)
    return list(fit_sweep(sweep).fits)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--n", type=int, default=240)
    parser.add_argument("--noise-thou", type=float, default=0.2)
    parser.add_argument("--resolution-thou", type=float, default=0.5)
    options = parser.parse_args()
    every: dict[str, list[float]] = {}
    for in_sweep in (False, True):
        for oval in (0.0, *OVALITY_THOU):
            print(
                f"{'sweep' if in_sweep else 'single'}, ovality sd {oval:g} thou, lobes"
                f" {LOBES_THOU if oval else 0:g}: right of TIR / bend part (width of TIR, thou)"
            )
            print("roll/step   " + "".join(f"{s:>20g}" for s in SIZES_THOU))
            for roll in ROLLS:
                row = f"{roll[0]:>4g}/{roll[1]:<6g} "
                for k, size in enumerate(SIZES_THOU):
                    trials = Trials(
                        tir_in=size / 1000,
                        roll=roll,
                        ovality_in=oval / 1000,
                        lobes_in=LOBES_THOU / 1000 if oval else 0.0,
                        noise_in=options.noise_thou / 1000,
                        resolution_in=options.resolution_thou / 1000,
                        in_sweep=in_sweep,
                    )
                    tir, bend = coverage(options.n, options.seed + k, trials)
                    row += f"{tir.right:8.3f}/{bend.right:.3f} ({tir.width_in * 1000:4.2f})"
                    turn = "270 degrees and more" if roll[0] >= 270 else "less"
                    every.setdefault(f"TIR, {turn}, oval {oval:g}", []).append(tir.right)
                    every.setdefault("bend part", []).append(bend.right)
                print(row, flush=True)
    for name, shares in every.items():
        print(f"{name}: mean {np.mean(shares):.3f}, {min(shares):.3f} to {max(shares):.3f}")


if __name__ == "__main__":
    main()
