"""Energy of flow with a free surface: velocity, critical depth, specific energy, Froude number."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, InputError, require
from drainwright.hydraulics.arrays import GRAVITY, Array, bisect, tidy, together
from drainwright.hydraulics.geometry import segment_area, top_width
from drainwright.worksheet import Card, catalogued, quiet


@catalogued(
    Card(
        title="Critical depth in a circular pipe",
        symbol="y_c",
        expression="the depth at which Q² T = g A³, by bisection",
        units={"flow": "m³/s", "diameter": "m", "result": "m"},
        source="chow_1959",
        expression_kind="procedure",
    )
)
def critical_depth(flow: Floats, diameter: Floats) -> Floats:
    """Depth of least specific energy in a circular pipe.

    Parameters
    ----------
    flow : Floats
        Flow, zero or more. [m³/s]
    diameter : Floats
        Inside diameter. [m]

    Returns
    -------
    Floats
        Critical depth; it comes near the diameter for large flows, but never reaches it. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(critical_depth(0.01, 0.2), 3)
    0.085
    """
    require("zero or more", np.greater_equal, flow=flow)
    require("above zero", np.greater, diameter=diameter)
    flows, diameters = together(flow, diameter)
    with quiet():

        def short(depth: Array) -> Array:
            area = np.asarray(segment_area(depth, diameters))
            width = np.asarray(top_width(depth, diameters))
            return np.asarray(GRAVITY * area**3 - flows**2 * width)

        depth = bisect(short, np.zeros_like(flows), diameters)
    return tidy(np.where(flows == 0.0, 0.0, depth))


@catalogued(
    Card(
        title="Velocity in a partly full pipe",
        symbol="v",
        expression="flow / (diameter ** 2 / 8 * (2 * acos(1 - 2 * depth / diameter)"
        " - sin(2 * acos(1 - 2 * depth / diameter))))",
        units={"flow": "m³/s", "depth": "m", "diameter": "m", "result": "m/s"},
        source="hydraulics_text",
        trial={"depth": (0.01, 0.1), "diameter": (0.1, 0.5)},
    )
)
def velocity_at_depth(flow: Floats, depth: Floats, diameter: Floats) -> Floats:
    """Mean velocity at a depth: v = Q / A; zero where the pipe is dry.

    Parameters
    ----------
    flow : Floats
        Flow, zero or more. [m³/s]
    depth : Floats
        Water depth, from zero to the diameter. [m]
    diameter : Floats
        Inside diameter. [m]

    Returns
    -------
    Floats
        Mean velocity. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used, or there is flow without depth.

    Examples
    --------
    >>> round(velocity_at_depth(0.01, 0.16, 0.2), 2)
    0.37
    """
    require("zero or more", np.greater_equal, flow=flow)
    with quiet():
        area = np.asarray(segment_area(depth, diameter))
    if np.any((area == 0.0) & (np.asarray(flow) > 0.0)):
        raise InputError(f"depth = {depth!r}: expected above zero where there is flow")
    return tidy(np.asarray(flow) / np.where(area > 0.0, area, 1.0))


@catalogued(
    Card(
        title="Specific energy",
        symbol="E",
        expression="depth + velocity ** 2 / (2 * g)",
        units={"depth": "m", "velocity": "m/s", "result": "m"},
        source="hydraulics_text",
    )
)
def specific_energy(depth: Floats, velocity: Floats) -> Floats:
    """Energy above the invert: E = y + v² / 2g.

    Parameters
    ----------
    depth : Floats
        Water depth, zero or more. [m]
    velocity : Floats
        Mean velocity, zero or more. [m/s]

    Returns
    -------
    Floats
        Specific energy. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(specific_energy(0.1, 1.0), 4)
    0.151
    """
    require("zero or more", np.greater_equal, depth=depth, velocity=velocity)
    return tidy(np.asarray(depth) + np.asarray(velocity) ** 2 / (2.0 * GRAVITY))


@catalogued(
    Card(
        title="Froude number",
        symbol="Fr",
        expression="velocity / sqrt(g * area / width)",
        units={"velocity": "m/s", "area": "m²", "width": "m", "result": "-"},
        source="chow_1959",
    )
)
def froude(velocity: Floats, area: Floats, width: Floats) -> Floats:
    """Froude number: Fr = v / √(g A / T); below 1 the flow is tranquil.

    Parameters
    ----------
    velocity : Floats
        Mean velocity, zero or more. [m/s]
    area : Floats
        Area of flow, above zero. [m²]
    width : Floats
        Width of the water surface, above zero. [m]

    Returns
    -------
    Floats
        Froude number. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(froude(1.0, 0.02, 0.2), 3)
    1.01
    """
    require("zero or more", np.greater_equal, velocity=velocity)
    require("above zero", np.greater, area=area, width=width)
    return tidy(np.asarray(velocity) / np.sqrt(GRAVITY * np.asarray(area) / width))
