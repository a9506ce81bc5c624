"""What would have prevented each failure: the storm run again with each remedy that fits, one at a time."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from drainwright.field.model import Site
from drainwright.quantities import percent
from drainwright.storm.cases import AFTER, LONGEST, prepared
from drainwright.storm.failures.changes import (
    Fitting,
    battery,
    bigger_pump,
    charge_of,
    overflow,
    second_inlet,
    second_pump,
    with_battery,
)  # fmt: skip
from drainwright.storm.failures.choice import worst_of
from drainwright.storm.failures.failure import Failure
from drainwright.storm.failures.listing import DEAD, further
from drainwright.storm.failures.remedy import Prevention, Remedy, RemedyKind, Tried
from drainwright.storm.failures.running import Setup, Stepped, stepped
from drainwright.storm.model import StormCase, StormTest
from drainwright.system.flushing import flushed_from
from drainwright.system.model import LiftStation, System
from drainwright.water.model import Inflows

SPILT = 0.1  # more water over ground than with everything sound is harm, as little is not told [m³]
INVERTER = 0.85  # efficiency where a battery drives a pump of the mains: common practice, no source [-]
VOLTS, USABLE = 12.0, 0.5  # of a battery that nobody has chosen: common practice, no source [V], [-]
HALVINGS = 10  # of the search for the battery's run time

FITS: dict[str, tuple[RemedyKind, ...]] = {
    "pump": ("alarm", "service", "second pump", "overflow"),
    "power": ("alarm", "battery", "overflow"),
    "way out": ("alarm", "cleaning", "overflow"),
    "leaves and roots": ("cleaning", "second inlet", "overflow"),
    "more water": ("alarm", "second inlet", "bigger pump", "second pump", "overflow"),
}
STUCK = ("float stuck off", "float stuck on")
SERVED = ("check valve leaks", "relief hole plugged", *STUCK)


def prevented(
    site: Site, inflows: Inflows, system: System, test: StormTest, key: str | None = None
) -> tuple[Prevention, ...]:
    """What would prevent the harm of each failure that does any, proven by running the storm again.

    Parameters
    ----------
    site, inflows, system
        As they were tested.
    test : StormTest
        Their test.
    key : str, optional
        Of one case only.

    Returns
    -------
    tuple of Prevention
        In the order of the cases; none for a case in which the floor stays dry and hardly more water runs off over
        ground than with everything sound. Each remedy is tried alone. An alarm keeps nothing dry by itself: it tells
        how long there is to act. Cleaning and service are taken to keep their failure away, and end as the sound case.
    """
    wanted = [case for case in test.every[1:] if key in (None, case.key) and harms(test, case)]
    if not wanted:
        return ()
    setup, whole, first = prepared(site, inflows, system)
    failures = {failure.title: failure for failure in first}
    if any(case.title not in failures for case in wanted):
        sound = stepped(setup, whole)
        for group in further(setup, sound):
            worst = worst_of(setup, group)
            failures[worst.title] = worst
    dead = next((case for case in test.cases if case.key == DEAD), None)
    found = []
    for case in wanted:
        failure = failures.get(case.title)
        if failure is None and dead is not None and case.key in STUCK:  # ends as the dead pump does
            failure = replace(failures[dead.title], key=case.key, title=case.title)
        if failure is not None:
            found.append(Prevention(key=case.key, title=case.title, tried=tuple(_tried(setup, whole, failure, case))))
    return tuple(found)


def harms(test: StormTest, case: StormCase) -> bool:
    """Whether a failure wets the floor, may yet do so, or lets more water run off over ground than the sound case."""
    return not case.dry or case.volume_lost > test.cases[0].volume_lost + SPILT


def _tried(setup: Setup, whole: Failure, failure: Failure, case: StormCase) -> Iterator[Tried]:
    fits = FITS[failure.group]
    until = max(setup.horizon, min(LONGEST, case.ended + AFTER))
    spilt = _spilt(stepped(setup, whole, keep=False))
    station = setup.system.station
    concerned = failure.pump_dead or failure.locked or (failure.leaking or ("",))[0]
    named = None if not concerned else setup.system.station_named(concerned)
    station = station if named is None else named

    def prevents(ran: Stepped) -> bool:
        rises = case.undecided and ran.still_rises(setup.network)
        return ran.slab_at is None and not rises and _spilt(ran) <= spilt + SPILT

    def run(changed: Setup, old: Failure, remedy: Remedy) -> Tried:
        ran = stepped(changed, old, until=until, keep=False)
        highest = ran.at_house(changed.network)
        at = None if ran.slab_at is None else max(0.0, ran.slab_at - (failure.at or 0.0))
        return Tried(remedy=remedy, prevents=prevents(ran), highest=highest, time_to_slab=at)

    def carried(seconds: float) -> bool:
        assert station is not None
        return prevents(stepped(with_battery(setup, station, seconds), failure, until=until, keep=False))

    if "alarm" in fits and station is not None and case.time_to_slab is not None:
        title = "a high-water alarm that someone hears"
        yield Tried(
            remedy=Remedy(kind="alarm", title=title, where=station.name, note="on a circuit or battery of its own"),
            prevents=False, highest=case.highest_at_house, time_to_slab=case.time_to_slab, warning=case.alarm_to_slab,
        )  # fmt: skip
    if "cleaning" in fits:
        what = {"way out": "the outlet", "leaves and roots": "the grates"}[failure.group]
        where = failure.roots[0] if failure.roots is not None else ""
        title = (
            f"flushing {where} {flushed_from(setup.system, where)} twice a year"
            if where
            else f"clearing {what} twice a year"
        )
        yield run(setup, whole, Remedy(kind="cleaning", title=title, where=where, visits=2, note=KEEPS_AWAY))
    if "service" in fits and failure.key.startswith(SERVED):
        title = "a yearly visit: floats moved by hand, valve and relief hole looked at"
        yield run(setup, whole, Remedy(kind="service", title=title, visits=1, note=KEEPS_AWAY))
    for fitting in _fittings(setup, failure, station, fits):
        changed, old = fitting.change(setup, failure)
        yield run(changed, old, fitting.remedy)
    if "battery" in fits and station is not None and (one := _battery(setup, failure, station, carried)) is not None:
        yield run(*one)


KEEPS_AWAY = "taken to keep the failure away; it is not proven that it does"


def _fittings(
    setup: Setup, failure: Failure, station: LiftStation | None, fits: tuple[RemedyKind, ...]
) -> Iterator[Fitting]:
    if "second inlet" in fits and failure.roots is None and (one := second_inlet(setup, failure)) is not None:
        yield one
    if station is None:
        return
    for kind, made in (("bigger pump", bigger_pump), ("second pump", second_pump), ("overflow", overflow)):
        if kind in fits and (fitting := made(setup, station)) is not None:
            yield fitting


def _battery(
    setup: Setup, failure: Failure, station: LiftStation, carried: Callable[[float], bool]
) -> tuple[Setup, Failure, Remedy] | None:
    """The least battery that carries the cut; None where none does, or nobody knows the current."""
    drive = battery_drive(setup.site, station)
    low, high = 0.0, failure.cut[1] - failure.cut[0]
    if drive is None or not carried(high):
        return None
    current, usable, note = drive
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if carried(middle) else (middle, high)
    charge = charge_of(high, current, usable)
    seconds = charge * usable / current * 3600.0
    note = f"{seconds / 60.0:.0f} min of running at {current:.0f} A, {percent(usable)} of the charge usable; {note}"
    return with_battery(setup, station, seconds), failure, battery(station, charge, note)


def battery_drive(site: Site, station: LiftStation) -> tuple[float, float, str] | None:
    """Current, usable share, and how it is known: the job's own battery, or the first pump through an inverter."""
    basin = site.job.works.basin_named(station.name)
    cell = None if basin is None else basin.battery
    if cell is not None and cell.current > 0.0:
        return cell.current, cell.usable, "as the job's unit"
    power = None if station.study is None else station.study.season.power
    if power is None or not math.isfinite(power):
        return None
    return power / (VOLTS * INVERTER), USABLE, "the first pump through an inverter at 12 V, assumed"


def _spilt(ran: Stepped) -> float:
    """What left over ground for good [m³]."""
    return float(np.sum(ran.run.over[ran.plant.overland.target < 0]))


__all__ = ["FITS", "battery_drive", "harms", "prevented"]
