"""The stage itself: from site and inflows to the system, in the order in which a designer thinks it through."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cache

import numpy as np

from drainwright.field.model import Site, SiteWall
from drainwright.field.places import resolve_level
from drainwright.field.words import least_sure
from drainwright.hydraulics.openflow import full_flow
from drainwright.job.values import Place
from drainwright.job.works import Basin
from drainwright.system.catalogue import find_pipe
from drainwright.system.choice import Setting, choose
from drainwright.system.flows import Gathered, entries, gather, unplaced
from drainwright.system.graded import FAILED, Graded, grade
from drainwright.system.gravity import best_way_out, drained_chains, sources, verdict_on
from drainwright.system.lifting import PressureLine, pressure_inverts
from drainwright.system.model import GravityVerdict, JoinedCapacity, LiftStation, Node, Pipe, SizedRun, System
from drainwright.system.network import DESIGNED_BASIN, Line, Network, given_network
from drainwright.system.propose import (
    PROPOSED_OFFSET,
    basin_place,
    discharge_line,
    footing_drains,
    lead_away,
    with_basin,
)
from drainwright.system.sized import (
    above_ground,
    gravity_run,
    outlet_level,
    pressure_run,
    reach_of,
    stations_of,
)
from drainwright.system.station import RIM_ABOVE, lift_station, lowest_arrival
from drainwright.system.surface_line import Reach, water_lines
from drainwright.system.ways import RoundHouse, bends, stations_along
from drainwright.water.model import Cause, Inflows
from drainwright.worksheet import place, quiet

ROUNDS = 6  # at most, until the pump's flow and the line below it agree
FLOW_TOLERANCE = 1e-6  # [m³/s]


def lay_out(site: Site, inflows: Inflows) -> System:
    """Where the water goes: network, grades, sizes, water surface, lift station, discharge.

    Parameters
    ----------
    site : Site
        The reduced site, with its job.
    inflows : Inflows
        Design flows by cause and entry.

    Returns
    -------
    System
        Every run sized and graded, the station where one is needed, the verdict of gravity for each discharge
        point; what could not be kept together in ``conflicts``, what was proposed or assumed in ``notes``.

    Raises
    ------
    JobError
        If a run names an unknown place, two runs leave one place, or runs go in a loop.

    Notes
    -----
    Where the job leaves the basin open and the shortest way would do, but the runs as laid cannot keep a fall, a
    station is designed after all, and the notes say so.
    """
    with quiet():
        house = RoundHouse(site.outline)
        given = given_network(site, house, basin_place(site, ()))
        chains = drained_chains(site, given)
        at = basin_place(site, chains)
        waters = sources(site, given, chains, PROPOSED_OFFSET)
    verdicts = tuple(
        verdict_on(site, point, index, given.spots[point.name], waters, house)
        for index, point in enumerate(site.job.works.discharge)
    )
    ends = [given.end(line.upper) for line in given.lines if line.duty != "overflow"]
    used = [point.name for point in site.job.works.discharge if point.name in ends]
    out = best_way_out(verdicts, used)
    basin = site.job.works.basin
    lifted = isinstance(basin, Basin) or (basin == "if needed" and not (out.reaches and out.lawful != "forbidden"))
    if basin == "if needed" and not lifted:
        with quiet():
            network = _complete(site, given, house, chains, out.discharge, None)
            failed = grade(site, network, gather(network, entries(site, network, inflows), None, None), network.lines)
        if failed.kinds & set(FAILED):
            lifted = True
            out = replace(out, reaches=False)
            verdicts = tuple(out if verdict.discharge == out.discharge else verdict for verdict in verdicts)
            said = f"The shortest way would let gravity reach {out.discharge}, the runs as laid do not: "
            given = replace(given, notes=(*given.notes, said + " ".join(failed.relaxed)))
    name = None
    if lifted:
        name = basin.name if isinstance(basin, Basin) else DESIGNED_BASIN
        given = with_basin(given, site, house, name, at)
    network = _complete(site, given, house, chains, out.discharge, name)
    return _Layout(site, inflows, network, verdicts, out.discharge, name).system()


def _complete(
    site: Site, network: Network, house: RoundHouse, chains: Sequence[Sequence[SiteWall]], out: str, basin: str | None
) -> Network:
    """The network with all that the job leaves out."""
    if basin is not None:
        network = discharge_line(site, network, house, basin, out)
    network = footing_drains(site, network, house, chains, basin or out)
    return lead_away(site, network, house, basin, out)


class _Layout:
    """The sizing of one complete network."""

    def __init__(
        self,
        site: Site,
        inflows: Inflows,
        network: Network,
        verdicts: tuple[GravityVerdict, ...],
        out: str,
        basin: str | None,
    ) -> None:
        self.site, self.inflows, self.network = site, inflows, network
        self.verdicts, self.out, self.basin = verdicts, out, basin
        with quiet():
            self.entries = entries(site, network, inflows)
        gravity = [line for line in network.lines if line.upper != basin or line.duty == "overflow"]
        self.above = [line for line in gravity if basin is not None and self._reaches_basin(line)]
        self.below = [line for line in gravity if line not in self.above]
        self.pressed = next((line for line in network.lines if line.upper == basin and line.duty != "overflow"), None)

    def _reaches_basin(self, line: Line) -> bool:
        return line.lower == self.basin or any(down.lower == self.basin for down in self.network.chain(line.lower))

    def system(self) -> System:
        """Grade, lift, draw the water surface, and put it all together."""
        site, network = self.site, self.network
        flows = gather(network, self.entries, self.basin, None)
        with quiet():
            above = grade(site, network, flows, self.above)
        tails = self._tailwaters()
        station: LiftStation | None = None
        line: PressureLine | None = None
        notes: tuple[str, ...] = ()
        if self.basin is None:
            with quiet():
                below = grade(site, network, flows, self.below)
        else:
            pumped = site.job.criteria.pump_margin * sum(flows.spots[self.basin].values())
            with quiet():
                for _ in range(ROUNDS):
                    flows = gather(network, self.entries, self.basin, pumped)
                    below = grade(site, network, flows, self.below)
                    setting = self._setting(self.basin, above, flows, self._line_builder(below, flows, tails))
                    chosen = choose(setting)
                    if not self.below or abs(chosen.flow - pumped) < FLOW_TOLERANCE:
                        break
                    pumped = chosen.flow
            station, line, notes = lift_station(setting, chosen)
            flows = gather(network, self.entries, self.basin, station.operating_flow)
            tails[self.basin] = station.on
        reaches = [*self._reaches(above, flows, self.above), *self._reaches(below, flows, self.below)]
        order = [item.name for item in network.lines]
        reaches.sort(key=lambda reach: order.index(reach.name))
        water = water_lines(reaches, tails)
        by_name = {item.name: item for item in network.lines}
        runs = {
            reach.name: gravity_run(site, by_name[reach.name], reach, flows.lines[reach.name], water[reach.name])
            for reach in reaches
        }
        if self.pressed is not None and line is not None and station is not None:
            runs[self.pressed.name] = pressure_run(
                site, self.pressed, line, flows.lines[self.pressed.name], station.operating_head,
                (station.on + station.off) / 2.0, station.velocity,
            )  # fmt: skip
        ordered = tuple(runs[name] for name in order)
        bare = [note for run in ordered if (note := above_ground(run, site.job.units))]
        return System(
            nodes=self._nodes(ordered, station),
            runs=ordered,
            gravity=self.verdicts,
            station=station,
            joined=self._joined(flows),
            discharge=self._end(),
            conflicts=(*above.relaxed, *below.relaxed),
            notes=(*network.notes, *notes, *unplaced(network, self.inflows), *self._beyond_survey(), *bare),
        )

    def _beyond_survey(self) -> tuple[str, ...]:
        """Notes on lines that leave the surveyed ground, where its level is carried on from the nearest shots."""
        surface = self.site.surface
        return tuple(
            f"{line.name}: part of its way lies outside the surveyed ground; the ground level there is assumed."
            for line in self.network.lines
            if not np.all(surface.supported(*np.array([at for _, at in stations_along(line.route)]).T))
        )

    def _end(self) -> str:
        """The discharge point that the main line reaches."""
        start = self.pressed.lower if self.pressed is not None else self.out
        end = self.network.end(start)
        return end if self.network.spots[end].kind == "discharge" else self.out

    def _tailwaters(self) -> dict[str, float]:
        """Water level at each discharge point that stands in water [m]."""
        found = {}
        for point in self.site.job.works.discharge:
            if point.tailwater is not None:
                at = self.network.spots[point.name].at
                found[point.name] = resolve_level(self.site, point.tailwater, at, "works.discharge.tailwater")
        return found

    def _reaches(self, graded: Graded, flows: Gathered, lines: Sequence[Line]) -> list[Reach]:
        spots = self.network.spots
        return [
            reach_of(line, spots[line.upper].kind, graded.found[line.name], sum(flows.lines[line.name].values()))
            for line in lines
        ]

    def _setting(self, name: str, above: Graded, flows: Gathered, line: Callable[[Pipe], PressureLine]) -> Setting:
        """What the station is fitted into."""
        site, job = self.site, self.site.job
        spot = self.network.spots[name]
        basin = job.works.basin
        given = isinstance(basin, Basin)
        if not isinstance(basin, Basin):
            basin = Basin(name=name, at=Place(east=spot.at[0], north=spot.at[1]))
        rim = spot.ground + RIM_ABOVE
        if basin.rim is not None:
            rim = resolve_level(site, basin.rim, spot.at, "works.basin.rim")
        arriving = [above.found[line.name].invert_lower for line in self.above if line.lower == name]
        return Setting(
            basin=basin,
            given=given,
            at=spot.at,
            ground=spot.ground,
            rim=rim,
            lowest_inlet=lowest_arrival(arriving, rim),
            flows=flows.spots[name],
            criteria=job.criteria,
            water_table=site.water_table,
            soil_unit_weight=None if job.ground.unit_weight is None else job.ground.unit_weight.value * 9.80665,
            units=job.units,
            line_pipe=None if self.pressed is None else self.pressed.pipe,
            line=line,
        )

    def _line_builder(
        self, below: Graded, flows: Gathered, tails: Mapping[str, float]
    ) -> Callable[[Pipe], PressureLine]:
        """The discharge line as a function of its pipe."""
        site, line, spots = self.site, self.pressed, self.network.spots
        if line is None:
            raise RuntimeError("a basin without a discharge line was laid out")
        job = site.job
        cover = max(job.criteria.minimum_cover, job.rules.frost_depth.value)
        distances, _, grounds = stations_of(site, line)
        turns = bends(line.route)
        point = next((point for point in job.works.discharge if point.name == line.lower), None)
        tail = tails.get(line.lower, float("-inf"))
        onward = self.network.leaving(line.lower)
        if point is None and onward is not None:
            with quiet():
                water = water_lines(self._reaches(below, flows, self.below), tails)
            tail = water[onward.name].node_level
        outlet = None if point is None else outlet_level(site, self.network, point)
        if point is not None and outlet is not None and point.joins is not None and not point.air_gap:
            tail = max(tail, outlet + find_pipe(point.joins.pipe).inside)

        def lower_end(pipe: Pipe) -> float:
            if line.invert_lower is not None:
                return line.invert_lower
            if outlet is not None:
                return outlet
            start = below.found[onward.name].invert_upper if onward is not None else float("-inf")
            if spots[line.lower].kind == "inlet":  # falls into the inlet from under its cover
                return max(start, grounds[-1] - cover - pipe.outside)
            return start

        @cache
        def built(pipe: Pipe) -> PressureLine:
            upper = grounds[0] - cover - pipe.outside if line.invert_upper is None else line.invert_upper
            return PressureLine(
                name=line.name,
                distances=distances,
                inverts=pressure_inverts(distances, grounds, upper, lower_end(pipe), cover, pipe),
                pipe=pipe,
                tailwater=tail,
                turns=turns,
                check_valve=not isinstance(job.works.basin, Basin) or job.works.basin.check_valve,
            )

        return built

    def _nodes(self, runs: Sequence[SizedRun], station: LiftStation | None) -> dict[str, Node]:
        found = {}
        for spot in self.network.spots.values():
            inverts = [run.invert_upper for run in runs if run.upper == spot.name]
            inverts += [run.invert_lower for run in runs if run.lower == spot.name]
            if spot.kind == "discharge" and not inverts:
                point = next(point for point in self.site.job.works.discharge if point.name == spot.name)
                inverts = [outlet_level(self.site, self.network, point)]
            lowest = min(inverts, default=spot.rim)
            if station is not None and spot.name == station.name:
                lowest = station.lowest_inlet
            rim = station.rim if station is not None and spot.name == station.name else spot.rim
            found[spot.name] = Node(
                name=spot.name, kind=spot.kind, at=spot.at, ground=spot.ground, rim=rim, invert=lowest
            )  # fmt: skip
        return found

    def _joined(self, flows: Gathered) -> JoinedCapacity | None:
        """The line that the flow joins at the discharge point used, with all it carries at once."""
        point = next(point for point in self.site.job.works.discharge if point.name == self._end())
        if point.joins is None:
            return None
        joins = point.joins
        pipe = find_pipe(joins.pipe)
        others = [part for part in self.inflows.contributions if part.entry in joins.other_roof]
        roof = sum(part.flow for part in others if part.cause is Cause.ROOF)
        bases = [joins.grade.basis, *(part.basis for part in others)]
        if joins.other_flow is not None:
            bases.append(joins.other_flow.basis)
        with place(f"works.discharge.{point.name}", "capacity of the line joined"):
            roughness = pipe.manning if joins.roughness is None else joins.roughness
            capacity = float(full_flow(pipe.inside, joins.grade.value, roughness))
        return JoinedCapacity(
            name=joins.name,
            pipe=pipe,
            grade=joins.grade.value,
            capacity=capacity,
            pumped=sum(flows.spots[point.name].values()),
            roof=roof,
            other=0.0 if joins.other_flow is None else joins.other_flow.value,
            basis=least_sure(*bases),
        )


__all__ = ["lay_out"]
