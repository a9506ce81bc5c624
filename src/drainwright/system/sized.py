"""Lines become runs: what the grading is asked, and the run that comes of its answer."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from drainwright.field.model import Plan, Site
from drainwright.field.places import resolve_level
from drainwright.field.words import Units, fine
from drainwright.hydraulics.openflow import full_flow, velocity_at_depth
from drainwright.hydraulics.pressure import pipe_velocity
from drainwright.job.works import Criteria, Discharge
from drainwright.kept import kept, part_of
from drainwright.system.firm_pipes import shelf_of
from drainwright.system.flows import Causes
from drainwright.system.grading.heads import offered
from drainwright.system.grading.model import Obstacle
from drainwright.system.grading.site import care_along, driven, obstacles, soil_of
from drainwright.system.grading.solve import GradedLine, GravityLine
from drainwright.system.gravity import PIPE_HEIGHT, drain_ceiling
from drainwright.system.lift.pressure_line import PressureLine
from drainwright.system.model import NodeKind, Pipe, SizedRun, Station
from drainwright.system.network import STONE_UNDER, Line, Network
from drainwright.system.surface.surface_line import Reach, WaterLine, design_depth, entrance_coefficient
from drainwright.system.ways import stations_along
from drainwright.system.yard.basin_hole import PANELS_FROM, wants_panels
from drainwright.worksheet import place

OPEN_ENDS = ("daylight", "street", "pop-up emitter")  # where a pipe comes out of the ground
OPEN_END_LENGTH = 3.048  # near such an end cover is not asked for, 10 ft, common practice, no source [m]
OPEN_END_LONGEST = 9.144  # and never further than this, 30 ft [m]
WEDGE_REACH = 5.0  # footings further off than this do not bear on a trench [m]
BESIDE = 1.0  # a station of a footing drain nearer than this to its wall lies beside it [m]
STEP = 0.01  # footing bottoms that differ by less than this are level [m]
STONE_OVER = 0.1524  # above the crown of a drain, and above the footing's top: IRC R405.1, 6 in [m]


SHARES = (0.2, 0.4, 0.6, 0.8, 1.0)  # of the way from one station to the next, where a trench is held against footings


OF_JOB = {"units", "criteria", "ground", "rules", "yards"}


def ground_beside(site: Site) -> Site:
    """The site with nothing in it but what bears on a line by its way alone, whatever runs in it and is planned."""
    job = site.job.model_copy(update={name: None for name in type(site.job).model_fields if name not in OF_JOB})
    return replace(site, job=job, terrain=None, shaped=(), joined=(), backdrop=None, notes=())


def stations_of(site: Site, line: Line) -> tuple[tuple[float, ...], tuple[Plan, ...], tuple[float, ...]]:
    """Distances from the upper end, places and ground levels of a line's stations."""
    ground = part_of(site, ground_beside)
    return kept("stations", (ground.mark, line.route), lambda: _stations_of(ground.of, line.route))


def _stations_of(site: Site, route: Sequence[Plan]) -> tuple[tuple[float, ...], tuple[Plan, ...], tuple[float, ...]]:
    stations = stations_along(route)
    distances = tuple(distance for distance, _ in stations)
    places = tuple(at for _, at in stations)
    east, north = np.array(places).T
    return distances, places, tuple(site.surface.level(east, north).tolist())


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What stands and lies beside the way of a gravity line."""

    paved: tuple[bool, ...]  # by station
    care: tuple[float, ...]  # as ``GravityLine`` has it
    hand: float  # [m]
    bottoms: tuple[float | None, ...]  # by station [m]
    obstacles: tuple[Obstacle, ...]


def surroundings(site: Site, route: tuple[Plan, ...], width: float) -> Surroundings:
    """What bears on a gravity line of so wide a trench along a route."""
    ground = part_of(site, ground_beside)
    return kept("surroundings", (ground.mark, route, width), lambda: _surroundings(ground.of, route, width))


def _surroundings(site: Site, route: tuple[Plan, ...], width: float) -> Surroundings:
    distances, places, _ = _stations_of(site, route)
    care, hand = care_along(site, route, distances)
    return Surroundings(
        paved=driven(site, places),
        care=care,
        hand=hand,
        bottoms=_bottoms(site, places, width),
        obstacles=obstacles(site, route),
    )


def _off_segment(at: Plan, start: Plan, end: Plan) -> float:
    """Distance of a place from a stretch [m]."""
    east, north = end[0] - start[0], end[1] - start[1]
    share = ((at[0] - start[0]) * east + (at[1] - start[1]) * north) / max(east**2 + north**2, 1e-12)
    share = min(1.0, max(0.0, share))
    return math.hypot(at[0] - start[0] - share * east, at[1] - start[1] - share * north)


def lowest_trench(site: Site, at: Plan, width: float) -> float | None:
    """Lowest level of a trench's bottom at a place that stays out of every footing's bearing wedge.

    The wedge goes down and out from the footing's bottom edge, one down for ``bearing_slope`` out; where the trench is
    so deep that shields stand in it, it is wider by their panels. None where no footing is near. [m]
    """
    near = [(wall, off) for wall in site.walls if (off := wall.off_footing(at)) <= WEDGE_REACH]
    if not near:
        return None
    slope = site.job.criteria.bearing_slope
    shielded = width + site.job.criteria.shield_panels
    open_, wide = (
        max(wall.footing_bottom - max(off - across / 2.0, 0.0) / slope for wall, off in near)
        for across in (width, shielded)
    )
    if open_ == wide or not wants_panels(site, 2.0 * PANELS_FROM):
        return open_
    shallow = float(site.surface.level(*at)) - PANELS_FROM
    return min(wide, max(open_, shallow))


def _bottoms(site: Site, places: Sequence[Plan], width: float) -> tuple[float | None, ...]:
    """Lowest trench at each station: no lower than any place since the one before allows, for the pipe falls [m]."""
    found = []
    for before, at in zip((places[0], *places), places, strict=False):
        between = [(before[0] + s * (at[0] - before[0]), before[1] + s * (at[1] - before[1])) for s in SHARES]
        levels = [lowest_trench(site, place, width) for place in between]
        found.append(max((level for level in levels if level is not None), default=None))
    return tuple(found)


def _beside(site: Site, line: Line, at: Plan) -> bool:
    walls = [wall for wall in site.walls if wall.name in line.walls]
    return any(_off_segment(at, wall.start, wall.end) <= BESIDE for wall in walls)


def _opened(site: Site, line: Line, places: Sequence[Plan]) -> float:
    """Share of a line's stations that lie where a wall is dug out to its footing anyway."""
    walls = [wall for wall in site.walls if wall.name in line.walls and wall.wall.open_and_coat]
    near = [at for at in places if any(_off_segment(at, wall.start, wall.end) <= BESIDE for wall in walls)]
    return len(near) / len(places)


def _steps(site: Site, line: Line, distances: Sequence[float], places: Sequence[Plan]) -> tuple[float, ...]:
    """Distances at which the footing beside a drain steps down, so that the drain may change its grade there."""
    walls = [wall for wall in site.walls if wall.name in line.walls]
    if not walls:
        return ()
    bottoms = [min((_off_segment(at, w.start, w.end), w.footing_bottom) for w in walls)[1] for at in places]
    return tuple(
        distances[index] for index in range(1, len(places) - 1) if abs(bottoms[index + 1] - bottoms[index]) >= STEP
    )


def gravity_line(site: Site, network: Network, line: Line, flow: float) -> GravityLine:
    """What the grading needs to know of a line."""
    criteria = site.job.criteria
    distances, places, grounds = stations_of(site, line)
    point = next((point for point in site.job.works.discharge if point.name == line.lower), None)
    outlet = None if point is None else outlet_level(site, network, point)
    bare = point is not None and point.kind in OPEN_ENDS
    drain = line.duty == "footing drain"
    covered = _covered(distances, grounds, bare, outlet, criteria)
    bared = covered.index(False) if False in covered else 0
    flat_end = [distances[bared - 1]] if bared > 1 else []
    width = criteria.trench_width if line.stone_width is None else line.stone_width
    around = surroundings(site, line.route, width)
    paved = around.paved
    fill = min(max(criteria.maximum_fill, 0.05), 1.0)
    shelf = shelf_of(site.job.pipes, site.job.units)
    every = shelf.gravity(perforated=drain, driven=any(paved))
    pipes = offered(every, flow, fill, criteria.minimum_grade) if line.pipe is None else (line.pipe,)
    stone = line.pipe.perforated and not line.pipe.envelope if line.pipe is not None else drain
    kind = network.spots[line.upper].kind
    return GravityLine(
        name=line.name,
        upper=line.upper,
        lower=line.lower,
        distances=distances,
        grounds=grounds,
        covered=covered,
        flow=flow,
        pipes=pipes,
        minimum_grade=criteria.minimum_grade,
        least_grade=min(criteria.least_grade, criteria.minimum_grade),
        maximum_grade=criteria.maximum_grade,
        maximum_fill=fill,
        cover=max(criteria.minimum_cover, criteria.traffic_cover if any(paved) else 0.0),
        covers=tuple(max(criteria.minimum_cover, criteria.traffic_cover if bears else 0.0) for bears in paved),
        width=width,
        bed=STONE_UNDER if stone else 0.0,
        invert_upper=line.invert_upper,
        invert_lower=line.invert_lower,
        grade=line.grade,
        ceiling=drain_ceiling(site) if drain else None,
        bottoms=around.bottoms,
        deep=tuple(drain and _beside(site, line, at) for at in places),
        breaks=tuple(sorted({*(_steps(site, line, distances, places) if drain else ()), *flat_end})),
        opened=_opened(site, line, places),
        outlet=outlet,
        to_basin=network.spots[line.lower].kind == "basin",
        soil=soil_of(site),
        care=around.care,
        hand=around.hand,
        stone_over=(STONE_OVER if line.stone_over is None else line.stone_over) if stone else 0.0,
        obstacles=around.obstacles,
        entry=entrance_coefficient(kind) + (0.0 if kind == "junction" else 1.0),
    )


def _covered(
    distances: Sequence[float], grounds: Sequence[float], bare: bool, outlet: float | None, criteria: Criteria
) -> tuple[bool, ...]:
    """Stations at which cover is asked for: all, but for the end of a pipe that comes out of the ground.

    There it is left out for ``OPEN_END_LENGTH``, and as far up as even the flattest pipe from the outlet lies bare. The
    grade may change where that stretch begins, so that the pipe keeps its cover above it.
    """
    found = [True] * len(distances)
    if bare and outlet is not None:
        for index in reversed(range(len(distances))):
            up = distances[-1] - distances[index]
            flattest = grounds[index] - outlet - up * criteria.minimum_grade - PIPE_HEIGHT
            if up >= OPEN_END_LONGEST or (up >= OPEN_END_LENGTH and flattest >= criteria.minimum_cover):
                break
            found[index] = False
    return tuple(found)


def outlet_level(site: Site, network: Network, point: Discharge) -> float:
    """Invert of a discharge point [m]."""
    return resolve_level(site, point.invert, network.spots[point.name].at, f"works.discharge.{point.name}.invert")


def reach_of(line: Line, kind: NodeKind, graded: GradedLine, flow: float) -> Reach:
    """What the water surface needs to know of a graded line."""
    return Reach(
        name=line.name,
        upper=line.upper,
        lower=line.lower,
        upper_kind=kind,
        pipe=graded.pipe,
        knots=graded.knots,
        inverts=graded.inverts,
        flow=flow,
        distances=tuple(distance for distance, _ in stations_along(line.route)),
    )


def _stations(
    distances: Sequence[float],
    places: Sequence[Plan],
    grounds: Sequence[float],
    inverts: Sequence[float],
    waters: Sequence[float],
    pipe: Pipe,
    under: float,
) -> tuple[Station, ...]:
    sleeve = max(pipe.envelope - pipe.outside, 0.0) / 2.0
    return tuple(
        Station(
            distance=distance,
            at=at,
            ground=ground,
            invert=invert,
            cover=ground - (invert + pipe.inside + pipe.wall + sleeve),
            cut=max(ground - (invert - pipe.wall - sleeve - under), 0.0),
            water=water,
        )
        for distance, at, ground, invert, water in zip(distances, places, grounds, inverts, waters, strict=True)
    )


def above_ground(run: SizedRun, units: Units) -> str | None:
    """A note on the part of a run that lies above the ground, where there is no trench."""
    bare = [station.distance for station in run.stations if station.cut <= 0.0]
    if not bare:
        return None
    first, last = (fine(distance, units) for distance in (bare[0], bare[-1]))
    place = f"from {first} to {last} from its upper end" if len(bare) > 1 else f"at {first} from its upper end"
    return f"{run.name}: lies above the ground {place}; no trench is counted there, its depth is given as nothing."


def stone_round(site: Site, line: Line, pipe: Pipe, middle: float) -> tuple[float, float, float]:
    """Width, thickness under and thickness over the crown of the stone; all zero where the pipe lies in soil [m]."""
    if not pipe.perforated or pipe.envelope > 0.0:
        return 0.0, 0.0, 0.0
    width = site.job.criteria.trench_width if line.stone_width is None else line.stone_width
    if line.stone_over is not None:
        return width, STONE_UNDER, line.stone_over
    over = STONE_OVER
    tops = [wall.footing_top for wall in site.walls if wall.name in line.walls]
    if tops:
        over = max(over, max(tops) + STONE_OVER - (middle + pipe.inside + pipe.wall))
    return width, STONE_UNDER, over


def gravity_run(site: Site, line: Line, reach: Reach, flows: Causes, water: WaterLine) -> SizedRun:
    """A gravity line as a sized run, its formulas recorded under its name."""
    pipe, flattest = reach.pipe, reach.flattest  # the flattest stretch has the least capacity
    distances, places, grounds = stations_of(site, line)
    inverts = [reach.invert(distance) for distance in distances]
    with place(f"runs.{line.name}", "design flow"):
        capacity = float(full_flow(pipe.inside, max(flattest, 0.0), pipe.manning))
        depth = design_depth(reach.flow, pipe, flattest)
        speed = 0.0
        if reach.flow > 0.0:
            full = depth >= pipe.inside
            speed = float(
                pipe_velocity(reach.flow, pipe.inside) if full else velocity_at_depth(reach.flow, depth, pipe.inside)
            )
    width, under, over = stone_round(site, line, pipe, (reach.invert_upper + reach.invert_lower) / 2.0)
    chosen = line.grade is not None or (line.invert_upper is not None and line.invert_lower is not None)
    return SizedRun(
        name=line.name,
        duty=line.duty,
        upper=line.upper,
        lower=line.lower,
        pipe=pipe,
        pipe_chosen_by="design" if line.pipe is None else "job",
        grade_chosen_by="job" if chosen else "design",
        route=line.route,
        length=line.length,
        invert_upper=reach.invert_upper,
        invert_lower=reach.invert_lower,
        grade=reach.grade,
        pressure=False,
        flows=dict(flows),
        flow=reach.flow,
        capacity=capacity,
        depth=depth,
        velocity=speed,
        surcharged=water.surcharged,
        stations=_stations(distances, places, grounds, inverts, water.levels, pipe, under),
        stone_width=width,
        stone_under=under,
        stone_over=over,
        fabric=line.fabric and pipe.perforated,
        walls=line.walls,
        stone_water=() if water.stone is None else water.stone.levels,
        stone_flow=0.0 if water.stone is None else water.stone.carried,
        stone_head=0.0 if water.stone is None else water.stone.hole_head,
        jumps=water.jumps,
        full_length=water.full_length,
        tail=water.tail,
    )


def pressure_run(
    site: Site, line: Line, pressed: PressureLine, flows: Causes, operating_head: float, off: float, velocity: float
) -> SizedRun:
    """The discharge line as a run; its water levels are the grade line while the pump runs."""
    pipe = pressed.pipe
    distances, places, grounds = stations_of(site, line)
    length = distances[-1]
    end = pressed.highest
    start = max(operating_head + off, end)
    waters = [start + (end - start) * distance / length for distance in distances]
    chosen = line.invert_upper is not None and line.invert_lower is not None
    return SizedRun(
        name=line.name,
        duty=line.duty,
        upper=line.upper,
        lower=line.lower,
        pipe=pipe,
        pipe_chosen_by="design" if line.pipe is None else "job",
        grade_chosen_by="job" if chosen else "design",
        route=line.route,
        length=line.length,
        invert_upper=pressed.inverts[0],
        invert_lower=pressed.inverts[-1],
        grade=(pressed.inverts[0] - pressed.inverts[-1]) / length,
        pressure=True,
        flows=dict(flows),
        flow=sum(flows.values()),
        capacity=0.0,
        depth=pipe.inside,
        velocity=velocity,
        surcharged=False,
        stations=_stations(distances, places, grounds, pressed.inverts, waters, pipe, 0.0),
        stone_width=0.0,
        stone_under=0.0,
        stone_over=0.0,
        fabric=False,
        walls=(),
        bends=pressed.bends,
    )


__all__ = [
    "OPEN_ENDS", "above_ground", "gravity_line", "gravity_run", "lowest_trench", "outlet_level", "pressure_run",
    "reach_of", "stations_of", "stone_round",
]  # fmt: skip
