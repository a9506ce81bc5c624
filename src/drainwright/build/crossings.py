"""Digging against buried lines, in three dimensions; and the lines that nobody asked about."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from drainwright.build.earth import Series
from drainwright.build.model import Crossing
from drainwright.build.trench import Cut
from drainwright.errors import require
from drainwright.field.model import Site, SiteUtility
from drainwright.job.model import Job
from drainwright.job.site import UtilityKind
from drainwright.worksheet import Card, catalogued, place

if TYPE_CHECKING:
    from shapely import LineString, Point
    from shapely.geometry.base import BaseGeometry

SAME = 0.01  # places closer than this along a run are one crossing [m]


@catalogued(
    Card(
        title="Length dug by hand over a crossing line",
        symbol="L_hand",
        expression="2 * (zone + diameter / 2) / sin(angle)",
        units={"zone": "m", "diameter": "m", "angle": "rad", "result": "m"},
        source="one_call",
        trial={"angle": (0.2, 1.57)},
    )
)
def hand_dig_length(zone: float, diameter: float, angle: float) -> float:
    """Length of trench within the tolerance zone of a line that crosses it.

    Parameters
    ----------
    zone : float
        Tolerance zone, from the outside of the line, each side. [m]
    diameter : float
        Of the line. [m]
    angle : float
        Between trench and line, above zero. [rad]

    Returns
    -------
    float
        Length along the trench, where both lines go on straight. [m]

    Raises
    ------
    InputError
        If a value is not finite or out of range.

    Examples
    --------
    >>> round(hand_dig_length(0.6096, 0.6096, 1.5707963267948966) / 0.0254)
    72
    """
    require("zero or more", np.greater_equal, zone=zone, diameter=diameter)
    require("above zero", np.greater, angle=angle, sine=float(np.sin(angle)))
    return float(2 * (zone + diameter / 2) / np.sin(angle))


@catalogued(
    Card(
        title="Vertical gap between a line and a pipe, outside to outside",
        symbol="gap",
        expression="max(line_top - diameter - pipe_crown, pipe_bottom - line_top)",
        units={"line_top": "m", "diameter": "m", "pipe_crown": "m", "pipe_bottom": "m", "result": "m"},
        source="geometry",
    )
)
def vertical_gap(line_top: float, diameter: float, pipe_crown: float, pipe_bottom: float) -> float:
    """Gap between a line and a pipe, whichever is above; negative where they meet.

    Parameters
    ----------
    line_top : float
        Level of the buried line's top. [m]
    diameter : float
        Of the buried line. [m]
    pipe_crown, pipe_bottom : float
        Levels of the pipe's outside. [m]

    Returns
    -------
    float
        Clear height between them. [m]
    """
    return max(line_top - diameter - pipe_crown, pipe_bottom - line_top)


def crossings(digs: Sequence[Cut], site: Site) -> tuple[Crossing, ...]:
    """Every run, opened wall and basin hole against every buried line.

    Parameters
    ----------
    digs : Sequence of Cut
        From ``trench.cuts``.
    site : Site
        The site.

    Returns
    -------
    tuple of Crossing
        Crossings, and lines that run alongside within the tolerance zone of the dig. For a wall the dig's own
        bottom stands in place of a pipe, and a line that a drain in the same dig already meets is not repeated.
    """
    found: list[Crossing] = []
    for cut in sorted(digs, key=lambda item: item.kind == "wall"):
        for utility in site.utilities:
            if cut.kind == "wall" and _met_by_drain(cut, utility, digs, found):
                continue
            found += _against(cut, utility, site)
    return tuple(found)


def _met_by_drain(cut: Cut, utility: SiteUtility, digs: Sequence[Cut], found: Sequence[Crossing]) -> bool:
    drains = {dig.name for dig in digs if cut.name in dig.beside}
    return any(item.utility == utility.utility.name and item.run in drains and item.crossing for item in found)


def _against(cut: Cut, utility: SiteUtility, site: Site) -> list[Crossing]:
    from shapely import LineString, Point

    line = LineString(utility.route)
    radius = utility.utility.diameter / 2
    zone = site.job.rules.tolerance_zone.value
    if cut.kind == "basin":
        return _basin_against(cut, utility, line, zone + radius)
    axis = cut.axis
    meets = [Point(item) for item in _points(axis.intersection(line) if cut.kind == "run" else _across(cut, line))]
    stations: list[float] = []
    for station in sorted(axis.project(point) for point in meets):
        if not stations or station - stations[-1] > SAME:
            stations.append(station)
    result = []
    near = _pieces(axis.intersection(line.buffer(zone + radius + cut.width / 2, quad_segs=32)))
    by_hand = _pieces(axis.intersection(line.buffer(zone + radius, quad_segs=32)))
    for station in stations:
        with place(_where(cut), f"against {utility.utility.name}"):
            length = _hand_dig(axis, line, station, zone, 2 * radius, by_hand)
        result.append(_crossing(cut, utility, line, station, length, crossing=True))
    for piece in near:
        first, last = sorted(axis.project(Point(end)) for end in (piece.coords[0], piece.coords[-1]))
        if any(first - SAME <= station <= last + SAME for station in stations) or last - first < SAME:
            continue
        samples = np.linspace(first, last, 50)
        distances = [line.distance(axis.interpolate(sample)) for sample in samples]
        station = float(samples[int(np.argmin(distances))])
        result.append(_crossing(cut, utility, line, station, last - first, crossing=False))
    return result


def _across(cut: Cut, line: LineString) -> BaseGeometry:
    """Where a line enters or passes an opened wall's trench: once for each stretch of it inside."""
    from shapely import MultiPoint

    return MultiPoint([piece.interpolate(0.5, normalized=True) for piece in _pieces(line.intersection(cut.area))])


def _hand_dig(
    axis: LineString, line: LineString, station: float, zone: float, diameter: float, by_hand: Sequence[LineString]
) -> float:
    """By the crossing angle, but no more than lies within the zone where either line ends or bends."""
    from shapely import Point

    angle = _angle(axis, line, station)
    straight = hand_dig_length(zone, diameter, angle) if angle > 1e-3 else float("inf")
    at = axis.interpolate(station)
    inside = [piece.length for piece in by_hand if piece.distance(Point(at)) < SAME]
    return min([straight, *inside]) if inside else straight


def _angle(axis: LineString, line: LineString, station: float) -> float:
    at = axis.interpolate(station)
    first, second = _direction(axis, station), _direction(line, line.project(at))
    return float(np.arcsin(np.clip(abs(first[0] * second[1] - first[1] * second[0]), 0.0, 1.0)))


def _direction(line: LineString, distance: float) -> Series:
    step = min(1e-3, line.length / 4)
    here = min(max(distance, step), line.length - step)
    ends = [np.array(line.interpolate(here + shift).coords[0]) for shift in (-step, step)]
    vector = ends[1] - ends[0]
    return np.asarray(vector / np.hypot(*vector), dtype=float)


def _crossing(
    cut: Cut, utility: SiteUtility, line: LineString, station: float, hand_dig: float, *, crossing: bool
) -> Crossing:
    at = cut.axis.interpolate(station)
    top = _top(utility, line, at)
    crown, bottom = _outsides(cut, station)
    diameter = utility.utility.diameter
    with place(_where(cut), f"against {utility.utility.name}"):
        clearance = vertical_gap(top, diameter, crown, bottom)
    if not crossing:
        clearance = _side_gap(clearance, float(line.distance(at)) - diameter / 2 - _half_width(cut))
    return Crossing(
        run=cut.name,
        utility=utility.utility.name,
        kind=utility.utility.kind,
        crossing=crossing,
        station=float(station),
        at=(float(at.x), float(at.y)),
        utility_top=top,
        pipe_crown=crown,
        pipe_invert=bottom,
        clearance=clearance,
        hand_dig=float(hand_dig),
        shutoff=utility.utility.shutoff,
        basis=utility.utility.depth.basis,
    )


def _where(cut: Cut) -> str:
    return f"runs.{cut.name}" if cut.run else f"walls.{cut.name}"


def _side_gap(vertical: float, sideways: float) -> float:
    """Gap in section between two lines side by side; negative only where they meet both ways."""
    if vertical <= 0 and sideways <= 0:
        return max(vertical, sideways)
    return float(np.hypot(max(vertical, 0.0), max(sideways, 0.0)))


def _half_width(cut: Cut) -> float:
    if cut.run is None:
        return cut.width / 2
    return max(cut.run.pipe.outside, cut.run.pipe.envelope) / 2


def _outsides(cut: Cut, station: float) -> tuple[float, float]:
    """Levels of the pipe's outside; of the dig's bottom where there is no pipe."""
    if cut.run is None:
        low = float(np.interp(station, cut.distances, cut.bottom))
        return low, low
    pipe = cut.run.pipe
    stations = cut.run.stations
    invert = float(np.interp(station, [item.distance for item in stations], [item.invert for item in stations]))
    centre = invert + pipe.inside / 2
    half = max(pipe.outside, pipe.envelope) / 2
    return centre + half, centre - half


def _basin_against(cut: Cut, utility: SiteUtility, line: LineString, reach: float) -> list[Crossing]:
    """A basin's hole: met where the line passes through it, alongside where the zone reaches it."""
    from shapely import Point

    centre = Point(cut.points.mean(axis=0))
    sideways = line.distance(centre) - cut.width / 2 - utility.utility.diameter / 2
    if line.distance(centre) > cut.width / 2 + reach:
        return []
    top = _top(utility, line, centre)
    crown, bottom = float(cut.ground[0]), float(cut.bottom[0])
    through = sideways < 0
    with place(f"basin.{cut.name}", f"against {utility.utility.name}"):
        gap = vertical_gap(top, utility.utility.diameter, crown, bottom)
    zone_on_hole = cut.area.intersection(line.buffer(reach, quad_segs=32))
    chord = max(zone_on_hole.bounds[2] - zone_on_hole.bounds[0], zone_on_hole.bounds[3] - zone_on_hole.bounds[1])
    return [
        Crossing(
            run=cut.name,
            utility=utility.utility.name,
            kind=utility.utility.kind,
            crossing=through,
            station=0.0,
            at=(float(centre.x), float(centre.y)),
            utility_top=top,
            pipe_crown=crown,
            pipe_invert=bottom,
            clearance=gap if through else _side_gap(gap, sideways),
            hand_dig=float(chord),
            shutoff=utility.utility.shutoff,
            basis=utility.utility.depth.basis,
        )
    ]


def _top(utility: SiteUtility, line: LineString, at: Point) -> float:
    """Level of the line's top at the place of the line nearest to ``at`` [m]."""
    from shapely import Point

    along = [0.0]
    for first, second in zip(utility.route[:-1], utility.route[1:], strict=True):
        along.append(along[-1] + Point(first).distance(Point(second)))
    return float(np.interp(line.project(at), along, utility.top))


def _points(shape: BaseGeometry) -> Series:
    from shapely import get_coordinates

    return np.asarray(get_coordinates(shape), dtype=float)


def _pieces(shape: BaseGeometry) -> list[LineString]:
    from shapely import LineString, get_parts

    return [part for part in get_parts(shape) if isinstance(part, LineString) and part.length > 0]


def unlocated(job: Job) -> tuple[UtilityKind, ...]:
    """Lines that such a lot usually has, neither entered in the job nor ruled out.

    Common practice, no source: water, electric, gas, communication, a sewer or a septic system, and, where lawn
    or planting is kept, sprinkler lines with their wires and garden lighting. These last are private: no locate
    ticket marks them.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    tuple of UtilityKind
        To ask about before digging.
    """
    entered = {utility.kind for utility in job.utilities}
    known = entered | set(job.utilities_absent)
    usual: list[UtilityKind] = ["water", "electric", "gas", "communication"]
    missing: list[UtilityKind] = [kind for kind in usual if kind not in known]
    if not entered & {"sewer", "septic"}:
        waste: tuple[UtilityKind, UtilityKind] = ("sewer", "septic")
        missing += [kind for kind in waste if kind not in known][:1]
    if not job.yards or any(yard.surface in ("lawn", "planting") for yard in job.yards):
        garden: list[UtilityKind] = ["irrigation", "irrigation control", "low voltage lighting"]
        if "reclaimed" in entered:  # a reclaimed line is the irrigation's supply
            garden.remove("irrigation")
        missing += [kind for kind in garden if kind not in known]
    return tuple(missing)


__all__ = ["crossings", "hand_dig_length", "unlocated", "vertical_gap"]
