"""Remedies as changes of the plant."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from drainwright.hydraulics.openflow import full_flow
from drainwright.hydraulics.pump import PumpCurve
from drainwright.quantities import percent
from drainwright.storm.engine.plant import FREE, NEVER
from drainwright.storm.failures.failure import Failure
from drainwright.storm.failures.remedy import Remedy
from drainwright.storm.failures.running import Setup
from drainwright.storm.network import slab_level
from drainwright.storm.pump_tables import pump_table
from drainwright.system.lift.pumps import GENERIC_PUMPS
from drainwright.system.model import LiftStation
from drainwright.worksheet import quiet

STRONGER = 1.25  # times the flow, at the middle of the float band, that a bigger pump gives at least: assumed [-]
PIPE, ROUGHNESS = 0.1016, 0.010  # of an overflow: 4 in, smooth [m], [s/m^(1/3)]
FALL = 0.005  # of an overflow at least [m/m]
BELOW_SLAB = 0.05  # an overflow leaves the basin at least so far below the slab [m]
ROOM = 0.02  # and at least so far above the float that starts the pump [m]

Change = Callable[[Setup, Failure], tuple[Setup, Failure]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """A remedy that a system can have, and what it changes."""

    remedy: Remedy
    change: Change


def second_pump(setup: Setup, station: LiftStation) -> Fitting | None:
    """A second pump of the same make, its float at the alarm's level; None where there is one already."""
    if station.second_on is not None:
        return None
    place = setup.network.stations.index(station.name)
    stations = setup.network.plant.stations
    alone = stations.flow[place, :, 0]
    flow, second = stations.flow.copy(), stations.second.copy()
    shares_main = any(station.name in main.basins for main in setup.system.mains)
    if not shares_main:  # on a main that several share both are taken to lift no more than one: the lower bound
        with quiet():
            flow[place, :, 1] = pump_table(station, setup.system.run(station.discharge_run), 2)[1]
    second[place] = setup.network.volume(int(stations.node[place]), station.float_levels["alarm"])
    own = setup.network.second.copy()
    own[place] = alone
    plant = setup.network.plant._replace(stations=stations._replace(flow=flow, second=second))
    network = replace(setup.network, plant=plant, second=own)
    label = station.pump.label_power or 0.0
    remedy = Remedy(
        kind="second pump", title="a second pump with a float of its own, at the alarm's level", where=station.name,
        size=label, note="a check valve and a relief hole of its own",
    )  # fmt: skip
    return Fitting(remedy=remedy, change=lambda one, failure: (replace(one, network=network), failure))


def bigger_pump(setup: Setup, station: LiftStation) -> Fitting | None:
    """The smallest generic pump that lifts a quarter more at the middle of the float band; None where none does."""
    line = setup.system.run(station.discharge_run)
    if any(station.name in main.basins for main in setup.system.mains):
        return None
    middle = (station.on + station.off) / 2.0
    place = setup.network.stations.index(station.name)
    stations = setup.network.plant.stations

    def table(curve: PumpCurve) -> tuple[float, np.ndarray[tuple[int, ...], np.dtype[np.float64]]]:
        with quiet():
            levels, rows = pump_table(station, line, 1, curve)
        return float(np.interp(middle, levels, rows)), rows

    now, _ = table(station.pump.curve)
    fitting = [(pump, *table(pump.choice.curve)) for pump in sorted(GENERIC_PUMPS, key=lambda one: one.cost)]
    taken = next(((pump, rows) for pump, given, rows in fitting if given >= STRONGER * max(now, 1e-9)), None)
    if taken is None:
        return None
    pump, rows = taken
    flow = stations.flow.copy()
    flow[place, :, 0] = rows
    flow[place, :, 1] = np.maximum(flow[place, :, 1], rows)
    plant = setup.network.plant._replace(stations=stations._replace(flow=flow))
    network = replace(setup.network, plant=plant)
    remedy = Remedy(
        kind="bigger pump", title="a stronger pump", where=station.name,
        size=pump.choice.label_power or 0.0, note="of the generic, invented ones: hold the one bought to its sheet",
    )  # fmt: skip
    return Fitting(remedy=remedy, change=lambda one, failure: (replace(one, network=network), failure))


def overflow(setup: Setup, station: LiftStation) -> Fitting | None:
    """A 4 in pipe by gravity out of the basin, above its floats and below the slab; None without the fall."""
    slab = slab_level(setup.site)
    ways = []
    for verdict in setup.system.gravity:
        level = max(verdict.available + FALL * verdict.length, station.on + ROOM)
        if verdict.lawful != "forbidden" and level <= slab - BELOW_SLAB:
            ways.append((verdict.length, level, verdict))
    if not ways or any(over.place == station.name for over in setup.system.overflows):
        return None
    length, level, verdict = min(ways, key=lambda way: (way[0], way[1], way[2].discharge))
    plant, node = setup.network.plant, int(setup.network.plant.stations.node[_place(setup, station)])
    with quiet():
        full = float(full_flow(PIPE, 1.0, ROUGHNESS))
    pipes = plant.pipes
    more = pipes._replace(
        upper=np.append(pipes.upper, node).astype(np.int64),
        lower=np.append(pipes.lower, -1).astype(np.int64),
        z_upper=np.append(pipes.z_upper, level),
        z_lower=np.append(pipes.z_lower, verdict.available),
        diameter=np.append(pipes.diameter, PIPE),
        conveyance=np.append(pipes.conveyance, full),
        length=np.append(pipes.length, max(length, 0.1)),
        outfall=np.append(pipes.outfall, FREE),
    )
    network = replace(setup.network, plant=plant._replace(pipes=more))
    remedy = Remedy(
        kind="overflow", title=f"an overflow by gravity out of {station.name} to {verdict.discharge}",
        where=station.name, size=length, depth=max(station.ground - level + PIPE, 0.3),
        note="its way is reckoned straight, the water beyond its end not; ask whether it may be let out there",
    )  # fmt: skip
    return Fitting(remedy=remedy, change=lambda one, failure: (replace(one, network=network), failure))


def second_inlet(setup: Setup, failure: Failure) -> Fitting | None:
    """Another inlet of the same make beside the one that is covered, or beside each; it stays as free as usual."""
    grates = setup.network.plant.grates
    if not grates.pond.size:
        return None
    usual = setup.site.job.criteria.grate_clogging
    where = failure.shut or ""

    def change(one: Setup, old: Failure) -> tuple[Setup, Failure]:
        if old.shut is not None:  # the other takes its place
            return one, replace(old, shut=None)
        plant = one.network.plant
        wide = plant._replace(
            grates=plant.grates._replace(weir=2.0 * plant.grates.weir, orifice=2.0 * plant.grates.orifice)
        )
        return replace(one, network=replace(one.network, plant=wide)), old

    several = 1 if where else int(grates.pond.size)
    beside = where or "each of the inlets"
    remedy = Remedy(
        kind="second inlet", title=f"a second inlet beside {beside}", where=where, size=float(several),
        note=f"clogged to {percent(usual)}, as usual" if where else "clogged as the others are",
    )  # fmt: skip
    return Fitting(remedy=remedy, change=change)


def battery(station: LiftStation, charge: float, note: str) -> Remedy:
    """A battery of so many Ah."""
    title = f"a battery unit of {charge:.0f} Ah for this cut"
    return Remedy(kind="battery", title=title, where=station.name, size=charge, note=note)


def with_battery(setup: Setup, station: LiftStation, seconds: float) -> Setup:
    """The setup with a battery that runs the station's pump so long. What it lifts is the table's third row. [s]"""
    stations = setup.network.plant.stations
    time = stations.battery.copy()
    time[_place(setup, station)] = min(seconds, NEVER)
    plant = setup.network.plant._replace(stations=stations._replace(battery=time))
    return replace(setup, network=replace(setup.network, plant=plant))


def _place(setup: Setup, station: LiftStation) -> int:
    return setup.network.stations.index(station.name)


def charge_of(seconds: float, current: float, usable: float) -> float:
    """Charge that runs a pump so long, in whole tens. [s], [A], [-] to [Ah]"""
    return 10.0 * math.ceil(seconds * current / (3600.0 * usable) / 10.0 - 1e-9)


__all__ = [
    "Fitting", "battery", "bigger_pump", "charge_of", "overflow", "second_inlet", "second_pump", "with_battery",
]  # fmt: skip
