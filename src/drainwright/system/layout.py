"""The stage itself: from site and inflows to the system, in the order in which a designer thinks it through."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import cache

import numpy as np

from drainwright.field.model import Site, SiteWall
from drainwright.field.words import least_sure
from drainwright.hydraulics.openflow import full_flow
from drainwright.hydraulics.pressure import pipe_velocity
from drainwright.job.values import Place
from drainwright.job.works import Basin
from drainwright.quantities import write
from drainwright.system.catalogue import find_pipe
from drainwright.system.drain_section import drain_sections
from drainwright.system.fittings import with_fittings
from drainwright.system.flows import Gathered, drain_runs, entries, gather, unplaced
from drainwright.system.grading.graded import FAILED, clashes_of, grade
from drainwright.system.gravity import best_way_out, drained_chains, sources, verdict_on
from drainwright.system.lift.lifted import Lifted, Lifting, tailwaters
from drainwright.system.lift.line_details import line_details
from drainwright.system.made_bends import with_made_bends
from drainwright.system.model import GravityVerdict, JoinedCapacity, LiftStation, Node, SizedRun, System
from drainwright.system.network import DESIGNED_BASIN, Line, Network, given_network
from drainwright.system.outlets.soak_overflow import soak_overflows
from drainwright.system.outlets.ways_out import with_ways_out
from drainwright.system.propose import (
    PROPOSED_OFFSET,
    Yard,
    basin_place,
    discharge_line,
    footing_drains,
    lead_away,
    with_basin,
)
from drainwright.system.sized import above_ground, gravity_run, outlet_level, pressure_run, stations_of
from drainwright.system.surface.clogged import with_clogged_grates
from drainwright.system.surface.joined import as_one, carried_besides, same_line
from drainwright.system.surface.node_water import node_waters, parted_runs
from drainwright.system.surface.overflow import overflows
from drainwright.system.surface.reaches import in_stone, reaches_of
from drainwright.system.surface.surface_line import water_lines
from drainwright.system.ways import RoundHouse, stations_along
from drainwright.system.yard.basin_hole import Hole, hole_of
from drainwright.system.yard.basin_spot import in_wedge
from drainwright.system.yard.yard_map import yard_map
from drainwright.system.zones import zones
from drainwright.water.footing_drains import with_drains
from drainwright.water.model import Inflows
from drainwright.worksheet import on_trial, place, quiet

TRIES = 4  # until a designed basin lies clear of the footings at the depth it got


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
    yard = cache(lambda: yard_map(site))
    hole: Hole | None = None
    for _ in range(TRIES):
        with on_trial() as keep:
            system = _lay_out(site, inflows, yard, hole)
            station = system.station_named(DESIGNED_BASIN)
            given = site.job.works.basins or site.job.works.basin_place is not None
            dug = None if station is None or given else hole_of(site, station)
            if dug is None or station is None or not in_wedge(site, station.at, dug):
                keep()
                return system
        if hole is not None:
            dug = replace(dug, bottom=min(dug.bottom, hole.bottom), square=dug.square or hole.square)
        hole = dug
    return _lay_out(site, inflows, yard, hole)


def _lay_out(site: Site, inflows: Inflows, yard: Yard, hole: Hole | None) -> System:
    """One layout, with a basin that is designed placed for a hole of that size."""
    with quiet():
        house = RoundHouse(site.outline)
        named = any(DESIGNED_BASIN in (run.from_, run.to) for run in site.job.works.runs)
        given = given_network(site, house, basin_place(site, (), yard, hole) if named else site.outline[0])
        chains = drained_chains(site, given)
        waters = sources(site, given, chains, PROPOSED_OFFSET)
    verdicts = tuple(
        verdict_on(site, point, index, given.spots[point.name], waters, house)
        for index, point in enumerate(site.job.works.discharge)
    )
    ends = [given.end(line.upper) for line in given.lines if line.duty != "overflow"]
    used = [point.name for point in site.job.works.discharge if point.name in ends]
    points = site.job.works.discharge
    open_to = [found for found, point in zip(verdicts, points, strict=True) if not point.overflow_only]
    out = best_way_out(open_to or verdicts, used)
    basin = site.job.works.basin
    lifted = isinstance(basin, Basin) or (basin == "if needed" and not (out.reaches and out.lawful != "forbidden"))
    if basin == "if needed" and not lifted:
        with quiet():
            network, water = _complete(site, inflows, given, yard, chains, out.discharge, None)
            comes = entries(water)
            clogged = with_clogged_grates(site, network, comes).entries
            failed = grade(site, network, gather(network, comes, clogged=clogged), network.lines)
        if failed.kinds & set(FAILED):
            lifted = True
            out = _not_reached(out, given.spots[out.discharge].ground, failed.kinds)
            verdicts = tuple(out if verdict.discharge == out.discharge else verdict for verdict in verdicts)
            said = f"The shortest way would let gravity reach {out.discharge}, the runs as laid do not: "
            why = " ".join(failed.relaxed)
            if out.lacks == "ground":  # what gave way for it is no reason: with an end at the ground it need not
                above = write(out.above_ground, "length", site.job.units, "in" if site.job.units == "US" else "mm")
                why = f"it lies {above} above the ground there, and a pipe that stays in the ground cannot end at it."
            given = replace(given, notes=(*given.notes, said + why))
    name = None
    if lifted:
        name = basin.name if isinstance(basin, Basin) else DESIGNED_BASIN
        with quiet():
            at = basin_place(site, chains, yard, hole)
            given = with_basin(given, site, yard, name, at)
    network, water = _complete(site, inflows, given, yard, chains, out.discharge, name)
    basins = (*(item.name for item in site.job.works.basins),) if isinstance(basin, Basin) else (name,) if name else ()
    laid = _laid(site, water, network, verdicts, out.discharge, basins)
    return with_ways_out(site, water, with_fittings(site.job, laid))


def _not_reached(verdict: GravityVerdict, ground: float, gave: Collection[str]) -> GravityVerdict:
    """The verdict where the runs as laid fail: a pipe cannot end at a level over the ground, whatever its fall."""
    above = verdict.available - ground
    if "outlet" in gave and above > 0.0:
        return replace(verdict, reaches=False, lacks="ground", above_ground=above)
    return replace(verdict, reaches=False, lacks="way")


def _complete(
    site: Site,
    inflows: Inflows,
    network: Network,
    yard: Yard,
    chains: Sequence[Sequence[SiteWall]],
    out: str,
    basin: str | None,
) -> tuple[Network, Inflows]:
    """The network with all that the job leaves out, and the inflows with what its footing drains draw."""
    if basin is not None:
        for name in (basin, *(item.name for item in site.job.works.more_basins)):
            network = discharge_line(site, network, yard, name, out)
    network = with_made_bends(footing_drains(site, network, yard, chains, basin or out), site)
    with quiet():  # recorded where the finished drains are reckoned
        water = with_drains(site, inflows, drain_runs(network.lines))
    return soak_overflows(site, water, lead_away(site, network, yard, basin, out), yard), water


def _laid(
    site: Site,
    inflows: Inflows,
    network: Network,
    verdicts: tuple[GravityVerdict, ...],
    out: str,
    basins: tuple[str, ...],
) -> System:
    """Grade, lift, draw the water surface, and put it all together."""
    parts = zones(network, basins)
    with quiet():
        water_in = entries(inflows)
        clogged = with_clogged_grates(site, network, water_in)
    lifted = Lifting(site, network, parts, water_in, inflows, clogged.entries).lift()
    flows = lifted.flows
    order = [item.name for item in network.lines]
    reaches = [
        reach
        for graded, lines in zip(lifted.graded, parts.gravity.values(), strict=True)
        for reach in reaches_of(network, graded, flows, lines)
    ]
    reaches.sort(key=lambda reach: order.index(reach.name))
    by_name = {item.name: item for item in network.lines}
    reaches = in_stone(site, by_name, reaches)
    water = water_lines(reaches, lifted.tails)
    runs = {
        reach.name: gravity_run(site, by_name[reach.name], reach, flows.lines[reach.name], water[reach.name])
        for reach in reaches
    }
    runs |= {line.name: _pressed(site, line, lifted) for line in parts.pressed}
    ordered = tuple(runs[name] for name in order)
    bare = [note for run in ordered if (note := above_ground(run, site.job.units))]
    end = _end(network, basins[0] if basins else out, out)
    nodes = _nodes(site, network, ordered, lifted.stations)
    drains = [run.name for run in ordered if run.duty == "footing drain"]
    return System(
        nodes=nodes,
        runs=ordered,
        gravity=verdicts,
        stations=_detailed(site, network, lifted),
        mains=lifted.mains,
        joined=_joined(site, inflows, end, flows),
        discharge=end,
        joints={
            name: line
            for name, node in nodes.items()
            if node.kind == "discharge" and name != end and any(run.lower == name for run in ordered)
            if (line := _joined(site, inflows, name, flows)) is not None
        },
        water=node_waters(site, network.spots, reaches, water, water_in, lifted.stations, clogged),
        parted=parted_runs(reaches, water),
        overflows=overflows(site, reaches, water, {name: node.rim for name, node in nodes.items()}, drains),
        sections=drain_sections(site.job, inflows, ordered),
        conflicts=tuple(said for graded in lifted.graded for said in graded.relaxed),
        gradings=tuple(grading for graded in lifted.graded for _, grading in graded.gradings),
        clashes=tuple(clash for graded in lifted.graded for clash in clashes_of(graded, site.job.units)),
        notes=(
            *network.notes, *clogged.notes(site), *(said for graded in lifted.graded for said in graded.near),
            *lifted.notes, *unplaced(network, inflows),
            *_beyond_survey(site, network), *bare,
        ),
    )  # fmt: skip


def _detailed(site: Site, network: Network, lifted: Lifted) -> tuple[LiftStation, ...]:
    """The stations, each with its discharge line in detail."""
    found = []
    for station in lifted.stations:
        line = next(line for line in network.lines if line.name == station.discharge_run)
        east, north = station.at
        basin = site.job.works.basin_named(station.name) or Basin(name=station.name, at=Place(east=east, north=north))
        _, _, grounds = stations_of(site, line)
        frost = site.job.rules.frost_depth.value
        point = next((item for item in site.job.works.discharge if item.name == line.lower), None)
        joins = point is not None and point.joins is not None
        # what it joins runs full in the rain, and empties after it
        rest = tailwaters(site, network).get(line.lower, -math.inf) if joins else None
        details = line_details(station, lifted.lines[line.name], basin, grounds, frost, site.job.units, rest=rest)
        found.append(replace(station, line=details))
    return tuple(found)


def _pressed(site: Site, line: Line, lifted: Lifted) -> SizedRun:
    """A line under pressure as a run: of a station, or common to several."""
    built, flows = lifted.lines[line.name], lifted.flows.lines[line.name]
    station = lifted.station(line.upper)
    if station is not None:
        middle = (station.on + station.off) / 2.0
        return pressure_run(site, line, built, flows, station.operating_head, middle, station.velocity)
    head = next(main.heads[line.upper] for main in lifted.mains if line.name in main.lines)
    speed = float(pipe_velocity(sum(flows.values()), built.pipe.inside))
    return pressure_run(site, line, built, flows, head, 0.0, speed)


def _beyond_survey(site: Site, network: Network) -> tuple[str, ...]:
    """Notes on lines that leave the surveyed ground, where its level is carried on from the nearest shots."""
    return tuple(
        f"{line.name}: part of its way lies outside the surveyed ground; the ground level there is assumed."
        for line in network.lines
        if not np.all(site.surface.supported(*np.array([at for _, at in stations_along(line.route)]).T))
    )


def _end(network: Network, start: str, out: str) -> str:
    """The discharge point that the main line reaches."""
    end = network.end(start)
    return end if network.spots[end].kind == "discharge" else out


def _nodes(site: Site, network: Network, runs: Sequence[SizedRun], stations: Sequence[LiftStation]) -> dict[str, Node]:
    found = {}
    named = {station.name: station for station in stations}
    for spot in network.spots.values():
        inverts = [run.invert_upper for run in runs if run.upper == spot.name]
        inverts += [run.invert_lower for run in runs if run.lower == spot.name]
        if spot.kind == "discharge" and not inverts:
            point = next(point for point in site.job.works.discharge if point.name == spot.name)
            inverts = [outlet_level(site, network, point)]
        lowest, rim = min(inverts, default=spot.rim), spot.rim
        if spot.name in named:
            lowest, rim = named[spot.name].lowest_inlet, named[spot.name].rim
        found[spot.name] = Node(
            name=spot.name, kind=spot.kind, at=spot.at, ground=spot.ground, rim=rim, invert=lowest
        )  # fmt: skip
    return found


def _joined(site: Site, inflows: Inflows, end: str, flows: Gathered) -> JoinedCapacity | None:
    """The line that the flow joins at a discharge point, with all it carries at once."""
    point = next(point for point in site.job.works.discharge if point.name == end)
    if point.joins is None:
        return None
    pipe = find_pipe(point.joins.pipe)
    more = [one for one in same_line(site, point) if flows.spots.get(one.name)]
    joins = as_one([point, *more])
    others = [part for part in inflows.contributions if part.entry in joins.other_roof]
    roof, other = carried_besides(joins, inflows)
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
        beside=sum(sum(flows.spots[one.name].values()) for one in more),
        shared=tuple(one.name for one in more),
        roof=roof,
        other=other,
        basis=least_sure(*bases),
    )


__all__ = ["lay_out"]
