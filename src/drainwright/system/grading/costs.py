"""Proxy costs of a graded line: digging by depth, soil and care, pipe by family and size, stone, a basin's depth.

They rank gradings; the price of the job comes from the price book. Digging is convex in the depth: the rates of hand
digging fall at 5 and at 10 ft (hand excavation, m³ an hour: firm soil 0.57, 0.38, 0.28; loose 0.66, 0.45, 0.33; clay
0.46, 0.31, 0.24), and below 5 ft the trench's sides are shored. The cost is taken at stations, straight between them.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np

from drainwright.system.catalogue import nominal_size
from drainwright.system.grading.model import GradedLine, GravityLine, Meeting, Obstacle
from drainwright.system.model import Pipe

EXCAVATION = 90.0  # of firm soil to 5 ft: digging, carrying off and filling again [1/m³]
DEPTHS = (1.524, 3.048)  # 5 and 10 ft: from here digging is slower [m]
#: Hand digging, to 5 ft, to 10 ft and below [m³/h]: source ``hand_dig_rates``.
DIG_RATES: Mapping[str, tuple[float, float, float]] = {
    "loose": (0.66, 0.45, 0.33),
    "firm": (0.57, 0.38, 0.28),
    "clay": (0.46, 0.31, 0.24),
}
SHORING = 50.0  # of both sides of a trench below 5 ft: 29 CFR 1926.652 asks for protection there [1/m²]
CARE_ZONE = 1.75  # digging within a buried line's tolerance zone, times as slow; common practice, no source [-]
CARE_ROOTS = 1.4  # digging within the root zone of a tree that stays, likewise [-]
DRAIN_WORTH = 400.0  # of a footing drain that lies lower, down to its footing; above the cost of any digging [1/m²]
KNOWN_WORTH = 3000.0  # of a gap to a buried line as large as its uncertain depth asks [1/m]
CLEARANCE_WORTH = 1000.0  # of a gap as large as the criteria ask: for 11 in as much as 3 m³ of digging [1/m]
STONE = 75.0  # washed stone, brought and laid [1/m³]
BASIN_DEPTH = 350.0  # of a deeper basin and its hole [1/m]
BASIN_SHORING = 200.0  # of the part of a basin's hole below 5 ft [1/m]
BASIN_BELOW = 0.45  # of the basin's floor below its lowest pipe, for its hole's depth [m]
#: By family and nominal inches, bought [1/m].
PIPE_COST: Mapping[str, Mapping[float, float]] = {
    "Schedule 40": {1.25: 4.3, 1.5: 5.1, 2.0: 6.7, 3.0: 12.8, 4.0: 17.7, 6.0: 32.2},
    "D3034 SDR 35": {4.0: 8.5, 6.0: 17.0, 8.0: 30.0},
    "D2729": {3.0: 4.3, 4.0: 5.8, 6.0: 12.8},
    "corrugated single wall": {3.0: 2.5, 4.0: 3.1, 6.0: 7.2},
    "corrugated smooth inside": {4.0: 6.9, 6.0: 12.1, 8.0: 19.4},
}
PIPE_COST_OTHER = 4.0  # of any other pipe, for each nominal inch [1/m]
#: A thin or corrugated wall bears by its bedding, placed by hand at both sides, and flattens or sags where that is
#: poor: this share of its price more, and this much for each metre. Common practice, no source.
HAUNCHING: Mapping[str, tuple[float, float]] = {
    "D2729": (0.35, 1.5),
    "corrugated single wall": (0.5, 3.0),
    "corrugated smooth inside": (0.35, 2.0),
}
STRAIGHT = 0.005  # ground this near to the straight between its neighbours needs no station of its own [m]
FARTHEST = 6.0  # yet stations of the cost stay no farther apart than this [m]


@cache
def pipe_cost(pipe: Pipe) -> float:
    """Proxy cost of a pipe, laid [1/m]."""
    size = nominal_size(pipe)
    bought = PIPE_COST.get(pipe.family, {}).get(size, PIPE_COST_OTHER * size)
    share, more = HAUNCHING.get(pipe.family, (0.0, 0.0))
    return bought * (1.0 + share) + more


def crown(pipe: Pipe) -> float:
    """From the invert to the top of the pipe, or of its sleeve [m]."""
    return pipe.inside + pipe.wall + sleeve(pipe)


def sleeve(pipe: Pipe) -> float:
    """Thickness of an aggregate sleeve; 0 where there is none [m]."""
    return max(pipe.envelope - pipe.outside, 0.0) / 2.0


def under(pipe: Pipe) -> float:
    """From the invert down to the underside of the pipe, or of its sleeve [m]."""
    return pipe.wall + sleeve(pipe)


def stone_cost(line: GravityLine, pipe: Pipe) -> float:
    """Proxy cost of the stone round a drain [1/m]."""
    if line.bed <= 0.0 or not pipe.perforated or pipe.envelope > 0.0:
        return 0.0
    height = line.bed + pipe.outside + line.stone_over
    return STONE * max(line.width * height - np.pi / 4.0 * pipe.outside**2, 0.0)


def dig_steps(line: GravityLine) -> tuple[tuple[float, float], ...]:
    """Thickness of each layer and cost of a metre of trench for each metre of depth in it, from the ground down."""
    rates = DIG_RATES[line.soil]
    costs = [line.width * EXCAVATION * DIG_RATES["firm"][0] / rate for rate in rates]
    thick = (DEPTHS[0], DEPTHS[1] - DEPTHS[0], np.inf)
    return tuple(
        (high, cost + (SHORING if i else 0.0)) for i, (high, cost) in enumerate(zip(thick, costs, strict=True))
    )


def dig_cost(line: GravityLine, depth: float) -> float:
    """Proxy cost of a metre of trench of a depth, without what care adds [1/m]."""
    cost = 0.0
    for thick, price in dig_steps(line):
        part = min(max(depth, 0.0), thick)
        cost += part * price
        depth -= part
    return cost


def cost_stations(line: GravityLine) -> tuple[tuple[int, float], ...]:
    """Stations at which the digging is reckoned, with the length that each stands for, care counted in [m].

    Those where the ground is straight are left out; knots stay.
    """
    distances, grounds = np.array(line.distances), np.array(line.grounds)
    care = np.ones(len(distances) - 1) if not line.care else np.array(line.care)
    held = {0, len(distances) - 1, *(int(np.argmin(np.abs(distances - knot))) for knot in line.knots)}
    kept = [0]
    for index in range(1, len(distances)):
        last = kept[-1]
        between = np.arange(last + 1, index)
        share = (distances[between] - distances[last]) / (distances[index] - distances[last])
        straight = grounds[last] + share * (grounds[index] - grounds[last])
        far = distances[index] - distances[last] > FARTHEST
        if between.size and (far or float(np.max(np.abs(straight - grounds[between]))) > STRAIGHT):
            kept.append(index - 1)
        if index in held:
            kept.append(index)
    kept = sorted(set(kept))
    weights = np.zeros(len(kept))
    for i, (a, b) in enumerate(itertools.pairwise(kept)):
        reach = float(np.dot(care[a:b], np.diff(distances[a : b + 1])))
        weights[i] += reach / 2.0
        weights[i + 1] += reach / 2.0
    return tuple(zip(kept, (weights * (1.0 - line.opened)).tolist(), strict=True))


def worth_weights(line: GravityLine) -> tuple[float, ...]:
    """Worth of a metre less of height at each station of a footing drain [1/m]."""
    spacing = line.length / max(len(line.distances) - 1, 1)
    return tuple(
        DRAIN_WORTH * spacing if bottom is not None and line.deep and line.deep[index] else 0.0
        for index, bottom in enumerate(line.bottoms)
    )


def gap_to(item: Obstacle, found: GradedLine) -> float:
    """Least height between a graded line and a buried one that it passes above or below, outside to outside [m]."""
    levels = np.interp([place[0] for place in item.places], found.knots, found.inverts)
    tops = np.array([place[1] for place in item.places])
    above = float(np.min(levels - under(found.pipe) - tops))
    below = float(np.min(tops - item.diameter - levels - crown(found.pipe)))
    return max(above, below)


def gap_cost(line: GravityLine, found: GradedLine) -> float:
    """What is paid for gaps to buried lines that are smaller than asked [-]."""
    cost = 0.0
    for item in line.obstacles:
        least, known, wanted = item.gaps
        gap = gap_to(item, found)
        cost += CLEARANCE_WORTH * (wanted - min(max(gap, known), wanted))
        cost += KNOWN_WORTH * (known - min(max(gap, least), known))
    return cost


def basin_cost(meeting: Meeting | None, lowest: float, datum: float) -> float:
    """Proxy cost of the depth of a basin with its lowest pipe at a level [-]."""
    rim = datum if meeting is None or meeting.rim is None else meeting.rim
    over = max(rim - lowest + BASIN_BELOW - DEPTHS[0], 0.0) if meeting is not None and meeting.rim is not None else 0.0
    return BASIN_DEPTH * (rim - lowest) + BASIN_SHORING * over


def line_cost(line: GravityLine, found: GradedLine) -> float:
    """Proxy cost of one graded line, worth of depth taken off [-]."""
    inverts = np.interp(line.distances, found.knots, found.inverts)
    cost = (pipe_cost(found.pipe) + stone_cost(line, found.pipe)) * line.length + gap_cost(line, found)
    for index, weight in cost_stations(line):
        depth = line.grounds[index] - float(inverts[index]) + under(found.pipe) + line.bed
        cost += weight * dig_cost(line, depth)
    for index, worth in enumerate(worth_weights(line)):
        cost += worth * (float(inverts[index]) - _foot(line, index))
    return cost


def _foot(line: GravityLine, index: int) -> float:
    bottom = line.bottoms[index]
    return 0.0 if bottom is None else bottom


def grading_cost(
    lines: Sequence[GravityLine], found: Mapping[str, GradedLine], meetings: Mapping[str, Meeting] | None = None
) -> float:
    """Proxy cost of a whole grading, however it was come by: what ``grade_lines`` makes least.

    Parameters
    ----------
    lines : sequence of GravityLine
        As asked.
    found : mapping
        Pipe and inverts of each.
    meetings : mapping, optional
        Places where they meet.

    Returns
    -------
    float
        Pipe, stone, digging, basins, small gaps to buried lines; the worth of low drains is taken off. [-]
    """
    cost = sum(line_cost(line, found[line.name]) for line in lines)
    datum = min(min(line.grounds) for line in lines)
    ends = {line.lower for line in lines if line.to_basin}
    for name in sorted(ends):
        lowest = min(found[line.name].invert_lower for line in lines if line.to_basin and line.lower == name)
        cost += basin_cost((meetings or {}).get(name), lowest, datum)
    return cost


__all__ = [
    "BASIN_BELOW", "BASIN_DEPTH", "BASIN_SHORING", "CARE_ROOTS", "CARE_ZONE", "CLEARANCE_WORTH", "DEPTHS",
    "DIG_RATES", "DRAIN_WORTH", "EXCAVATION", "KNOWN_WORTH", "PIPE_COST", "SHORING", "STONE", "basin_cost",
    "cost_stations", "crown", "dig_cost", "dig_steps", "gap_to", "grading_cost", "line_cost", "pipe_cost", "sleeve",
    "stone_cost", "under", "worth_weights",
]  # fmt: skip
