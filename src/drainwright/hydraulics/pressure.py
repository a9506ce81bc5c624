"""Pipes under pressure: friction by Hazen-Williams and Darcy-Weisbach, and local losses."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import GRAVITY, tidy
from drainwright.worksheet import Card, catalogued, quiet

VISCOSITY_10C = 1.307e-6  # kinematic viscosity of water at 10 °C, from memory of standard tables [m²/s]
VISCOSITY_20C = 1.004e-6  # at 20 °C [m²/s]
LAMINAR_LIMIT = 2300.0  # Reynolds number up to which flow is taken as laminar [-]


@catalogued(
    Card(
        title="Velocity in a full round pipe",
        symbol="v",
        expression="4 * flow / (pi * diameter ** 2)",
        units={"flow": "m³/s", "diameter": "m", "result": "m/s"},
        source="hydraulics_text",
    )
)
def pipe_velocity(flow: Floats, diameter: Floats) -> Floats:
    """Mean velocity in a full round pipe.

    Parameters
    ----------
    flow : Floats
        Flow, zero or more. [m³/s]
    diameter : Floats
        Inside diameter, not the nominal size. [m]

    Returns
    -------
    Floats
        Mean velocity. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(pipe_velocity(0.002, 0.0525), 3)
    0.924
    """
    require("zero or more", np.greater_equal, flow=flow)
    require("above zero", np.greater, diameter=diameter)
    return tidy(4.0 * np.asarray(flow) / (np.pi * np.asarray(diameter) ** 2))


@catalogued(
    Card(
        title="Friction head loss, Hazen-Williams",
        symbol="h_f",
        expression="10.67 * length * (flow / roughness) ** 1.852 / diameter ** 4.8704",
        units={"flow": "m³/s", "length": "m", "diameter": "m", "roughness": "-", "result": "m"},
        source="shammas_wang",
        trial={"roughness": (100.0, 150.0)},
    )
)
def hazen_williams_head_loss(flow: Floats, length: Floats, diameter: Floats, roughness: Floats) -> Floats:
    """Friction head loss of water in a full pressure line: h = 10.67 L (Q/C)^1.852 / d^4.8704.

    Parameters
    ----------
    flow : Floats
        Flow, zero or more. [m³/s]
    length : Floats
        Developed length; with or without the equivalent length of fittings. [m]
    diameter : Floats
        Inside diameter, not the nominal size. [m]
    roughness : Floats
        Hazen-Williams C; a larger C is a smoother pipe (plastic 140 to 150). [-]

    Returns
    -------
    Floats
        Head loss. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Empirical: turbulent water near 15 °C. The exponents are 1/0.54 and 2.63/0.54 to four digits; handbooks
    also print 1.85 and 4.87, or 10.5 L (Q/C)^1.852 / D^4.8655 in feet, gpm and inches (within 1 %).

    Examples
    --------
    >>> round(hazen_williams_head_loss(0.002, 12.0, 0.0525, 150.0), 4)
    0.2051
    """
    require("zero or more", np.greater_equal, flow=flow, length=length)
    require("above zero", np.greater, diameter=diameter, roughness=roughness)
    unit_flow = np.asarray(flow) / roughness
    return tidy(10.67 * np.asarray(length) * unit_flow**1.852 / np.asarray(diameter) ** 4.8704)


@catalogued(
    Card(
        title="Reynolds number of pipe flow",
        symbol="Re",
        expression="velocity * diameter / viscosity",
        units={"velocity": "m/s", "diameter": "m", "viscosity": "m²/s", "result": "-"},
        source="hydraulics_text",
    )
)
def reynolds(velocity: Floats, diameter: Floats, viscosity: Floats = VISCOSITY_10C) -> Floats:
    """Reynolds number of the flow in a full pipe.

    Parameters
    ----------
    velocity : Floats
        Mean velocity, zero or more. [m/s]
    diameter : Floats
        Inside diameter. [m]
    viscosity : Floats
        Kinematic viscosity. [m²/s]

    Returns
    -------
    Floats
        Reynolds number. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(reynolds(1.0, 0.05))
    38256
    """
    require("zero or more", np.greater_equal, velocity=velocity)
    require("above zero", np.greater, diameter=diameter, viscosity=viscosity)
    return tidy(np.asarray(velocity) * diameter / viscosity)


@catalogued(
    Card(
        title="Friction factor, Swamee-Jain",
        symbol="f",
        expression="0.25 / log10(relative_roughness / 3.7 + 5.74 / reynolds ** 0.9) ** 2",
        units={"reynolds": "-", "relative_roughness": "-", "result": "-"},
        source="swamee_jain",
        trial={"reynolds": (5e3, 1e8), "relative_roughness": (1e-6, 1e-2)},
    )
)
def swamee_jain_factor(reynolds: Floats, relative_roughness: Floats) -> Floats:
    """Darcy friction factor, explicit, for 5 000 ≤ Re ≤ 10⁸ and 10⁻⁶ ≤ ε/D ≤ 10⁻².

    Parameters
    ----------
    reynolds : Floats
        Reynolds number, above zero. [-]
    relative_roughness : Floats
        Roughness height over diameter, zero or more. [-]

    Returns
    -------
    Floats
        Darcy friction factor, within about 1 % of Colebrook in its range (3 % at the edges). [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(swamee_jain_factor(1e5, 1e-4), 4)
    0.0185
    """
    require("above zero", np.greater, reynolds=reynolds)
    require("zero or more", np.greater_equal, relative_roughness=relative_roughness)
    inside = np.asarray(relative_roughness) / 3.7 + 5.74 / np.asarray(reynolds) ** 0.9
    return tidy(0.25 / np.log10(inside) ** 2)


@catalogued(
    Card(
        title="Darcy friction factor",
        symbol="f",
        expression="64/Re up to Re = 2300, above it 1/√f = −2 log10(ε/D/3.7 + 2.51/(Re √f)) by repetition",
        units={"reynolds": "-", "relative_roughness": "-", "result": "-"},
        source="darcy_weisbach",
        expression_kind="procedure",
    )
)
def friction_factor(reynolds: Floats, relative_roughness: Floats) -> Floats:
    """Darcy friction factor: laminar 64/Re, else Colebrook.

    Parameters
    ----------
    reynolds : Floats
        Reynolds number, above zero. [-]
    relative_roughness : Floats
        Roughness height over diameter, zero or more. [-]

    Returns
    -------
    Floats
        Darcy friction factor. It steps up at Re = 2 300, on the safe side of the unsettled range. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(friction_factor(1e5, 1e-4), 4), friction_factor(1000.0, 0.0)
    (0.0185, 0.064)
    """
    require("above zero", np.greater, reynolds=reynolds)
    require("zero or more", np.greater_equal, relative_roughness=relative_roughness)
    number = np.asarray(reynolds, dtype=np.float64)
    turbulent = np.maximum(number, LAMINAR_LIMIT)
    with quiet():
        inverse_root = 1.0 / np.sqrt(np.asarray(swamee_jain_factor(turbulent, relative_roughness)))
    for _ in range(25):  # each repetition gains about a digit
        inside = np.asarray(relative_roughness) / 3.7 + 2.51 * inverse_root / turbulent
        inverse_root = -2.0 * np.log10(inside)
    return tidy(np.where(number <= LAMINAR_LIMIT, 64.0 / number, inverse_root**-2.0))


@catalogued(
    Card(
        title="Friction head loss, Darcy-Weisbach",
        symbol="h_f",
        expression="8 * factor * length * flow ** 2 / (g * pi ** 2 * diameter ** 5)",
        units={"flow": "m³/s", "length": "m", "diameter": "m", "factor": "-", "result": "m"},
        source="darcy_weisbach",
    )
)
def darcy_weisbach_head_loss(flow: Floats, length: Floats, diameter: Floats, factor: Floats) -> Floats:
    """Friction head loss of a full pipe: h = f (L/D) v²/2g, with v from the flow.

    Parameters
    ----------
    flow : Floats
        Flow, zero or more. [m³/s]
    length : Floats
        Length, zero or more. [m]
    diameter : Floats
        Inside diameter. [m]
    factor : Floats
        Darcy friction factor. [-]

    Returns
    -------
    Floats
        Head loss. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(darcy_weisbach_head_loss(0.002, 12.0, 0.0525, 0.021), 3)
    0.209
    """
    require("zero or more", np.greater_equal, flow=flow, length=length, factor=factor)
    require("above zero", np.greater, diameter=diameter)
    top = 8.0 * np.asarray(factor) * length * np.asarray(flow) ** 2
    return tidy(top / (GRAVITY * np.pi**2 * np.asarray(diameter) ** 5))


def pipe_head_loss(
    flow: Floats, length: Floats, diameter: Floats, wall_roughness: Floats, viscosity: Floats = VISCOSITY_10C
) -> Floats:
    """Friction head loss of a full pipe by Darcy-Weisbach with the factor of ``friction_factor``.

    Parameters
    ----------
    flow : Floats
        Flow, zero or more. [m³/s]
    length : Floats
        Length, zero or more. [m]
    diameter : Floats
        Inside diameter. [m]
    wall_roughness : Floats
        Roughness height of the wall; smooth plastic 0.0000015. [m]
    viscosity : Floats
        Kinematic viscosity. [m²/s]

    Returns
    -------
    Floats
        Head loss; zero at rest. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(pipe_head_loss(0.002, 12.0, 0.0525, 1.5e-6, VISCOSITY_20C), 3)
    0.21
    """
    number = np.maximum(np.asarray(reynolds(pipe_velocity(flow, diameter), diameter, viscosity)), 1e-9)
    factor = friction_factor(tidy(number), tidy(np.asarray(wall_roughness) / np.asarray(diameter)))
    return darcy_weisbach_head_loss(flow, length, diameter, factor)


@catalogued(
    Card(
        title="Local head loss",
        symbol="h_m",
        expression="coefficient * velocity ** 2 / (2 * g)",
        units={"velocity": "m/s", "coefficient": "-", "result": "m"},
        source="hydraulics_text",
    )
)
def minor_loss(velocity: Floats, coefficient: Floats) -> Floats:
    """Head lost in a fitting, entrance, exit or junction: h = K v²/2g.

    Parameters
    ----------
    velocity : Floats
        Mean velocity in the pipe, zero or more. [m/s]
    coefficient : Floats
        Loss coefficient K, or the sum of several, zero or more. [-]

    Returns
    -------
    Floats
        Head loss. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(minor_loss(1.5, 0.9), 3)
    0.103
    """
    require("zero or more", np.greater_equal, velocity=velocity, coefficient=coefficient)
    return tidy(np.asarray(coefficient) * np.asarray(velocity) ** 2 / (2.0 * GRAVITY))


@catalogued(
    Card(
        title="Equivalent length of a fitting",
        symbol="L_e",
        expression="length_ratio * diameter",
        units={"length_ratio": "-", "diameter": "m", "result": "m"},
        source="irc_a2",
    )
)
def equivalent_length(length_ratio: Floats, diameter: Floats) -> Floats:
    """Length of straight pipe that loses as much head as a fitting: (L/d) times the diameter.

    Parameters
    ----------
    length_ratio : Floats
        Equivalent length in diameters, zero or more. [-]
    diameter : Floats
        Inside diameter. [m]

    Returns
    -------
    Floats
        Equivalent length. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(equivalent_length(30.0, 0.0525), 3)
    1.575
    """
    require("zero or more", np.greater_equal, length_ratio=length_ratio)
    require("above zero", np.greater, diameter=diameter)
    return tidy(np.asarray(length_ratio) * diameter)
