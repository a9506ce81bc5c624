"""Weirs, orifices, perforations, vertical leaders, and the relief hole of a pump's riser."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import GRAVITY, require_fraction, tidy
from drainwright.worksheet import Card, catalogued, quiet

WEIR_COEFFICIENT = 1.66  # Q = C P h^1.5, 3.0 in feet [m^0.5/s]
SHARP_ORIFICE = 0.61  # small round hole, sharp edge [-]


@catalogued(
    Card(
        title="Flow over a weir",
        symbol="Q",
        expression="coefficient * length * head ** 1.5",
        units={"length": "m", "head": "m", "coefficient": "m^0.5/s", "result": "m³/s"},
        source="txdot",
    )
)
def weir_flow(length: Floats, head: Floats, coefficient: Floats = WEIR_COEFFICIENT) -> Floats:
    """Flow over a weir: Q = C L h^1.5.

    Parameters
    ----------
    length : Floats
        Length of the crest, zero or more. [m]
    head : Floats
        Depth of water over the opening, zero or more. [m]
    coefficient : Floats
        Weir coefficient, above zero. [m^0.5/s]

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
    >>> round(weir_flow(1.0, 0.1), 4)
    0.0525
    """
    require("zero or more", np.greater_equal, length=length, head=head)
    require("above zero", np.greater, coefficient=coefficient)
    return tidy(np.asarray(coefficient) * length * np.asarray(head) ** 1.5)


@catalogued(
    Card(
        title="Flow through an orifice",
        symbol="Q",
        expression="coefficient * area * sqrt(2 * g * head)",
        units={"area": "m²", "head": "m", "coefficient": "-", "result": "m³/s"},
        source="hydraulics_text",
    )
)
def orifice_flow(area: Floats, head: Floats, coefficient: Floats = SHARP_ORIFICE) -> Floats:
    """Flow through a drowned opening: Q = C A √(2 g h).

    Parameters
    ----------
    area : Floats
        Area of the opening, zero or more. [m²]
    head : Floats
        Head over the centre of the opening, zero or more. [m]
    coefficient : Floats
        Orifice coefficient, above zero. [-]

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
    >>> round(orifice_flow(0.01, 1.0), 4)
    0.027
    """
    require("zero or more", np.greater_equal, area=area, head=head)
    require("above zero", np.greater, coefficient=coefficient)
    return tidy(np.asarray(coefficient) * area * np.sqrt(2.0 * GRAVITY * np.asarray(head)))


@catalogued(
    Card(
        title="Inflow through the perforations of a pipe",
        symbol="Q_p",
        expression="length * unblocked * coefficient * open_area * sqrt(2 * g * head)",
        units={"length": "m", "open_area": "m²/m", "head": "m", "unblocked": "-", "coefficient": "-", "result": "m³/s"},
        source="perforated_orifice",
    )
)
def perforation_inflow(
    length: Floats, open_area: Floats, head: Floats, unblocked: Floats = 0.5, coefficient: Floats = SHARP_ORIFICE
) -> Floats:
    """The most that the holes of a drain pipe let in: Q = L B Cd Ao √(2 g h).

    Parameters
    ----------
    length : Floats
        Length of the pipe, zero or more. [m]
    open_area : Floats
        Area of the holes for each metre of pipe, zero or more. [m²/m]
    head : Floats
        Depth of water over the opening, zero or more. [m]
    unblocked : Floats
        Share of the holes that is open: 1 new, 0.5 aged, from 0 to 1. [-]
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

    Notes
    -----
    Soil, not the holes, nearly always limits the inflow.

    Examples
    --------
    >>> round(perforation_inflow(10.0, 0.002, 0.05) * 1000, 2)
    6.04
    """
    require("zero or more", np.greater_equal, length=length, open_area=open_area, head=head)
    require("above zero", np.greater, coefficient=coefficient)
    require_fraction(unblocked=unblocked)
    free = np.asarray(length) * np.asarray(unblocked) * coefficient * open_area
    return tidy(free * np.sqrt(2.0 * GRAVITY * np.asarray(head)))


@catalogued(
    Card(
        title="Flow of a vertical leader, partly full",
        symbol="Q",
        expression="27.8 * 6.30901964e-05 * fullness ** (5 / 3) * (diameter / 0.0254) ** (8 / 3)",
        units={"diameter": "m", "fullness": "-", "result": "m³/s"},
        source="nspc_2006",
    )
)
def leader_capacity(diameter: Floats, fullness: Floats = 7 / 24) -> Floats:
    """Flow of a vertical leader whose film fills a share of it: 27.8 r^(5/3) D^(8/3), in gpm and inches.

    Parameters
    ----------
    diameter : Floats
        Inside diameter, above zero. [m]
    fullness : Floats
        Share of the section that is water, from 0 to 1. [-]

    Returns
    -------
    Floats
        Flow. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Reproduces the code table (7/24 full) within 1.6 %.

    Examples
    --------
    >>> round(leader_capacity(0.1016) / 6.30902e-5)  # 4 in, gpm
    144
    """
    require("above zero", np.greater, diameter=diameter)
    require_fraction(fullness=fullness)
    inches = np.asarray(diameter) / 0.0254
    return tidy(27.8 * 6.30901964e-05 * np.asarray(fullness) ** (5.0 / 3.0) * inches ** (8.0 / 3.0))


@catalogued(
    Card(
        title="Flow of the relief hole",
        symbol="Q_r",
        expression="0.61 * pi / 4 * diameter ** 2 * sqrt(2 * g * head)",
        units={"diameter": "m", "head": "m", "result": "m³/s"},
        source="hydraulics_text",
    )
)
def relief_hole_flow(diameter: Floats, head: Floats) -> Floats:
    """Flow that a small hole in the riser squirts back while the pump runs.

    Parameters
    ----------
    diameter : Floats
        Diameter of the hole, zero or more. [m]
    head : Floats
        Pressure head in the riser at the hole, zero or more. [m]

    Returns
    -------
    Floats
        Flow back into the basin. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(relief_hole_flow(0.0047625, 4.0) * 60000, 1)  # 3/16 in, litres a minute
    5.8
    """
    require("zero or more", np.greater_equal, diameter=diameter, head=head)
    with quiet():
        return orifice_flow(tidy(np.pi / 4.0 * np.asarray(diameter) ** 2), head)


@catalogued(
    Card(
        title="Velocity of a jet",
        symbol="v",
        expression="0.98 * sqrt(2 * g * head)",
        units={"head": "m", "result": "m/s"},
        source="hydraulics_text",
    )
)
def jet_velocity(head: Floats) -> Floats:
    """Velocity at which water leaves a small hole.

    Parameters
    ----------
    head : Floats
        Pressure head at the hole, zero or more. [m]

    Returns
    -------
    Floats
        Velocity of the jet, with a velocity coefficient of 0.98. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(jet_velocity(4.0), 2)
    8.68
    """
    require("zero or more", np.greater_equal, head=head)
    return tidy(0.98 * np.sqrt(2.0 * GRAVITY * np.asarray(head)))
