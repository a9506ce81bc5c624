"""Water stored in a trench or trough, open or filled with stone."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import require_fraction, tidy
from drainwright.worksheet import Card, catalogued, quiet


@catalogued(
    Card(
        title="Volume of a trough with sloping sides",
        symbol="S",
        expression="side_slope * length * depth ** 2 + length * width * depth",
        units={"length": "m", "width": "m", "side_slope": "-", "depth": "m", "result": "m³"},
        source="hds2",
    )
)
def trough_volume(length: Floats, width: Floats, side_slope: Floats, depth: Floats) -> Floats:
    """Volume of a long trough at a depth: S = z L h² + L W h.

    Parameters
    ----------
    length : Floats
        Length of the trough, zero or more. [m]
    width : Floats
        Width of its bed, zero or more. [m]
    side_slope : Floats
        Sides, horizontal for one vertical, zero or more. [-]
    depth : Floats
        Depth of water, zero or more. [m]

    Returns
    -------
    Floats
        Volume; sloping ends are left out. [m³]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> trough_volume(200.0, 100.0, 2.0, 1.5)
    30900.0
    """
    require("zero or more", np.greater_equal, length=length, width=width, side_slope=side_slope, depth=depth)
    return tidy(np.asarray(length) * (np.asarray(side_slope) * np.asarray(depth) ** 2 + np.asarray(width) * depth))


@catalogued(
    Card(
        title="Water in the voids of a stone-filled trough",
        symbol="S",
        expression="porosity * (side_slope * length * depth ** 2 + length * width * depth)",
        units={"length": "m", "width": "m", "side_slope": "-", "depth": "m", "porosity": "-", "result": "m³"},
        source="stone_voids",
    )
)
def stone_storage(length: Floats, width: Floats, side_slope: Floats, depth: Floats, porosity: Floats = 0.4) -> Floats:
    """Water that the voids of a stone-filled trough hold at a depth.

    Parameters
    ----------
    length : Floats
        Length of the trough, zero or more. [m]
    width : Floats
        Width of its bed, zero or more. [m]
    side_slope : Floats
        Sides, horizontal for one vertical, zero or more. [-]
    depth : Floats
        Depth of water, zero or more. [m]
    porosity : Floats
        Voids over total volume; clean stone about 0.4, from 0 to 1. [-]

    Returns
    -------
    Floats
        Water held at that depth. [m³]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(stone_storage(30.0, 0.3, 0.0, 0.3), 2)
    1.08
    """
    require("zero or more", np.greater_equal, length=length, width=width, side_slope=side_slope, depth=depth)
    require_fraction(porosity=porosity)
    with quiet():
        volume = np.asarray(trough_volume(length, width, side_slope, depth))
    return tidy(volume * porosity)
