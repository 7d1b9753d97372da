"""Ovality that changes along the shaft, and what oval sections on the rollers hide of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.analysis.sections import Sections, own_variance_in2
from core.analysis.sweep import analyse
from core.runout.readings import StationReadings, SweepReadings
from core.runout.sweep_fit import fit_sweep
from core.runout.verdict import Area
from tests.bench.world.rig import Rig, Setup
from tests.bench.world.shaft import Roundness, Shaft

X = tuple(np.arange(3.0, 120.0, 6.0).tolist())
ROLLERS = (24.0, 106.0)


def sweep_of(oval_thou: list[list[float]], seed: int) -> SweepReadings:
    """A straight shaft as read, its ovality (k, 2) given at places spread evenly along it."""
    knots = np.linspace(0, 120.0, len(oval_thou))
    oval = np.array(oval_thou) / 1000
    shaft = Shaft(120.0, roundness=Roundness(knots, oval, 0 * oval))
    rig = Rig(shaft, Setup(ROLLERS, ROLLERS, X), np.random.default_rng(seed))
    read = tuple(StationReadings(s.station_in, s.clock_rad, s.reading_in) for s in rig.read(X))
    return SweepReadings(read, rollers_in=ROLLERS, resolution_in=0.0005, length_in=120.0)


CHANGING = [[0.0, 0.4], [0.7, 0.3], [0.5, 0.3], [0.0, -0.2], [-0.9, -0.4], [0.6, -0.3], [0.3, -0.3],
            [-0.1, -0.3], [-0.4, -0.2]]  # fmt: skip


def test_a_length_out_of_round_more_than_the_rest_is_not_called_true() -> None:
    """The sections on the rollers raise the axis against it: the stations there read too little."""
    area = Area("log", "shaft log", 57.0, 65.0, 0.0017)  # it swings 1.85 thou
    for seed in (16, 21, 24, 26):
        (verdict, *_) = analyse(sweep_of(CHANGING, seed), areas=[area]).verdicts
        assert verdict.word != "true"


def test_a_section_goes_by_its_neighbours_rather_than_by_a_line_along_the_shaft() -> None:
    x = np.array(X)
    thou = np.interp(x, np.linspace(0, 120, 9), np.array(CHANGING)[:, 0])
    read = np.column_stack([thou, 0 * x, 0 * x, 0 * x]) / 1000
    noise = np.full((x.size, 4), 0.00017**2)
    mean, cov = Sections(
        x, read, noise, own_variance_in2(x, read, noise), np.zeros((2, x.size, 4))
    ).at(np.arange(x.size))
    assert np.abs(1000 * mean[:, 0] - thou).max() < 0.2
    assert cov[0, 10, 10] < noise[10, 0]


def test_oval_sections_on_the_rollers_make_all_others_less_certain() -> None:
    fit = fit_sweep(sweep_of(CHANGING, 2))
    oval = Sections.of(fit.line, fit.fits)
    round_seats = replace(oval, lift_in=np.zeros_like(oval.lift_in))
    every = np.arange(len(X))
    assert oval.at(every)[1][0, 10, 10] > 1.2 * round_seats.at(every)[1][0, 10, 10]
