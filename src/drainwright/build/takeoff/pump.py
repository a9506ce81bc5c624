"""Pumps with what is theirs: alarm, battery, inverter and the small parts of the kit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from drainwright.build.model import TakeoffLine
from drainwright.build.takeoff.lines import line
from drainwright.field.model import Site
from drainwright.job.values import Basis
from drainwright.system.model import LiftStation, PumpChoice, System
from drainwright.system.trade import pump_words

_HORSEPOWER = 745.7  # mechanical, to name a label [W]
_LABELS = (
    ("1/6", 1 / 6), ("1/4", 0.25), ("1/3", 1 / 3), ("1/2", 0.5), ("3/4", 0.75), ("1", 1.0), ("1-1/2", 1.5), ("2", 2.0)
)  # fmt: skip


def pump_key(power: float | None, float_kind: str) -> str:
    """Price-book key of a pump by its label; one without a label is priced as 1/2 hp."""
    horses = 0.5 if power is None else power / _HORSEPOWER
    label = min(_LABELS, key=lambda item: abs(item[1] - horses))[0]
    return f"pump.{label}hp.{'integral' if float_kind == 'integral' else 'adjustable'}"


def pump_lines(site: Site, system: System) -> Iterable[TakeoffLine]:
    """Pumps, alarms, batteries, and the small parts of each lift station."""
    for station in system.stations:
        yield from _station_pump(site, station)


def _station_pump(site: Site, station: LiftStation) -> Iterable[TakeoffLine]:
    study = station.study
    second = station.pump if study is None or study.pair is None else study.pair.second
    if station.second_on is None:
        yield _one_pump(site, station, station.pump, 1.0)
    elif second == station.pump:
        yield _one_pump(site, station, station.pump, 2.0)
    else:
        yield _one_pump(site, station, station.pump, 1.0)
        yield _one_pump(site, station, second, 1.0)
    if study is not None and study.unit is not None and study.unit.own_pump:
        yield _one_pump(site, station, study.unit.pump, 1.0)
    yield line("alarm", "pump", "high-water alarm", 1.0, "each", where=station.name)
    yield from _kit(site, station)
    basin = site.job.works.basin_named(station.name)
    if basin is not None and basin.battery is not None:
        words = "backup battery with charger"
        yield line("battery.ah", "pump", words, basin.battery.capacity, "Ah", where=station.name)
        if basin.battery.pump is None:
            words = "inverter that runs the pump from the battery"
            yield line("inverter", "pump", words, 1.0, "each", where=station.name)


def _kit(site: Site, station: LiftStation) -> Iterable[TakeoffLine]:
    """What stands round the pumps beside the pipe work, which is among the fittings."""
    pumps = pumps_of(station)
    where = station.name
    floats = sum(1 for pump in pumps if pump.float_kind != "integral")
    cords = len(pumps) + floats + 1  # a cord for each pump, float and the alarm
    for key, words, number in (
        ("kit.block", "block under the pump, off the basin's floor", len(pumps)),
        ("kit.float", "bracket and tether for a float", floats + 1),
        ("kit.cord-seal", "cord seal through the lid or wall", cords),
        ("kit.lid-gasket", "gasket and bolts for the lid", 1),
    ):
        if number:
            yield line(key, "pump", words, float(number), "each", where=where, basis=Basis.ASSUMED)


def pumps_of(station: LiftStation) -> tuple[PumpChoice, ...]:
    """The pumps of a station, the battery unit's own among them."""
    study = station.study
    found = [station.pump]
    if station.second_on is not None:
        found.append(station.pump if study is None or study.pair is None else study.pair.second)
    if study is not None and study.unit is not None and study.unit.own_pump:
        found.append(study.unit.pump)
    return tuple(found)


def _one_pump(site: Site, station: LiftStation, pump: PumpChoice, count: float) -> TakeoffLine:
    """A pump to buy: by its own price where the job gives one, else by the price book's of its label."""
    size = "1/2 hp" if site.job.units == "US" else "373 W (1/2 hp)"
    unlabelled = pump.label_power is None and pump.price is None
    bought = line(
        pump_key(pump.label_power, pump.float_kind),
        "pump",
        f"pump: {pump_words(pump, site.job.units)}",
        count,
        "each",
        where=station.name,
        basis=Basis.ASSUMED if unlabelled else Basis.MEASURED,
        note=f"the data sheet gives no power: priced as {size}" if unlabelled else "hold it to its data sheet's curve",
    )
    return bought if pump.price is None else replace(bought, own_price=pump.price)


__all__ = ["pump_key", "pump_lines", "pumps_of"]
