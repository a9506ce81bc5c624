"""Where the water of a level run parts: a drain with a way out at both ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError
from drainwright.hydraulics.conduit import Conduit
from drainwright.hydraulics.line_surface import graded_steps
from drainwright.hydraulics.water_surface import water_surface

ROUNDS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Parting:
    """How the water of a run goes to its two ends."""

    distance: float  # of the divide from the first end; 0 or the length where all goes one way [m]
    level: float  # of the water at the divide [m]
    first: float  # flow out at the first end [m³/s]
    second: float  # flow out at the second end [m³/s]


def parting(
    section: Conduit,
    distances: Sequence[float],
    inverts: Sequence[float],
    inflow: float,
    roughness: float,
    first_level: float,
    second_level: float,
) -> Parting:
    """Part the water that enters evenly along a run between its two ends.

    Parameters
    ----------
    section : Conduit
        The pipe.
    distances : sequence of float
        Places where the invert is known, from the first end on, rising. [m]
    inverts : sequence of float
        There, straight between them. [m]
    inflow : float
        Flow that enters along the run, above zero. [m³/s]
    roughness : float
        Manning n. [s/m^(1/3)]
    first_level, second_level : float
        Water levels at the ends. [m]

    Returns
    -------
    Parting
        The divide is where the surfaces walked up from both ends meet at one level.

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> from drainwright.hydraulics.conduit import RoundPipe
    >>> half = parting(RoundPipe(diameter=0.1), (0.0, 20.0), (0.0, 0.0), 0.002, 0.011, 0.05, 0.05)
    >>> round(half.distance, 2), round(half.first, 4)
    (10.0, 0.001)
    """
    if not inflow > 0.0:
        raise InputError(f"inflow = {inflow!r}: expected above zero")
    length = distances[-1] - distances[0]

    def level(divide: float, towards_first: bool) -> float:
        """Level at the divide of the surface walked up from one end."""
        part = divide if towards_first else length - divide
        end = first_level if towards_first else second_level
        size = section.crown if np.isfinite(section.crown) else 1.0
        if part < 1e-6:
            here = distances[0] if towards_first else distances[-1]
            return max(end, float(np.interp(here, distances, inverts)))
        edge = distances[0] if towards_first else distances[-1]
        sign = 1.0 if towards_first else -1.0
        places = graded_steps((0.0, part), size)
        bed = [float(np.interp(edge + sign * (part - place), distances, inverts)) for place in places]
        flows = [inflow / length * place for place in places]
        return water_surface(section, places, bed, flows, roughness, end).level_up

    if level(length, True) <= second_level:  # even all of it stands lower there than the water at the second end
        return Parting(distance=length, level=level(length, True), first=inflow, second=0.0)
    if level(0.0, False) <= first_level:
        return Parting(distance=0.0, level=level(0.0, False), first=0.0, second=inflow)
    low, high = 0.0, length
    for _ in range(ROUNDS):
        middle = 0.5 * (low + high)
        if level(middle, True) < level(middle, False):
            low = middle
        else:
            high = middle
        if high - low < 1e-4 * length:
            break
    divide = 0.5 * (low + high)
    return Parting(
        distance=divide,
        level=0.5 * (level(divide, True) + level(divide, False)),
        first=inflow * divide / length,
        second=inflow * (1.0 - divide / length),
    )


__all__ = ["Parting", "parting"]
