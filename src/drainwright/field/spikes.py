"""Lone spikes and holes of ground shots: a bust of the rod height or of the pen in a file of hundreds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.field.words import Units
from drainwright.quantities import write

Array = NDArray[np.float64]

AROUND = 8  # shots by whose plane one is judged
STEPS = 12  # of the fit of least absolute residuals
FLOOR = 0.02  # no ground is taken for smoother than this [m]
LEAST = 0.15  # lower spikes and shallower holes are ground: half a foot; common practice, no source [m]
TIMES = 6.0  # local roughnesses from which a shot stands out; common practice, no source [-]
BEYOND = 0.2  # ... if it tops (or undercuts) every neighbour by this part of that: the foot of a terrace does not [-]
MOST = 5  # told of one set
FLAT = 0.02  # a slope is held near level by this much where the shots round it lie in one line [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spike:
    """A shot far above (or, negative, below) the plane of those round it."""

    number: int  # of the shot
    off: float  # [m]
    times: float  # how many local roughnesses that is [-]


def lone_spikes(plan: Array, levels: Array, most: int = MOST) -> tuple[Spike, ...]:
    """Find the shots that stand out alone from the plane of their neighbours.

    Parameters
    ----------
    plan : Array
        East and north, shape (n, 2). [m]
    levels : Array
        Shape (n,). [m]
    most : int
        Not more than these are sought.

    Returns
    -------
    tuple of Spike
        The one that stands out most first; each is left out before the next is sought.

    Notes
    -----
    The plane through the ``AROUND`` nearest shots is that of least absolute residuals, which one wrong neighbour does
    not move. The scale is the median of the neighbours' own residuals (times 1.4826, as of a normal spread), wider
    where the shot lies beyond them.
    """
    left = np.arange(len(levels))
    found: list[Spike] = []
    while len(left) > 2 * AROUND and len(found) < most:
        off, times = _stand_out(plan[left], levels[left])
        times[np.abs(off) < LEAST] = 0.0
        one = int(np.argmax(np.abs(times)))
        if abs(times[one]) <= TIMES:
            break
        found.append(Spike(number=int(left[one]), off=float(off[one]), times=float(abs(times[one]))))
        left = np.delete(left, one)
    return tuple(found)


def _stand_out(plan: Array, levels: Array) -> tuple[Array, Array]:
    """Of each shot the height over its neighbours' plane (0 where it does not top them all), that in roughnesses."""
    from scipy.spatial import cKDTree

    near = np.asarray(cKDTree(plan).query(plan, k=AROUND + 1)[1], dtype=np.intp)
    own = near == np.arange(len(levels))[:, None]
    own[~own.any(axis=1), -1] = True  # several shots at one place
    near = near[~own].reshape(len(levels), AROUND)
    away = plan[near] - plan[:, None]
    reach = np.maximum(np.linalg.norm(away, axis=2).max(axis=1), 1e-6)
    design = np.concatenate([np.ones((*near.shape, 1)), away / reach[:, None, None]], axis=2)
    height = levels[near] - np.median(levels[near], axis=1)[:, None]
    weight = np.ones(near.shape)
    held = np.diag([0.0, FLAT, FLAT])
    for _ in range(STEPS):
        normal = np.einsum("nki,nk,nkj->nij", design, weight, design)
        normal += held * weight.sum(axis=1)[:, None, None] / AROUND
        fit = np.linalg.solve(normal, np.einsum("nki,nk,nk->ni", design, weight, height)[..., None])[..., 0]
        gaps = height - np.einsum("nki,ni->nk", design, fit)
        weight = 1.0 / np.maximum(np.abs(gaps), 0.1 * FLOOR)
    beyond = np.linalg.inv(np.einsum("nki,nkj->nij", design, design) + held)[:, 0, 0]
    off = levels - np.median(levels[near], axis=1) - fit[:, 0]
    rough = np.maximum(1.4826 * np.median(np.abs(off)[near], axis=1), FLOOR)
    over, under = levels - levels[near].max(axis=1), levels[near].min(axis=1) - levels
    alone = np.where(np.where(off > 0.0, over, under) > BEYOND * np.abs(off), off, 0.0)
    return alone, alone / (rough * np.sqrt(1.0 + beyond))


def spike_notes(names: Sequence[str], plan: Array, levels: Array, units: Units) -> tuple[list[str], tuple[int, ...]]:
    """Notes on the lone spikes and holes of some shots, and their numbers.

    Parameters
    ----------
    names : sequence of str
        Of the shots.
    plan, levels : Array
        Shapes (n, 2) and (n,). [m]
    units : {"US", "SI"}
        Of the notes.

    Returns
    -------
    tuple
        One note for each, at most ``MOST``, and one more that says so where there are more.
    """
    spikes = lone_spikes(plan, levels, MOST + 1)
    notes = []
    for spike in spikes[:MOST]:
        height = write(abs(spike.off), "length", units, "ft" if units == "US" else "m", 1 if units == "US" else 2)
        notes.append(
            f"{names[spike.number]}, at {_at(plan[spike.number], units)}, stands alone {height} "
            f"{'above' if spike.off > 0.0 else 'below'} the ground of the shots round it: look whether it is ground, "
            "and whether its rod height and level were booked rightly."
        )
    if len(spikes) > MOST:
        notes.append(f"More shots than these {MOST} stand alone above or below the ground round them.")
    return notes, tuple(spike.number for spike in spikes)


def _at(place: Array, units: Units) -> str:
    unit = "ft" if units == "US" else "m"
    east, north = (write(value, "length", units, unit, 1) for value in place.tolist())
    return f"{east} east, {north} north"


__all__ = ["Spike", "lone_spikes", "spike_notes"]
