"""Where a pipe lets its water out: stone against scour, how a jet spends itself, how water spreads in a gutter."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import GRAVITY, tidy
from drainwright.worksheet import Card, catalogued

GUTTER = 0.376  # of Manning's formula for a thin triangle of water, SI (HEC-22) [-]
# Median stone up to which a class goes [m], apron length over diameter, thickness over stone: HEC-14, Table 10.1.
APRONS = (
    (0.125, 4.0, 3.5), (0.150, 4.0, 3.3), (0.250, 5.0, 2.4), (0.350, 6.0, 2.2), (0.500, 7.0, 2.0), (0.550, 8.0, 2.0),
)  # fmt: skip
LEAST_GAP = 0.0254  # of air before a receiver: 1 in [m]
JET_CORE = 6.2  # diameters over which a round jet keeps its velocity on the axis [-]


@catalogued(
    Card(
        title="Median stone of an apron at a pipe's end",
        symbol="D50",
        expression="0.2 * diameter * (flow / (sqrt(g) * diameter ** 2.5)) ** (4 / 3) * diameter / tailwater",
        units={"flow": "m³/s", "diameter": "m", "tailwater": "m", "result": "m"},
        source="hec14",
        trial={"diameter": (0.05, 1.5), "tailwater": (0.05, 1.5)},
    )
)
def apron_stone(flow: Floats, diameter: Floats, tailwater: Floats) -> Floats:
    """Median stone that the water leaving a round pipe does not move (Fletcher and Grace 1972).

    Parameters
    ----------
    flow : Floats
        Zero or more. [m³/s]
    diameter : Floats
        Inside, above zero; where the flow shoots, the mean of it and the depth of flow. [m]
    tailwater : Floats
        Depth of water over the outlet's invert, above zero; the source takes 0.4 to 1.0 diameters. [m]

    Returns
    -------
    Floats
        Size. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(apron_stone(2.33, 1.5, 0.6), 3)
    0.131
    """
    require("zero or more", np.greater_equal, flow=flow)
    require("above zero", np.greater, diameter=diameter, tailwater=tailwater)
    size = np.asarray(diameter)
    return tidy(0.2 * size * (np.asarray(flow) / (np.sqrt(GRAVITY) * size**2.5)) ** (4.0 / 3.0) * size / tailwater)


@catalogued(
    Card(
        title="Distance at which a jet has slowed to a velocity",
        symbol="x",
        expression="6.2 * diameter * velocity / allowed",
        units={"diameter": "m", "velocity": "m/s", "allowed": "m/s", "result": "m"},
        source="free_jet",
    )
)
def jet_reach(diameter: Floats, velocity: Floats, allowed: Floats) -> Floats:
    """Distance from a pipe that runs full at which the jet's fastest water has slowed to a velocity.

    Parameters
    ----------
    diameter : Floats
        Inside, zero or more. [m]
    velocity : Floats
        In the pipe, zero or more. [m/s]
    allowed : Floats
        Above zero. [m/s]

    Returns
    -------
    Floats
        Distance; for a velocity below the one allowed there is no need of any. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(jet_reach(0.0409, 2.0, 1.0), 3)
    0.507
    """
    require("zero or more", np.greater_equal, diameter=diameter, velocity=velocity)
    require("above zero", np.greater, allowed=allowed)
    return tidy(JET_CORE * np.asarray(diameter) * velocity / allowed)


@catalogued(
    Card(
        title="Width of water along a kerb",
        symbol="T",
        expression="(flow * roughness / (0.376 * cross_slope ** (5 / 3) * grade ** 0.5)) ** (3 / 8)",
        units={"flow": "m³/s", "roughness": "s/m^(1/3)", "cross_slope": "-", "grade": "-", "result": "m"},
        source="hec22",
        trial={"roughness": (0.01, 0.03), "cross_slope": (0.01, 0.06), "grade": (0.003, 0.1)},
    )
)
def gutter_spread(flow: Floats, roughness: Floats, cross_slope: Floats, grade: Floats) -> Floats:
    """Spread of a flow in a gutter of one cross slope.

    Parameters
    ----------
    flow : Floats
        Zero or more. [m³/s]
    roughness : Floats
        Manning's n, above zero; asphalt 0.016. [s/m^(1/3)]
    cross_slope, grade : Floats
        Of the street across and along, above zero. [-]

    Returns
    -------
    Floats
        Width from the kerb. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    The exponents are 5/3 and 8/3, which the manual rounds to 1.67 and 2.67.

    Examples
    --------
    >>> round(gutter_spread(0.05, 0.016, 0.02, 0.01), 2)
    2.72
    """
    require("zero or more", np.greater_equal, flow=flow)
    require("above zero", np.greater, roughness=roughness, cross_slope=cross_slope, grade=grade)
    across, along = np.asarray(cross_slope), np.asarray(grade)
    return tidy((np.asarray(flow) * roughness / (GUTTER * across ** (5.0 / 3.0) * along**0.5)) ** 0.375)


@catalogued(
    Card(
        title="Width of a trickle in a shallow swale",
        symbol="B",
        expression="2 * side_slope * (flow * roughness * 2 ** (2 / 3) / (side_slope * grade ** 0.5)) ** (3 / 8)",
        units={"flow": "m³/s", "roughness": "s/m^(1/3)", "side_slope": "-", "grade": "-", "result": "m"},
        source="manning_1891",
        trial={"roughness": (0.01, 0.4), "side_slope": (5.0, 50.0), "grade": (0.003, 0.2)},
    )
)
def swale_width(flow: Floats, roughness: Floats, side_slope: Floats, grade: Floats) -> Floats:
    """Width of water in a shallow triangular swale at uniform flow; the hydraulic radius is half the depth.

    Parameters
    ----------
    flow : Floats
        Zero or more. [m³/s]
    roughness : Floats
        Manning's n, above zero. [s/m^(1/3)]
    side_slope : Floats
        Run over rise of both sides, above zero; five or more, or the radius is less than half the depth. [-]
    grade : Floats
        Along the way, above zero. [-]

    Returns
    -------
    Floats
        Width. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(swale_width(0.001, 0.2, 20.0, 0.02), 2)
    1.32
    """
    require("zero or more", np.greater_equal, flow=flow)
    require("above zero", np.greater, roughness=roughness, side_slope=side_slope, grade=grade)
    sides = np.asarray(side_slope)
    depth = (np.asarray(flow) * roughness * 2.0 ** (2.0 / 3.0) / (sides * np.sqrt(grade))) ** 0.375
    return tidy(2.0 * sides * depth)


@catalogued(
    Card(
        title="What is left of a trickle after a way over soil that takes it in",
        symbol="Q",
        expression="max(0, flow - rate * width * length)",
        units={"flow": "m³/s", "rate": "m/s", "width": "m", "length": "m", "result": "m³/s"},
        source="common_practice",
        trial={"rate": (1e-6, 1e-3)},
    )
)
def trickle_left(flow: Floats, rate: Floats, width: Floats, length: Floats) -> Floats:
    """Flow after a way over wet soil at its steady rate of infiltration.

    Parameters
    ----------
    flow : Floats
        At the start, zero or more. [m³/s]
    rate : Floats
        Steady infiltration, zero or more. [m/s]
    width, length : Floats
        Of the wetted way, zero or more. [m]

    Returns
    -------
    Floats
        Flow, at least zero. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(trickle_left(0.001, 1e-5, 1.3, 20.0), 5)
    0.00074
    """
    require("zero or more", np.greater_equal, flow=flow, rate=rate, width=width, length=length)
    return tidy(np.maximum(0.0, np.asarray(flow) - np.asarray(rate) * width * length))


@catalogued(
    Card(
        title="Least air gap above a receiver's rim",
        symbol="h",
        expression="max(2 * bore, 0.0254)",
        units={"bore": "m", "result": "m"},
        source="ipc_802",
        trial={"bore": (0.005, 0.2)},
    )
)
def least_air_gap(bore: Floats) -> Floats:
    """Clear height between a pipe's end and the rim of what takes its water: twice the bore, an inch at least.

    Parameters
    ----------
    bore : Floats
        Inside diameter of the pipe that lets the water out, above zero. [m]

    Returns
    -------
    Floats
        Height. [m]

    Raises
    ------
    InputError
        If the bore cannot be used.

    Examples
    --------
    >>> round(least_air_gap(0.0525), 4), least_air_gap(0.01)
    (0.105, 0.0254)
    """
    require("above zero", np.greater, bore=bore)
    return tidy(np.maximum(2.0 * np.asarray(bore), LEAST_GAP))


def apron_length(stone: float, diameter: float) -> tuple[float, float]:
    """Length of an apron and thickness of its stone, by the class of stone that it needs (HEC-14, Table 10.1).

    Parameters
    ----------
    stone : float
        Median size that is needed. [m]
    diameter : float
        Of the pipe. [m]

    Returns
    -------
    tuple of float
        Length [m], thickness [m]; sizes beyond the table are taken by its last row.

    Notes
    -----
    The table is from memory: 4 diameters for stone up to 150 mm, 8 for the largest; thickness 3.5 to 2 times the stone.

    Examples
    --------
    >>> tuple(round(value, 3) for value in apron_length(0.06, 0.1))
    (0.4, 0.21)
    """
    _, lengths, thick = next((row for row in APRONS if stone <= row[0]), APRONS[-1])
    return lengths * diameter, thick * stone


__all__ = [
    "apron_length", "apron_stone", "gutter_spread", "jet_reach", "least_air_gap", "swale_width", "trickle_left",
]  # fmt: skip
