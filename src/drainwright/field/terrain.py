"""The lie of the land: all that the ground's shots tell of water, gathered for one site."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from drainwright.field.boundary_sides import BoundarySides, sides_of
from drainwright.field.contours import contours, nice_interval
from drainwright.field.drained import STRAIGHTEN, arrows, crossings, drained_areas, length_of, straightened
from drainwright.field.flow import NOT_KNOWN, Flow, Sink, lay_flow
from drainwright.field.ground_grid import LOT, UNKNOWN, GroundGrid, lay_grid
from drainwright.field.low_spots import low_spots
from drainwright.field.model import Plan, Site
from drainwright.field.next_shots import named_places, next_shots
from drainwright.field.terrain_model import LowSpot, Terrain, WallSlope, WayOn
from drainwright.field.wall_slopes import wall_slopes
from drainwright.kept import kept
from drainwright.quantities import write
from drainwright.worksheet import place, quiet

AT_GROUND = ("daylight", "pop-up emitter", "neighbour")  # discharge points whose water runs on over the ground
BEYOND = 0.3  # of a shaped strip's edge its water is followed from [m]
NEAR_DISCHARGE = 2.0  # a discharge point so far outside the shots is taken to be at their edge [m]
TOUCHES = 0.61  # water that comes this near to a wall, 2 ft, is at the wall; common practice, no source [m]


def lie_of_the_land(site: Site) -> Terrain:
    """What the ground does with water, from its shots.

    Parameters
    ----------
    site : Site
        The site so far; without ``terrain``.

    Returns
    -------
    Terrain
        Contours, low spots, who drains where, run-on, slopes at the walls, ways on from the discharge points, and
        where one more shot would tell most. Without a boundary the lot is what the shots surround.

    Notes
    -----
    Water is followed over bare ground: buildings other than the house, kerbs and fences that no shot shows are not
    in it. Areas beyond the boundary are of the surveyed ground only: at least so much.
    """
    surface, units = site.surface, site.job.units
    bounded = len(site.boundary) >= 3
    named = named_places(site)
    inlets = {inlet.name: named[inlet.name] for inlet in site.job.works.inlets if inlet.name in named}
    with quiet():
        spots = low_spots(surface, site.walls, inlets)
        used = surface.levels[np.unique(surface.triangles)] if len(surface.triangles) else surface.levels
        interval = nice_interval(float(used.max() - used.min()), units)
        lines = kept("contours", (surface, interval), lambda: contours(surface, interval))
    ground = surface, site.boundary, site.outline
    grid = kept("ground grid", ground, lambda: lay_grid(*ground))
    sides = sides_of(site.boundary, site.job.property.north) if bounded else None
    sinks, notes = _inlets(site, grid, inlets)
    flow = lay_flow(grid, sinks, sides)
    stays = [_stay(grid, spot) for spot in spots]
    dry = lay_flow(grid, [*sinks, *(stay for stay in stays if stay is not None)], sides) if spots else flow
    run_on, run_off = ((), ()) if sides is None else crossings(flow, sides, _held_beyond(flow, sinks, spots, sides))
    with place("survey"):
        rough, shots = next_shots(site, spots, run_on)
    drained = drained_areas(flow)

    def slopes() -> tuple[WallSlope, ...]:
        return wall_slopes(surface, site.walls, site.outline, site.boundary)

    return Terrain(
        cell=grid.cell,
        lot_area=grid.lot_shape.area,
        house_area=grid.lot_shape.intersection(grid.house_shape).area,
        bounded=bounded,
        bare=_bare(grid),
        interval=interval,
        contours=lines,
        low_spots=spots,
        drained=drained,
        drained_dry=drained if dry is flow else drained_areas(dry),
        run_on=run_on,
        run_off=run_off,
        wall_slopes=kept("wall slopes", (*ground, site.walls), slopes),
        ways_on=tuple(way for way in (_way_on(site, dry, spots, *item) for item in _let_out(site, named)) if way),
        shaped_ways=tuple(way for way in (_way_on(site, dry, spots, *item) for item in _edges(site)) if way),
        next_shots=shots,
        arrows=arrows(flow),
        roughness=rough,
        notes=(*notes, *_notes(site, grid, bounded)),
    )


def _inlets(site: Site, grid: GroundGrid, inlets: Mapping[str, Plan]) -> tuple[list[Sink], list[str]]:
    sinks, notes = [], []
    for inlet in site.job.works.inlets:
        if inlet.name not in inlets:
            continue
        at = inlets[inlet.name]
        own = grid.number(at, 0.0)
        cells = {int(cell) for cell in grid.within(at, 0.5 * inlet.size)} | ({own} if own is not None else set())
        if cells:
            sinks.append(Sink(kind="inlet", name=inlet.name, cells=tuple(sorted(cells))))
        else:
            notes.append(f"{inlet.name} lies beyond the measured ground: what drains to it is not known.")
    return sinks, notes


def _stay(grid: GroundGrid, spot: LowSpot) -> Sink | None:
    cell = grid.number(spot.at, grid.cell)
    return None if cell is None else Sink(kind="low spot", name=spot.name, cells=(cell,))


def _held_beyond(flow: Flow, sinks: Sequence[Sink], spots: Sequence[LowSpot], sides: BoundarySides) -> Flow:
    """The flow with the low spots beyond the boundary keeping their water."""
    import shapely

    lot = flow.grid.lot_shape
    stays = [_stay(flow.grid, spot) for spot in spots if not lot.covers(shapely.Point(spot.at))]
    kept = [stay for stay in stays if stay is not None]
    return lay_flow(flow.grid, [*sinks, *kept], sides) if kept else flow


def _let_out(site: Site, named: Mapping[str, Plan]) -> list[tuple[str, Plan]]:
    return [
        (item.name, named[item.name])
        for item in site.job.works.discharge
        if item.kind in AT_GROUND and item.name in named
    ]


def _edges(site: Site) -> list[tuple[str, Plan]]:
    """Places just beyond the edge of each shaped strip: where its water runs on to today's ground."""
    found = []
    for strip in site.shaped:
        out, places = strip.wall.outward, tuple(strip.edges())
        for number in dict.fromkeys((0, len(places) // 2, len(places) - 1)):
            beyond = BEYOND + (strip.sections[number].bank or 0.0)
            found.append((strip.name, (places[number][0] + beyond * out[0], places[number][1] + beyond * out[1])))
    return found


def _way_on(site: Site, flow: Flow, spots: Sequence[LowSpot], name: str, at: Plan) -> WayOn | None:
    return path_from(flow, at, name, spots, [(wall.name, wall.start, wall.end) for wall in site.walls])


def path_from(
    flow: Flow,
    at: Plan,
    name: str = "",
    spots: Sequence[LowSpot] = (),
    walls: Sequence[tuple[str, Plan, Plan]] = (),
) -> WayOn | None:
    """Follow water that is let out at a place.

    Parameters
    ----------
    flow : Flow
        Where water goes; laid with the low spots as sinks, they keep what comes to them.
    at : Plan
        Where it is let out. [m]
    name : str
        Of the discharge point.
    spots : sequence of LowSpot
        By which a low spot at a wall is known.
    walls : sequence of tuple
        Name, start and end of the wall lines.

    Returns
    -------
    WayOn or None
        None where the place lies beyond the measured ground.
    """
    import shapely

    start = flow.grid.number(at, NEAR_DISCHARGE)
    if start is None:
        return None
    cells, end = flow.path(start)
    live = cells[flow.row[cells] >= 0]
    path = straightened((at, *flow.places(live[1:])), STRAIGHTEN * flow.grid.cell)
    levels = flow.grid.level.ravel()[live]
    kind, to = end if end is not None else ("beyond the shots", NOT_KNOWN)
    way = shapely.LineString(path) if len(path) > 1 else shapely.Point(path[0])
    lines = {wall: shapely.LineString([first, last]) for wall, first, last in walls}
    near, begins = TOUCHES + 0.5 * flow.grid.cell, shapely.Point(at)
    met = [wall for wall, line in lines.items() if way.distance(line) <= near < begins.distance(line)]
    met += [wall for spot in spots if kind == "low spot" and spot.name == to for wall in spot.walls]
    return WayOn(
        name=name, kind=kind, to=to, path=path, length=length_of(path), fall=float(levels[0] - levels[-1]),
        walls=tuple(dict.fromkeys(met)), comes_back=kind in ("inlet", "wall") or bool(met),
    )  # fmt: skip


def _bare(grid: GroundGrid) -> float:
    return float(grid.lot[grid.belongs == UNKNOWN].sum()) + grid.not_laid


def _notes(site: Site, grid: GroundGrid, bounded: bool) -> list[str]:
    notes = []
    if not bounded:
        notes.append("No boundary is given: the lot is taken to be what the shots surround.")
    unknown = _bare(grid)
    lot = float(grid.lot.sum()) + grid.not_laid
    if lot > 0.0 and unknown > 0.01 * lot:
        bare = write(unknown, "area", site.job.units)
        notes.append(f"{bare} of the lot lie beyond the shots: where their water goes is not known.")
    if not (grid.belongs == LOT).any():
        notes.append("The shots surround none of the lot: where its water goes is not known.")
    elif bounded and grid.beyond.sum() < 0.01 * lot:
        notes.append("No ground beyond the boundary was measured: water that comes in over it is not counted.")
    return notes


__all__ = ["AT_GROUND", "lie_of_the_land", "path_from"]
