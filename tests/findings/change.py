"""Small changes to a designed job, made on its frozen records: nothing is designed again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal

from pydantic import BaseModel

from drainwright.design import Design
from drainwright.findings.rules import Case
from drainwright.job.values import Basis, Fact

Change = Callable[[Case], Case]
Expected = Literal["ok", "caution", "fails"] | None


@dataclass(frozen=True, slots=True)
class Trial:
    """One rule on one changed job: what it must say, at which place; ``None``: nothing at all."""

    rule: str
    expected: Expected
    change: Change
    base: str = "pumped"
    where: str = ""
    says: str = ""  # must stand in the message, figure, limit or advice


def case_of(design: Design) -> Case:
    """What the rules look at."""
    return Case(
        site=design.site, inflows=design.inflows, system=design.system, storm=design.storm, build=design.build,
        moisture=design.moisture,
    )  # fmt: skip


def as_designed(case: Case) -> Case:
    """No change."""
    return case


def every(*changes: Change) -> Change:
    """Several changes, one after the other."""

    def change(case: Case) -> Case:
        for one in changes:
            case = one(case)
        return case

    return change


def fact(value: Any, basis: Basis = Basis.MEASURED) -> Any:
    """A fact in SI, as it is held after reading."""
    return Fact.model_construct(value=value, basis=basis)


def _put(record: Any, path: tuple[str | int, ...], value: Any) -> Any:
    if not path:
        return value
    first, rest = path[0], path[1:]
    if isinstance(first, int):
        return (*record[:first], _put(record[first], rest, value), *record[first + 1 :])
    inner = _put(getattr(record, first), rest, value)
    if isinstance(record, BaseModel):
        return record.model_copy(update={first: inner})
    return replace(record, **{first: inner})


def put(*path: str | int, to: Any) -> Change:
    """Set a value deep inside the case: ``put("system", "joined", "roof", to=0.01)``."""
    return lambda case: _put(case, path, to)


def job(*path: str | int, to: Any) -> Change:
    """Set a value deep inside the job document, in SI, without reading it again."""
    return put("site", "job", *path, to=to)


def basin(**values: Any) -> Change:
    """Change the basin of the job document."""
    return lambda case: job("works", "basin", to=case.job.works.basin.model_copy(update=values))(case)  # type: ignore[union-attr]


def outlet(**values: Any) -> Change:
    """Change the discharge point that is used, in the job document."""

    def change(case: Case) -> Case:
        points = case.job.works.discharge
        number = next(i for i, point in enumerate(points) if point.name == case.system.discharge)
        return job("works", "discharge", number, to=points[number].model_copy(update=values))(case)

    return change


def outlet_at(at: Callable[[Case], tuple[float, float]]) -> Change:
    """Move the discharge point in plan."""

    def change(case: Case) -> Case:
        name = case.system.discharge
        nodes = {**case.system.nodes, name: replace(case.system.nodes[name], at=at(case))}
        return put("system", "nodes", to=nodes)(case)

    return change


def job_run(name: str, **values: Any) -> Change:
    """Change a run of the job document."""

    def change(case: Case) -> Case:
        number = next(i for i, run in enumerate(case.job.works.runs) if run.name == name)
        return job("works", "runs", number, to=case.job.works.runs[number].model_copy(update=values))(case)

    return change


def run(name: str, **values: Any) -> Change:
    """Change a designed run; ``pipe`` may be a mapping of changes to its pipe, a new grade counts all along."""

    def change(case: Case) -> Case:
        runs = case.system.runs
        number = next(i for i, item in enumerate(runs) if item.name == name)
        new = dict(values)
        if isinstance(new.get("pipe"), dict):
            new["pipe"] = replace(runs[number].pipe, **new["pipe"])
        if "grade" in new:
            top, here = runs[number].invert_upper, runs[number].stations
            new["stations"] = tuple(replace(item, invert=top - new["grade"] * item.distance) for item in here)
        return put("system", "runs", number, to=replace(runs[number], **new))(case)

    return change


def stations(name: str, *, only: int | None = None, **values: Any) -> Change:
    """Change all stations of a run, or one; a value may be a function of the station."""

    def change(case: Case) -> Case:
        before = case.system.run(name).stations
        place = None if only is None else only % len(before)
        after = tuple(
            replace(item, **{key: value(item) if callable(value) else value for key, value in values.items()})
            if place is None or number == place
            else item
            for number, item in enumerate(before)
        )
        return run(name, stations=after)(case)

    return change


def station(**values: Any) -> Change:
    """Change the lift station; a value may be a function of it."""

    def change(case: Case) -> Case:
        here = case.system.station
        assert here is not None
        new = {key: value(here) if callable(value) else value for key, value in values.items()}
        stations = tuple(replace(one, **new) if one is here else one for one in case.system.stations)
        return put("system", "stations", to=stations)(case)

    return change


def pump(**values: Any) -> Change:
    """Change the pump as fitted."""
    return station(pump=lambda here: replace(here.pump, **values))


def verdict(**values: Any) -> Change:
    """Change what gravity can do at the first discharge point."""
    return lambda case: put("system", "gravity", 0, to=replace(case.system.gravity[0], **values))(case)


def wall(name: str, *, of_job: dict[str, Any] | None = None, **values: Any) -> Change:
    """Change a wall line of the site, and what the job says of it."""

    def change(case: Case) -> Case:
        number = next(i for i, item in enumerate(case.site.walls) if item.name == name)
        here = case.site.walls[number]
        here = replace(here, **values)
        if of_job:
            here = replace(here, wall=here.wall.model_copy(update=of_job))
        return put("site", "walls", number, to=here)(case)

    return change


def coat(name: str, **values: Any) -> Change:
    """Change a wall's coating."""

    def change(case: Case) -> Case:
        here = next(item for item in case.site.walls if item.name == name)
        return wall(name, of_job={"coating": here.wall.coating.model_copy(update=values)})(case)

    return change


def storm(key: str, **values: Any) -> Change:
    """Change one case of the storm test."""

    def change(case: Case) -> Case:
        part = "cases" if any(item.key == key for item in case.storm.cases) else "further"
        told = getattr(case.storm, part)
        number = next(i for i, item in enumerate(told) if item.key == key)
        return put("storm", part, number, to=replace(told[number], **values))(case)

    return change


def pond(node: str, **values: Any) -> Change:
    """Change what the sound storm does at a node."""

    def change(case: Case) -> Case:
        nodes = case.storm.cases[0].nodes
        return storm(case.storm.cases[0].key, nodes={**nodes, node: replace(nodes[node], **values)})(case)

    return change


def trench(name: str, **values: Any) -> Change:
    """Change one digging."""

    def change(case: Case) -> Case:
        digs = case.build.dig.trenches
        number = next(i for i, item in enumerate(digs) if item.name == name)
        return put("build", "dig", "trenches", number, to=replace(digs[number], **values))(case)

    return change


def crossing(run_name: str, utility: str, **values: Any) -> Change:
    """Change where a digging meets a line."""

    def change(case: Case) -> Case:
        met = case.build.dig.crossings
        number = next(i for i, item in enumerate(met) if item.run == run_name and item.utility == utility)
        if values.get("clearance") is not None:  # the same doubt about another gap
            item = next(item for item in case.job.utilities if item.name == utility)
            doubt = item.doubt
            values.setdefault("clearance_least", values["clearance"] - doubt)
            values.setdefault("clearance_most", values["clearance"] + doubt)
        return put("build", "dig", "crossings", number, to=replace(met[number], **values))(case)

    return change


def line(name: str, **values: Any) -> Change:
    """Change a buried line of the job document."""

    def change(case: Case) -> Case:
        number = next(i for i, item in enumerate(case.job.utilities) if item.name == name)
        return job("utilities", number, to=case.job.utilities[number].model_copy(update=values))(case)

    return change
