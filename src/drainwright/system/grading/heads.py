"""What a pipe needs at the design flow: the grade that carries it, and the water's height where it goes in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from drainwright.hydraulics.openflow import part_full_flow
from drainwright.system.grading.costs import pipe_cost
from drainwright.system.grading.model import GravityLine
from drainwright.system.model import Pipe
from drainwright.worksheet import quiet

GRAVITY = 9.80665  # [m/s²]
HALVINGS = 40  # of the diameter: a depth to the last digits


@lru_cache(maxsize=8192)
def needed_grade(flow: float, pipe: Pipe, fill: float) -> float:
    """Grade at which a pipe carries a flow at a fill, by Manning: (flow over flow at grade one) squared [-]."""
    with quiet():
        unit = float(part_full_flow(fill * pipe.inside, pipe.inside, 1.0, pipe.manning))
    return (flow / unit) ** 2


def offered(pipes: Sequence[Pipe], flow: float, fill: float, grade: float) -> tuple[Pipe, ...]:
    """The pipes worth a thought: of one size, none that costs more than one which carries the flow as it is.

    Parameters
    ----------
    pipes : sequence of Pipe
        Candidates.
    flow : float
        At the design. [m³/s]
    fill : float
        Greatest depth over diameter. [-]
    grade : float
        The least that the line will have. [-]

    Returns
    -------
    tuple of Pipe
        In their order. A thin-walled or smoother one of the same size stays only where it is cheaper, or where the
        cheaper one would want more fall.
    """
    kept = []
    for pipe in pipes:
        rivals = [other for other in pipes if other.nominal == pipe.nominal and pipe_cost(other) < pipe_cost(pipe)]
        if not any(needed_grade(flow, other, fill) <= grade for other in rivals):
            kept.append(pipe)
    return tuple(kept)


def _section(depth: float, diameter: float) -> tuple[float, float, float]:
    """Area, wetted perimeter and width of the water of a part-full circle [m², m, m]."""
    angle = 2.0 * math.acos(min(max(1.0 - 2.0 * depth / diameter, -1.0), 1.0))
    area = diameter**2 / 8.0 * (angle - math.sin(angle))
    return area, diameter * angle / 2.0, diameter * math.sin(angle / 2.0)


def _critical(flow: float, diameter: float) -> float:
    low, high = 1e-6 * diameter, diameter
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        area, _, width = _section(middle, diameter)
        low, high = (middle, high) if flow**2 * width > GRAVITY * area**3 else (low, middle)
    return high


def _normal(flow: float, pipe: Pipe, grade: float, most: float) -> float:
    """Normal depth, no deeper than ``most`` [m]."""
    low, high = 0.0, most
    root = math.sqrt(max(grade, 0.0)) / pipe.manning
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        area, wet, _ = _section(middle, pipe.inside)
        low, high = (middle, high) if area * (area / wet) ** (2.0 / 3.0) * root < flow else (low, middle)
    return high


def flattest_asked(line: GravityLine, pipe: Pipe) -> float:
    """The least grade that the conditions leave to a line with this pipe [-]."""
    if line.invert_upper is not None and line.invert_lower is not None:
        return max((line.invert_upper - line.invert_lower) / line.length, 0.0)
    return max(
        line.minimum_grade if line.grade is None else line.grade, needed_grade(line.flow, pipe, line.maximum_fill)
    )


def entry_height(line: GravityLine, pipe: Pipe) -> float:
    """Height of the water over the invert where it goes into a line, at the design flow, the pipe not drowned.

    Parameters
    ----------
    line : GravityLine
        With its flow, least grade and greatest fill.
    pipe : Pipe
        One it may take.

    Returns
    -------
    float
        The greater of what normal depth at the flattest grade asked for and critical depth need: depth, and
        ``entry`` velocity heads for the loss on entering and, out of still water, the speed itself. [m]
    """
    if line.flow <= 0.0:
        return 0.0
    return _height(line.flow, pipe, flattest_asked(line, pipe), line.maximum_fill, line.entry)


@lru_cache(maxsize=8192)
def _height(flow: float, pipe: Pipe, grade: float, fill: float, entry: float) -> float:
    deepest = _normal(flow, pipe, grade, fill * pipe.inside)
    critical = _critical(flow, pipe.inside)
    heights = []
    for depth in {critical, max(deepest, critical)}:  # water that runs fast inside passes through critical depth
        area = _section(depth, pipe.inside)[0]
        heights.append(depth + entry * (flow / area) ** 2 / (2.0 * GRAVITY))
    return max(heights)


__all__ = ["entry_height", "flattest_asked", "needed_grade", "offered"]
