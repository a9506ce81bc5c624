"""Flows of the pumps at each level of their basins, alone and with others in one discharge line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from drainwright.errors import InputError
from drainwright.field.model import Site
from drainwright.hydraulics.force_main import MainPump, main_flows
from drainwright.hydraulics.pump import PressurePipe, PumpCurve
from drainwright.storm.engine.plant import NEVER, Stations
from drainwright.storm.model import Series
from drainwright.system.lift.pair import together
from drainwright.system.lift.pressure_line import PUMP_OUTLET, SMOOTH_WALL
from drainwright.system.model import LiftStation, MainFlow, SizedRun, System
from drainwright.worksheet import quiet

ABOVE = 1.0  # how far the tables go over the rim [m]
ROWS_PUMP, ROWS_MAIN = 65, 17  # of a pump's table, and those worked out where several pump into one line


FIRST, BOTH, BATTERY, SECOND = range(4)  # rows of a station's table: what runs


def curve_of(station: LiftStation, row: int) -> PumpCurve:
    """What a station lifts with: its first pump, both together, what the battery drives, or its second pump alone."""
    pair = None if station.study is None else station.study.pair
    unit = None if station.study is None else station.study.unit
    second = station.pump.curve if pair is None else pair.second.curve
    if row == BOTH:
        return together(station.pump.curve, second)
    if row == BATTERY and unit is not None:
        return unit.pump.curve
    return second if row == SECOND else station.pump.curve


def pump_table(
    station: LiftStation, line: SizedRun, pumps: int, curve: PumpCurve | None = None, risers: int | None = None
) -> tuple[Series, Series]:
    """Flow of the pumps together at even basin levels, floor to ``ABOVE`` the rim: the pump's curve less the losses.

    At a flow q the pump serves the static head H(q) less the line's losses; that is turned round by straight lines
    between two thousand flows. None where the pump does not reach; at most the last flow of the data-sheet. The line
    is that of the lift station: its run, the riser in the basin and the fittings. Another curve than that of the
    first pump may be given, that of two pumps together with the two risers that they have.
    """
    curve, williams = station.pump.curve if curve is None else curve, line.pipe.hazen_williams
    pipe = PressurePipe(
        length=line.length + max(line.invert_upper - station.floor - PUMP_OUTLET, 0.0),
        diameter=line.pipe.inside,
        roughness=SMOOTH_WALL if williams is None else williams,
        loss_coefficient=station.fittings_k - station.riser_k * (1.0 - 1.0 / (risers or pumps) ** 2),
        method="darcy_weisbach" if williams is None else "hazen_williams",
    )
    levels = np.linspace(station.floor, station.rim + ABOVE, ROWS_PUMP)
    flow = np.linspace(0.0, curve.runout, 2001)
    with quiet():
        served = np.asarray(curve.head(flow)) - np.asarray(pipe.head_loss(pumps * flow))
    static = station.static_head - (levels - station.off)
    return levels, pumps * np.interp(static, served[::-1], flow[::-1], right=0.0)


def _states(system: System, station: LiftStation) -> tuple[tuple[LiftStation, ...], MainFlow | None]:
    """The other stations that pump into a station's line, and the main that they share."""
    main = next((main for main in system.mains if station.name in main.basins), None)
    if main is None:
        return (), None
    return tuple(other for other in system.stations if other.name in main.basins and other is not station), main


def _shared_table(system: System, station: LiftStation) -> Series:
    """Flows of a station on a main, by what the others do: each rests, or runs one pump or two, half full.

    (states, 4, rows), the state being the sum of each other's pumps times a power of three; the second index is what
    runs here: ``FIRST``, ``BOTH``, ``BATTERY`` or ``SECOND``.
    """
    others, main = _states(system, station)
    levels = np.linspace(station.floor, station.rim + ABOVE, ROWS_PUMP)
    if main is None:
        line = system.run(station.discharge_run)
        rows = [
            pump_table(station, line, 1, curve_of(station, row), risers=2 if row == BOTH else 1)[1]
            for row in (FIRST, BOTH, BATTERY, SECOND)
        ]
        pair = None if station.study is None else station.study.pair
        if pair is None or pair.alike:
            rows[BOTH] = pump_table(station, line, 2)[1]
        return np.stack(rows)[None]
    few = np.linspace(station.floor, station.rim + ABOVE, ROWS_MAIN)
    table = np.zeros((3 ** len(others), 4, ROWS_PUMP))
    known: dict[tuple[tuple[int, ...], PumpCurve], Series] = {}
    for state in range(len(table)):
        wanted = tuple(state // 3**place % 3 for place in range(len(others)))
        counts = tuple(
            count if other.second_on is not None else min(count, 1) for count, other in zip(wanted, others, strict=True)
        )
        for row in (FIRST, BOTH, BATTERY, SECOND):
            key = (counts, curve_of(station, FIRST if row == BOTH and station.second_on is None else row))
            if key not in known:
                known[key] = np.array([_on_main(main, station, others, key, level) for level in few])
            table[state, row] = np.interp(levels, few, known[key])
    return table


def alone_table(system: System, station: LiftStation) -> tuple[Series, Series]:
    """Levels from a basin's floor to ``ABOVE`` its rim, and what its first pump delivers with all others at rest."""
    return np.linspace(station.floor, station.rim + ABOVE, ROWS_PUMP), _shared_table(system, station)[0, FIRST]


def _on_main(
    main: MainFlow,
    station: LiftStation,
    others: Sequence[LiftStation],
    running: tuple[tuple[int, ...], PumpCurve],
    level: float,
) -> float:
    """Flow of what a station lifts with at a level of its basin, with the others' pumps at work [m³/s]."""
    counts, own = running
    pumps = [MainPump(name=station.name, curve=own, level=level)]
    for other, count in zip(others, counts, strict=True):
        if count:
            middle = (other.on + other.off) / 2.0
            pumps.append(MainPump(name=other.name, curve=curve_of(other, BOTH if count > 1 else FIRST), level=middle))
    with quiet():
        return main_flows(main.parts, pumps, main.end_level).pumps[station.name]


def battery_time(site: Site, station: LiftStation) -> float:
    """Run time that a station's battery gives; none: 0. [s]"""
    basin = site.job.works.basin_named(station.name)
    cell = None if basin is None else basin.battery
    return 0.0 if cell is None or cell.current <= 0.0 else 3600.0 * cell.capacity * cell.usable / cell.current


def stations_of(
    site: Site, system: System, index: Mapping[str, int], stage: Series, stored: Series
) -> tuple[Stations, Series]:
    """The stations as the stepper takes them, and the flows of each second pump alone (stations, states, rows).

    Raises
    ------
    InputError
        If the floats of a station are not in order.
    """
    stations = system.stations
    for station in stations:
        if not station.floor <= station.off < station.on:
            raise InputError(f"off = {station.off!r}, on = {station.on!r}: expected floats in order above the floor")
    tables = [_shared_table(system, station) for station in stations]
    states = max((len(table) for table in tables), default=1)
    flows = np.zeros((len(stations), states, 4, ROWS_PUMP))
    shared = np.zeros((len(stations), len(stations)), np.int64)
    onward = {run.upper: run.lower for run in system.runs if run.pressure}
    ends = []
    for place, (station, table) in enumerate(zip(stations, tables, strict=True)):
        flows[place, : len(table)] = table
        for power, other in enumerate(_states(system, station)[0]):
            shared[place, stations.index(other)] = 3**power
        end = system.run(station.discharge_run).lower
        while end in onward and system.station_named(end) is None:
            end = onward[end]
        ends.append(index.get(end, -1))
    nodes = [index[station.name] for station in stations]

    def volumes(levels: Sequence[float | None]) -> Series:
        return np.array([
            NEVER if level is None else float(np.interp(level, stage[node], stored[node]))
            for node, level in zip(nodes, levels, strict=True)
        ])  # fmt: skip

    rows = Stations(
        node=np.array(nodes, np.int64),
        off=volumes([station.off for station in stations]),
        on=volumes([station.on for station in stations]),
        second=volumes([station.second_on for station in stations]),
        low=np.array([station.floor for station in stations]),
        high=np.array([station.rim + ABOVE for station in stations]),
        flow=flows[:, :, :3],
        shared=shared,
        to=np.array(ends, np.int64),
        line=np.array([station.drain_back for station in stations]),
        battery=np.array([battery_time(site, station) for station in stations]),
    )
    return rows, flows[:, :, SECOND]


__all__ = ["ABOVE", "SECOND", "alone_table", "battery_time", "curve_of", "pump_table", "stations_of"]
