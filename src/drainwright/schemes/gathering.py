"""What there is to lead away on a lot, and how far gravity takes it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from drainwright.field.model import Plan
from drainwright.schemes.base import Base, Way, start_level
from drainwright.schemes.laying import Laying, spot_place
from drainwright.schemes.trees import JOINT, Edge, Gravity, Place, Tree, by_gravity, cut, down, reaching, tree_to
from drainwright.system.gravity import drain_ceiling
from drainwright.system.network import Spot
from drainwright.system.yard.wall_drains import WallDrain, room_between, wall_drains
from drainwright.system.yard.zones import BARRIER, Zone

OFF_HOUSE = 0.9144  # a pipe by the house that may go below its footing, from the walls: common practice, no source [m]
KEEP_OFF = 8.0  # what nearer costs, against a metre of pipe in open lawn: no source [m/m]
SHORT_LINE = 2.0  # a line is not parted into pieces shorter than this [m]
BASIN_ROOM = 0.75  # of a line from the middle of a basin that it passes, at least [m]


def ground_spots(base: Base) -> tuple[Spot, ...]:
    """Ends of drawn footing drains that lead nowhere yet."""
    fed = {line.lower for line in base.network.lines if line.duty == "footing drain"}
    return tuple(spot for spot in base.spots if spot.name in fed)


def rain_places(base: Base) -> list[Place]:
    """Places where roof and yard water waits."""
    ground = {spot.name for spot in ground_spots(base)}
    return [spot_place(base, spot, start_level(base, spot)) for spot in base.spots if spot.name not in ground]


def ground_places(base: Base, to: Plan, *, within: bool = False) -> tuple[list[WallDrain], list[Place]]:
    """The footing drains that fall to a place, and the places where their water waits.

    With ``within`` they leave their walls at corners from which each keeps its fall between floor and footing.
    """
    ceiling = drain_ceiling(base.site)
    grade, yard = base.job.criteria.minimum_grade, base.yard
    drains = [
        wall_drains(chain, lambda at: yard.cost_between(at, to), room_between(chain, ceiling, grade), within=within)
        for chain in base.chains
    ]
    places = [
        Place(
            name=drain.name,
            at=drain.on_from,
            invert=min(down(base, route, ceiling) for route in drain.whole),
            ground=True,
        )
        for drain in drains
    ]
    for spot in ground_spots(base):
        above = [line.route for line in base.network.lines if line.lower == spot.name]
        places.append(
            Place(name=spot.name, at=spot.at, invert=min(down(base, route, ceiling) for route in above), ground=True)
        )
    return drains, places


def ground_by_gravity(base: Base) -> tuple[list[WallDrain], Gravity]:
    """The way out that the footing drains reach, or come nearest to; found once for all kinds."""
    if "ground by gravity" not in base.known:
        base.known["ground by gravity"] = _nearest_by_gravity(base)
    drains, gravity = base.known["ground by gravity"]
    return drains, gravity


def _nearest_by_gravity(base: Base) -> tuple[list[WallDrain], Gravity]:
    found = []
    for order, way in enumerate(base.outs):
        tried: list[list[WallDrain]] = []
        for within in (False, True):
            drains, places = ground_places(base, way.at, within=within)
            if drains in tried:
                continue
            tried.append(drains)
            if tried[1:]:
                tree, short = reaching(_off_house(base), places, way)
                tree = past_house(base, tree)
            else:
                tree, short = reaching(base, places, way)
            worst = short[0][1] if short else 0.0
            too_long = max((_too_long(base, drain) for drain in drains), default=0.0)
            gravity = Gravity(way=way, tree=tree, short=short)
            found.append((round(worst, 6), round(too_long, 6), order, len(tried), (drains, gravity)))
    return min(found, key=lambda item: item[:4])[-1]


def _off_house(base: Base) -> Base:
    """The lot with a strip round the house kept clear for a pipe that goes by it deeper than its footing bears."""
    from shapely import Polygon

    if "off house" not in base.known:
        strip = Polygon(base.site.outline).buffer(OFF_HOUSE, join_style="mitre")
        zone = Zone(kind="wall", name="the house", shape=strip, extra=KEEP_OFF)
        base.known["off house"] = base.yard.with_more([zone])
    return replace(base, yard=base.known["off house"])


def past_house(base: Base, tree: Tree) -> Tree:
    """The tree with a joint on each line where it leaves the house behind, so that it may fall steeper from there.

    A line of one grade that must go deep beyond the house would go below its footing beside it.
    """
    from shapely import LineString, Point, Polygon, get_coordinates

    house = Polygon(base.site.outline).buffer(2.0 * OFF_HOUSE)
    edges: list[Edge] = []
    joints = list(tree.joints)
    for edge in tree.edges:
        axis = LineString(edge.route)
        inside = axis.intersection(house)
        last = 0.0 if inside.is_empty else max(axis.project(Point(at)) for at in get_coordinates(inside))
        if min(last, axis.length - last) < SHORT_LINE:
            edges.append(edge)
            continue
        at, above, below = cut(edge.route, last)
        name = next(name for number in range(1, 1000) if (name := f"{JOINT}P{number}") not in dict(joints))
        joints.append((name, at))
        edges += [replace(edge, lower=name, route=above), Edge(upper=name, lower=edge.lower, route=below)]
    return replace(tree, edges=tuple(edges), joints=tuple(joints))


def _too_long(base: Base, drain: WallDrain) -> float:
    """By how much the longer part of a drain is longer than there is fall for beside its walls [m]."""
    room = room_between(drain.walls, drain_ceiling(base.site), base.job.criteria.minimum_grade)
    return max(drain.longest - room, 0.0)


def has_ground(base: Base) -> bool:
    """Whether ground water has to be led away."""
    return bool(base.chains) or bool(ground_spots(base))


def falling(base: Base, places: Sequence[Place]) -> tuple[list[Place], Gravity]:
    """The places that reach a way out by gravity; where none does, the one that comes nearest."""
    left = list(places)
    found = by_gravity(base, left)
    while found.short:
        low = {name for name, _ in found.short}
        if len(low) == len(left):
            if len(left) == 1:
                return [], found
            low = {found.short[0][0]}
        left = [place for place in left if place.name not in low]
        found = by_gravity(base, left)
    return left, found


def ground_lifted(base: Base) -> bool:
    """Whether the footing drains must be lifted: the job's own lead to its basin, or laid to fall they did not work."""
    if not base.drains_fall:
        return True
    drawn = [line for line in base.network.lines if line.duty == "footing drain"]
    return any(base.basin in {line.lower for line in base.network.chain(drain.upper)} for drain in drawn)


def lay_ground(laying: Laying, drains: Sequence[WallDrain], found: Gravity) -> None:
    """Footing drains that fall to a way out."""
    names = {drain.name: laying.drains_to_junction(drain) for drain in drains}
    tree = found.tree
    out = {drain.name: (drain.at,) for drain in drains if drain.lead}
    edges = tuple(
        replace(
            edge,
            upper=names.get(edge.upper, edge.upper),
            lower=names.get(edge.lower, edge.lower),
            route=(*out.get(edge.upper, ()), *edge.route),
        )
        for edge in tree.edges
    )
    laying.tree(replace(tree, edges=edges), (), stem="MD")


def lift(laying: Laying, base: Base, way: Way) -> str:
    """The basin with the footing drains and the discharge line; the name of where that ends."""
    basin = laying.station()
    drains, _ = ground_places(base, base.basin_at)
    for drain in drains:
        laying.drains_to_basin(drain, basin)
    spots = [replace(spot_place(base, spot, math.inf), ground=True) for spot in ground_spots(base)]
    laying.tree(tree_clear(laying, spots, basin, base.basin_at), spots, stem="MD")
    laying.discharge_line(basin, way)
    return laying.network.end(basin)


def tree_clear(laying: Laying, places: Sequence[Place], root: str, at: Plan) -> Tree:
    """The tree of least cost to a root, through no basin on its way."""
    tree = tree_to(laying.base, places, root, at)
    off = _off_basins(laying, tree)
    return tree if off is None else tree_to(off, places, root, at)


def falling_clear(laying: Laying, places: Sequence[Place], found: Gravity) -> Tree:
    """The tree by which places fall to a way out, through no basin where there is fall for the way round."""
    off = _off_basins(laying, found.tree)
    if off is None:
        return found.tree
    tree, short = reaching(off, places, found.way)
    return found.tree if short else tree


def _off_basins(laying: Laying, tree: Tree) -> Base | None:
    """The lot with basins barred, where a line of a tree would run through one; None where none does."""
    from shapely import LineString, Point

    basins = [spot for spot in laying.network.spots.values() if spot.kind == "basin" and spot.name != tree.root]
    lines = [LineString(edge.route) for edge in tree.edges]
    if all(line.distance(Point(spot.at)) >= BASIN_ROOM for spot in basins for line in lines):
        return None
    zones = [
        Zone(kind="protected", name=spot.name, shape=Point(spot.at).buffer(BASIN_ROOM + 0.1), extra=BARRIER)
        for spot in basins
    ]
    return replace(laying.base, yard=laying.base.yard.with_more(zones))


__all__ = [
    "falling", "falling_clear", "ground_by_gravity", "ground_lifted", "ground_places", "ground_spots", "has_ground",
    "lay_ground", "lift", "rain_places", "tree_clear",
]  # fmt: skip
