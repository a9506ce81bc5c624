"""Checks of where a soakaway lies: its distances, what must be spared, the ground it stands in."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from drainwright.field.model import Plan
from drainwright.field.places import plan_of
from drainwright.field.points import inside
from drainwright.field.words import least_sure
from drainwright.findings.places import to_segment
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.soaks import named, verb, where_of
from drainwright.job.site import Protected
from drainwright.job.values import Basis
from drainwright.system.model import SizedRun
from drainwright.system.outlets.soak_model import Ring, Soakaway

FOOT, INCH = 0.3048, 0.0254
STEEP, STEEPEST = 0.15, 0.20  # of the ground: asked by some places; a county's sheet goes no steeper [-]
SOIL_OVER = 6 * INCH  # over the stone, for grass; common practice, no source [m]
#: Distances that are usual where the job gives none; from the pool's on they are common practice, no source. [m]
USUAL_DISTANCES = {
    "well": 50 * FOOT, "septic field": 35 * FOOT, "septic tank": 25 * FOOT, "steep bank": 50 * FOOT,
    "wetland": 50 * FOOT, "pool": 10 * FOOT, "footing": 10 * FOOT, "retaining wall": 10 * FOOT, "overhead line": 0.0,
    "fence": 0.0,
}  # fmt: skip
TOO_CLOSE = 0.3  # of a pipe to the stone of a soakaway: the side of its trench would fall in [m]
DRAIN_TO_SEPTIC = 25 * FOOT  # of a footing drain from a septic field that lies lower: a state's rule [m]


@rule("OUT-14", "Distances of a soakaway", "soak_setbacks")
def set_backs(case: Case) -> Iterator[Outcome]:
    """House and boundary; what it lets in must not come back to a wall, here or next door."""
    rules, ring = case.job.rules, case.site.boundary
    for soak in case.system.soaks:
        places = [corner for outline in soak.outlines for corner in outline]
        beyond = [corner for corner in places if not inside(ring, corner)] if len(ring) >= 3 else []
        over, to_edge = bool(beyond), None
        if len(ring) >= 3:  # how near it comes, or how far the farthest of it lies on the neighbour's land
            to_edge = max(_to_shape(at, ring) for at in beyond) if beyond else min(_to_shape(at, ring) for at in places)
        asked, own = rules.soak_house_setback, rules.soak_boundary_setback
        limit = f"{case.length(asked.value)} from the house, {case.length(own.value)} from the boundary"
        figure = f"{case.length(soak.house_distance)} from the house"
        if to_edge is not None:
            figure += f", {case.length(to_edge)} {'over' if over else 'from'} the boundary"
        basis = least_sure(asked.basis, own.basis)
        near = []
        if soak.house_distance < asked.value - 1e-6:
            near.append("the house")
        if to_edge is not None and (over or to_edge < own.value - 1e-6):
            near.append("the boundary")
        if near:
            yield fails(
                where_of(soak),
                f"{named(soak)} {verb(soak, 'lies', 'lie')} too near to {' and '.join(near)}.",
                figure=figure,
                limit=limit,
                advice=("It lies on the neighbour's land, where nothing may be built. " if over else "")
                + "Move it, or turn it with 'bearing'; ask the place for its own distances.",
                basis=basis,
            )
        else:
            text = f"{named(soak)} {verb(soak, 'keeps', 'keep')} {verb(soak, 'its', 'their')} distance from house and boundary."
            yield ok(where_of(soak), text, figure=figure, limit=limit, basis=basis)


def _to_shape(at: Plan, shape: tuple[Plan, ...]) -> float:
    """Distance from a place to the line round a shape, to a line of two places, or to a single one [m]."""
    if len(shape) == 1:
        return to_segment(at, shape[0], shape[0])
    last = 0 if len(shape) > 2 else 1
    return min(to_segment(at, shape[number - 1], shape[number]) for number in range(last, len(shape)))


def _apart(case: Case, thing: Protected, rings: tuple[Ring, ...]) -> float:
    """Least distance between a protected thing and outlines; 0 where one lies in the other [m]."""
    shape = tuple(plan_of(at, case.site.points, f"property.protected.{thing.name}") for at in thing.at)
    places = [corner for ring in rings for corner in ring]
    if len(shape) >= 3 and any(inside(shape, corner) for corner in places):
        return 0.0
    if any(len(ring) >= 3 and inside(ring, at) for ring in rings for at in shape):
        return 0.0
    return min(
        *(_to_shape(corner, shape) for corner in places),
        *(_to_shape(at, ring) for ring in rings for at in shape),
    )


@rule("OUT-15", "Wells, septic systems and banks", "soak_setbacks")
def protected(case: Case) -> Iterator[Outcome]:
    """Water let in or out, and a drain near a septic field, keep their distance from what must be spared."""
    for thing in case.job.property.protected:
        if thing.kind == "fence":  # water does it no harm
            continue
        usual = USUAL_DISTANCES[thing.kind]
        asked = usual if thing.setback is None else thing.setback.value
        basis = Basis.ASSUMED if thing.setback is None else thing.setback.basis
        items: list[tuple[str, str, tuple[Ring, ...], float]] = [
            (where_of(soak), named(soak), soak.outlines, asked) for soak in case.system.soaks
        ]
        items += [
            (f"works.discharge.{fall.name}", f"The outlet at {fall.name}", ((fall.at,),), asked)
            for fall in case.system.outfalls
            if fall.kind != "street"
        ]
        if thing.kind == "septic field":
            items += [
                (f"works.runs.{run.name}", f"The footing drain {run.name}", (run.route,), _from_drain(case, thing, run))
                for run in case.system.runs
                if run.duty == "footing drain"
            ]
        for where, what, rings, needed in items:
            distance = _apart(case, thing, rings)
            figure, limit = f"{case.length(distance)} from {thing.name}", f"{case.length(needed)} or more"
            if distance < needed - 1e-6:
                yield fails(
                    where,
                    f"{what}: too near to {thing.name}, a {thing.kind}.",
                    figure=figure,
                    limit=limit,
                    advice="Move it, or ask the health or building department what it allows here, in writing.",
                    basis=basis,
                )
            else:
                yield ok(where, f"{what}: far enough from {thing.name}.", figure=figure, limit=limit, basis=basis)


def _from_drain(case: Case, thing: Protected, run: SizedRun) -> float:
    """What a drain keeps from a septic field that it draws on: twice as much where it lies lower [m]."""
    if thing.setback is not None:
        return thing.setback.value
    at = plan_of(thing.at[0], case.site.points, f"property.protected.{thing.name}")
    field = float(case.site.surface.level(*at))
    below = min(station.ground for station in run.stations) < field
    return 2 * DRAIN_TO_SEPTIC if below else DRAIN_TO_SEPTIC


@rule("OUT-16", "The ground that a soakaway stands in", "soak_setbacks")
def stands_in(case: Case) -> Iterator[Outcome]:
    """Not on a steep slope, not without soil over it, not lower than the footing it would soften."""
    slope = case.job.criteria.bearing_slope
    for soak in case.system.soaks:
        figure = (
            f"ground at {case.grade(soak.ground_slope)}, {case.length(abs(soak.ground - soak.top))} of soil over it"
        )
        limit = f"less than {case.grade(STEEPEST)}, {case.length(SOIL_OVER)} of soil or more"
        wedge = [
            wall for wall in case.site.walls if soak.bottom < wall.footing_bottom - soak.house_distance / slope - 1e-6
        ]
        if soak.ground_slope > STEEPEST:
            yield fails(
                where_of(soak),
                f"The ground at {soak.name} is too steep: water let in comes out again lower down, and the bank may slip.",
                figure=figure,
                limit=limit,
                advice="Take it to level ground, or away in a pipe.",
                basis=soak.ground_basis,
            )
        elif soak.ground < soak.top:
            yield fails(
                where_of(soak),
                f"The stone of {soak.name} would stand out of the ground.",
                figure=f"{case.length(soak.top - soak.ground)} above the ground",
                limit=limit,
                advice="Lower its inlet, or lay it along a contour with 'bearing'.",
                basis=soak.ground_basis,
            )
        elif wedge:
            yield fails(
                where_of(soak),
                f"{soak.name} is dug into the ground that carries the {wedge[0].name} footing, and would soften it.",
                figure=f"bottom at {case.level(soak.bottom)}, {case.length(soak.house_distance)} from the wall",
                limit=f"{case.level(wedge[0].footing_bottom - soak.house_distance / slope)} or higher there",
                advice="Move it away from the house, or make it shallower.",
                basis=wedge[0].wall.footing_bottom.basis,
            )
        elif soak.ground_slope > STEEP or soak.ground - soak.top < SOIL_OVER - 1e-6:
            yield caution(
                where_of(soak),
                f"{soak.name} lies {'on a slope' if soak.ground_slope > STEEP else 'shallow: grass over it dries out, and it freezes sooner'}.",
                figure=figure,
                limit=limit,
                advice="Lay it along the contour, and look below it for wet places after the first storms."
                if soak.ground_slope > STEEP
                else "Lower its inlet if the fall allows; cover the fabric well.",
                basis=soak.ground_basis,
            )
        else:
            text = f"The ground at {soak.name} suits a soakaway. Never dig it into fill: water finds its way along it."
            yield ok(where_of(soak), text, figure=figure, limit=limit, basis=soak.ground_basis)


@rule("OUT-24", "Pipe through a soakaway", "common_practice")
def passed_by(case: Case) -> Iterator[Outcome]:
    """No pipe but its own lies in a soakaway's stone or right beside it; over and under it only with care."""
    room = f"{case.length(TOO_CLOSE)} or more"
    for soak in case.system.soaks:
        others = [run for run in case.system.runs if run.lower != soak.name]
        near = [(run, *levels) for run in others if (levels := _levels_at(soak, run)) is not None]
        for run, lowest, highest in near:
            where = f"works.runs.{run.name}"
            stone = f"stone from {case.level(soak.bottom)} to {case.level(soak.top)}"
            pipe = f"{run.name} at {case.level(lowest)} to {case.level(highest)} there"
            away = case.length(case.job.criteria.trench_width)
            apart = _from_stone(soak, run)
            how = "through" if apart <= 0.0 else f"{case.length(apart)} from"
            if highest >= soak.bottom and lowest <= soak.top:
                yield fails(
                    where,
                    f"{run.name} passes {how} the stone of {soak.name}, at its depth.",
                    figure=f"{pipe}, {stone}",
                    limit=f"{room} from the stone in plan",
                    advice=f"Draw the run with 'via' so that it keeps {away} from the stone, or turn {soak.name} with 'bearing'.",
                )
                continue
            over = lowest > soak.top
            gap = lowest - soak.top if over else soak.bottom - highest
            side = "over" if over else "under"
            do = (
                f"Lay {soak.name} first, with its fabric closed, and bed the pipe on packed soil: it settles with the stone."
                if over
                else f"Lay {run.name} first, with tight joints and packed fill: water that soaks down washes loose soil away."
            )
            yield caution(
                where,
                f"{run.name} passes {case.length(gap)} {side} the stone of {soak.name}.",
                figure=f"{pipe}, {stone}",
                limit=f"{room} from the stone in plan",
                advice=f"{do} Better keep {away} from it in plan.",
            )
        if not near:
            least = min((_from_stone(soak, run) for run in others), default=None)
            figure = "no other pipe" if least is None else f"nearest other pipe {case.length(least)} from the stone"
            text = f"No pipe but its own comes near the stone of {soak.name}."
            yield ok(where_of(soak), text, figure=figure, limit=room)


def _from_stone(soak: Soakaway, run: SizedRun) -> float:
    """Distance in plan of a run's middle line from the stone; 0 where it passes through [m]."""
    from shapely import LineString, Polygon

    line = LineString(run.route)
    return min(float(line.distance(Polygon(ring))) for ring in soak.outlines)


def _levels_at(soak: Soakaway, run: SizedRun) -> tuple[float, float] | None:
    """Lowest and highest level of a pipe where it lies nearer to the stone than ``TOO_CLOSE``; None: nowhere [m].

    Where a part of it there lies at the depth of the stone, the levels are those of that part.
    """
    from shapely import LineString, Point, Polygon, get_coordinates, union_all

    zone = union_all([Polygon(ring).buffer(TOO_CLOSE) for ring in soak.outlines])
    parts = []
    for a, b in pairwise(run.stations):
        leg = LineString([a.at, b.at])
        part = leg.intersection(zone)
        if part.is_empty or leg.length <= 0.0:
            continue
        shares = [leg.project(Point(end), normalized=True) for end in get_coordinates(part)]
        inverts = [a.invert + share * (b.invert - a.invert) for share in shares]
        parts.append((min(inverts), max(inverts) + run.pipe.outside))
    if not parts:
        return None
    meeting = [part for part in parts if part[1] >= soak.bottom and part[0] <= soak.top] or parts
    return min(low for low, _ in meeting), max(high for _, high in meeting)


__all__ = ["USUAL_DISTANCES"]
