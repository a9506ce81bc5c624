"""Lay one scheme: lines with names and routes, and from them what is written into the job document."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, cast

from drainwright.field.model import Plan
from drainwright.job.works import Basin, Duty
from drainwright.quantities import System
from drainwright.schemes.base import Base, Way
from drainwright.schemes.draft import KEPT_OF_BASIN, Draft, Words, place_text
from drainwright.schemes.trees import Place, Tree
from drainwright.system.network import Line, Network, Spot, spot_at, with_lines
from drainwright.system.propose import free_name
from drainwright.system.ways import RoundHouse, distance, tidy_route
from drainwright.system.yard.arrivals import arriving
from drainwright.system.yard.wall_drains import PROPOSED_OFFSET, WallDrain

NEAR_POINT = 0.9  # a corner of the survey nearer than this to a drain's upper end is its name [m]


class Laying:
    """A scheme as it grows. Names are free in the whole job; places are rounded as they are typed."""

    def __init__(self, base: Base) -> None:
        self.base = base
        self.network: Network = base.network
        self.points: list[Words] = []
        self.runs: list[Words] = []
        self.discharge: list[Words] = []
        self.basin: Words | str | None = None
        self.more_basins: list[Words] = []
        self._house = cast(RoundHouse, base.yard)  # it offers the same ways and measures
        self._taken = [*base.site.points, *base.network.spots, *(item.name for item in base.job.downspouts)]

    # -- places ---------------------------------------------------------------------------------

    def junction(self, stem: str, at: Plan, note: str, tied: Words | None = None) -> str:
        """A new point of the survey for lines to meet at."""
        name = free_name(stem, self._taken)
        self._taken.append(name)
        east, north = (text.strip() for text in place_text(at, self.base.job.units).split(","))
        placed = tied or {"east": east, "north": north}
        self.points.append({"name": name, **placed, "note": f"not ground: {note}"})
        self.network = with_lines(self.network, [], {name: spot_at(self.base.site, name, "junction", at)}, [])
        return name

    def station(self, at: Plan | None = None, name: str | None = None) -> str:
        """A basin: that of the lot in its place, or at another one, or one more with a name of its own."""
        base, works = self.base, self.base.job.works
        free = base.basin_free or at is not None
        at, name = base.basin_at if at is None else at, base.basin if name is None else name
        self.network = with_lines(self.network, [], {name: spot_at(base.site, name, "basin", at)}, [])
        place: Any = place_text(at, base.job.units)
        if name != base.basin:
            pair = {"second_pump": True} if isinstance(works.basin, Basin) and works.basin.second_pump else {}
            self.more_basins.append({"name": name, "at": place, **pair})
            self._taken.append(name)
            return name
        if isinstance(works.basin, Basin):
            if free:
                kept = works.basin.model_dump(
                    mode="json", by_alias=True, exclude_unset=True, include=set(KEPT_OF_BASIN)
                )
                self.basin = {**kept, "at": place}
            return name
        if works.basin_place is not None and not free:
            place = works.basin_place.model_dump(mode="json")
        self.basin = {"name": name, "at": place}
        return name

    # -- lines ----------------------------------------------------------------------------------

    def _add(self, stem: str, duty: Duty, upper: str, lower: str, route: Sequence[Plan], **more: Any) -> None:
        name = free_name(stem, [*(line.name for line in self.network.lines)])
        walls: tuple[str, ...] = more.pop("beside", ())
        via: Sequence[Plan] = more.pop("via", route[1:-1])
        line = Line(
            name=name,
            duty=duty,
            upper=upper,
            lower=lower,
            route=tuple(route),
            walls=walls,
            proposed=True,
        )
        words: dict[str, Any] = {"name": name, "duty": duty, "from": upper, "to": lower}
        if walls:
            words["beside"] = list(walls)
        if via:
            words["via"] = [place_text(at, self.base.job.units) for at in via]
        self.runs.append({**words, **more})
        self.network = with_lines(self.network, [line], {}, [])

    def drains_to_basin(self, drain: WallDrain, basin: str) -> None:
        """The drains of a chain of walls as far as their corner, and one solid pipe on to the basin."""
        end = self.drains_to_junction(drain)
        house = self._house

        def lead(to: Plan) -> tuple[Plan, ...]:
            return tidy_route((drain.at, *house.way(drain.on_from, to)))

        self._add("MD", "yard drain", end, basin, arriving(self.network, house, lead, basin))

    def drains_to_junction(self, drain: WallDrain) -> str:
        """The drains of a chain of walls as far as their corner; the junction there, beside the end of a wall.

        Beyond the wall the trench may go no deeper than beside it: so the drain ends there and a solid pipe goes on.
        """
        note = "where footing drains end and solid pipe begins"
        end = self.junction("J", drain.at, note, _square_out(drain, self.base.job.units))
        for number, (walls, route) in enumerate(zip(drain.parts, drain.beside, strict=True)):
            names = tuple(wall.name for wall in walls)
            via = drain.round_corner if number else ()
            self._add("FD", "footing drain", self._head(route[0]), end, route, beside=names, via=via, cleanout=True)
        return end

    def _head(self, at: Plan) -> str:
        """The name of a drain's upper end: the corner of the survey there, or a new point."""
        used = {line.upper for line in self.network.lines} | {line.lower for line in self.network.lines}
        corners = {name for wall in self.base.site.walls for name in (wall.wall.from_, wall.wall.to)}
        near = [
            (distance(at, (point.east, point.north)), name)
            for name, point in self.base.site.points.items()
            if name in corners and name not in used and point.way != "level only"
        ]
        if near and min(near)[0] <= NEAR_POINT:
            name = min(near)[1]
            point = self.base.site.points[name]
            spot = spot_at(self.base.site, name, "junction", (point.east, point.north))
            self.network = with_lines(self.network, [], {name: spot}, [])
            return name
        return self.junction("H", at, "upper end of a footing drain")

    def tree(self, tree: Tree, places: Sequence[Place], *, stem: str = "YD") -> None:
        """The lines of a tree, the last ones with their own sides of a basin."""
        roofs = {place.name for place in places if place.roof}
        names = {name: self.junction("J", at, "where lines meet") for name, at in tree.joints}
        for edge in tree.edges:
            upper, lower = names.get(edge.upper, edge.upper), names.get(edge.lower, edge.lower)
            roof = upper in roofs
            first = "L" if roof else stem
            duty: Duty = "leader" if roof else "yard drain"
            if self.network.spots[lower].kind == "basin":
                house, route = self._house, edge.route

                def lead(to: Plan, route: tuple[Plan, ...] = route) -> tuple[Plan, ...]:
                    return tidy_route((*route[:-1], *house.way(route[-2], to)[1:]))  # noqa: B023

                self._add(first, duty, upper, lower, arriving(self.network, house, lead, lower))
            else:
                self._add(first, duty, upper, lower, edge.route)

    def discharge_line(self, basin: str, way: Way) -> None:
        """The line that the pump drives, where none is drawn."""
        if self.network.leaving(basin) is not None:
            return
        house = self._house
        route = arriving(self.network, house, lambda to: house.way(way.at, to), basin)[::-1]
        self._add("DL", "discharge line", basin, way.point.name, route)

    def outlet(self, words: Words, at: Plan) -> None:
        """A discharge point of the scheme's own."""
        self.discharge.append(words)
        name = str(words["name"])
        self._taken.append(name)
        self.network = with_lines(self.network, [], {name: spot_at(self.base.site, name, "discharge", at)}, [])

    def free(self, stem: str) -> str:
        """A name that nothing bears: the stem itself, or with a number."""
        return stem if stem not in self._taken else free_name(stem, self._taken)

    def draft(self) -> Draft:
        """What the scheme writes into the job document."""
        return replace(
            self.base.draft,
            points=tuple(self.points),
            runs=tuple(self.runs),
            discharge=tuple(self.discharge),
            basin=self.basin,
            more_basins=tuple(self.more_basins),
        )


def _square_out(drain: WallDrain, units: System) -> Words:
    """The place beside the end of a drain's last wall, as it is taped: at the corner, square out from the wall."""
    wall = min(drain.parts[0], key=lambda one: min(distance(drain.at, end) for end in (one.start, one.end)))
    names, ends = (wall.wall.from_, wall.wall.to), (wall.start, wall.end)
    if distance(drain.at, ends[1]) < distance(drain.at, ends[0]):
        names, ends = names[::-1], ends[::-1]
    (x, y), (u, v) = ends
    left = (u - x) * wall.outward[1] - (v - y) * wall.outward[0] > 0.0  # whether outward is to the left
    sign, metric = "" if left else "-", units == "SI"
    off = (
        f"{PROPOSED_OFFSET * 1000:.1f} mm"
        if metric
        else f"{PROPOSED_OFFSET / 0.0254:.2f}".rstrip("0").rstrip(".") + " in"
    )
    return {"along": list(names), "distance": "0 m" if metric else "0 ft", "offset": f"{sign}{off}"}


def spot_place(base: Base, spot: Spot, invert: float) -> Place:
    """A spot of the network as a place whose water has to be led away."""
    return Place(name=spot.name, at=spot.at, invert=invert, roof=spot.kind == "downspout")


__all__ = ["Laying", "spot_place"]
