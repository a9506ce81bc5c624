"""Hang a file's frame on the job's by places known in both: turn and shift by least squares, in closed form."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drainwright.errors import InputError
from drainwright.quantities import System, write

Array = NDArray[np.float64]

SCALE_DOUBT = 1e-3  # a scale that differs from 1 by more is told
FAR = 0.15  # a residual (root mean square) above this is told; common practice, no source [m]
SHARE = 0.02  # ... or above this part of the places' spread, of pictures; common practice, no source [-]
MIRROR = 0.25  # a mirror image that leaves less than this part of the misfit is suspected [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Similarity:
    """Turn, scale and shift from a file's frame to the job's. ``of`` carries places over."""

    scale: float  # job's metres for one of the file [m or m/pixel]
    turn: float  # anticlockwise [rad]
    shift: tuple[float, float]  # where the file's zero comes to lie, east and north [m]
    flipped: bool  # a picture: its second number counts downwards
    residuals: tuple[float, ...]  # distance of each known place from where it comes to lie [m]
    notes: tuple[str, ...]

    @property
    def misfit(self) -> float:
        """Root mean square of the residuals [m]."""
        return math.sqrt(sum(value**2 for value in self.residuals) / len(self.residuals))

    def of(self, places: ArrayLike) -> Array:
        """Places of the file in the job's frame, shape (n, 2) or (2,). [m]"""
        at = np.asarray(places, dtype=np.float64) * ((1.0, -1.0) if self.flipped else (1.0, 1.0))
        cosine, sine = self.scale * math.cos(self.turn), self.scale * math.sin(self.turn)
        turned: Array = at @ np.array([[cosine, sine], [-sine, cosine]]) + np.array(self.shift)
        return turned


def hang(
    in_file: Sequence[tuple[float, float]],
    at: Sequence[tuple[float, float]],
    *,
    picture: bool = False,
    units: System = "SI",
) -> Similarity:
    """Find the turn and shift (of a picture the scale, too) that bring known places nearest to where they are.

    Parameters
    ----------
    in_file : sequence of pairs
        Two or more places as the file gives them, east and north (metres); of a picture pixels right and down.
    at : sequence of pairs
        The same places in the job. [m]
    picture : bool
        Whether the scale is free; measured shots keep theirs.
    units : {"US", "SI"}
        In which the notes tell lengths.

    Returns
    -------
    Similarity
        ``notes`` tell a scale that is not 1, large residuals, and places that fit better as in a mirror.

    Raises
    ------
    InputError
        If there are fewer than two places, or all lie at one place, in either frame.

    Notes
    -----
    The closed form of the plane similarity by least squares, as for the Helmert transformation; S. Umeyama,
    Least-squares estimation of transformation parameters between two point patterns, IEEE Trans. PAMI 13(4), 1991,
    eq. 40-43 (from memory).
    """
    source, target = np.array(in_file, dtype=np.float64), np.array(at, dtype=np.float64)
    if len(source) < 2 or source.shape != target.shape:
        raise InputError(f"known = {len(source)} and {len(target)} places: expected two or more, in both frames")
    if not (np.all(np.isfinite(source)) and np.all(np.isfinite(target))):
        raise InputError("known: expected finite numbers")
    if picture:
        source = source * (1.0, -1.0)
    mean, aim = source.mean(axis=0), target.mean(axis=0)
    away, goal = source - mean, target - aim
    spread, wanted = float(np.sum(away**2)), float(np.sum(goal**2))
    if spread <= 1e-12 * max(1.0, float(np.sum(mean**2))) or wanted <= 1e-8:
        raise InputError("known: all at one place; expected two places apart")
    along, across = _turns(away, goal)
    turn, free = math.atan2(across, along), math.hypot(along, across) / spread
    scale = free if picture else 1.0
    found = Similarity(
        scale=scale, turn=turn, shift=_shift(mean, aim, scale, turn), flipped=picture,
        residuals=(0.0,), notes=(),
    )  # fmt: skip
    missed = np.hypot(*(found.of(in_file) - target).T)
    residuals = tuple(float(value) for value in missed)
    misfit = math.sqrt(float(np.mean(missed**2)))
    reach = math.sqrt(wanted / len(target))
    notes = []

    def told(length: float) -> str:
        return write(length, "length", units, "ft" if units == "US" else "m", 2)

    if not picture and abs(free - 1.0) > SCALE_DOUBT:
        notes.append(
            f"the known places are {free:.4f} times as far apart in the job as in the file: "
            f"{_likely(free)}; the file's own scale is kept"
        )
    if len(target) > 2:
        mirror = _turns(away * (1.0, -1.0), goal)
        mirrored = wanted - _squared(mirror, spread, scale, picture)
        straight = wanted - _squared((along, across), spread, scale, picture)
        if straight > 1e-6 * wanted and mirrored < MIRROR * straight:
            way = "pixels down and right" if picture else "north and east"
            notes.append(f"the known places fit better as in a mirror: {way} may be swapped in the file")
    if misfit > (max(FAR, SHARE * reach) if picture else FAR):
        worst = int(np.argmax(missed))
        notes.append(
            f"the known places miss by {told(misfit)} (root mean square), the worst is number {worst + 1} "
            f"by {told(residuals[worst])}"
        )
    return Similarity(
        scale=scale, turn=turn, shift=found.shift, flipped=picture, residuals=residuals,
        notes=tuple(notes),
    )  # fmt: skip


def _turns(away: Array, goal: Array) -> tuple[float, float]:
    """Sums of the scalar and of the cross products: their ratio is the tangent of the best turn."""
    return float(np.sum(away * goal)), float(np.sum(away[:, 0] * goal[:, 1] - away[:, 1] * goal[:, 0]))


def _squared(turns: tuple[float, float], spread: float, scale: float, free: bool) -> float:
    """By how much the best turn lessens the sum of squares about the mean."""
    reach = math.hypot(*turns)
    return reach**2 / spread if free else 2.0 * scale * reach - scale**2 * spread


def _shift(mean: Array, aim: Array, scale: float, turn: float) -> tuple[float, float]:
    cosine, sine = scale * math.cos(turn), scale * math.sin(turn)
    return (
        float(aim[0] - cosine * mean[0] + sine * mean[1]),
        float(aim[1] - sine * mean[0] - cosine * mean[1]),
    )


def _likely(free: float) -> str:
    for factor, words in (
        (0.3048, "feet may have been read as metres"),
        (1 / 0.3048, "metres may have been read as feet"),
    ):
        if abs(free / factor - 1.0) < 0.02:
            return words
    return "check the known places, the unit, and a map grid's scale"


__all__ = ["Similarity", "hang"]
