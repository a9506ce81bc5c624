"""The circular pipe, partly full: area, wetted perimeter, hydraulic radius and top width at a depth."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import require_at_most, tidy
from drainwright.worksheet import Card, catalogued

_UNITS = {"depth": "m", "diameter": "m"}
_TRIAL = {"depth": (0.01, 0.1), "diameter": (0.1, 0.5)}


def _check(depth: Floats, diameter: Floats) -> None:
    require("zero or more", np.greater_equal, depth=depth)
    require("above zero", np.greater, diameter=diameter)
    require_at_most("depth", depth, "diameter", diameter)


@catalogued(
    Card(
        title="Central angle of the wetted part of a circular pipe",
        symbol="θ",
        expression="2 * acos(1 - 2 * depth / diameter)",
        units={**_UNITS, "result": "rad"},
        source="geometry",
        trial=_TRIAL,
    )
)
def central_angle(depth: Floats, diameter: Floats) -> Floats:
    """Central angle that the wetted part subtends.

    Parameters
    ----------
    depth : Floats
        Water depth, from zero to the diameter. [m]
    diameter : Floats
        Inside diameter. [m]

    Returns
    -------
    Floats
        From 0 (dry) to 2π (full). [rad]

    Raises
    ------
    InputError
        If the diameter is not above zero or the depth not within the pipe.

    Examples
    --------
    >>> round(central_angle(0.05, 0.1), 4)
    3.1416
    """
    _check(depth, diameter)
    return tidy(2.0 * np.arccos(1.0 - 2.0 * np.asarray(depth) / diameter))


@catalogued(
    Card(
        title="Area of flow in a circular pipe",
        symbol="A",
        expression="diameter ** 2 / 8 * (2 * acos(1 - 2 * depth / diameter) - sin(2 * acos(1 - 2 * depth / diameter)))",
        units={**_UNITS, "result": "m²"},
        source="geometry",
        trial=_TRIAL,
    )
)
def segment_area(depth: Floats, diameter: Floats) -> Floats:
    """Area of flow at a depth: A = D² (θ − sin θ) / 8.

    Parameters
    ----------
    depth : Floats
        Water depth, from zero to the diameter. [m]
    diameter : Floats
        Inside diameter. [m]

    Returns
    -------
    Floats
        Area of flow. [m²]

    Raises
    ------
    InputError
        If the diameter is not above zero or the depth not within the pipe.

    Examples
    --------
    >>> round(segment_area(0.14224, 0.2032), 4)
    0.0242
    """
    _check(depth, diameter)
    angle = 2.0 * np.arccos(1.0 - 2.0 * np.asarray(depth) / diameter)
    return tidy(np.asarray(diameter) ** 2 / 8.0 * (angle - np.sin(angle)))


@catalogued(
    Card(
        title="Wetted perimeter of a circular pipe",
        symbol="P",
        expression="diameter * acos(1 - 2 * depth / diameter)",
        units={**_UNITS, "result": "m"},
        source="geometry",
        trial=_TRIAL,
    )
)
def wetted_perimeter(depth: Floats, diameter: Floats) -> Floats:
    """Wetted perimeter at a depth: P = D θ / 2.

    Parameters
    ----------
    depth : Floats
        Water depth, from zero to the diameter. [m]
    diameter : Floats
        Inside diameter. [m]

    Returns
    -------
    Floats
        Wetted perimeter. [m]

    Raises
    ------
    InputError
        If the diameter is not above zero or the depth not within the pipe.

    Examples
    --------
    >>> round(wetted_perimeter(0.14224, 0.2032), 4)
    0.4028
    """
    _check(depth, diameter)
    return tidy(np.asarray(diameter) * np.arccos(1.0 - 2.0 * np.asarray(depth) / diameter))


@catalogued(
    Card(
        title="Hydraulic radius of a circular pipe",
        symbol="R",
        expression="diameter / 4 * (1 - sin(2 * acos(1 - 2 * depth / diameter))"
        " / (2 * acos(1 - 2 * depth / diameter)))",
        units={**_UNITS, "result": "m"},
        source="geometry",
        trial=_TRIAL,
    )
)
def hydraulic_radius(depth: Floats, diameter: Floats) -> Floats:
    """Hydraulic radius at a depth: R = A / P = D (1 − sin θ / θ) / 4; zero in a dry pipe.

    Parameters
    ----------
    depth : Floats
        Water depth, from zero to the diameter. [m]
    diameter : Floats
        Inside diameter. [m]

    Returns
    -------
    Floats
        Hydraulic radius. [m]

    Raises
    ------
    InputError
        If the diameter is not above zero or the depth not within the pipe.

    Examples
    --------
    >>> round(hydraulic_radius(0.14224, 0.2032), 6)
    0.060195
    """
    _check(depth, diameter)
    angle = 2.0 * np.arccos(1.0 - 2.0 * np.asarray(depth) / diameter)
    return tidy(np.asarray(diameter) / 4.0 * (1.0 - np.sinc(angle / np.pi)))


@catalogued(
    Card(
        title="Width of the water surface in a circular pipe",
        symbol="T",
        expression="2 * sqrt(depth * (diameter - depth))",
        units={**_UNITS, "result": "m"},
        source="geometry",
        trial=_TRIAL,
    )
)
def top_width(depth: Floats, diameter: Floats) -> Floats:
    """Width of the water surface at a depth; zero in a dry and in a full pipe.

    Parameters
    ----------
    depth : Floats
        Water depth, from zero to the diameter. [m]
    diameter : Floats
        Inside diameter. [m]

    Returns
    -------
    Floats
        Width of the water surface. [m]

    Raises
    ------
    InputError
        If the diameter is not above zero or the depth not within the pipe.

    Examples
    --------
    >>> top_width(0.05, 0.1)
    0.1
    """
    _check(depth, diameter)
    return tidy(2.0 * np.sqrt(np.asarray(depth) * (np.asarray(diameter) - depth)))
