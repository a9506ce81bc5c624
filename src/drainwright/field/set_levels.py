"""Shots that others measured, held against those of the level book: their datum, their place, their busts."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.field.level_network import RodReading
from drainwright.field.model import Plan, SetLevels, SitePoint
from drainwright.field.shot_sets import Row
from drainwright.field.spikes import spike_notes
from drainwright.field.words import Units
from drainwright.job.model import Job
from drainwright.quantities import write

Array = NDArray[np.float64]

# Ground shots of two surveys, in grass, differ by a tenth or two of a foot; common practice, no source.
AGREES, OFF = 0.05, 0.15  # a set whose middle is off by more is doubtful, or on another datum [m]
LONGEST_SIDE = 15.0  # of a triangle of the set that a level is read off [m]
BESIDE = 1.0  # beyond the set's triangles a shot so near stands for the place [m]
ODD, ODD_TIMES = 0.2, 6.0  # a levelled shot off the rest by more, and by so many spreads, is told [m, -]
FEWEST, MOST = 6, 5  # levelled shots from which such are sought, and shots told of one set
ERROR = 0.015  # standard error of a shot on the ground: half a tenth of a foot; common practice, no source [m]
NEIGHBOURS = 8.0  # a levelled shot has its neighbours in the set within this [m]
QUARTERS = 4  # ... the nearest in each quarter of the compass
STANDS = 10_000  # set-ups of sets are numbered from here, next to none of the book's


@dataclass(frozen=True, slots=True, kw_only=True)
class SetChecks:
    """What the shot sets show when they are held against the levelled shots."""

    levels: tuple[SetLevels, ...]  # by set
    neighbours: tuple[RodReading, ...]  # shots of the sets near levelled ones, as readings below row 0
    places: Mapping[str, Plan]  # of those [m]
    notes: tuple[str, ...]


def check_sets(
    job: Job, shots: Sequence[SitePoint], others: Sequence[Row], on_ground: Collection[str], units: Units
) -> SetChecks:
    """Hold every shot set against the levelled shots that it overlaps, and seek its busts.

    Parameters
    ----------
    job : Job
        Its ``shot_sets`` tell names.
    shots : sequence of SitePoint
        The levelled ground shots, with a place and a level each.
    others : sequence of Row
        The shots of the sets, in place, as from ``shots_in_place``.
    on_ground : collection of str
        Names of the shots that the surface holds.
    units : {"US", "SI"}
        Of the notes.

    Returns
    -------
    SetChecks
        Levels compared, trusted neighbours for the search of slips, notes.

    Notes
    -----
    The neighbours are readings of a stand of their own, whose height is not known: a set on another datum accuses no
    reading of the book, and only its shape counts. Lone spikes and holes are no neighbours.
    """
    levels, readings, notes = [], [], []
    places: dict[str, Plan] = {}
    for number, group in enumerate(job.survey.shot_sets):
        rows = [row for row in others if row[0].rpartition(" ")[0] == group.name]
        plan, heights = np.array([at for _, at, _ in rows]).reshape(-1, 2), np.array([level for _, _, level in rows])
        told, busts = spike_notes([name for name, _, _ in rows], plan, heights, units)
        sound = np.ones(len(rows), dtype=bool)
        sound[list(busts)] = False
        one = _compared(f"survey.shot_sets[{number}]", group.name, plan[sound], heights[sound], shots)
        levels.append(one)
        notes += [_note(one, units), *_odd_notes(one, units), *told]
        if len(group.known) == 2:
            notes.append(
                f"{group.name} hangs on two known places: nothing but their distance apart checks them. Add a third."
            )
        usable = sound & np.array([name in on_ground for name, _, _ in rows], dtype=bool)
        for n in _near(plan, usable, shots):
            name, at, level = rows[n]
            places[name] = at
            readings.append(RodReading(row=-1, column="intermediate", set_up=STANDS + 2 * number, point=name,
                                       value=float(heights.mean()) - level, error=ERROR))  # fmt: skip
    return SetChecks(levels=tuple(levels), neighbours=tuple(readings), places=places, notes=tuple(notes))


def _compared(where: str, name: str, plan: Array, levels: Array, shots: Sequence[SitePoint]) -> SetLevels:
    """Level of the set less that of each levelled shot that it surrounds or stands next to."""
    known = [shot for shot in shots if shot.level is not None]
    off = _set_less_own(plan, levels, known)
    seen = np.isfinite(off)
    if not seen.any():
        return SetLevels(where=where, name=name, compared=0, off=0.0, spread=0.0)
    middle = float(np.median(off[seen]))
    spread = 1.4826 * float(np.median(np.abs(off[seen] - middle)))
    most = max(ODD, ODD_TIMES * spread)
    odd = [
        (shot.name, middle - float(one)) for shot, one in zip(known, off, strict=True) if abs(one - middle) > most
    ] if seen.sum() >= FEWEST else []  # fmt: skip
    odd.sort(key=lambda one: -abs(one[1]))
    return SetLevels(where=where, name=name, compared=int(seen.sum()), off=middle, spread=spread, odd=tuple(odd[:MOST]))


def _set_less_own(plan: Array, levels: Array, shots: Sequence[SitePoint]) -> Array:
    """By levelled shot; NaN where the set says nothing. [m]"""
    from scipy.spatial import Delaunay, QhullError, cKDTree

    own = np.array([(shot.east, shot.north, shot.level) for shot in shots], dtype=np.float64).reshape(-1, 3)
    if not len(own) or not len(plan):
        return np.full(len(own), np.nan)
    away, nearest = cKDTree(plan).query(own[:, :2])
    read = np.where(away <= BESIDE, levels[nearest], np.nan)
    try:
        mesh = Delaunay(plan - plan.mean(axis=0))
    except (QhullError, ValueError):  # too few, or all in one line
        mesh = None
    if mesh is not None:
        at = own[:, :2] - plan.mean(axis=0)
        home = mesh.find_simplex(at)
        corners = mesh.simplices[home]
        sides = np.linalg.norm(mesh.points[corners] - mesh.points[np.roll(corners, 1, axis=1)], axis=2)
        good = (home >= 0) & (sides.max(axis=1) <= LONGEST_SIDE)
        part = np.einsum("nij,nj->ni", mesh.transform[home, :2], at - mesh.transform[home, 2])
        share = np.column_stack([part, 1.0 - part.sum(axis=1)])
        read[good] = np.sum(share * levels[corners], axis=1)[good]
    off: Array = read - own[:, 2]
    return off


def _note(one: SetLevels, units: Units) -> str:
    if not one.compared:
        return f"Nothing ties the levels of {one.name} to your benchmark: none of your levelled shots lies among them."
    apart, spread = _small(one.off, units), _small(one.spread, units)
    if abs(one.off) <= AGREES and one.spread <= OFF:
        return (
            f"{one.name} agrees with {one.compared} of your shots to {apart} in the middle; they scatter by {spread}."
        )
    return (
        f"{one.name} lies {apart} {'above' if one.off > 0.0 else 'below'} your levels, in the middle of "
        f"{one.compared} differences that scatter by {spread}."
    )


def _odd_notes(one: SetLevels, units: Units) -> list[str]:
    return [
        f"{name} lies {_small(off, units)} {'above' if off > 0.0 else 'below'} the ground that {one.name} shows there, "
        "where your other shots agree with it: read the rod there again, and look at its place in plan."
        for name, off in one.odd
    ]


def _small(value: float, units: Units) -> str:
    return write(abs(value), "length", units, *(("ft", 2) if units == "US" else ("m", 3)))


def _near(plan: Array, usable: NDArray[np.bool_], shots: Sequence[SitePoint]) -> list[int]:
    """The nearest shots of the set round each levelled shot, one in each quarter of the compass."""
    found: set[int] = set()
    numbers = np.flatnonzero(usable)
    for shot in shots:
        away = plan[numbers] - (shot.east, shot.north)
        far = np.hypot(*away.T)
        quarter = np.floor(np.arctan2(away[:, 1], away[:, 0]) / (2.0 * math.pi / QUARTERS)).astype(int) % QUARTERS
        for one in range(QUARTERS):
            some = np.flatnonzero((quarter == one) & (far <= NEIGHBOURS))
            if len(some):
                found.add(int(numbers[some[np.argmin(far[some])]]))
    return sorted(found)


__all__ = ["AGREES", "OFF", "SetChecks", "check_sets"]
