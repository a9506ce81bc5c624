"""The overflow of a soakaway: a line from the last place before it to the discharge point that the job names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from drainwright.field.model import Plan, Site
from drainwright.job.works import Discharge
from drainwright.quantities import write
from drainwright.system.flows import entries, gather
from drainwright.system.network import Line, Network, Spot, with_lines
from drainwright.system.outlets.soak_model import Ring
from drainwright.system.outlets.soakaways import planned_ground
from drainwright.system.propose import Yard, free_name
from drainwright.system.ways import MOST_VERTICES, route_length, tidy_route
from drainwright.system.yard.yard_map import Route, YardMap
from drainwright.water.model import Cause, Inflows
from drainwright.worksheet import quiet

if TYPE_CHECKING:
    from shapely import Polygon

SPARE = 0.01  # of a way round a soakaway, over what is asked [m]
AT_START = 0.1  # so near to where it starts a way meets the soakaway's own pipe, which leaves the same place [m]
SOAKING = ("dry well", "infiltration trench")


def soak_overflows(site: Site, inflows: Inflows, network: Network, yard: Yard) -> Network:
    """The network with the overflow lines that its soakaways name and the job does not give.

    Parameters
    ----------
    site : Site
        With the job's discharge points.
    inflows : Inflows
        What comes: it tells how large the soakaway becomes, round which the overflow must go.
    network : Network
        Complete but for these.
    yard : callable
        Makes the map of the yard.

    Returns
    -------
    Network
        No line may leave the soakaway itself: the overflow leaves the inlet, junction or downspout from which its line
        comes, and runs once water stands back there. Where a pump lifts the water none is laid; the notes say so.
    """
    points = {point.name: point for point in site.job.works.discharge}
    for point in points.values():
        soak = point.soak
        to = points.get(soak.overflow) if soak is not None and soak.overflow is not None else None
        coming = [line for line in network.lines if line.lower == point.name and line.duty != "overflow"]
        if point.kind in SOAKING and to is not None and to is not point and coming:
            network = _laid(site, inflows, network, yard, point, to, coming)
    return network


def _laid(
    site: Site, inflows: Inflows, network: Network, yard: Yard, soak: Discharge, to: Discharge, coming: Sequence[Line]
) -> Network:
    """The network with one soakaway's overflow, led round the soakaway's own ground."""
    if any(line.duty == "overflow" and line.lower == to.name for line in network.lines):
        return network  # the job's own
    pressed = {line.upper for line in network.lines if line.duty == "discharge line"}
    feet: list[Spot] = [network.spots[line.upper] for line in coming]
    free = [spot for spot in feet if spot.kind != "basin" and spot.name not in pressed]
    if not free:
        said = (
            f"{soak.name}: its water is pumped to it, so no overflow to {to.name} is laid: nothing runs back that way."
        )
        return with_lines(network, (), {}, [said])
    end, found = network.spots[to.name].at, yard()
    spot = min(free, key=lambda one: (round(found.cost_between(end, one.at), 6), one.name))
    with quiet():
        base = gather(network, entries(inflows)).spots[soak.name].get(Cause.GROUND, 0.0)
        ground = planned_ground(site, inflows, network.lines, soak, network.spots[soak.name].at, base)
    apart = site.job.criteria.trench_width
    kept = write(apart, "length", site.job.units)
    straight = found.way(spot.at, end)
    route = way_round(found, spot.at, end, ground, apart, [line.route for line in coming])
    if not route:
        said = (
            f"{soak.name}: no way for a pipe from {spot.name} to {to.name} keeps {kept} from its stone, so no overflow "
            f"is laid. Turn it with 'bearing', or draw the overflow as a run with 'via'."
        )
        return with_lines(network, (), {}, [said])
    if not 2 <= len(route) <= MOST_VERTICES:
        return with_lines(network, (), {}, [f"{soak.name}: no way for a pipe was found from {spot.name} to {to.name}."])
    name = free_name("OF", [line.name for line in network.lines])
    line = Line(name=name, duty="overflow", upper=spot.name, lower=to.name, route=route, proposed=True)
    words = list(found.why(route))
    if route != straight:
        words.append(f"goes round {soak.name}, {kept} or more from its stone")
    length = write(route_length(route), "length", site.job.units)
    note = (
        f"Proposed: overflow {name} from {spot.name} to {to.name}, {length} long, for what {soak.name} cannot take; "
        f"it is sized for all that comes to {spot.name}."
    ) + (f" It {'; '.join(words)}." if words else "")
    return with_lines(network, [line], {}, [note])


def way_round(
    found: YardMap, start: Plan, end: Plan, ground: Sequence[Ring], apart: float, own: Sequence[Route] = ()
) -> Route:
    """The way of least cost that keeps its distance from the ground of a soakaway.

    Parameters
    ----------
    found : YardMap
        The map of the yard.
    start, end : Plan
        Places in plan. [m]
    ground : sequence of Ring
        Outlines of the stone: a trench, or wells in a row. The ground between the wells counts too. [m]
    apart : float
        Distance from them; less only where the way starts or ends nearer. [m]
    own : sequence of Route
        The soakaway's own pipes: a way that crosses none comes first.

    Returns
    -------
    tuple of Plan
        The map's own way where it is clear, else the best by one corner or two round the soakaway, or empty: no way.
        Where the way starts or ends in the stone itself nothing can be kept, and it is the map's own.
    """
    from shapely import LineString, MultiPoint, Point

    hull = MultiPoint([corner for ring in ground for corner in ring]).convex_hull
    kept = min(apart, hull.distance(Point(start)), hull.distance(Point(end)))
    away = Point(start).buffer(AT_START)
    pipes = [LineString(route).difference(away) for route in own]

    def crossing(route: Route) -> int:
        return sum(LineString(route).intersects(pipe) for pipe in pipes)

    straight = found.way(start, end)
    if len(straight) < 2 or kept <= 0.0:
        return straight
    routes = [straight]
    if LineString(straight).distance(hull) < kept - 1e-9 or crossing(straight):
        routes += _by_corners(
            found, start, end, hull.minimum_rotated_rectangle.buffer(apart + SPARE, join_style="mitre")
        )
    clear = [one for one in routes if LineString(one).distance(hull) >= kept - 1e-9 and found.passable(one)]
    return min(clear, key=lambda one: (crossing(one), round(found.cost(one), 6), one), default=())


def _by_corners(found: YardMap, start: Plan, end: Plan, around: Polygon) -> Iterator[Route]:
    """Ways by each corner of a rectangle, and along each of its sides, both ways round."""
    corners: list[Plan] = [(float(x), float(y)) for x, y in around.exterior.coords]
    sides = list(pairwise(corners))
    for turns in ([(one,) for one in corners[:-1]], sides, [side[::-1] for side in sides]):
        for turn in turns:
            yield tidy_route((*found.way(start, turn[0]), *turn[1:-1], *found.way(turn[-1], end)))


__all__ = ["soak_overflows", "way_round"]
