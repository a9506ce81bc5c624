"""The water surface along a channel or pipe: direct step, and a walk up a pipe from its tailwater.

The walk handles part-full and pressurised reaches in one: above the crown the depth is the piezometric
head over the invert, the area that of the full pipe.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from drainwright.errors import InputError, require
from drainwright.hydraulics.arrays import GRAVITY, Array
from drainwright.hydraulics.energy import critical_depth
from drainwright.hydraulics.openflow import flowing_depth
from drainwright.worksheet import Card, catalogued, quiet

TRICKLE = 1e-12  # less than a drop in a minute has no depth that could be told [m³/s]


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
    steep: bool  # normal depth is below critical: the level given is an upper bound away from the ends
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
        " full below the grade line; never below critical depth",
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
    Tranquil flow is followed. Where a steep pipe runs faster than critical the level stays at critical
    depth: an upper bound there, exact at the upper end, where the flow enters through critical depth. Losses
    at the ends (entrance, junction) are not in it.

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
    stations = np.linspace(0.0, length, steps + 1)
    inverts = downstream_invert + slope * stations
    with quiet():
        critical = float(critical_depth(flow, diameter))
        normal = float(flowing_depth(flow, diameter, slope, roughness))
    circle = Circle(diameter=diameter)
    depth = max(downstream_level - downstream_invert, critical)
    depths = [depth]
    for _ in range(steps):
        depth = _step_up(circle, depth, flow, roughness, slope, length / steps, critical)
        depths.append(depth)
    heads = np.array(depths)
    areas = np.array([circle.area(y) for y in depths])
    speeds = np.divide(flow, areas, out=np.zeros_like(areas), where=areas > 0.0)
    full = heads >= diameter
    return PipeProfile(
        stations=stations,
        inverts=inverts,
        depths=heads,
        levels=inverts + heads,
        energies=inverts + heads + speeds**2 / (2.0 * GRAVITY),
        velocities=speeds,
        normal_depth=normal,
        critical_depth=critical,
        steep=normal < critical,
        full_length=float(np.sum(0.5 * (full[1:].astype(float) + full[:-1])) * length / steps),
    )


def _step_up(
    circle: Circle, depth: float, flow: float, roughness: float, slope: float, step: float, critical: float
) -> float:
    """Depth one step upstream, by the energy equation; critical depth where no tranquil depth fits."""
    from scipy.optimize import brentq

    if flow <= TRICKLE:
        return max(depth - slope * step, 0.0)
    half = 0.5 * step
    target = section_energy(circle, depth, flow) - slope * step
    target += half * friction_slope(circle, depth, flow, roughness)

    def surplus(trial: float) -> float:
        friction = half * friction_slope(circle, trial, flow, roughness)
        return section_energy(circle, trial, flow) - friction - target

    if surplus(critical) >= 0.0:
        return critical
    full_friction = half * friction_slope(circle, circle.diameter, flow, roughness)
    top = max(circle.diameter, target + full_friction) + circle.diameter
    return float(brentq(surplus, critical, top, xtol=1e-12, rtol=1e-14))
