"""The designed system as arrays for the stepper: stores, links, groundwater, the pump's table."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.field.model import Site
from drainwright.field.places import resolve_level
from drainwright.hydraulics.geometry import segment_area
from drainwright.hydraulics.inlets import grate_orifice_flow, grate_weir_flow
from drainwright.hydraulics.openflow import full_flow, part_full_flow
from drainwright.storm.engine.plant import FREE, NEVER, Grates, Outlets, Overland, Pipes, Plant, Stores, Watches
from drainwright.storm.engine.ready import plant_of
from drainwright.storm.model import Series
from drainwright.storm.parts.at_house import holds_water, house_places
from drainwright.storm.parts.bottoms import ground_over, pipes_over
from drainwright.storm.parts.emitters import Link, emitter_link
from drainwright.storm.parts.ground_cells import ground_cells
from drainwright.storm.parts.joint import REACH, JointLine, joint_lines
from drainwright.storm.parts.over_ground import (
    Spill,
    overland_of,
    pond_table,
    rings_out,
    surveyed_pond,
    ways_over_ground,
)  # fmt: skip
from drainwright.storm.parts.soak_stores import SoakStore, soak_store, soaking
from drainwright.storm.pump_tables import ABOVE, stations_of
from drainwright.system.model import Node, SizedRun, System
from drainwright.system.outlets.end_model import PipeEnd
from drainwright.system.surface.carry_over import Way
from drainwright.system.surface.grates import Grate, grate_of
from drainwright.water.model import Cause, Inflows
from drainwright.water.yards import yard_ground
from drainwright.worksheet import quiet

Whole = NDArray[np.int64]

POND_DEPTH = 0.1524  # water over a grate runs off overland beyond this depth: common practice, no source [m]
STONE_VOIDS = 0.4  # of clean stone, SEEN in a manufacturer's laboratory table, 37 to 45 % [-]
RISER = 0.1524  # inside diameter taken for a junction, cleanout or downspout foot [m]
LEAST_SLOPE = 0.005  # of the ground round a grate [m/m]
PIECES = 8  # of a half pipe, for the volume under a level pool
PIPE_MARKS = (0.1, 0.25, 0.5, 0.75, 1.0)  # depths over the diameter that get a row of their own
ROWS = 33  # even rows of a stage-storage table
CLOSEST = 1e-6  # rows of a table lie at least so far apart [m]
SHARE_ROWS = 257  # of the conveyance table

Volume = Callable[[Series], Series]  # volume below each level


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """The plant of a design, and what its rows are called."""

    plant: Plant  # as it is in the sound case, grates free of leaves
    names: tuple[str, ...]  # of nodes; ponds over grates follow as "NAME pond", then soakaways, then cells of ground
    places: int  # of the names, those before the cells of ground
    start: Series  # volumes at the start [m³]
    rim: Series  # over which water leaves a node [m]
    runs: tuple[str, ...]  # of the pipes; those of joined lines follow without a name
    at_discharge: NDArray[np.bool_]  # pipes that end at the discharge point of the system
    stations: tuple[str, ...]  # in the order of the water
    second: Series  # (stations, states, rows) flow of each second pump alone [m³/s]
    house: Whole  # nodes whose level stands for the water at the house
    entries: Mapping[str, int]  # node at which the surface water of an entry arrives
    ways: tuple[Way, ...]  # where each overland row leads
    surveyed: frozenset[str]  # inlets whose ponds are as surveyed, not cones

    def volume(self, node: int, level: float) -> float:
        """Volume of a node below a level [m³]."""
        return float(np.interp(level, self.plant.stores.stage[node], self.plant.stores.stored[node]))

    def highest_at_house(self, highest: Series) -> int | None:
        """The node at the house with the highest water, of each node's highest; None: all are dry, or there is none."""
        bed, floor = self.plant.stores.stage[self.house, 0], self.plant.watches.level[: len(self.house)]
        wet = self.house[holds_water(highest[self.house], bed, floor)]
        return int(wet[np.argmax(highest[wet])]) if wet.size else None

    def over(self) -> Mapping[int, Whole]:
        """The overland rows of each node by which water leaves the plant for good."""
        source, away = self.plant.overland.source, self.plant.overland.target < 0
        return {int(node): np.flatnonzero(away & (source == node)) for node in np.unique(source[away])}


def conveyance_share() -> Series:
    """Part-full over full conveyance at even depths, at most 1: the extra 7.6 % near the crown is left out."""
    depth = np.linspace(0.0, 1.0, SHARE_ROWS)
    with quiet():
        share = np.asarray(part_full_flow(depth, 1.0, 1.0, 1.0)) / float(full_flow(1.0, 1.0, 1.0))
    return np.maximum.accumulate(np.minimum(share, 1.0))


def _shaft(area: float, bottom: float) -> Volume:
    return lambda level: area * np.maximum(level - bottom, 0.0)


def _circle(depth: Series, diameter: float) -> Series:
    return np.asarray(segment_area(np.clip(depth, 0.0, diameter), diameter))


def _pipe(run: SizedRun, side: str) -> Volume:
    """Volume of half a pipe and of the stone voids beside it.

    The upper half fills with the depth at the run's upper end, as in even flow; the lower half fills as a level
    pool. Stone counts from the invert up: what lies lower cannot drain and is taken as full.
    """
    half, size = 0.5 * run.length, run.pipe.inside
    fall = max(run.invert_upper - run.invert_lower, 0.0)
    if side == "upper":
        inverts = np.array([run.invert_upper])
    else:
        inverts = run.invert_lower + 0.5 * fall * (np.arange(PIECES) + 0.5) / PIECES
    stone = size + run.stone_over if run.stone_width > 0.0 else 0.0

    def volume(level: Series) -> Series:
        depth = level[:, None] - inverts
        inside = _circle(depth, size)
        outside = _circle(depth, min(run.pipe.outside, run.stone_width)) if stone else inside
        voids = np.maximum(run.stone_width * np.clip(depth, 0.0, stone) - outside, 0.0) * STONE_VOIDS
        return np.asarray(half * np.mean(inside + voids, axis=1))

    return volume


def _cone(area: float, slope: float, least: float, rim: float) -> Volume:
    """Volume of a pond on ground that falls to the grate from all sides at a slope, up to the yard's area."""
    radius = math.sqrt(max(area, least) / math.pi)
    brim = radius * slope  # depth at which the whole yard is under water

    def volume(level: Series) -> Series:
        depth = np.maximum(level - rim, 0.0)
        cone = math.pi * np.minimum(depth, brim) ** 3 / (3.0 * slope**2)
        return np.asarray(cone + math.pi * radius**2 * np.maximum(depth - brim, 0.0) + least * depth)

    return volume


def stage_storage(
    bottom: float, rim: float, volumes: Iterable[Volume], marks: Iterable[float]
) -> tuple[Series, Series]:
    """Table of levels and volumes of a node, from its bottom to ``ABOVE`` its rim, with the marks among the levels."""
    top = max(rim, bottom) + ABOVE
    levels = np.concatenate([np.linspace(bottom, top, ROWS), [mark for mark in marks if bottom < mark < top]])
    levels = np.unique(levels)
    levels = levels[np.concatenate([[True], np.diff(levels) > CLOSEST])]
    return levels, sum((volume(levels) for volume in volumes), np.zeros_like(levels))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Store:
    """A node of the stepper, or the pond over one."""

    stage: Series
    stored: Series
    rim: float  # of the grate too [m]
    spill_width: float  # [m]


def _store(node: Node, system: System, gravity: Sequence[SizedRun], grate: Grate | None) -> _Store:
    """A node's body with half of each pipe that meets it, and the stone beside footing drains."""
    station = system.station_named(node.name)
    rim, bottom, width = node.rim, node.invert, math.pi * RISER
    area, marks = math.pi / 4.0 * RISER**2, []
    if station is not None:
        rim, bottom, width = station.rim, station.floor, math.pi * station.inside_diameter
        area, marks = math.pi / 4.0 * station.inside_diameter**2, [station.off, station.on]
    elif grate is not None:
        area, width = grate.body, 0.0
    volumes: list[Volume] = []
    for run in gravity:
        for end, side, invert in ((run.upper, "upper", run.invert_upper), (run.lower, "lower", run.invert_lower)):
            if end == node.name:
                volumes.append(_pipe(run, side))
                bottom = min(bottom, invert)
                marks += [invert, *(invert + part * run.pipe.inside for part in PIPE_MARKS)]
                marks.append(invert + run.pipe.inside + run.stone_over)
    stage, stored = stage_storage(bottom, rim, [_shaft(area, bottom), *volumes], [rim, *marks])
    return _Store(stage=stage, stored=stored, rim=rim, spill_width=width)


def _pond(node: Node, site: Site, inflows: Inflows, grate: Grate) -> _Store:
    """The pond over a grate: its low spot as surveyed, where the shots are sure of it; else a cone, assumed.

    The cone has the steepest slope of the grate's yards, which holds least, up to their area, and spills at a depth.
    Without a yard it is no wider than the grate's body.
    """
    spot = surveyed_pond(site, node.name)
    if spot is not None:
        stage, stored, crest = pond_table(spot, node.rim, grate.body)
        return _Store(stage=stage, stored=stored, rim=crest, spill_width=math.sqrt(max(spot.area, grate.body)))
    shares = [c for c in inflows.contributions if c.entry == node.name and c.cause is Cause.YARD]
    sources = {c.source for c in shares}
    slopes = [yard_ground(site, yard).slope for yard in site.job.yards if yard.name in sources]
    area = max(sum(c.area for c in shares), grate.body)
    cone = _cone(area, max([LEAST_SLOPE, *slopes]), grate.body, node.rim)
    marks = node.rim + 1.5 * POND_DEPTH * np.linspace(0.0, 1.0, 25)[1:] ** 1.5
    stage, stored = stage_storage(node.rim, node.rim, [cone], marks.tolist())
    return _Store(stage=stage, stored=stored, rim=node.rim + POND_DEPTH, spill_width=math.sqrt(area))


def _padded(stores: Sequence[_Store]) -> tuple[Series, Series]:
    """The tables as two arrays of one width, each drawn on in a straight line."""
    rows = max((len(store.stage) for store in stores), default=2)  # none: a job of which only the way out is known
    stage, stored = np.empty((len(stores), rows)), np.empty((len(stores), rows))
    for place, store in enumerate(stores):
        more = np.arange(1.0, rows - len(store.stage) + 1.0)
        last = (store.stored[-1] - store.stored[-2]) / (store.stage[-1] - store.stage[-2])
        stage[place] = np.concatenate([store.stage, store.stage[-1] + more])
        stored[place] = np.concatenate([store.stored, store.stored[-1] + last * more])
    return stage, stored


def _joint_store(joint: JointLine) -> _Store:
    """The joint with a line: a shaft from its invert up, and half of the pipe that is reckoned with beyond it."""

    def pipe(level: Series) -> Series:
        return 0.5 * REACH * _circle(level - joint.invert, joint.pipe.inside)

    marks = [joint.rim, *(joint.invert + part * joint.pipe.inside for part in PIPE_MARKS)]
    stage, stored = stage_storage(joint.invert, joint.rim, [_shaft(joint.area, joint.invert), pipe], marks)
    return _Store(stage=stage, stored=stored, rim=joint.rim, spill_width=joint.width)


def _with_steady(outlets: Outlets, joints: Sequence[JointLine], rows: Mapping[str, int]) -> Outlets:
    """What comes steadily to a joined line from elsewhere, as an outlet that gives: what goes out is then our own."""
    more = [joint for joint in joints if joint.other > 0.0]
    return Outlets(
        node=np.array([*outlets.node, *(rows[joint.name] for joint in more)], np.int64),
        low=np.array([*outlets.low, *(joint.invert for joint in more)]),
        high=np.array([*outlets.high, *(joint.rim for joint in more)]),
        flow=np.vstack([outlets.flow, *(np.full((1, 2), -joint.other) for joint in more)]),
    )


def _pipes(
    gravity: Sequence[SizedRun], index: Mapping[str, int], onward: Mapping[str, int], tails: Mapping[str, float],
    joints: Sequence[JointLine], joint_rows: Mapping[str, int], emitters: Mapping[str, PipeEnd],
) -> Pipes:  # fmt: skip
    """The gravity runs, then the lines that go on from joints."""
    links = []
    for run in gravity:
        full = float(full_flow(run.pipe.inside, 1.0, run.pipe.manning))
        given = FREE if run.lower in joint_rows else tails.get(run.lower, FREE)
        if run.lower in emitters:
            links.append(emitter_link(run, emitters[run.lower], full, given))
        else:
            links.append(
                Link(
                    run.invert_lower, run.pipe.inside, full, given if run.lower in joint_rows else max(given, run.tail)
                )
            )
    return Pipes(
        upper=np.array([*(index[run.upper] for run in gravity), *joint_rows.values()], np.int64),
        lower=np.array([*(onward.get(run.lower, -1) for run in gravity), *(-1 for _ in joints)], np.int64),
        z_upper=np.array([*(run.invert_upper for run in gravity), *(joint.invert for joint in joints)]),
        z_lower=np.array([
            *(link.lower for link in links), *(joint.invert - REACH * joint.grade for joint in joints),
        ]),
        diameter=np.array([*(link.diameter for link in links), *(joint.pipe.inside for joint in joints)]),
        conveyance=np.array([*(link.conveyance for link in links), *(joint.conveyance for joint in joints)]),
        length=np.array([*(max(run.length, 0.1) for run in gravity), *(REACH for _ in joints)]),
        outfall=np.array([*(link.outfall for link in links), *(tails.get(joint.name, FREE) for joint in joints)]),
        share=conveyance_share(),
    )  # fmt: skip


def _over_ground(
    site: Site, system: System, kept: Sequence[Node], stores: Sequence[_Store], ponds: Mapping[str, int],
    soaks: Sequence[SoakStore], joints: Sequence[JointLine],
) -> tuple[Overland, tuple[Way, ...]]:  # fmt: skip
    """Water over rims, out of ponds, full soakaways and joints with full lines, and where it goes."""
    grates = {node.name: node.at for node in kept if node.name in ponds}
    others = {node.name: node.at for node in kept} | {joint.name: system.nodes[joint.name].at for joint in joints}
    for soak in system.soaks:  # it runs over where the ground over it is lowest
        corners = [corner for ring in soak.outlines for corner in ring]
        others[soak.name] = min(corners, key=lambda corner: float(site.surface.level(*corner)))
    follow = ways_over_ground(site, grates, others)
    over = {
        name: Spill(
            row=row, name=name, crest=stores[row].rim, width=stores[row].spill_width, way=follow((name,))
        )
        for name, row in ponds.items()
    }  # fmt: skip
    rims = [
        (row, node.name, stores[row].rim, stores[row].spill_width)
        for row, node in enumerate(kept)
        if stores[row].spill_width > 0.0
    ]
    first = len(kept) + len(ponds)
    rims += [(first + place, soak.name, soak.crest, soak.width) for place, soak in enumerate(soaks)]
    first += len(soaks)
    rims += [(first + place, joint.name, joint.rim, joint.width) for place, joint in enumerate(joints)]
    spills = [
        Spill(row=row, name=name, crest=crest, width=width, way=follow((name,))) for row, name, crest, width in rims
    ]
    floors = {name: float(stores[row].stage[0]) for name, row in ponds.items()}
    return overland_of([*spills, *over.values(), *rings_out(over, follow)], ponds, floors)


def slab_level(site: Site) -> float:
    """Level at which water wets the lowest floor: its underside, or the soil of a crawl space. [m]"""
    thickness = 0.0 if site.job.house.floor_kind == "crawl space" else site.job.house.floor_thickness
    return site.floor - thickness


def build_network(site: Site, inflows: Inflows, system: System) -> Network:
    """The system as arrays. A downspout that no run takes up is left out, with its water: it goes its own way.

    Raises
    ------
    InputError
        If the floats are not in order.
    """
    inlets = {inlet.name: inlet for inlet in site.job.works.inlets}
    ends = {end for run in system.runs for end in (run.upper, run.lower)}
    kept = [
        node
        for node in system.nodes.values()
        if node.kind != "discharge" and (node.kind != "downspout" or node.name in ends)
    ]
    index = {node.name: place for place, node in enumerate(kept)}
    gravity = [run for run in system.runs if not run.pressure and run.upper in index]
    tails = {
        point.name: resolve_level(
            site, point.tailwater, system.nodes[point.name].at, f"works.discharge.{point.name}.tailwater"
        )
        for point in site.job.works.discharge
        if point.tailwater is not None and point.name in system.nodes
    }
    emitters = {end.name: end for end in system.ends if end.form == "pop-up emitter"}
    with quiet():
        grates = {node.name: grate_of(inlets.get(node.name)) if node.kind == "inlet" else None for node in kept}
        grated = [(node, grate) for node in kept if (grate := grates[node.name]) is not None]
        stores = [_store(node, system, gravity, grates[node.name]) for node in kept]
        stores += [_pond(node, site, inflows, grate) for node, grate in grated]
        ponds = {node.name: len(kept) + place for place, (node, _) in enumerate(grated)}
        soaks, joints = [soak_store(soak) for soak in system.soaks], joint_lines(site, system)
        soak_rows = {soak.name: len(stores) + place for place, soak in enumerate(soaks)}
        joined = index | soak_rows  # where pipes may end
        over, ways = _over_ground(site, system, kept, stores, ponds, soaks, joints)
        stores += [
            _Store(stage=soak.stage, stored=soak.stored, rim=soak.crest, spill_width=soak.width) for soak in soaks
        ]
        joint_rows = {joint.name: len(stores) + place for place, joint in enumerate(joints)}
        stores += [_joint_store(joint) for joint in joints]
        onward = joined | joint_rows
        cells = ground_cells(site, inflows, gravity, joined, len(stores))
        places = len(stores)
        stores += [
            _Store(stage=stage, stored=stored, rim=NEVER, spill_width=0.0)
            for stage, stored in zip(cells.stage, cells.stored, strict=True)
        ]
        stage, stored = _padded(stores)
        start = np.zeros(len(stores))
        start[places:] = cells.start
        for station in system.stations:
            at = index[station.name]
            start[at] = np.interp(station.off, stage[at], stored[at])
        for soak in soaks:
            start[soak_rows[soak.name]] = soak.start
        house = np.array(sorted(index[name] for name in house_places(system) if name in index), np.int64)
        stations, second = stations_of(site, system, index | joint_rows | soak_rows, stage, stored)
        plant = plant_of(
            Stores(stage, stored),
            pipes=pipes_over(_pipes(gravity, index, onward, tails, joints, joint_rows, emitters), stage),
            grates=Grates(
                pond=np.array(list(ponds.values()), np.int64),
                body=np.array([index[node.name] for node, _ in grated], np.int64),
                rim=np.array([node.rim for node, _ in grated]),
                weir=np.array([float(grate_weir_flow(grate.perimeter, 1.0, 0.0)) for _, grate in grated]),
                orifice=np.array([float(grate_orifice_flow(grate.clear, 1.0, 0.0)) for _, grate in grated]),
            ),
            overland=over,
            ground=ground_over(cells.ground, stage),
            outlets=_with_steady(soaking(system.soaks, list(soak_rows.values())), joints, joint_rows),
            stations=stations,
            watches=Watches(node=house, level=np.full(len(house), slab_level(site))),
        )
    return Network(
        plant=plant,
        names=(
            *(node.name for node in kept),
            *(f"{node.name} pond" for node, _ in grated),
            *soak_rows,
            *joint_rows,
            *cells.names,
        ),
        places=places,
        start=start,
        rim=np.array([store.rim for store in stores]),
        runs=tuple(run.name for run in gravity),
        at_discharge=np.array(
            [run.lower == system.discharge and run.lower not in joint_rows for run in gravity]
            + [joint.name == system.discharge for joint in joints],
            np.bool_,
        ),
        stations=tuple(station.name for station in system.stations),
        second=second,
        house=house,
        entries={
            **{roof: joint_rows[joint.name] for joint in joints for roof in joint.roofs},
            **{run.name: index[run.upper] for run in gravity},
            **index,
            **ponds,
        },
        ways=ways,
        surveyed=frozenset(node.name for node, _ in grated if surveyed_pond(site, node.name) is not None),
    )


__all__ = ["POND_DEPTH", "STONE_VOIDS", "Network", "build_network", "conveyance_share", "slab_level", "stage_storage"]
