"""Digging against buried lines, in three dimensions; and the lines that nobody asked about."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from drainwright.build.bodies import Body, body_crossings, hole_body
from drainwright.build.earth import Series
from drainwright.build.gaps import line_top, met_between, side_gap, vertical_gap
from drainwright.build.model import Crossing
from drainwright.build.trench import Cut
from drainwright.errors import require
from drainwright.field.model import Site, SiteUtility
from drainwright.job.model import Job
from drainwright.job.site import UtilityKind
from drainwright.worksheet import Card, catalogued, place, quiet

if TYPE_CHECKING:
    from shapely import LineString, Point
    from shapely.geometry.base import BaseGeometry

Span = tuple[float, float]  # from and to, along a dig [m]

SAME = 0.01  # places closer than this along a run are one crossing [m]
FLAT = math.radians(5.0)  # a line that meets a dig at less than this runs alongside it, for all digging
SET_OUT = 0.00635  # to which levels are set out, 1/4 in: common practice, no source [m]
STEP = 0.05  # between places of a line inside a dig at which its gap is looked for [m]
LEAST = 0.3  # shorter stretches alongside, next to a crossing, are part of it [m]


@catalogued(
    Card(
        title="Length dug by hand over a crossing line",
        symbol="L_hand",
        expression="(2 * zone + diameter + width * cos(angle)) / sin(angle)",
        units={"zone": "m", "diameter": "m", "angle": "rad", "width": "m", "result": "m"},
        source="one_call",
        trial={"angle": (0.2, 1.57)},
    )
)
def hand_dig_length(zone: float, diameter: float, angle: float, width: float) -> float:
    """Length of trench of which any part of the width lies in the tolerance zone of a line that crosses it.

    Parameters
    ----------
    zone : float
        Tolerance zone, from the outside of the line, each side. [m]
    diameter : float
        Of the line. [m]
    angle : float
        Between trench and line, above zero and no more than a right angle. [rad]
    width : float
        Of the trench: one edge of it enters a slanting zone before the other does. [m]

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
    >>> round(hand_dig_length(0.6096, 0.6096, 1.5707963267948966, 0.6096) / 0.0254)
    72
    """
    require("zero or more", np.greater_equal, zone=zone, diameter=diameter, width=width, cosine=float(np.cos(angle)))
    require("above zero", np.greater, angle=angle, sine=float(np.sin(angle)))
    return float((2 * zone + diameter + width * np.cos(angle)) / np.sin(angle))


def crossings(digs: Sequence[Cut], site: Site, bodies: Sequence[Body] = ()) -> tuple[Crossing, ...]:
    """Every run, opened wall, basin hole and body against every buried line.

    Parameters
    ----------
    digs : Sequence of Cut
        From ``trench.cuts``.
    site : Site
        The site.
    bodies : Sequence of Body
        Inlets, from ``bodies.inlet_bodies``.

    Returns
    -------
    tuple of Crossing
        Crossings, and lines that run alongside within the tolerance zone of the dig: a shared stretch is one, with
        its own length. For a wall the dig's own bottom stands in place of a pipe, and a line that a drain in the
        same dig already meets is not repeated.
    """
    found: list[Crossing] = []
    zone = site.job.rules.tolerance_zone.value
    for cut in sorted(digs, key=lambda item: item.kind == "wall"):
        for utility in site.utilities:
            if cut.kind in ("basin", "soakaway"):
                found += body_crossings((hole_body(cut),), utility, zone)
            elif cut.kind == "inlet":
                continue  # its body is among the bodies
            elif cut.kind == "run":
                found += _against(cut, utility, zone)
            else:
                met = _met_by_drain(cut, utility, digs, found)
                if not any(item.crossing for item in met):
                    found += [item for item in _against(cut, utility, zone) if item.crossing or not met]
    for utility in site.utilities:
        found += body_crossings(bodies, utility, zone)
    return tuple(found)


def hand_dug(met: Iterable[Crossing]) -> float:
    """Length dug by hand over all meetings: what two of them share along one dig counts once.

    Parameters
    ----------
    met : iterable of Crossing
        Of one line or of several.

    Returns
    -------
    float
        Never more than the length of the digs. [m]
    """
    apart: list[float] = []
    spans: dict[str, list[Span]] = {}
    for item in met:
        if item.stretch is None:
            apart.append(item.hand_dig)
        else:
            spans.setdefault(item.run, []).append(item.stretch)
    return math.fsum(apart) + math.fsum(last - first for along in spans.values() for first, last in _united(along))


def _united(spans: Sequence[Span]) -> list[Span]:
    """Stretches of one dig, those that touch made one."""
    united: list[Span] = []
    for first, last in sorted(spans):
        if united and first <= united[-1][1]:
            united[-1] = (united[-1][0], max(united[-1][1], last))
        else:
            united.append((first, last))
    return united


def _met_by_drain(
    cut: Cut, utility: SiteUtility, digs: Sequence[Cut], found: Sequence[Crossing]
) -> tuple[Crossing, ...]:
    drains = {dig.name for dig in digs if cut.name in dig.beside}
    return tuple(item for item in found if item.utility == utility.utility.name and item.run in drains)


def _against(cut: Cut, utility: SiteUtility, zone: float) -> list[Crossing]:
    from shapely import LineString

    line = LineString(utility.route)
    radius = utility.utility.diameter / 2
    axis = cut.axis
    far = axis.distance(line) > zone + radius + cut.width / 2
    if far and (cut.kind == "run" or cut.area.disjoint(line)):
        return []
    meets = _points(axis.intersection(line)) if cut.kind == "run" else _across(cut, line)
    stations: list[float] = []
    for station in sorted(axis.project(point) for point in meets):
        if (not stations or station - stations[-1] > SAME) and _angle(axis, line, station) > FLAT:
            stations.append(station)
    near = _spans(axis, axis.intersection(line.buffer(zone + radius + cut.width / 2, quad_segs=32)))
    by_hand = _spans(axis, axis.intersection(line.buffer(zone + radius, quad_segs=32)))
    across = _reach(cut, line.buffer(zone + radius, quad_segs=32)) if stations else []
    result, told = [], []
    for station in stations:
        with place(_where(cut), f"against {utility.utility.name}"):
            half = hand_dig_length(zone, 2 * radius, _angle(axis, line, station), cut.width) / 2
        inside = [span for span in across if span[0] - SAME <= station <= span[1] + SAME]
        first, last = inside[0] if inside else (0.0, axis.length)
        span = (max(first, station - half, 0.0), min(last, station + half, axis.length))
        told.append(span)
        result.append(_crossing(cut, utility, line, station, span, crossing=True))
    for piece in near:
        if any(piece[0] - SAME <= station <= piece[1] + SAME for station in stations):
            rest = [part for span in by_hand if _within(span, piece) for part in _without(span, told)]
        else:
            rest = [piece] if piece[1] - piece[0] >= SAME else []
        for first, last in rest:
            samples = np.linspace(first, last, 50)
            distances = [line.distance(axis.interpolate(sample)) for sample in samples]
            station = float(samples[int(np.argmin(distances))])
            result.append(_crossing(cut, utility, line, station, (first, last), crossing=False))
    return result


def _across(cut: Cut, line: LineString) -> list[Point]:
    """Where a line enters or passes an opened wall's trench: once for each stretch of it inside."""
    from shapely import LineString, get_parts

    pieces = [part for part in get_parts(line.intersection(cut.area)) if isinstance(part, LineString)]
    return [piece.interpolate(0.5, normalized=True) for piece in pieces if piece.length > 0]


def _within(span: Span, piece: Span) -> bool:
    return piece[0] - SAME <= span[0] and span[1] <= piece[1] + SAME


def _without(span: Span, told: Sequence[Span]) -> list[Span]:
    """What crossings leave of a stretch inside the zone: the line goes on alongside there."""
    left = [span]
    for first, last in told:
        left = [
            part
            for begin, end in left
            for part in ((begin, min(end, first)), (max(begin, last), end))
            if part[1] - part[0] > LEAST
        ]
    return left


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
    cut: Cut, utility: SiteUtility, line: LineString, station: float, stretch: Span, *, crossing: bool
) -> Crossing:
    at = cut.axis.interpolate(station)
    top = line_top(utility, line, at)
    crown, bottom = _outsides(cut, station)
    inside = _inside(cut, line, at) if crossing else None
    clearance, least, most = _gaps(cut, utility, line, at, over=crossing)
    if inside is not None:
        count = max(2, int(np.ceil(inside.length / STEP)) + 1)
        places = (inside.interpolate(part, normalized=True) for part in np.linspace(0.0, 1.0, count))
        found = [_gaps(cut, utility, line, spot, over=True, own=True) for spot in places]
        least = min(least, min(item[1] for item in found)) if clearance is None else least
        near = min(((gap, low, high) for gap, low, high in found if gap is not None), default=None)
        if clearance is not None and near is not None and near[0] < clearance - SET_OUT:
            clearance, least, most = near[0], min(least, near[1]), near[2]
    return Crossing(
        run=cut.name,
        utility=utility.utility.name,
        kind=utility.utility.kind,
        crossing=crossing,
        station=float(station),
        at=(float(at.x), float(at.y)),
        utility_top=None if utility.utility.depth is None else top,
        pipe_crown=crown,
        pipe_invert=bottom,
        bottom=float(np.interp(station, cut.distances, cut.bottom)),
        clearance=clearance,
        clearance_least=least,
        clearance_most=most,
        hand_dig=float(stretch[1] - stretch[0]),
        shutoff=utility.utility.shutoff,
        basis=utility.utility.depth_basis,
        stretch=(float(stretch[0]), float(stretch[1])),
        bared=0.0 if inside is None else float(inside.length),
    )


def _inside(cut: Cut, line: LineString, at: Point) -> LineString | None:
    """The piece of a crossing line inside the dig, in plan, that passes nearest to a place."""
    from shapely import LineString, get_parts

    pieces = [part for part in get_parts(line.intersection(cut.area)) if isinstance(part, LineString)]
    return min((piece for piece in pieces if piece.length > 0), key=lambda piece: piece.distance(at), default=None)


def _gaps(
    cut: Cut, utility: SiteUtility, line: LineString, at: Point, *, over: bool, own: bool = False
) -> tuple[float | None, float, float]:
    """Gap between the outsides at a place of the dig's axis or, ``own``, of the line; the least and the most of it.

    There is no gap to a line whose depth nobody knows, only the least and the most. Where the line lies ``over`` a
    wall's dig it is inside, and only the height counts.
    """
    station = cut.axis.project(at)
    diameter, top, (crown, bottom) = utility.utility.diameter, line_top(utility, line, at), _outsides(cut, station)
    least, most = met_between(utility, top, crown, bottom)
    clearance = None
    if utility.utility.depth is not None:
        with quiet() if own else place(_where(cut), f"against {utility.utility.name}"):
            clearance = vertical_gap(top, diameter, crown, bottom)
    if not over or (own and cut.run is not None):
        away = float(cut.axis.distance(at) if own else line.distance(at))
        beside = away - diameter / 2 - _half_width(cut)
        clearance = None if clearance is None else side_gap(clearance, beside)
        least, most = side_gap(least, beside), side_gap(most, beside)
    return clearance, least, most


def _reach(cut: Cut, zone: BaseGeometry) -> list[Span]:
    """Stretches of a dig of which any part of the width lies in a zone, by distances along its axis."""
    from shapely import Point, Polygon, get_parts

    pieces = [part for part in get_parts(cut.area.intersection(zone)) if isinstance(part, Polygon) and part.area > 0]
    reach = [[cut.axis.project(Point(at)) for at in piece.exterior.coords] for piece in pieces]
    return _united([(min(places), max(places)) for places in reach])


def _where(cut: Cut) -> str:
    return f"runs.{cut.name}" if cut.run else f"walls.{cut.name}"


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


def _points(shape: BaseGeometry) -> list[Point]:
    """Where two lines cross; a stretch that they share is no crossing."""
    from shapely import Point, get_parts

    return [part for part in get_parts(shape) if isinstance(part, Point)]


def _spans(axis: LineString, shape: BaseGeometry) -> list[Span]:
    """Pieces of an axis by their distances along it; pieces that touch are one."""
    from shapely import LineString, Point, get_parts

    pieces = [part for part in get_parts(shape) if isinstance(part, LineString) and part.length > 0]
    ends = [sorted(axis.project(Point(end)) for end in (piece.coords[0], piece.coords[-1])) for piece in pieces]
    return _united([(first, last) for first, last in ends])


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
    kept = {item.kind for item in job.property.protected}
    if "pool" in kept:
        usual.append("pool")
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


__all__ = ["crossings", "hand_dig_length", "hand_dug", "unlocated", "vertical_gap"]
