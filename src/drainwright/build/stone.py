"""Stone and fabric: sections along the runs, voids, mass, the wrap with its laps."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from drainwright.build.earth import volume_by_stations
from drainwright.build.fittings_count import body_half
from drainwright.build.levels import along, edges, passes, sampled
from drainwright.build.model import StoneZone
from drainwright.build.pits import pit_beds
from drainwright.build.soak_dig import soak_beds
from drainwright.build.trench import Cut
from drainwright.build.units import CUBIC_FOOT, CUBIC_YARD, FOOT, PCF, whole
from drainwright.errors import require
from drainwright.field.model import Site
from drainwright.job.model import Job
from drainwright.system.lift.uplift import BASIN_WALL, CONCRETE_DENSITY
from drainwright.system.model import LiftStation, SizedRun, System
from drainwright.system.outlets.end_model import POCKET
from drainwright.system.yard.basin_hole import HOLE_BED, hole_of
from drainwright.worksheet import Card, catalogued, place

DENSITY = 87.2 * PCF  # AASHTO No. 57, dumped: stone_voids [kg/m³]
POROSITY = 0.40  # recommended for storage: stone_voids (45.4 % in the laboratory, dumped) [-]
TOP_LAP = 1.0 * FOOT  # fabric over itself on top of the stone (common practice, 6 to 12 in)
END_LAP = 1.5 * FOOT  # at the ends of rolls (common practice, 12 to 18 in)
ROLL = 100.0 * FOOT  # length of a roll
LIFT = 0.5 * FOOT  # stone goes in by layers no higher than this (common practice, no source)
UNDER = (
    "under the pipe",
    "under the basin",
    "under the catch basin",
    "under the outlet's box",
    "under the emitter",
    "wall gap under the bed",
)  # zones that lie before what they carry
#: Drain stone that a yard sells by number, and what it is called by size (ASTM D448: No. 67 is 3/4 in to No. 4, No. 8
#: 3/8 in to No. 8; from memory). Stone of another name is the job's own.
SOLD = MappingProxyType({"57": "3/4 in", "67": "3/4 in", "8": "3/8 in"})
OWN = "stone.own"
CONCRETE_BAG = 0.6 * CUBIC_FOOT  # that a bag of 80 lb makes: common practice, no source [m³]


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """One part of the stone's section."""

    name: str
    volume: float  # in place [m³]
    height: float  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed:
    """Stone and fabric of one run, and the room it takes from the soil."""

    run: str
    stone: float  # all of it [m³]
    fabric: float  # with laps [m²]
    displaced: float  # stone with pipe, or pipe alone, or the sleeve [m³]
    fill: float = 0.0  # of the stone, what lies under the bed down to an opened wall's dig [m³]
    fill_length: float = 0.0  # over which it does [m]
    fill_height: float = 0.0  # its greatest height [m]
    zones: tuple[Zone, ...] = ()  # of the stone, from the bottom up
    strip: tuple[float, float] = (0.0, 0.0)  # width and length of the fabric as it is laid out, laps included [m]

    @property
    def under(self) -> float:
        """Of the stone, what lies before its pipe, basin or chamber comes. [m³]"""
        return math.fsum(zone.volume for zone in self.zones if zone.name in UNDER)


def to_buy(stone: float, waste: float) -> float:
    """Stone as it is ordered: with its waste, to the half cubic yard; it comes loose, as it lies in the drain. [m³]"""
    return whole(stone / CUBIC_YARD * (1 + waste), 0.5) * CUBIC_YARD


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


def stone_number(name: str) -> str:
    """The number by which a job's drain stone is sold: ``67`` of ``clean stone No. 67``; empty for stone of its own."""
    told = re.search(r"\bNo\.?\s*(\d+)\b", name, re.IGNORECASE)
    return told[1] if told is not None and told[1] in SOLD else ""


def stone_key(name: str) -> str:
    """The price book's item of a job's drain stone, by the stone's name."""
    number = stone_number(name)
    return f"stone.{number}" if number else OWN


def fabric_area(girth: float, length: float) -> float:
    """Fabric round a column of stone: girth with a lap on top, a lap at both ends and between rolls [m²]."""
    if length <= 0:
        return 0.0
    rolls = math.ceil(length / ROLL - 1e-9)
    return (girth + TOP_LAP) * (length + rolls * END_LAP)


def bed(run: SizedRun, in_bodies: float = 0.0) -> Bed:
    """Stone, fabric and displaced soil of one run.

    Parameters
    ----------
    run : SizedRun
        The run with its stone.
    in_bodies : float
        Of its length, what lies inside basins and catch basins, whose soil is theirs. [m]

    Returns
    -------
    Bed
        Without stone, only what the pipe or the sleeve displaces.
    """
    outside, length = run.pipe.outside, max(run.length - in_bodies, 0.0)
    if run.stone_width <= 0:
        across = max(outside, run.pipe.envelope)
        return Bed(run=run.name, stone=0.0, fabric=0.0, displaced=math.pi / 4 * across**2 * length)
    with place(f"runs.{run.name}", "stone"):
        width = max(run.stone_width, outside)
        section = stone_section(width, run.stone_under, outside, run.stone_over)
    height = run.stone_under + outside + run.stone_over
    girth = 2 * (width + height)
    zones = (
        Zone(name="under the pipe", volume=width * run.stone_under * length, height=run.stone_under),
        Zone(
            name="round the pipe",
            volume=(width * outside - math.pi / 4 * outside**2) * length,
            height=outside,
        ),
        Zone(name="over the pipe", volume=width * run.stone_over * length, height=run.stone_over),
    )
    return Bed(
        run=run.name,
        stone=section * length,
        fabric=fabric_area(girth, length) if run.fabric else 0.0,
        displaced=width * height * length,
        zones=tuple(zone for zone in zones if zone.volume > 0),
        strip=(girth + TOP_LAP, length + END_LAP) if run.fabric else (0.0, 0.0),
    )


def concrete_volume(station: LiftStation) -> float:
    """Concrete round the basin's foot [m³]."""
    return station.collar / CONCRETE_DENSITY


def basin_bed(site: Site, station: LiftStation) -> Bed:
    """Stone under a basin and round it up to its lowest inlet, and all that basin, concrete and stone displace."""
    hole = hole_of(site, station).area
    body = math.pi / 4 * (station.inside_diameter + 2 * BASIN_WALL) ** 2
    round_it = max(station.lowest_inlet - station.floor, 0.0) + BASIN_WALL
    concrete = concrete_volume(station)
    zones = (
        Zone(name="under the basin", volume=hole * HOLE_BED, height=HOLE_BED),
        Zone(name="round the basin", volume=max((hole - body) * round_it - concrete, 0.0), height=round_it),
    )
    stone = math.fsum(zone.volume for zone in zones)
    buried = max(station.ground - station.floor, 0.0) + BASIN_WALL
    return Bed(run=station.name, stone=stone, fabric=0.0, displaced=stone + concrete + body * buried, zones=zones)


def filled(placed: Bed, run: SizedRun, digs: Sequence[Cut]) -> Bed:
    """The run's bed with the stone under it, where the dig of an opened wall goes below the drain's own trench.

    Parameters
    ----------
    placed : Bed
        The run's stone by ``bed``.
    run : SizedRun
        The run; one that lies beside no wall is left as it is, for its pipe goes on tamped backfill.
    digs : Sequence of Cut
        From ``trench.cuts``.

    Returns
    -------
    Bed
        The gap filled as wide as the drain's bed.
    """
    from shapely import LineString, contains_xy

    walls = [(dig.area, dig.wall.footing_top) for dig in digs if dig.wall is not None and dig.name in run.walls]
    if not walls:
        return placed
    route = LineString(run.route)
    places, _, low = sampled(run)
    bends = [found for area, top in walls for found in (passes(places, low, top), edges(route, area))]
    distances = np.unique(np.concatenate([places, *bends]))
    under = np.interp(distances, places, low)
    points = along(route, distances)
    middle = (points[:-1] + points[1:]) / 2
    first, second = np.zeros(len(middle)), np.zeros(len(middle))
    for area, top in walls:
        inside = contains_xy(area, middle[:, 0], middle[:, 1])
        gap = np.clip(under - top, 0.0, None)
        first = np.where(inside, np.maximum(first, gap[:-1]), first)
        second = np.where(inside, np.maximum(second, gap[1:]), second)
    if not first.any() and not second.any():
        return placed
    width = next(dig.bed for dig in digs if dig.name == run.name)
    with place(f"runs.{run.name}", "stone under its bed, down to the top of the footing"):
        volume = volume_by_stations(distances, first * width, second * width)
    height = float(max(first.max(), second.max()))
    return replace(
        placed,
        zones=(Zone(name="wall gap under the bed", volume=volume, height=height), *placed.zones),
        stone=placed.stone + volume,
        displaced=placed.displaced + volume,
        fill=volume,
        fill_length=float(np.sum(np.diff(distances)[(first + second) > 0])),
        fill_height=height,
    )


def stone_zones(beds: Sequence[Bed], waste: float) -> tuple[StoneZone, ...]:
    """The stone by place and zone: in place, loose as it is bought, and the layers in which it goes in.

    Clean open stone is taken to lie as densely as it is dumped; what it settles under the tamper is in the waste.
    """
    return tuple(
        StoneZone(
            where=bed.run,
            zone=zone.name,
            volume=zone.volume,
            height=zone.height,
            lifts=math.ceil(zone.height / LIFT - 1e-6),
            bought=zone.volume * (1 + waste),
            mass=zone.volume * (1 + waste) * DENSITY,
        )
        for bed in beds
        for zone in bed.zones
        if zone.volume > 0
    )


def in_bodies(job: Job, system: System, run: SizedRun) -> float:
    """Of a run's length, what lies within the outside of the basins and catch basins at its ends [m]."""
    halves = [body_half(job, system, end) for end in (run.upper, run.lower)]
    return math.fsum(half + BASIN_WALL for half in halves if half > 0.0)


def _pocket() -> Zone:
    """The stone below an emitter's elbow; it takes the room of as much soil."""
    return Zone(name="under the emitter", volume=POCKET**3, height=POCKET)


def beds(site: Site, system: System, digs: Sequence[Cut]) -> tuple[Bed, ...]:
    """All stone and displaced soil: the runs in order, with what fills up under them, basins, soakaways, pits."""
    found = [filled(bed(run, in_bodies(site.job, system, run)), run, digs) for run in system.runs]
    found += [basin_bed(site, station) for station in system.stations]
    found += soak_beds(system)
    found += pit_beds(site, system)
    found += [
        Bed(run=end.name, stone=POCKET**3, fabric=0.0, displaced=POCKET**3, zones=(_pocket(),))
        for end in system.ends
        if end.form == "pop-up emitter"
    ]
    return tuple(found)


__all__ = [
    "CONCRETE_BAG", "DENSITY", "END_LAP", "LIFT", "OWN", "POROSITY", "SOLD", "TOP_LAP", "Bed", "Zone", "basin_bed",
    "bed", "beds", "concrete_volume", "fabric_area", "filled", "in_bodies", "stone_key", "stone_mass", "stone_number",
    "stone_section", "stone_zones", "void_volume",
]  # fmt: skip
