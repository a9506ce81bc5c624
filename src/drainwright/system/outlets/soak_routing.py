"""How a soakaway fills in a storm and empties after it: routing of inflow against what the soil takes in."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from drainwright.hydraulics.soakage import half_empty_time, soak_level


@dataclass(frozen=True, slots=True, kw_only=True)
class SoakBody:
    """A soakaway as the water sees it; of several alike, all together."""

    area: float  # in plan [m²]
    floor: float  # of it, what takes water in; 0 where the bottom is silted shut [m²]
    perimeter: float  # of the sides in plan [m]
    depth: float  # from its bottom to the inlet pipe's invert [m]
    voids: float  # [-]
    rate: float  # infiltration, safety taken off [m/s]

    def out(self, level: float) -> float:
        """What the soil takes in at a depth of water [m³/s]."""
        return self.rate * (self.floor + self.perimeter * level)

    @property
    def storage(self) -> float:
        """Water that it holds when it is full [m³]."""
        return self.voids * self.area * self.depth

    def after(self, level: float, inflow: float, duration: float) -> float:
        """Depth of water after an even inflow, without an end to its height [m]."""
        return float(soak_level(level, inflow, duration, self.area, self.floor, self.perimeter, self.rate, self.voids))


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One step of inflow."""

    duration: float  # [s]
    inflow: float  # [m³/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Routed:
    """A soakaway in one storm."""

    fullest: float  # depth of water that would stand, were its sides high enough [m]
    spilled: float  # that runs over at its real depth [m³]
    came: float  # [m³]
    soaked: float  # by the storm's end, at its real depth [m³]
    left: float  # in it at the storm's end, at its real depth [m³]


def standing(body: SoakBody, base: float) -> float:
    """Depth at which a steady inflow stands; infinite where it never comes to rest [m]."""
    return max(0.0, (base / body.rate - body.floor) / body.perimeter)


def route(body: SoakBody, blocks: Iterable[Block], start: float = 0.0) -> Routed:
    """Route steps of even inflow: exact within each step.

    Parameters
    ----------
    body : SoakBody
        The soakaway.
    blocks : iterable of Block
        The inflow.
    start : float
        Depth of water before. [m]

    Returns
    -------
    Routed
        ``fullest`` is that of sides without end; what spills, soaks and stays is that of the real depth, and makes up
        what came with what stood there before.
    """
    free, real = start, min(start, body.depth)
    fullest, spilled, came = free, 0.0, 0.0
    before = body.voids * body.area * real
    for block in blocks:
        alike = real == free  # as long as nothing has spilled
        free = body.after(free, block.inflow, block.duration)
        fullest = max(fullest, free)
        came += block.inflow * block.duration
        after = free if alike else body.after(real, block.inflow, block.duration)
        if after > body.depth:
            full_for = block.duration - _time_to(body, real, body.depth, block.inflow)
            spilled += (block.inflow - body.out(body.depth)) * full_for
            after = body.depth
        real = after
    left = body.voids * body.area * real
    return Routed(fullest=fullest, spilled=spilled, came=came, soaked=before + came - spilled - left, left=left)


def _time_to(body: SoakBody, level: float, other: float, inflow: float) -> float:
    """Time in which an even inflow brings the water from one depth to another that it does reach [s]."""
    steady = (inflow / body.rate - body.floor) / body.perimeter
    share = (level - steady) / (other - steady)
    return math.log(share) * body.voids * body.area / (body.rate * body.perimeter) if share > 1.0 else 0.0


def time_to_empty(body: SoakBody, level: float, base: float = 0.0) -> float:
    """Time until the water of a storm is gone, but for a hundredth of it, while a steady inflow goes on [s]."""
    rest = standing(body, base)
    if level <= rest:
        return 0.0
    low = rest + 0.01 * (level - rest)
    return max(0.0, _time_to(body, level, low, base))


def half_time(body: SoakBody, level: float, base: float = 0.0) -> float:
    """Time from a depth to half of it, while a steady inflow goes on; infinite where it never gets there [s]."""
    if level <= 0.0:
        return 0.0
    if base == 0.0:
        return float(half_empty_time(level, body.area, body.floor, body.perimeter, body.rate, body.voids))
    return math.inf if standing(body, base) >= level / 2.0 else _time_to(body, level, level / 2.0, base)


def worst(body: SoakBody, storms: Sequence[tuple[float, float]], base: float) -> tuple[int, tuple[Routed, ...]]:
    """The block storm that fills it most, and how it fares in each.

    Parameters
    ----------
    body : SoakBody
        The soakaway.
    storms : sequence of tuple
        Duration [s] and even inflow of each storm, the steady inflow not in it. [m³/s]
    base : float
        Steady inflow that stands in it before and goes on. [m³/s]

    Returns
    -------
    tuple
        Number of the worst storm, and all of them.
    """
    start = standing(body, base)
    routed = tuple(route(body, [Block(duration=time, inflow=flow + base)], start) for time, flow in storms)
    return max(range(len(routed)), key=lambda number: routed[number].fullest), routed


__all__ = ["Block", "Routed", "SoakBody", "half_time", "route", "standing", "time_to_empty", "worst"]
