"""Cross sections of a pipe or channel for the water surface: scalar, fast, and also above the crown.

Above the crown of a pipe the depth is the pressure head over its invert; area and perimeter stay those of the full
pipe, the width of the surface is nothing, and the first moment goes on growing with the head.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from drainwright.hydraulics.arrays import GRAVITY

TRICKLE = 1e-12  # less than a drop in a minute has no depth that could be told [m³/s]


class Parts(NamedTuple):
    """What the flow sees of a section at a depth."""

    area: float  # [m²]
    perimeter: float  # wetted [m]
    width: float  # of the water's surface; 0 in a full pipe [m]
    moment: float  # of the area about the water's surface: pressure force over the weight of a unit of water [m³]


class Conduit(Protocol):
    """A prismatic section."""

    @property
    def crown(self) -> float:
        """Depth at which it is full; infinite for an open channel. [m]"""

    def parts(self, depth: float) -> Parts:
        """What the flow sees at a depth, above zero."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundPipe:
    """A round pipe."""

    diameter: float  # inside [m]

    @property
    def crown(self) -> float:
        """Depth at which it is full. [m]"""
        return self.diameter

    def parts(self, depth: float) -> Parts:
        """What the flow sees at a depth, above zero."""
        size = self.diameter
        if depth >= size:
            area = 0.25 * math.pi * size * size
            return Parts(area, math.pi * size, 0.0, area * (depth - 0.5 * size))
        half = math.acos(1.0 - 2.0 * max(depth, 0.0) / size)
        sine = math.sin(half)
        cosine = 1.0 - 2.0 * depth / size
        return Parts(
            0.25 * size * size * (half - sine * cosine),
            size * half,
            size * sine,
            size**3 / 24.0 * (3.0 * sine - sine**3 - 3.0 * half * cosine),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenChannel:
    """A channel with a flat bed and even sides, open above; ``side_slope`` 0 is a rectangle."""

    width: float  # of the bed [m]
    side_slope: float = 0.0  # horizontal for one vertical [-]

    @property
    def crown(self) -> float:
        """None: it is never full. [m]"""
        return math.inf

    def parts(self, depth: float) -> Parts:
        """What the flow sees at a depth, above zero."""
        slope = self.side_slope
        return Parts(
            (self.width + slope * depth) * depth,
            self.width + 2.0 * depth * math.hypot(1.0, slope),
            self.width + 2.0 * slope * depth,
            depth * depth * (0.5 * self.width + slope * depth / 3.0),
        )


def critical(section: Conduit, flow: float) -> float:
    """Critical depth of any section: Q² T = g A³; of a pipe always below its crown. [m]"""
    if flow <= TRICKLE:
        return 0.0
    low, high = -math.inf, math.log(section.crown) if math.isfinite(section.crown) else math.inf
    place = math.log(0.5 * section.crown) if math.isfinite(section.crown) else 0.0
    before: tuple[float, float] | None = None
    for _ in range(100):  # secants in the logarithm of the depth, where the function is nearly straight
        value = _over(section, flow, math.exp(place))
        if value < 0.0:
            low = place
        else:
            high = place
        slope = 4.0 if before is None or before[0] == place else (value - before[1]) / (place - before[0])
        trial = place - value / slope if slope > 0.0 else math.nan
        before = (place, value)
        if not low < trial < high:
            trial = 0.5 * (low + high) if math.isfinite(low) and math.isfinite(high) else place - value / 4.0
        if abs(trial - place) < 1e-14:
            break
        place = trial
    return math.exp(place)


def _over(section: Conduit, flow: float, depth: float) -> float:
    """Logarithm of g A³ over Q² T: it rises with the depth, and is nothing where that is critical."""
    parts = section.parts(depth)
    if parts.width <= 0.0:
        return math.inf
    return math.log(GRAVITY / (flow * flow)) + 3.0 * math.log(parts.area) - math.log(parts.width)


def momentum(section: Conduit, depth: float, flow: float) -> float:
    """Momentum function Q²/(g A) + moment: what a hydraulic jump keeps. [m³]"""
    parts = section.parts(depth)
    return flow * flow / (GRAVITY * parts.area) + parts.moment if parts.area > 0.0 else math.inf


__all__ = ["TRICKLE", "Conduit", "OpenChannel", "Parts", "RoundPipe", "critical", "momentum"]
