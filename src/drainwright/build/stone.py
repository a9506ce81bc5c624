"""Stone and fabric: sections along the runs, voids, mass, the wrap with its laps."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from drainwright.build.trench import BASIN_BED, BASIN_ROOM, BASIN_WALL, basin_outside
from drainwright.build.units import FOOT, PCF
from drainwright.errors import require
from drainwright.system.model import LiftStation, SizedRun, System
from drainwright.worksheet import Card, catalogued, place

DENSITY = 87.2 * PCF  # AASHTO No. 57, dumped: stone_voids [kg/m³]
POROSITY = 0.40  # recommended for storage: stone_voids (45.4 % in the laboratory, dumped) [-]
TOP_LAP = 1.0 * FOOT  # fabric over itself on top of the stone (common practice, 6 to 12 in)
END_LAP = 1.5 * FOOT  # at the ends of rolls (common practice, 12 to 18 in)
ROLL = 100.0 * FOOT  # length of a roll


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed:
    """Stone and fabric of one run, and the room it takes from the soil."""

    run: str
    stone: float  # [m³]
    fabric: float  # with laps [m²]
    displaced: float  # stone with pipe, or pipe alone, or the sleeve [m³]


@catalogued(
    Card(
        title="Section of stone round a pipe",
        symbol="A",
        expression="width * (under + outside + over) - pi / 4 * outside ** 2",
        units={"width": "m", "under": "m", "outside": "m", "over": "m", "result": "m²"},
        source="geometry",
        trial={"width": (0.3, 1.0), "outside": (0.05, 0.25)},
    )
)
def stone_section(width: float, under: float, outside: float, over: float) -> float:
    """Area of stone in a trench, the pipe taken out.

    Parameters
    ----------
    width : float
        Of the stone, at least the pipe's. [m]
    under, over : float
        Below the pipe and above its crown, zero or more. [m]
    outside : float
        Outside diameter of the pipe, zero or more. [m]

    Returns
    -------
    float
        Area. [m²]

    Raises
    ------
    InputError
        If a value is not finite or out of range.

    Examples
    --------
    >>> round(stone_section(0.3048, 0.0508, 0.10706, 0.14694) / 0.3048**2, 2)  # 12 x 12 in round a 4 in drain
    0.9
    """
    require("zero or more", np.greater_equal, under=under, over=over, outside=outside, spare=width - outside)
    return width * (under + outside + over) - math.pi / 4 * outside**2


@catalogued(
    Card(
        title="Water that the voids of stone hold",
        symbol="V_void",
        expression="volume * porosity",
        units={"volume": "m³", "porosity": "-", "result": "m³"},
        source="stone_voids",
        trial={"porosity": (0.1, 0.6)},
    )
)
def void_volume(volume: float, porosity: float) -> float:
    """Volume of the voids in stone.

    Parameters
    ----------
    volume : float
        Of the stone as it lies, zero or more. [m³]
    porosity : float
        Voids over the whole, from 0 to under 1. [-]

    Returns
    -------
    float
        Volume. [m³]

    Raises
    ------
    InputError
        If a value is not finite or out of range.

    Examples
    --------
    >>> void_volume(10.0, 0.40)
    4.0
    """
    require("zero or more", np.greater_equal, volume=volume, porosity=porosity)
    require("above zero", np.greater, solids=1 - porosity)
    return volume * porosity


@catalogued(
    Card(
        title="Mass of dumped stone",
        symbol="m",
        expression="volume * density",
        units={"volume": "m³", "density": "kg/m³", "result": "kg"},
        source="stone_voids",
        trial={"density": (1200.0, 1800.0)},
    )
)
def stone_mass(volume: float, density: float) -> float:
    """Mass of stone as it lies, voids included.

    Parameters
    ----------
    volume : float
        Zero or more. [m³]
    density : float
        Above zero. [kg/m³]

    Returns
    -------
    float
        Mass. [kg]
    """
    require("zero or more", np.greater_equal, volume=volume)
    require("above zero", np.greater, density=density)
    return volume * density


def fabric_area(girth: float, length: float) -> float:
    """Fabric round a column of stone: girth with a lap on top, a lap at both ends and between rolls [m²]."""
    if length <= 0:
        return 0.0
    rolls = math.ceil(length / ROLL - 1e-9)
    return (girth + TOP_LAP) * (length + rolls * END_LAP)


def bed(run: SizedRun) -> Bed:
    """Stone, fabric and displaced soil of one run.

    Parameters
    ----------
    run : SizedRun
        The run with its stone.

    Returns
    -------
    Bed
        Without stone, only what the pipe or the sleeve displaces.
    """
    outside = run.pipe.outside
    if run.stone_width <= 0:
        across = max(outside, run.pipe.envelope)
        return Bed(run=run.name, stone=0.0, fabric=0.0, displaced=math.pi / 4 * across**2 * run.length)
    with place(f"runs.{run.name}", "stone"):
        width = max(run.stone_width, outside)
        section = stone_section(width, run.stone_under, outside, run.stone_over)
    height = run.stone_under + outside + run.stone_over
    return Bed(
        run=run.name,
        stone=section * run.length,
        fabric=fabric_area(2 * (width + height), run.length) if run.fabric else 0.0,
        displaced=width * height * run.length,
    )


def basin_bed(station: LiftStation) -> Bed:
    """Stone under a basin and round it up to its lowest inlet, and all that basin and stone displace."""
    outside = basin_outside(station)
    hole = math.pi / 4 * (outside + 2 * BASIN_ROOM) ** 2
    body = math.pi / 4 * outside**2
    round_it = max(station.lowest_inlet - station.floor, 0.0) + BASIN_WALL
    stone = hole * BASIN_BED + (hole - body) * round_it
    buried = max(station.ground - station.floor, 0.0) + BASIN_WALL
    return Bed(run=station.name, stone=stone, fabric=0.0, displaced=stone + body * buried)


def beds(system: System) -> tuple[Bed, ...]:
    """All stone and displaced soil: the runs in order, then the basin."""
    found = [bed(run) for run in system.runs]
    if system.station is not None:
        found.append(basin_bed(system.station))
    return tuple(found)


__all__ = [
    "DENSITY", "POROSITY", "Bed", "basin_bed", "bed", "beds", "fabric_area", "stone_mass", "stone_section",
    "void_volume",
]  # fmt: skip
