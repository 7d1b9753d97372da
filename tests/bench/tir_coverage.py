"""How often the 95 % interval of the full-turn TIR holds the truth.

Run: python -m tests.bench.tir_coverage [--seed N] [--n N]

Truth of a trial: eccentricity of the wanted size in a random direction, second and third
harmonic drawn from the priors (or none: a round shaft); the full-turn TIR is twice the
eccentricity. Readings: normal repeatability, rounded to the graduation.
"""

from __future__ import annotations

import argparse

import numpy as np

from core.runout.harmonics import TURN, Array, harmonics
from core.runout.station_fit import fit_station

SIZES_THOU = (0.5, 1.0, 2.0, 5.0, 20.0, 200.0)
ROLLS = ((180, 22.5), (210, 30), (225, 45), (270, 30), (315, 45), (330, 30))
"""Degrees from first to last mark and between marks; 315 by 45 is the full turn of 8 marks."""


def one_theta(tir_in: float, round_shaft: bool, rng: np.random.Generator) -> Array:
    """Parameters (7,) of one true station."""
    theta = np.zeros(7)
    angle = rng.uniform(0, TURN)
    theta[0] = rng.uniform(-0.02, 0.02)
    theta[1:3] = tir_in / 2 * np.array([np.cos(angle), np.sin(angle)])
    if not round_shaft:
        theta[3:5] = rng.normal(0, 0.0004, 2)
        theta[5:7] = rng.normal(0, 0.0002, 2)
    return theta


def coverage(
    n: int,
    seed: int,
    *,
    tir_in: float,
    roll: tuple[float, float],
    noise_in: float = 0.0002,
    resolution_in: float = 0.0005,
    known: bool = False,
    round_shaft: bool = False,
) -> tuple[float, float, float]:
    """Share of intervals that hold the truth, that lie too low, and mean width (inches)."""
    rng = np.random.default_rng(seed)
    hits = low = 0
    width = 0.0
    for _ in range(n):
        clock = np.radians(np.arange(0, roll[0] + 1e-6, roll[1]))
        theta = one_theta(tir_in, round_shaft, rng)
        truth = tir_in
        reading = harmonics(clock) @ theta + rng.normal(0, noise_in, clock.size)
        if resolution_in:
            reading = np.round(reading / resolution_in) * resolution_in
        fit = fit_station(
            clock,
            reading,
            resolution_in=resolution_in,
            repeatability_in=noise_in if known else None,
        )
        hits += fit.tir_low_in <= truth <= fit.tir_high_in
        low += truth > fit.tir_high_in
        width += fit.tir_high_in - fit.tir_low_in
    return hits / n, low / n, width / n


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--n", type=int, default=200)
    parser.add_argument("--noise-thou", type=float, default=0.2)
    parser.add_argument("--resolution-thou", type=float, default=0.5)
    options = parser.parse_args()
    total: list[float] = []
    for known in (True, False):
        for round_shaft in (False, True):
            print(
                f"repeatability {'known' if known else 'estimated'}, "
                f"{'round' if round_shaft else 'oval and lobed'} shaft: share right (width, thou)"
            )
            print("roll/step   " + "".join(f"{s:>14g}" for s in SIZES_THOU))
            for roll in ROLLS:
                cells = [
                    coverage(
                        options.n,
                        options.seed + k,
                        tir_in=size / 1000,
                        roll=roll,
                        noise_in=options.noise_thou / 1000,
                        resolution_in=options.resolution_thou / 1000,
                        known=known,
                        round_shaft=round_shaft,
                    )
                    for k, size in enumerate(SIZES_THOU)
                ]
                total += [c[0] for c in cells]
                row = "".join(f"{c[0]:8.3f} ({c[2] * 1000:3.1f})" for c in cells)
                print(f"{roll[0]:>4g}/{roll[1]:<6g} {row}")
    print(f"overall {np.mean(total):.3f}, worst {min(total):.3f}, best {max(total):.3f}")


if __name__ == "__main__":
    main()
