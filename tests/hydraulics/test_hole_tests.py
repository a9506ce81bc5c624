"""Hole tests: Ernst's formulas against the potential flow to a hole, Porchet's against its own equation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.sparse import coo_array
from scipy.sparse.linalg import spsolve

from drainwright.errors import InputError
from drainwright.hydraulics.hole_tests import auger_hole_deep, auger_hole_on_barrier, sinking_hole


def rise_rate(radius: float, water: float, lowering: float, below: float) -> float:
    """Rate of rise in a hole for K = 1, by finite volumes on Laplace's equation round the hole's axis.

    The water table outside stays at rest (level 0); above the water the hole's wall is a seepage face; the tight
    layer lies ``below`` under the hole's bottom; far out nothing flows.
    """
    out = radius * np.cumsum(0.25 * 1.12 ** np.arange(60))
    r = np.concatenate((np.linspace(0.0, radius, 7), radius + out[out < 12 * water]))
    fine = 0.02 * water * 1.2 ** np.arange(40)
    up = np.concatenate(([0.0], np.cumsum(fine)))
    up = np.append(up[up < 0.5 * water], 0.5 * water)
    depth = np.unique(np.round(np.concatenate((up, water - up, [lowering])), 9))
    if below > 0.0:
        down = up[up < below]
        if below > 0.5 * water:
            down = np.concatenate((up, np.linspace(0.5 * water, below, 25)))
        depth = np.unique(np.round(np.concatenate((depth, water + down, [water + below])), 9))
    rc, zc = 0.5 * (r[1:] + r[:-1]), 0.5 * (depth[1:] + depth[:-1])
    dr, dz = np.diff(r), np.diff(depth)
    hole = (rc[:, None] < radius) & (zc[None, :] < water)
    shape = hole.shape
    number = np.arange(hole.size).reshape(shape)
    in_hole = -np.minimum(zc, lowering)  # head on the hole's wall: the seepage face's own level, then the water's
    rows: list[int] = []
    columns: list[int] = []
    values: list[float] = []
    known = np.zeros(hole.size)
    inflow: list[tuple[int, float, float]] = []

    def add(row: int, column: int, value: float) -> None:
        rows.append(row)
        columns.append(column)
        values.append(value)

    def held(cell: int, conductance: float, head: float, counts: bool) -> None:
        add(cell, cell, conductance)
        known[cell] += conductance * head
        if counts:
            inflow.append((cell, conductance, head))

    for i in range(shape[0]):
        area = np.pi * (r[i + 1] ** 2 - r[i] ** 2)
        for k in range(shape[1]):
            here = int(number[i, k])
            if hole[i, k]:
                add(here, here, 1.0)
                continue
            if k == 0:
                held(here, area / (0.5 * dz[0]), 0.0, False)
            for di, dk in ((1, 0), (0, 1), (-1, 0), (0, -1)):
                ni, nk = i + di, k + dk
                if not (0 <= ni < shape[0] and 0 <= nk < shape[1]):
                    continue
                edge = r[max(i, ni)]
                if di:
                    face, own, other = 2 * np.pi * edge * dz[k], 0.5 * dr[i], 0.5 * dr[ni]
                else:
                    face, own, other = area, 0.5 * dz[k], 0.5 * dz[nk]
                if hole[ni, nk]:
                    held(here, face / own, float(in_hole[k] if di else -lowering), True)
                else:
                    add(here, here, face / (own + other))
                    add(here, int(number[ni, nk]), -face / (own + other))
    matrix = coo_array((values, (rows, columns)), shape=(hole.size, hole.size)).tocsr()
    head = spsolve(matrix, known)
    return float(sum(conductance * (head[cell] - level) for cell, conductance, level in inflow) / (np.pi * radius**2))


@pytest.mark.parametrize("radius", [0.04, 0.06])
@pytest.mark.parametrize("water", [0.5, 1.2])
@pytest.mark.parametrize("share", [0.25, 0.5])
def test_ernst_against_the_flow_to_a_hole(radius: float, water: float, share: float) -> None:
    """Van Beers gives Ernst's formulas some 20 %; the potential flow comes within 10 %, deep and on the tight layer."""
    lowering = share * water
    deep = auger_hole_deep(radius, water, lowering, rise_rate(radius, water, lowering, 2.0 * water))
    assert deep == pytest.approx(1.0, rel=0.12)
    tight = auger_hole_on_barrier(radius, water, lowering, rise_rate(radius, water, lowering, 0.0))
    assert tight == pytest.approx(1.0, rel=0.12)


def test_sinking_water_by_its_equation() -> None:
    """Wall and bottom take water at a gradient of one: pi r^2 dh/dt = -K (2 pi r h + pi r^2)."""
    radius, conductivity = 0.05, 4e-6
    fall = solve_ivp(lambda _, h: -conductivity * (2 * h / radius + 1), (0.0, 3600.0), [0.4], rtol=1e-10, atol=1e-12).y[
        0, -1
    ]
    assert sinking_hole(radius, 0.4, float(fall), 3600.0) == pytest.approx(conductivity, rel=1e-6)


def test_a_percolation_rate_is_not_a_conductivity() -> None:
    """The same fall of one inch in ten minutes in a wide pit and in a slim full hole: K = rate r / (2 h + r)."""
    wide = sinking_hole(0.15, 0.15, 0.125, 600.0)
    slim = sinking_hole(0.05, 0.40, 0.375, 600.0)
    rate = 0.025 / 600.0
    assert wide == pytest.approx(rate * 0.15 / (2 * 0.1375 + 0.15), rel=0.003)
    assert slim == pytest.approx(rate * 0.05 / (2 * 0.3875 + 0.05), rel=0.003)
    assert wide > 5 * slim


def test_bad_input() -> None:
    with pytest.raises(InputError, match="lowering"):
        auger_hole_deep(0.04, 0.5, 0.6, 1e-4)
    with pytest.raises(InputError, match="head_end"):
        sinking_hole(0.05, 0.3, 0.4, 60.0)
