"""The worst of several failures of one kind, those that end as a dead pump does, and the most that comes in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from drainwright.storm.failures.failure import Failure
from drainwright.storm.failures.listing import DEAD, DRY_RUN
from drainwright.storm.failures.running import Setup, stepped
from drainwright.storm.failures.side_by_side import side_by_side
from drainwright.storm.model import Entering, StormCase
from drainwright.system.model import LiftStation, System
from drainwright.water.check import outline_area

DAY = 86400.0


def worst_of(setup: Setup, group: Sequence[Failure]) -> Failure:
    """Of failures that strike one place or another, the one that wets the floor first.

    Where none does, the one with the highest water at the house, to the millimetre; then that with most water lost
    over ground; then the first.
    """
    return worst_of_each(setup, [group])[0]


def worst_of_each(setup: Setup, groups: Sequence[Sequence[Failure]]) -> list[Failure]:
    """The worst of each group, as by ``worst_of``."""
    asked = [failure for group in groups if len(group) > 1 for failure in group]
    ranks = dict(zip(map(id, asked), side_by_side(partial(_rank, setup), asked), strict=True))
    return [group[0] if len(group) == 1 else min(group, key=lambda one: ranks[id(one)]) for group in groups]


def _rank(setup: Setup, failure: Failure) -> tuple[float, float, float]:
    ran = stepped(setup, failure, keep=False)
    highest = ran.at_house(setup.network)
    away = ran.plant.overland.target < 0
    at = math.inf if ran.slab_at is None else ran.slab_at
    return at, math.inf if highest is None else -round(highest, 3), -float(np.sum(ran.run.over[away]))


def entering(setup: Setup, failure: Failure, ended: float) -> Entering:
    """The most water that could come in by the end of a case [s], and how deep it would stand on the floor."""
    ran = stepped(setup, failure, until=ended, keep=False, open_house=True)
    count = len(setup.network.house)
    volume = max(0.0, float(np.sum(ran.run.over[ran.run.over.size - count :])))
    area = outline_area(setup.site.outline) if len(setup.site.outline) > 2 else 0.0
    return Entering(volume=volume, depth=volume / area if area > 0.0 else None)


def floats_stuck(system: System, cases: Sequence[StormCase]) -> list[StormCase]:
    """A float that hangs low, and one that hangs high: each ends as the pump that is dead from the start.

    A float stuck low never calls the first pump; a second with its own float is left, as where the first is dead. One
    stuck high runs the pump through the dry days before the storm, until it burns out.
    """
    dead = next((case for case in cases if case.key == DEAD), None)
    if dead is None:
        return []
    name = f" of {dead.failed}" if dead.failed is not None else ""
    station = system.station if dead.failed is None else system.station_named(dead.failed)
    note = (
        f"taken as burnt out after {DRY_RUN / 3600.0:g} h of running dry, before the storm: common practice, no source"
    )
    power = _power(station)
    if power is not None:
        note += f"; one that does not burn out draws {power * DAY / 3.6e6:.1f} kWh a day"
    return [
        replace(dead, key="float stuck off", title=f"The float{name} stuck low: the pump never starts"),
        replace(
            dead, key="float stuck on", title=f"The float{name} stuck high: the pump has run dry and burnt out",
            energy=None if power is None else power * DRY_RUN, note=note,
        ),
    ]  # fmt: skip


def _power(station: LiftStation | None) -> float | None:
    return None if station is None or station.study is None else station.study.season.power


__all__ = ["entering", "floats_stuck", "worst_of", "worst_of_each"]
