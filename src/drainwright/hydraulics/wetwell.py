"""The pump basin: volume, cycle time, starts an hour and draw-down at a constant inflow."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, InputError, require
from drainwright.hydraulics.arrays import tidy
from drainwright.worksheet import Card, catalogued

_CYCLE = {"volume": "m³", "pump_flow": "m³/s", "inflow": "m³/s"}
_CYCLE_TRIAL = {"pump_flow": (0.5, 1.0), "inflow": (0.05, 0.45)}


@catalogued(
    Card(
        title="Volume of a round basin",
        symbol="V",
        expression="pi / 4 * diameter ** 2 * height",
        units={"diameter": "m", "height": "m", "result": "m³"},
        source="geometry",
    )
)
def basin_volume(diameter: Floats, height: Floats) -> Floats:
    """Volume of a round basin over a height.

    Parameters
    ----------
    diameter : Floats
        Inside diameter. [m]
    height : Floats
        Height of water, zero or more. [m]

    Returns
    -------
    Floats
        Volume. [m³]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(basin_volume(0.4572, 0.0254) * 264.172, 2)  # 18 in basin, one inch, in gallons
    1.1
    """
    require("above zero", np.greater, diameter=diameter)
    require("zero or more", np.greater_equal, height=height)
    return tidy(np.pi / 4.0 * np.asarray(diameter) ** 2 * height)


@catalogued(
    Card(
        title="Active volume for a cycle time",
        symbol="V",
        expression="cycle_time * pump_flow / 4",
        units={"cycle_time": "s", "pump_flow": "m³/s", "result": "m³"},
        source="ei_11c201",
    )
)
def active_volume(cycle_time: Floats, pump_flow: Floats) -> Floats:
    """Volume between on and off that gives a cycle time at the worst inflow, half the pump's: V = T q / 4.

    Parameters
    ----------
    cycle_time : Floats
        Least time from start to start, above zero. [s]
    pump_flow : Floats
        Flow of the pump at its operating point, above zero. [m³/s]

    Returns
    -------
    Floats
        Volume between the on and off levels. [m³]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(active_volume(360.0, 0.0025), 4)
    0.225
    """
    require("above zero", np.greater, cycle_time=cycle_time, pump_flow=pump_flow)
    return tidy(np.asarray(cycle_time) * pump_flow / 4.0)


def _check_cycle(volume: Floats, pump_flow: Floats, inflow: Floats) -> None:
    require("above zero", np.greater, volume=volume, pump_flow=pump_flow, inflow=inflow)
    if not np.all(np.asarray(inflow) < np.asarray(pump_flow)):
        raise InputError(f"inflow = {inflow!r}: expected below pump_flow = {pump_flow!r}, or the pump never stops")


@catalogued(
    Card(
        title="Cycle time at an inflow",
        symbol="t",
        expression="volume / pump_flow * (1 / (1 - inflow / pump_flow) + 1 / (inflow / pump_flow))",
        units={**_CYCLE, "result": "s"},
        source="mil_hdbk_1005",
        trial=_CYCLE_TRIAL,
    )
)
def cycle_time(volume: Floats, pump_flow: Floats, inflow: Floats) -> Floats:
    """Time from start to start: t = (V/D) [1/(1 − Q/D) + 1/(Q/D)].

    Parameters
    ----------
    volume : Floats
        Volume between the on and off levels, above zero. [m³]
    pump_flow : Floats
        Flow of the pump, D. [m³/s]
    inflow : Floats
        Inflow Q, above zero and below the pump's. [m³/s]

    Returns
    -------
    Floats
        Cycle time; shortest, 4 V/D, at half the pump's flow. [s]

    Raises
    ------
    InputError
        If a value cannot be used, or the inflow is not below the pump's flow: then it never stops.

    Examples
    --------
    >>> cycle_time(0.25, 0.0025, 0.00125)
    400.0
    """
    _check_cycle(volume, pump_flow, inflow)
    share = np.asarray(inflow) / pump_flow
    return tidy(np.asarray(volume) / pump_flow * (1.0 / (1.0 - share) + 1.0 / share))


@catalogued(
    Card(
        title="Starts an hour",
        symbol="N",
        expression="3600 * inflow * (1 - inflow / pump_flow) / volume",
        units={**_CYCLE, "result": "1/h"},
        source="mil_hdbk_1005",
        trial={"pump_flow": (0.5, 1.0), "inflow": (0.05, 0.45)},
    )
)
def starts_per_hour(volume: Floats, pump_flow: Floats, inflow: Floats) -> Floats:
    """Starts an hour at an inflow; none where nothing flows in or the pump never stops.

    Parameters
    ----------
    volume : Floats
        Volume between the on and off levels, above zero. [m³]
    pump_flow : Floats
        Flow of the pump, above zero. [m³/s]
    inflow : Floats
        Inflow, zero or more. [m³/s]

    Returns
    -------
    Floats
        Starts an hour, at most 900 pump_flow / volume. [1/h]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Where the inflow is at least the pump's flow the formula would go below zero; the pump then runs on, and
    the result is zero.

    Examples
    --------
    >>> round(starts_per_hour(0.25, 0.0025, 0.00125), 6), starts_per_hour(0.25, 0.0025, 0.0025)
    (9.0, 0.0)
    """
    require("above zero", np.greater, volume=volume, pump_flow=pump_flow)
    require("zero or more", np.greater_equal, inflow=inflow)
    starts = 3600.0 * np.asarray(inflow) * (1.0 - np.asarray(inflow) / pump_flow) / volume
    return tidy(np.maximum(starts, 0.0))


@catalogued(
    Card(
        title="Most starts an hour at any inflow",
        symbol="N_max",
        expression="900 * pump_flow / volume",
        units={"volume": "m³", "pump_flow": "m³/s", "result": "1/h"},
        source="ei_11c201",
    )
)
def most_starts_per_hour(volume: Floats, pump_flow: Floats) -> Floats:
    """Starts an hour at the worst inflow, half the pump's flow: 3600 q / (4 V).

    Parameters
    ----------
    volume : Floats
        Volume between the on and off levels, above zero. [m³]
    pump_flow : Floats
        Flow of the pump, above zero. [m³/s]

    Returns
    -------
    Floats
        Starts an hour. [1/h]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(most_starts_per_hour(0.25, 0.0025), 6)
    9.0
    """
    require("above zero", np.greater, volume=volume, pump_flow=pump_flow)
    return tidy(900.0 * np.asarray(pump_flow) / volume)


@catalogued(
    Card(
        title="Time to pump a volume down",
        symbol="t",
        expression="volume / (pump_flow - inflow)",
        units={**_CYCLE, "result": "s"},
        source="hydraulics_text",
        trial=_CYCLE_TRIAL,
    )
)
def drawdown_time(volume: Floats, pump_flow: Floats, inflow: Floats = 0.0) -> Floats:
    """Run time of the pump from the on to the off level.

    Parameters
    ----------
    volume : Floats
        Volume between the levels, zero or more. [m³]
    pump_flow : Floats
        Flow of the pump. [m³/s]
    inflow : Floats
        Inflow, zero or more and below the pump's. [m³/s]

    Returns
    -------
    Floats
        Run time. [s]

    Raises
    ------
    InputError
        If a value cannot be used, or the inflow is not below the pump's flow.

    Examples
    --------
    >>> drawdown_time(0.25, 0.0025)
    100.0
    """
    require("zero or more", np.greater_equal, volume=volume, inflow=inflow)
    surplus = np.asarray(pump_flow) - np.asarray(inflow)
    if not np.all(surplus > 0.0):
        raise InputError(f"inflow = {inflow!r}: expected below pump_flow = {pump_flow!r}, or the level never falls")
    return tidy(np.asarray(volume) / surplus)


@catalogued(
    Card(
        title="Time to fill a volume",
        symbol="t",
        expression="volume / inflow",
        units={"volume": "m³", "inflow": "m³/s", "result": "s"},
        source="hydraulics_text",
    )
)
def fill_time(volume: Floats, inflow: Floats) -> Floats:
    """Time until an inflow fills a volume, with no pump: the reserve in a power cut.

    Parameters
    ----------
    volume : Floats
        Volume, zero or more. [m³]
    inflow : Floats
        Inflow, above zero. [m³/s]

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
    >>> fill_time(0.5, 0.001)
    500.0
    """
    require("zero or more", np.greater_equal, volume=volume)
    require("above zero", np.greater, inflow=inflow)
    return tidy(np.asarray(volume) / inflow)
