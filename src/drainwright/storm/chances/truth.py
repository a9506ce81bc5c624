"""The plant as it may truly be: built as drawn, in ground and weather that nobody knows for sure."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from drainwright.field.model import Site
from drainwright.job.values import Basis, Fact
from drainwright.storm.chances.inputs import Values
from drainwright.storm.engine.plant import NEVER, Forcing, Plant, Run, Stations, Stores
from drainwright.storm.engine.ready import forcing_of, state_of
from drainwright.storm.failures.failure import Failure, failed
from drainwright.storm.failures.running import Setup
from drainwright.storm.model import Series, Storm
from drainwright.storm.network import Network, build_network
from drainwright.storm.parts.bottoms import ground_over
from drainwright.storm.parts.ground_cells import ground_cells
from drainwright.storm.parts.joint import joint_lines
from drainwright.storm.pump_tables import stations_of
from drainwright.storm.series import LAG, Plane, linear_reservoir, plane_flows, plane_of, storm_of
from drainwright.system.lift.duty import worn
from drainwright.system.model import LiftStation, System
from drainwright.water.ground import ground_of
from drainwright.water.model import Cause, Inflows
from drainwright.water.uncertainty import drain_inflow
from drainwright.worksheet import quiet

TOLERANCE = 0.002  # greatest error of a level in one step [m]
AFTER = 2 * 3600.0  # after the storm [s]
CUT_ON = 24 * 3600.0  # how long a run with the power out goes on after the storm [s]
DRY = 30 * 86400.0  # of a run without rain [s]
PARTS = 3  # in which a run is stepped that ends where the water reaches the slab
LEAST = 1e-9  # ground that gives nothing gives this share of its design flow, so that its cells stay [-]
YEAR = 31557600.0

Change = Callable[[Setup], Setup]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a run tells."""

    slab_at: float  # when water reached the slab; infinite: not [s]
    over: float  # highest water at the house over the slab; below zero: under it [m]


@dataclass(slots=True, kw_only=True)
class Base:
    """What all truths share."""

    site: Site
    inflows: Inflows
    system: System
    network: Network
    planes: tuple[Plane, ...] = ()
    storms: dict[float, Storm] = field(default_factory=dict)
    entering: dict[tuple[float | None, ...], dict[str, Series]] = field(default_factory=dict)  # by what they hang on
    pumps: dict[tuple[float, ...], tuple[Stations, Series]] = field(default_factory=dict)  # likewise
    runs: int = 0

    @classmethod
    def of(cls, site: Site, inflows: Inflows, system: System) -> Base:
        """Of a design."""
        yards = [part for part in inflows.contributions if part.cause is Cause.YARD and part.area > 0.0]
        with quiet():
            planes = tuple(plane_of(site, part) for part in yards)
        return cls(
            site=site, inflows=inflows, system=system, planes=planes, network=build_network(site, inflows, system)
        )

    def storm(self, period: float) -> Storm:
        """The storm of a return period in years, as the table tells it."""
        if period not in self.storms:
            criteria = self.site.job.criteria.model_copy(update={"storm_return_period": period * YEAR})
            site = replace(self.site, job=self.site.job.model_copy(update={"criteria": criteria}))
            with quiet():
                self.storms[period] = storm_of(site, self.inflows)
        return self.storms[period]

    @property
    def duration(self) -> float:
        """Of the storm [s]."""
        periods = self.inflows.rain.return_periods
        storm = self.storm(periods[0] / YEAR)
        return float(storm.times[-1] + storm.step)


def true_inputs(base: Base, values: Values) -> tuple[Site, Inflows, System]:
    """Site, inflows and system with other ground water, porosity, worn pumps and floats off their marks."""
    site, inflows, system = base.site, base.inflows, base.system
    speed, reach = values.get("conductivity", 1.0), values.get("reach", 1.0)
    shift, none, one = values.get("water table", 0.0), np.zeros(1), np.ones(1)
    ground, seepage = site.job.ground, []
    rain = np.full(1, ground.recharge.value if ground.recharge is not None else 0.0)
    with quiet():
        for item in inflows.seepage:
            usual = drain_inflow(site, item, item.conductivity * one, none, none, one, one, rain)
            now = drain_inflow(site, item, item.conductivity * speed * one, shift * one, none, one, reach * one, rain)
            share = max(LEAST, float(now[0] / usual[0])) if usual[0] > 0.0 else 0.0
            seepage.append(replace(item, per_length=item.per_length * share, far_level=item.far_level + shift))
        if "porosity" in values:
            porosity = min(1.0, ground_of(site).drainable_porosity * values["porosity"])
            fact: Fact[float] = Fact(value=porosity, basis=Basis.STATED)
            known = ground.model_copy(update={"drainable_porosity": fact})
            site = replace(site, job=site.job.model_copy(update={"ground": known}))
    stations = tuple(_worn(station, values) for station in system.stations)
    return site, replace(inflows, seepage=tuple(seepage)), replace(system, stations=stations)


def _worn(station: LiftStation, values: Values) -> LiftStation:
    wear = values.get("wear", 0.0)
    off = values.get("float", 0.0)
    study = station.study
    if study is not None and study.pair is not None and wear > 0.0:
        second = replace(study.pair.second, curve=worn(study.pair.second.curve, wear))
        study = replace(study, pair=replace(study.pair, second=second))
    on = max(station.on + off, station.off + 0.01)
    return replace(
        station,
        pump=replace(station.pump, curve=worn(station.pump.curve, wear)),
        study=study,
        on=on,
        second_on=None if station.second_on is None else max(station.second_on + off, on),
    )


def true_network(
    network: Network, site: Site, inflows: Inflows, system: System, pumps: tuple[Stations, Series] | None = None
) -> Network:
    """The network of a design with the ground and the pumps of a truth: as if built anew, but quicker.

    ``pumps`` are the stations as ``stations_of`` gives them, where they are known already.
    """
    plant = network.plant
    soaks, joints = {soak.name for soak in system.soaks}, {joint.name for joint in joint_lines(site, system)}
    rows = {name: row for row, name in enumerate(network.names[: network.places])}
    gravity = [run for run in system.runs if not run.pressure and run.upper in rows and run.upper not in soaks | joints]
    stage, stored, start = plant.stores.stage.copy(), plant.stores.stored.copy(), network.start.copy()
    ground = ground_cells(
        site, inflows, gravity, {name: row for name, row in rows.items() if name not in joints}, network.places
    )
    if ground.start.size:
        more = np.arange(1.0, stage.shape[1] - 1.0)
        slope = ground.stored[:, 1:] / (ground.stage[:, 1:] - ground.stage[:, :1])
        cells = np.hstack([ground.stage, ground.stage[:, 1:] + more])
        stage[network.places :], stored[network.places :] = cells, slope * (cells - ground.stage[:, :1])
        start[network.places :] = ground.start
    onward = {name: row for name, row in rows.items() if name not in soaks}
    with quiet():
        stations, second = pumps or stations_of(site, system, onward, stage, stored)
    over = ground_over(ground.ground, stage)
    changed = plant._replace(stores=Stores(stage, stored), ground=over, stations=stations)
    return replace(network, plant=changed, second=second, start=start)


class Truth:
    """One truth; runs of it through a storm, or through dry weather, with or without an outage."""

    def __init__(self, base: Base, values: Values, change: Change | None = None) -> None:
        self.base, self.values = base, values
        site, inflows, system = true_inputs(base, values)
        worn_so = (values.get("wear", 0.0), values.get("float", 0.0))
        network = true_network(base.network, site, inflows, system, base.pumps.get(worn_so))
        plant = network.plant
        base.pumps[worn_so] = plant.stations, network.second
        lost = 1.0 - values.get("roots", 0.0)
        plant = plant._replace(pipes=plant.pipes._replace(conveyance=plant.pipes.conveyance * lost))
        storm = base.storm(base.inflows.rain.return_periods[0] / YEAR)
        setup = Setup(
            site=site, inflows=inflows, system=system, network=replace(network, plant=plant), storm=storm,
            entering={}, horizon=base.duration + AFTER,
        )  # fmt: skip
        self.setup = setup if change is None else change(setup)

    def run(self, period: float | None, cut: tuple[float, float] | None = None, dead: bool = False) -> Told:
        """Step the plant.

        Parameters
        ----------
        period : float or None
            Return period of the storm [years]; None: dry weather.
        cut : tuple or None
            From when to when the power is out [s].
        dead : bool
            Whether the pump of the station at the house is dead from the start.
        """
        from drainwright.storm.engine.stepper import step

        network = self.setup.network
        plant, forcing = self._failed(period, cut, dead)
        told = step(plant, forcing, state_of(plant, network.start), TOLERANCE, False, True)
        self.base.runs += 1
        if not network.house.size:
            return Told(slab_at=math.inf, over=-math.inf)
        node = network.highest_at_house(told.highest)
        level = float(np.min(network.plant.stores.stage[network.house, 0]) if node is None else told.highest[node])
        return Told(slab_at=self._first(told), over=level - float(network.plant.watches.level[0]))

    def slab_at(self, period: float | None, cut: tuple[float, float] | None = None, dead: bool = False) -> float:
        """When water reaches the slab, as ``run`` tells it: stepped no further than that. Infinite: not. [s]"""
        from drainwright.storm.engine.packing import packed
        from drainwright.storm.engine.stepper import step

        network = self.setup.network
        plant, forcing = self._failed(period, cut, dead)
        self.base.runs += 1
        if not network.house.size:
            return math.inf
        ready, state, rows = packed(plant), state_of(plant, network.start), len(forcing.inflow)
        marks = np.unique(np.append(np.arange(0, rows, max(rows // PARTS, 1)), rows))
        for first, last in pairwise(marks.tolist()):
            part = forcing._replace(
                edges=forcing.edges[first : last + 1], inflow=forcing.inflow[first:last],
                shift=forcing.shift[first:last],
            )  # fmt: skip
            told = step(ready, part, state, TOLERANCE, False, True)
            found, state = self._first(told), told.state
            if math.isfinite(found):
                return found
        return math.inf

    def _first(self, told: Run) -> float:
        first = float(np.min(told.reached[: self.setup.network.house.size]))
        return first if first < NEVER else math.inf

    def _failed(self, period: float | None, cut: tuple[float, float] | None, dead: bool) -> tuple[Plant, Forcing]:
        """The plant and what comes to it, with an outage."""
        forcing = self._forcing(period, on=cut is not None or dead)
        return failed(self.setup.network.plant, forcing, self.setup.network, self.setup.system, self.fault(cut, dead))

    def fault(self, cut: tuple[float, float] | None = None, dead: bool = False) -> Failure:
        """What is wrong with the plant, besides its ground and pumps, with an outage of them."""
        system, main, leaking = self.setup.system, self.setup.system.station, None
        if main is not None and self.values.get("check valve", 0.0) > 0.0:
            line = system.run(main.discharge_run)
            leaking = (main.name, math.pi / 4.0 * line.pipe.inside**2 * line.length)
        return Failure(
            key="", title="", cut=cut or (NEVER, NEVER), leaking=leaking,
            pump_dead=main.name if dead and main is not None else None,
            clogging=self.values.get("clogging", self.setup.site.job.criteria.grate_clogging),
        )  # fmt: skip

    def _forcing(self, period: float | None, on: bool) -> Forcing:
        if period is None:
            return forcing_of(np.array([0.0, DRY]), np.zeros(0, np.int64), np.zeros((1, 0)))
        entries = self.setup.network.entries
        hangs_on = (period, *(self.values.get(name) for name in ("rain", "roof areas", "yard areas", "yard soil")))
        if hangs_on not in self.base.entering:
            self.base.entering[hangs_on] = self._inflow(self.base.storm(period))
        entering = self.base.entering[hangs_on]
        known = [name for name in entering if name in entries]
        step = self.base.storm(period).step
        rows = len(next(iter(entering.values()), np.zeros(math.ceil(self.setup.horizon / step))))
        edges = step * np.arange(rows + 1.0)
        inflow = np.zeros((rows, len(known)))
        for column, name in enumerate(known):
            inflow[:, column] = entering[name]
        if on:
            edges, inflow = np.append(edges, edges[-1] + CUT_ON), np.vstack([inflow, np.zeros((1, len(known)))])
        return forcing_of(edges, np.array([entries[name] for name in known], np.int64), inflow)

    def _inflow(self, storm: Storm) -> dict[str, Series]:
        """As ``series.inflow_series``, with the true rain, areas and soil."""
        steps = max(len(storm.intensity), math.ceil(self.setup.horizon / storm.step - 1e-9))
        rain = np.zeros(steps)
        rain[: len(storm.intensity)] = storm.intensity * self.values.get("rain", 1.0)
        found: dict[str, Series] = {}
        soil, yards = self.values.get("yard soil", 1.0), self.values.get("yard areas", 1.0)
        planes = [replace(plane, conductivity=plane.conductivity * soil) for plane in self.base.planes]
        roofs = self.values.get("roof areas", 1.0)
        with quiet():
            for part in self.base.inflows.contributions:
                if part.cause is Cause.ROOF and part.area > 0.0:
                    flow = linear_reservoir(rain * part.area * roofs, storm.step, LAG * part.time)
                    found[part.entry] = found.get(part.entry, np.zeros(steps)) + flow
            for plane, flow in zip(planes, plane_flows(planes, rain, storm.step), strict=True):
                gathered = yards * linear_reservoir(flow, storm.step, LAG * plane.gathered)
                found[plane.entry] = found.get(plane.entry, np.zeros(steps)) + gathered
        return found


__all__ = ["YEAR", "Base", "Change", "Told", "Truth", "true_inputs"]
