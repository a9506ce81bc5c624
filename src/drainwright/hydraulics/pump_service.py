"""A pump in service: worn, on a battery, and what it draws."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import tidy
from drainwright.worksheet import Card, catalogued


@catalogued(
    Card(
        title="Head of a worn pump",
        symbol="H_w",
        expression="head * (1 - wear)",
        units={"head": "m", "wear": "-", "result": "m"},
        source="common_practice",
        trial={"wear": (0.0, 0.9)},
    )
)
def worn_head(head: Floats, wear: Floats) -> Floats:
    """Head that a worn pump has left at a flow: the whole curve is lowered by one share.

    Parameters
    ----------
    head : Floats
        Head of the new pump at that flow, zero or more. [m]
    wear : Floats
        Share that is lost, from 0 to 1. [-]

    Returns
    -------
    Floats
        Head. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Wear opens the clearances of the impeller; what leaks back costs flow at a head. A lowered curve stands for that
    in the simplest way, and takes more flow from a pump that works close to its greatest head.

    Examples
    --------
    >>> worn_head(10.0, 0.15)
    8.5
    """
    require("zero or more", np.greater_equal, head=head, wear=wear)
    require("zero or more", np.greater_equal, left=1.0 - np.asarray(wear))
    return tidy(np.asarray(head) * (1.0 - np.asarray(wear)))


@catalogued(
    Card(
        title="Time that a battery carries a pump",
        symbol="t",
        expression="3600 * capacity * usable / (current * duty)",
        units={"capacity": "Ah", "usable": "-", "current": "A", "duty": "-", "result": "s"},
        source="battery_rule",
    )
)
def battery_time(capacity: Floats, usable: Floats, current: Floats, duty: Floats) -> Floats:
    """How long a battery carries a pump that runs for a share of the time.

    Parameters
    ----------
    capacity : Floats
        Charge by its label, zero or more. [Ah]
    usable : Floats
        Share of it that may be used, zero or more. [-]
    current : Floats
        Drawn at the battery while the pump runs, above zero. [A]
    duty : Floats
        Share of the time that it runs, above zero. [-]

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
    >>> battery_time(75.0, 0.5, 15.0, 0.25) / 3600.0
    10.0
    """
    require("zero or more", np.greater_equal, capacity=capacity, usable=usable)
    require("above zero", np.greater, current=current, duty=duty)
    return tidy(3600.0 * np.asarray(capacity) * usable / (np.asarray(current) * duty))


@catalogued(
    Card(
        title="Power that a motor draws",
        symbol="P_in",
        expression="label / efficiency",
        units={"label": "W", "efficiency": "-", "result": "W"},
        source="common_practice",
    )
)
def input_power(label: Floats, efficiency: Floats) -> Floats:
    """Power drawn from the mains by a motor of a label power.

    Parameters
    ----------
    label : Floats
        Label (shaft) power, zero or more. [W]
    efficiency : Floats
        Of the motor, above zero. [-]

    Returns
    -------
    Floats
        Power drawn. [W]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> input_power(300.0, 0.5)
    600.0
    """
    require("zero or more", np.greater_equal, label=label)
    require("above zero", np.greater, efficiency=efficiency)
    return tidy(np.asarray(label) / efficiency)


@catalogued(
    Card(
        title="Ground water of the wet season, at the high end of its range",
        symbol="Q_s",
        expression="likely * max(high / middle, 1)",
        units={"likely": "m³/s", "middle": "m³/s", "high": "m³/s", "result": "m³/s"},
        source="common_practice",
    )
)
def season_inflow(likely: Floats, middle: Floats, high: Floats) -> Floats:
    """Ground water that a pump must count with in a wet season: the likely flow raised to the high end of its range.

    Parameters
    ----------
    likely : Floats
        Ground water at the seasonal high water table that comes to this pump, as designed for, zero or more. [m³/s]
    middle, high : Floats
        Middle, above zero, and high end (95 of a hundred) of the range of all ground water of the works. [m³/s]

    Returns
    -------
    Floats
        Flow, never below the likely one. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    The soil's conductivity is rarely known better than to a factor of two or three; wear, starts and power of a pump
    are judged by the high end, and what it must lift in the design rain by the likely flow and its own margin.

    Examples
    --------
    >>> season_inflow(2.0, 10.0, 25.0)
    5.0
    """
    require("zero or more", np.greater_equal, likely=likely, high=high)
    require("above zero", np.greater, middle=middle)
    return tidy(np.asarray(likely) * np.maximum(np.asarray(high) / np.asarray(middle), 1.0))


__all__ = ["battery_time", "input_power", "season_inflow", "worn_head"]
