"""Sweep files of 50,000 rows: `python -m tests.bench.long_file`.

A file of 143 stations with 350 marks each is worked out by the command line, two that hold more
than a sweep can have are refused. Printed are the processor seconds of each, start included.
"""

from __future__ import annotations

import math
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

ROWS = 50_000
WORKED_S, REFUSED_S = 12.0, 4.0


def bent_shaft(marks: int, step_in: float) -> list[str]:
    """Rows of a shaft with a bend at 48 in."""
    rows = []
    for number in range(ROWS):
        station_in, clock_deg = number // marks * step_in + 1, number % marks * 360 / marks
        thou = 0.7 * (36 - abs(station_in - 48)) * math.cos(math.radians(clock_deg))
        rows.append(f"{station_in:g},{clock_deg:.3f},{thou:.1f}")
    return ["station_in,clock_deg,reading_thou", *rows]


def processor_s(file: Path) -> tuple[float, int]:
    """Seconds of `shaftlog sweep FILE`, and its exit code."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    argv = [sys.executable, "-m", "tui.main", "sweep", str(file), "--rollers", "12", "84"]
    done = subprocess.run([*argv, "--json"], capture_output=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, done.returncode


def main() -> int:
    """Print the figures."""
    good = True
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "long.csv"
        for marks, step_in, status, most_s in (
            (350, 0.7, 0, WORKED_S),
            (8, 0.02, 2, REFUSED_S),
            (25_000, 1.0, 2, REFUSED_S),
        ):
            file.write_text("\n".join(bent_shaft(marks, step_in)))
            took_s, ended = processor_s(file)
            what = "worked out" if ended == 0 else f"refused (exit {ended})"
            stations = -(-ROWS // marks)
            print(f"{stations} stations of {marks} marks: {what} in {took_s:.1f} s ", end="")
            print(f"of the processor (target under {most_s:.0f})")
            good = good and ended == status and took_s < most_s
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
