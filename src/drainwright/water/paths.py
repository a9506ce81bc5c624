"""The way of the water over a yard, reach by reach, and the time that it takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from drainwright.errors import require
from drainwright.hydraulics.openflow import manning_velocity
from drainwright.job.site import Surface
from drainwright.water.rain import SECONDS_A_YEAR, RainTable
from drainwright.water.runoff import retention
from drainwright.water.storms import DAY
from drainwright.water.travel import (
    PAVED,
    UNPAVED,
    kerby_time,
    kinematic_time,
    kirpich_time,
    lag_time,
    shallow_velocity,
    sheet_roughness,
    sheet_time,
    travel_time,
)  # fmt: skip
from drainwright.worksheet import quiet

UNPAVED_DEPTH, PAVED_DEPTH = 0.4 * 0.3048, 0.2 * 0.3048  # behind these two velocities (TR-55 App. F, from memory) [m]
_UNPAVED_SURFACES = ("lawn", "planting", "bare soil", "gravel")
# Kerby's N (a university spreadsheet, seen): pavement 0.02, smooth bare soil 0.1, average grass 0.4.
_RETARDANCE: Mapping[Surface, float] = MappingProxyType({
    "lawn": 0.4, "planting": 0.4, "bare soil": 0.1, "gravel": 0.1, "paving": 0.02, "concrete": 0.02,
    "asphalt": 0.02, "pervious paving": 0.02,
})  # fmt: skip
_LEAST_SLOPE = 0.001  # flatter ground is taken as this: water on it stands until it finds a fall [m/m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """One part of the way of the water over a yard."""

    kind: Literal["sheet", "shallow", "channel"]
    length: float  # [m]
    slope: float  # [m/m]
    surface: Surface
    roughness: float | None = None  # Manning n; None: by the surface [s/m^(1/3)]
    radius: float | None = None  # hydraulic radius of a channel [m]

    @property
    def fall(self) -> float:
        """The slope by which it flows: less than 0.1 % counts as 0.1 % [m/m]."""
        return max(self.slope, _LEAST_SLOPE)

    @property
    def sheet_roughness(self) -> float:
        """Manning n as a sheet [s/m^(1/3)]."""
        return self.roughness if self.roughness is not None else sheet_roughness(self.surface)


def sheet_time_from_table(table: RainTable, return_period: float, sheets: Sequence[Reach], least: float) -> float:
    """Time of sheet flow under the rain that lasts as long as it, at least ``least``.

    Parameters
    ----------
    table : RainTable
        Gives the intensity of every duration.
    return_period : float
        Within the table. [s]
    sheets : sequence of Reach
        Sheet reaches, one below the other. Even rain over all of them gives a flow that grows with the distance from
        the top, so that a reach from a to b takes what the formula gives for b less what it gives for a.
    least : float
        Shortest time to be used, which the table covers. [s]

    Returns
    -------
    float
        The duration t for which ``kinematic_time`` of all reaches at the intensity of t is t. [s]

    Raises
    ------
    InputError
        If the table does not cover ``least``, or the time is beyond its longest row.
    """

    def answer(duration: float) -> float:
        intensity, above, time = table.intensity(duration, return_period), 0.0, 0.0
        for reach in sheets:
            roughness, below = reach.sheet_roughness, above + reach.length
            time += kinematic_time(roughness, below, reach.fall, intensity)
            time -= kinematic_time(roughness, above, reach.fall, intensity) if above > 0.0 else 0.0
            above = below
        return time

    with quiet():
        low, high = least, table.durations[-1]
        if answer(low) <= low:
            high = low
        elif answer(high) > high:
            table.depth(answer(high), return_period)  # raises: the table is too short for this ground
        for _ in range(60):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if answer(middle) > middle else (low, middle)
    return max(answer(high), least)


def gathered_time(reach: Reach) -> float:
    """Time of a shallow or channel reach. [s]

    Shallow flow by the formula of TR-55; with a roughness of its own by Manning at the depths that TR-55 takes (App.
    F), 0.4 ft on green ground and 0.2 ft on paved; a channel by Manning from its section.
    """
    if reach.radius is not None and reach.roughness is not None:
        speed = float(manning_velocity(reach.radius, reach.fall, reach.roughness))
    elif reach.roughness is not None:
        depth = UNPAVED_DEPTH if reach.surface in _UNPAVED_SURFACES else PAVED_DEPTH
        speed = float(manning_velocity(depth, reach.fall, reach.roughness))
    else:
        speed = shallow_velocity(UNPAVED if reach.surface in _UNPAVED_SURFACES else PAVED, reach.fall)
    return travel_time(reach.length, speed)


def way_time(table: RainTable, return_period: float, reaches: Sequence[Reach], least: float) -> tuple[float, float]:
    """Time of concentration of a way, and the part of it in which the water is gathered (shallow or in a channel).

    Parameters
    ----------
    table : RainTable
        Rain of the place.
    return_period : float
        Within the table. [s]
    reaches : sequence of Reach
        From the farthest place downwards, one or more.
    least : float
        Shortest time to be used, also for the sheet flow alone. [s]

    Returns
    -------
    tuple of float
        Times. [s]

    Raises
    ------
    InputError
        If a value cannot be used or the table is too short.
    """
    require("above zero", np.greater, least=least)
    sheets = [reach for reach in reaches if reach.kind == "sheet"]
    gathered = sum(gathered_time(reach) for reach in reaches if reach.kind != "sheet")
    if not sheets:
        return max(gathered, least), gathered
    return sheet_time_from_table(table, return_period, sheets, least) + gathered, gathered


def checking_times(
    table: RainTable, reaches: Sequence[Reach], curve_number: float
) -> tuple[float | None, float, float]:
    """The same way's time by NRCS segments (None where the table lacks the 2-year day), by the lag method, and by
    Kerby for the sheet with Kirpich for the rest. [s]
    """  # fmt: skip
    sheets = [reach for reach in reaches if reach.kind == "sheet"]
    others = [reach for reach in reaches if reach.kind != "sheet"]
    length = sum(reach.length for reach in reaches)
    slope = sum(reach.length * reach.fall for reach in reaches) / length
    segments = None
    if table.covers(DAY, 2 * SECONDS_A_YEAR):
        rain = table.depth(DAY, 2 * SECONDS_A_YEAR)
        segments = sum(sheet_time(reach.sheet_roughness, reach.length, reach.fall, rain) for reach in sheets)
        segments += sum(gathered_time(reach) for reach in others)
    handbook = 0.0
    if sheets:
        over = sum(reach.length for reach in sheets)
        retardance = sum(reach.length * _RETARDANCE[reach.surface] for reach in sheets) / over
        handbook += kerby_time(over, retardance, sum(reach.length * reach.fall for reach in sheets) / over)
    if others:
        along = sum(reach.length for reach in others)
        handbook += kirpich_time(along, sum(reach.length * reach.fall for reach in others) / along)
    return segments, lag_time(length, retention(curve_number), slope), handbook


__all__ = ["Reach", "checking_times", "gathered_time", "sheet_time_from_table", "way_time"]
