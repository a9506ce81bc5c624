"""Uniform flow with a free surface: Manning, full and partly full pipe, normal depth.

Critical depth and energy (from ``energy``) can be had here too; the water surface along a pipe is in ``profile``.
"""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, InputError, require
from drainwright.hydraulics.arrays import Array, bisect, tidy, together
from drainwright.hydraulics.energy import critical_depth, froude, specific_energy, velocity_at_depth
from drainwright.hydraulics.geometry import hydraulic_radius, segment_area
from drainwright.worksheet import Card, catalogued, quiet

__all__ = [
    "FULLEST_DEPTH",
    "critical_depth",
    "flowing_depth",
    "froude",
    "full_flow",
    "full_friction_slope",
    "largest_open_flow",
    "manning_velocity",
    "normal_depth",
    "part_full_flow",
    "specific_energy",
    "velocity_at_depth",
]

FULLEST_DEPTH = 0.938181  # y/D of the largest part-full flow at constant n: 3 θ − 5 θ cos θ + 2 sin θ = 0 [-]

_PIPE = {"diameter": "m", "slope": "m/m", "roughness": "s/m^(1/3)"}
_PIPE_TRIAL = {"diameter": (0.1, 0.5), "slope": (0.001, 0.1), "roughness": (0.008, 0.025)}


@catalogued(
    Card(
        title="Velocity of uniform flow, Manning",
        symbol="v",
        expression="hydraulic_radius ** (2 / 3) * sqrt(slope) / roughness",
        units={"hydraulic_radius": "m", "slope": "m/m", "roughness": "s/m^(1/3)", "result": "m/s"},
        source="manning_1891",
    )
)
def manning_velocity(hydraulic_radius: Floats, slope: Floats, roughness: Floats) -> Floats:
    """Velocity of uniform flow: v = R^(2/3) S^(1/2) / n.

    Parameters
    ----------
    hydraulic_radius : Floats
        Area of flow over wetted perimeter, zero or more. [m]
    slope : Floats
        Slope of the energy line, zero or more. [m/m]
    roughness : Floats
        Manning n. [s/m^(1/3)]

    Returns
    -------
    Floats
        Mean velocity. [m/s]

    Raises
    ------
    InputError
        If a value is not finite, is negative, or ``roughness`` is not above zero.

    Notes
    -----
    Rough turbulent flow of water. In plastic pipe n is nearly constant at drainage sizes.

    Examples
    --------
    >>> round(manning_velocity(0.0254, 0.01, 0.009), 4)
    0.9601
    """
    require("zero or more", np.greater_equal, hydraulic_radius=hydraulic_radius, slope=slope)
    require("above zero", np.greater, roughness=roughness)
    return tidy(np.asarray(hydraulic_radius) ** (2.0 / 3.0) * np.sqrt(slope) / roughness)


@catalogued(
    Card(
        title="Flow in a partly full pipe, Manning",
        symbol="Q",
        expression="diameter ** (8 / 3) / 8 * (2 * acos(1 - 2 * depth / diameter)"
        " - sin(2 * acos(1 - 2 * depth / diameter))) * (1 / 4 * (1 - sin(2 * acos(1 - 2 * depth / diameter))"
        " / (2 * acos(1 - 2 * depth / diameter)))) ** (2 / 3) * sqrt(slope) / roughness",
        units={"depth": "m", **_PIPE, "result": "m³/s"},
        source="manning_1891",
        trial={"depth": (0.01, 0.1), **_PIPE_TRIAL},
    )
)
def part_full_flow(depth: Floats, diameter: Floats, slope: Floats, roughness: Floats) -> Floats:
    """Uniform flow in a circular pipe at a depth, at constant n: Q = A R^(2/3) S^(1/2) / n.

    Parameters
    ----------
    depth : Floats
        Water depth, from zero to the diameter. [m]
    diameter : Floats
        Inside diameter. [m]
    slope : Floats
        Slope of the pipe, zero or more. [m/m]
    roughness : Floats
        Manning n. [s/m^(1/3)]

    Returns
    -------
    Floats
        Flow. It is largest (1.076 times full) at 0.938 of the diameter. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used or the depth is not within the pipe.

    Examples
    --------
    >>> round(part_full_flow(0.05, 0.1, 0.01, 0.009) / full_flow(0.1, 0.01, 0.009), 3)
    0.5
    """
    with quiet():
        area = segment_area(depth, diameter)
        speed = manning_velocity(hydraulic_radius(depth, diameter), slope, roughness)
    return tidy(area * speed)


@catalogued(
    Card(
        title="Flow of a just full pipe, Manning",
        symbol="Q_full",
        expression="pi / 4 ** (5 / 3) * diameter ** (8 / 3) * sqrt(slope) / roughness",
        units={**_PIPE, "result": "m³/s"},
        source="manning_1891",
        trial=_PIPE_TRIAL,
    )
)
def full_flow(diameter: Floats, slope: Floats, roughness: Floats) -> Floats:
    """Flow of a circular pipe that runs just full, without pressure.

    Parameters
    ----------
    diameter : Floats
        Inside diameter. [m]
    slope : Floats
        Slope of the pipe, zero or more. [m/m]
    roughness : Floats
        Manning n. [s/m^(1/3)]

    Returns
    -------
    Floats
        Flow; the factor π / 4^(5/3) is the 0.3117 of the tables. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(full_flow(0.1033, 0.01, 0.009) * 1000, 2)
    8.14
    """
    require("above zero", np.greater, diameter=diameter, roughness=roughness)
    require("zero or more", np.greater_equal, slope=slope)
    return tidy(np.pi / 4.0 ** (5.0 / 3.0) * np.asarray(diameter) ** (8.0 / 3.0) * np.sqrt(slope) / roughness)


@catalogued(
    Card(
        title="Friction slope of a full pipe, Manning",
        symbol="S_f",
        expression="(4 ** (5 / 3) / pi * flow * roughness / diameter ** (8 / 3)) ** 2",
        units={"flow": "m³/s", "diameter": "m", "roughness": "s/m^(1/3)", "result": "m/m"},
        source="txdot",
        trial={"roughness": (0.008, 0.025), "diameter": (0.1, 0.5)},
    )
)
def full_friction_slope(flow: Floats, diameter: Floats, roughness: Floats) -> Floats:
    """Slope of the energy line of a pipe that runs full: S_f = (Q n / (0.3117 D^(8/3)))².

    Parameters
    ----------
    flow : Floats
        Flow, zero or more. [m³/s]
    diameter : Floats
        Inside diameter. [m]
    roughness : Floats
        Manning n. [s/m^(1/3)]

    Returns
    -------
    Floats
        Friction slope. [m/m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(full_friction_slope(full_flow(0.1, 0.01, 0.009), 0.1, 0.009), 6)
    0.01
    """
    require("zero or more", np.greater_equal, flow=flow)
    require("above zero", np.greater, diameter=diameter, roughness=roughness)
    unit_flow = np.pi / 4.0 ** (5.0 / 3.0) * np.asarray(diameter) ** (8.0 / 3.0) / roughness
    return tidy((np.asarray(flow) / unit_flow) ** 2)


def largest_open_flow(diameter: Floats, slope: Floats, roughness: Floats) -> Floats:
    """The most that a pipe carries with a free surface: 1.076 times full, at 0.938 of the diameter.

    Parameters and errors are those of ``full_flow``. Leave the extra 7.6 % out of a design: a pipe so nearly
    full is not stable.
    """
    return part_full_flow(FULLEST_DEPTH * np.asarray(diameter), diameter, slope, roughness)


@catalogued(
    Card(
        title="Normal depth in a circular pipe",
        symbol="y_n",
        expression="the smaller depth at which Manning's part-full flow equals the flow, by bisection",
        units={"flow": "m³/s", **_PIPE, "result": "m"},
        source="manning_1891",
        expression_kind="procedure",
    )
)
def normal_depth(flow: Floats, diameter: Floats, slope: Floats, roughness: Floats) -> Floats:
    """Depth of uniform flow in a circular pipe.

    Parameters
    ----------
    flow : Floats
        Flow, zero or more. [m³/s]
    diameter : Floats
        Inside diameter. [m]
    slope : Floats
        Slope of the pipe, above zero. [m/m]
    roughness : Floats
        Manning n. [s/m^(1/3)]

    Returns
    -------
    Floats
        Normal depth, at most 0.938 of the diameter; where two depths fit, the smaller. [m]

    Raises
    ------
    InputError
        If a value cannot be used, or the flow is more than the pipe carries with a free surface: ask
        ``flowing_depth`` where that may happen.

    Examples
    --------
    >>> round(normal_depth(0.01, 0.2, 0.001, 0.013), 3)
    0.158
    """
    require("zero or more", np.greater_equal, flow=flow)
    require("above zero", np.greater, slope=slope)
    with quiet():
        most = largest_open_flow(diameter, slope, roughness)
        if not np.all(np.asarray(flow) <= most):
            raise InputError(f"flow = {flow!r}: expected at most the free-surface flow of the pipe, {most!r} m³/s")
        flows, diameters, slopes, roughnesses = together(flow, diameter, slope, roughness)

        def short(depth: Array) -> Array:
            return np.asarray(part_full_flow(depth, diameters, slopes, roughnesses)) - flows

        depth = bisect(short, np.zeros_like(flows), FULLEST_DEPTH * diameters)
    return tidy(np.where(flows == 0.0, 0.0, depth))


def flowing_depth(flow: Floats, diameter: Floats, slope: Floats, roughness: Floats) -> Floats:
    """Normal depth, or the diameter where the pipe cannot carry the flow with a free surface.

    Parameters are those of ``normal_depth``, but the slope may be zero; an overloaded pipe is no error here.

    Returns
    -------
    Floats
        Depth of uniform flow; the diameter where the pipe is surcharged. [m]

    Examples
    --------
    >>> flowing_depth(0.05, 0.1, 0.01, 0.009)
    0.1
    """
    require("zero or more", np.greater_equal, flow=flow, slope=slope)
    flows, diameters, slopes, roughnesses = together(flow, diameter, slope, roughness)
    with quiet():
        most = np.asarray(largest_open_flow(diameters, slopes, roughnesses))
    fits = (flows <= most) & (slopes > 0.0)
    depth = np.where(flows > 0.0, diameters, 0.0)
    if np.any(fits):
        found = normal_depth(
            tidy(flows[fits]) if flows.ndim else float(flows),
            tidy(diameters[fits]) if flows.ndim else float(diameters),
            tidy(slopes[fits]) if flows.ndim else float(slopes),
            tidy(roughnesses[fits]) if flows.ndim else float(roughnesses),
        )
        depth[fits] = found
    return tidy(depth)
