"""Soakaways as stores: their stone fills, soaks away by its level, and backs up the pipe that feeds it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.storm.engine.plant import Floats, Outlets
from drainwright.system.outlets.soak_model import Soakaway
from drainwright.system.outlets.soak_routing import SoakBody, standing
from drainwright.system.outlets.soak_sizing import SoakSize

FILM = 0.001  # of water on the bottom, below which the bottom takes in less [m]
SHAFT = 0.1524  # inside diameter of the riser between the stone and the ground [m]
ABOVE = 1.0  # how far the tables go over the ground [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class SoakStore:
    """A soakaway as a store with what soaks out of it."""

    name: str  # of the discharge point
    stage: Floats  # [m]
    stored: Floats  # [m³]
    start: float  # volume in it before the storm: what ground water keeps standing there [m³]
    crest: float  # level at which it runs over the ground [m]
    width: float  # over which it runs [m]


def body_of(soak: Soakaway) -> SoakBody:
    """The soakaway as its design's routing sees it."""
    size = SoakSize(kind=soak.kind, length=soak.length, width=soak.width, depth=soak.depth, count=soak.count)
    return size.body(soak.voids, soak.rate)


def soak_store(soak: Soakaway) -> SoakStore:
    """The store of a soakaway.

    Parameters
    ----------
    soak : Soakaway
        As designed; several wells count as one.

    Returns
    -------
    SoakStore

    Notes
    -----
    Stone holds water from the bottom, or from the ground water where that stands higher, up to its top, which lies
    over the pipe: the design's routing counts no water over the pipe's invert, this does. Above it a riser fills up
    to the lowest ground over the soakaway; there the water runs off. Before the storm it holds what the steady ground
    water keeps standing in it, at most to the invert.
    """
    body = body_of(soak)
    bottom = _dry_from(soak)
    crest, shaft = max(soak.ground, soak.top + 0.01), math.pi / 4.0 * SHAFT**2
    stage = np.array([bottom, soak.top, crest, crest + ABOVE])
    area = np.array([body.voids * body.area, shaft, body.area])
    stored = np.concatenate([[0.0], np.cumsum(area * np.diff(stage))])
    depth = min(standing(body, soak.base_flow), soak.depth) if soak.base_flow > 0.0 and soak.rate > 0.0 else 0.0
    begin = max(min(soak.bottom + depth, soak.top) - bottom, 0.0)
    return SoakStore(
        name=soak.name, stage=stage, stored=stored, start=body.voids * body.area * begin, crest=crest,
        width=math.sqrt(body.area),
    )  # fmt: skip


def _dry_from(soak: Soakaway) -> float:
    """Level over which the stone is free of ground water [m]."""
    table = soak.bottom if soak.water_table is None else max(soak.bottom, soak.water_table)
    return min(table, soak.top - 0.05)


def soaking(soaks: Sequence[Soakaway], rows: Sequence[int]) -> Outlets:
    """What soaks out of soakaways by their levels: a row for the bottom and one for the sides of each.

    Parameters
    ----------
    soaks : sequence of Soakaway
        As designed.
    rows : sequence of int
        Of their stores.

    Returns
    -------
    Outlets
        ``rate (floor + perimeter depth)`` as the design routes it, the bottom's share from a film of water on; no
        more than with the stone full. Where ground water stands in the stone the bottom takes nothing in, and the
        sides only above it.
    """
    node: list[int] = []
    low: list[float] = []
    high: list[float] = []
    most: list[float] = []
    for soak, row in zip(soaks, rows, strict=True):
        body, bottom = body_of(soak), _dry_from(soak)
        if soak.rate <= 0.0:
            continue
        if bottom == soak.bottom:
            node.append(row)
            low.append(bottom)
            high.append(bottom + FILM)
            most.append(body.rate * body.floor)
        node.append(row)
        low.append(bottom)
        high.append(soak.top)
        most.append(body.rate * body.perimeter * (soak.top - bottom))
    flow = np.column_stack([np.zeros(len(most)), np.array(most, np.float64)])
    return Outlets(node=np.array(node, np.int64), low=np.array(low), high=np.array(high), flow=flow)


def soaked_at(soak: Soakaway, levels: Floats) -> Floats:
    """What soaks out of a soakaway at each of some levels, shape as ``levels``. [m³/s]"""
    rows = soaking([soak], [0])
    found = np.zeros_like(levels)
    for low, high, flow in zip(rows.low, rows.high, rows.flow, strict=True):
        found += np.interp(levels, [low, high], flow)
    return found


__all__ = ["FILM", "SoakStore", "body_of", "soak_store", "soaked_at", "soaking"]
