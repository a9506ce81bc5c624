"""What of the site bears on the grading: buried lines, roots, soil, grates, basins of a given height, paving."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

import numpy as np

from drainwright.field.model import Plan, Site, SiteUtility
from drainwright.field.places import resolve_level, resolve_place
from drainwright.job.site import Utility
from drainwright.job.works import Basin
from drainwright.system.grading.costs import CARE_ROOTS, CARE_ZONE
from drainwright.system.grading.model import Meeting, Obstacle
from drainwright.system.lift.choice import LEAST_BAND, ON_BELOW
from drainwright.system.lift.pumps import pump_of_job
from drainwright.system.lift.station import RIM_ABOVE
from drainwright.system.network import Network

if TYPE_CHECKING:
    from shapely import LineString
    from shapely.geometry.base import BaseGeometry

Span = tuple[float, float]

LEAST_GAP = 0.0254  # between a pipe and a buried line, by figures, before it counts as into each other [m]
HALF_PIPE = 0.0571  # half the outside of a 4 in pipe, for lines that run beside each other [m]
FLAT = math.sin(math.radians(5.0))  # lines that meet at less run beside each other
SET_OUT = 0.00635  # to which levels are set out, 1/4 in; common practice, no source [m]
SHORT = 0.3  # what a crossing leaves of a stretch beside it, shorter than this, is part of it [m]
SHALLOWEST = 0.0762  # water that a pump leaves in a basin at least, where none is chosen yet, 3 in [m]
ROOTS = {"none": 1.0, "few": 1.1, "many": 1.4, "heavy": 1.8}  # digging times as slow; common practice, no source [-]
LOOSE = ("sand", "loamy sand")
CLAY = ("clay loam", "silty clay loam", "sandy clay", "silty clay", "clay")
DRIVEN = ("asphalt", "concrete", "gravel", "paving", "pervious paving")  # surfaces taken to bear cars


def soil_of(site: Site) -> Literal["loose", "firm", "clay"]:
    """How the soil digs, by its texture."""
    texture = site.job.ground.texture.value
    return "loose" if texture in LOOSE else "clay" if texture in CLAY else "firm"


def _spans(axis: LineString, shape: BaseGeometry) -> list[Span]:
    """Pieces of an axis by their distances along it."""
    from shapely import LineString, Point, get_parts

    pieces = [part for part in get_parts(shape) if isinstance(part, LineString) and part.length > 0.0]
    ends = [sorted(axis.project(Point(end)) for end in (piece.coords[0], piece.coords[-1])) for piece in pieces]
    return [(first, last) for first, last in ends]


def _top(utility: SiteUtility, line: LineString, axis: LineString, distance: float) -> float:
    """Level of a buried line's top at its place nearest to one of the axis [m]."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(np.array(utility.route), axis=0).T))])
    return float(np.interp(line.project(axis.interpolate(distance)), along, utility.top))


def _crossings(axis: LineString, line: LineString) -> list[float]:
    """Distances along the axis at which the two cross, not merely touch at a flat angle."""
    from shapely import Point, get_parts

    found: list[float] = []
    for part in get_parts(axis.intersection(line)):
        if isinstance(part, Point):
            here = axis.project(part)
            a, b = (_direction(item, item.project(part)) for item in (axis, line))
            if abs(a[0] * b[1] - a[1] * b[0]) > FLAT and all(abs(here - other) > 0.01 for other in found):
                found.append(here)
    return sorted(found)


def _over(utility: SiteUtility, line: LineString, axis: LineString, here: float) -> tuple[tuple[float, float], ...]:
    """Where a crossing line lies over or under the pipe, with its top: at the crossing, and where a slant lasts.

    The ends of the stretch count where the line has come up or down there by more than levels can be set out.
    """
    a, b = (_direction(item, item.project(axis.interpolate(here))) for item in (axis, line))
    half = (HALF_PIPE + utility.utility.diameter / 2.0) / max(abs(float(a[0] * b[1] - a[1] * b[0])), FLAT)
    top = _top(utility, line, axis, here)
    ends = [(at, _top(utility, line, axis, at)) for at in (max(here - half, 0.0), min(here + half, axis.length))]
    return tuple(sorted([(here, top), *((at, level) for at, level in ends if abs(level - top) > SET_OUT)]))


def _direction(line: LineString, distance: float) -> np.ndarray:
    step = min(1e-3, line.length / 4.0)
    here = min(max(distance, step), line.length - step)
    ends = [np.array(line.interpolate(here + shift).coords[0]) for shift in (-step, step)]
    return np.asarray((ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0])))


def obstacles(site: Site, route: Sequence[Plan]) -> tuple[Obstacle, ...]:
    """Buried lines that a route crosses or runs beside, with the gaps asked for.

    A gap must not be less than ``LEAST_GAP``. It has its price where it is less than the uncertain depth of a line
    as it is known, and a small one where it is less than ``utility_clearance``, or than the separation between
    water lines and drains at a crossing: as the check of the digging (DIG-01) judges them. Where a line runs beside
    the pipe the distance in plan counts with the height between them. The gap to a dangerous line is held, with
    ``LEAST_GAP`` more than its uncertain depth, also where it goes on beside the pipe after a crossing.
    """
    from shapely import LineString

    axis = LineString(route)
    criteria, apart = site.job.criteria, site.job.rules.water_sewer_separation.value
    found: list[Obstacle] = []
    for utility in site.utilities:
        record = utility.utility
        if record.depth is None:
            continue  # it may lie anywhere: no grade keeps clear of it, and DIG-01 says so
        line = LineString(utility.route)
        radius = record.diameter / 2.0
        doubt = record.doubt
        crossing = _crossings(axis, line)
        for number, here in enumerate(crossing):
            wanted = max(criteria.utility_clearance, apart if record.kind == "water" else 0.0)
            found.append(
                Obstacle(
                    name=record.name if number == 0 else f"{record.name} ({number + 1})",
                    diameter=record.diameter,
                    places=_over(utility, line, axis, here),
                    least=LEAST_GAP,
                    known=doubt + LEAST_GAP if record.dangerous else doubt,
                    wanted=wanted,
                    held=record.dangerous,
                )
            )
        wanted = max(criteria.utility_clearance, doubt)
        near = axis.intersection(line.buffer(wanted + radius + HALF_PIPE))
        for first, last in _beside(axis, line, _spans(axis, near), crossing, wanted + radius + HALF_PIPE, record):
            samples = np.linspace(first, last, 9)
            gaps = [line.distance(axis.interpolate(sample)) for sample in samples]
            aside = max(min(gaps) - radius - HALF_PIPE, 0.0)
            ends = range(9) if record.dangerous else (0, int(np.argmin(gaps)), 8)
            places = sorted({float(samples[i]) for i in ends})
            found.append(
                Obstacle(
                    name=f"{record.name} beside it",
                    diameter=record.diameter,
                    places=tuple((here, _top(utility, line, axis, here)) for here in places),
                    least=_upright(LEAST_GAP, aside),
                    known=_upright(doubt + LEAST_GAP if record.dangerous else doubt, aside),
                    wanted=_upright(wanted, aside),
                    held=record.dangerous,
                )
            )
    return tuple(item for item in found if item.wanted > 0.0 or item.known > 0.0)


def _beside(
    axis: LineString, line: LineString, near: Sequence[Span], crossing: Sequence[float], room: float, record: Utility
) -> list[Span]:
    """Stretches near a line that are no part of a crossing; of a dangerous line also what a crossing leaves of them.

    A crossing takes the stretch that is nearer than the room, if both lines go on straight.
    """
    found = []
    for first, last in near:
        pieces = [(first, last)]
        for here in crossing:
            if not first - 0.01 <= here <= last + 0.01:
                continue
            a, b = (_direction(item, item.project(axis.interpolate(here))) for item in (axis, line))
            half = room / max(abs(float(a[0] * b[1] - a[1] * b[0])), FLAT) if record.dangerous else math.inf
            parts = [part for x, y in pieces for part in ((x, min(y, here - half)), (max(x, here + half), y))]
            pieces = [(x, y) for x, y in parts if y - x > SHORT]
        found += [(x, y) for x, y in pieces if y - x >= 0.01]
    return found


def _upright(gap: float, aside: float) -> float:
    """Height between two lines that lie apart in plan, for a gap in section [m]."""
    return math.sqrt(max(gap**2 - aside**2, 0.0))


def care_along(site: Site, route: Sequence[Plan], distances: Sequence[float]) -> tuple[tuple[float, ...], float]:
    """How many times as slow the digging is between stations, and the length dug by hand with care [m].

    Within the tolerance zone of a buried line, and within the root zone of a tree that stays, only hand tools dig.
    """
    from shapely import LineString, Point, unary_union

    axis = LineString(route)
    zone = site.job.rules.tolerance_zone.value
    lines = [LineString(item.route).buffer(zone + item.utility.diameter / 2.0) for item in site.utilities]
    trees = [Point(tree.at).buffer(tree.root_radius) for tree in site.trees if tree.tree.keep]
    by_zone = _spans(axis, axis.intersection(unary_union(lines))) if lines else []
    by_root = _spans(axis, axis.intersection(unary_union(trees))) if trees else []
    roots = ROOTS[site.job.ground.roots]
    care = []
    for start, end in itertools.pairwise(distances):
        length = max(end - start, 1e-9)
        more = [(CARE_ZONE - 1.0) * _shared(by_zone, start, end), (CARE_ROOTS - 1.0) * _shared(by_root, start, end)]
        care.append(roots * (1.0 + max(more) / length))
    hand = axis.intersection(unary_union([*lines, *trees])).length if lines or trees else 0.0
    return tuple(care), float(hand)


def _shared(spans: Sequence[Span], start: float, end: float) -> float:
    return sum(max(min(last, end) - max(first, start), 0.0) for first, last in spans)


def driven(site: Site, places: Sequence[Plan]) -> tuple[bool, ...]:
    """Which places lie under paving, which is taken to bear cars."""
    from shapely import Point, Polygon, unary_union

    yards = [
        Polygon([resolve_place(site, place, f"yards[{index}].outline") for place in yard.outline])
        for index, yard in enumerate(site.job.yards)
        if yard.outline and yard.surface in DRIVEN
    ]
    if not yards:
        return (False,) * len(places)
    paved = unary_union([yard.buffer(0.0) for yard in yards])
    return tuple(bool(paved.intersects(Point(at))) for at in places)


def meetings(site: Site, network: Network) -> tuple[Meeting, ...]:
    """What is asked at each place where lines meet."""
    criteria, works = site.job.criteria, site.job.works
    bodies = {inlet.name for inlet in works.inlets if inlet.kind != "cleanout"}
    given = {basin.name: basin for basin in (works.basin, *works.more_basins) if isinstance(basin, Basin)}
    found = []
    for spot in network.spots.values():
        if spot.kind in ("inlet", "junction"):
            found.append(
                Meeting(
                    name=spot.name,
                    body=spot.name in bodies,
                    drop=criteria.inlet_drop if spot.name in bodies else 0.0,
                    brim=spot.rim - criteria.grate_freeboard,
                    freeboard=criteria.grate_freeboard,
                )
            )
        elif spot.kind == "basin":
            basin, rim = given.get(spot.name), spot.ground + RIM_ABOVE
            if basin is not None and basin.rim is not None:
                rim = resolve_level(site, basin.rim, spot.at, "works.basin.rim")
            lowest = None if basin is None else _lowest_taken(basin, rim)
            found.append(Meeting(name=spot.name, basin=True, rim=rim, lowest=lowest))
    return tuple(found)


def _lowest_taken(basin: Basin, rim: float) -> float | None:
    """Lowest pipe that a basin of a given height takes: its floor, the water left, the least band, the room above."""
    if basin.depth is None:
        return None
    pump = None if basin.pump is None else pump_of_job(basin.pump)
    off = basin.off if basin.off is not None else SHALLOWEST if pump is None else pump.minimum_depth
    band = LEAST_BAND if pump is None or pump.float_band is None else pump.float_band
    on = basin.on if basin.on is not None else off + band
    return rim - basin.depth + on + ON_BELOW


__all__ = ["LEAST_GAP", "care_along", "driven", "meetings", "obstacles", "soil_of"]
