"""Shields reckoned once more, from the lot's geometry and the plan's days, by the rule's own words.

29 CFR 1926.652(a)(1), from memory of the current text: each employee in an excavation is protected from cave-ins, but
in stable rock, and in excavations of less than 5 ft in which a competent person sees no sign of one. Nothing of
``drainwright.build`` is called but to read its figures. Depths are read every centimetre, so lengths agree within 2 %.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from shapely import LineString, Point

from drainwright.design import Design

from ..conftest import designed
from .test_independent_audit import RATE, ROOTS, YD

FT, IN = 0.3048, 0.0254
STEP = 0.01
SET = 8 * FT  # of the demonstration book
EXAMPLES = (
    "block-wall-house/job", "metric-basement/job", "sloping-lot/job", "two-basins/job", "long-house/job",
    "soak-lot/job", "wrong-choices/job", "wrong-choices/mended",
)  # fmt: skip


def unsure(*bases: str) -> float:
    """Half a foot, where the depth is not measured."""
    return 0.5 * FT if {"assumed", "stated"} & set(bases) else 0.0


def room(made: Design, wall: Any) -> float:
    """From the wall's face to the far side of its dig, with the panels of shields on the soil's side. [m]"""
    guard = next(trench.protection for trench in made.build.dig.trenches if trench.name == wall.name)
    return float(wall.wall.footing_projection.value) + (27 if guard in ("slope or shield", "engineer") else 24) * IN


def drain_bottom(made: Design, at: Any) -> float:
    """The lowest trench bottom of a drain that runs within a foot of a place. [m]"""
    low = math.inf
    for run in (run for run in made.system.runs if run.walls):
        line = LineString(run.route)
        if line.distance(Point(at)) < 1e-2:
            far = line.project(Point(at))
            under = run.pipe.wall + run.stone_under
            low = min(low, float(np.interp(far, [s.distance for s in run.stations],
                                           [s.invert - under for s in run.stations])))  # fmt: skip
    return low


def beside(wall: Any, at: Any) -> tuple[float, float]:
    """How far along a wall and how far out a place lies. [m]"""
    (ax, ay), (bx, by), (nx, ny) = wall.start, wall.end, wall.outward
    x, y = at[0] - ax, at[1] - ay
    return (x * (bx - ax) + y * (by - ay)) / wall.length, x * nx + y * ny


def wall_deep(made: Design, wall: Any, along: float) -> bool:
    """Whether an opened wall's dig reaches 5 ft at a station, its drain's trench in it counted."""
    share = min(max(along / wall.length, 0.0), 1.0)
    ground = wall.ground_start + share * (wall.ground_end - wall.ground_start)
    bottom = wall.footing_top
    for run in (run for run in made.system.runs if wall.name in run.walls):
        line = LineString(run.route)
        (ax, ay), (nx, ny) = wall.start, wall.outward
        way = [(b - a) / wall.length for a, b in zip(wall.start, wall.end, strict=True)]
        across = LineString(
            [(ax + along * way[0] + out * nx, ay + along * way[1] + out * ny) for out in (0.0, room(made, wall))]
        )
        met = across.intersection(line)
        if not met.is_empty:
            low = drain_bottom(made, met.centroid.coords[0])
            bottom = min(bottom, max(low, wall.footing_bottom))
    return bool(ground - bottom + unsure(wall.wall.footing_bottom.basis) >= 5 * FT - 1e-6)


def by_hand(made: Design) -> dict[str, float]:
    """Metres of each dig that are deeper than 5 ft and in no other deep dig. [m]"""
    guarded = {
        trench.name for trench in made.build.dig.trenches if trench.protection in ("slope or shield", "engineer")
    }
    opened = [wall for wall in made.site.walls if wall.wall.open_and_coat]
    found: dict[str, float] = {}
    for station in made.system.stations:
        collar = max(9 * IN, station.collar_width)
        hole = station.inside_diameter + 2 * 0.0064 + 2 * collar + 6 * IN
        if station.name in guarded and station.ground - station.floor + 0.0064 + 4 * IN >= 5 * FT:
            found[station.name] = hole
    for wall in (wall for wall in opened if wall.name in guarded):
        corners = [
            other for other in opened if other is not wall
            and any(math.dist(a, b) < 0.05 for a in (wall.start, wall.end) for b in (other.start, other.end))
        ]  # fmt: skip
        stations = np.arange(STEP / 2, wall.length, STEP)
        length = STEP * sum(wall_deep(made, wall, at) for at in stations)
        for other in corners:
            at_start = min(math.dist(wall.start, place) for place in (other.start, other.end)) < 0.05
            if wall_deep(made, wall, 0.0 if at_start else wall.length):
                length += room(made, other) / 2
        found[wall.name] = length
    for run in (run for run in made.system.runs if run.name in guarded):
        line, count = LineString(run.route), 0
        along = [wall for wall in made.site.walls if wall.name in run.walls]
        more = unsure(*(wall.wall.footing_bottom.basis for wall in along))
        for far in np.arange(STEP / 2, line.length, STEP):
            at = line.interpolate(far).coords[0]
            ground, invert = (
                float(np.interp(far, [s.distance for s in run.stations], levels))
                for levels in ([s.ground for s in run.stations], [s.invert for s in run.stations])
            )
            down = ground - invert + run.pipe.wall + (run.stone_under if run.stone_width > 0 else 0.0)
            if down + more < 5 * FT - 1e-6:
                continue
            taken = any(
                math.dist(at, station.at) < found[station.name] / 2
                for station in made.system.stations
                if station.name in found
            )
            for wall in (wall for wall in opened if wall.name in guarded):
                station_, out = beside(wall, at)
                inside = 0 < out <= room(made, wall) and -room(made, wall) <= station_ <= wall.length + room(made, wall)
                taken = taken or (inside and wall_deep(made, wall, min(max(station_, 0.0), wall.length)))
            count += not taken
        found[run.name] = count * STEP
    return {name: length for name, length in found.items() if length > 0.05}


@pytest.mark.parametrize("path", EXAMPLES)
def test_the_metres_that_are_deep_by_hand(path: str) -> None:
    made = designed(path)
    told: dict[str, float] = {}
    for place in () if made.build.shields is None else made.build.shields.places:
        told[place.trench] = told.get(place.trench, 0.0) + place.length
        across = any(met.across for met in place.lines)
        sets, sheeted = (place.sets, place.sheeted) if across else (place.sets, 0.0)
        assert sets * SET + sheeted >= place.length - 1e-9  # every foot stands behind a set or a sheet
        assert place.length > (sets - (0 if across else 1)) * SET  # of a shut length with a line no set stands out
        assert (place.bays > 0) == across
        assert place.bays * 4 * FT >= sheeted - 1e-9
    assert told == pytest.approx(by_hand(made), rel=0.02, abs=0.03)


def people_in(made: Design, where: str, trench: str, kind: str) -> set[str]:
    """Works in which somebody stands in a place, by its pass: odd lengths with the first works, even ones after."""
    keys = {task.key for task in made.build.plan.tasks}
    names = {run.name: run for run in made.system.runs}
    at_wall = kind == "wall" or (trench in names and bool(names[trench].walls))
    number = int(where.rpartition(" ")[2]) if ", length " in where else 0
    two = "open-even" in keys or "trench-even" in keys
    whole = [""] if trench in names else ["", "-even"]  # a drain's own trench beyond the lengths: with the first
    ends = ([""] if number % 2 else ["-even"] if number else whole) if at_wall and two else [""]
    parted = any(key.endswith("-yard") for key in keys)
    dig = "trench-yard" if parted and not at_wall and kind != "basin" else "trench"
    work = {"wall": ["open", "clean", "parge", *(f"coat-{n}" for n in range(1, 7)), "board", "trench"]}.get(
        kind, [dig, *(["clean", "parge", "board", *(f"coat-{n}" for n in range(1, 7))] if at_wall else [])]
    )
    found = {f"{key}{end}" for key in work for end in ends}
    laid = ends if at_wall or not parted else ["-yard"]
    found |= {f"{key}{end}" for key in ("bed", "pipe", "stone", "inspect", "backfill") for end in laid}
    found |= {"inspect"} if not at_wall else set()
    return found | ({"basin", "collar", "round"} if kind == "basin" else set())


def shallow_from(made: Design, trench: str) -> float:
    """When stone alone has brought a basin's hole up above 5 ft; never, where it does not. [h]"""
    [station] = [one for one in made.system.stations if one.name == trench]
    if station.ground - station.lowest_inlet >= 5 * FT:
        return math.inf
    [stoned] = [task.end for task in made.build.plan.tasks if task.key == "round"]
    return float(stoned)


def opened_from(made: Design) -> float:
    """When the basins' holes are begun: two people dig them in the last hours of the trenches. [h]"""
    plan, trenches = made.build.plan, made.build.dig.trenches
    [task] = [task for task in plan.tasks if task.key == "trench"]
    hours = 0.0
    for item in (item for item in trenches if item.kind == "basin"):
        square = item.depth_greatest >= 5 * FT  # with panels of 6 in, which leave the room between them
        pit = (1 if square else math.pi / 4) * (item.width - (6 * IN if square else 0.0)) ** 2 < 2.0
        hours += item.bank_volume / YD**3 / RATE["dig-pit.firm" if pit else "dig.firm"]
    hours *= ROOTS[made.job.ground.roots]
    left = hours
    for start, end, hands in reversed(task.spells):
        pace = min(hands, 2)
        if left <= pace * (end - start):
            return float(end - left / pace)
        left -= pace * (end - start)
    return float(task.start)


@pytest.mark.parametrize("path", EXAMPLES)
def test_the_sets_by_day_by_hand(path: str) -> None:
    made = designed(path)
    hire, plan = made.build.shields, made.build.plan
    if hire is None:
        assert by_hand(made) == {}
        return
    spans = []
    for place in hire.places:
        keys = people_in(made, place.where, place.trench, place.kind)
        begins, ends = 0.0, math.inf
        if place.kind == "basin":
            begins, ends = opened_from(made), shallow_from(made, place.trench)
        inside = [
            (max(a, begins), min(b, ends))
            for task in plan.tasks
            if task.key in keys
            for a, b, _ in task.spells
            if min(b, ends) - max(a, begins) > 1e-6
        ]
        sets = 0 if any(met.across for met in place.lines) else math.ceil(place.length / SET - 1e-9)
        if inside:
            spans.append((min(a for a, _ in inside), max(b for _, b in inside), sets))
    needed = [0] * plan.days
    moments = sorted({t for a, b, _ in spans for t in (a, b)})
    for before, after in pairwise(moments):
        at = (before + after) / 2
        days = range(int(before / plan.day_length + 1e-9), math.ceil(after / plan.day_length - 1e-9))
        if after - before > 1e-6:
            for day in days:  # a set is in one place, from the first who goes in to the last
                needed[day] = max(needed[day], sum(sets for begins, ends, sets in spans if begins <= at < ends))
    while needed and needed[-1] == 0:
        needed.pop()
    assert hire.needed == tuple(needed)
    total = 0
    for number in range(1, max(needed) + 1):
        on = [day for day, count in enumerate(needed) if count >= number]
        kept = (plan.dates[on[-1]] - plan.dates[on[0]]).days + 1 if plan.dates else on[-1] - on[0] + 1
        total += 4 * (kept // 7) + min(kept % 7, 4)  # a week costs four days
    [line] = [line for line in made.build.takeoff.lines if line.key == "hire.shield"]
    assert line.quantity == total
