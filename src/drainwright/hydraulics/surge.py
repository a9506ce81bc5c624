"""Surge in a plastic pressure line: wave speed, Joukowsky's pressure, the line's own time, what the pipe bears."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import tidy
from drainwright.worksheet import Card, catalogued

PSI = 6894.757293168  # [Pa]
WATER_DENSITY = 999.7  # at 10 °C [kg/m³]
WATER_BULK = 300_000 * PSI  # bulk modulus of water, as handbooks of PVC pipe take it [Pa]
PVC_MODULUS = 400_000 * PSI  # of PVC 1120 under a short load [Pa]
PVC_DESIGN_STRESS = 2_000 * PSI  # hydrostatic design stress of PVC 1120 at 23 °C [Pa]


@catalogued(
    Card(
        title="Speed of a pressure wave in a pipe",
        symbol="a",
        expression="sqrt(bulk / density / (1 + bulk * diameter / (modulus * wall)))",
        units={
            "diameter": "m", "wall": "m", "modulus": "Pa", "bulk": "Pa", "density": "kg/m³", "result": "m/s",
        },
        source="buried_pipe",
        trial={"modulus": (1e8, 1e10), "bulk": (1.9e9, 2.3e9), "density": (990.0, 1000.0)},
    )
)  # fmt: skip
def wave_speed(
    diameter: Floats,
    wall: Floats,
    modulus: Floats = PVC_MODULUS,
    bulk: Floats = WATER_BULK,
    density: Floats = WATER_DENSITY,
) -> Floats:
    """Speed at which a change of pressure runs along a full pipe that stretches (Korteweg).

    Parameters
    ----------
    diameter : Floats
        Inside diameter. [m]
    wall : Floats
        Wall thickness. [m]
    modulus : Floats
        Elastic modulus of the wall under a short load. [Pa]
    bulk : Floats
        Bulk modulus of water. [Pa]
    density : Floats
        Density of water. [kg/m³]

    Returns
    -------
    Floats
        Wave speed. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Air in the water slows the wave much further; that is left out, on the safe side.

    Examples
    --------
    >>> round(wave_speed(16.0, 1.0))  # PVC, dimension ratio 18
    399
    """
    require("above zero", np.greater, diameter=diameter, wall=wall, modulus=modulus, bulk=bulk, density=density)
    stretch = np.asarray(bulk) * diameter / (np.asarray(modulus) * wall)
    return tidy(np.sqrt(np.asarray(bulk) / density / (1.0 + stretch)))


@catalogued(
    Card(
        title="Surge of a sudden stop, Joukowsky",
        symbol="Δp",
        expression="density * speed * change",
        units={"speed": "m/s", "change": "m/s", "density": "kg/m³", "result": "Pa"},
        source="buried_pipe",
        trial={"speed": (100.0, 1400.0), "density": (990.0, 1000.0)},
    )
)
def joukowsky(speed: Floats, change: Floats, density: Floats = WATER_DENSITY) -> Floats:
    """Rise of pressure where flowing water is stopped faster than the wave comes back: Δp = ρ a Δv.

    Parameters
    ----------
    speed : Floats
        Wave speed. [m/s]
    change : Floats
        Velocity that is stopped, zero or more. [m/s]
    density : Floats
        Density of water. [kg/m³]

    Returns
    -------
    Floats
        Rise of pressure, over what was there before. [Pa]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(joukowsky(400.0, 2.0) / 1000.0)
    800
    """
    require("above zero", np.greater, speed=speed, density=density)
    require("zero or more", np.greater_equal, change=change)
    return tidy(np.asarray(density) * speed * change)


@catalogued(
    Card(
        title="Time until the wave comes back",
        symbol="T_c",
        expression="2 * length / speed",
        units={"length": "m", "speed": "m/s", "result": "s"},
        source="buried_pipe",
        trial={"speed": (100.0, 1400.0)},
    )
)
def critical_time(length: Floats, speed: Floats) -> Floats:
    """The line's own time, 2 L/a: a stop within it counts as sudden.

    Parameters
    ----------
    length : Floats
        Of the line, zero or more. [m]
    speed : Floats
        Wave speed. [m/s]

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
    >>> critical_time(40.0, 400.0)
    0.2
    """
    require("zero or more", np.greater_equal, length=length)
    require("above zero", np.greater, speed=speed)
    return tidy(2.0 * np.asarray(length) / speed)


@catalogued(
    Card(
        title="Flow back at the closing of a check valve",
        symbol="v_r",
        expression="min(9.80665 * head / length * delay, most)",
        units={"head": "m", "length": "m", "delay": "s", "most": "m/s", "result": "m/s"},
        source="hydraulics_text",
    )
)
def reverse_velocity(head: Floats, length: Floats, delay: Floats, most: Floats) -> Floats:
    """Velocity at which water runs back when a valve shuts late: the column falls freely for that time.

    Parameters
    ----------
    head : Floats
        That drives the water back, zero or more. [m]
    length : Floats
        Of the column, above zero. [m]
    delay : Floats
        From the turn of the flow until the valve is shut, zero or more. [s]
    most : Floats
        Velocity that friction would hold it at, zero or more. [m/s]

    Returns
    -------
    Floats
        Velocity backwards, which the valve stops at once. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(reverse_velocity(2.0, 20.0, 0.2, 3.0), 3)
    0.196
    """
    require("zero or more", np.greater_equal, head=head, delay=delay, most=most)
    require("above zero", np.greater, length=length)
    return tidy(np.minimum(9.80665 * np.asarray(head) / length * delay, most))


@catalogued(
    Card(
        title="Pressure rating of plastic pipe",
        symbol="P",
        expression="2 * stress * wall / (outside - wall)",
        units={"outside": "m", "wall": "m", "stress": "Pa", "result": "Pa"},
        source="astm_d1785",
        trial={"outside": (0.03, 0.3), "wall": (0.001, 0.01), "stress": (1e6, 2e7)},
    )
)
def pipe_rating(outside: Floats, wall: Floats, stress: Floats = PVC_DESIGN_STRESS) -> Floats:
    """Pressure that a plastic pipe bears for good: P = 2 S t/(D - t).

    Parameters
    ----------
    outside : Floats
        Outside diameter. [m]
    wall : Floats
        Least wall, below the outside diameter. [m]
    stress : Floats
        Hydrostatic design stress. [Pa]

    Returns
    -------
    Floats
        Pressure rating. [Pa]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(pipe_rating(0.04826, 0.003683) / 6894.757)  # 1-1/2 in Schedule 40
    330
    """
    require("above zero", np.greater, outside=outside, wall=wall, stress=stress)
    require("above the wall", np.greater, outside=np.asarray(outside) - np.asarray(wall))
    return tidy(2.0 * np.asarray(stress) * wall / (np.asarray(outside) - wall))


__all__ = [
    "PSI", "PVC_DESIGN_STRESS", "PVC_MODULUS", "WATER_BULK", "WATER_DENSITY", "critical_time", "joukowsky",
    "pipe_rating", "reverse_velocity", "wave_speed",
]  # fmt: skip
