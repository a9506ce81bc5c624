"""Pits of catch basins, with room to work round the body, and the pockets of stone under emitters."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from drainwright.field.model import Plan, Site
from drainwright.system.fittings import inlet_of
from drainwright.system.lift.uplift import BASIN_WALL
from drainwright.system.model import System
from drainwright.system.outlets.end_model import POCKET, PipeEnd
from drainwright.system.yard.basin_hole import HOLE_BED, HOLE_ROOM

if TYPE_CHECKING:
    from drainwright.build.stone import Bed
    from drainwright.build.trench import Cut

DUG = ("catch basin", "area grate")  # kinds with a body; which way a channel runs the job does not say


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sunk:
    """A body that is set in a pit: a catch basin's, or the box round an air gap below the ground."""

    name: str
    at: Plan
    ground: float  # level [m]
    across: float  # outside [m]
    foot: float  # level of its underside [m]
    what: str


def _sunk(site: Site, system: System) -> Iterator[_Sunk]:
    for node in system.nodes.values():
        inlet = inlet_of(node, site.job) if node.kind == "inlet" else None
        if inlet is not None and inlet.kind in DUG:
            yield _Sunk(
                name=node.name, at=node.at, ground=node.ground, across=inlet.size + 2 * BASIN_WALL,
                foot=node.invert - inlet.sump_depth - BASIN_WALL, what="under the catch basin",
            )  # fmt: skip
    for end in system.ends:
        if end.buried:
            yield _Sunk(
                name=end.name, at=end.at, ground=end.ground, across=end.box + 2 * BASIN_WALL,
                foot=end.box_floor - BASIN_WALL, what="under the outlet's box",
            )  # fmt: skip


def pit_cuts(site: Site, system: System) -> tuple[Cut, ...]:
    """The pits of catch basins, of area grates with a body, and of the box round an air gap below the ground.

    Parameters
    ----------
    site, system : Site, System
        The job's site and design.

    Returns
    -------
    tuple of Cut
        Square with the plan, as the bodies are taken; what would lie under the house is left out. Room to work and
        bed are a sump basin's (common practice, no source).
    """
    from shapely import Polygon, box

    from drainwright.build.trench import Cut

    house = Polygon(site.outline) if len(site.outline) >= 3 else Polygon()
    found = []
    for body in _sunk(site, system):
        width = body.across + 2 * HOLE_ROOM
        (east, north), half = body.at, width / 2
        area = box(east - half, north - half, east + half, north + half).difference(house)
        bottom = min(body.foot - HOLE_BED, body.ground)
        if area.is_empty:
            continue
        found.append(
            Cut(
                name=body.name,
                kind="inlet",
                distances=np.array([0.0, width]),
                points=np.array([[east - half, north], [east + half, north]]),
                ground=np.full(2, body.ground),
                bottom=np.full(2, bottom),
                width=width,
                bed=width,
                clear=width,
                area=area,
            )
        )
    return tuple(found)


def pocket_volume(end: PipeEnd) -> float:
    """Soil of the pocket of stone under an emitter's elbow: a cube whose outer half lies past the trench's end.

    Parameters
    ----------
    end : PipeEnd
        A pop-up emitter.

    Returns
    -------
    float
        The cube below the pipe, and what stands over its outer half. [m³]
    """
    under = end.invert - (end.outside - end.bore) / 2
    return float(POCKET**3 + POCKET**2 / 2 * max(end.ground - under, 0.0))


def pieces_left(cut: Cut, earlier: Sequence[Cut]) -> tuple[tuple[float, float], ...]:
    """The pit cut up by the edges of other digs, each piece with the depth of soil that they leave in it.

    Parameters
    ----------
    cut : Cut
        A pit.
    earlier : Sequence of Cut
        Digs whose soil is counted before.

    Returns
    -------
    tuple of (float, float)
        Area and depth of each piece from which soil is dug; the depth at its centroid, which is exact below a bottom
        that falls evenly. [m², m]
    """
    from shapely import polygonize, unary_union

    others = [other for other in earlier if other.area.intersects(cut.area)]
    edges = unary_union([cut.area.boundary, *(other.area.boundary.intersection(cut.area) for other in others)])
    bottom, found = float(cut.bottom[0]), []
    for piece in polygonize([edges]).geoms:
        inside = piece.representative_point()
        if not cut.area.contains(inside):
            continue
        centre = np.array(piece.centroid.coords[0])
        taken = [other.bottom_at(centre) for other in others if other.area.contains(inside)]
        depth = min([float(cut.ground[0]), *taken]) - bottom
        if depth > 0.0:
            found.append((float(piece.area), depth))
    return tuple(found)


def pit_beds(site: Site, system: System) -> tuple[Bed, ...]:
    """Stone under each body over the whole of its pit, and the soil's room that stone and body take."""
    from drainwright.build.stone import Bed, Zone

    bodies = {body.name: body for body in _sunk(site, system)}
    found = []
    for cut in pit_cuts(site, system):
        body = bodies[cut.name]
        stone = float(cut.area.area) * HOLE_BED
        volume = body.across**2 * max(body.ground - body.foot, 0.0)
        zones = (Zone(name=body.what, volume=stone, height=HOLE_BED),)
        found.append(Bed(run=body.name, stone=stone, fabric=0.0, displaced=stone + volume, zones=zones))
    return tuple(found)


__all__ = ["pieces_left", "pit_beds", "pit_cuts", "pocket_volume"]
