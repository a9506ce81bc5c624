"""How well the ground's level is known between the shots: kriging with a linear variogram about a plane drift."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError
from drainwright.field.terrain_model import Array
from drainwright.worksheet import Card, catalogued

LEAST_SHOTS = 6  # three fix a plane: fewer than three more say little of how rough the ground is about it
MOST_SHOTS = 400  # taken into one system


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Doubt:
    """Errors of the level at some places, as the shots leave them; ``with_shot`` adds one more."""

    covariance: Array  # of the errors, shape (k, k) [m²]
    reading: float  # standard error of a shot's level [m]

    @property
    def errors(self) -> Array:
        """Standard errors of the level, shape (k,). [m]"""
        return np.sqrt(np.maximum(np.diag(self.covariance), 0.0))

    def with_shot(self, number: int) -> Doubt:
        """The errors when a shot has been taken at one of the places."""
        with_it = self.covariance[:, number]
        total = with_it[number] + self.reading**2
        if total <= 0.0:
            return self
        return Doubt(covariance=self.covariance - np.outer(with_it, with_it) / total, reading=self.reading)

    def gains(self, weights: Array) -> Array:
        """By how much a shot at each place lessens the weighted sum of all standard errors, shape (k,)."""
        now = np.diag(self.covariance)
        totals = now + self.reading**2
        safe = np.where(totals > 0.0, totals, 1.0)
        after = np.maximum(now[:, None] - self.covariance**2 / safe, 0.0)
        gains: Array = weights @ (np.sqrt(np.maximum(now, 0.0))[:, None] - np.sqrt(after))
        return gains


def _system(plan: Array) -> tuple[Array, float, Array]:
    """Inverse of the kriging system in coordinates of about one, their scale, and their origin. [m]"""
    origin = plan.mean(axis=0)
    scale = float(np.abs(plan - origin).max())
    at = (plan - origin) / scale
    count = len(at)
    whole = np.zeros((count + 3, count + 3))
    whole[:count, :count] = -np.linalg.norm(at[:, None] - at, axis=2)
    whole[:count, count:] = drift = np.column_stack([np.ones(count), at])
    whole[count:, :count] = drift.T
    return np.asarray(np.linalg.inv(whole), dtype=np.float64), scale, np.asarray(origin, dtype=np.float64)


@catalogued(
    Card(
        title="Roughness of the ground",
        symbol="r",
        expression="each shot is foretold from all others by kriging about a plane, with a linear variogram; the "
        "mean of the squared misses, each over its variance per unit of the variogram, is the square",
        units={"plan": "m", "levels": "m", "result": "m^0.5"},
        source="kriging",
        expression_kind="procedure",
    )
)
def roughness(plan: Array, levels: Array) -> float:
    """How far the ground strays from the surface between shots, from leaving out each shot in turn.

    Parameters
    ----------
    plan : Array
        East and north of the shots, shape (n, 2); no two at one place, not all in one line. [m]
    levels : Array
        Shape (n,). [m]

    Returns
    -------
    float
        Standard deviation of the level half way between two shots far from all others, per square root of the
        distance to either.
        The variogram is its square times the distance. A plane gives zero. [m^0.5]

    Raises
    ------
    InputError
        If there are fewer than six shots.

    Notes
    -----
    All misses come from one inverse (Dubrule 1983), and the mean of their squares over their variances is made one.
    A wrong reading, a kerb or a retaining wall makes the whole lot look rougher than it is.
    """
    if len(plan) < LEAST_SHOTS:
        raise InputError(f"shots = {len(plan)}: expected {LEAST_SHOTS} or more")
    inverse, scale, _ = _system(plan)
    within = inverse[: len(plan), : len(plan)]
    own = np.diag(within)
    miss = within @ (levels - levels.mean()) / own
    squares = miss**2 * own / scale
    return float(np.sqrt(squares.mean()))


def doubt(plan: Array, rough: float, places: Array, reading: float) -> Doubt:
    """Errors of the ground's level at places between the shots.

    Parameters
    ----------
    plan : Array
        East and north of the shots, shape (n, 2). [m]
    rough : float
        As ``roughness`` gives it. [m^0.5]
    places : Array
        Shape (k, 2). [m]
    reading : float
        Standard error of a shot. [m]

    Returns
    -------
    Doubt
        Zero at a shot but for rounding. The shots' own reading errors are left out: they are small beside the gaps.
    """
    inverse, scale, origin = _system(plan)
    at, shots = (places - origin) / scale, (plan - origin) / scale
    count = len(at)
    right = np.vstack([-np.linalg.norm(shots[:, None] - at, axis=2), np.ones(count), at.T])
    between = -np.linalg.norm(at[:, None] - at, axis=2)
    covariance = rough**2 * scale * (between - right.T @ inverse @ right)
    return Doubt(covariance=0.5 * (covariance + covariance.T), reading=reading)


__all__ = ["LEAST_SHOTS", "MOST_SHOTS", "Doubt", "doubt", "roughness"]
