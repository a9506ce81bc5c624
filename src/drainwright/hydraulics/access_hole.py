"""Head lost where pipes meet: HEC-22's access-hole method for catch basins, momentum for wyes and tees.

Energy levels are over the invert of the pipe that leaves. HEC-22 (3rd ed., sec. 7.1.6; 4th ed., ch. 9):
the equations were seen in a public transcription, the benching coefficients are from memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from drainwright.errors import InputError, require
from drainwright.hydraulics.arrays import GRAVITY
from drainwright.hydraulics.conduit import TRICKLE, Conduit, critical
from drainwright.worksheet import Card, catalogued

ENTRANCE = 0.2  # of the pipe that leaves, outlet control: on its velocity head [-]
EXIT = 0.4  # of a pipe that comes in: on its velocity head [-]
TURNING = 4.5  # of the angled inflow [-]
FARTHEST = 10.0  # plunging water counts as falling from so many diameters at most [-]

#: Share of the entrance loss by the floor of the structure: drowned (over 2.5 diameters), and free (under 1). [-]
BENCHING: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"flat": (-0.05, -0.05), "depressed": (0.0, 0.0), "half bench": (-0.05, -0.85), "full bench": (-0.25, -0.93)}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inflow:
    """Water that comes into a structure."""

    flow: float  # [m³/s]
    turn: float = 0.0  # of the flow in plan, from straight through [rad]
    height: float = 0.0  # of its invert, or of the grate, over the invert of the pipe that leaves [m]
    grate: bool = False  # it falls through the grate


@dataclass(frozen=True, slots=True, kw_only=True)
class AccessHole:
    """Energy in a structure, over the invert of the pipe that leaves; its losses by kind, upstream added."""

    energy: float  # [m]
    entrance: float  # into the pipe that leaves, or what its entrance holds back [m]
    benching: float  # negative: saved by a shaped floor [m]
    turning: float  # [m]
    plunging: float  # [m]

    @property
    def loss(self) -> float:
        """All together. [m]"""
        return self.entrance + self.benching + self.turning + self.plunging


@catalogued(
    Card(
        title="Energy in a catch basin or access hole",
        symbol="E_a",
        expression="E_ai = max(E_i + 0.2 v²/2g, D DI², 1.6 D DI^0.67) with DI = Q / (A sqrt(g D)); then E_ai + (C_B +"
        " 4.5 ΣQ/Q_o sin(turn / 2) + ΣQ h / (Q_o D)) (E_ai - E_i), not less than E_i",
        units={
            "flow": "m³/s",
            "diameter": "m",
            "outlet_energy": "m",
            "outlet_velocity": "m/s",
            "inflows": "-",
            "floor": "-",
            "result": "m",
        },
        source="hec22",
        expression_kind="procedure",
    )
)
def access_hole(
    flow: float,
    diameter: float,
    outlet_energy: float,
    outlet_velocity: float,
    inflows: Sequence[Inflow],
    floor: str = "depressed",
) -> AccessHole:
    """Energy level in a catch basin or access hole, by the pipe that leaves it and what comes in.

    Parameters
    ----------
    flow : float
        That leaves, zero or more. [m³/s]
    diameter : float
        Inside, of the pipe that leaves. [m]
    outlet_energy : float
        Energy line at the head of the pipe that leaves, over its invert, zero or more. [m]
    outlet_velocity : float
        There, zero or more. [m/s]
    inflows : sequence of Inflow
        Pipes and grates that bring water.
    floor : str
        A key of ``BENCHING``; a catch basin with a sump is "depressed".

    Returns
    -------
    AccessHole
        Its energy (taken as the water level) and losses.

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    An inflow plunges where its invert lies above the initial level; it then turns nothing. The angle of the turning
    term is the mean of the pipes that do not plunge, by their flow.

    Examples
    --------
    >>> hole = access_hole(0.01, 0.1, 0.15, 1.27, [Inflow(flow=0.01, turn=1.5708)])
    >>> round(hole.energy, 3), round(hole.turning, 3)
    (0.315, 0.125)
    """
    require("zero or more", np.greater_equal, flow=flow, outlet_energy=outlet_energy, outlet_velocity=outlet_velocity)
    require("above zero", np.greater, diameter=diameter)
    if floor not in BENCHING:
        raise InputError(f"floor = {floor!r}: expected one of {', '.join(BENCHING)}")
    if flow <= TRICKLE:
        return AccessHole(energy=outlet_energy, entrance=0.0, benching=0.0, turning=0.0, plunging=0.0)
    intensity = flow / (0.25 * math.pi * diameter**2 * math.sqrt(GRAVITY * diameter))
    first = max(
        outlet_energy + ENTRANCE * outlet_velocity**2 / (2.0 * GRAVITY),
        diameter * intensity**2,
        1.6 * diameter * intensity**0.67,
    )
    entrance = first - outlet_energy
    turning = [inflow for inflow in inflows if not inflow.grate and inflow.height <= first]
    plunging = [inflow for inflow in inflows if inflow.height > first]
    drowned, free = BENCHING[floor]
    bench = float(np.interp(first / diameter, (1.0, 2.5), (free, drowned)))
    through = sum(inflow.flow for inflow in turning)
    turn = sum(inflow.flow * inflow.turn for inflow in turning) / through if through > 0.0 else 0.0
    angled = TURNING * through / flow * math.sin(0.5 * min(turn, math.pi))
    falling = sum(
        inflow.flow * (min(inflow.height, FARTHEST * diameter) - first) / diameter
        for inflow in plunging
        if min(inflow.height, FARTHEST * diameter) > first
    )
    losses = (bench * entrance, angled * entrance, falling / flow * entrance)
    short = max(outlet_energy - (first + sum(losses)), 0.0)  # never below what the pipe that leaves has
    return AccessHole(
        energy=first + sum(losses) + short,
        entrance=entrance + short,
        benching=losses[0],
        turning=losses[1],
        plunging=losses[2],
    )


@catalogued(
    Card(
        title="Rise of the grade line at a wye or tee",
        symbol="ΔH",
        expression="(Q_o v_o - Q_i v_i - Q_l v_l cos(turn)) / (0.5 g (A_o + A_i))",
        units={"outlet": "m³/s, m²", "main": "m³/s, m²", "laterals": "m³/s, m², rad", "result": "m"},
        source="hec22",
        expression_kind="procedure",
    )
)
def junction_rise(
    outlet: tuple[float, float], main: tuple[float, float], laterals: Sequence[tuple[float, float, float]]
) -> float:
    """Rise of the grade line from the pipe below a wye or tee to the pipes above it, by momentum.

    Parameters
    ----------
    outlet : tuple
        Flow and area of flow of the pipe that leaves. [m³/s, m²]
    main : tuple
        The same of the pipe that comes straightest; area above zero. [m³/s, m²]
    laterals : sequence of tuple
        Flow, area of flow and turn of the others. [m³/s, m², rad]

    Returns
    -------
    float
        Rise; HEC-22's loss H_j is this and the difference of the velocity heads. Never less than zero here: a gain of
        pressure is not counted on. [m]

    Examples
    --------
    >>> round(junction_rise((0.01, 0.008), (0.006, 0.008), [(0.004, 0.008, 0.7854)]), 4)
    0.0839
    """
    require("above zero", np.greater, areas=np.array([outlet[1], main[1], *(item[1] for item in laterals)]))
    momentum = outlet[0] ** 2 / outlet[1] - main[0] ** 2 / main[1]
    momentum -= sum(flow**2 / area * math.cos(turn) for flow, area, turn in laterals)
    return max(momentum / (0.5 * GRAVITY * (outlet[1] + main[1])), 0.0)


def arriving_level(level: float, invert: float, flow: float, section: Conduit) -> float:
    """Grade line at the end of a pipe that runs into a structure: its energy is that of the structure and the loss.

    Parameters
    ----------
    level : float
        Energy level of the structure. [m]
    invert : float
        Of the pipe where it ends. [m]
    flow : float
        In it. [m³/s]
    section : Conduit
        Of the pipe.

    Returns
    -------
    float
        Grade line y + v²/2g = level + 0.4 v²/2g; the level itself where the pipe falls free. [m]
    """
    depth = level - invert
    low = critical(section, flow)
    if depth <= low or flow <= TRICKLE:
        return level

    def energy(trial: float) -> float:
        speed = flow / section.parts(trial).area
        return trial + (1.0 - EXIT) * speed * speed / (2.0 * GRAVITY)

    if energy(low) >= depth:
        return invert + low
    high = depth
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if energy(middle) < depth else (low, middle)
    return invert + high


__all__ = [
    "BENCHING", "AccessHole", "Inflow", "access_hole", "arriving_level", "junction_rise",
]  # fmt: skip
