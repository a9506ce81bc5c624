"""Who must come that is not of the crew: the electrician, inspectors, the customer; by which day and before what."""

from __future__ import annotations

import math
from collections.abc import Iterator

from drainwright.build.crew_model import CrewPlan, Task, Visit
from drainwright.build.dig_model import Trench
from drainwright.build.parts import task_key
from drainwright.field.model import Site
from drainwright.job.values import Basis
from drainwright.system.model import System

LIVE = "its own circuit is live, and has passed where the permit asks"
CHECKED = "check of the pump circuit that is there, where the place asks"
LOOK = "coat seen by the customer, or photographed with the date"
LOOKS = "coat of each length seen by the customer, or photographed with the date"


def circuits(system: System) -> float:
    """Pumps of all basins; each has a circuit of its own."""
    return math.fsum(1.0 if station.second_on is None else 2.0 for station in system.stations)


def standing_circuits(site: Site, system: System) -> float:
    """Of these, those that stand already, as the job says."""
    found = 0
    for station in system.stations:
        basin = site.job.works.basin_named(station.name)
        there = None if basin is None else basin.circuits_there
        found += 0 if there is None else min(there.value, 1 if station.second_on is None else 2)
    return float(found)


def new_circuits(site: Site, system: System) -> float:
    """Circuits that an electrician makes."""
    return circuits(system) - standing_circuits(site, system)


def visits(site: Site, system: System, trenches: tuple[Trench, ...], plan: CrewPlan) -> tuple[Visit, ...]:
    """Who must come, in the order of the days.

    Parameters
    ----------
    site, system : Site, System
        The job's site and design; the place's rules say whether an open trench is looked at.
    trenches : tuple of Trench
        For those that need protection a permit may ask for an inspection.
    plan : CrewPlan
        The days.

    Returns
    -------
    tuple of Visit
        The electrician comes a working day before the pump is started, on the same day where that is the first. The
        circuit is paid by the price book's allowance: a visit is no crew hours. One that stands is only
        checked.
    """
    theirs = (*_of_the_place(site, trenches, plan.tasks), *_of_the_customer(plan.tasks))
    found = [*theirs, *_of_the_pump(site, system, plan)]
    return tuple(sorted(found, key=lambda visit: visit.day))


def _covers(tasks: tuple[Task, ...]) -> list[Task]:
    return sorted((task for task in tasks if task_key(task.key) == "backfill"), key=lambda task: task.start)


def _of_the_place(site: Site, trenches: tuple[Trench, ...], tasks: tuple[Task, ...]) -> Iterator[Visit]:
    inspections = [task for task in tasks if task_key(task.key) == "inspect"]
    covers = _covers(tasks)
    for task in inspections:
        yield from (
            Visit(
                who="the place's inspector", what="drains and stone in the open trench", day=task.day, before=one.title
            )
            for one in [one for one in covers if task.key in one.after][:1]
        )
    unasked = not inspections and site.job.rules.open_trench_inspection.basis is Basis.ASSUMED
    if unasked and covers and any(trench.protection != "none" for trench in trenches):
        yield Visit(
            who="the place's inspector",
            what="the dig before it is closed, if the permit asks: ask first",
            day=covers[0].day,
            before=covers[0].title,
        )


def _of_the_customer(tasks: tuple[Task, ...]) -> Iterator[Visit]:
    for task in tasks:
        if {LOOK, LOOKS}.intersection(task.hold.split("; ")):
            yield Visit(who="the customer", what="the coat before it is covered", day=task.day, before=task.title)


def _of_the_pump(site: Site, system: System, plan: CrewPlan) -> Iterator[Visit]:
    pump = next((task for task in plan.tasks if task.key == "pump"), None)
    if pump is None:
        return
    many = round(new_circuits(site, system))
    there = standing_circuits(site, system) > 0
    made = "pump circuit and socket" if many == 1 else f"{many} pump circuits and sockets"
    for what in (*([made] if many else []), *([CHECKED] if there else [])):
        yield Visit(who="the licensed electrician", what=what, day=max(1, pump.day - 1), before=pump.title)
    yield Visit(
        who="the electrical inspector",
        what="where the permit asks",
        day=pump.day,
        before=pump.title,
    )


__all__ = ["CHECKED", "LIVE", "LOOK", "LOOKS", "circuits", "new_circuits", "standing_circuits", "visits"]
