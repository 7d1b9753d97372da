"""The broken line against a general segmented-regression package, on the same data.

Source: the `piecewise-regression` package 1.5.0 from the Python package index (method of Muggeo,
"Estimating regression models with unknown break-points", Statistics in Medicine 22, 2003;
citation from memory), an outside program. It fits one plane, with a free offset and tilt;
our line is zero at the rollers. To give it the same knowledge, each roller is handed to it as many
readings of zero. Both then make the same sum of squares least, so stations and angles agree as
closely as it converges. Its results are kept here; with the package installed,
`python -m tests.published.test_broken_line_package` prints them again.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from core.bends.find import BendReport, find_bends
from core.bends.shapes import lift
from core.runout.line import ShaftLine

ROLLERS = np.array([12.0, 96.0])
X = np.arange(3.0, 112.0, 6.0)
SIGMA_IN = 0.00014
ZEROS = 4000


@dataclass(frozen=True)
class BrokenLine:
    """Bends of a made-up line, and what the package finds of it."""

    corner_in: tuple[float, ...]
    kappa_rad: tuple[float, ...]
    found_in: tuple[float, ...]
    """Break points of the readings of seed 11."""
    found_rad: tuple[float, ...]
    """Changes of slope there."""
    error_in: tuple[float, ...]
    """Standard errors of the break points of seed 12, scaled from its own residual scatter to the
    noise both know."""


CASES = {
    "one bend": BrokenLine((46.0,), (0.004,), (45.99061,), (0.003999898,), (0.031713,)),
    "two bends": BrokenLine(
        (33.7, 70.2),
        (0.006, -0.003),
        (33.68171, 70.21027),
        (0.006002749, -0.003000845),
        (0.027352, 0.051211),
    ),
    "three bends": BrokenLine(
        (27.1, 51.9, 80.4),
        (0.005, -0.007, 0.004),
        (27.10688, 51.85944, 80.45467),
        (0.005010842, -0.006993646, 0.003986726),
        (0.040025, 0.0292, 0.046466),
    ),
}


def data(case: BrokenLine, seed: int) -> np.ndarray:
    """One plane of a line with known noise, inches (n,)."""
    at = np.array(case.corner_in)
    clean = lift(X, at, at, ROLLERS) @ np.array(case.kappa_rad)
    return np.asarray(clean + np.random.default_rng(seed).normal(0, SIGMA_IN, X.size))


def bends_of(case: BrokenLine, seed: int) -> BendReport:
    """What our search finds in it."""
    ecc = data(case, seed)
    line = ShaftLine(X, np.column_stack([ecc, 0 * ecc]), np.full(X.size, SIGMA_IN), ROLLERS)
    report = find_bends(line)
    assert len(report.bends) == len(case.corner_in)
    return report


@pytest.mark.parametrize("name", CASES)
def test_stations_and_angles_agree(name: str) -> None:
    """Ours lets a bend have a length and a roller a doubt; the package knows sharp corners only."""
    case = CASES[name]
    bends = bends_of(case, seed=11).bends
    assert [bend.station_in for bend in bends] == pytest.approx(case.found_in, abs=1e-2)
    assert [bend.kappa_rad[0] for bend in bends] == pytest.approx(case.found_rad, abs=5e-6)


@pytest.mark.parametrize("name", CASES)
def test_the_interval_is_that_of_the_package(name: str) -> None:
    report = bends_of(CASES[name], seed=12)
    ours = [bend.station_u95_in / (1.96 * report.scatter_ratio) for bend in report.bends]
    assert ours == pytest.approx(CASES[name].error_in, rel=0.12)


def package_fit(ecc: np.ndarray, start_in: list[float], **settings: Any) -> dict[str, Any]:
    """Results of the package for one plane of readings."""
    import piecewise_regression

    np.random.seed(0)
    results: dict[str, Any] = piecewise_regression.Fit(
        np.concatenate([X, np.repeat(ROLLERS, ZEROS)]),
        np.concatenate([ecc, np.zeros(2 * ZEROS)]),
        start_values=start_in,
        n_breakpoints=len(start_in),
        n_boot=0,
        **settings,
    ).get_results()
    return results


def print_results() -> None:
    """The figures of `CASES`."""
    for name, case in CASES.items():
        corners = range(1, len(case.corner_in) + 1)
        start = [corner + 1.5 for corner in case.corner_in]
        found = package_fit(data(case, 11), start, tolerance=1e-10, max_iterations=200)["estimates"]
        print(name, [found[f"breakpoint{k}"]["estimate"] for k in corners])
        print(" " * len(name), [found[f"beta{k}"]["estimate"] for k in corners])
        results = package_fit(data(case, 12), list(case.corner_in))
        free = X.size + 2 * ZEROS - 2 - 2 * len(case.corner_in)
        scale = SIGMA_IN / np.sqrt(results["rss"] / free)
        errors = [results["estimates"][f"breakpoint{k}"]["se"] * scale for k in corners]
        print(" " * len(name), errors)


if __name__ == "__main__":
    print_results()
