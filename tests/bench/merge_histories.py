"""Random histories of two and three books merged in every order.

`python -m tests.bench.merge_histories [COUNT] [FIRST SEED]`: counts histories in which a row was
lost, a place had two values, a conflict was not listed, a second merge changed something, or two
orders of merging gave different books. To reach: 0 of 1,000.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.support.histories import play


def main(count: int, first: int) -> int:
    """Print what is wrong; 1 when anything is."""
    bad = 0
    for seed in range(first, first + count):
        with tempfile.TemporaryDirectory() as folder:
            wrong = play(Path(folder), seed, 2 + seed % 2)
        if wrong:
            bad += 1
            print(f"seed {seed}: {'; '.join(wrong[:3])}")
    print(f"{count} histories from seed {first}: {bad} with a fault")
    return int(bad > 0)


if __name__ == "__main__":
    arguments = [int(text) for text in sys.argv[1:]]
    sys.exit(main(*(arguments + [1000, 1][len(arguments) :])))
