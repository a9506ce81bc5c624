"""Rod readings as one network: heights of instrument and levels adjusted together by least squares."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from drainwright.errors import InputError

Column = Literal["backsight", "intermediate", "foresight"]

ASSUMED_SIGHT = 15.24  # length of a sight that the book leaves out: 50 ft, common practice, no source [m]
SHORTEST = 3.048  # a shorter sight is read no better than one of 10 ft; common practice, no source [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class RodReading:
    """One reading of the rod."""

    row: int  # of the book, from 0
    column: Column
    set_up: int  # from 0, in the order of the book
    point: str
    value: float  # [m]
    error: float  # standard error, before the adjustment [m]

    @property
    def where(self) -> str:
        """Path in the job."""
        return f"survey.level_book[{self.row}]"


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelFit:
    """The network adjusted. Standard errors follow those given with the readings."""

    levels: Mapping[str, float]  # of every point read, and of the fixed ones [m]
    errors: Mapping[str, float]  # standard errors of the levels; 0 of a fixed one [m]
    instruments: tuple[float, ...]  # heights of instrument, by set-up [m]
    residuals: tuple[float, ...]  # adjusted less read, by reading [m]
    shares: tuple[float, ...]  # redundancy of each reading, 0 (nothing checks it) to 1 [-]
    redundancy: int  # readings less unknowns
    misfit: float  # sum of squared residuals over squared standard errors [-]

    @property
    def variance_factor(self) -> float | None:
        """Misfit over redundancy; None where nothing checks anything [-]."""
        return self.misfit / self.redundancy if self.redundancy else None


def sight_error(rod_accuracy: float, length: float | None) -> float:
    """Standard error of a reading by the length of its sight.

    Parameters
    ----------
    rod_accuracy : float
        Standard error of one reading at ``ASSUMED_SIGHT``. [m]
    length : float or None
        Of the sight; None counts as ``ASSUMED_SIGHT``, less than ``SHORTEST`` as that. [m]

    Returns
    -------
    float
        Its square grows with the length: what lies behind sharing a misclosure by distance, as any
        adjustment text has it (from memory). [m]
    """
    if length is None:
        return rod_accuracy
    return rod_accuracy * math.sqrt(max(length, SHORTEST) / ASSUMED_SIGHT)


def adjust_levels(readings: Sequence[RodReading], fixed: Mapping[str, float]) -> LevelFit:
    """Adjust all readings together: each is a height of instrument less a level.

    Parameters
    ----------
    readings : sequence of RodReading
        Of any number of set-ups, numbered from 0 without a gap.
    fixed : mapping
        Levels that are held, by name. [m]

    Returns
    -------
    LevelFit
        Most likely levels under normal errors.

    Raises
    ------
    InputError
        If a set-up does not hang together with a fixed point, or a standard error is not above 0.

    Notes
    -----
    A point that is read only once checks nothing: it is left out of the normal equations and hung from its set-up
    afterwards, which comes to the same.
    """
    count = 1 + max((one.set_up for one in readings), default=-1)
    _refuse(readings, fixed, count)
    times = Counter(one.point for one in readings)
    shared = sorted(name for name, number in times.items() if number > 1 and name not in fixed)
    column = {name: count + n for n, name in enumerate(shared)}
    datum = sum(fixed.values()) / len(fixed) if fixed else 0.0  # taken off, against lost digits
    inner = [one for one in readings if one.point in fixed or one.point in column]

    design, right = np.zeros((len(inner), count + len(shared))), np.zeros(len(inner))
    for n, one in enumerate(inner):
        design[n, one.set_up] = 1.0 / one.error
        if one.point in column:
            design[n, column[one.point]] = -1.0 / one.error
        right[n] = (one.value + (fixed[one.point] - datum if one.point in fixed else 0.0)) / one.error
    cofactor = np.linalg.inv(design.T @ design)
    solved = cofactor @ (design.T @ right)
    solved += cofactor @ (design.T @ (right - design @ solved))  # one refinement
    swing = np.einsum("ij,jk,ik->i", design, cofactor, design)

    levels, errors = dict(fixed), dict.fromkeys(fixed, 0.0)
    for name, n in column.items():
        levels[name], errors[name] = datum + float(solved[n]), math.sqrt(cofactor[n, n])
    for one in readings:
        if one.point not in levels:
            levels[one.point] = datum + float(solved[one.set_up]) - one.value
            errors[one.point] = math.hypot(math.sqrt(cofactor[one.set_up, one.set_up]), one.error)
    residuals = [datum + float(solved[one.set_up]) - levels[one.point] - one.value for one in readings]
    share = dict(zip(map(id, inner), 1.0 - swing, strict=True))
    return LevelFit(
        levels=levels,
        errors=errors,
        instruments=tuple(datum + float(height) for height in solved[:count]),
        residuals=tuple(residuals),
        shares=tuple(max(float(share.get(id(one), 0.0)), 0.0) for one in readings),
        redundancy=len(inner) - count - len(shared),
        misfit=sum((residual / one.error) ** 2 for residual, one in zip(residuals, readings, strict=True)),
    )


def _refuse(readings: Sequence[RodReading], fixed: Mapping[str, float], count: int) -> None:
    """Refuse a network that is not held."""
    at: dict[int, set[str]] = {number: set() for number in range(count)}
    for one in readings:
        if not (math.isfinite(one.value) and math.isfinite(one.error) and one.error > 0.0):
            raise InputError(
                f"reading on {one.point} = {one.value!r} ± {one.error!r}: expected finite numbers, error above 0"
            )
        at[one.set_up].add(one.point)
    held, waiting = set(fixed), set(range(count))
    while hung := {number for number in waiting if at[number] & held}:
        waiting -= hung
        held |= {name for number in hung for name in at[number]}
    if waiting:
        raise InputError(f"set-up = {min(waiting)}: expected every set-up to hang together with a fixed point")


__all__ = ["ASSUMED_SIGHT", "SHORTEST", "Column", "LevelFit", "RodReading", "adjust_levels", "sight_error"]
