"""How often a riding area over its limit is called true, near the limit.

Run: python -m tests.bench.verdicts [--seed N] [--n N]

Each trial: a 120 in shaft with one to three bends scaled so that the true worst TIR in the middle
riding area (stations in it every 3 in) is the limit times a factor; a whole sweep is simulated
(0.5 thou dial, repeatability 0.2 thou, 8 marks or a partial roll) and judged. Wrong = called true
at or over the limit.
"""

from __future__ import annotations

import argparse
from collections import Counter

import numpy as np

from core.analysis.area_verdicts import judge_areas
from core.demo.simulate import TrueBend, TrueShaft, read_sweep
from core.runout.sweep_fit import fit_sweep
from core.runout.verdict import Area, Rule

LIMIT_IN = 0.002
ROLLERS = (18.0, 102.0)
AREA = Area("strut bearing", "bearing", 55.0, 67.0, LIMIT_IN)
STATIONS = (
    4,
    10,
    16,
    22,
    28,
    34,
    40,
    46,
    52,
    55,
    58,
    61,
    64,
    67,
    70,
    76,
    82,
    88,
    94,
    100,
    106,
    112,
)
FACTORS = (0.5, 0.7, 0.8, 0.9, 0.95, 1.0, 1.05, 1.1, 1.2, 1.3, 1.5)
ROLLS = ((315, 45), (225, 45), (330, 30))


def one_shaft(factor: float, rng: np.random.Generator) -> TrueShaft:
    """A shaft whose worst true TIR in the area is `factor` times the limit."""
    spots = rng.uniform(20, 100, rng.integers(1, 4))
    kappas = rng.normal(0, 0.001, (spots.size, 2))
    inside = np.linspace(AREA.from_in, AREA.to_in, 97)

    def shaft(scale: float) -> TrueShaft:
        bends = tuple(
            TrueBend(float(s), (float(scale * k[0]), float(scale * k[1])))
            for s, k in zip(spots, kappas, strict=True)
        )
        return TrueShaft(120.0, bends=bends)

    return shaft(factor * LIMIT_IN / float(shaft(1.0).tir_in(inside, ROLLERS).max()))


def words(
    factor: float,
    n: int,
    seed: int,
    *,
    rule: Rule = "guarded",
    roll: tuple[float, float] | None = None,
) -> Counter[str]:
    """Verdict words over n shafts."""
    rng = np.random.default_rng(seed)
    count: Counter[str] = Counter()
    for _ in range(n):
        span, step = roll or ROLLS[rng.integers(len(ROLLS))]
        marks = np.radians(np.arange(0, span + 1e-6, step))
        sweep = read_sweep(
            one_shaft(factor, rng), ROLLERS, STATIONS, marks, rng=rng, repeatability_in=0.0002
        )
        count[judge_areas([AREA], fit_sweep(sweep).line, rule=rule)[0].word] += 1
    return count


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--n", type=int, default=150)
    options = parser.parse_args()
    for rule in ("guarded", "simple"):
        print(f"{rule}: TIR over limit -> true / too close to call / not true")
        wrong = at_or_over = 0
        for k, factor in enumerate(FACTORS):
            count = words(factor, options.n, options.seed + k, rule=rule)
            row = [count[w] / options.n for w in ("true", "too close to call", "not true")]
            print(f"  {factor:4.2f}   " + "  ".join(f"{share:6.3f}" for share in row))
            if factor >= 1:
                wrong += count["true"]
                at_or_over += options.n
        print(f"  wrong 'true' at or over the limit: {wrong / at_or_over:.4f}")


if __name__ == "__main__":
    main()
