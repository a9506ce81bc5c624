"""The sides of trenches that make one hole, and the room there is to slope them back."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, get_args

import numpy as np

from drainwright.build.gaps import tops_at
from drainwright.build.model import Protection, Trench
from drainwright.build.protection import doubt_of, guard, judged_depth, slope_back
from drainwright.build.trench import PLACES, Cut
from drainwright.build.wording import guard_words
from drainwright.field.model import Site, SiteUtility
from drainwright.worksheet import place, quiet

if TYPE_CHECKING:
    from shapely import LineString
    from shapely.geometry.base import BaseGeometry

STRICTNESS: tuple[Protection, ...] = get_args(Protection)  # in the order of the model: the stricter later
SHARED = 1.0  # a run that has more than this of its length in a wall's dig is one hole with it [m]
ALONG = 2.0  # a line with more widths of a dig than this inside it lies along it: common practice, no source [-]
SLANTS = 1.25  # widths of a dig inside which a line crosses it; over more it slants, as a meeting does [-]
PART = 0.25  # between places of an edge or a line that are judged [m]
IN_FILL = 0.3  # a run whose bottom is higher than this over a wall's dig is laid in its fill: common practice [m]
LEADS = 0.7  # of its length that a part of a line comes nearer to a dig: over this it leads into it, 45 degrees [-]
STANDS = 3.0  # trunk diameters within which a tree may fall when its roots are cut, as in the check of roots [-]


def safe_sides(digs: Sequence[Cut], trenches: Sequence[Trench], site: Site) -> tuple[Trench, ...]:
    """The trenches with the strictest protection of the hole that each is part of, and what sloping would reach.

    Parameters
    ----------
    digs : Sequence of Cut
        From ``trench.cuts``.
    trenches : Sequence of Trench
        Each judged alone, from ``trench.trench``.
    site : Site
        The site.

    Returns
    -------
    tuple of Trench
        In the same order. A wall's dig is one hole with the drain or run beside it, and with the next wall's dig
        where they meet at a corner; the basin's hole and the ends of runs stay by themselves, and so does a run that
        crosses a wall's dig high over its bottom. The letters on house foundations hold for no run beyond such a dig.
    """
    whole = {cut.name: cut for cut in digs}
    cuts = {cut.name: own_place(cut, digs) for cut in digs}
    dangerous = {item.utility.name for item in site.utilities if item.utility.dangerous}
    planned = {item.at: guard_words(item) for item in site.job.works.protection}
    along = {cut.name: lines_along(cuts[cut.name], site) for cut in digs}
    result = []
    for trench in trenches:
        names = _hole(trench.name, digs)
        worst = max((item for item in trenches if item.name in names), key=_strictness)
        if _strictness(worst) > _strictness(trench):
            trench = replace(
                trench,
                protection=worst.protection,
                slope_run=max(trench.slope_run, worst.slope_run),
                spoil_setback=worst.spoil_setback,
                source=worst.source,
            )
        trench = _away_from_house(trench, whole[trench.name], cuts[trench.name], site)
        lies = _going_on(cuts[trench.name], along[trench.name], [along[name] for name in names], dangerous, site)
        guards = (planned.get(name, "") for name in (trench.name, *sorted(names)))
        bars = tuple(name for name, _ in lies if name in dangerous)
        over = tuple(
            item.name
            for item in trenches
            if item.kind == "wall"
            and trench.kind == "run"
            and _strictness(item) > _strictness(trench)
            and _over(whole[trench.name], whole[item.name])
        )
        trench = replace(
            trench,
            over=over,
            along=lies,
            close=lines_close(cuts[trench.name], site),
            bars=bars,
            planned=next(filter(None, guards), "") if bars else planned.get(trench.name, ""),
        )
        if trench.protection == "slope or shield":
            own = cuts[trench.name]
            dig = whole[trench.name] if own.area.is_empty else own
            trench = replace(trench, slope_meets=sloped_into(dig, site, trench.slope_run))
        result.append(_with_steps(trench))
    return tuple(result)


def _away_from_house(trench: Trench, cut: Cut, own: Cut, site: Site) -> Trench:
    """A run that only leaves a wall's dig: OSHA's letters on foundations say nothing of its trench beyond that."""
    from shapely import contains_xy

    if cut.run is None or cut.run.walls or trench.protection != "house-foundation letters":
        return trench
    outside = contains_xy(own.area.buffer(1e-6), cut.points[:, 0], cut.points[:, 1])
    if not outside.any():
        return trench
    job = site.job
    with quiet():
        need = guard(
            depth=float(np.max((cut.ground - cut.bottom)[outside])), bottom_width=cut.clear, by_house=False,
            soil_type=job.ground.osha_type.value, letters=False, water=trench.water > 0.0, basis=trench.basis,
        )  # fmt: skip
    if STRICTNESS.index(need.protection) <= _strictness(trench):
        return trench
    return replace(trench, protection=need.protection, spoil_setback=need.spoil_setback, source=need.source)


def own_place(cut: Cut, digs: Sequence[Cut]) -> Cut:
    """The dig without what of its place lies in an opened wall's: what lies along there is that dig's to tell."""
    from shapely import union_all

    if cut.kind != "run" or not cut.beside:
        return cut
    walls = union_all([other.area for other in digs if other.kind == "wall" and other.name in cut.beside])
    return replace(cut, area=cut.area.difference(walls))


def _with_steps(trench: Trench) -> Trench:
    """The trench with the depth it is judged by and the reach of its slopes, each a step."""
    with place(f"{PLACES[trench.kind]}.{trench.name}", "trench protection"):
        judged = judged_depth(trench.depth_greatest, doubt_of(trench.basis))
        back = slope_back(judged, trench.slope_run)
    return replace(trench, judged=judged, slope_back=back)


def _strictness(trench: Trench) -> int:
    return STRICTNESS.index(trench.protection)


def _hole(name: str, digs: Sequence[Cut]) -> set[str]:
    """All diggings that make one hole with this one."""
    found, open_ = {name}, [name]
    by_name = {cut.name: cut for cut in digs}
    while open_:
        here = by_name[open_.pop()]
        for other in digs:
            if other.name not in found and _one_hole(here, other):
                found.add(other.name)
                open_.append(other.name)
    return found


def _one_hole(first: Cut, second: Cut) -> bool:
    if {first.kind, second.kind} == {"wall"}:
        return bool(first.area.distance(second.area) < 1e-6)
    if {first.kind, second.kind} != {"wall", "run"}:
        return False
    run, wall = (first, second) if first.kind == "run" else (second, first)
    beside = run.run is not None and wall.name in run.run.walls
    return (beside or bool(run.axis.intersection(wall.area).length > SHARED)) and not _over(run, wall)


def _over(run: Cut, wall: Cut) -> bool:
    """Whether a run crosses a wall's dig so high over its bottom that it is laid in the fill, not in the open dig."""
    from shapely import contains_xy

    inside = contains_xy(wall.area.buffer(1e-6), run.points[:, 0], run.points[:, 1])
    lows = zip(run.bottom[inside], run.points[inside], strict=True)
    return bool(inside.any()) and all(low > wall.bottom_at(point) + IN_FILL for low, point in lows)


def sloped_into(cut: Cut, site: Site, slope_run: float) -> tuple[str, ...]:
    """What the sides of a dig would reach if they were sloped back.

    Parameters
    ----------
    cut : Cut
        The dig.
    site : Site
        The site.
    slope_run : float
        Horizontal over vertical. [-]

    Returns
    -------
    tuple of str
        ``"the house"`` (not for a dig along its wall), ``"the boundary"``, each buried line that lies above the
        sloped side or along inside the dig (where one leads into it and out it is a crossing and not counted here), and
        each tree whose trunk stands nearer than three diameters to the sloped side.
    """
    from shapely import LinearRing, Point, Polygon

    found = []
    beside = cut.kind == "wall" or bool(cut.beside) or bool(cut.run and cut.run.walls)
    if not beside and len(site.outline) >= 3 and _reaches(cut, Polygon(site.outline), slope_run):
        found.append("the house")
    if len(site.boundary) >= 3 and _reaches(cut, LinearRing(site.boundary), slope_run):
        found.append("the boundary")
    along = {name for name, _ in lines_along(cut, site)}
    for utility in site.utilities:
        name = utility.utility.name
        if name in along or any(
            _reaches(cut, part, slope_run, top) for part, top in _outside(cut, utility, cut.depth * slope_run)
        ):
            found.append(f"the {name}")
    trees = [
        (f"the {item.tree.name}", Point(item.at), item.tree.trunk_diameter) for item in site.trees if item.tree.keep
    ]
    found += [name for name, at, trunk in trees if _reaches(cut, at.buffer(STANDS * trunk), slope_run)]
    return tuple(found)


def lines_along(cut: Cut, site: Site) -> tuple[tuple[str, float], ...]:
    """Buried lines that lie along inside a dig: bared for a stretch, not at one place.

    Parameters
    ----------
    cut : Cut
        The dig.
    site : Site
        The site.

    Returns
    -------
    tuple of tuple of str and float
        The line's name and its length inside in plan [m], where that is more than twice the dig's width and the line
        lies above the dig's bottom.
    """
    from shapely import LineString

    found = []
    for utility in site.utilities:
        inside = float(LineString(utility.route).intersection(cut.area).length)
        if inside > ALONG * cut.width and max(utility.top) > float(np.min(cut.bottom)):
            found.append((utility.utility.name, inside))
    return tuple(found)


def lines_close(cut: Cut, site: Site) -> tuple[tuple[str, float, float], ...]:
    """Live gas, electric and propane lines that run along outside a dig, nearer than their marks may be wrong.

    Parameters
    ----------
    cut : Cut
        The dig.
    site : Site
        Has the lines and the width of the tolerance zone.

    Returns
    -------
    tuple of tuple of str, float and float
        The line's name, the least gap from the dig's side to its outside, and how far it runs so, in plan: more than
        the dig is wide. Lines that lie no higher than the dig's bottom, or along inside it, are left out. [m]
    """
    zone, inside = site.job.rules.tolerance_zone.value, {name for name, _ in lines_along(cut, site)}
    found = []
    for utility in site.utilities:
        name, radius = utility.utility.name, utility.utility.diameter / 2
        if not utility.utility.dangerous or name in inside:
            continue
        parts = [part for part, top in _outside(cut, utility, zone + radius) if top > float(np.min(cut.bottom))]
        length = math.fsum(part.length for part in parts)
        if length > cut.width:
            gap = min(part.distance(cut.area) for part in parts) - radius
            found.append((name, max(float(gap), 0.0), length))
    return tuple(found)


def _outside(cut: Cut, utility: SiteUtility, reach: float) -> Iterator[tuple[LineString, float]]:
    """Parts of a line so near beside a dig, as ``_parts`` has them; of one that enters it those that do not lead in."""
    from shapely import LineString, Point

    line, radius = LineString(utility.route), utility.utility.diameter / 2
    far = line.distance(cut.area)  # no part of it is nearer than the whole
    if far >= reach:
        return
    for part, top in _parts(utility):
        first, last = (Point(end).distance(cut.area) for end in (part.coords[0], part.coords[-1]))
        leads_in = far <= radius and abs(first - last) > LEADS * part.length
        if radius < part.distance(cut.area) < reach and not leads_in:
            yield part, top


def _going_on(
    own: Cut, along: Sequence[tuple[str, float]], hole: Iterable[Sequence[tuple[str, float]]],
    dangerous: Container[str], site: Site,
) -> tuple[tuple[str, float], ...]:  # fmt: skip
    """What lies along inside a dig, and slanting pieces in it of live lines along inside another dig of its hole."""
    from shapely import LineString

    told = {name for name, _ in along}
    others = {name for lines in hole for name, _ in lines if name in dangerous} - told
    pieces = [
        (item.utility.name, float(LineString(item.route).intersection(own.area).length))
        for item in site.utilities
        if item.utility.name in others and max(item.top) > float(np.min(own.bottom))
    ]
    return (*along, *((name, length) for name, length in pieces if length > SLANTS * own.width))


def _parts(utility: SiteUtility) -> Iterator[tuple[LineString, float]]:
    """A buried line in short parts, each with the higher of the levels of its top at its ends [m]."""
    from shapely import LineString, Point

    line = LineString(utility.route)
    places = np.unique(np.append(np.arange(0.0, line.length, PART), line.length))
    bends = [line.project(Point(at)) for at in utility.route]
    ends = np.unique(np.concatenate([places, bends]))
    tops = [float(top) for top in np.asarray(tops_at(utility, ends))]
    for first, last, high, low in zip(ends[:-1], ends[1:], tops[:-1], tops[1:], strict=True):
        yield LineString([line.interpolate(first), line.interpolate(last)]), max(high, low)


def _reaches(cut: Cut, shape: BaseGeometry, slope_run: float, top: float | None = None) -> bool:
    """Whether a sloped side has not come up to the ground, or to ``top``, where it meets a shape.

    Every place of the dig's edge is judged by its own depth: a deeper one farther off may reach what the nearest
    does not.
    """
    from shapely import distance, get_coordinates, line_locate_point, points, segmentize
    from shapely.ops import nearest_points

    if shape.distance(cut.area) >= cut.depth * slope_run:
        return False
    nearest = get_coordinates(nearest_points(cut.area, shape)[0])
    edge = points(np.concatenate([get_coordinates(segmentize(cut.area.boundary, PART)), nearest]))
    along = line_locate_point(cut.axis, edge)
    ground, bottom = (np.interp(along, cut.distances, levels) for levels in (cut.ground, cut.bottom))
    high = ground if top is None else np.minimum(ground, top)
    return bool(np.any(distance(edge, shape) < (high - bottom) * slope_run - 1e-6))


__all__ = ["STRICTNESS", "lines_along", "lines_close", "safe_sides", "sloped_into"]
