"""How many slips of hand and eye are found, named right, and how many alarms are false.

Run: python -m tests.bench.slips [--seed N] [--n STATIONS]

Stations of random TIR (1 to 100 thou, even on a log scale), roundness errors from the priors,
repeatability 0.2 thou, 0.5 thou dial, 6 to 16 marks over 225 to 337 degrees. One reading in fifty
gets a slip of a random kind. A slip that alters the reading by less than three graduations cannot
be told from a reading and is not counted (but what is reported there is not a false alarm either).
"""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from core.runout.harmonics import harmonics
from core.runout.station_fit import fit_station
from tests.bench.tir_coverage import one_theta

KINDS = (
    "lost turn",
    "half range",
    "sign",
    "swapped neighbours",
    "transposed digits",
    "decimal slip",
)
ROLLS = ((315, 45), (330, 30), (225, 45), (270, 30), (337.5, 22.5))
RATE = 1 / 50


@dataclass
class Tally:
    """Counts over all stations."""

    injected: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    named: Counter[str] = field(default_factory=Counter)
    called: Counter[tuple[str, str]] = field(default_factory=Counter)
    clean: int = 0
    false: int = 0


def slipped(reading: np.ndarray, i: int, kind: str, rng: np.random.Generator) -> np.ndarray:
    """The readings (inches) with one slip of that kind at reading i."""
    wrong = reading.copy()
    if kind == "lost turn":
        wrong[i] += rng.choice((-0.1, 0.1))
    elif kind == "half range":
        wrong[i] += rng.choice((-0.05, 0.05))
    elif kind == "sign":
        wrong[i] = -wrong[i]
    elif kind == "decimal slip":
        wrong[i] *= rng.choice((0.1, 10.0))
    elif kind == "swapped neighbours":
        j = i + 1 if i + 1 < reading.size else i - 1
        wrong[[i, j]] = wrong[[j, i]]
    else:
        digits = list(f"{abs(reading[i]) * 1000:.1f}")
        spots = [k for k, d in enumerate(digits) if d != "."]
        k = int(rng.integers(len(spots) - 1))
        digits[spots[k]], digits[spots[k + 1]] = digits[spots[k + 1]], digits[spots[k]]
        wrong[i] = np.sign(reading[i]) * float("".join(digits)) / 1000
    return wrong


def run(n: int, seed: int, *, known: bool, noise_in: float = 0.0002, rate: float = RATE) -> Tally:
    """Simulate n stations."""
    rng = np.random.default_rng(seed)
    tally = Tally()
    for _ in range(n):
        roll, step = ROLLS[rng.integers(len(ROLLS))]
        clock = np.radians(np.arange(0, roll + 1e-6, step))
        theta = one_theta(float(10 ** rng.uniform(-3, -1)), False, rng)
        reading = harmonics(clock) @ theta + rng.normal(0, noise_in, clock.size)
        reading = np.round(reading / 0.0005) * 0.0005
        typed, wrong = reading, {}
        for i in range(clock.size):
            if rng.random() < rate and i not in wrong:
                kind = KINDS[rng.integers(len(KINDS))]
                typed = slipped(typed, i, kind, rng)
                wrong |= {int(k): kind for k in np.flatnonzero(typed != reading) if k not in wrong}
        fit = fit_station(
            clock, typed, resolution_in=0.0005, repeatability_in=noise_in if known else None
        )
        said = {slip.index: slip.kind for slip in fit.slips}
        tally.clean += clock.size - len(wrong)
        tally.false += sum(i not in wrong for i in said)
        for i, kind in wrong.items():
            if abs(typed[i] - reading[i]) < 0.0014:
                continue
            tally.injected[kind] += 1
            tally.found[kind] += i in said
            tally.named[kind] += said.get(i) == kind
            tally.called[kind, said.get(i, "-")] += 1
    return tally


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--n", type=int, default=3000)
    options = parser.parse_args()
    for known in (True, False):
        tally = run(options.n, options.seed, known=known)
        print(f"repeatability {'known' if known else 'estimated'}")
        for kind in KINDS:
            count = tally.injected[kind]
            others = {
                said: k
                for (was, said), k in sorted(tally.called.items())
                if was == kind and said != kind
            }
            print(
                f"  {kind:20s} {count:5d}  found {tally.found[kind] / count:.3f}  "
                f"named {tally.named[kind] / max(1, tally.found[kind]):.3f}  else {others}"
            )
        count, found = tally.injected.total(), tally.found.total()
        print(
            f"  all {count}: found {found / count:.3f}, named right "
            f"{tally.named.total() / found:.3f} of those found, false alarms "
            f"{1000 * tally.false / tally.clean:.2f} in 1000 readings"
        )


if __name__ == "__main__":
    main()
