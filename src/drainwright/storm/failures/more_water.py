"""More water than was designed for: another downspout, a more open soil, the neighbour's ground."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from drainwright.field.model import Site
from drainwright.hydraulics.seepage import slot_inflow
from drainwright.job.values import Basis
from drainwright.quantities import percent
from drainwright.storm.model import Series, Storm
from drainwright.storm.network import Network
from drainwright.storm.series import LAG, linear_reservoir
from drainwright.system.model import System
from drainwright.water.ground import ASSUMED_LAYER, far_water, ground_of, recharge_inflow
from drainwright.water.model import Cause, Inflows
from drainwright.water.yards import yard_ground
from drainwright.worksheet import quiet

STRIP = 0.25  # of the largest yard, where nobody entered ground beyond the boundary: assumed, no source [-]


Added = tuple[tuple[int, Series], ...]  # node, and water that comes to it in each step [m³/s]


def leaders_added(
    site: Site, inflows: Inflows, system: System, network: Network, storm: Storm, horizon: float
) -> list[tuple[str, Added, bool]]:
    """Each downspout that no run takes up: name, what changes if it is led to the nearest place, False.

    Where its water now goes into a line that the system joins, it is taken off there. Where all are led in: that of
    the largest roof a second time, at its own place, True.
    """
    roofs = [part for part in inflows.contributions if part.cause is Cause.ROOF and part.area > 0.0]
    steps = max(len(storm.intensity), math.ceil(horizon / storm.step - 1e-9))
    rain = np.zeros(steps)
    rain[: len(storm.intensity)] = storm.intensity

    def water(entry: str) -> Series:
        shares = [part for part in roofs if part.entry == entry]
        flows = [linear_reservoir(rain * part.area, storm.step, LAG * part.time) for part in shares]
        return np.asarray(np.sum(flows, axis=0))

    ends = {end for run in system.runs for end in (run.upper, run.lower)} | {run.name for run in system.runs}
    found: list[tuple[str, Added, bool]] = []
    for entry in sorted({part.entry for part in roofs if part.entry not in ends}):
        node = _nearest(site, system, network, entry)
        if node is not None:
            now = network.entries.get(entry)
            off = () if now is None else ((now, -water(entry)),)
            found.append((entry, ((node, water(entry)), *off), False))
    if found or not roofs:
        return found
    largest = max(
        sorted({part.entry for part in roofs}), key=lambda name: sum(p.area for p in roofs if p.entry == name)
    )
    return [] if largest not in network.entries else [(largest, ((network.entries[largest], water(largest)),), True)]


def _nearest(site: Site, system: System, network: Network, entry: str) -> int | None:
    """The inlet, junction or basin nearest to a downspout; where its place is not known, the basin at the house."""
    kinds = ("inlet", "junction", "basin")
    places = [node for node in system.nodes.values() if node.kind in kinds and node.name in network.entries]
    spout = system.nodes.get(entry)
    at = None if spout is None else spout.at
    if at is None:
        point = site.points.get(entry)
        at = None if point is None else (point.east, point.north)
    if not places:
        return None
    if at is None:
        return network.entries[system.station.name] if system.station is not None else network.entries[places[0].name]
    east, north = at
    return network.entries[min(places, key=lambda node: math.hypot(node.at[0] - east, node.at[1] - north)).name]


def wetter_ground(site: Site, inflows: Inflows) -> float | None:
    """How many times as much ground water comes in if the soil is twice as open; None where none comes.

    Each drain's slot is reckoned anew with twice the conductivity and the reach that then belongs to it, all drains
    added; its level, and how deep the soil carries water, stay.
    """
    if not any(seep.flow > 0.0 for seep in inflows.seepage):
        return None
    with quiet():
        ground = ground_of(site)
        before, after = 0.0, 0.0
        for seep in inflows.seepage:
            for factor in (1.0, 2.0):
                changed = replace(ground, conductivity=factor * seep.conductivity)
                bottom = ground.barrier if ground.barrier is not None else seep.drain_level - ASSUMED_LAYER
                far, reach, _ = far_water(changed, seep.drain_level, bottom)
                head, held = max(far - bottom, 0.0), max(seep.drain_level - bottom, 0.0)
                flow = 0.0
                if head > held:
                    flow = float(slot_inflow(changed.conductivity, head, held, reach))
                    flow += recharge_inflow(ground.recharge, reach) if ground.recharge > 0.0 else 0.0
                if factor == 1.0:
                    before += flow * seep.length
                else:
                    after += flow * seep.length
    return after / before if before > 0.0 else 2.0  # Darcy: the flow goes as the conductivity


@dataclass(frozen=True, slots=True, kw_only=True)
class Beyond:
    """Water from beyond the boundary."""

    area: float  # [m²]
    node: int
    series: Series  # [m³/s]
    basis: Basis
    note: str


def beyond_the_boundary(
    site: Site, inflows: Inflows, network: Network, entering: Mapping[str, Series]
) -> Beyond | None:
    """As much water again as the yards beyond the boundary shed; where none is entered, an assumed strip's.

    It comes as that of the yard whose inlet it reaches comes, in proportion to its area. None where no yard drains
    to the system.
    """
    yards = {yard.name: yard for yard in site.job.yards}
    parts = [
        part
        for part in inflows.contributions
        if part.cause is Cause.YARD and part.area > 0.0 and part.entry in network.entries and part.source in yards
    ]
    if not parts:
        return None
    with quiet():
        known = [(part, yard_ground(site, yards[part.source]).beyond) for part in parts]
    stated = [(part, area) for part, area in known if area > 0.0]
    largest = max(parts, key=lambda part: part.area)
    part, area = max(stated, key=lambda item: item[1]) if stated else (largest, STRIP * largest.area)
    shares = [one for one in inflows.contributions if one.entry == part.entry and one.area > 0.0]
    share = area / sum(one.area for one in shares)
    note = (
        f"as much again as the ground beyond the boundary that drains to {part.entry} is counted with"
        if stated
        else f"nobody entered ground beyond the boundary: {percent(STRIP)} of the yard of {part.entry} is assumed"
    )
    return Beyond(
        area=area, node=network.entries[part.entry], series=share * entering[part.entry],
        basis=part.basis if stated else Basis.ASSUMED, note=note,
    )  # fmt: skip


__all__ = ["STRIP", "Beyond", "beyond_the_boundary", "leaders_added", "wetter_ground"]
