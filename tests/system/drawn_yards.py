"""Yards drawn at random for the tests: a house, buried lines, trees and paving, without a job."""

from __future__ import annotations

import math

import numpy as np
from shapely import LineString, Point, box

from drainwright.system.yard.yard_map import YardMap
from drainwright.system.yard.zones import BARRIER, HAND_DIG, NEAR_TRUNK, ROOTS, Zone

Place = tuple[float, float]


def zones(rng: np.random.Generator, wide: float, high: float) -> list[Zone]:
    """Two buried lines, two trees and a patch of paving."""
    found = []
    for name in ("gas", "water"):
        line = LineString([(rng.uniform(0, wide), -5.0), (rng.uniform(0, wide), high + 5.0)])  # no way round its ends
        shape = line.buffer(0.62, cap_style="flat")
        found.append(Zone(kind="utility", name=name, shape=shape, extra=HAND_DIG, line=line, reach=0.62))
    for name in ("oak", "elm"):
        at, reach = Point(rng.uniform(0, wide), rng.uniform(0, high)), rng.uniform(2.0, 6.0)
        found.append(Zone(kind="roots", name=name, shape=at.buffer(reach), extra=ROOTS, reach=reach))
        found.append(Zone(kind="roots", name=name, shape=at.buffer(reach / 2), extra=NEAR_TRUNK))
        found.append(Zone(kind="trunk", name=name, shape=at.buffer(0.8), extra=BARRIER, reach=0.8))
    x, y = rng.uniform(0, wide - 5), rng.uniform(0, high - 5)
    found.append(Zone(kind="surface", name="paving", shape=box(x, y, x + 5, y + 4), extra=2.5))
    return found


def outline(rng: np.random.Generator, wide: float, high: float) -> list[Place]:
    """A house in the middle: a rectangle, or one with a corner left out, turned a little."""
    a, b = rng.uniform(7.0, 12.0, 2)
    corners = [(0, 0), (a, 0), (a, b), (0, b)]
    if rng.random() < 0.5:
        corners = [(0, 0), (a, 0), (a, b / 2), (a / 2, b / 2), (a / 2, b), (0, b)]
    turn = rng.uniform(-0.3, 0.3)
    cos, sin = math.cos(turn), math.sin(turn)
    middle = wide / 2, high / 2
    return [
        (
            float(middle[0] + (x - a / 2) * cos - (y - b / 2) * sin),
            float(middle[1] + (x - a / 2) * sin + (y - b / 2) * cos),
        )
        for x, y in corners
    ]


def drawn_yard(seed: int, most: int = 6_000, *, bare: bool = False) -> tuple[YardMap, np.random.Generator]:
    """A yard of some 30 by 25 m; ``bare``: only the house on even lawn."""
    rng = np.random.default_rng(seed)
    wide, high = rng.uniform(24.0, 36.0), rng.uniform(20.0, 30.0)
    house = outline(rng, wide, high)
    slope = rng.uniform(-0.04, 0.04, 2)

    def ground(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return 10.0 + slope[0] * x + slope[1] * y, np.ones_like(x)

    lies = [] if bare else zones(rng, wide, high)
    return YardMap(house, lies, (-3.0, -3.0, wide + 3.0, high + 3.0), ground, most=most), rng


def places(yard: YardMap, rng: np.random.Generator, count: int, off: float = 0.1) -> list[Place]:
    """Places in the yard, off the house."""
    found: list[Place] = []
    cells = yard.cells
    while len(found) < count:
        east, north = (
            float(low + rng.uniform(1.0, cells.side * many - 1.0))
            for low, many in zip((cells.west, cells.south), cells.shape, strict=True)
        )
        if yard.off((east, north)) >= off:
            found.append((east, north))
    return found
