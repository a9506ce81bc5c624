"""Every end of a pipe in the open: its velocity against what the ground bears, its stone, and the water's way on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from drainwright.field.model import Plan, Site
from drainwright.field.places import resolve_place
from drainwright.field.points import inside
from drainwright.field.terrain_model import WayOn
from drainwright.hydraulics.energy import critical_depth, velocity_at_depth
from drainwright.hydraulics.openflow import flowing_depth
from drainwright.hydraulics.outfall import (
    apron_length,
    apron_stone,
    gutter_spread,
    jet_reach,
    swale_width,
    trickle_left,
)
from drainwright.hydraulics.pressure import pipe_velocity
from drainwright.job.site import Surface
from drainwright.job.values import Basis
from drainwright.job.works import Discharge
from drainwright.system.model import SizedRun, System
from drainwright.system.outlets.outfall_model import GroundWay, Outfall
from drainwright.system.outlets.soakaways import last_run
from drainwright.water.model import Inflows
from drainwright.water.travel import sheet_roughness
from drainwright.worksheet import place, quiet

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

OPEN = ("daylight", "street", "pop-up emitter", "neighbour")
FOOT = 0.3048
TAILWATER = 0.4  # depth over diameter where nobody knows it (HEC-14) [-]
LEAST_STONE = 0.05  # smaller stone washes out from among grass roots; common practice, no source [m]
KERB_GRADE, KERB_CROSS, ASPHALT = 0.01, 0.02, 0.016  # assumed of a street [-, -, s/m^(1/3)]
SWALE_SIDES = 20.0  # of the ground that a trickle finds, run over rise; assumed [-]
LEAST_FALL = 0.005  # of the way, for the width of the trickle [-]
STEP = 0.5  # of the way, for what soaks in [m]
# Grass mixtures by the slope up to which they count, on soil that resists and on soil that erodes easily: SCS TP-61.
GRASS = ((0.05, 5.0 * FOOT, 4.0 * FOOT), (0.10, 4.0 * FOOT, 3.0 * FOOT))  # [-, m/s, m/s]
ERODES = ("sand", "loamy sand", "sandy loam", "silt loam", "silt")
# Bare soil by texture, a state manual's table; a sandy clay's value for the loams between.
BARE = {**dict.fromkeys(ERODES, 1.5 * FOOT), "clay": 2.5 * FOOT, "silty clay": 2.5 * FOOT}  # [m/s]
BARE_BETWEEN = 2.0 * FOOT  # [m/s]
GRAVEL = 2.5 * FOOT  # fine gravel, clear water: Fortier and Scobey 1926, from memory [m/s]
HARD = ("paving", "concrete", "asphalt", "pervious paving")


def outfalls(site: Site, inflows: Inflows, system: System) -> tuple[Outfall, ...]:
    """The ends of pipes in the open.

    Parameters
    ----------
    site, inflows, system : Site, Inflows, System
        The site, what comes, and the system as laid out.

    Returns
    -------
    tuple of Outfall
        One for each discharge point at the ground that a run ends at, in the order of the job.
    """
    found = []
    for point in site.job.works.discharge:
        run = last_run(system, point.name)
        if run is not None and point.kind in OPEN:
            found.append(_outfall(site, inflows, system, point, run))
    return tuple(found)


def most_out(system: System, run: SizedRun) -> float:
    """Greatest flow that leaves by a run: at the design flow, or what the pumps deliver while they run [m³/s]."""
    if not run.pressure:
        return run.flow
    station = system.station_of_run(run.name)
    if station is None:  # common to several basins
        return max([run.flow, *(sum(main.together.values()) for main in system.mains if run.name in main.lines)])
    pair = None if station.study is None else station.study.pair
    both = 0.0 if pair is None else pair.both_flow
    found = max(station.most_flow, both, *(point.flow for point in station.points if point.place == "on"))
    return found if found > 0.0 else run.flow  # a pump that lifts nothing: as if it did


def leaving(system: System, run: SizedRun) -> tuple[float, float, float]:
    """The water that leaves a pipe: full under a pump, but part full where the line falls to its end; else by gravity.

    Parameters
    ----------
    system : System
        With its stations.
    run : SizedRun
        The run that ends in the open.

    Returns
    -------
    tuple of float
        Greatest flow [m³/s], depth [m], and velocity: of a gravity line the fastest of normal flow on its flattest
        and on its last stretch, and of critical flow. [m/s]
    """
    flow, inside = most_out(system, run), run.pipe.inside
    if flow <= 0.0:
        return 0.0, 0.0, 0.0
    above, end = run.stations[-2:]
    grade = max((above.invert - end.invert) / (end.distance - above.distance), 0.0)
    if run.pressure:
        station = system.station_of_run(run.name)
        beyond = None if station is None or station.line is None else station.line.beyond
        grade = grade if beyond is not None and not beyond.drowned else 0.0
    depth = float(flowing_depth(flow, inside, grade, run.pipe.manning))
    if run.pressure or run.depth >= inside:
        return flow, depth, _speed(flow, depth, inside)
    brink = min(float(critical_depth(flow, inside)), inside)
    return flow, min(depth, run.depth), max(run.velocity, *(_speed(flow, each, inside) for each in (depth, brink)))


def _speed(flow: float, depth: float, inside: float) -> float:
    return float(pipe_velocity(flow, inside) if depth >= inside else velocity_at_depth(flow, depth, inside))


def allowed_velocity(surface: Surface, texture: str, slope: float) -> float:
    """Velocity that a surface bears without being scoured.

    Parameters
    ----------
    surface : str
        Of the ground.
    texture : str
        Of the soil.
    slope : float
        Of the ground; grass steeper than one in ten is counted as bare. [-]

    Returns
    -------
    float
        Velocity; infinite for paving. [m/s]
    """
    if surface in HARD:
        return math.inf
    if surface == "gravel":
        return GRAVEL
    if surface == "lawn":
        for steepest, resists, erodes in GRASS:
            if slope <= steepest:
                return erodes if texture in ERODES else resists
    return BARE.get(texture, BARE_BETWEEN)


def velocity_source(surface: Surface, slope: float) -> str:
    """The source, by its key, of the velocity that a surface bears: grass has its own.

    Parameters
    ----------
    surface : str
        Of the ground.
    slope : float
        Of the ground. [-]
    """
    return "scs_tp61" if surface == "lawn" and slope <= GRASS[-1][0] else "bare_velocity"


def _outfall(site: Site, inflows: Inflows, system: System, point: Discharge, run: SizedRun) -> Outfall:
    at = system.nodes[point.name].at
    surface, basis = _surface(site, point, at)
    slope = _slope(site, at)
    allowed = allowed_velocity(surface, site.job.ground.texture.value, slope)
    pumped = run.pressure
    with place(f"works.discharge.{point.name}", "velocity at the pipe's end"):
        flow, depth, velocity = leaving(system, run)
    size = (run.pipe.inside + depth) / 2.0
    stone = length = thickness = 0.0
    if velocity > allowed:
        with place(f"works.discharge.{point.name}", "apron of stone"):
            stone = max(LEAST_STONE, float(apron_stone(flow, size, TAILWATER * run.pipe.inside)))
            length, thickness = apron_length(stone, run.pipe.inside)
            if depth >= run.pipe.inside:
                length = max(length, float(jet_reach(run.pipe.inside, velocity, allowed)))
    spread = None
    if point.kind == "street":
        with place(f"works.discharge.{point.name}", "water along the kerb"):
            spread = float(gutter_spread(flow, ASPHALT, KERB_CROSS, KERB_GRADE))
    ways = site.terrain.ways_on if site.terrain is not None else ()
    way = next((item for item in ways if item.name == point.name), None)
    built = max(length, point.apron or 0.0)
    return Outfall(
        name=point.name, kind=point.kind, at=at, run=run.name, pumped=pumped, flow=flow,
        diameter=run.pipe.inside, velocity=velocity, surface=surface, surface_basis=basis, ground_slope=slope,
        allowed=allowed, stone=stone, apron=length, apron_width=3.0 * run.pipe.inside + 2.0 / 3.0 * built,
        apron_thickness=thickness, apron_given=point.apron, spread=spread,
        way=None if way is None else _way(site, inflows, way, flow, surface),
        basis=inflows.rain.basis if not run.pressure else Basis.STATED,
    )  # fmt: skip


def _surface(site: Site, point: Discharge, at: Plan) -> tuple[Surface, Basis]:
    """What lies where the water comes out: the yard it lies in, or else lawn."""
    if point.kind == "street":
        return "asphalt", Basis.ASSUMED
    for yard in site.job.yards:
        ring = [resolve_place(site, corner, f"yards.{yard.name}.outline") for corner in yard.outline]
        if len(ring) >= 3 and inside(ring, at):
            return yard.surface, Basis.STATED
    return "lawn", Basis.ASSUMED


def _slope(site: Site, at: Plan) -> float:
    east, north = at
    step = FOOT
    level = site.surface.level
    by_east = float(level(east + step, north)) - float(level(east - step, north))
    by_north = float(level(east, north + step)) - float(level(east, north - step))
    return math.hypot(by_east, by_north) / (2.0 * step)


def _way(site: Site, inflows: Inflows, way: WayOn, flow: float, surface: Surface) -> GroundWay:
    """The water's way, what soaks in on it, and where it leaves the lot."""
    from shapely import LinearRing, LineString, Point, Polygon

    house = Polygon(site.outline)
    start = Point(way.path[0])
    line = LineString(way.path) if len(way.path) > 1 else None
    nearest = start.distance(house) if line is None else line.distance(house)
    leaves_after, leaves_at = None, None
    if line is not None and len(site.boundary) >= 3:
        lot, edge = Polygon(site.boundary), line.intersection(LinearRing(site.boundary))
        if lot.contains(start) and not edge.is_empty:
            leaves_after = min(float(line.project(Point(at))) for at in _points(edge))
            there = line.interpolate(leaves_after)
            leaves_at = (float(there.x), float(there.y))
        elif way.kind == "boundary" and lot.contains(start):  # its last cell lies just inside
            leaves_after, leaves_at = way.length, way.path[-1]
    on_lot = way.length if leaves_after is None else leaves_after
    slope = max(way.fall / way.length, LEAST_FALL) if way.length > 0.0 else LEAST_FALL
    rough = sheet_roughness(surface)
    near = site.job.rules.house_setback.value
    left, soaked_near, width = flow, 0.0, 0.0
    with quiet():
        if flow > 0.0:
            width = float(swale_width(flow, rough, SWALE_SIDES, slope))
        for number in range(math.ceil(on_lot / STEP - 1e-9) if line is not None else 0):
            length = min(STEP, on_lot - number * STEP)
            across = float(swale_width(left, rough, SWALE_SIDES, slope)) if left > 0.0 else 0.0
            after = float(trickle_left(left, inflows.conductivity, across, length))
            if line is not None and line.interpolate(number * STEP + length / 2).distance(house) < near:
                soaked_near += left - after
            left = after
    return GroundWay(
        length=way.length, fall=way.fall, to=way.to, nearest_house=float(nearest),
        starts_from_house=float(start.distance(house)), leaves_after=leaves_after, leaves_at=leaves_at, width=width,
        soaked=0.0 if flow <= 0.0 else 1.0 - left / flow, soaked_near=0.0 if flow <= 0.0 else soaked_near / flow,
    )  # fmt: skip


def _points(shape: BaseGeometry) -> Sequence[Plan]:
    """Places of a crossing: points, or the ends of what runs along the boundary."""
    from shapely import get_coordinates

    return [(float(east), float(north)) for east, north in get_coordinates(shape)]


__all__ = ["OPEN", "allowed_velocity", "leaving", "most_out", "outfalls", "velocity_source"]
