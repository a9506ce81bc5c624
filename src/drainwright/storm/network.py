"""The designed system as arrays for the stepper: stores, links, groundwater, the pump's table."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.field.model import Site
from drainwright.hydraulics.geometry import segment_area
from drainwright.hydraulics.inlets import grate_orifice_flow, grate_weir_flow
from drainwright.hydraulics.openflow import full_flow, part_full_flow
from drainwright.hydraulics.pump import PressurePipe, SystemCurve
from drainwright.job.works import Inlet
from drainwright.storm.model import Series
from drainwright.system.model import LiftStation, Node, SizedRun, System
from drainwright.water.model import Cause, Inflows
from drainwright.worksheet import quiet

Whole = NDArray[np.int64]

POND_DEPTH = 0.1524  # water over a grate runs off overland beyond this depth: common practice, no source [m]
STONE_VOIDS = 0.4  # of clean stone, SEEN in a manufacturer's laboratory table, 37 to 45 % [-]
RISER = 0.1524  # inside diameter taken for a junction, cleanout or downspout foot [m]
ABOVE = 1.0  # how far the tables go over the rim [m]
PIECES = 8  # of a half pipe, for the volume under a level pool
PIPE_MARKS = (0.1, 0.25, 0.5, 0.75, 1.0)  # depths over the diameter that get a row of their own
ROWS = 33  # even rows of a stage-storage table
CLOSEST = 1e-6  # rows of a table lie at least so far apart [m]
SHARE_ROWS = 257  # of the conveyance table

Volume = Callable[[Series], Series]  # volume below each level


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Arrays of the stepper, named as its parameters are."""

    names: tuple[str, ...]  # of nodes; a pond over a grate follows as "NAME pond"
    stage: Series
    stored: Series
    start: Series
    rim: Series
    spill_width: Series
    upper: Whole
    lower: Whole
    z_upper: Series
    z_lower: Series
    diameter: Series
    conveyance: Series
    length: Series
    outfall: Series
    at_discharge: NDArray[np.bool_]  # runs that end at the discharge point of the system
    share: Series
    pond: Whole
    body: Whole
    weir: Series  # nothing clogged
    orifice: Series  # nothing clogged
    seep_node: Whole
    seep_flow: Series
    seep_drain: Series
    seep_far: Series
    basin: int
    pump_levels: Series
    pump_flows: Series
    pump_to: int
    house: Whole
    entries: Mapping[str, int]  # node at which the surface water of an entry arrives

    def volume(self, node: int, level: float) -> float:
        """Volume of a node below a level [m³]."""
        return float(np.interp(level, self.stage[node], self.stored[node]))


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


def pump_table(station: LiftStation, line: SizedRun, pumps: int) -> tuple[Series, Series]:
    """Flow of the pumps together at even basin levels, floor to ``ABOVE`` the rim: the pump's curve less the losses.

    At a flow q the pump serves the static head H(q) less the line's losses; that is turned round by straight lines
    between two thousand flows. None where the pump does not reach; at most the last flow of the data-sheet.
    """
    curve = station.pump.curve
    if line.pipe.hazen_williams is None:
        raise InputError(f"pipe = {line.pipe.key!r}: expected a pipe that may run under pressure in {line.name}")
    losses = SystemCurve(
        static_head=0.0,
        pipes=(
            PressurePipe(
                length=line.length,
                diameter=line.pipe.inside,
                roughness=line.pipe.hazen_williams,
                loss_coefficient=station.fittings_k,
            ),
        ),
    )
    levels = np.linspace(station.floor, station.rim + ABOVE, 65)
    flow = np.linspace(0.0, curve.runout, 2001)
    with quiet():
        served = np.asarray(curve.head(flow)) - np.asarray(losses.head(pumps * flow))
    static = station.static_head - (levels - station.off)
    return levels, pumps * np.interp(static, served[::-1], flow[::-1], right=0.0)


def _grate(inlet: Inlet | None) -> tuple[float, float, float]:
    """Plan area of the body, perimeter and clear area of the grate; an inlet that the job does not list: 12 in."""
    size = inlet.size if inlet else 0.3048
    length = inlet.channel_length if inlet and inlet.channel_length else size
    clear = inlet.grate_area if inlet and inlet.grate_area else 0.4 * size * length
    return size * length, (inlet.grate_perimeter if inlet else None) or 2.0 * (size + length), clear


def _house(system: System) -> set[str]:
    """Nodes whose level stands for the water at the house: ends of footing drains, and the basin they reach."""
    drains = [run for run in system.runs if run.duty == "footing drain"]
    found = {end for run in drains for end in (run.upper, run.lower)}
    below, reached = {run.upper: run.lower for run in system.runs if not run.pressure}, set(found)
    for end in found:
        while (end := below.get(end, "")) and end not in reached:
            reached.add(end)
    if system.station is not None and (not drains or system.station.name in reached):
        found.add(system.station.name)
    return found


def build_network(site: Site, inflows: Inflows, system: System) -> Network:
    """The system as arrays.

    Raises
    ------
    InputError
        If the discharge line is of a pipe that may not run under pressure, or the floats are not in order.
    """
    station = system.station
    inlets = {inlet.name: inlet for inlet in site.job.works.inlets}
    kept = [node for node in system.nodes.values() if node.kind != "discharge"]
    index = {node.name: place for place, node in enumerate(kept)}
    gravity = [run for run in system.runs if not run.pressure and run.upper in index]
    tables: list[tuple[Series, Series]] = []
    rim: list[float] = []
    width: list[float] = []
    grates: list[tuple[Node, float, float, float]] = []
    for node in kept:
        if station is not None and node.name == station.name:
            rims, bottom, area = station.rim, station.floor, math.pi / 4.0 * station.inside_diameter**2
            width.append(math.pi * station.inside_diameter)
        elif node.kind == "inlet" and not (node.name in inlets and inlets[node.name].kind == "cleanout"):
            area, perimeter, clear = _grate(inlets.get(node.name))
            rims, bottom = node.rim, node.invert
            grates.append((node, area, perimeter, clear))
            width.append(0.0)
        else:
            rims, bottom, area = node.rim, node.invert, math.pi / 4.0 * RISER**2
            width.append(math.pi * RISER)
        rim.append(rims)
        ends = [(run, "upper") for run in gravity if run.upper == node.name]
        ends += [(run, "lower") for run in gravity if run.lower == node.name]
        inverts = [run.invert_upper if side == "upper" else run.invert_lower for run, side in ends]
        bottom = min([bottom, *inverts])
        marks = [
            rims,
            *inverts,
            *(z + part * run.pipe.inside for z, (run, _) in zip(inverts, ends, strict=True) for part in PIPE_MARKS),
        ]
        if station is not None and node.name == station.name:
            marks += [station.off, station.on]
        tables.append(stage_storage(bottom, rims, [_shaft(area, bottom), *(_pipe(*end) for end in ends)], marks))
    ponds: list[int] = []
    for node, area, _, _ in grates:
        yards = {c.source for c in inflows.contributions if c.entry == node.name and c.cause is Cause.YARD}
        yard_area = sum(c.area for c in inflows.contributions if c.entry == node.name and c.cause is Cause.YARD)
        slopes = [yard.slope.value for yard in site.job.yards if yard.name in yards]
        spread = max(yard_area, area)
        ponds.append(len(tables))
        tables.append(
            stage_storage(node.rim, node.rim, [_cone(spread, max(0.005, min(slopes, default=0.02)), area, node.rim)],
                          list(node.rim + 1.5 * POND_DEPTH * np.linspace(0.0, 1.0, 25)[1:] ** 1.5))
        )  # fmt: skip
        rim.append(node.rim + POND_DEPTH)
        width.append(math.sqrt(spread))
    rows = max(len(levels) for levels, _ in tables)
    stage, stored = np.empty((len(tables), rows)), np.empty((len(tables), rows))
    for place, (levels, volumes) in enumerate(tables):
        more = np.arange(1.0, rows - len(levels) + 1.0)
        last = (volumes[-1] - volumes[-2]) / (levels[-1] - levels[-2])
        stage[place] = np.concatenate([levels, levels[-1] + more])
        stored[place] = np.concatenate([volumes, volumes[-1] + last * more])
    basin = index[station.name] if station is not None else -1
    start = np.zeros(len(tables))
    pump_levels, pump_flows, pump_to = np.array([0.0, 1.0]), np.zeros((2, 2)), -1
    if station is not None:
        if not station.floor <= station.off < station.on or (station.second_on or math.inf) <= station.off:
            raise InputError(f"off = {station.off!r}, on = {station.on!r}: expected floats in order above the floor")
        start[basin] = np.interp(station.off, stage[basin], stored[basin])
        line = system.run(station.discharge_run)
        pump_levels, one = pump_table(station, line, 1)
        pump_flows = np.stack([one, pump_table(station, line, 2)[1]])
        end = line.lower
        onward = {run.upper: run.lower for run in system.runs if run.pressure and run is not line}
        while end in onward and end in index:
            end = onward.pop(end)
        pump_to = index.get(end, -1)
    tails = {point.name: point.tailwater for point in site.job.works.discharge}
    seepage = [(seep, system.run(seep.run)) for seep in inflows.seepage if any(r.name == seep.run for r in system.runs)]
    entries = dict(index) | {node.name: pond for (node, *_), pond in zip(grates, ponds, strict=True)}
    entries |= {run.name: index[run.upper] for run in gravity}
    with quiet():
        return Network(
            names=(*(node.name for node in kept), *(f"{node.name} pond" for node, *_ in grates)),
            stage=stage,
            stored=stored,
            start=start,
            rim=np.array(rim),
            spill_width=np.array(width),
            upper=np.array([index[run.upper] for run in gravity], np.int64),
            lower=np.array([index.get(run.lower, -1) for run in gravity], np.int64),
            z_upper=np.array([run.invert_upper for run in gravity]),
            z_lower=np.array([run.invert_lower for run in gravity]),
            diameter=np.array([run.pipe.inside for run in gravity]),
            conveyance=np.array([float(full_flow(run.pipe.inside, 1.0, run.pipe.manning)) for run in gravity]),
            length=np.array([max(run.length, 0.1) for run in gravity]),
            outfall=np.array(
                [t if (t := tails.get(run.lower)) is not None else run.invert_lower - 1e3 for run in gravity]
            ),
            at_discharge=np.array([run.lower == system.discharge for run in gravity], np.bool_),
            share=conveyance_share(),
            pond=np.array(ponds, np.int64),
            body=np.array([index[node.name] for node, *_ in grates], np.int64),
            weir=np.array([float(grate_weir_flow(perimeter, 1.0, 0.0)) for _, _, perimeter, _ in grates]),
            orifice=np.array([float(grate_orifice_flow(clear, 1.0, 0.0)) for *_, clear in grates]),
            seep_node=np.array([index[run.upper] for _, run in seepage], np.int64),
            seep_flow=np.array([seep.flow for seep, _ in seepage]),
            seep_drain=np.array([seep.drain_level for seep, _ in seepage]),
            seep_far=np.array([max(seep.far_level, seep.drain_level) for seep, _ in seepage]),
            basin=basin,
            pump_levels=pump_levels,
            pump_flows=pump_flows,
            pump_to=pump_to,
            house=np.array(sorted(index[name] for name in _house(system) if name in index), np.int64),
            entries=entries,
        )


__all__ = ["POND_DEPTH", "STONE_VOIDS", "Network", "build_network", "conveyance_share", "pump_table", "stage_storage"]
