"""Time that water takes over the ground: sheet flow, shallow flow, and the formulas that check them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from drainwright.errors import require
from drainwright.job.site import Surface
from drainwright.worksheet import Card, catalogued

SHEET_LIMIT = 30.48  # sheet flow gathers into rills within 100 ft (NRCS) [m]
UNPAVED = 4.918  # 16.1345 ft/s at a slope of 1 (TR-55 App. F) [m/s]
PAVED = 6.196  # 20.3282 ft/s (TR-55 App. F) [m/s]

# TR-55 (1986), Table 3-1 (seen): smooth 0.011, dense grass 0.24. Planting is set with dense grass, open-jointed paving
# with the smooth surfaces: the lower roughness gives the shorter time and the greater flow.
_SHEET_ROUGHNESS: Mapping[Surface, float] = MappingProxyType({
    "lawn": 0.24, "planting": 0.24, "bare soil": 0.011, "gravel": 0.011, "paving": 0.011, "concrete": 0.011,
    "asphalt": 0.011, "pervious paving": 0.011,
})  # fmt: skip


@catalogued(
    Card(
        title="Sheet flow time, kinematic wave",
        symbol="t",
        expression="60 * 6.9 / (3.6e6 * intensity) ** 0.4 * (roughness * length / sqrt(slope)) ** 0.6",
        units={"roughness": "s/m^(1/3)", "length": "m", "slope": "m/m", "intensity": "m/s", "result": "s"},
        source="kinematic_wave",
    )
)
def kinematic_time(roughness: float, length: float, slope: float, intensity: float) -> float:
    """Time of sheet flow under even rain: t = 6.9 / i^0.4 (n L / √S)^0.6 minutes, i in mm/h.

    Parameters
    ----------
    roughness : float
        Manning n of sheet flow, above zero. [s/m^(1/3)]
    length : float
        Zero or more. [m]
    slope : float
        Above zero. [m/m]
    intensity : float
        Of rain that lasts as long as the answer, above zero. [m/s]

    Returns
    -------
    float
        Time. [s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("above zero", np.greater, roughness=roughness, slope=slope, intensity=intensity)
    require("zero or more", np.greater_equal, length=length)
    return float(60.0 * 6.9 / (3.6e6 * intensity) ** 0.4 * (roughness * length / np.sqrt(slope)) ** 0.6)


@catalogued(
    Card(
        title="Sheet flow time, NRCS",
        symbol="t",
        expression="3600 * 0.007 * (roughness * length / 0.3048) ** 0.8 / (sqrt(rain / 0.0254) * slope ** 0.4)",
        units={"roughness": "s/m^(1/3)", "length": "m", "slope": "m/m", "rain": "m", "result": "s"},
        source="tr55",
    )
)
def sheet_time(roughness: float, length: float, slope: float, rain: float) -> float:
    """Time of sheet flow: t = 0.007 (n L)^0.8 / (P2^0.5 s^0.4) hours, L in feet, P2 in inches.

    Parameters
    ----------
    roughness : float
        Manning n of sheet flow, above zero. [s/m^(1/3)]
    length : float
        Zero or more. [m]
    slope : float
        Above zero. [m/m]
    rain : float
        The 2-year, 24-hour depth, above zero. [m]

    Returns
    -------
    float
        Time. [s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("above zero", np.greater, roughness=roughness, slope=slope, rain=rain)
    require("zero or more", np.greater_equal, length=length)
    feet = roughness * length / 0.3048
    return float(3600.0 * 0.007 * feet**0.8 / (np.sqrt(rain / 0.0254) * slope**0.4))


@catalogued(
    Card(
        title="Length of sheet flow, McCuen and Spiess",
        symbol="L",
        expression="0.3048 * 100 * sqrt(slope) / roughness",
        units={"slope": "m/m", "roughness": "s/m^(1/3)", "result": "m"},
        source="neh_630_15_sheet",
    )
)
def sheet_length(slope: float, roughness: float) -> float:
    """Length in which sheet flow gathers into rills: L = 100 √S / n feet; the design keeps to ``SHEET_LIMIT``.

    Parameters
    ----------
    slope : float
        Zero or more. [m/m]
    roughness : float
        Manning n of sheet flow, above zero. [s/m^(1/3)]

    Returns
    -------
    float
        Length. [m]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("zero or more", np.greater_equal, slope=slope)
    require("above zero", np.greater, roughness=roughness)
    return float(0.3048 * 100.0 * np.sqrt(slope) / roughness)


@catalogued(
    Card(
        title="Velocity of shallow flow",
        symbol="v",
        expression="coefficient * sqrt(slope)",
        units={"coefficient": "m/s", "slope": "m/m", "result": "m/s"},
        source="hds2",
    )
)
def shallow_velocity(coefficient: float, slope: float) -> float:
    """Velocity of water that has gathered in rills: v = k √S.

    Parameters
    ----------
    coefficient : float
        4.918 unpaved, 6.196 paved (TR-55); HDS-2 Table 2.2 gives ten times its k, above zero. [m/s]
    slope : float
        Zero or more. [m/m]

    Returns
    -------
    float
        Velocity. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("above zero", np.greater, coefficient=coefficient)
    require("zero or more", np.greater_equal, slope=slope)
    return float(coefficient * np.sqrt(slope))


@catalogued(
    Card(
        title="Time of concentration, NRCS lag method",
        symbol="t",
        expression="3600 * (length / 0.3048) ** 0.8 * (retention / 0.0254 + 1) ** 0.7 / (1140 * sqrt(100 * slope))",
        units={"length": "m", "retention": "m", "slope": "m/m", "result": "s"},
        source="neh_630_15",
    )
)
def lag_time(length: float, retention: float, slope: float) -> float:
    """Time of concentration by the lag method: t = l^0.8 (S + 1)^0.7 / (1140 Y^0.5) hours, in ft, in and %.

    Parameters
    ----------
    length : float
        Of the flow, zero or more. [m]
    retention : float
        Potential retention, zero or more. [m]
    slope : float
        Mean slope of the land, above zero. [m/m]

    Returns
    -------
    float
        Time. [s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("zero or more", np.greater_equal, length=length, retention=retention)
    require("above zero", np.greater, slope=slope)
    wet = (retention / 0.0254 + 1.0) ** 0.7
    return float(3600.0 * (length / 0.3048) ** 0.8 * wet / (1140.0 * np.sqrt(100.0 * slope)))


@catalogued(
    Card(
        title="Time of travel",
        symbol="t",
        expression="length / velocity",
        units={"length": "m", "velocity": "m/s", "result": "s"},
        source="tr55",
    )
)
def travel_time(length: float, velocity: float) -> float:
    """Time of a reach: t = L / v.

    Parameters
    ----------
    length : float
        Zero or more. [m]
    velocity : float
        Above zero. [m/s]

    Returns
    -------
    float
        Time. [s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("zero or more", np.greater_equal, length=length)
    require("above zero", np.greater, velocity=velocity)
    return length / velocity


@catalogued(
    Card(
        title="Time of overland flow, Kerby",
        symbol="t",
        expression="60 * 0.828 * (length / 0.3048 * retardance) ** 0.467 * slope ** -0.235",
        units={"length": "m", "retardance": "-", "slope": "m/m", "result": "s"},
        source="kerby_kirpich",
    )
)
def kerby_time(length: float, retardance: float, slope: float) -> float:
    """Time of overland flow by Kerby: t = 0.828 (L N)^0.467 S^-0.235 minutes, L in feet.

    Parameters
    ----------
    length : float
        Zero or more; meant for up to 1,200 ft. [m]
    retardance : float
        N by the surface, above zero. [-]
    slope : float
        Above zero. [m/m]

    Returns
    -------
    float
        Time. [s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("zero or more", np.greater_equal, length=length)
    require("above zero", np.greater, retardance=retardance, slope=slope)
    return float(60.0 * 0.828 * (length / 0.3048 * retardance) ** 0.467 * slope**-0.235)


@catalogued(
    Card(
        title="Time of flow in a channel, Kirpich",
        symbol="t",
        expression="60 * 0.0078 * (length / 0.3048) ** 0.77 * slope ** -0.385",
        units={"length": "m", "slope": "m/m", "result": "s"},
        source="kerby_kirpich",
    )
)
def kirpich_time(length: float, slope: float) -> float:
    """Time of gathered flow by Kirpich: t = 0.0078 L^0.77 S^-0.385 minutes, L in feet.

    Parameters
    ----------
    length : float
        Zero or more. [m]
    slope : float
        Above zero. [m/m]

    Returns
    -------
    float
        Time. [s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("zero or more", np.greater_equal, length=length)
    require("above zero", np.greater, slope=slope)
    return float(60.0 * 0.0078 * (length / 0.3048) ** 0.77 * slope**-0.385)


def sheet_roughness(surface: Surface) -> float:
    """Manning n of sheet flow over a surface (TR-55 Table 3-1). [s/m^(1/3)]"""
    return _SHEET_ROUGHNESS[surface]


__all__ = [
    "PAVED", "SHEET_LIMIT", "UNPAVED", "kerby_time", "kinematic_time", "kirpich_time", "lag_time", "shallow_velocity",
    "sheet_length", "sheet_roughness", "sheet_time", "travel_time",
]  # fmt: skip
