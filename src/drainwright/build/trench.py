"""The digging in place: every trench, opened wall, hole and pit, and its bank volume, each soil counted once."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drainwright.build.earth import Series, hole_volume, pieces_volume, pit_volume, volume_by_stations
from drainwright.build.levels import SAME_PLACE, along, edges, grid, lowest, profile, sampled, stepped
from drainwright.build.model import DigKind, Trench
from drainwright.build.pits import pieces_left, pit_cuts, pocket_volume
from drainwright.build.protection import LETTERS_WIDTH, laddered
from drainwright.build.room import loads_beside, machines_beside, stands_beside, under_lines
from drainwright.build.shield_room import basis_of, need_of, panels_at, water_over, widened, widths_along
from drainwright.build.soak_dig import soak_cuts
from drainwright.build.units import FOOT, INCH
from drainwright.field.model import Plan, Site, SiteWall
from drainwright.system.model import LiftStation, SizedRun, System
from drainwright.system.yard.basin_hole import hole_area, hole_of, ways_at
from drainwright.worksheet import place

if TYPE_CHECKING:
    from shapely import LineString
    from shapely.geometry.base import BaseGeometry

# Room to work: common practice, no source.
PLACES: dict[DigKind, str] = {  # of a step
    "run": "runs", "wall": "walls", "basin": "basin", "inlet": "inlets", "soakaway": "works.discharge",
}  # fmt: skip
SHALLOW = 2.0 * FOOT  # down to here a pipe is laid from above: nobody stands in the trench
SLOT_WIDTH = 10.0 * INCH  # least width that a spade digs cleanly
SLIVER = 0.01  # soil under another digging up to here is the fit of their straight pieces, no dig of its own [m]
PIPE_ROOM = 3.0 * INCH  # each side of a pipe in a shallow slot


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One digging: its axis with ground and bottom along it."""

    name: str
    kind: DigKind
    distances: Series  # along the axis [m]
    points: Series  # of shape (n, 2) [m]
    ground: Series  # [m]
    bottom: Series  # [m]
    width: float  # diameter or side for a basin [m]
    bed: float  # width of the deepest part [m]
    clear: float  # clear width at the bottom, beside a footing's projection [m]
    area: BaseGeometry  # in plan
    run: SizedRun | None = None
    wall: SiteWall | None = None
    beside: tuple[str, ...] = ()  # opened walls whose dig holds a part of it
    pocket: float = 0.0  # soil of the pocket under the emitter that it ends in [m³]
    heights: tuple[Series, Series] = field(default_factory=lambda: (np.empty(0), np.empty(0)))
    # of soil that no deeper or earlier digging takes, at both ends of each stretch [m]
    round: bool = False  # only a basin's hole, where no panels stand in it
    panels: float = 0.0  # of its width, what the panels of shields take [m]
    pieces: tuple[tuple[float, float], ...] = ()  # of a pit: areas with such heights [m², m]

    @property
    def axis(self) -> LineString:
        """The axis in plan."""
        from shapely import LineString

        return LineString(self.points)

    @property
    def depth(self) -> float:
        """Greatest depth [m]."""
        return float(np.max(self.ground - self.bottom))

    @property
    def own(self) -> NDArray[np.bool_]:
        """Where a run has soil that no deeper or earlier dig takes; the whole where all is taken, and of other digs."""
        counted = np.append(self.heights[0] + self.heights[1] > SLIVER, False)
        own = counted | np.roll(counted, 1)
        return own if self.kind == "run" and own.any() else np.ones(len(self.ground), dtype=np.bool_)

    def bottom_at(self, point: Series) -> float:
        """Level of the bottom beside a place in plan [m]."""
        from shapely import Point

        return float(np.interp(self.axis.project(Point(point)), self.distances, self.bottom))


def run_width(run: SizedRun, depth: float, person: float) -> float:
    """Width of a run's trench: a slot where it is laid from above, room for a person where it is deeper.

    Parameters
    ----------
    run : SizedRun
        The run.
    depth : float
        Greatest depth of the trench. [m]
    person : float
        Least width in which a person works (``criteria.trench_width``). [m]

    Returns
    -------
    float
        Width. [m]
    """
    across = max(run.pipe.outside, run.pipe.envelope)
    least = max(SLOT_WIDTH, across + 2 * PIPE_ROOM, run.stone_width)
    return max(least, person) if depth > SHALLOW else least


def wall_width(wall: SiteWall, offsets: Sequence[float], person: float) -> float:
    """Width of an opened wall's trench from the wall's face.

    Two feet of clear bottom beside the footing (to coat, and as the letters of 1995 want), or more where a
    drain beside the footing needs it.
    """
    clear = max(LETTERS_WIDTH, person) + wall.wall.footing_projection.value
    return max(clear, *offsets) if offsets else clear


def cuts(site: Site, system: System) -> tuple[Cut, ...]:
    """Every digging in the order in which soil is counted: basin, walls, then runs, the deepest first, and pits.

    Parameters
    ----------
    site : Site
        The site.
    system : System
        The designed system.

    Returns
    -------
    tuple of Cut
        A run that lies in an opened wall's trench keeps only the soil outside it.
    """
    digs: list[Cut] = [_basin(site, station) for station in system.stations]
    opened, widths, panels = _opened(site, system)
    digs += [_wall(wall, opened, widths, panels, system) for wall in opened]
    digs += soak_cuts(site, system)
    pockets = {end.run: pocket_volume(end) for end in system.ends if end.form == "pop-up emitter"}
    runs = [replace(_run(run, site, digs), pocket=pockets.get(run.name, 0.0)) for run in system.runs]
    digs += sorted(runs, key=lambda cut: (-cut.depth, cut.name))
    digs += pit_cuts(site, system)
    return tuple(_counted(digs, index) for index in range(len(digs)))


def _opened(site: Site, system: System) -> tuple[tuple[SiteWall, ...], dict[str, float], dict[str, float]]:
    """Walls that are opened, the width of each one's dig, and what of it the panels of shields take. [m]"""
    opened = tuple(wall for wall in site.walls if wall.wall.open_and_coat)
    person = site.job.criteria.trench_width
    widths = {wall.name: wall_width(wall, _drain_edges(wall, system), person) for wall in opened}
    panels = panels_at([_wall(wall, opened, widths, {}, system) for wall in opened], site)
    return opened, {name: wide + panels.get(name, 0.0) for name, wide in widths.items()}, panels


def past_corners(site: Site, system: System) -> dict[str, tuple[float, float]]:
    """How far each opened wall's dig goes past its first and its last corner, half of the neighbour's there. [m]"""
    opened, widths, _ = _opened(site, system)

    def past(wall: SiteWall, at: Plan) -> float:
        return max(0.0, _corner(np.array(at), wall, opened, widths) / 2)

    return {wall.name: (past(wall, wall.start), past(wall, wall.end)) for wall in opened}


def _run(run: SizedRun, site: Site, earlier: Sequence[Cut]) -> Cut:
    from shapely import LineString

    stations, ground, bottom = profile(run)
    axis = LineString(run.route)
    distances = np.unique(np.clip(np.concatenate([grid(axis.length), stations]), 0.0, axis.length))
    depth = float(np.max(ground - bottom))
    width = run_width(run, depth, site.job.criteria.trench_width)
    bed = run.stone_width or max(run.pipe.outside, run.pipe.envelope) + 2 * PIPE_ROOM
    area = axis.buffer(width / 2, cap_style="flat", join_style="mitre")
    cut = Cut(
        name=run.name,
        kind="run",
        distances=distances,
        points=along(axis, distances),
        ground=np.interp(distances, stations, ground),
        bottom=np.interp(distances, stations, bottom),
        width=width,
        bed=min(bed, width),
        clear=width,
        area=area,
        run=run,
        beside=tuple(cut.name for cut in earlier if cut.kind == "wall" and cut.area.intersects(axis)),
    )
    return widened(cut, site)


def _basin(site: Site, station: LiftStation) -> Cut:
    hole = hole_of(site, station)
    east, north = ways_at(site, np.array([station.at[0]]), np.array([station.at[1]]))
    out = np.array([float(east[0]), float(north[0])]) * hole.half
    return Cut(
        name=station.name,
        kind="basin",
        distances=np.array([0.0, hole.across]),
        points=np.array([np.array(station.at) - out, np.array(station.at) + out]),
        ground=np.full(2, station.ground),
        bottom=np.full(2, hole.bottom),
        width=hole.across,
        bed=hole.across,
        clear=hole.across,
        area=hole_area(site, station.at, hole),
        round=not hole.square,
        panels=site.job.criteria.shield_panels if hole.square else 0.0,
    )


def _drain_edges(wall: SiteWall, system: System) -> list[float]:
    """Distance from the wall's face to the far edge of each drain bed beside it [m]."""
    from shapely import LineString, Point

    face = LineString([wall.start, wall.end])
    edges = []
    for run in system.runs:
        if wall.name in run.walls:
            nearest = min(face.distance(Point(place_)) for place_ in run.route)
            edges.append(nearest + (run.stone_width or run.pipe.outside) / 2)
    return edges


def _wall(
    wall: SiteWall, opened: Sequence[SiteWall], widths: dict[str, float], panels: dict[str, float], system: System
) -> Cut:
    """An opened wall's dig: to the footing's top, where the coat ends; with a drain's trench where that is lower.

    Never below the footing's bottom: what a drain needs below that is its own trench, as wide as a drain's.
    """
    from shapely import LineString, Polygon, contains_xy

    width = widths[wall.name]
    start, end, outward = (np.array(item, dtype=float) for item in (wall.start, wall.end, wall.outward))
    way = (end - start) / wall.length
    before = _corner(start, wall, opened, widths)
    after = _corner(end, wall, opened, widths)
    first, last = start - way * before / 2, end + way * after / 2
    axis = LineString([first + outward * width / 2, last + outward * width / 2])
    area = Polygon([first, last, last + outward * width, first + outward * width])
    reach = Polygon(  # round a corner the drain still lies in this dig
        [
            start - way * max(before, 0.0),
            end + way * max(after, 0.0),
            end + way * max(after, 0.0) + outward * width,
            start - way * max(before, 0.0) + outward * width,
        ]
    )
    lines = []
    for run in system.runs:
        _, points, low = sampled(run)
        inside = contains_xy(reach.buffer(1e-6), points[:, 0], points[:, 1])
        if inside.any():
            lines.append(lowest((points[inside] - first) @ way, low[inside]))
    distances, bottom = stepped(axis.length, wall.footing_top, wall.footing_bottom, lines)
    places, levels = (np.array(part) for part in zip(*wall.foot, strict=True))
    turns = np.unique(np.clip(np.concatenate([distances, places + before / 2]), 0.0, axis.length))
    distances, bottom = turns, np.interp(turns, distances, bottom)
    return Cut(
        name=wall.name,
        kind="wall",
        distances=distances,
        points=along(axis, distances),
        ground=np.interp(distances - before / 2, places, levels),
        bottom=bottom,
        width=width,
        bed=width - wall.wall.footing_projection.value,
        clear=width - wall.wall.footing_projection.value - panels.get(wall.name, 0.0),
        panels=panels.get(wall.name, 0.0),
        area=area.union(reach),
        wall=wall,
    )


def _corner(point: Series, wall: SiteWall, opened: Sequence[SiteWall], widths: dict[str, float]) -> float:
    """Width of the opened neighbour at a corner: positive at an outside corner, negative at an inside one [m]."""
    for other in opened:
        if other.name == wall.name:
            continue
        ends = (np.array(other.start), np.array(other.end))
        for near, far in (ends, ends[::-1]):
            if np.hypot(*(near - point)) < SAME_PLACE:
                side = float(np.dot(far - near, wall.outward)) / other.length
                if abs(side) < 0.05:  # goes on in line
                    return 0.0
                return -widths[other.name] if side > 0 else widths[other.name]
    return 0.0


def _counted(digs: Sequence[Cut], index: int) -> Cut:
    """The digging with the heights of soil that nothing earlier takes; walls count to half a shared corner."""
    from dataclasses import replace

    from shapely import contains_xy

    cut = digs[index]
    if cut.kind == "inlet":
        return replace(cut, pieces=pieces_left(cut, digs[:index]))
    earlier = [other for other in digs[:index] if not (cut.kind == "wall" and other.kind == "wall")]
    meets = [edges(cut.axis, other.area) for other in earlier]
    distances = np.unique(np.concatenate([cut.distances, *meets]))
    ground = np.interp(distances, cut.distances, cut.ground)
    bottom = np.interp(distances, cut.distances, cut.bottom)
    points = along(cut.axis, distances)
    middle = (points[:-1] + points[1:]) / 2
    tops = [ground[:-1].copy(), ground[1:].copy()]
    for other in earlier:
        inside = contains_xy(other.area, middle[:, 0], middle[:, 1])
        for stretch in np.flatnonzero(inside):
            for end in (0, 1):
                tops[end][stretch] = min(tops[end][stretch], other.bottom_at(points[stretch + end]))
    first = np.clip(tops[0] - bottom[:-1], 0.0, None)
    second = np.clip(tops[1] - bottom[1:], 0.0, None)
    return replace(cut, distances=distances, points=points, ground=ground, bottom=bottom, heights=(first, second))


def laid_in(digs: Sequence[Cut], dug: Collection[str]) -> tuple[tuple[str, str], ...]:
    """Runs that have no digging of their own, each with the one that holds most of it.

    Parameters
    ----------
    digs : Sequence of Cut
        From ``cuts``, in their order.
    dug : collection of str
        Names of the diggings that soil is counted for.

    Returns
    -------
    tuple of (str, str)
        Run and digging. A run that lies above the ground is in none.
    """
    found = []
    for index, cut in enumerate(digs):
        if cut.kind != "run" or cut.name in dug:
            continue
        shares = [(cut.axis.intersection(other.area).length, other.name) for other in digs[:index] if other.name in dug]
        most, name = max(shares, default=(0.0, ""), key=lambda share: share[0])
        if most > SAME_PLACE:
            found.append((cut.name, name))
    return tuple(found)


def trench(cut: Cut, site: Site) -> Trench:
    """The digging as the papers list it, with its volume and its protection.

    Parameters
    ----------
    cut : Cut
        From ``cuts``.
    site : Site
        The site.

    Returns
    -------
    Trench
        Length, depths and volume of the soil that is counted here.
    """
    depth = cut.depth
    water = water_over(cut, site, cut.own)
    slopes = site.water_table is not None and bool(np.any(cut.ground < site.water_table))
    need = need_of(cut, site)
    where = PLACES[cut.kind]
    first, second = cut.heights
    counted = (first + second) > 1e-6
    steps = np.diff(cut.distances)
    length = float(np.sum(steps[counted]))
    with place(f"{where}.{cut.name}", "digging"):
        if cut.kind == "basin":
            volume, length = (hole_volume if cut.round else pit_volume)(cut.width, depth), cut.width
            mean = depth
        elif cut.kind == "inlet":  # as long as gives the area that no other dig opens
            volume, length = pieces_volume(cut.pieces), math.fsum(area for area, _ in cut.pieces) / cut.width
            mean = depth
        else:
            taken, wide = _footing(cut), widths_along(cut, site)
            volume = volume_by_stations(
                cut.distances,
                np.clip(first * wide[:-1] - taken[:-1], 0.0, None),
                np.clip(second * wide[1:] - taken[1:], 0.0, None),
            )
            mean = float(np.sum(((first + second) / 2 * steps)[counted]) / length) if length > 0 else 0.0
    return Trench(
        name=cut.name,
        kind=cut.kind,
        length=length,
        width=cut.width,
        depth_mean=mean,
        depth_greatest=float(np.max((cut.ground - cut.bottom)[cut.own])),
        bank_volume=volume + cut.pocket,
        protection=need.protection,
        slope_run=need.slope_run,
        spoil_setback=need.spoil_setback,
        ladder=need.ladder or laddered(depth, basis_of(cut, site)),
        source=need.source,
        basis=basis_of(cut, site),
        round=cut.round,
        panels=cut.panels,
        water=water,
        water_slopes=slopes,
        loads=loads_beside(cut, site, need.spoil_setback),
        stands=stands_beside(cut, site),
        machines=machines_beside(site, cut.name) if need.ladder else (),
        under=under_lines(cut, site),
    )


def _footing(cut: Cut) -> Series:
    """Section of the footing's projection, which is not soil [m²]."""
    if cut.wall is None:
        return np.zeros(len(cut.distances))
    thick = np.clip(cut.wall.footing_top - cut.bottom, 0.0, None)
    return np.asarray(thick * cut.wall.wall.footing_projection.value, dtype=float)


__all__ = ["PLACES", "SHALLOW", "Cut", "cuts", "laid_in", "past_corners", "run_width", "trench", "wall_width"]
