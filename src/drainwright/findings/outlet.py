"""Checks of the way out: is it lawful, does gravity reach it, does the water stay away."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from drainwright.field.model import Plan
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis
from drainwright.job.works import Discharge

SURFACE = ("daylight", "street", "pop-up emitter")


def used(case: Case) -> Discharge:
    """The discharge point that the system uses."""
    return next(item for item in case.job.works.discharge if item.name == case.system.discharge)


def _at(case: Case) -> Plan:
    return case.system.nodes[case.system.discharge].at


def to_segment(point: Plan, start: Plan, end: Plan) -> float:
    """Distance from a point to a straight stretch [m]."""
    east, north = end[0] - start[0], end[1] - start[1]
    length = east * east + north * north
    along = 0.0 if length == 0 else ((point[0] - start[0]) * east + (point[1] - start[1]) * north) / length
    along = min(1.0, max(0.0, along))
    return hypot(point[0] - start[0] - along * east, point[1] - start[1] - along * north)


def to_ring(point: Plan, ring: tuple[Plan, ...]) -> float:
    """Distance from a point to the nearest side of a closed ring [m]."""
    return min(to_segment(point, ring[i - 1], ring[i]) for i in range(len(ring)))


@rule("OUT-01", "A lawful way out", "common_practice")
def lawful(case: Case) -> Iterator[Outcome]:
    """Ask first where the water may go."""
    point = used(case)
    verdict = next(item for item in case.system.gravity if item.discharge == point.name)
    where = f"works.discharge.{point.name}"
    limit = "allowed by the place, or by a permit in hand"
    if verdict.lawful in ("allowed", "permit granted"):
        yield ok(
            where,
            f"The {point.kind} at {point.name} may take this water: {verdict.lawful}.",
            figure=verdict.lawful,
            limit=limit,
            basis=verdict.lawful_basis,
        )
    elif verdict.lawful == "forbidden":
        yield fails(
            where,
            f"Water from this job may not go to the {point.kind} at {point.name}.",
            figure="forbidden",
            limit=limit,
            advice="Find another discharge point before anything else is designed; ask the town's engineer in writing.",
            basis=verdict.lawful_basis,
        )
    else:
        yield caution(
            where,
            f"Nobody has yet said that the {point.kind} at {point.name} may take this water ({verdict.lawful}).",
            figure=verdict.lawful,
            limit=limit,
            advice="Get the permit or the written answer of the local authority before the contract is signed.",
            basis=verdict.lawful_basis,
        )


@rule("OUT-02", "Does gravity reach the way out", "common_practice")
def gravity_first(case: Case) -> Iterator[Outcome]:
    """No pump where the fall is there; a pump where it is not."""
    for verdict in case.system.gravity:
        where = f"works.discharge.{verdict.discharge}"
        figure = f"needs {case.level(verdict.needed)}, there is {case.level(verdict.available)}"
        limit = "the way out at or below the level needed"
        lawful_way = verdict.lawful in ("allowed", "permit granted", "permit needed", "unknown")
        if case.system.station is None:
            if verdict.discharge == case.system.discharge:
                text = f"Gravity reaches {verdict.discharge} over {case.length(verdict.length)}: no pump is needed."
                yield ok(where, text, figure=figure, limit=limit)
        elif verdict.reaches and lawful_way:
            yield caution(
                where,
                f"A pump is chosen, yet gravity reaches {verdict.discharge} over {case.length(verdict.length)}.",
                figure=figure,
                limit=limit,
                advice="Leave the pump out: water that falls away by itself needs no power and cannot fail in a storm.",
            )
        else:
            why = "is not lawful" if verdict.reaches else "is too high for gravity"
            yield ok(where, f"{verdict.discharge} {why}, so the water must be lifted.", figure=figure, limit=limit)


@rule("OUT-03", "Set-back from the boundary", "common_practice")
def boundary(case: Case) -> Iterator[Outcome]:
    """Surface discharge keeps its distance from the neighbour."""
    point = used(case)
    if point.kind not in SURFACE or point.kind == "street" or len(case.site.boundary) < 3:
        return
    rule_of_kind = next((item for item in case.job.rules.outlets if item.kind == point.kind), None)
    general = case.job.rules.boundary_setback
    needed = general.value
    if rule_of_kind is not None and rule_of_kind.boundary_setback is not None:
        needed = rule_of_kind.boundary_setback
    distance = to_ring(_at(case), case.site.boundary)
    where = f"works.discharge.{point.name}"
    figure, limit = case.length(distance), f"{case.length(needed)} or more"
    if distance >= needed:
        yield ok(where, "The discharge point keeps its distance from the boundary.", figure=figure, limit=limit)
    else:
        yield fails(
            where,
            f"The discharge point lies {figure} from the boundary: concentrated water would reach the neighbour.",
            figure=figure,
            limit=limit,
            advice="Move it inward, or take it to a storm line; concentrating flow on a neighbour is a liability anywhere.",
            basis=general.basis,
        )


@rule("OUT-04", "Distance from the house", "common_practice")
def from_house(case: Case) -> Iterator[Outcome]:
    """Surface discharge must not soak back to the wall."""
    point = used(case)
    if point.kind not in (*SURFACE, "dry well", "infiltration trench"):
        return
    needed = case.job.rules.house_setback
    distance = to_ring(_at(case), case.site.outline)
    where = f"works.discharge.{point.name}"
    figure, limit = case.length(distance), f"{case.length(needed.value)} or more"
    if distance >= needed.value:
        yield ok(where, "The discharge point is well away from the house.", figure=figure, limit=limit)
    else:
        yield fails(
            where,
            f"Water leaves {figure} from the house and will come back to the footing.",
            figure=figure,
            limit=limit,
            advice="Carry the line farther, to ground that falls away from the house.",
            basis=needed.basis,
        )


@rule("OUT-05", "Does the discharge run back", "common_practice")
def runs_back(case: Case) -> Iterator[Outcome]:
    """Ground at a surface discharge falls away from the house."""
    point = used(case)
    where = f"works.discharge.{point.name}"
    if point.kind in SURFACE:
        east, north = _at(case)
        ring = case.site.outline
        middle = (sum(p[0] for p in ring) / len(ring), sum(p[1] for p in ring) / len(ring))
        reach = hypot(east - middle[0], north - middle[1])
        step = min(3.0, reach / 2)
        toward = (east + (middle[0] - east) * step / reach, north + (middle[1] - north) * step / reach)
        fall = (case.site.surface.level(*toward) - case.site.surface.level(east, north)) / step
        figure = f"{case.grade(fall)} away from the house"
        if fall > 0:
            yield ok(where, "The ground at the discharge falls away from the house.", figure=figure, limit="above 0 %")
        else:
            yield fails(
                where,
                "The ground at the discharge falls back toward the house.",
                figure=figure,
                limit="above 0 %",
                advice="Move the discharge past the high ground, or grade the ground so that it falls away.",
            )


@rule("OUT-06", "Capacity of the line that is joined", "manning_1891")
def joined(case: Case) -> Iterator[Outcome]:
    """The line that the pumped flow joins must carry it together with what else it takes."""
    line = case.system.joined
    if line is None:
        return
    where = f"works.discharge.{case.system.discharge}.joins"
    figure, limit = case.flow(line.load), case.flow(line.capacity)
    parts = f"pumped {case.flow(line.pumped)}, roof {case.flow(line.roof)}"
    if line.other > 0:
        parts += f", other {case.flow(line.other)}"
    if line.load > line.capacity:
        yield fails(
            where,
            f"{line.name} runs full at {limit}, but takes {figure} at the same time ({parts}).",
            figure=figure,
            limit=limit,
            advice="Give the pumped water its own line, take the roof water elsewhere, or lay the joined line larger.",
            basis=line.basis,
        )
    elif line.load > 0.9 * line.capacity:
        yield caution(
            where,
            f"{line.name} is nearly full when the pump runs in the design rain ({parts}).",
            figure=figure,
            limit=limit,
            advice="Check its fall and inside with a camera before it is relied on.",
            basis=line.basis,
        )
    else:
        yield ok(where, f"{line.name} carries it all ({parts}).", figure=figure, limit=limit, basis=line.basis)


@rule("OUT-07", "Frost", "common_practice")
def frost(case: Case) -> Iterator[Outcome]:
    """A pressure line lies below frost, drains itself, or has a way out beside it when it freezes."""
    depth = case.job.rules.frost_depth
    if case.system.station is None or depth.value <= 0:
        return
    line = case.system.run(case.system.station.discharge_run)
    least = min(station.cover for station in line.stations)
    where = f"works.runs.{line.name}"
    figure, limit = case.length(least), f"{case.length(depth.value)} of cover"
    point = used(case)
    if least >= depth.value:
        yield ok(where, "The discharge line lies below frost.", figure=figure, limit=limit, basis=depth.basis)
    elif point.winter_relief or point.air_gap:
        yield caution(
            where,
            "The discharge line is within reach of frost; the relief or air break lets water out when it freezes.",
            figure=figure,
            limit=limit,
            advice="Lay it to fall all the way so that it drains itself; see that the relief stays clear in winter.",
            basis=depth.basis,
        )
    else:
        yield fails(
            where,
            "The discharge line can freeze and has no other way out: the pump would work against ice.",
            figure=figure,
            limit=limit,
            advice="Lay it below frost, or self-draining into a larger pipe with an air break near the wall.",
            basis=depth.basis,
        )


@rule("OUT-08", "Water standing in the way out", "hds2")
def tailwater(case: Case) -> Iterator[Outcome]:
    """A tailwater above the pipe stops a gravity outlet."""
    point = used(case)
    if case.system.station is not None or point.tailwater is None:
        return
    last = next((run for run in case.system.runs if run.lower == point.name), None)
    if last is None:
        return
    surface = last.stations[-1].water
    crown = last.invert_lower + last.pipe.inside
    where = f"works.discharge.{point.name}"
    if surface > crown:
        yield caution(
            where,
            "Water stands over the outlet at the design flow and holds the last run full.",
            figure=case.level(surface),
            limit=case.level(crown),
            advice="Fit a flap, or raise the outlet if the fall allows.",
            basis=Basis.STATED,
        )
    else:
        yield ok(where, "The outlet runs free.", figure=case.level(surface), limit=case.level(crown))


__all__ = ["to_ring", "to_segment", "used"]
