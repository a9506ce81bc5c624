"""Water that soaks away: a pit or trench that fills and empties into the soil."""

from __future__ import annotations

import math

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import require_fraction, tidy
from drainwright.worksheet import Card, catalogued


@catalogued(
    Card(
        title="Water level in a soakaway after an even inflow, soil taking it in through floor and wet sides",
        symbol="h",
        expression="max(0, (inflow / rate - floor) / perimeter + (start - (inflow / rate - floor) / perimeter)"
        " * exp(-rate * perimeter / (voids * area) * duration))",
        units={
            "start": "m",
            "inflow": "m³/s",
            "duration": "s",
            "area": "m²",
            "floor": "m²",
            "perimeter": "m",
            "rate": "m/s",
            "voids": "-",
            "result": "m",
        },
        source="ciria_156",
        trial={"rate": (1e-5, 1e-3), "area": (1.0, 9.0), "duration": (60.0, 6000.0), "voids": (0.2, 0.95)},
    )
)
def soak_level(
    start: Floats,
    inflow: Floats,
    duration: Floats,
    area: Floats,
    floor: Floats,
    perimeter: Floats,
    rate: Floats,
    voids: Floats,
) -> Floats:
    """Level after an even inflow: the exact end of ``voids area dh/dt = inflow - rate (floor + perimeter h)``.

    Parameters
    ----------
    start : Floats
        Depth of water at the start, zero or more. [m]
    inflow : Floats
        Even through the time, zero or more. [m³/s]
    duration : Floats
        Zero or more. [s]
    area : Floats
        Of the soakaway in plan, above zero. [m²]
    floor : Floats
        Part of its bottom that takes water in; zero for one that is silted shut. [m²]
    perimeter : Floats
        Of its sides in plan, above zero. [m]
    rate : Floats
        Infiltration into the soil, above zero. [m/s]
    voids : Floats
        Of its fill, above zero, at most 1. [-]

    Returns
    -------
    Floats
        Depth of water; it may be deeper than the soakaway, which then spills. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    References
    ----------
    CIRIA Report 156 (Bettess 1996), equation of the maximum depth: the same with ``start`` zero.

    Examples
    --------
    >>> round(soak_level(0.0, 0.001, 1800.0, 4.0, 4.0, 12.0, 1e-5, 0.4), 3)
    1.01
    """
    require("zero or more", np.greater_equal, start=start, inflow=inflow, duration=duration, floor=floor)
    require("above zero", np.greater, area=area, perimeter=perimeter, rate=rate, voids=voids)
    require_fraction(voids=voids)
    steady = (np.asarray(inflow) / rate - floor) / perimeter
    fade = np.exp(-np.asarray(rate) * perimeter / (np.asarray(voids) * area) * duration)
    return tidy(np.maximum(0.0, steady + (np.asarray(start) - steady) * fade))


@catalogued(
    Card(
        title="Time for a soakaway to empty from a depth to half of it",
        symbol="t",
        expression="voids * area / (rate * perimeter)"
        " * log((depth + floor / perimeter) / (depth / 2 + floor / perimeter))",
        units={
            "depth": "m",
            "area": "m²",
            "floor": "m²",
            "perimeter": "m",
            "rate": "m/s",
            "voids": "-",
            "result": "s",
        },
        source="ciria_156",
        trial={"rate": (1e-5, 1e-3), "area": (1.0, 9.0), "voids": (0.2, 0.95)},
    )
)
def half_empty_time(
    depth: Floats, area: Floats, floor: Floats, perimeter: Floats, rate: Floats, voids: Floats
) -> Floats:
    """Time in which the water falls from a depth to half of it, nothing coming in.

    Parameters
    ----------
    depth : Floats
        Of the water, above zero. [m]
    area, floor, perimeter, rate, voids : Floats
        As in ``soak_level``. [m², m², m, m/s, -]

    Returns
    -------
    Floats
        Time. [s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(half_empty_time(1.0, 4.0, 4.0, 12.0, 1e-5, 0.4) / 3600, 2)
    1.74
    """
    require("zero or more", np.greater_equal, floor=floor)
    require("above zero", np.greater, depth=depth, area=area, perimeter=perimeter, rate=rate, voids=voids)
    require_fraction(voids=voids)
    edge = np.asarray(floor) / perimeter
    return tidy(
        np.asarray(voids)
        * area
        / (np.asarray(rate) * perimeter)
        * np.log((depth + edge) / (np.asarray(depth) / 2.0 + edge))
    )


@catalogued(
    Card(
        title="Water that soaks out through half the sides during a storm",
        symbol="O",
        expression="perimeter * depth / 2 * rate * duration",
        units={"perimeter": "m", "depth": "m", "rate": "m/s", "duration": "s", "result": "m³"},
        source="bre_365",
        trial={"rate": (1e-6, 1e-3), "duration": (300.0, 86400.0)},
    )
)
def side_outflow(perimeter: Floats, depth: Floats, rate: Floats, duration: Floats) -> Floats:
    """Outflow by the simpler published rule: sides to half the depth, nothing through the bottom.

    Parameters
    ----------
    perimeter : Floats
        Of the sides in plan, zero or more. [m]
    depth : Floats
        Of the soakaway below its inlet, zero or more. [m]
    rate : Floats
        Infiltration into the soil, zero or more. [m/s]
    duration : Floats
        Of the storm, zero or more. [s]

    Returns
    -------
    Floats
        Volume; inflow less this is the storage that is needed. [m³]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(side_outflow(7.0, 1.5, 4.461e-5, 86400.0), 1)
    20.2
    """
    require("zero or more", np.greater_equal, perimeter=perimeter, depth=depth, rate=rate, duration=duration)
    return tidy(np.asarray(perimeter) * depth / 2.0 * rate * duration)


@catalogued(
    Card(
        title="Bottom area of an infiltration trench for a volume",
        symbol="A",
        expression="volume / (voids * depth + rate * filling)",
        units={"volume": "m³", "voids": "-", "depth": "m", "rate": "m/s", "filling": "s", "result": "m²"},
        source="trench_area",
        trial={"rate": (1e-6, 1e-4), "filling": (600.0, 7200.0)},
    )
)
def trench_area(volume: Floats, voids: Floats, depth: Floats, rate: Floats, filling: Floats) -> Floats:
    """Bottom area that state manuals ask for: voids hold the volume, less what soaks away while it fills.

    Parameters
    ----------
    volume : Floats
        To be held, zero or more. [m³]
    voids : Floats
        Of the stone, above zero, at most 1. [-]
    depth : Floats
        Of the stone, above zero. [m]
    rate : Floats
        Infiltration through the bottom, zero or more. [m/s]
    filling : Floats
        Time to fill, zero or more; two hours are usual. [s]

    Returns
    -------
    Floats
        Area. [m²]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(trench_area(10.0, 0.4, 1.0, 1e-5, 7200.0), 2)
    21.19
    """
    require("zero or more", np.greater_equal, volume=volume, rate=rate, filling=filling)
    require("above zero", np.greater, voids=voids, depth=depth)
    require_fraction(voids=voids)
    return tidy(np.asarray(volume) / (np.asarray(voids) * depth + np.asarray(rate) * filling))


@catalogued(
    Card(
        title="Steady intake of a well above the water table at an even head",
        symbol="Q",
        expression="2 * pi * conductivity * head ** 2 / (log(head / radius + sqrt((head / radius) ** 2 + 1))"
        " - sqrt(1 + (radius / head) ** 2) + radius / head)",
        units={"conductivity": "m/s", "head": "m", "radius": "m", "result": "m³/s"},
        source="glover_well",
        trial={"conductivity": (1e-6, 1e-3), "head": (0.5, 3.0), "radius": (0.05, 0.5)},
    )
)
def well_intake(conductivity: Floats, head: Floats, radius: Floats) -> Floats:
    """Flow that a cylindrical hole takes in at an even head, water table far below (Glover).

    Parameters
    ----------
    conductivity : Floats
        Of the soil, above zero. [m/s]
    head : Floats
        Depth of water in the hole, above zero. [m]
    radius : Floats
        Of the hole, above zero. [m]

    Returns
    -------
    Floats
        Flow. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(well_intake(1e-5, 1.0, 0.1) / 1e-5, 2)
    3.0
    """
    require("above zero", np.greater, conductivity=conductivity, head=head, radius=radius)
    ratio = np.asarray(head) / radius
    shape = np.arcsinh(ratio) - np.sqrt(1.0 + 1.0 / ratio**2) + 1.0 / ratio
    return tidy(2.0 * math.pi * np.asarray(conductivity) * np.asarray(head) ** 2 / shape)


__all__ = ["half_empty_time", "side_outflow", "soak_level", "trench_area", "well_intake"]
