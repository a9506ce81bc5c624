"""The names of a job: who bears which, and whether every name that is used exists."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from drainwright.errors import Problem
from drainwright.job.loading import join
from drainwright.job.model import Job
from drainwright.job.values import LEVEL_WORDS, Level, Place
from drainwright.job.works import Basin

DESIGNED_BASIN = "SUMP"  # what runs call a basin that is left to be designed
SHORT = 3  # letters of a short name
RESERVED = LEVEL_WORDS | {"away"}


def near(name: str, known: Iterable[str]) -> str:
    """A likely correction for an unknown name, or what there is."""
    names = sorted(known)
    lower = {one.lower(): one for one in names}
    alike = 0.5 if len(name) <= SHORT else 0.6  # one wrong letter of two is half of a name
    match = difflib.get_close_matches(name.lower(), lower, n=1, cutoff=alike)
    if match:
        return f"did you mean {lower[match[0]]!r}?"
    return f"there are: {', '.join(names[:12])}{' ...' if len(names) > 12 else ''}" if names else "there are none yet"


def unknown(where: str, name: str, wanted: str, known: Iterable[str]) -> Problem:
    """The problem of a name that nothing bears."""
    return Problem(where=where, found=f"the name {name!r}", expected=wanted, hint=near(name, known), later=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """Names by what they are; each with its path in the job."""

    points: Mapping[str, str]  # fixed in plan: corners of the walk, and survey points
    marks: Mapping[str, str]  # benchmarks: a level, and a place only if they are a point too
    turning: frozenset[str]  # foresighted and backsighted in the level book, without a place in plan
    levelled: frozenset[str]  # with a level: read in the book, or given
    inlets: Mapping[str, str]
    downspouts: Mapping[str, str]
    discharges: Mapping[str, str]
    basins: Mapping[str, str]
    walls: Mapping[str, str]
    yards: Mapping[str, str]

    @property
    def nodes(self) -> dict[str, str]:
        """Everything that a run may begin or end at."""
        return {**self.points, **self.inlets, **self.downspouts, **self.discharges, **self.basins}


def names_of(job: Job) -> Names:
    """Collect the names of a job. Of two with one name the first counts; ``twice`` reports the second."""
    survey, works = job.survey, job.works
    walk = survey.perimeter
    corners = {walk.start: "survey.perimeter.start"} if walk else {}
    for index, leg in enumerate(walk.legs if walk else ()):
        corners.setdefault(leg.to, f"survey.perimeter.legs[{index}].to")
    marks = {survey.benchmark.name: "survey.benchmark.name"}
    if survey.closing_benchmark:
        marks.setdefault(survey.closing_benchmark.name, "survey.closing_benchmark.name")
    book = survey.level_book
    fore = {row.point for row in book if row.foresight is not None}
    back = {row.point for row in book if row.backsight is not None}
    given = {point.name for point in survey.points if point.level is not None}
    points = {**_paths(survey.points, "survey.points"), **corners}
    basins = {}
    if isinstance(works.basin, Basin):
        basins = {**_paths(works.more_basins, "works.more_basins"), works.basin.name: "works.basin.name"}
    elif works.basin == "if needed":
        basins = {DESIGNED_BASIN: "works.basin"}
    return Names(
        points=points,
        marks=marks,
        turning=frozenset((fore & back) - set(points) - set(marks)),
        levelled=frozenset({row.point for row in book} | set(marks) | given),
        inlets=_paths(works.inlets, "works.inlets"),
        downspouts=_paths(job.downspouts, "downspouts"),
        discharges=_paths(works.discharge, "works.discharge"),
        basins=basins,
        walls=_paths(job.house.walls, "house.walls"),
        yards=_paths(job.yards, "yards"),
    )


def _paths(records: Iterable[Any], path: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for index, record in enumerate(records):
        found.setdefault(record.name, f"{path}[{index}].name")
    return found


def twice(job: Job) -> Iterator[Problem]:
    """Names borne by two: places share one set of names; walls, runs and the rest have a set each."""
    survey, works = job.survey, job.works
    places: list[tuple[str, str]] = []
    if survey.perimeter:
        places.append(("survey.perimeter.start", survey.perimeter.start))
        legs = survey.perimeter.legs
        for index, leg in enumerate(legs):
            if index < len(legs) - 1 or leg.to != survey.perimeter.start:  # the last comes back to the start
                places.append((f"survey.perimeter.legs[{index}].to", leg.to))
    for path, records in (
        ("survey.points", survey.points),
        ("downspouts", job.downspouts),
        ("works.inlets", works.inlets),
        ("works.discharge", works.discharge),
        ("works.more_basins", works.more_basins),
    ):
        if path == "works.more_basins" and isinstance(works.basin, Basin):
            places.append(("works.basin.name", works.basin.name))
        places += [(f"{path}[{index}].name", record.name) for index, record in enumerate(records)]  # type: ignore[attr-defined]
    shared = "a name of its own: corners, points, downspouts, inlets, basin and discharge points share one set of names"
    yield from _twice(places, shared)
    for where, name in places:
        if name in RESERVED:
            taken = ", ".join(sorted(RESERVED))
            yield Problem(where=where, found=f"the name {name!r}", expected=f"another name: {taken} are taken")
    for path, others in (
        ("survey.breaklines", survey.breaklines),
        ("survey.shot_sets", survey.shot_sets),
        ("house.walls", job.house.walls),
        ("works.runs", works.runs),
        ("ground.hole_tests", job.ground.hole_tests),
        ("ground.dug_holes", job.ground.dug_holes),
        ("roofs", job.roofs),
        ("yards", job.yards),
        ("utilities", job.utilities),
        ("trees", job.trees),
        ("property.protected", job.property.protected),
        ("pumps", job.pumps),
    ):
        named = [(f"{path}[{index}].name", record.name) for index, record in enumerate(others)]  # type: ignore[attr-defined]
        yield from _twice(named, f"a name of its own among {path.rpartition('.')[2]}")


def _twice(named: Iterable[tuple[str, str]], expected: str) -> Iterator[Problem]:
    first: dict[str, str] = {}
    for where, name in named:
        if name in first:
            hint = f"the first is {first[name].removesuffix('.name')}"
            yield Problem(where=where, found=f"the name {name!r} again", expected=expected, hint=hint)
        first.setdefault(name, where)


def absent(job: Job, names: Names) -> Iterator[Problem]:
    """Names that are used and that nothing bears."""
    for where, part in parts_of(job):
        if isinstance(part, Place) and part.name is not None and part.name not in names.points:
            problem = unknown(where, part.name, "a point or corner of the survey, or 'east, north'", names.points)
            other = names.nodes.get(part.name) or names.marks.get(part.name)
            yield problem if other is None else Problem(
                where=where, found=f"{part.name!r}, which is {other.removesuffix('.name')}", expected=problem.expected,
                hint="give it a point in the survey, and name that",
            )  # fmt: skip
        if isinstance(part, Level) and part.reference is not None:
            yield from _level(job, names, where, part.reference)
    yield from _references(job, names)
    yield from _book(job, names)


def _level(job: Job, names: Names, where: str, reference: str) -> Iterator[Problem]:
    wanted = "a point with a level, or floor, ground or footing"
    if reference in LEVEL_WORDS:
        if reference == "footing" and not job.house.walls:
            yield Problem(where=where, found="a level from the footing, and no walls", expected=wanted)
        if (reference == "floor" and where == "house.floor") or (reference == "footing" and ".walls[" in where):
            yield Problem(where=where, found=f"the level of the {reference} from itself", expected="a level of its own")
    elif reference not in names.levelled:
        if reference in names.nodes:
            yield Problem(
                where=where, found=f"a level from {reference!r}, which has no level", expected=wanted,
                hint="read it in the level book, or give the point a 'level'",
            )  # fmt: skip
        else:
            yield unknown(where, reference, wanted, names.levelled | LEVEL_WORDS)


def _references(job: Job, names: Names) -> Iterator[Problem]:
    def each(where: str, name: str | None, known: Iterable[str], wanted: str) -> Iterator[Problem]:
        if name is not None and name not in known:
            yield unknown(where, name, wanted, known)

    for index, point in enumerate(job.survey.points):
        leans = [(f"ties[{number}].from", tie.from_) for number, tie in enumerate(point.ties)]
        leans += [(f"along[{number}]", name) for number, name in enumerate(point.along or ())]
        for part, name in leans:
            if name == point.name or name not in names.points:
                others = set(names.points) - {point.name}
                yield unknown(f"survey.points[{index}].{part}", name, "another point or corner of the survey", others)
    for index, line in enumerate(job.survey.breaklines):
        for number, name in enumerate(line.points):
            where = f"survey.breaklines[{index}].points[{number}]"
            yield from each(where, name, names.points, "a point or corner of the survey")
            if name in names.points and name not in names.levelled:
                yield Problem(
                    where=where, found=f"{name!r}, which has no level", expected="a point with a level",
                    hint="read it in the level book, or give the point a 'level'",
                )  # fmt: skip
    for index, tape in enumerate(job.survey.tapes):
        where = f"survey.tapes[{index}]"
        for end, name in (("from", tape.from_), ("to", tape.to)):
            yield from each(f"{where}.{end}", name, names.points, "a corner or point of the survey")
        if tape.from_ == tape.to:
            yield Problem(where=f"{where}.to", found=f"{tape.to!r} at both ends", expected="two different points")
    for index, wall in enumerate(job.house.walls):
        for end, name in (("from", wall.from_), ("to", wall.to)):
            yield from each(f"house.walls[{index}].{end}", name, names.points, "a corner or point of the survey")
    for index, roof in enumerate(job.roofs):
        yield from each(f"roofs[{index}].to", roof.to, names.downspouts, "the name of a downspout")
    for index, downspout in enumerate(job.downspouts):
        yield from each(f"downspouts[{index}].to", downspout.to, names.yards, "the name of a yard area")
    for index, yard in enumerate(job.yards):
        yield from each(f"yards[{index}].to", yard.to, {*names.inlets, "away"}, "the name of an inlet, or 'away'")
    nodes = names.nodes
    for index, run in enumerate(job.works.runs):
        where = f"works.runs[{index}]"
        for end, name in (("from", run.from_), ("to", run.to)):
            wanted = "a downspout, inlet, basin, discharge point, or point of the survey"
            yield from each(f"{where}.{end}", name, nodes, wanted)
        for number, name in enumerate(run.beside):
            yield from each(f"{where}.beside[{number}]", name, names.walls, "the name of a wall")
    for index, strip in enumerate(job.works.shaping):
        yield from each(f"works.shaping[{index}].wall", strip.wall, names.walls, "the name of a wall")
    digs = {*names.walls, *names.inlets, *names.basins, *names.discharges, *(run.name for run in job.works.runs)}
    for index, planned in enumerate(job.works.protection):
        wanted = "the name of a wall, run, inlet, basin or discharge point"
        yield from each(f"works.protection[{index}].at", planned.at, digs, wanted)
    for index, discharge in enumerate(job.works.discharge):
        for number, name in enumerate(discharge.joins.other_roof if discharge.joins else ()):
            where = f"works.discharge[{index}].joins.other_roof[{number}]"
            yield from each(where, name, names.downspouts, "the name of a downspout")
        if discharge.soak is not None:
            where = f"works.discharge[{index}].soak.overflow"
            yield from each(where, discharge.soak.overflow, names.discharges, "another discharge point")


def _book(job: Job, names: Names) -> Iterator[Problem]:
    known = {*names.points, *names.marks}
    for index, row in enumerate(job.survey.level_book):
        if row.point not in known and row.point not in names.turning:
            wanted = "a point, corner or benchmark (or a turning point, with a foresight and a backsight)"
            yield unknown(f"survey.level_book[{index}].point", row.point, wanted, known)


def parts_of(record: BaseModel, path: str = "") -> Iterator[tuple[str, BaseModel]]:
    """Every part of a job with its path in the document, the value of a fact under the fact's own path."""
    for name, field in type(record).model_fields.items():
        inner = getattr(record, name)
        fact = name == "value" and "basis" in type(record).model_fields
        where = path if fact else join(path, field.alias or name)
        for index, part in enumerate(inner if isinstance(inner, tuple) else (inner,)):
            if isinstance(part, BaseModel):
                at = join(where, index) if isinstance(inner, tuple) else where
                yield at, part
                yield from parts_of(part, at)


__all__ = ["DESIGNED_BASIN", "RESERVED", "Names", "absent", "names_of", "near", "parts_of", "twice", "unknown"]
