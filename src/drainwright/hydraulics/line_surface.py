"""The water surface along a line of pipe as it is laid: breaks of grade, bends, and water that enters along it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from drainwright.hydraulics.conduit import RoundPipe
from drainwright.hydraulics.water_surface import WaterSurface, water_surface
from drainwright.kept import kept as known
from drainwright.worksheet import Card, catalogued

FINEST = 0.1  # first step above a break of grade or an end, over the depth there [-]
GROWTH = 1.3  # of the steps away from there
LONGEST = 0.5  # step [m]
MOST_STEPS = 60  # in one stretch, but for those near its ends
BEND = 0.0033  # on the velocity head, for each degree of a bend [1/degree]


def graded_steps(knots: Sequence[float], size: float, kept: Sequence[float] = ()) -> tuple[float, ...]:
    """Places for the walk: fine near both ends of each stretch of even grade, where the surface bends most.

    Parameters
    ----------
    knots : sequence of float
        Distances of the ends and of the breaks of grade, rising. [m]
    size : float
        Diameter, or another measure of the depth. [m]
    kept : sequence of float
        Distances that must be among them. [m]

    Returns
    -------
    tuple of float
        Rising, the knots among them. [m]
    """
    places = {float(knot) for knot in knots} | {float(place) for place in kept}
    for start, end in itertools.pairwise(knots):
        length = end - start
        longest = min(LONGEST, max(length / MOST_STEPS, 0.25 * size))
        step, gone = FINEST * size, 0.0
        while gone + step < 0.5 * length and step < longest:
            gone += step
            places |= {start + gone, end - gone}
            step *= GROWTH
        rest = length - 2.0 * gone
        parts = max(1, math.ceil(rest / longest))
        places |= {start + gone + rest * part / parts for part in range(1, parts)}
    ordered = sorted(places)
    close = 1e-9 * max(1.0, abs(ordered[-1]))
    fixed = {float(knot) for knot in knots} | {float(place) for place in kept}
    found = [ordered[0]]
    for place in ordered[1:]:
        if place - found[-1] > close:
            found.append(place)
        elif place in fixed:
            found[-1] = place
    return tuple(found)


@catalogued(
    Card(
        title="Water surface along a line of pipe",
        symbol="HGL",
        expression="standard steps upstream from the higher of tailwater and critical depth, Manning friction,"
        " Q q / (g A²) for water that enters along it, 0.0033 v²/2g for each degree of a bend; fast flow in steps"
        " downstream, up to the jump",
        units={
            "diameter": "m",
            "knots": "m",
            "inverts": "m",
            "flow_upper": "m³/s",
            "flow_lower": "m³/s",
            "roughness": "s/m^(1/3)",
            "downstream_level": "m",
            "kept": "m",
            "turns": "m, rad",
            "beside": "m³/s",
            "result": "m",
        },
        source="chow_1959",
        expression_kind="procedure",
    )
)
def line_surface(
    diameter: float,
    knots: Sequence[float],
    inverts: Sequence[float],
    flow_upper: float,
    flow_lower: float,
    roughness: float,
    downstream_level: float,
    kept: Sequence[float] = (),
    turns: Sequence[tuple[float, float]] = (),
    beside: Sequence[float] = (),
) -> WaterSurface:
    """Water surface along a line of round pipe with breaks of grade, bends, and water that enters along it.

    Parameters
    ----------
    diameter : float
        Inside. [m]
    knots : sequence of float
        Distances from the upper end of its ends and breaks of grade, rising from 0. [m]
    inverts : sequence of float
        There. [m]
    flow_upper, flow_lower : float
        Flow at its ends; it grows in a straight line between. [m³/s]
    roughness : float
        Manning n. [s/m^(1/3)]
    downstream_level : float
        Grade line at the lower end; minus infinity where it falls freely. [m]
    kept : sequence of float
        Distances that are wanted in the answer. [m]
    turns : sequence of tuple
        Distance and turn of each bend. [m, rad]
    beside : sequence of float
        At the distances ``kept``: flow that goes beside the pipe, in its stone; none where left out. [m³/s]

    Returns
    -------
    WaterSurface
        At the places of ``graded_steps``.

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> full = line_surface(0.1, (0.0, 10.0), (0.1, 0.0), 0.02, 0.02, 0.009, 0.2)
    >>> round(full.level_up - 0.2, 3)  # 10 m at the friction slope of the full pipe
    0.719
    """
    bends = {place: turn for place, turn in turns if turn > 0.0}
    places = graded_steps(knots, diameter, (*kept, *bends))
    length = knots[-1] - knots[0]
    flows = [flow_upper + (flow_lower - flow_upper) * (place - knots[0]) / length for place in places]
    if len(beside):
        flows = [
            max(flow - float(aside), 0.0) for flow, aside in zip(flows, np.interp(places, kept, beside), strict=True)
        ]
    losses = [bend_loss(bends[place]) if place in bends else 0.0 for place in places]
    bed = np.interp(places, knots, inverts).tolist()
    walk = places, bed, flows, roughness, downstream_level, losses
    return known("water surface", (diameter, walk), lambda: water_surface(RoundPipe(diameter=diameter), *walk))


def bend_loss(turn: float) -> float:
    """Loss coefficient of a bend without a structure: 0.0033 for each degree, HEC-22 eq. 7-6, from memory. [-]"""
    return BEND * math.degrees(turn)


__all__ = ["bend_loss", "graded_steps", "line_surface"]
