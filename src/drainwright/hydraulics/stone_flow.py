"""Flow through drain stone: coarse enough that it is not Darcy's. Water in the stone round a perforated pipe.

Velocities are of the whole section (discharge over area), gradients positive downstream.
"""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import GRAVITY, require_fraction, tidy
from drainwright.worksheet import Card, catalogued

WILKINS = 5.243  # of V = W m^0.5 i^0.54 in the voids, crushed stone: 32.9 in inches and seconds [m^0.5/s]
VISCOSITY = 1.307e-6  # of water at 10 °C [m²/s]
ROUGH_SURFACE = 1.25  # surface of broken stone over that of spheres of its size; common practice, no source [-]


@catalogued(
    Card(
        title="Hydraulic mean radius of the voids of stone",
        symbol="m",
        expression="voids / (1 - voids) * size / (6 * shape)",
        units={"size": "m", "voids": "-", "shape": "-", "result": "m"},
        source="wilkins_1956",
    )
)
def void_radius(size: Floats, voids: Floats = 0.4, shape: Floats = ROUGH_SURFACE) -> Floats:
    """Volume of the voids over the surface of the stone in them.

    Parameters
    ----------
    size : Floats
        Mean size of the stone, above zero. [m]
    voids : Floats
        Share of voids, from 0 to below 1. [-]
    shape : Floats
        Surface over that of spheres of the same size, above zero. [-]

    Returns
    -------
    Floats
        Hydraulic mean radius. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(void_radius(0.019) * 1000, 2)
    1.69
    """
    require("above zero", np.greater, size=size, shape=shape)
    require_fraction(voids=voids)
    e = np.asarray(voids) / (1.0 - np.asarray(voids))
    return tidy(e * np.asarray(size) / (6.0 * np.asarray(shape)))


@catalogued(
    Card(
        title="Flow through coarse stone, Wilkins",
        symbol="u",
        expression="voids * 5.243 * sqrt(radius) * gradient ** 0.54",
        units={"gradient": "m/m", "radius": "m", "voids": "-", "result": "m/s"},
        source="wilkins_1956",
    )
)
def wilkins_velocity(gradient: Floats, radius: Floats, voids: Floats = 0.4) -> Floats:
    """Velocity through coarse stone, turbulent: V = W m^0.5 i^0.54 in the voids.

    Parameters
    ----------
    gradient : Floats
        Fall of the head over the length, zero or more. [-]
    radius : Floats
        Hydraulic mean radius of the voids, above zero. [m]
    voids : Floats
        Share of voids. [-]

    Returns
    -------
    Floats
        Velocity of the whole section. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(wilkins_velocity(0.01, 0.00169) * 1000, 1)
    7.2
    """
    require("zero or more", np.greater_equal, gradient=gradient)
    require("above zero", np.greater, radius=radius)
    require_fraction(voids=voids)
    return tidy(np.asarray(voids) * WILKINS * np.sqrt(radius) * np.asarray(gradient) ** 0.54)


@catalogued(
    Card(
        title="Flow through stone, Ergun",
        symbol="u",
        expression="(-150 * (1 - voids) ** 2 * viscosity / (g * voids ** 3 * size ** 2)"
        " + sqrt((150 * (1 - voids) ** 2 * viscosity / (g * voids ** 3 * size ** 2)) ** 2"
        " + 4 * 1.75 * (1 - voids) / (g * voids ** 3 * size) * gradient))"
        " / (2 * 1.75 * (1 - voids) / (g * voids ** 3 * size))",
        units={"gradient": "m/m", "size": "m", "voids": "-", "viscosity": "m²/s", "result": "m/s"},
        source="ergun_1952",
        trial={"voids": (0.3, 0.5), "size": (0.001, 0.05), "viscosity": (1e-6, 2e-6)},
    )
)
def ergun_velocity(gradient: Floats, size: Floats, voids: Floats = 0.4, viscosity: Floats = VISCOSITY) -> Floats:
    """Velocity through stone from creeping to turbulent flow: i = a u + b u² (Forchheimer) with Ergun's a and b.

    Parameters
    ----------
    gradient : Floats
        Fall of the head over the length, zero or more. [-]
    size : Floats
        Mean size of the stone, above zero. [m]
    voids : Floats
        Share of voids, above 0 and below 1. [-]
    viscosity : Floats
        Kinematic, above zero; left out: water at 10 °C. [m²/s]

    Returns
    -------
    Floats
        Velocity of the whole section. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(ergun_velocity(0.01, 0.019) * 1000, 1)
    9.0
    """
    require("zero or more", np.greater_equal, gradient=gradient)
    require("above zero", np.greater, size=size, voids=voids, viscosity=viscosity, solids=1.0 - np.asarray(voids))
    n, d = np.asarray(voids), np.asarray(size)
    linear = 150.0 * (1.0 - n) ** 2 * np.asarray(viscosity) / (GRAVITY * n**3 * d**2)
    square = 1.75 * (1.0 - n) / (GRAVITY * n**3 * d)
    return tidy((-linear + np.sqrt(linear**2 + 4.0 * square * np.asarray(gradient))) / (2.0 * square))


@catalogued(
    Card(
        title="Head over the holes of a drain pipe",
        symbol="h",
        expression="(inflow / (unblocked * coefficient * open_area)) ** 2 / (2 * g)",
        units={"inflow": "m²/s", "open_area": "m²/m", "unblocked": "-", "coefficient": "-", "result": "m"},
        source="perforated_orifice",
    )
)
def perforation_head(inflow: Floats, open_area: Floats, unblocked: Floats = 0.5, coefficient: Floats = 0.61) -> Floats:
    """Head between the stone and the inside of a pipe that drives water through its holes: the inverse of their inflow.

    Parameters
    ----------
    inflow : Floats
        For each metre of pipe, zero or more. [m²/s]
    open_area : Floats
        Of the holes for each metre, above zero. [m²/m]
    unblocked : Floats
        Share of the holes that is open, above zero. [-]
    coefficient : Floats
        Of the orifice, above zero. [-]

    Returns
    -------
    Floats
        Head. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(perforation_head(1e-4, 0.002) * 1000, 2)
    1.37
    """
    require("zero or more", np.greater_equal, inflow=inflow)
    require("above zero", np.greater, open_area=open_area, unblocked=unblocked, coefficient=coefficient)
    speed = np.asarray(inflow) / (np.asarray(unblocked) * np.asarray(coefficient) * np.asarray(open_area))
    return tidy(speed**2 / (2.0 * GRAVITY))


__all__ = ["ROUGH_SURFACE", "ergun_velocity", "perforation_head", "void_radius", "wilkins_velocity"]
