"""The lift stations of a network: each with its own gravity lines, in the order of the water, until all agree."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from drainwright.field.model import Site
from drainwright.field.places import resolve_level
from drainwright.hydraulics.emitter import emitter_loss_coefficient, emitter_rise
from drainwright.hydraulics.force_main import MainFlows, MainLine, MainPump, main_flows
from drainwright.hydraulics.pressure import minor_loss, pipe_velocity
from drainwright.hydraulics.wetwell import most_starts_per_hour
from drainwright.job.values import Place
from drainwright.job.works import Basin, Discharge
from drainwright.system.bends import line_bends
from drainwright.system.catalogue import find_pipe, nominal_size
from drainwright.system.firm_pipes import shelf_of
from drainwright.system.flows import Causes, Gathered, gather
from drainwright.system.grading.graded import Graded, grade
from drainwright.system.grading.site import driven
from drainwright.system.lift.choice import Chosen, Setting, choose
from drainwright.system.lift.downspouts import storm_inflows
from drainwright.system.lift.pressure_line import PressureLine, pressure_inverts
from drainwright.system.lift.station import RIM_ABOVE, lift_station, lowest_arrival
from drainwright.system.model import LiftStation, MainFlow, Pipe
from drainwright.system.network import Line, Network
from drainwright.system.outlets.ends import emitter_bore, lid_level
from drainwright.system.sized import outlet_level, stations_of
from drainwright.system.surface.joined import joined_levels
from drainwright.system.surface.reaches import reaches_of
from drainwright.system.surface.surface_line import water_lines
from drainwright.system.zones import Main, Zones
from drainwright.water.model import Cause, Inflows
from drainwright.worksheet import place, quiet

ROUNDS = 6  # at most, until the pumps' flows and the lines below them agree
FLOW_TOLERANCE = 1e-6  # [m³/s]
LEVEL_ENDS = ("inlet", "basin")  # a pumped line comes in level through their walls
LEVEL_OUTLETS = ("street", "pop-up emitter")  # and through a kerb, into an emitter's elbow


@dataclass(frozen=True, slots=True, kw_only=True)
class Lifted:
    """The network graded and lifted."""

    stations: tuple[LiftStation, ...]  # in the order of the water
    lines: Mapping[str, PressureLine]  # all that run under pressure
    flows: Gathered
    graded: tuple[Graded, ...]  # by zone
    mains: tuple[MainFlow, ...]
    tails: Mapping[str, float]  # water level where gravity lines end: ways out and basins [m]
    notes: tuple[str, ...]

    def station(self, name: str) -> LiftStation | None:
        """The station of a basin."""
        return next((station for station in self.stations if station.name == name), None)


class Lifting:
    """The sizing of the stations of one complete network."""

    def __init__(
        self,
        site: Site,
        network: Network,
        parts: Zones,
        entries: Mapping[str, Causes],
        water: Inflows,
        clogged: Mapping[str, Causes],  # entries with clogged grates [m³/s]
    ) -> None:
        self.site, self.network, self.parts, self.entries, self.water = site, network, parts, entries, water
        self.clogged = clogged
        self.shelf = shelf_of(site.job.pipes, site.job.units)
        self.tails = tailwaters(site, network)
        self.graded: dict[str | None, tuple[tuple[float, ...], Graded]] = {}
        self.chosen: dict[str, Chosen] = {}
        self.settings: dict[str, Setting] = {}
        self.common: dict[str, PressureLine] = {}  # lines of mains that leave a junction
        self.natural = self._gather({})  # as it comes, with no pump in between
        self.pumped: dict[str, float] = {}
        self.kept: dict[str, float] = {}  # share of its flow alone that a pump on a main keeps beside the others [-]

    def lift(self) -> Lifted:
        """Grade and lift until the flows agree; then record the stations' formulas."""
        margin = self.site.job.criteria.pump_margin
        with quiet():
            for name in self.parts.basins:
                arriving = self._gather(self.pumped).spots[name]
                self.pumped[name] = margin * sum(arriving.values())
            flows = self._gather(self.pumped)
            for number in range(ROUNDS if self.parts.basins else 1):
                self._round(flows)
                found = {name: self._flow(name) for name in self.parts.basins}
                for main in self.parts.mains:
                    found |= self._at_work(main, main.basins).pumps
                    for name in main.basins:
                        alone = self._at_work(main, (name,)).pumps[name]
                        self.kept[name] = found[name] / alone if alone > 0.0 and found[name] > 0.0 else 1.0
                agree = all(abs(found[name] - self.pumped[name]) < FLOW_TOLERANCE for name in found)
                if agree or number == ROUNDS - 1 or not self._bound():
                    break
                self.pumped = found
                flows = self._gather(found)
        return self._recorded()

    def _gather(self, pumped: Mapping[str, float]) -> Gathered:
        return gather(self.network, self.entries, pumped, self.clogged)

    def _bound(self) -> bool:
        """Whether anything but a station of its own hangs on what the pumps deliver."""
        return bool(self.parts.gravity[None] or len(self.parts.basins) > 1)

    def _round(self, flows: Gathered) -> None:
        """Grade all gravity lines, then choose the stations in the order of the water."""
        for zone in self.parts.gravity:
            self._grade(zone, flows)
        for line in reversed(self.parts.pressed):
            if line.upper not in self.parts.basins:
                self.common[line.name] = self._common(line, flows)
        for name in self.parts.basins:
            self.settings[name] = self._setting(name, flows)
            self.chosen[name] = choose(self.settings[name])

    def _grade(self, zone: str | None, flows: Gathered) -> None:
        lines = self.parts.gravity[zone]
        key = tuple(sum(flows.lines[line.name].values()) for line in lines)
        known = self.graded.get(zone)
        if known is None or known[0] != key:
            self.graded[zone] = (key, grade(self.site, self.network, flows, lines))

    def _flow(self, name: str) -> float:
        return self.chosen[name].flow

    def _recorded(self) -> Lifted:
        stations: list[LiftStation] = []
        notes: list[str] = []
        lines = dict(self.common)
        mains: list[MainFlow] = []
        together: dict[str, MainFlows] = {}
        for main in self.parts.mains:
            with place(f"works.{main.lines[-1]}", "pumps on one main"):
                every = self._at_work(main, main.basins)
            with quiet():
                alone = {name: self._at_work(main, (name,)) for name in main.basins}
                parts, end = self._parts(main)
            mains.append(
                MainFlow(
                    basins=main.basins,
                    lines=main.lines,
                    end=main.end,
                    together={name: every.pumps[name] for name in main.basins},
                    alone={name: alone[name].pumps[name] for name in main.basins},
                    heads=dict(every.heads),
                    parts=parts,
                    end_level=end,
                )
            )
            together |= dict.fromkeys(main.basins, every)
            for name in main.lines:
                if name in lines and (below := self.network_line(name).lower) in every.heads:
                    lines[name] = replace(lines[name], tailwater=every.heads[below])
        for name in self.parts.basins:
            chosen = self.chosen[name]
            if name in together:
                head = together[name].heads[self.network_line(chosen.option.line.name).lower]
                line = replace(chosen.option.line, tailwater=head)
                chosen = replace(chosen, option=replace(chosen.option, line=line), flow=together[name].pumps[name])
            station, line, said = lift_station(self.settings[name], chosen)
            if name in together:
                station = _alone(station, next(main.alone[name] for main in mains if name in main.basins))
            stations.append(station)
            lines[line.name] = line
            notes += said
        flows = self._gather({station.name: station.operating_flow for station in stations})
        tails = {**self.tails, **{station.name: station.on for station in stations}}
        tails |= self._over_lids(flows)
        for name, level in joined_levels(self.site, self.network, self.water, flows.spots).items():
            tails[name] = max(level, tails.get(name, level))
        return Lifted(
            stations=tuple(stations),
            lines=lines,
            flows=flows,
            graded=tuple(self.graded[zone][1] for zone in self.parts.gravity),
            mains=tuple(mains),
            tails=tails,
            notes=tuple(notes),
        )

    def _over_lids(self, flows: Gathered) -> dict[str, float]:
        """Level at which gravity water leaves by an emitter: over its lid by what elbow, lid and exit lose."""
        found = {}
        for graded in (self.graded[zone][1] for zone in self.parts.gravity):
            for line, point in ((line, self._point(self.network_line(line))) for line in graded.found):
                lid = None if point is None else lid_level(point, self.network.spots[point.name].ground)
                if point is None or lid is None:
                    continue
                pipe = graded.found[line].pipe
                with place(f"works.discharge.{point.name}", "emitter"):
                    emitter_rise(max(lid - graded.found[line].invert_lower, 0.0), 0.0)
                    lost = 1.0 + float(emitter_loss_coefficient(pipe.inside, emitter_bore(point, pipe)))
                    speed = float(pipe_velocity(sum(flows.lines[line].values()), pipe.inside))
                    level = lid + float(minor_loss(speed, lost))
                found[point.name] = max(level, self.tails.get(point.name, level))
        return found

    def _point(self, line: Line) -> Discharge | None:
        """The discharge point that a line ends in."""
        return next((point for point in self.site.job.works.discharge if point.name == line.lower), None)

    def network_line(self, name: str) -> Line:
        """The line of that name."""
        return next(line for line in self.network.lines if line.name == name)

    def _at_work(self, main: Main, running: Sequence[str]) -> MainFlows:
        """The main with some of its pumps running, the water half way between their floats."""
        pumps = []
        for name in main.basins:
            chosen = self.chosen[name]
            level = (chosen.levels.on + chosen.levels.off) / 2.0
            pumps.append(MainPump(name=name, curve=chosen.option.pump.curve, level=level))
        with quiet():
            parts, end = self._parts(main)
        return main_flows(parts, pumps, end, running)

    def _parts(self, main: Main) -> tuple[tuple[MainLine, ...], float]:
        """The lines of a main with their losses, and the water level in which it ends."""
        parts, end = [], float("-inf")
        for line in map(self.network_line, main.lines):
            pressure, floor = self.common.get(line.name), 0.0
            if pressure is None:
                pressure, floor = self.chosen[line.upper].option.line, self.chosen[line.upper].levels.floor
            if line.lower == main.end:
                end = pressure.against
            highest = max(pressure.inverts) + pressure.pipe.inside
            (pipe,) = pressure.curve(0.0, floor).pipes
            parts.append(MainLine(name=line.name, upper=line.upper, lower=line.lower, pipe=pipe, highest=highest))
        return tuple(parts), end

    def _junction_head(self, line: Line, flows: Gathered) -> float:
        """Level of the grade line at the junction where a line ends, with all pumps at their flow [m]."""
        onward = next(other for other in self.parts.pressed if other.upper == line.lower)
        pressure = self.common[onward.name]
        (pipe,) = pressure.curve(0.0, 0.0).pipes
        lift = pressure.highest
        if any(other.upper == onward.lower and other.name in self.common for other in self.parts.pressed):
            lift = max(lift, self._junction_head(onward, flows))
        return lift + float(pipe.head_loss(sum(flows.lines[onward.name].values())))

    def _common(self, line: Line, flows: Gathered) -> PressureLine:
        """The common part of a main; where the job leaves its pipe open, the smallest that is not too fast."""
        flow = sum(flows.lines[line.name].values())
        if line.pipe is not None:
            pipe = line.pipe
        else:
            given = [other.pipe for other in self.parts.pressed if other.lower == line.upper and other.pipe is not None]
            chosen = [
                self.chosen[other.upper].option.line.pipe
                for other in self.parts.pressed
                if other.lower == line.upper and other.upper in self.chosen
            ]
            least = max((nominal_size(other) for other in (*given, *chosen)), default=0.0)
            fast = self.site.job.criteria.maximum_velocity
            fits = self.shelf.pressure(least)
            pipe = next((pipe for pipe in fits if float(pipe_velocity(flow, pipe.inside)) <= fast), fits[-1])
        return self._line_builder(line, flows, check_valve=False)(pipe)

    def _setting(self, name: str, flows: Gathered) -> Setting:
        """What a station is fitted into."""
        site, job = self.site, self.site.job
        spot = self.network.spots[name]
        given = job.works.basin_named(name)
        basin = Basin(name=name, at=Place(east=spot.at[0], north=spot.at[1])) if given is None else given
        rim = spot.ground + RIM_ABOVE
        if basin.rim is not None:
            rim = resolve_level(site, basin.rim, spot.at, f"works.basin.{name}.rim")
        graded = self.graded[name][1]
        arriving = [graded.found[line.name].invert_lower for line in self.parts.gravity[name] if line.lower == name]
        for other in self.parts.pressed:
            if other.lower == name:
                lead = self.common.get(other.name) or self.chosen[other.upper].option.line
                arriving.append(lead.inverts[-1])
        own = self.parts.line_of(name)
        if own is None:
            raise RuntimeError("a basin without a discharge line was laid out")
        two = basin.second_pump or basin.second is not None
        return Setting(
            basin=basin,
            given=given is not None,
            at=spot.at,
            ground=spot.ground,
            rim=rim,
            lowest_inlet=lowest_arrival(arriving, rim),
            flows=flows.spots[name],
            steady_ground=self.natural.spots[name].get(Cause.GROUND, 0.0),
            burst=max(sum(flows.spots[name].values()) - sum(self.natural.spots[name].values()), 0.0),
            # alone the pump empties its band sooner than beside the others: the band is for that
            criteria=job.criteria.model_copy(
                update={"maximum_starts": job.criteria.maximum_starts * self.kept.get(name, 1.0)}
            ),
            water_table=site.water_table,
            soil_unit_weight=None if job.ground.unit_weight is None else job.ground.unit_weight.value * 9.80665,
            units=job.units,
            line_pipe=own.pipe,
            line=self._line_builder(own, flows, check_valve=basin.check_valve, second_pump=two),
            pumps=job.pumps,
            shelf=self.shelf,
            ground_range=self.water.bands.get(Cause.GROUND),
            storms=storm_inflows(
                self.water, [spout.name for spout in job.downspouts], self._gathered(name), self._gathered(name)
            ),
        )

    def _gathered(self, name: str) -> set[str]:
        """Places whose water comes to a basin, by gravity or through other basins."""
        found = {name, *(line.upper for line in self.parts.gravity[name])}
        for line in self.parts.pressed:
            if line.lower == name and line.upper in self.parts.basins:
                found |= self._gathered(line.upper)
        return found

    def _line_builder(
        self, line: Line, flows: Gathered, *, check_valve: bool, second_pump: bool = False
    ) -> Callable[[Pipe], PressureLine]:
        """A discharge line as a function of its pipe."""
        site, spots, job = self.site, self.network.spots, self.site.job
        distances, places, grounds = stations_of(site, line)
        wheels = job.criteria.traffic_cover if any(driven(site, places)) else 0.0
        cover = max(job.criteria.minimum_cover, job.rules.frost_depth.value, wheels)  # all along: no low place
        point = self._point(line)
        lid = None if point is None else lid_level(point, spots[line.lower].ground)
        tail = self.tails.get(line.lower, float("-inf"))
        onward = self.network.leaving(line.lower)
        pressed = {other.name: other for other in self.parts.pressed}
        common = None if onward is None or onward.upper in self.parts.basins else self.common.get(onward.name)
        if common is not None:
            tail = self._junction_head(line, flows)
        elif point is None and onward is not None and onward.name not in pressed:
            tail = self._node_level(onward, flows)
        outlet = None if point is None else outlet_level(site, self.network, point)
        if point is not None and outlet is not None and point.joins is not None and not point.air_gap:
            tail = max(tail, outlet + find_pipe(point.joins.pipe).inside)
        from_basin = line.upper in self.parts.basins
        level_end = spots[line.lower].kind in LEVEL_ENDS or (point is not None and point.kind in LEVEL_OUTLETS)
        falls = spots[line.lower].kind in ("inlet", "basin")  # into it from under its cover

        def lower_end(pipe: Pipe) -> float:
            if line.invert_lower is not None:
                return line.invert_lower
            if outlet is not None:
                return outlet
            if common is not None:
                return common.inverts[0]
            start = float("-inf")
            if onward is not None and onward.name not in pressed:
                start = self._invert_upper(onward)
            return max(start, grounds[-1] - cover - pipe.outside) if falls else start

        @cache
        def built(pipe: Pipe) -> PressureLine:
            upper = grounds[0] - cover - pipe.outside if line.invert_upper is None else line.invert_upper
            inverts = pressure_inverts(distances, grounds, upper, lower_end(pipe), cover, pipe, wheels)
            return PressureLine(
                name=line.name,
                distances=distances,
                inverts=inverts,
                pipe=pipe,
                tailwater=tail,
                bends=line_bends(distances, places, inverts, level_start=from_basin, level_end=level_end),
                check_valve=check_valve,
                from_junction=not from_basin,
                to_junction=common is not None,
                second_pump=second_pump,
                lid=float("-inf") if lid is None else lid,
                emitter=0.0 if point is None or lid is None else emitter_bore(point, pipe),
                relief_tee=point is not None and point.winter_relief,
            )

        return built

    def _zone(self, line: Line) -> str | None:
        return next(zone for zone, lines in self.parts.gravity.items() if line in lines)

    def _invert_upper(self, line: Line) -> float:
        return self.graded[self._zone(line)][1].found[line.name].invert_upper

    def _node_level(self, onward: Line, flows: Gathered) -> float:
        """Water level at the upper end of a gravity line [m]."""
        zone = self._zone(onward)
        tails = dict(self.tails)
        if zone in self.chosen and zone is not None:
            tails[zone] = self.chosen[zone].levels.on
        reaches = reaches_of(self.network, self.graded[zone][1], flows, self.parts.gravity[zone])
        return water_lines(reaches, tails)[onward.name].node_level


def _alone(station: LiftStation, flow: float) -> LiftStation:
    """A station on a main, with what its pump delivers while the others rest: it starts most often then."""
    if flow <= 0.0:
        return replace(station, flow_alone=flow)
    with quiet():
        starts = float(most_starts_per_hour(station.band_volume, flow)) / 3600.0
    return replace(station, flow_alone=flow, starts=starts)


def tailwaters(site: Site, network: Network) -> dict[str, float]:
    """Water level at each discharge point that stands in water [m]."""
    found = {}
    for point in site.job.works.discharge:
        if point.tailwater is not None:
            at = network.spots[point.name].at
            found[point.name] = resolve_level(site, point.tailwater, at, "works.discharge.tailwater")
    return found


__all__ = ["Lifted", "Lifting", "tailwaters"]
