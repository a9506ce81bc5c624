"""Grates: what one lets through, the water that the ground holds over it, and where the rest runs on to."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from drainwright.field.boundary_sides import sides_of
from drainwright.field.flow import Sink, lay_flow
from drainwright.field.ground_grid import lay_grid
from drainwright.field.model import Plan, Site
from drainwright.field.terrain import path_from
from drainwright.hydraulics.inlets import grate_capacity, grate_head
from drainwright.job.works import Inlet
from drainwright.system.water_model import CarriedTo, GrateWater
from drainwright.worksheet import place

GRATE_SHARE = 0.4  # clear opening over the body's plan, where the job gives none: the schema's default [-]
SQUARE = 0.3048  # side of an inlet that the job does not list [m]
SET_LOW = 0.0254  # a grate that lies in no low spot is set an inch below the ground round it; common practice [m]
MOST_POND = 0.1524  # water deeper than this over a grate is not counted on: common practice, no source [m]
NOTHING = 1e-9  # less than this runs nowhere [m³/s]


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
    flow: float  # that runs over the ground to it, without what others let pass [m³/s]
    level: float  # of the water in the body below [m]


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


def runs_on(site: Site, names: Mapping[str, Plan]) -> Callable[[str], tuple[CarriedTo, str]]:
    """A function that follows what a grate lets pass over the ground, every low spot full.

    Parameters
    ----------
    site : Site
        With its ground.
    names : mapping
        Places of all inlets.

    Returns
    -------
    callable
        From an inlet's name to where its water goes: the next inlet by name, the walls it comes by, the boundary's
        side.
    """
    grid = lay_grid(site.surface, site.boundary, site.outline)
    sides = sides_of(site.boundary, site.job.property.north) if len(site.boundary) >= 3 else None
    walls = [(wall.name, wall.start, wall.end) for wall in site.walls]
    known: dict[str, tuple[CarriedTo, str]] = {}

    def follow(name: str) -> tuple[CarriedTo, str]:
        if name not in known:
            known[name] = _follow(name)
        return known[name]

    def _follow(name: str) -> tuple[CarriedTo, str]:
        sinks = []
        own = grid.number(names[name], grid.cell)
        for other, at in names.items():
            cell = grid.number(at, 0.0)
            if cell is not None and cell != own:
                sinks.append(Sink(kind="inlet", name=other, cells=(cell,)))
        way = path_from(lay_flow(grid, sinks, sides), names[name], walls=walls)
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


def grate_waters(site: Site, grated: Mapping[str, Grated]) -> dict[str, GrateWater]:
    """Water at every grate: what it takes, and what runs on to the next.

    Parameters
    ----------
    site : Site
        With the ground's shape and the criteria.
    grated : mapping
        Grates by the names of their inlets.

    Returns
    -------
    mapping
        By the same names. What runs on is counted at the grate where it comes; it stays counted in the pipes of the
        grate that let it pass, so that no pipe is taken too small.
    """
    clogging = site.job.criteria.grate_clogging
    found: dict[str, GrateWater] = {}
    follow: Callable[[str], tuple[CarriedTo, str]] | None = None
    received = dict.fromkeys(grated, 0.0)
    for _ in range(len(grated) + 1):
        before = dict(received)
        received = dict.fromkeys(grated, 0.0)
        for name, item in grated.items():
            head, known = holds(site, name, item.rim)
            flow = item.flow + before[name]
            most = takes(item.grate, item.rim, head, item.level, clogging)
            carried = max(flow - most, 0.0) if flow - most > NOTHING else 0.0
            to: CarriedTo | None = None
            where = ""
            if carried > 0.0:
                if follow is None:
                    follow = runs_on(site, {other: part.at for other, part in grated.items()})
                to, where = follow(name)
                if to == "inlet" and where in received:
                    received[where] += carried
            found[name] = GrateWater(
                flow=flow, received=before[name], head=head, head_known=known,
                wanted=_wanted(name, item, flow, clogging), takes=min(most, flow), carried=carried, to=to, name=where,
            )  # fmt: skip
        if all(abs(received[name] - before[name]) <= NOTHING for name in grated):
            break
    return found


def _wanted(name: str, item: Grated, flow: float, clogging: float) -> float:
    """Depth over the grate at which it takes all; recorded on the worksheet. [m]"""
    if item.level >= item.rim + MOST_POND or clogging >= 1.0:
        return math.inf
    with place(f"works.inlets.{name}", "depth over the grate at the design flow"):
        head = float(grate_head(flow, item.grate.perimeter, item.grate.clear, clogging))
    return head + max(item.level - item.rim, 0.0)


__all__ = ["Grate", "Grated", "grate_of", "grate_waters", "holds", "runs_on", "takes"]
