"""A heat spot on a round bar: heat flows, hot metal yields, the cold bar is left bent.

A slice of the bar as long as the spot, in fibres over the section: a torch holds the patch at its
temperature for some seconds, then the bar cools through its skin. At each step every fibre has its
thermal strain, its own yield at its temperature, and the plane of the section is found that carries
no force and no moment. The unheated bar beside the slice holds it only through that plane.
Properties against temperature: EN 1993-1-2:2005 (proportional limit, E) as coded in public
repositories, expansion 1.2e-5 per C, conductivity and specific heat as constants. numpy alone;
shares no code with the program.

Not modelled: heat along the bar, phase changes, creep. Lengths mm, temperatures C, stresses MPa.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

TEMPERATURE = np.array([20.0, 100, 200, 300, 400, 500, 600, 700, 800])
LIMIT_SHARE = np.array([1.0, 1, 0.807, 0.613, 0.42, 0.36, 0.18, 0.075, 0.05])
E_SHARE = np.array([1.0, 1, 0.9, 0.8, 0.7, 0.6, 0.31, 0.13, 0.09])
ROOM_C = 20.0
DIFFUSIVITY = 8.5
"""mm2/s, carbon steel near 400 C."""
E_MPA = 200_000.0
EXPANSION = 1.2e-5


@dataclass(frozen=True)
class Torch:
    """How a spot is heated."""

    temperature_c: float = 620.0
    arc_rad: float = float(np.radians(60.0))
    seconds: float = 20.0
    quenched: bool = False


def spot_curvature(diameter_mm: float, yield_mpa: float, torch: Torch, cells: int = 25) -> float:
    """Curvature left over the length of the spot, 1/mm; positive towards the heated side.

    A spot of length L leaves the angle curvature * L.
    """
    edge = np.linspace(-1, 1, cells + 1) * diameter_mm / 2
    middle = (edge[:-1] + edge[1:]) / 2
    step = float(edge[1] - edge[0])
    y, z = np.meshgrid(middle, middle, indexing="ij")
    inside = np.hypot(y, z) <= diameter_mm / 2
    skin = inside & ~_all_neighbours(inside)
    patch = skin & (np.abs(np.arctan2(z, y)) <= torch.arc_rad / 2)
    heat, plastic = np.full(y.shape, ROOM_C), np.zeros(y.shape)
    dt = 0.2 * step**2 / DIFFUSIVITY
    surface = 0.25 if torch.quenched else 0.004
    times = int(torch.seconds / dt), int((60.0 if torch.quenched else 600.0) / dt)
    every = max(1, times[0] // 60)
    for now in range(times[0] + times[1]):
        heat = _conduct(heat, inside, dt / step**2 * DIFFUSIVITY)
        if now < times[0]:
            heat[patch] = torch.temperature_c
        else:
            heat[skin] += surface * dt * (ROOM_C - heat[skin])
        if now % every == 0 or now == times[0] + times[1] - 1:
            plastic = _balance(heat, inside, y, yield_mpa, plastic)[1]
            if now > times[0] and float(np.ptp(heat[inside])) < 2.0:
                break
    heat = np.where(inside, ROOM_C, heat)
    return -_balance(heat, inside, y, yield_mpa, plastic)[0]


def _all_neighbours(inside: NDArray[np.bool_]) -> NDArray[np.bool_]:
    wide = np.pad(inside, 1)
    return wide[:-2, 1:-1] & wide[2:, 1:-1] & wide[1:-1, :-2] & wide[1:-1, 2:]


def _conduct(heat: Array, inside: NDArray[np.bool_], rate: float) -> Array:
    """One step of heat flow; nothing passes the skin."""
    flow = np.zeros_like(heat)
    for axis in (0, 1):
        low = [slice(None), slice(None)]
        high = [slice(None), slice(None)]
        low[axis], high[axis] = slice(None, -1), slice(1, None)
        both = inside[tuple(low)] & inside[tuple(high)]
        passed = np.where(both, heat[tuple(high)] - heat[tuple(low)], 0.0)
        flow[tuple(low)] += passed
        flow[tuple(high)] -= passed
    return np.asarray(heat + rate * flow)


def _balance(
    heat: Array, inside: NDArray[np.bool_], y: Array, yield_mpa: float, plastic: Array
) -> tuple[float, Array]:
    """Curvature of the plane that carries neither force nor moment, and the plastic strains."""
    hot = heat[inside]
    e = E_MPA * np.interp(hot, TEMPERATURE, E_SHARE)
    most = yield_mpa * np.interp(hot, TEMPERATURE, LIMIT_SHARE) / e
    free = EXPANSION * (hot - ROOM_C)
    arm, before = y[inside], plastic[inside]
    basis = np.column_stack([np.ones(arm.size), arm])
    plane = np.linalg.lstsq(basis * np.sqrt(e)[:, None], (free + before) * np.sqrt(e), rcond=None)[
        0
    ]
    for _ in range(60):
        elastic = np.asarray(basis @ plane - free - before)
        held = np.clip(elastic, -most, most)
        off = basis.T @ (e * held)
        tangent = np.where(np.abs(elastic) < most, e, 0.01 * e)
        move = np.linalg.solve(basis.T @ (tangent[:, None] * basis), -off)
        plane = plane + move
        if np.abs(move * [1.0, arm.max()]).max() < 1e-9:
            break
    elastic = np.asarray(basis @ plane - free - before)
    plastic = plastic.copy()
    plastic[inside] = before + elastic - np.clip(elastic, -most, most)
    return float(plane[1]), plastic
