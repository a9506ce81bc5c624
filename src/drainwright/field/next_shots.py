"""Where one more shot would tell most: places that the job leans on, and how little the ground is known there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import JobError
from drainwright.field.boundary_sides import sides_of
from drainwright.field.ground_doubt import LEAST_SHOTS, MOST_SHOTS, doubt, roughness
from drainwright.field.ground_grid import CARRIED
from drainwright.field.model import Plan, Site
from drainwright.field.places import plan_of
from drainwright.field.surface import stations
from drainwright.field.terrain_model import Array, LowSpot, NextShot, RunOn
from drainwright.field.wall_feet import untold
from drainwright.field.wall_slopes import REACH
from drainwright.field.words import Units
from drainwright.job.values import Place
from drainwright.job.works import Run
from drainwright.quantities import write

MOST = 8
MOST_SPOTS = 20  # low spots that are looked at, the deepest
ROD = 0.003  # a rod is read to a hundredth of a foot (common practice, no source) [m]
WORTH = 0.3  # a shot is proposed where the doubt is more than this share of what is at stake [-]
TOGETHER = 0.3  # shots nearer to each other than this are one [m]
APART = 1.0  # nearer to a shot nobody needs another [m]
EVERY = 3.0  # between candidates along a run or a wall [m]
WALL_FALL = 0.1524  # 6 in over 10 ft, IRC R401.3 [m]
CLEAR = 0.1  # candidates keep so far out of the house [m]
AT_FOOT = 0.15  # a rod at the foot of a wall stands so far out [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A place whose level matters."""

    at: Plan
    place: str  # "the middle of YD1"
    stake: str  # "it falls only 0.2 ft"
    scale: float  # the difference of level that is at stake there [m]
    bears_on: str
    in_any_case: bool = False  # whatever the doubt: nothing is known there, or one reading stands alone
    first: bool = False  # before all that the doubt alone asks for


def next_shots(site: Site, spots: Sequence[LowSpot], run_on: Sequence[RunOn]) -> tuple[float, tuple[NextShot, ...]]:
    """The roughness of the ground, and where to take the next shots.

    Parameters
    ----------
    site : Site
        Surface, walls, boundary and the job with its works.
    spots : sequence of LowSpot
        Their bottoms and the places where they spill are looked at.
    run_on : sequence of RunOn
        Where water comes in over the boundary.

    Returns
    -------
    tuple
        Roughness (0 with fewer than six shots, or on a plane) [m^0.5], and at most eight shots. Each is the one that
        lessens most what is doubtful at all these places together, given those before it; the doubt at a place
        counts by its share of the difference of level that is at stake there. Low spots that rest on one reading
        come first, then the middle of what no shot tells of along the foot of a wet wall, or of one to be opened.
    """
    plan, levels = _single_shots(site)
    if len(plan) < LEAST_SHOTS:
        return 0.0, ()
    candidates = _usable(site, list(_candidates(site, spots, run_on)))
    if len(plan) > MOST_SHOTS:
        plan, levels = _nearest_shots(plan, levels, np.array([one.at for one in candidates] or [plan.mean(axis=0)]))
    rough = roughness(plan, levels)
    if not candidates or rough == 0.0:
        return rough, ()
    at = np.array([one.at for one in candidates])
    gap = np.linalg.norm(at[:, None] - plan, axis=2).min(axis=1)
    book = site.level_book
    reading = book.reading_error if book is not None and book.reading_error else ROD
    known = doubt(plan, rough, at, reading)
    weights = np.array([1.0 / one.scale for one in candidates])
    needed = np.array([one.in_any_case for one in candidates])
    # Readings that stand alone come first, then the feet of walls that no shot tells of.
    lone = needed & np.array([one.bears_on == "survey" for one in candidates])
    feet = np.array([one.first for one in candidates])
    chosen: list[NextShot] = []
    taken: list[int] = []
    while len(chosen) < MOST:
        errors = known.errors
        near = (
            np.min([np.linalg.norm(at - at[n], axis=1) for n in taken], axis=0) if taken else np.full(len(at), np.inf)
        )
        worth = ((errors * weights > WORTH) & (errors > 2.0 * reading)) | needed
        worth &= np.minimum(gap, near) > np.where(needed, 0.5 * APART, APART)
        if not worth.any():
            break
        pool = next((worth & some for some in (lone, feet) if (worth & some).any()), worth)
        best = int(np.argmax(np.where(pool, known.gains(weights), -1.0)))
        now, known = float(errors[best]), known.with_shot(best)
        why = _why(candidates[best], float(min(gap[best], near[best])), now, site.job.units)
        chosen.append(
            NextShot(
                at=candidates[best].at, why=why, bears_on=candidates[best].bears_on, doubt=now,
                after=float(known.errors[best]),
            )
        )  # fmt: skip
        taken.append(best)
    return rough, tuple(chosen)


def _single_shots(site: Site) -> tuple[Array, Array]:
    """Places and levels of the shots; of shots close together the first, for they tell of a step, not of the ground."""
    from scipy.spatial import KDTree

    real = np.array([n for n, name in enumerate(site.surface.names) if name], dtype=np.intp)
    plan = site.surface.plan[real]
    left = np.ones(len(plan), dtype=bool)
    for first, second in sorted(KDTree(plan).query_pairs(TOGETHER)) if len(plan) else []:
        if left[first]:
            left[second] = False
    return plan[left], site.surface.levels[real[left]]


def _nearest_shots(plan: Array, levels: Array, at: Array) -> tuple[Array, Array]:
    from scipy.spatial import KDTree

    distance, _ = KDTree(at).query(plan)
    kept = np.sort(np.argsort(distance, kind="stable")[:MOST_SHOTS])
    return plan[kept], levels[kept]


def _why(candidate: Candidate, gap: float, error: float, units: Units) -> str:
    if candidate.in_any_case:
        return f"{candidate.stake}: take a shot {candidate.place}."
    return (
        f"No shot lies within {_far(gap, units)} of {candidate.place}: {candidate.stake}, and the ground there is "
        f"known to {_fine(error, units)} only."
    )


def _far(value: float, units: Units) -> str:
    """A distance, rounded down."""
    unit = 0.3048 if units == "US" else 1.0
    step = 1.0 if value >= 3.0 * unit else 0.1
    whole = math.floor(value / unit / step + 1e-9) * step
    return write(whole * unit, "length", units, "ft" if units == "US" else "m", 0 if step == 1.0 else 1)


def _fine(value: float, units: Units) -> str:
    """A small difference of levels."""
    return write(value, "length", units, "ft" if units == "US" else "mm", 2 if units == "US" else 0)


def _usable(site: Site, candidates: Sequence[Candidate]) -> list[Candidate]:
    """Candidates on the lot (or, without a boundary, among the shots) and outside the house, each place once."""
    import shapely

    if not candidates:
        return []
    lot = (
        shapely.Polygon(site.boundary) if len(site.boundary) >= 3 else shapely.MultiPoint(site.surface.plan).convex_hull
    )
    area = shapely.buffer(lot, 1e-6)
    house = shapely.buffer(shapely.Polygon(site.outline), CLEAR) if len(site.outline) >= 3 else shapely.Polygon()
    east, north = np.array([one.at for one in candidates]).T
    fits = shapely.contains_xy(area, east, north) & ~shapely.contains_xy(house, east, north)
    once = {(round(one.at[0], 2), round(one.at[1], 2)): one for one, fit in zip(candidates, fits, strict=True) if fit}
    return list(once.values())


def _candidates(site: Site, spots: Sequence[LowSpot], run_on: Sequence[RunOn]) -> Iterator[Candidate]:
    units = site.job.units
    for spot in spots[:MOST_SPOTS]:
        deep = f"it is only {_fine(spot.depth, units)} deep"
        for at, which in ((spot.at, "bottom"), (spot.spill_at, "place of overflow")):
            yield Candidate(
                at=at,
                place=f"the {which} of {_called(spot)}",
                stake=deep,
                scale=max(spot.depth, 0.02),
                bears_on="survey",
            )
        if not spot.sure:
            reach = math.dist(spot.at, spot.spill_at)
            part = min(0.5, 1.5 / reach) if reach > 0.0 else 0.0
            between = tuple(a + part * (b - a) for a, b in zip(spot.at, spot.spill_at, strict=True))
            yield Candidate(
                at=(between[0], between[1]),
                place=f"{_far(part * reach, units)} from its bottom, towards where it spills",
                stake=f"{_called(spot)[0].upper()}{_called(spot)[1:]} is not sure", scale=max(spot.depth, 0.02),
                bears_on="survey", in_any_case=True,
            )  # fmt: skip
    yield from _at_bare_sides(site)
    for stretch in run_on:
        middle = (0.5 * (stretch.start[0] + stretch.end[0]), 0.5 * (stretch.start[1] + stretch.end[1]))
        yield Candidate(
            at=middle, place=f"the boundary on the {stretch.side}", stake="water seems to come in there", scale=0.1,
            bears_on="property.boundary",
        )  # fmt: skip
    yield from _at_walls(site)
    named = named_places(site)
    for run in site.job.works.runs:
        yield from _along(site, run, named)
    for inlet in site.job.works.inlets:
        if inlet.name in named:
            yield Candidate(
                at=named[inlet.name], place=inlet.name, stake="its grate is set by the ground", scale=0.05,
                bears_on=f"works.inlets.{inlet.name}",
            )  # fmt: skip
    for outlet in site.job.works.discharge:
        if outlet.name in named and outlet.kind in ("daylight", "pop-up emitter", "street", "neighbour"):
            yield Candidate(
                at=named[outlet.name], place=outlet.name, stake="water is let out there", scale=0.1,
                bears_on=f"works.discharge.{outlet.name}",
            )  # fmt: skip


def _called(spot: LowSpot) -> str:
    return spot.name if spot.name.startswith("low spot") else f"the low spot at {spot.name}"


def _at_bare_sides(site: Site) -> Iterator[Candidate]:
    """The middle of each side of the lot that lies beyond the shots."""
    import shapely

    if len(site.boundary) < 3:
        return
    sides = sides_of(site.boundary, site.job.property.north)
    shots = shapely.MultiPoint(site.surface.plan).convex_hull
    for number, name in enumerate(sides.names):
        ends = [(sides.start[n], sides.end[n]) for n in np.flatnonzero(sides.side == number)]
        start, end = max(ends, key=lambda pair: math.dist(*pair))
        middle = 0.5 * (start + end)
        away = float(shots.distance(shapely.Point(middle)))
        if away > CARRIED:
            yield Candidate(
                at=(float(middle[0]), float(middle[1])), place="at its middle",
                stake=f"Nothing is measured within {_far(away, site.job.units)} of the {name}", scale=0.1,
                bears_on="property.boundary", in_any_case=True,
            )  # fmt: skip


def _at_walls(site: Site) -> Iterator[Candidate]:
    feet = write(
        REACH, "length", site.job.units, "ft" if site.job.units == "US" else "m", 0 if site.job.units == "US" else 1
    )
    asked = _fine(WALL_FALL, site.job.units)
    yield from _at_feet(site)
    for wall in site.walls:
        station, at = stations((wall.start, wall.end), EVERY)
        for along, (east, north) in zip(station, at, strict=True):
            yield Candidate(
                at=(float(east) + REACH * wall.outward[0], float(north) + REACH * wall.outward[1]),
                place=f"the ground {feet} out from the {wall.name} wall, {_far(float(along), site.job.units)} along it",
                stake=f"it should fall {asked} to there",
                scale=WALL_FALL, bears_on=f"house.walls.{wall.name}",
            )  # fmt: skip


def _at_feet(site: Site) -> Iterator[Candidate]:
    """The middle of each stretch of a wet or opened wall along whose foot no shot lies."""
    for wall in site.walls:
        if not (wall.wall.wet or wall.wall.open_and_coat):
            continue
        for start, end in untold(site.surface, wall):
            middle = 0.5 * (start + end)
            part = middle / wall.length
            east, north = (
                a + part * (b - a) + AT_FOOT * out for a, b, out in zip(wall.start, wall.end, wall.outward, strict=True)
            )
            yield Candidate(
                at=(east, north), place=f"at the wall, {_far(middle, site.job.units)} along it",
                stake=f"No shot tells of the ground at the foot of the {wall.name} wall for "
                f"{_far(end - start, site.job.units)}",
                scale=WALL_FALL, bears_on=f"house.walls.{wall.name}", in_any_case=True, first=True,
            )  # fmt: skip


def _along(site: Site, run: Run, named: Mapping[str, Plan]) -> Iterator[Candidate]:
    units = site.job.units
    ends = [named[name] for name in (run.from_, run.to) if name in named]
    if len(ends) < 2:
        return
    where = f"works.runs.{run.name}.via"
    bends = [bend for spot in run.via if (bend := _plan(site, spot, where)) is not None]
    walls = [wall for wall in site.walls if wall.name in run.beside]
    beside = [
        (end[0] + run.beside_offset * wall.outward[0], end[1] + run.beside_offset * wall.outward[1])
        for wall in walls
        for end in (wall.start, wall.end)
    ]
    route = beside or [ends[0], *bends, ends[1]]
    if any(math.dist(a, b) == 0.0 for a, b in itertools.pairwise(route)):
        return
    fall = abs(site.surface.level(*ends[0]) - site.surface.level(*ends[1]))
    station, at = stations(route, EVERY)
    for along, (east, north) in zip(station, at, strict=True):
        place = (
            f"{run.name}, {_far(float(along), units)} from its upper end"
            if not beside
            else f"the ground over {run.name}"
        )
        yield Candidate(
            at=(float(east), float(north)), place=place,
            stake=f"the ground falls only {_fine(fall, units)} between its ends", scale=max(fall, 0.05),
            bears_on=f"works.runs.{run.name}",
        )  # fmt: skip


def _plan(site: Site, spot: Place, where: str) -> Plan | None:
    try:
        return plan_of(spot, site.points, where)
    except JobError:  # the design says so in its own place
        return None


def named_places(site: Site) -> dict[str, Plan]:
    """Places of everything that a run may join, by name, so far as they are known."""
    works, job = site.job.works, site.job
    spots = [(item.name, item.at, f"works.inlets.{item.name}") for item in works.inlets]
    spots += [(item.name, item.at, f"downspouts.{item.name}") for item in job.downspouts]
    spots += [(item.name, item.at, f"works.discharge.{item.name}") for item in works.discharge]
    spots += [(item.name, item.at, f"works.basin.{item.name}") for item in works.basins]
    named = {name: (point.east, point.north) for name, point in site.points.items() if point.way != "level only"}
    named |= {name: at for name, spot, where in spots if (at := _plan(site, spot, where)) is not None}
    return named


__all__ = ["Candidate", "named_places", "next_shots"]
