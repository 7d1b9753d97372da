"""A round bar under the ram, fibre by fibre: steel that hardens and remembers.

Each fibre is several elastic, perfectly plastic wires side by side (an overlay): together they
follow a Ramberg-Osgood curve, and on the way back they yield early, as real steel does
(Bauschinger). The bar lies on two blocks with the ram half way between them; plane sections stay
plane. numpy alone; shares no code with the program.

Not modelled: shear, dents, creep, bending in a second plane (a stroke across an earlier one meets
a fresh bar). Lengths inches, stresses psi, angles radians.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FIBRES = 20
WIRES = 8
STATIONS = 10


@dataclass(frozen=True)
class Steel:
    """A Ramberg-Osgood curve: strain = s/E + 0.002 (s/yield)^n."""

    e_psi: float
    yield_psi: float
    n: float

    def wires(self) -> tuple[Array, Array]:
        """Share and yield stress of each wire (w,), so that together they follow the curve."""
        knots = np.concatenate(
            [np.linspace(0.35, 1.0, WIRES // 2), np.linspace(1.08, 1.5, WIRES // 2)]
        )
        stress = knots * self.yield_psi
        strain = stress / self.e_psi + 0.002 * knots**self.n
        # Beyond the last knot the bar still hardens a little: no load folds it like a hinge.
        slope = np.maximum(np.diff(stress) / np.diff(strain), self.e_psi / 400)
        slope = np.append(slope, self.e_psi / 400)
        before = np.concatenate([[self.e_psi], slope[:-1]])
        share = np.append(before - slope, slope[-1]) / self.e_psi
        return np.asarray(share), np.append(strain * self.e_psi, 100 * self.yield_psi)


STEELS = {
    "316, 42 ksi, n 6": Steel(28e6, 42e3, 6.0),
    "316, 30 ksi, n 6": Steel(28e6, 30e3, 6.0),
    "1045 cold worked, 92 ksi, n 12": Steel(30e6, 92e3, 12.0),
    "K500, 100.5 ksi, n 14": Steel(26e6, 100.5e3, 14.0),
    "K500, 115 ksi, n 14": Steel(26e6, 115e3, 14.0),
}
"""Truths that the program's table of materials does not know: name to curve."""


class FibreBar:
    """One place of a shaft on its blocks, with all that was done to it before."""

    def __init__(self, diameter_in: float, span_in: float, steel: Steel) -> None:
        self.steel, self.half_in = steel, span_in / 2
        radius = diameter_in / 2
        edge = np.cos(np.linspace(0, np.pi, FIBRES + 1))
        self.y: Array = radius * (edge[:-1] + edge[1:]) / 2
        self.area: Array = 2 * np.sqrt(radius**2 - self.y**2) * radius * (edge[:-1] - edge[1:])
        nodes, weights = np.polynomial.legendre.leggauss(STATIONS)
        self.s: Array = self.half_in * (nodes + 1) / 2
        self.ds: Array = self.half_in * weights / 2
        self.share, self.wire_yield = steel.wires()
        self.plastic: Array = np.zeros((STATIONS, FIBRES, self.share.size))
        self.curvature: Array = np.zeros(STATIONS)

    @property
    def set_rad(self) -> float:
        """Angle over the span as the bar is now, unloaded."""
        return float(2 * self.ds @ self.curvature)

    @property
    def deflection_in(self) -> float:
        """Middle of the bar below the line through the blocks."""
        return float(self.ds @ (self.curvature * self.s))

    def load(self, lbf: float) -> None:
        """Bring the ram to a load (either way; 0 releases). The way there is one way."""
        self.curvature = self._curvature(lbf)
        strain = self.curvature[:, None] * self.y
        elastic = strain[:, :, None] - self.plastic
        most = self.wire_yield / self.steel.e_psi
        self.plastic = self.plastic + elastic - np.clip(elastic, -most, most)

    def stroke(self, travel_in: float) -> tuple[float, float]:
        """Push the middle down by a travel from where it is, and release.

        Returns (load at the bottom lbf, what stays on the dial in).
        """
        start = self.deflection_in
        low, high = 0.0, 0.5 * self._plastic_load()

        def short_in(lbf: float) -> float:
            return float(self.ds @ (self._curvature(lbf) * self.s)) - start - travel_in

        while short_in(high) < 0:
            low, high = high, 1.25 * high
        for _ in range(40):
            middle = (low + high) / 2
            lacks = short_in(middle)
            if abs(lacks) < 2e-5:
                break
            low, high = (middle, high) if lacks < 0 else (low, middle)
        self.load(middle)
        self.load(0.0)
        return middle, self.deflection_in - start

    def bend_to(self, set_rad: float) -> None:
        """An accident: bend the bar until this angle stays (negative = away from the ram)."""
        sign = float(np.sign(set_rad))
        low, high = 0.0, 1.2 * self._plastic_load()
        kept = self.plastic.copy(), self.curvature.copy()
        for _ in range(22):
            middle = (low + high) / 2
            self.load(sign * middle)
            self.load(0.0)
            low, high = (middle, high) if sign * self.set_rad < abs(set_rad) else (low, middle)
            self.plastic, self.curvature = kept[0].copy(), kept[1].copy()
        self.load(sign * high)
        self.load(0.0)

    def _plastic_load(self) -> float:
        most = self.steel.yield_psi
        return 2 * most * float(self.area @ np.abs(self.y)) / self.half_in

    def _moments(self, curvature: Array) -> tuple[Array, Array]:
        """Moment and stiffness of each section at a curvature, reached in one way from now."""
        strain = curvature[:, None] * self.y
        elastic = strain[:, :, None] - self.plastic
        most = self.wire_yield / self.steel.e_psi
        held = np.clip(elastic, -most, most)
        stress = self.steel.e_psi * (held @ self.share)
        tangent = self.steel.e_psi * ((np.abs(elastic) < most) @ self.share)
        arm = self.area * self.y
        return stress @ arm, tangent @ (arm * self.y)

    def _curvature(self, lbf: float) -> Array:
        """Curvature of each section under a load, by Newton with halving as a guard."""
        wanted = lbf * self.s / 2
        close = 1e-6 * self.steel.yield_psi * float(self.area @ np.abs(self.y))
        reach = 60 * self.steel.yield_psi / (self.steel.e_psi * self.y.max())
        low, high = np.full(STATIONS, -reach), np.full(STATIONS, reach)
        k = self.curvature.copy()
        for turn in range(120):
            moment, stiffness = self._moments(k)
            off = wanted - moment
            if np.abs(off).max() <= close:
                break
            low, high = np.where(off > 0, k, low), np.where(off > 0, high, k)
            step = k + off / np.maximum(stiffness, 1e-9)
            inside = (step > low) & (step < high) & (turn % 3 != 2)
            k = np.where(inside, step, (low + high) / 2)
        return np.asarray(k)
