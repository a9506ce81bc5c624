"""Grates: what one lets through, the water that the ground holds over it, and where the rest runs on to."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

from drainwright.field.boundary_sides import sides_of
from drainwright.field.flow import Flow, Sink, lay_flow
from drainwright.field.ground_grid import GroundGrid, lay_grid
from drainwright.field.model import Plan, Site
from drainwright.field.terrain import path_from
from drainwright.hydraulics.inlets import grate_capacity, grate_head
from drainwright.job.works import Inlet
from drainwright.kept import kept, part_of
from drainwright.system.flows import Causes
from drainwright.system.surface.carry_over import Group, Passed, Way, pass_on
from drainwright.system.surface.water_model import GrateWater
from drainwright.worksheet import place

GRATE_SHARE = 0.4  # clear opening over the body's plan, where the job gives none: the schema's default [-]
SQUARE = 0.3048  # side of an inlet that the job does not list [m]
SET_LOW = 0.0254  # a grate that lies in no low spot is set an inch below the ground round it; common practice [m]
MOST_POND = 0.1524  # water deeper than this over a grate is not counted on: common practice, no source [m]

Passing: TypeAlias = dict[str, Passed]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grate:
    """The body under a grate, and the grate's openings with nothing clogged."""

    body: float  # plan area [m²]
    perimeter: float  # [m]
    clear: float  # [m²]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grated:
    """A grate in its place."""

    grate: Grate
    at: Plan
    rim: float  # [m]
    comes: Causes  # over the ground to it, without what others let pass [m³/s]
    level: float = -math.inf  # of the water in the body below; it falls away freely where no pipe is known yet [m]


def grate_of(inlet: Inlet | None) -> Grate | None:
    """The grate of an inlet by the job; one that the job does not list is 12 in square; a cleanout has none."""
    if inlet is not None and inlet.kind == "cleanout":
        return None
    size = inlet.size if inlet is not None else SQUARE
    length = inlet.channel_length if inlet is not None and inlet.channel_length is not None else size
    clear, perimeter = GRATE_SHARE * size * length, 2.0 * (size + length)
    if inlet is not None:
        clear, perimeter = inlet.grate_area or clear, inlet.grate_perimeter or perimeter
    return Grate(body=size * length, perimeter=perimeter, clear=clear)


def holds(site: Site, name: str, rim: float) -> tuple[float, bool]:
    """Depth over a grate that the ground holds before water runs on, and whether the ground was asked. [m]

    In a low spot up to where it spills, but no more than half a foot; elsewhere an inch.
    """
    if site.terrain is None:
        return SET_LOW, False
    spot = next((spot for spot in site.terrain.low_spots if spot.inlet == name), None)
    if spot is None:
        return SET_LOW, False
    return min(max(spot.spill_level - rim, 0.0), MOST_POND), True


def takes(grate: Grate, rim: float, head: float, level: float, clogging: float) -> float:
    """Flow that a grate takes with so much water over it, by the level below it. [m³/s]"""
    driving = rim + head - max(level, rim)
    if driving <= 0.0:
        return 0.0
    return float(grate_capacity(grate.perimeter, grate.clear, driving, clogging))


def runs_on(site: Site, names: Mapping[str, Plan], others: Mapping[str, Plan] | None = None) -> Callable[[Group], Way]:
    """A function that follows what grates let pass over the ground, every low spot full.

    Parameters
    ----------
    site : Site
        With its ground.
    names : mapping
        Places of all grates.
    others : mapping, optional
        Other places from which water is followed, by names that are no grate's.

    Returns
    -------
    callable
        From a grate, from several in one pond, or from another place, to where its water goes: the next grate by name,
        the walls it comes by, the boundary's side. The ground is gone over when it is first asked.
    """
    known: dict[Group, Way] = {}
    starts = {**(others or {}), **names}

    @cache
    def ground() -> GroundGrid:
        return lay_grid(site.surface, site.boundary, site.outline)

    @cache
    def flow_to(sinks: tuple[Sink, ...]) -> Flow:
        sides = sides_of(site.boundary, site.job.property.north) if len(site.boundary) >= 3 else None
        return lay_flow(ground(), sinks, sides)

    def follow(group: Group) -> Way:
        if group not in known:
            parts = part_of(site, _gone_over).mark, tuple(names.items()), starts[group[0]], group
            known[group] = kept("way over the ground", parts, lambda: _follow(group))
        return known[group]

    def _follow(group: Group) -> Way:
        grid = ground()
        walls = [(wall.name, wall.start, wall.end) for wall in site.walls]
        own = {grid.number(names[name], grid.cell) for name in group if name in names}
        sinks = []
        for other, at in names.items():
            cell = grid.number(at, 0.0)
            if other not in group and cell is not None and cell not in own:
                sinks.append(Sink(kind="inlet", name=other, cells=(cell,)))
        way = path_from(flow_to(tuple(sinks)), starts[group[0]], walls=walls)
        if way is None:
            return "not known", ""
        if way.kind == "wall" or way.walls:
            return "house", ", ".join(way.walls) or "a wall"
        if way.kind == "inlet":
            return "inlet", way.to
        if way.kind == "boundary":
            return "off the lot", way.to
        return "not known", way.to

    return follow


def _gone_over(site: Site) -> tuple[object, ...]:
    """What of a site a way over its ground hangs on."""
    walls = tuple((wall.name, wall.start, wall.end) for wall in site.walls)
    return site.surface, site.boundary, site.outline, site.job.property.north, walls


def passed_by(site: Site, grated: Mapping[str, Grated], follow: Callable[[Group], Way] | None = None) -> Passing:
    """What each grate takes at the depth that its ground holds, by the level below it, and what runs on.

    Parameters
    ----------
    site : Site
        With the ground's shape and the criteria.
    grated : mapping
        Grates by the names of their inlets.
    follow : callable, optional
        As of `runs_on`, where the ground has been gone over before.

    Returns
    -------
    mapping
        By the same names.
    """
    clogging = site.job.criteria.grate_clogging
    most = {}
    for name, item in grated.items():
        with place(f"works.inlets.{name}", "what it takes at the depth that its ground holds"):
            most[name] = takes(item.grate, item.rim, holds(site, name, item.rim)[0], item.level, clogging)
    own = {name: item.comes for name, item in grated.items()}
    return pass_on(own, most, follow or runs_on(site, {name: item.at for name, item in grated.items()}))


def grate_waters(
    site: Site, grated: Mapping[str, Grated], counted: Mapping[str, Passed], follow: Callable[[Group], Way]
) -> dict[str, GrateWater]:
    """Water at every grate as the pipes below them were laid: what it takes, and what runs on to the next.

    Parameters
    ----------
    site : Site
        With the ground's shape and the criteria.
    grated : mapping
        Grates by the names of their inlets, with the level below each.
    counted : mapping
        What was counted on before the pipes were sized.
    follow : callable
        As of `runs_on`.

    Returns
    -------
    mapping
        By the same names.
    """
    clogging = site.job.criteria.grate_clogging
    found = {}
    for name, passed in passed_by(site, grated, follow).items():
        item = grated[name]
        head, known = holds(site, name, item.rim)
        found[name] = GrateWater(
            flow=passed.flow, received=passed.received, head=head, head_known=known,
            wanted=_wanted(name, item, passed.flow, clogging), takes=sum(passed.takes.values()),
            carried=passed.carried, to=passed.to, name=passed.name,
            counted=counted[name].received if name in counted else 0.0,
        )  # fmt: skip
    return found


def _wanted(name: str, item: Grated, flow: float, clogging: float) -> float:
    """Depth over the grate at which it takes all; recorded on the worksheet. [m]"""
    if item.level >= item.rim + MOST_POND or clogging >= 1.0:
        return math.inf
    with place(f"works.inlets.{name}", "depth over the grate at the design flow"):
        head = float(grate_head(flow, item.grate.perimeter, item.grate.clear, clogging))
    return head + max(item.level - item.rim, 0.0)


__all__ = ["Grate", "Grated", "grate_of", "grate_waters", "holds", "passed_by", "runs_on", "takes"]
