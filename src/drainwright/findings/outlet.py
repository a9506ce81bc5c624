"""Checks of the way out: is it lawful, does gravity reach it, does the water stay away."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from drainwright.field.points import inside
from drainwright.findings.gravity_words import lack_words
from drainwright.findings.places import leads_to, listed, nearest_on_ring, to_ring
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.stations import basin_of, each_station
from drainwright.findings.ways_out import about, nears_house, soaks_near
from drainwright.findings.ways_used import each_way, the_point, used, where_it_is
from drainwright.job.values import Basis
from drainwright.job.works import Discharge
from drainwright.system.model import GravityVerdict, LiftStation, SizedRun, Station
from drainwright.system.outlets.outfall_model import GroundWay

SURFACE = ("daylight", "street", "pop-up emitter")
ON_THE_LOT = ("daylight", "pop-up emitter", "dry well", "infiltration trench")
SUPPORT = 1e-3  # levels nearer to each other than this are level [m]
LOOK = 3.0  # how far the ground at a discharge is looked at, toward the house and beyond [m]
NEARLY_LEVEL = 0.01  # ground that hardly leads water away; common practice, no source [-]


@rule("OUT-01", "A lawful way out", "common_practice")
@each_way
def lawful(case: Case, point: Discharge) -> Iterator[Outcome]:
    """Ask first where the water may go."""
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
    spare = {item.name for item in case.job.works.discharge if item.overflow_only}
    for verdict in (item for item in case.system.gravity if item.discharge not in spare):
        where = f"works.discharge.{verdict.discharge}"
        figure = f"the way out is at {case.level(verdict.available)}"
        limit = f"at {case.level(verdict.needed)} or lower"
        lawful_way = verdict.lawful in ("allowed", "permit granted", "permit needed", "unknown")
        if case.system.station is None:
            if verdict.discharge != case.system.discharge:
                continue
            if verdict.reaches:
                text = f"Gravity reaches {verdict.discharge} over {case.length(verdict.length)}: no pump is needed."
                yield ok(where, text, figure=figure, limit=limit)
            else:
                why = lack_words(verdict, case.job.units) or "it is too high"
                yield fails(
                    where,
                    f"Gravity does not reach {verdict.discharge}, and no pump is planned: {why}.",
                    figure=figure,
                    limit=limit,
                    advice="Plan a basin with a pump, or find a lower way out.",
                )
        elif case.system.falls_to(verdict.discharge) and not case.system.lifts_to(verdict.discharge):
            if verdict.reaches:  # where it does not, the runs themselves tell
                text = f"What runs to {verdict.discharge} goes there by its own weight; no pump lifts it."
                yield ok(where, text, figure=figure, limit=limit)
        elif better := _without_a_pump(case, verdict):
            names, way = better
            yield caution(
                where,
                f"What is led to {verdict.discharge} is lifted, yet by its level {way.discharge}, which may be used, would take the "
                f"water of {listed(names)} without a pump.",
                figure=f"by the shortest way it arrives there at {case.level(way.drains_at)}",
                limit=f"{case.level(way.available)}, its invert, or higher",
                advice="See by 'drainwright schemes' what the lot costs without a pump, or lead them there and design anew: cover, "
                "fall and price are for the design to confirm. Water that falls away by itself needs no power.",
            )
        elif verdict.reaches and lawful_way:
            first = "" if verdict.lawful in ("allowed", "permit granted") else "Ask whether water may go there. "
            yield caution(
                where,
                f"A pump is chosen, yet gravity reaches {verdict.discharge} over {case.length(verdict.length)}.",
                figure=figure,
                limit=limit,
                advice=f"{first}Leave the pump out: water that falls away by itself needs no power and cannot fail in a storm.",
            )
        elif verdict.lacks == "ground":
            yield caution(
                where,
                f"Gravity would reach {verdict.discharge}: {lack_words(verdict, case.job.units)}, so the water is lifted.",
                figure=f"{case.length(verdict.above_ground)} above the ground",
                limit="at the ground or lower",
                advice="Was its invert booked right? Measure it and the ground beside it again. End the pipe where it meets "
                f"the surface, at {case.level(verdict.available - verdict.above_ground)} or lower, or raise the ground round "
                "it with fill that stays; then design anew: gravity may do it without a pump.",
            )
        elif verdict.lacks in ("free water", "way"):
            text = f"Gravity does not reach {verdict.discharge}: {lack_words(verdict, case.job.units)}. The water is lifted."
            yield ok(where, text, figure=figure, limit=limit)
        else:
            why = "may not be used" if verdict.reaches else "is too high for gravity"
            high = limit if verdict.reaches else f"above {case.level(verdict.needed)}, which gravity would want"
            yield ok(where, f"{verdict.discharge} {why}, so the water must be lifted.", figure=figure, limit=high)


def _without_a_pump(case: Case, verdict: GravityVerdict) -> tuple[tuple[str, ...], GravityVerdict] | None:
    """Lifted footing drains that another way out, allowed and low enough, would take, and that way out."""
    if verdict.reaches or not case.system.lifts_to(verdict.discharge):
        return None
    spare = {item.name for item in case.job.works.discharge if item.overflow_only}
    stations = [station.name for station in case.system.stations]
    best: tuple[tuple[str, ...], GravityVerdict] | None = None
    for other in case.system.gravity:
        if other is verdict or other.discharge in spare or other.lacks == "ground":
            continue
        lifted = tuple(name for name in other.drains if any(leads_to(case.system, name, end) for end in stations))
        if lifted and other.lawful in ("allowed", "permit granted") and (best is None or len(lifted) > len(best[0])):
            best = lifted, other
    return best


@rule("OUT-03", "Set-back from the boundary", "common_practice")
@each_way
def boundary(case: Case, point: Discharge) -> Iterator[Outcome]:
    """A discharge on the lot keeps its distance from the neighbour."""
    ring = case.site.boundary
    if point.kind not in ON_THE_LOT or len(ring) < 3:
        return
    general = case.job.rules.boundary_setback
    needed, basis = general.value, general.basis
    own = next((item for item in case.job.rules.outlets if item.kind == point.kind), None)
    if own is not None and own.boundary_setback is not None:
        needed, basis = own.boundary_setback, own.standing.basis
    here = where_it_is(case, point)
    distance, within = to_ring(here, ring), inside(ring, here)
    where = f"works.discharge.{point.name}"
    figure = case.length(distance) + ("" if within else " outside the boundary")
    limit = f"{case.length(needed)} or more inside it"
    if within and distance >= needed - 1e-6:
        text = f"{the_point(case, point)} keeps its distance from the boundary."
        yield ok(where, text, figure=figure, limit=limit, basis=basis)
    else:
        place = f"{figure} from the boundary" if within else figure
        yield fails(
            where,
            f"{the_point(case, point)} lies {place}: concentrated water would reach the neighbour.",
            figure=figure,
            limit=limit,
            advice="Move it inward, or take it to a storm line; concentrating flow on a neighbour is a liability anywhere.",
            basis=basis,
        )


@rule("OUT-04", "Distance from the house", "common_practice")
@each_way
def from_house(case: Case, point: Discharge) -> Iterator[Outcome]:
    """A discharge on the lot must not soak back to the wall."""
    if point.kind not in (*SURFACE, *ON_THE_LOT):
        return
    needed = case.job.rules.house_setback
    here = where_it_is(case, point)
    distance = 0.0 if inside(case.site.outline, here) else to_ring(here, case.site.outline)
    where = f"works.discharge.{point.name}"
    figure, limit = case.length(distance), f"{case.length(needed.value)} or more"
    if distance >= needed.value - 1e-6:
        text = f"{the_point(case, point)} is well away from the house."
        yield ok(where, text, figure=figure, limit=limit, basis=needed.basis)
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
@each_way
def runs_back(case: Case, point: Discharge) -> Iterator[Outcome]:
    """Water let out on the ground runs away from the house.

    Where its way was followed, that tells: OUT-22 and GRD-06 say it where it comes back, and here nothing is said twice.
    Else the ground is read at the discharge and ten feet nearer the house. A street has its own gutter.
    """
    if point.kind not in SURFACE or point.kind == "street":
        return
    way = _followed(case, point)
    if way is not None:
        yield from _along(case, point, way)
        return
    where, limit = f"works.discharge.{point.name}", f"{case.grade(NEARLY_LEVEL)} or more away from the house"
    here, surface = where_it_is(case, point), case.site.surface
    house = nearest_on_ring(here, case.site.outline)
    reach = hypot(house[0] - here[0], house[1] - here[1])
    if reach == 0 or inside(case.site.outline, here):
        return  # OUT-04 says so
    step = min(LOOK, reach / 2)
    nearer = (here[0] + (house[0] - here[0]) * step / reach, here[1] + (house[1] - here[1]) * step / reach)
    fall = (surface.level(*nearer) - surface.level(*here)) / step
    figure = f"{case.grade(abs(fall))} {'away from' if fall >= 0 else 'toward'} the house"
    sure = surface.supported(*here) and surface.supported(*nearer)
    basis = Basis.MEASURED if sure else Basis.ASSUMED
    if fall <= 0:
        yield fails(
            where,
            "The ground at the discharge falls back toward the house."
            if fall < 0
            else "The ground at the discharge is level: water spreads toward the house.",
            figure=figure,
            limit=limit,
            advice="Move the discharge past the high ground, or grade the ground so that it falls away.",
            basis=basis,
        )
    elif fall < NEARLY_LEVEL:
        yield caution(
            where,
            "The ground at the discharge is nearly level: water spreads, and part of it soaks back.",
            figure=figure,
            limit=limit,
            advice="Grade a shallow swale from the discharge away from the house, or carry the line farther.",
            basis=basis,
        )
    elif not sure:
        yield caution(
            where,
            "The ground at the discharge was not measured; by the nearest shots it falls away from the house.",
            figure=figure,
            limit=limit,
            advice=f"Take shots at the discharge and {case.length(LOOK)} toward and beyond it.",
            basis=basis,
        )
    else:
        yield ok(where, "The ground at the discharge falls away from the house.", figure=figure, limit=limit)


def _followed(case: Case, point: Discharge) -> GroundWay | None:
    """The water's way from there; None where it was not followed far enough to tell."""
    terrain = case.site.terrain
    way = next((fall.way for fall in case.system.outfalls if fall.name == point.name), None)
    on = next((item for item in terrain.ways_on if item.name == point.name), None) if terrain is not None else None
    if way is None or on is None or (on.kind == "beyond the shots" and way.length < LOOK):
        return None
    return way


def _along(case: Case, point: Discharge, way: GroundWay) -> Iterator[Outcome]:
    """That the water runs away, where it does; what else there is to say is said by OUT-22 and GRD-06."""
    terrain = case.site.terrain
    back = terrain is not None and any(item.name == point.name and item.comes_back for item in terrain.ways_on)
    if back or nears_house(case, way) or soaks_near(way):
        return
    yield ok(
        f"works.discharge.{point.name}",
        f"Followed over the ground for {about(case, way.length)}, the water let out at {point.name} runs away from the house; "
        "OUT-22 says how near it comes and where it leaves the lot.",
        figure=f"nearest to the house {about(case, way.nearest_house)}",
        limit=f"{case.length(case.job.rules.house_setback.value)} or more, or no nearer than where it is let out",
        basis=Basis.ASSUMED,
    )


def _standing(line: SizedRun, drains_back: bool) -> tuple[Station, ...]:
    """The stations where water stands when the pump rests: those with a higher place after them, and that place.

    In a line that drains back into the basin water stands only where there is a higher place before it, too.
    """
    found: set[int] = set()
    stations = line.stations
    for number, station in enumerate(stations):
        dammed = any(after.invert > station.invert + SUPPORT for after in stations[number + 1 :])
        held = any(before.invert > station.invert + SUPPORT for before in stations[:number])
        if dammed and (held or not drains_back):
            found |= {number, number + 1}
    return tuple(stations[number] for number in sorted(found))


def _drains_back(case: Case, station: LiftStation, point: Discharge | None) -> bool:
    """Whether the discharge line empties into the basin when the pump rests, and air follows from its open end."""
    basin = basin_of(case, station.name)
    end = case.system.run(station.discharge_run).lower
    opens = case.system.nodes[end].kind in ("inlet", "basin") if point is None else point.kind in SURFACE
    if basin is None or not opens:
        return False
    return not basin.check_valve or (
        basin.relief_hole is not None and basin.relief_hole_place == "above the check valve"
    )


@rule("OUT-07", "Frost", "common_practice")
@each_station
def frost(case: Case, station: LiftStation, _: str) -> Iterator[Outcome]:
    """A pressure line lies below frost, drains itself, or has a way out beside it when it freezes."""
    depth = case.job.rules.frost_depth
    if depth.value <= 0:
        return
    line = case.system.run(station.discharge_run)
    point = next((item for item in case.job.works.discharge if item.name == line.lower), None)
    standing = _standing(line, _drains_back(case, station, point))
    where, limit = f"works.runs.{line.name}", f"{case.length(depth.value)} of cover where water stands"
    if not standing:
        text = "The discharge line drains itself when the pump rests, so that nothing is left to freeze."
        yield ok(where, text, figure="drains itself", limit=limit, basis=depth.basis)
        return
    least = min(station.cover for station in standing)
    figure = f"{case.length(least)} of cover" if least >= 0 else f"{case.length(-least)} above the ground"
    if least >= depth.value:
        yield ok(where, "The discharge line lies below frost.", figure=figure, limit=limit, basis=depth.basis)
    elif point is not None and (point.winter_relief or point.air_gap):
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
    where, limit = f"works.discharge.{point.name}", f"{case.level(crown)}, the pipe's crown"
    if surface > crown:
        yield caution(
            where,
            "Water stands over the outlet at the design flow and holds the last run full.",
            figure=case.level(surface),
            limit=limit,
            advice="Fit a flap, or raise the outlet if the fall allows.",
            basis=Basis.STATED,
        )
    else:
        text = "The outlet runs free at the design flow."
        yield ok(where, text, figure=case.level(surface), limit=limit, basis=Basis.STATED)


@rule("OUT-09", "Outlet at the ground", "common_practice")
def in_the_air(case: Case) -> Iterator[Outcome]:
    """A pipe that comes out of the ground does so where it ends, and one that joins a buried line stays below ground."""
    points = {item.name: item for item in case.job.works.discharge}
    for run in case.system.runs:
        point = points.get(run.lower)
        if point is None:
            continue
        end = run.stations[-1]
        above = end.invert - end.ground
        opens = point.kind in SURFACE
        where = f"works.discharge.{point.name}"
        figure = f"{case.length(abs(above))} {'above' if above > 0 else 'below'} the ground"
        limit = (
            f"{case.length(run.pipe.outside)} above it, the pipe's own height, at most" if opens else "in the ground"
        )
        basis = Basis.MEASURED if case.site.surface.supported(*end.at) else Basis.ASSUMED
        if above <= (run.pipe.outside if opens else 0.0) + SUPPORT:
            yield ok(where, f"{run.name} ends where its outlet can be.", figure=figure, limit=limit, basis=basis)
        else:
            yield fails(
                where,
                f"{run.name} ends in the air, {case.length(above)} above the ground at {point.name}.",
                figure=figure,
                limit=limit,
                advice="Was its invert booked right? Measure it and the ground beside it again; if both stand, hold the "
                "pipe's end in fill or a wall.",
                basis=basis,
            )


__all__ = ["SURFACE", "used"]
