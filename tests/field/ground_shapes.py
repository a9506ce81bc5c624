"""Ten grounds with closed forms, shot on rings or on a grid of any fineness."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from drainwright.field.surface import Surface, triangulate

Array = NDArray[np.float64]
Ground = Callable[[Array, Array], Array]

RADIUS, DEPTH = 4.0, 0.5  # of the round bowls, to their lip [m]
SHIFT = (103.0, -57.0, 29.75)  # the grounds lie somewhere, not at the origin [m]


def shot(east: Array, north: Array, ground: Ground) -> Surface:
    """A surface through shots of a ground, moved by SHIFT."""
    level = ground(east, north) + SHIFT[2]
    return triangulate(
        [f"G{n}" for n in range(len(east))],
        list(zip((east + SHIFT[0]).tolist(), (north + SHIFT[1]).tolist(), strict=True)),
        level.tolist(),
    )


def on_rings(ground: Ground, fineness: int, reach: float = 6.0) -> Surface:
    """Shots at the middle and on rings that include the lip; 8 a ring and a ring a metre, times the fineness."""
    radii = np.linspace(0.0, reach, round(reach) * fineness + 1)[1:]
    turns = np.arange(8 * fineness) * math.tau / (8 * fineness)
    east = np.concatenate([[0.0], np.outer(radii, np.cos(turns)).ravel()])
    north = np.concatenate([[0.0], np.outer(radii, np.sin(turns)).ravel()])
    return shot(east, north, ground)


def on_grid(ground: Ground, fineness: int, reach: float = 4.0) -> Surface:
    """Shots on a square grid round the middle, a metre apart over the fineness."""
    marks = np.linspace(-reach, reach, round(2 * reach) * fineness + 1)
    east, north = (one.ravel() for one in np.meshgrid(marks, marks))
    return shot(east, north, ground)


def lipped(inside: Callable[[Array], Array]) -> Ground:
    """A round bowl whose lip stands at DEPTH over RADIUS; beyond it the ground falls away."""

    def ground(east: Array, north: Array) -> Array:
        radius = np.hypot(east, north)
        return np.where(radius <= RADIUS, inside(np.minimum(radius, RADIUS)), DEPTH - 0.1 * (radius - RADIUS))

    return ground


def plane(east: Array, north: Array) -> Array:
    return 0.03 * east - 0.04 * north


def cone(east: Array, north: Array) -> Array:
    return 0.6 - 0.1 * np.hypot(east, north)


inverted_cone = lipped(lambda radius: DEPTH * radius / RADIUS)
paraboloid = lipped(lambda radius: DEPTH * (radius / RADIUS) ** 2)
SPHERE = (RADIUS**2 + DEPTH**2) / (2.0 * DEPTH)  # radius of the sphere whose cap has this depth [m]
sphere_cap = lipped(lambda radius: SPHERE - np.sqrt(SPHERE**2 - radius**2))


def saddle(east: Array, north: Array) -> Array:
    return 0.02 * (east**2 - north**2)


WELL, ACROSS = 2.0, 0.05  # the two bowls lie at this distance to either side of the sill [m]; curvature [1/m]
SILL = 0.01 * WELL**4


def two_bowls(east: Array, north: Array) -> Array:
    return 0.01 * (east**2 - WELL**2) ** 2 + ACROSS * north**2


def ridge(east: Array, north: Array) -> Array:
    return 0.3 - 0.08 * np.abs(east)


BOTTOM, TOP = 2.0, 6.0  # sides of the pit's floor and of its mouth [m]


def pyramid_pit(east: Array, north: Array) -> Array:
    """A square pit with a level floor, 0.5 m deep; beyond its mouth the ground falls away."""
    out = np.maximum(np.abs(east), np.abs(north))
    return np.where(
        out <= TOP / 2,
        DEPTH * np.maximum(out - BOTTOM / 2, 0.0) / (TOP / 2 - BOTTOM / 2),
        DEPTH - 0.1 * (out - TOP / 2),
    )


WAVE = 2.0  # side of one hollow or hill of the sine field [m]


def sine_field(east: Array, north: Array) -> Array:
    return np.round(0.1 * np.sin(math.pi * east / WAVE) * np.sin(math.pi * north / WAVE), 12) + 0.0
