"""Volumes of basins by handbook formulas, against low spots of triangulated shots.

Trapezoidal basin: FHWA HEC-22, 3rd ed., ch. 8 (storage): V = L W D + (L + W) Z D² + 4/3 Z² D³, L and W of the floor, Z
to 1 of the sides. Frustum of a cone or pyramid: V = D/3 (A1 + sqrt(A1 A2) + A2). Both from memory; the numbers below
are worked here from the formulas, as no printed example was at hand.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from drainwright.field.low_spots import low_spots
from drainwright.field.surface import triangulate
from drainwright.field.terrain_model import LowSpot

LENGTH, WIDTH, DEEP, SIDE = 12.0, 5.0, 0.9, 3.0


def basin(half: list[tuple[float, float, float]]) -> LowSpot:
    """The low spot of rectangles one within another, each by half its sides and its level."""
    shots = [(se * a, sn * b, z) for a, b, z in half for se in (-1, 1) for sn in (-1, 1)]
    names = [f"B{n}" for n in range(len(shots))]
    (spot,) = low_spots(triangulate(names, [(e, n) for e, n, _ in shots], [z for *_, z in shots]))
    return spot


def test_trapezoidal_basin() -> None:
    out = SIDE * DEEP
    spot = basin(
        [(LENGTH / 2, WIDTH / 2, 30.0), (LENGTH / 2 + out, WIDTH / 2 + out, 30.0 + DEEP),
         (LENGTH / 2 + out + 3.0, WIDTH / 2 + out + 3.0, 30.5)]
    )  # fmt: skip
    assert spot.area == pytest.approx((LENGTH + 2 * out) * (WIDTH + 2 * out))
    for level, volume in zip(spot.curve.level, spot.curve.volume, strict=True):
        depth = level - 30.0
        expected = LENGTH * WIDTH * depth + (LENGTH + WIDTH) * SIDE * depth**2 + 4.0 / 3.0 * SIDE**2 * depth**3
        assert volume == pytest.approx(expected, abs=1e-9)
    assert spot.volume == pytest.approx(54.0 + 41.31 + 8.748)


def test_the_frustum_of_areas_is_exact_for_a_pyramid_and_near_for_a_cone() -> None:
    """The conic formula over a stage curve adds up to its volumes; for a basin that is no cone it falls short."""
    square = basin([(2.0, 2.0, 30.0), (5.0, 5.0, 30.6), (8.0, 8.0, 30.2)])
    assert added(square) == pytest.approx(square.volume)
    turns = np.arange(64) * math.tau / 64
    rings = [(1.0, 30.0), (4.0, 30.5), (7.0, 30.1)]
    shots = [(r * math.cos(t), r * math.sin(t), z) for r, z in rings for t in turns]
    (cone,) = low_spots(
        triangulate([f"K{n}" for n in range(len(shots))], [(e, n) for e, n, _ in shots], [z for *_, z in shots])
    )
    assert cone.volume == pytest.approx(0.5 / 3 * math.pi * (1.0 + 4.0 + 16.0), rel=2e-3)
    assert added(cone) == pytest.approx(cone.volume, rel=1e-4)
    long = basin([(6.0, 1.0, 30.0), (9.0, 4.0, 30.6), (12.0, 7.0, 30.2)])
    assert 0.99 * long.volume < added(long) < long.volume


def added(spot: LowSpot) -> float:
    level, area = np.array(spot.curve.level), np.array(spot.curve.area)
    return float(np.sum(np.diff(level) / 3 * (area[:-1] + np.sqrt(area[:-1] * area[1:]) + area[1:])))
