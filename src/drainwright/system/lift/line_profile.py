"""A pressure line's ups and downs: where air gathers, where water stays, what freezes, what runs on part full."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError
from drainwright.hydraulics.energy import velocity_at_depth
from drainwright.hydraulics.geometry import segment_area
from drainwright.hydraulics.openflow import flowing_depth, largest_open_flow
from drainwright.system.model import Pipe
from drainwright.worksheet import quiet

LEVEL = 0.01  # places that differ by less count as level [m]
PIECE = 0.1  # in which the water that stays is added up [m]
WET = 0.02  # share of the bore below which a stretch counts as empty [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Turning:
    """A high or a low place along the line, not at its ends."""

    distance: float  # from the basin [m]
    invert: float  # [m]
    by: float  # above the higher of the low places beside it, or below the lower of the high ones [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingWater:
    """Water that stays in the line when the pump has stopped."""

    length: float  # of line with water in it [m]
    volume: float  # [m³]
    frozen: float  # length of it that lies above the depth of frost [m]
    cover: float  # the least over the crown where water stays; infinite where none does [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beyond:
    """The line beyond its highest place, where it falls to its end."""

    distance: float  # of that place from the basin [m]
    length: float  # [m]
    fall: float  # [m]
    part_full: bool  # it runs as a drain, air over the water
    depth: float  # there; the bore where it runs full [m]
    velocity: float  # [m/s]
    drowned: bool  # its end stands in water
    suction: float  # head below the air's at the highest place, where it runs full; 0 elsewhere [m]


def _shape(distances: Sequence[float], inverts: Sequence[float]) -> list[int]:
    """Indices of the places where the line turns from rising to falling or back, with both ends."""
    kept = [0]
    for index in range(1, len(inverts)):
        if abs(inverts[index] - inverts[kept[-1]]) < LEVEL:
            continue
        if len(kept) > 1:
            up = inverts[kept[-1]] > inverts[kept[-2]]
            if (inverts[index] > inverts[kept[-1]]) == up:
                kept[-1] = index
                continue
        kept.append(index)
    return kept


def turnings(distances: Sequence[float], inverts: Sequence[float]) -> tuple[tuple[Turning, ...], tuple[Turning, ...]]:
    """High and low places of a line between its ends; places within a centimetre count as level.

    Parameters
    ----------
    distances, inverts : sequence of float
        Of the stations, from the basin. [m]

    Returns
    -------
    tuple
        The high places, then the low ones.

    Raises
    ------
    InputError
        If there are fewer than two stations.
    """
    if len(distances) < 2 or len(distances) != len(inverts):
        raise InputError(f"distances = {distances!r}: expected two stations or more, each with its invert")
    places = _shape(distances, inverts)
    highs, lows = [], []
    for before, here, after in zip(places, places[1:], places[2:], strict=False):
        level, beside = inverts[here], (inverts[before], inverts[after])
        if level > max(beside):
            highs.append(Turning(distance=distances[here], invert=level, by=level - max(beside)))
        elif level < min(beside):
            lows.append(Turning(distance=distances[here], invert=level, by=min(beside) - level))
    return tuple(highs), tuple(lows)


def standing_water(
    distances: Sequence[float],
    inverts: Sequence[float],
    grounds: Sequence[float],
    pipe: Pipe,
    *,
    runs_back: bool,
    tailwater: float,
    frost: float,
) -> StandingWater:
    """Water that stays in a pressure line after the pump has stopped.

    Parameters
    ----------
    distances, inverts, grounds : sequence of float
        Of the stations, from the basin. [m]
    pipe : Pipe
        Of the line.
    runs_back : bool
        Nothing holds the water at the basin's end: no check valve, or a hole above it.
    tailwater : float
        Water level at its end; minus infinity in air. [m]
    frost : float
        Depth of frost below the ground. [m]

    Notes
    -----
    At each place the water stands as high as the lower of the two sills it would have to pass: towards the end the
    highest invert from there on, or the tailwater; towards the basin the highest invert before it, where it runs back.
    """
    count = max(2, math.ceil(distances[-1] / PIECE) + 1)
    at = np.unique(np.concatenate([np.linspace(0.0, distances[-1], count), np.asarray(distances)]))
    invert = np.interp(at, distances, inverts)
    ground = np.interp(at, distances, grounds)
    onward = np.maximum(np.maximum.accumulate(invert[::-1])[::-1], tailwater)
    back = np.maximum.accumulate(invert) if runs_back else np.full_like(invert, np.inf)
    depth = np.clip(np.minimum(onward, back) - invert, 0.0, pipe.inside)
    with quiet():
        area = np.asarray(segment_area(depth, pipe.inside))
    piece = np.diff(at)
    wet = np.minimum(depth[:-1], depth[1:]) > WET * pipe.inside
    wet |= (depth[:-1] + depth[1:]) / 2.0 > 2.0 * WET * pipe.inside
    cover = ground - invert - pipe.inside
    middle = (cover[:-1] + cover[1:]) / 2.0
    return StandingWater(
        length=float(piece[wet].sum()),
        volume=float((piece * (area[:-1] + area[1:]) / 2.0)[wet].sum()),
        frozen=float(piece[wet & (middle < frost)].sum()) if frost > 0.0 else 0.0,
        cover=float(middle[wet].min()) if wet.any() else math.inf,
    )


def beyond_highest(
    distances: Sequence[float],
    inverts: Sequence[float],
    pipe: Pipe,
    flow: float,
    loss: float,
    tailwater: float,
) -> Beyond | None:
    """How the line runs beyond its highest place; None where that is its end, or nothing flows.

    Parameters
    ----------
    distances, inverts : sequence of float
        Of the stations, from the basin. [m]
    pipe : Pipe
        Of the line.
    flow : float
        Of the pump into it. [m³/s]
    loss : float
        Head that the whole line would lose, running full. [m]
    tailwater : float
        Water level at its end; minus infinity in air. [m]
    """
    top = max(index for index, invert in enumerate(inverts) if invert > max(inverts) - LEVEL)
    length, fall = distances[-1] - distances[top], inverts[top] - inverts[-1]
    if length <= 0.0 or fall < LEVEL or flow <= 0.0:
        return None
    drowned = tailwater > inverts[-1] + pipe.inside
    with quiet():
        slope = fall / length
        part_full = not drowned and flow < float(largest_open_flow(pipe.inside, slope, pipe.manning))
        depth = float(flowing_depth(flow, pipe.inside, slope, pipe.manning)) if part_full else pipe.inside
        speed = (
            float(velocity_at_depth(flow, depth, pipe.inside))
            if depth < pipe.inside
            else flow / (math.pi / 4.0 * pipe.inside**2)
        )
    end = max(tailwater, inverts[-1] + pipe.inside)
    crown = inverts[top] + pipe.inside
    suction = 0.0 if part_full else max(crown - end - loss * length / distances[-1], 0.0)
    return Beyond(
        distance=distances[top],
        length=length,
        fall=fall,
        part_full=part_full,
        depth=depth,
        velocity=speed,
        drowned=drowned,
        suction=suction,
    )


__all__ = ["Beyond", "StandingWater", "Turning", "beyond_highest", "standing_water", "turnings"]
