"""Water that soaks away: a pit or trench that fills and empties into the soil, and the mound that grows under it."""

from __future__ import annotations

import math

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import Array, require_fraction, tidy, together
from drainwright.worksheet import Card, catalogued

MOUND_ROUNDS = 60  # of the mean thickness, until the mound agrees with it [-]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)
_EDGES = np.concatenate([[0.0], np.exp2(np.arange(-14.0, 0.5, 1.0))])  # finer towards zero, where erf turns


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


def mound_function(first: Floats, second: Floats) -> Floats:
    """Hantush's S*: the integral of erf(first / sqrt(t)) erf(second / sqrt(t)) over t from 0 to 1. Odd in each.

    Parameters
    ----------
    first, second : Floats
        Half sizes over twice the root of diffusivity and time, of one shape. [-]

    Returns
    -------
    Floats
        From -1 to 1. [-]

    Examples
    --------
    >>> round(mound_function(0.02, 0.04), 4)
    0.0073
    """
    from scipy.special import erf

    one, other = together(first, second)
    low, high = _EDGES[:-1], _EDGES[1:]
    places = (0.5 * (low + high) + 0.5 * (high - low) * _NODES[:, None]).ravel()
    shares = (0.5 * (high - low) * _WEIGHTS[:, None]).ravel() * 2.0 * places
    whole = erf(one[..., None] / places) * erf(other[..., None] / places)
    return tidy(np.sum(shares * whole, axis=-1))


@catalogued(
    Card(
        title="Rise of the water table under a rectangle that water soaks in at (Hantush 1967)",
        symbol="z",
        expression="h - head, with h² - head² = w b t / (2 ε) of the sum of S* over the four corners, "
        "b the mean of head and h",
        units={
            "percolation": "m/s",
            "time": "s",
            "half_length": "m",
            "half_width": "m",
            "conductivity": "m/s",
            "porosity": "-",
            "head": "m",
            "along": "m",
            "across": "m",
            "result": "m",
        },
        source="hantush_1967",
        expression_kind="procedure",
    )
)
def mound_rise(
    percolation: Floats,
    time: Floats,
    half_length: Floats,
    half_width: Floats,
    conductivity: Floats,
    porosity: Floats,
    head: Floats,
    along: Floats = 0.0,
    across: Floats = 0.0,
) -> Floats:
    """Rise of the water table while water soaks evenly into a rectangle.

    Parameters
    ----------
    percolation : Floats
        Water that reaches the water table under the rectangle, zero or more. [m/s]
    time : Floats
        Since it began, above zero. [s]
    half_length, half_width : Floats
        Half the sides of the rectangle, above zero. [m]
    conductivity : Floats
        Of the soil, above zero. [m/s]
    porosity : Floats
        Drainable, above zero, at most 1. [-]
    head : Floats
        Thickness of the water-bearing soil before, above zero. [m]
    along, across : Floats
        Place from the middle of the rectangle, zero or more. [m]

    Returns
    -------
    Floats
        Rise. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    References
    ----------
    M. S. Hantush, Growth and decay of groundwater-mounds in response to uniform percolation, Water Resources Research 3
    (1), 1967, pp. 227-234.

    Notes
    -----
    The soil is even and without end, the flow to the sides level; the mean thickness by successive approximation.

    Examples
    --------
    >>> round(mound_rise(1e-6, 86400.0, 5.0, 1.0, 1e-5, 0.2, 3.0), 3)
    0.105
    """
    require("zero or more", np.greater_equal, percolation=percolation, along=along, across=across)
    require(
        "above zero", np.greater, time=time, half_length=half_length, half_width=half_width, conductivity=conductivity,
        porosity=porosity, head=head,
    )  # fmt: skip
    require_fraction(porosity=porosity)
    w, t, half_l, half_w, k, e, h0, x, y = together(
        percolation, time, half_length, half_width, conductivity, porosity, head, along, across
    )

    def squares(h: Array) -> Array:
        b = 0.5 * (h0 + h)
        scale = 1.0 / np.sqrt(4.0 * k * b / e * t)
        corners = sum(
            np.asarray(mound_function((half_l + sx * x) * scale, (half_w + sy * y) * scale))
            for sx in (1.0, -1.0)
            for sy in (1.0, -1.0)
        )
        return np.asarray(np.sqrt(h0**2 + 0.5 * w * b * t / e * corners))

    h = h0
    for _ in range(MOUND_ROUNDS):
        h = 0.5 * (h + squares(h))
    return tidy(h - h0)


__all__ = [
    "half_empty_time", "mound_function", "mound_rise", "side_outflow", "soak_level", "trench_area", "well_intake",
]  # fmt: skip
