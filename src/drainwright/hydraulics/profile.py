"""The water surface along a channel by the direct step, and along a pipe of even slope.

Part-full and pressurised lengths are one surface: above the crown the depth is the piezometric head over the
invert, the area that of the full pipe. Fast flow and the jump out of it are traced: see ``water_surface``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from drainwright.errors import InputError, require
from drainwright.hydraulics.arrays import GRAVITY, Array
from drainwright.hydraulics.conduit import RoundPipe
from drainwright.hydraulics.openflow import flowing_depth
from drainwright.hydraulics.water_surface import water_surface
from drainwright.worksheet import Card, catalogued, quiet


class Section(Protocol):
    """A prismatic channel: area and wetted perimeter at a depth."""

    def area(self, depth: float) -> float:
        """Area of flow. [m²]"""

    def perimeter(self, depth: float) -> float:
        """Wetted perimeter. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trapezoid:
    """A channel with a flat bed and even sides; ``side_slope`` 0 is a rectangle."""

    width: float  # of the bed [m]
    side_slope: float = 0.0  # horizontal for one vertical [-]

    def area(self, depth: float) -> float:
        """Area of flow. [m²]"""
        return (self.width + self.side_slope * depth) * depth

    def perimeter(self, depth: float) -> float:
        """Wetted perimeter. [m]"""
        return self.width + 2.0 * depth * math.hypot(1.0, self.side_slope)


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A round pipe; at and above the crown it is full."""

    diameter: float  # inside [m]

    def _angle(self, depth: float) -> float:
        return 2.0 * math.acos(1.0 - 2.0 * min(max(depth / self.diameter, 0.0), 1.0))

    def area(self, depth: float) -> float:
        """Area of flow. [m²]"""
        angle = self._angle(depth)
        return 0.125 * self.diameter * self.diameter * (angle - math.sin(angle))

    def perimeter(self, depth: float) -> float:
        """Wetted perimeter. [m]"""
        return self.diameter * self._angle(depth) / 2.0


def friction_slope(section: Section, depth: float, flow: float, roughness: float) -> float:
    """Slope of the energy line by Manning at a depth of any section. [m/m]"""
    area = section.area(depth)
    radius = area / section.perimeter(depth)
    return float(flow * roughness / (area * radius ** (2.0 / 3.0))) ** 2


def section_energy(section: Section, depth: float, flow: float, energy_coefficient: float = 1.0) -> float:
    """Specific energy of any section at a depth: y + α v²/2g. [m]"""
    return depth + energy_coefficient * (flow / section.area(depth)) ** 2 / (2.0 * GRAVITY)


@catalogued(
    Card(
        title="Water surface by direct step",
        symbol="x",
        expression="the sum over depth steps of (E2 - E1) / (mean friction slope - bed slope), upstream positive",
        units={
            "section": "-",
            "flow": "m³/s",
            "slope": "m/m",
            "roughness": "s/m^(1/3)",
            "depths": "m",
            "energy_coefficient": "-",
            "result": "m",
        },
        source="chow_1959",
        expression_kind="procedure",
    )
)
def direct_step(
    section: Section,
    flow: float,
    slope: float,
    roughness: float,
    depths: Array,
    energy_coefficient: float = 1.0,
) -> Array:
    """Distances upstream at which given depths stand, from the first depth: direct-step method.

    Parameters
    ----------
    section : Section
        The channel.
    flow : float
        Flow, above zero. [m³/s]
    slope : float
        Bed slope, zero or more. [m/m]
    roughness : float
        Manning n. [s/m^(1/3)]
    depths : Array
        Depths from the control up, each above zero, at least two; none may cross normal or critical depth. [m]
    energy_coefficient : float
        Velocity-head coefficient α. [-]

    Returns
    -------
    Array
        Distance upstream of the first depth, of the shape of ``depths``. [m]

    Raises
    ------
    InputError
        If a value cannot be used, or a step meets normal depth, where no finite distance fits.

    Examples
    --------
    >>> x = direct_step(Trapezoid(width=5.0), 55.4, 0.001, 0.02, np.linspace(8.0, 6.0, 21))
    >>> round(float(x[-1]))
    3641
    """
    require("above zero", np.greater, flow=flow, roughness=roughness, depths=depths)
    require("zero or more", np.greater_equal, slope=slope)
    if np.ndim(depths) != 1 or len(depths) < 2:
        raise InputError(f"depths = {depths!r}: expected at least two depths in a row")
    energy = np.array([section_energy(section, float(y), flow, energy_coefficient) for y in depths])
    friction = np.array([friction_slope(section, float(y), flow, roughness) for y in depths])
    excess = 0.5 * (friction[1:] + friction[:-1]) - slope
    if np.any(excess == 0.0):
        raise InputError(f"depths = {depths!r}: expected no step at normal depth")
    steps = np.diff(energy) / excess
    distance: Array = np.concatenate(([0.0], np.cumsum(steps)))
    return distance


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeProfile:
    """The water surface along a pipe, from its lower end up; arrays of one length."""

    stations: Array  # distance upstream of the lower end [m]
    inverts: Array  # [m]
    depths: Array  # piezometric head over the invert; more than the diameter where the pipe is full [m]
    levels: Array  # hydraulic grade line [m]
    energies: Array  # energy line [m]
    velocities: Array  # [m/s]
    normal_depth: float  # the diameter where the pipe cannot carry the flow freely [m]
    critical_depth: float  # [m]
    steep: bool  # normal depth is below critical
    jump: float | None  # distance of the hydraulic jump upstream of the lower end; None where there is none [m]
    full_length: float  # length of pipe that runs full [m]

    @property
    def level_up(self) -> float:
        """Hydraulic grade line at the upper end. [m]"""
        return float(self.levels[-1])

    @property
    def energy_up(self) -> float:
        """Energy line at the upper end. [m]"""
        return float(self.energies[-1])


@catalogued(
    Card(
        title="Water surface along a pipe",
        symbol="HGL",
        expression="standard steps upstream from the higher of tailwater and critical depth, Manning friction;"
        " full below the grade line; fast flow in steps downstream from critical depth, up to the jump",
        units={
            "flow": "m³/s",
            "diameter": "m",
            "length": "m",
            "downstream_invert": "m",
            "slope": "m/m",
            "roughness": "s/m^(1/3)",
            "downstream_level": "m",
            "steps": "-",
            "result": "m",
        },
        source="txdot",
        expression_kind="procedure",
    )
)
def pipe_profile(
    flow: float,
    diameter: float,
    length: float,
    downstream_invert: float,
    slope: float,
    roughness: float,
    downstream_level: float,
    steps: int = 40,
) -> PipeProfile:
    """Water surface along a pipe of even slope, from the tailwater up.

    Parameters
    ----------
    flow : float
        Flow, zero or more. [m³/s]
    diameter : float
        Inside diameter. [m]
    length : float
        Length of the pipe, above zero. [m]
    downstream_invert : float
        Invert at the lower end, on the job's datum. [m]
    slope : float
        Rise of the invert upstream, over the length; zero or more. [m/m]
    roughness : float
        Manning n. [s/m^(1/3)]
    downstream_level : float
        Water level that the pipe runs into. [m]
    steps : int
        Number of equal steps, at least 2.

    Returns
    -------
    PipeProfile
        Stations, inverts, depths, levels and energies at ``steps + 1`` places.

    Raises
    ------
    InputError
        If a value cannot be used. An overloaded pipe is no error: its grade line rises over the crown.

    Notes
    -----
    A steep pipe takes its flow in through critical depth at its upper end and runs fast until a jump, where the
    momentum of the tranquil water below is the greater. Losses at the ends (entrance, junction) are not in it.

    Examples
    --------
    >>> surcharged = pipe_profile(0.02, 0.1, 10.0, 0.0, 0.01, 0.009, 0.2)
    >>> round(surcharged.level_up - 0.2, 3)  # 10 m at the friction slope of the full pipe
    0.719
    """
    require("zero or more", np.greater_equal, flow=flow, slope=slope)
    require("above zero", np.greater, diameter=diameter, length=length, roughness=roughness)
    for name, value in (("downstream_invert", downstream_invert), ("downstream_level", downstream_level)):
        if not math.isfinite(value):
            raise InputError(f"{name} = {value!r}: expected a finite level")
    if steps < 2:
        raise InputError(f"steps = {steps!r}: expected at least 2")
    places = np.linspace(0.0, length, steps + 1)
    surface = water_surface(
        RoundPipe(diameter=diameter), places.tolist(), (downstream_invert + slope * (length - places)).tolist(),
        [flow] * (steps + 1), roughness, downstream_level,
    )  # fmt: skip
    with quiet():
        normal = float(flowing_depth(flow, diameter, slope, roughness))
    critical = float(surface.critical[-1])
    return PipeProfile(
        stations=length - surface.distances[::-1],
        inverts=surface.inverts[::-1],
        depths=surface.depths[::-1],
        levels=surface.levels[::-1],
        energies=surface.energies[::-1],
        velocities=surface.velocities[::-1],
        normal_depth=normal,
        critical_depth=critical,
        steep=normal < critical,
        jump=length - surface.jumps[-1] if surface.jumps else None,
        full_length=surface.full_length,
    )
