"""The discharge points at which water leaves, each judged by itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import wraps

from drainwright.field.model import Plan
from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Check, Outcome
from drainwright.job.works import Discharge


def used(case: Case) -> Discharge:
    """The discharge point that the system uses; of several the one that takes the most."""
    return next(item for item in case.job.works.discharge if item.name == case.system.discharge)


def ways(case: Case) -> tuple[Discharge, ...]:
    """The discharge points that take water at all times, in the order of the job."""
    return tuple(item for item in case.job.works.discharge if item.name in case.system.ways_out)


def standing_of(case: Case, point: Discharge) -> str:
    """How the place stands to water let out there, in the words of the gravity verdict; ``unknown`` without one."""
    return next((item.lawful for item in case.system.gravity if item.discharge == point.name), "unknown")


def alike(points: Sequence[Discharge], standings: Sequence[str]) -> list[tuple[str, str]]:
    """Names of points with one kind and one standing in one breath, and that standing."""
    found: dict[tuple[str, str], list[str]] = {}
    for point, standing in zip(points, standings, strict=True):
        found.setdefault((point.kind, standing), []).append(point.name)
    return [(f"{listed(names)} ({kind})", standing) for (kind, standing), names in found.items()]


def where_it_is(case: Case, point: Discharge) -> Plan:
    """Where a discharge point lies."""
    return case.system.nodes[point.name].at


def the_point(case: Case, point: Discharge) -> str:
    """What a sentence calls it: by name only where there are several."""
    return "The discharge point" if len(ways(case)) < 2 else f"The discharge point {point.name}"


def each_way(check: Callable[[Case, Discharge], Iterator[Outcome]]) -> Check:
    """A check of one discharge point as a check of all that take water at all times."""

    @wraps(check)
    def every(case: Case) -> Iterator[Outcome]:
        for point in ways(case):
            yield from check(case, point)

    return every


__all__ = ["alike", "each_way", "standing_of", "the_point", "used", "ways", "where_it_is"]
