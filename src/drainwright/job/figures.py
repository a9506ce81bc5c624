"""Checks of figures against each other: rain table, pump curve, floats, levels, dates."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from statistics import median
from typing import Literal, get_args

from drainwright.errors import Problem
from drainwright.job.limits import RISE
from drainwright.job.model import Job
from drainwright.job.names import Names, parts_of
from drainwright.job.site import Agreed, DigGuard, House, UtilityKind
from drainwright.job.values import Level
from drainwright.job.works import Basin
from drainwright.quantities import write

ROUNDING = 0.01  # printed depths carry two or three figures: a rise of intensity within this is rounding [-]
LEAST_RAIN = 1e-4  # no table of a place where it rains has less [m]
LEAST_WORDS = 3  # of what was given in writing: less says nothing to the one who stands in the dig
CLOSE = 1e-9  # relative, of times that are equal [-]


def check_figures(job: Job, names: Names) -> Iterator[Problem]:
    """Everything that cannot be as it is written, whatever the survey gives."""
    yield from _rain(job)
    yield from _lift(job)
    yield from _levels(job, names)
    yield from _far_levels(job)
    yield from _dates(job)
    kinds = {utility.kind for utility in job.utilities}
    for index, kind in enumerate(job.utilities_absent):
        if kind in kinds:
            yield Problem(
                where=f"utilities_absent[{index}]", found=f"{kind!r}, which is also among the utilities",
                expected="kinds of line that are not on this lot",
            )  # fmt: skip
    lines = {utility.name for utility in job.utilities}
    for index, item in enumerate(job.locates.answers):
        if item.line not in lines and item.line not in get_args(UtilityKind):
            yield Problem(
                where=f"locates.answers[{index}].line", found=f"{item.line!r}, which is no line of this job",
                expected=f"the name of a utility, or a kind: {', '.join(get_args(UtilityKind))}",
            )  # fmt: skip
    seen: set[str] = set()
    for index, rule in enumerate(job.rules.outlets):
        if rule.kind in seen:
            yield Problem(where=f"rules.outlets[{index}].kind", found=f"{rule.kind!r} again", expected="each kind once")
        seen.add(rule.kind)


def _time(value: float) -> str:
    style = "yr" if value >= 31557600.0 * 0.5 else "h" if value >= 7200.0 else "min"
    return write(value, "time", "SI", style, 1).replace(".0 ", " ")


def _rain(job: Job) -> Iterator[Problem]:
    rain, criteria = job.rain, job.criteria
    units = job.units
    for index, (before, after) in enumerate(pairwise(rain.return_periods), start=1):
        if after <= before:
            yield Problem(
                where=f"rain.return_periods[{index}]", found=f"{_time(after)} after {_time(before)}",
                expected="return periods that rise",
            )  # fmt: skip
    for index, row in enumerate(rain.table):
        where = f"rain.table[{index}].depths"
        for number, depth in enumerate(row.depths):
            if depth < LEAST_RAIN:
                yield Problem(
                    where=f"{where}[{number}]", found="a depth of next to nothing" if depth else "a depth of zero",
                    expected=f"a depth above zero, of {_least_rain(units)} or more",
                )  # fmt: skip
            if number and depth < row.depths[number - 1]:
                yield Problem(
                    where=f"{where}[{number}]",
                    found=f"{_depth(depth, units)} after {_depth(row.depths[number - 1], units)}",
                    expected="depths that rise with the return period",
                )  # fmt: skip
    for index, (above, below) in enumerate(pairwise(rain.table), start=1):
        if below.duration <= above.duration:
            yield Problem(
                where=f"rain.table[{index}].duration",
                found=f"{_time(below.duration)} after {_time(above.duration)}", expected="durations that rise",
            )  # fmt: skip
            continue
        for number, (less, more) in enumerate(zip(above.depths, below.depths, strict=True)):
            where = f"rain.table[{index}].depths[{number}]"
            if more < less:
                yield Problem(
                    where=where, found=f"{_depth(more, units)} below {_depth(less, units)} of the shorter rain",
                    expected="depths that rise with the duration",
                )  # fmt: skip
            elif more / below.duration > less / above.duration * (1.0 + ROUNDING):
                yield Problem(
                    where=where, found=f"{_depth(more, units)}, more intense than the shorter rain above it",
                    expected="a depth that grows less than the duration does",
                )  # fmt: skip
    if not rain.table or not rain.return_periods:
        return
    for name in ("roof_return_period", "yard_return_period", "storm_return_period"):
        yield from _covered(f"criteria.{name}", getattr(criteria, name), rain.return_periods, "return periods")
    durations = [row.duration for row in rain.table]
    reach = [0.5 * durations[0] if len(durations) > 1 else durations[0], durations[-1]]
    for name in ("roof_time", "minimum_time", "storm_duration"):
        yield from _covered(f"criteria.{name}", getattr(criteria, name), reach, "durations")


def _covered(where: str, value: float, reach: Sequence[float], what: str) -> Iterator[Problem]:
    low, high = min(reach), max(reach)
    if not low * (1 - CLOSE) <= value <= high * (1 + CLOSE):
        yield Problem(
            where=where, found=f"{_time(value)}, which the rain table does not cover",
            expected=f"{_time(low)} to {_time(high)}",
            hint=f"give the rain table more {what}, or set {where} within it",
        )  # fmt: skip


def _depth(value: float, units: str) -> str:
    return write(value, "length", "US", "in", 2) if units == "US" else write(value, "length", "SI", "mm")


def _least_rain(units: str) -> str:
    return "0.004 in" if units == "US" else "0.1 mm"


def _lift(job: Job) -> Iterator[Problem]:
    for index, basin in enumerate(job.works.basins):
        yield from _basin(basin, f"works.more_basins[{index - 1}]" if index else "works.basin", job.units)


def _basin(basin: Basin, path: str, units: Literal["US", "SI"]) -> Iterator[Problem]:
    floats = [(name, getattr(basin, name)) for name in ("off", "on", "alarm")]
    given = [(name, level) for name, level in floats if level is not None]
    for (lower, low), (upper, high) in pairwise(given):
        if high <= low:
            yield Problem(
                where=f"{path}.{upper}",
                found=f"{write(high, 'length', units)}, not above '{lower}' at {write(low, 'length', units)}",
                expected="off below on below alarm",
            )  # fmt: skip
    for name, level in given:
        if basin.depth is not None and level >= basin.depth:
            yield Problem(
                where=f"{path}.{name}", found=f"{write(level, 'length', units)}, above the basin's rim",
                expected=f"less than its depth of {write(basin.depth, 'length', units)}",
            )  # fmt: skip


def _levels(job: Job, names: Names) -> Iterator[Problem]:
    """Levels that contradict each other, where they are known without surveying."""
    heights = _heights(job)
    units = job.units

    def height(level: Level | None) -> float | None:
        return None if level is None else _height(level, heights)

    def wrong(where: str, what: str, value: float, than: str, other: float) -> Problem:
        shown, limit = (write(level, "length", units, "ft" if units == "US" else "m", 2) for level in (value, other))
        return Problem(where=where, found=f"{what} at {shown}", expected=f"a level above {than} at {limit}")

    yield from _hanging(job.house)
    floor = height(job.house.floor.value)
    for index, wall in enumerate(job.house.walls):
        bottom = height(wall.footing_bottom.value)
        if floor is not None and bottom is not None and bottom >= floor:
            where = f"house.walls[{index}].footing_bottom"
            yield Problem(
                where=where, found="a footing whose bottom is not below the floor", expected="a level below the floor",
                hint="check the sign, and the point that it is measured from",
            )  # fmt: skip
    rims = {inlet.name: (f"works.inlets[{n}].rim", height(inlet.rim)) for n, inlet in enumerate(job.works.inlets)}
    bottoms: dict[str, float] = {}
    for index, basin in enumerate(job.works.basins):
        rim = height(basin.rim)
        rims[basin.name] = (f"works.more_basins[{index - 1}].rim" if index else "works.basin.rim", rim)
        if rim is not None and basin.depth is not None:
            bottoms[basin.name] = rim - basin.depth
    for index, run in enumerate(job.works.runs):
        where = f"works.runs[{index}]"
        upper, lower = height(run.invert_from), height(run.invert_to)
        if run.duty == "discharge line" and run.from_ not in names.inlets:
            continue  # its pipe is under pressure
        if upper is not None and lower is not None and upper < lower:
            yield wrong(f"{where}.invert_from", "the upper end", upper, "the lower end", lower)
        for end, name, level in (("invert_from", run.from_, upper), ("invert_to", run.to, lower)):
            rim_where, rim = rims.get(name, ("", None))
            if rim is not None and level is not None and rim <= level:
                yield wrong(rim_where, f"the rim of {name}", rim, f"the {end} of run {run.name}", level)
            if level is not None and level < bottoms.get(name, level):
                yield wrong(f"{where}.{end}", "an invert", level, f"the floor of {name}", bottoms[name])
        rim_where, rim = rims.get(run.from_, ("", None))
        if rim is not None and upper is None and lower is not None and rim <= lower:
            yield wrong(rim_where, f"the rim of {run.from_}", rim, f"the lower end of its run {run.name}", lower)


def _heights(job: Job) -> dict[str, float]:
    """Levels that the job states outright [m]."""
    survey = job.survey
    heights = {point.name: point.level for point in survey.points if point.level is not None}
    for mark in (survey.closing_benchmark, survey.benchmark):
        if mark is not None:
            heights[mark.name] = mark.elevation
    floor = job.house.floor.value
    if floor.reference is None:
        heights["floor"] = floor.offset
    elif floor.reference in heights:
        heights["floor"] = heights[floor.reference] + floor.offset
    return heights


def _height(level: Level, heights: Mapping[str, float]) -> float | None:
    base = 0.0 if level.reference is None else heights.get(level.reference)
    return None if base is None else base + level.offset


def _far_levels(job: Job) -> Iterator[Problem]:
    """A level so far from the others that no lot is so steep: another datum, or a slip of the pen."""
    survey, heights = job.survey, _heights(job)
    found = [("survey.benchmark.elevation", survey.benchmark.elevation)]
    found += [(f"survey.points[{n}].level", p.level) for n, p in enumerate(survey.points) if p.level is not None]
    for where, part in parts_of(job):
        height = _height(part, heights) if isinstance(part, Level) else None
        if height is not None:
            found.append((where, height))
    middle = median(height for _, height in found)
    for number, group in enumerate(survey.shot_sets):
        where = f"survey.shot_sets[{number}].shots"
        found += [(f"{where}[{n}]", shot[2] + group.level_shift) for n, shot in enumerate(group.shots)]
    where, height = max(found, key=lambda item: abs(item[1] - middle))
    if abs(height - middle) > RISE:
        unit = "ft" if job.units == "US" else "m"
        away, most = (write(abs(value), "length", job.units, unit, 0) for value in (height - middle, RISE))
        yield Problem(
            where=where, found=f"a level {away} {'above' if height > middle else 'below'} the middle of the others",
            expected=f"levels within {most} of each other",
            hint="check the unit, and that all levels hang on one benchmark"
            + (" ('level_shift' hangs a set of shots on it)" if "shot_sets" in where else ""),
        )  # fmt: skip


def _hanging(house: House) -> Iterator[Problem]:
    """A floor that hangs from the footing while a footing hangs from the floor."""
    if house.floor.value.reference == "footing":
        for index, wall in enumerate(house.walls):
            if wall.footing_bottom.value.reference == "floor":
                yield Problem(
                    where=f"house.walls[{index}].footing_bottom",
                    found="a footing measured from the floor, and the floor from the footing",
                    expected="one of them from a point or as an elevation",
                )  # fmt: skip


def _dates(job: Job) -> Iterator[Problem]:
    visit, start = job.date, job.crew.start
    if visit and start and start < visit:
        yield Problem(
            where="crew.start", found=f"{start.isoformat()}, before the visit of {visit.isoformat()}",
            expected="a day on or after the visit",
        )  # fmt: skip
    lines = {line.name for line in job.utilities}
    for number, booked in enumerate(job.crew.visits):
        where = f"crew.visits[{number}]"
        if start is None or booked.on < start:
            before = "no first day of work" if start is None else f"{booked.on.isoformat()}, before {start.isoformat()}"
            yield Problem(
                where=f"{where}.on", found=before,
                expected="a day on or after 'crew.start', which tells its day of the plan",
            )  # fmt: skip
        if booked.line and booked.line not in lines:
            yield Problem(where=f"{where}.line", found=repr(booked.line), expected="a line of 'utilities' by its name")
    built = job.property.year_built
    if visit and built and built > visit.year:
        yield Problem(
            where="property.year_built", found=f"{built}, after the visit of {visit.isoformat()}",
            expected="a year not after the visit",
        )  # fmt: skip
    for where, word in _given_in_writing(job):
        if start and word.on > start:
            late = f"{word.on.isoformat()}, after the first day of digging, {start.isoformat()}"
            yield Problem(
                where=f"{where}.on", found=late,
                expected="a day by which it was in hand", hint="leave it out until it is given",
            )  # fmt: skip
        if len(word.text.split()) < LEAST_WORDS:
            yield Problem(
                where=f"{where}.text", found=repr(word.text),
                expected="what was given in writing, in a sentence: how it is held, who watches, how near",
            )  # fmt: skip


def _given_in_writing(job: Job) -> Iterator[tuple[str, Agreed | DigGuard]]:
    """What people's lives hang on: a line's owner's word, and how people are kept safe in a dig."""
    for number, line in enumerate(job.utilities):
        if line.agreed is not None:
            yield f"utilities[{number}].agreed", line.agreed
    yield from ((f"works.protection[{number}]", guard) for number, guard in enumerate(job.works.protection))


__all__ = ["check_figures"]
