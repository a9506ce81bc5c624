"""What the job leaves out, proposed: footing drains, ways for inlets and leaders, a basin's place and its line.

Everything proposed is said so in the notes. What the job gives is kept; the one exception is a job that leads its
water by gravity to a discharge point that gravity does not reach and leaves the basin to be designed: there the
lines that end at the discharge point are led to the basin instead.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache, partial
from typing import TypeAlias

from drainwright.field.model import Plan, Site, SiteWall
from drainwright.field.places import resolve_level
from drainwright.field.words import fail, fine
from drainwright.system.gravity import PIPE_HEIGHT, drain_ceiling
from drainwright.system.network import Line, Network, Spot, spot_at, upstream_first, with_lines
from drainwright.system.ways import MOST_VERTICES, route_length, tidy_route
from drainwright.system.yard.arrivals import arriving
from drainwright.system.yard.basin_spot import basin_place
from drainwright.system.yard.wall_drains import PROPOSED_OFFSET, WallDrain, room_between, wall_drains
from drainwright.system.yard.yard_map import Route, YardMap

Yard: TypeAlias = Callable[[], YardMap]  # makes the map when it is first needed


def free_name(stem: str, taken: Sequence[str]) -> str:
    """The first of stem1, stem2, ... that is not taken."""
    return next(name for number in range(1, 10_000) if (name := f"{stem}{number}") not in taken)


def with_basin(network: Network, site: Site, yard: Yard, name: str, at: Plan) -> Network:
    """The network with its basin in place; lines that end at a discharge point are led to it where none does."""
    spots = {**network.spots, name: spot_at(site, name, "basin", at)}
    lines = list(network.lines)
    notes = list(network.notes)
    if not any(line.lower == name for line in lines):
        ending = [line for line in lines if spots[line.lower].kind == "discharge" and line.duty != "overflow"]
        drained = [line for line in ending if _drains(network, line)]
        for line in drained or ending:

            def lead(to: Plan, kept: tuple[Plan, ...] = line.route[:-1]) -> tuple[Plan, ...]:
                return tidy_route((*kept, *yard().way(kept[-1], to)[1:]))

            route = arriving(Network(spots=spots, lines=tuple(lines)), yard(), lead, name)
            lines[lines.index(line)] = replace(line, lower=name, route=route, invert_lower=None, proposed=True)
            said = f"{line.name} is led to the basin {name} and not to {line.lower}: a station is needed, and no run of"
            notes.append(f"{said} the job leads to it.")
    return Network(spots=spots, lines=upstream_first(lines, spots), notes=tuple(notes))


def _drains(network: Network, line: Line) -> bool:
    """Whether a line is, or carries, a footing drain."""
    return any(
        other.duty == "footing drain" and (other is line or line in network.chain(other.upper))
        for other in network.lines
    )


def footing_drains(site: Site, network: Network, yard: Yard, chains: Sequence[Sequence[SiteWall]], end: str) -> Network:
    """Footing drains along walls that need one, where the job gives none.

    Each chain of walls drains to the corner from which the way on costs least: in one part, or in two that fall both
    ways from the far corner. The drains end beside the walls, and one solid pipe goes on: to a basin from here, to a
    discharge point like any other water.
    """
    for chain in chains:
        found = yard()
        lines: list[Line] = []
        notes: list[str] = []
        spots: dict[str, Spot] = {}
        goal = network.spots[end]

        def place(at: Plan, spots: dict[str, Spot] = spots, network: Network = network) -> str:
            name = free_name("H", [*network.spots, *spots])
            spots[name] = spot_at(site, name, "junction", at)
            return name

        def on(at: Plan, found: YardMap = found, goal: Spot = goal) -> float:
            return found.cost_between(at, goal.at)

        room = room_between(chain, drain_ceiling(site), site.job.criteria.minimum_grade)
        drain = wall_drains(chain, on, room)
        foot = place(drain.at)
        for part, route in zip(drain.parts, drain.beside, strict=True):
            name = free_name("FD", [line.name for line in (*network.lines, *lines)])
            names = tuple(wall.name for wall in part)
            lines.append(
                Line(
                    name=name, duty="footing drain", upper=place(route[0]), lower=foot, route=route, walls=names,
                    proposed=True,
                )
            )  # fmt: skip
            notes.append(
                f"Proposed: footing drain {name} beside {', '.join(names)} to {foot}, {_length(site, route)} long."
                f"{_met(found, route)} The job gives no footing drain."
            )
        network = with_lines(network, lines, spots, notes)
        if goal.kind == "basin":

            def lead(to: Plan, drain: WallDrain = drain, found: YardMap = found) -> Route:
                return tidy_route((drain.at, *found.way(drain.on_from, to)))

            route = arriving(network, found, lead, end)
            name = free_name("YD", [line.name for line in network.lines])
            line = Line(name=name, duty="yard drain", upper=foot, lower=end, route=route, proposed=True)
            said = f"Proposed: yard drain {name} from {foot} to {end}, {_length(site, route)} long."
            network = with_lines(network, [line], {}, [said + _met(found, route)])
    return network


def _met(yard: YardMap, route: Route) -> str:
    """A sentence on what a proposed line crosses or goes round; nothing where it meets nothing."""
    words = yard.why(route)
    return f" It {'; '.join(words)}." if words else ""


def _length(site: Site, route: Sequence[Plan]) -> str:
    return fine(route_length(route), site.job.units)


def discharge_line(site: Site, network: Network, yard: Yard, basin: str, end: str) -> Network:
    """A discharge line from the basin, where the job gives none."""
    if network.leaving(basin) is not None:
        return network
    name = free_name("DL", [line.name for line in network.lines])
    start = network.spots[end].at
    found = yard()
    route = arriving(network, found, lambda to: found.way(start, to), basin)[::-1]
    if len(route) < 2:
        raise fail("works.basin", f"a basin at the discharge point {end}", "two places apart")
    line = Line(name=name, duty="discharge line", upper=basin, lower=end, route=route, proposed=True)
    note = f"Proposed: discharge line {name} from {basin} to {end}, {_length(site, route)} long.{_met(found, route)}"
    return with_lines(network, [line], {}, [note])


def loose_ends(site: Site, network: Network) -> tuple[Spot, ...]:
    """Spots whose water goes nowhere yet."""
    used = {line.lower for line in network.lines} | {line.upper for line in network.lines}
    splash = {downspout.name for downspout in site.job.downspouts if downspout.ends == "splash"}
    joined = {name for point in site.job.works.discharge if point.joins for name in point.joins.other_roof}
    found = []
    for spot in network.spots.values():
        if spot.kind in ("basin", "discharge") or network.leaving(spot.name) is not None:
            continue
        if spot.kind == "junction" and spot.name not in used:
            continue
        if spot.name in splash or (spot.name in joined and spot.name not in used):
            continue
        found.append(spot)
    return tuple(found)


def lead_away(site: Site, network: Network, yard: Yard, basin: str | None, out: str) -> Network:
    """A line for every inlet, leader or line's end that the job leaves without one: the cheapest way that suits.

    Roof and yard water keeps apart from the basin where the criteria say ``separate`` and the fall allows it; a place
    without that fall goes to the basin, and the notes say so.
    """
    while loose := loose_ends(site, network):
        found = yard()
        below = cache(partial(_below, network))
        options = [(*_best_end(site, network, found, spot, basin, out, below), spot) for spot in loose]
        route, end, fits, spot = min(
            options, key=lambda option: (not option[2], round(found.cost(option[0]), 6), option[3].name)
        )
        if end == basin:
            route = arriving(network, found, partial(found.way, spot.at), basin)
        leader = spot.kind == "downspout"
        name = free_name("L" if leader else "YD", [line.name for line in network.lines])
        line = Line(
            name=name, duty="leader" if leader else "yard drain", upper=spot.name, lower=end, route=route, proposed=True
        )
        note = f"Proposed: {line.duty} {name} from {spot.name} to {end}, {_length(site, route)} long."
        note += _met(found, route)
        if not fits and basin is not None:
            note += f" There is no fall from {spot.name} to a way out of its own, so it goes to the basin."
        network = with_lines(network, [line], {}, [note])
    return network


def _best_end(
    site: Site,
    network: Network,
    yard: YardMap,
    spot: Spot,
    basin: str | None,
    out: str,
    below: Callable[[str], set[str]],
) -> tuple[tuple[Plan, ...], str, bool]:
    """Route and lower end for a spot, and whether it is the kind of end that was wished for and has the fall.

    ``below`` tells what ``_below`` tells of the network, once reckoned.
    """
    criteria = site.job.criteria
    heads = {line.upper for line in network.lines if line.duty == "footing drain"}
    drained = any(line.lower == spot.name and line.duty == "footing drain" for line in network.lines)
    separate = criteria.roof_water == "separate"
    apart = separate and not drained
    wet = {spot for line in network.lines if line.duty == "footing drain" for spot in below(line.upper)}

    feet = {line.lower for line in network.lines if line.proposed and line.duty == "footing drain"} - {basin, out}

    def suits(name: str) -> bool:
        if basin is not None and name in feet and not drained and criteria.roof_water != "to footing drain":
            return False  # nor at the foot of a drain that goes on to the basin
        if criteria.roof_water == "to footing drain" and not drained:
            return name in heads
        if separate and basin is None and (name in wet) != drained:
            return False  # so that a storm on the roof cannot back up into the footing drain
        to_basin = basin is not None and basin in below(name)
        return name not in heads and to_basin == (basin is not None and not apart)

    wished = [
        other.name
        for other in network.spots.values()
        if other.kind not in ("basin", "discharge")
        and network.leaving(other.name) is not None
        and spot.name not in below(other.name)
        and suits(other.name)
    ]
    wished.append(out if basin is None or apart else basin)
    start = min(spot.rim, spot.ground) - criteria.minimum_cover - PIPE_HEIGHT
    ranked = sorted((round(yard.cost_between(network.spots[name].at, spot.at), 6), name) for name in wished)
    for _, name in ranked:
        route = yard.way(spot.at, network.spots[name].at)
        if 2 <= len(route) <= MOST_VERTICES and _falls(site, network, start, route, name):
            return route, name, True
    end = basin if basin is not None else out
    if basin is not None:  # what has no fall to a way of its own may join other water on its way to the basin
        on_the_way = [
            other.name
            for other in network.spots.values()
            if other.kind in ("inlet", "downspout")
            and other.name not in heads
            and basin in below(other.name)
            and spot.name not in below(other.name)
        ]
        end = min(
            (basin, *on_the_way), key=lambda name: (round(yard.cost_between(network.spots[name].at, spot.at), 6), name)
        )
    return yard.way(spot.at, network.spots[end].at), end, False


def _below(network: Network, name: str) -> set[str]:
    """All spots that the water of a spot passes."""
    return {line.lower for line in network.chain(name)}


def _falls(site: Site, network: Network, start: float, route: Sequence[Plan], name: str) -> bool:
    """Whether water that leaves at a level gets down a route and the chain after it to a discharge point or basin."""
    chain = network.chain(name)
    length = route_length(route) + sum(line.length for line in chain)
    end = network.spots[chain[-1].lower if chain else name]
    for point in site.job.works.discharge:
        if point.name == end.name and not any(network.spots[line.upper].kind == "basin" for line in chain):
            level = resolve_level(site, point.invert, end.at, "works.discharge")
            return start - length * site.job.criteria.minimum_grade >= level
    return True


__all__ = [
    "PROPOSED_OFFSET", "Yard", "basin_place", "discharge_line", "footing_drains", "free_name", "lead_away",
    "loose_ends", "with_basin",
]  # fmt: skip
