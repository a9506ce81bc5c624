"""Inlets: grates, curb openings, slots; and, from ``openings``, the holes and weirs.

A grate in a sag is a weir while shallow and an orifice when deep; between the two the lower flow governs.
"""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import GRAVITY, require_fraction, tidy
from drainwright.hydraulics.openings import (
    SHARP_ORIFICE,
    WEIR_COEFFICIENT,
    jet_velocity,
    leader_capacity,
    orifice_flow,
    perforation_inflow,
    relief_hole_flow,
    weir_flow,
)
from drainwright.worksheet import Card, catalogued

__all__ = [
    "CURB_WEIR_COEFFICIENT",
    "ORIFICE_COEFFICIENT",
    "SHARP_ORIFICE",
    "SLOT_ORIFICE_COEFFICIENT",
    "SLOT_WEIR_COEFFICIENT",
    "WEIR_COEFFICIENT",
    "curb_opening_capacity",
    "grate_capacity",
    "grate_head",
    "grate_orifice_flow",
    "grate_weir_flow",
    "jet_velocity",
    "leader_capacity",
    "orifice_flow",
    "perforation_inflow",
    "relief_hole_flow",
    "slot_capacity",
    "weir_flow",
]

ORIFICE_COEFFICIENT = 0.67  # grates [-]
CURB_WEIR_COEFFICIENT = 2.3 * 0.3048**0.5  # 2.3 in feet, exactly converted (HEC-22 prints 1.25) [m^0.5/s]
SLOT_WEIR_COEFFICIENT = 1.4  # slots in a sag, HEC-22, from memory [m^0.5/s]
SLOT_ORIFICE_COEFFICIENT = 0.8  # the same [-]


@catalogued(
    Card(
        title="Inflow of a grate as a weir",
        symbol="Q_w",
        expression="coefficient * perimeter * (1 - clogging) * head ** 1.5",
        units={"perimeter": "m", "head": "m", "clogging": "-", "coefficient": "m^0.5/s", "result": "m³/s"},
        source="txdot",
    )
)
def grate_weir_flow(
    perimeter: Floats, head: Floats, clogging: Floats = 0.5, coefficient: Floats = WEIR_COEFFICIENT
) -> Floats:
    """Inflow of a shallow grate in a sag, over its edge.

    Parameters
    ----------
    perimeter : Floats
        Edge over which water comes; without a side against a curb or wall, zero or more. [m]
    head : Floats
        Depth of water over the opening, zero or more. [m]
    clogging : Floats
        Share of the edge that is blocked, from 0 to 1. [-]
    coefficient : Floats
        Weir coefficient, above zero. [m^0.5/s]

    Returns
    -------
    Floats
        Inflow. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    TxDOT takes half of the perimeter and of the clear area for safety: ``clogging`` 0.5.

    Examples
    --------
    >>> round(grate_weir_flow(1.2, 0.05, 0.5), 5)
    0.01114
    """
    require("zero or more", np.greater_equal, perimeter=perimeter, head=head)
    require("above zero", np.greater, coefficient=coefficient)
    require_fraction(clogging=clogging)
    free = np.asarray(perimeter) * (1.0 - np.asarray(clogging))
    return tidy(coefficient * free * np.asarray(head) ** 1.5)


@catalogued(
    Card(
        title="Inflow of a grate as an orifice",
        symbol="Q_o",
        expression="coefficient * clear_area * (1 - clogging) * sqrt(2 * g * head)",
        units={"clear_area": "m²", "head": "m", "clogging": "-", "coefficient": "-", "result": "m³/s"},
        source="txdot",
    )
)
def grate_orifice_flow(
    clear_area: Floats, head: Floats, clogging: Floats = 0.5, coefficient: Floats = ORIFICE_COEFFICIENT
) -> Floats:
    """Inflow of a deep grate in a sag, through its openings.

    Parameters
    ----------
    clear_area : Floats
        Clear area of the openings, zero or more. [m²]
    head : Floats
        Depth of water over the opening, zero or more. [m]
    clogging : Floats
        Share of the area that is blocked, from 0 to 1. [-]
    coefficient : Floats
        Orifice coefficient, above zero. [-]

    Returns
    -------
    Floats
        Inflow. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(grate_orifice_flow(0.02, 0.05, 0.5), 5)
    0.00663
    """
    require("zero or more", np.greater_equal, clear_area=clear_area, head=head)
    require("above zero", np.greater, coefficient=coefficient)
    require_fraction(clogging=clogging)
    free = np.asarray(clear_area) * (1.0 - np.asarray(clogging))
    return tidy(coefficient * free * np.sqrt(2.0 * GRAVITY * np.asarray(head)))


@catalogued(
    Card(
        title="Inflow of a grate in a sag, the lower of weir and orifice",
        symbol="Q_i",
        expression="min(1.66 * perimeter * (1 - clogging) * head ** 1.5, 0.67 * clear_area * (1 - "
        "clogging) * sqrt(2 * g * head))",
        units={"perimeter": "m", "clear_area": "m²", "head": "m", "clogging": "-", "result": "m³/s"},
        source="txdot",
    )
)
def grate_capacity(perimeter: Floats, clear_area: Floats, head: Floats, clogging: Floats = 0.5) -> Floats:
    """Inflow of a grate in a sag: the lower of weir and orifice.

    Parameters
    ----------
    perimeter : Floats
        Edge over which water comes, zero or more. [m]
    clear_area : Floats
        Clear area of the openings, zero or more. [m²]
    head : Floats
        Depth of water over the opening, zero or more. [m]
    clogging : Floats
        Share of edge and openings that is blocked, from 0 to 1. [-]

    Returns
    -------
    Floats
        Inflow. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(grate_capacity(1.2, 0.02, 0.05), 5)
    0.00663
    """
    require("zero or more", np.greater_equal, perimeter=perimeter, clear_area=clear_area, head=head)
    require_fraction(clogging=clogging)
    weir = grate_weir_flow(perimeter, head, clogging)
    orifice = grate_orifice_flow(clear_area, head, clogging)
    return tidy(np.minimum(weir, orifice))


@catalogued(
    Card(
        title="Depth over a grate in a sag that takes a flow",
        symbol="h",
        expression="max((flow / (1.66 * perimeter * (1 - clogging))) ** (2 / 3), (flow / (0.67 * "
        "clear_area * (1 - clogging))) ** 2 / (2 * g))",
        units={"flow": "m³/s", "perimeter": "m", "clear_area": "m²", "clogging": "-", "result": "m"},
        source="txdot",
        trial={"clogging": (0.0, 0.9)},
    )
)
def grate_head(flow: Floats, perimeter: Floats, clear_area: Floats, clogging: Floats = 0.5) -> Floats:
    """Depth of water that ponds over a grate: the inverse of ``grate_capacity``.

    Parameters
    ----------
    flow : Floats
        Flow to the grate, zero or more. [m³/s]
    perimeter : Floats
        Edge over which water comes, above zero. [m]
    clear_area : Floats
        Clear area of the openings, above zero. [m²]
    clogging : Floats
        Share of edge and openings that is blocked, below 1, from 0 to 1. [-]

    Returns
    -------
    Floats
        Depth of water: the larger of the weir's and the orifice's. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(grate_head(0.00663, 1.2, 0.02), 3)
    0.05
    """
    require("zero or more", np.greater_equal, flow=flow)
    require("above zero", np.greater, perimeter=perimeter, clear_area=clear_area)
    require_fraction(clogging=clogging)
    free = 1.0 - np.asarray(clogging)
    require("above zero", np.greater, **{"1 - clogging": tidy(free)})
    weir = (np.asarray(flow) / (WEIR_COEFFICIENT * np.asarray(perimeter) * free)) ** (2.0 / 3.0)
    orifice = (np.asarray(flow) / (ORIFICE_COEFFICIENT * np.asarray(clear_area) * free)) ** 2 / (2.0 * GRAVITY)
    return tidy(np.maximum(weir, orifice))


@catalogued(
    Card(
        title="Inflow of a curb opening in a sag",
        symbol="Q_i",
        expression="weir 2.3 (L + 1.8 W) d^1.5 in feet up to d = opening height; orifice 0.67 h L "
        "sqrt(2 g (d - h/2)) from 1.4 of it; the lower between",
        units={"length": "m", "height": "m", "depth": "m", "depression_width": "m", "result": "m³/s"},
        source="austin_dcm",
        expression_kind="procedure",
    )
)
def curb_opening_capacity(length: Floats, height: Floats, depth: Floats, depression_width: Floats = 0.0) -> Floats:
    """Inflow of a curb opening in a sag: weir while shallow, orifice when deep.

    Parameters
    ----------
    length : Floats
        Length of the opening, zero or more. [m]
    height : Floats
        Height of the opening, above zero. [m]
    depth : Floats
        Depth of water at the curb, zero or more. [m]
    depression_width : Floats
        Width of a depressed gutter at the opening, zero or more. [m]

    Returns
    -------
    Floats
        Inflow. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    The orifice coefficient 0.67 is HEC-22's, from memory.

    Examples
    --------
    >>> round(curb_opening_capacity(1.0, 0.1, 0.05), 4)
    0.0142
    """
    require("zero or more", np.greater_equal, length=length, depth=depth, depression_width=depression_width)
    require("above zero", np.greater, height=height)
    width = np.asarray(length) + 1.8 * np.asarray(depression_width)
    weir = CURB_WEIR_COEFFICIENT * width * np.asarray(depth) ** 1.5
    over_centre = np.maximum(np.asarray(depth) - np.asarray(height) / 2.0, 0.0)
    orifice = ORIFICE_COEFFICIENT * np.asarray(height) * length * np.sqrt(2.0 * GRAVITY * over_centre)
    deep = np.where(np.asarray(depth) >= 1.4 * np.asarray(height), orifice, np.minimum(weir, orifice))
    return tidy(np.where(np.asarray(depth) <= np.asarray(height), weir, deep))


@catalogued(
    Card(
        title="Inflow of a slot or channel grate in a sag",
        symbol="Q_i",
        expression="min(1.4 * length * (1 - clogging) * head ** 1.5, 0.8 * length * width * (1 - "
        "clogging) * sqrt(2 * g * head))",
        units={"length": "m", "width": "m", "head": "m", "clogging": "-", "result": "m³/s"},
        source="hec22",
    )
)
def slot_capacity(length: Floats, width: Floats, head: Floats, clogging: Floats = 0.5) -> Floats:
    """Inflow of a long slot in a sag: the lower of weir and orifice.

    Parameters
    ----------
    length : Floats
        Length of the slot, zero or more. [m]
    width : Floats
        Clear width of the slot, zero or more. [m]
    head : Floats
        Depth of water over the opening, zero or more. [m]
    clogging : Floats
        Share of the length that is blocked, from 0 to 1. [-]

    Returns
    -------
    Floats
        Inflow. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    For a channel grate, ``width`` is its clear opening, area over length.

    Examples
    --------
    >>> round(slot_capacity(1.0, 0.05, 0.03, 0.0), 4)
    0.0073
    """
    require("zero or more", np.greater_equal, length=length, width=width, head=head)
    require_fraction(clogging=clogging)
    free = np.asarray(length) * (1.0 - np.asarray(clogging))
    weir = SLOT_WEIR_COEFFICIENT * free * np.asarray(head) ** 1.5
    orifice = SLOT_ORIFICE_COEFFICIENT * free * width * np.sqrt(2.0 * GRAVITY * np.asarray(head))
    return tidy(np.minimum(weir, orifice))
