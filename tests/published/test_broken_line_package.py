"""The broken line against a general segmented-regression package, on the same data.

Source: the `piecewise-regression` package from the Python package index (method of Muggeo,
"Estimating regression models with unknown break-points", Statistics in Medicine 22, 2003;
citation from memory), an outside program. It fits one plane, with a free offset and tilt;
our line is zero at the rollers. To give it the same knowledge, each roller is handed to it as many
readings of zero. Both then make the same sum of squares least, so stations and angles agree as
closely as it converges.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from core.bends.find import find_bends
from core.bends.shapes import lift
from core.runout.line import ShaftLine

ROLLERS = np.array([12.0, 96.0])
X = np.arange(3.0, 112.0, 6.0)
SIGMA_IN = 0.00014
ZEROS = 4000
CASES = {
    "one bend": ([46.0], [0.004]),
    "two bends": ([33.7, 70.2], [0.006, -0.003]),
    "three bends": ([27.1, 51.9, 80.4], [0.005, -0.007, 0.004]),
}


def data(corner: list[float], kappa: list[float], seed: int) -> np.ndarray:
    """One plane of a line with known noise, inches (n,)."""
    at = np.array(corner)
    clean = lift(X, at, at, ROLLERS) @ np.array(kappa)
    return np.asarray(clean + np.random.default_rng(seed).normal(0, SIGMA_IN, X.size))


def package_fit(*args: object, **settings: object) -> dict[str, Any]:
    """Results of the package; it is slow to load, so not while tests are collected."""
    import piecewise_regression

    np.random.seed(0)
    results: dict[str, Any] = piecewise_regression.Fit(*args, **settings).get_results()
    return results


@pytest.mark.parametrize("name", CASES)
def test_stations_and_angles_agree(name: str) -> None:
    corner, kappa = CASES[name]
    ecc = data(corner, kappa, seed=11)
    line = ShaftLine(X, np.column_stack([ecc, 0 * ecc]), np.full(X.size, SIGMA_IN), ROLLERS)
    bends = find_bends(line).bends
    assert len(bends) == len(corner)
    results = package_fit(
        np.concatenate([X, np.repeat(ROLLERS, ZEROS)]),
        np.concatenate([ecc, np.zeros(2 * ZEROS)]),
        n_breakpoints=len(corner),
        start_values=[c + 1.5 for c in corner],
        n_boot=0,
        tolerance=1e-10,
        max_iterations=200,
    )
    told = results["estimates"]
    # Ours lets a bend have a length and a roller a doubt; the package knows sharp corners only.
    for k, bend in enumerate(bends, start=1):
        assert bend.station_in == pytest.approx(told[f"breakpoint{k}"]["estimate"], abs=1e-2)
        assert bend.kappa_rad[0] == pytest.approx(told[f"beta{k}"]["estimate"], abs=5e-6)
        error = told[f"breakpoint{k}"]["se"]
        assert error > 0


@pytest.mark.parametrize("name", CASES)
def test_the_interval_is_that_of_the_package(name: str) -> None:
    """Its standard error scaled from its own residual scatter to the noise both know."""
    corner, kappa = CASES[name]
    ecc = data(corner, kappa, seed=12)
    line = ShaftLine(X, np.column_stack([ecc, 0 * ecc]), np.full(X.size, SIGMA_IN), ROLLERS)
    report = find_bends(line)
    assert len(report.bends) == len(corner)
    place = np.concatenate([X, np.repeat(ROLLERS, ZEROS)])
    value = np.concatenate([ecc, np.zeros(2 * ZEROS)])
    results = package_fit(place, value, n_breakpoints=len(corner), start_values=corner, n_boot=0)
    scatter = np.sqrt(results["rss"] / (place.size - 2 - 2 * len(corner)))
    for k, bend in enumerate(report.bends, start=1):
        se = results["estimates"][f"breakpoint{k}"]["se"] * SIGMA_IN / scatter
        ours = bend.station_u95_in / (1.96 * report.scatter_ratio)
        assert ours == pytest.approx(se, rel=0.12)
