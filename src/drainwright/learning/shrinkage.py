"""How far one job moves a rate: between what the book says and what was seen, by how sure each is.

A rate is log-normal. The firm's middle rate has the prior N(ln book, unsure²); a job's own rate scatters round it by
``spread``, and what was noted of the job by ``noise``. With one rate to a task that is the normal mean with known
variance: weight w = unsure² / (unsure² + spread² + noise²), ln after = ln before + w (ln observed - ln before), and
unsure after = unsure √(1 - w). A task that hangs on several rates is shared out among them by its hours' elasticities,
all tasks of a job at once. Afterwards those rates are tied: if one is faster than thought the other is slower, and the
next job must know. The ties are kept beside the rates: without them the interval of eight cases in ten held the truth
in seven only.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError, require

Matrix: TypeAlias = NDArray[np.float64]

SOURCE = "gelman_bda"
SPREAD = 0.25  # between jobs, where the book gives none: assumed; ranges told of a rate are often 1 to 2
UNSURE = 0.30  # of a book's value, where it gives none: assumed
LEAST = 0.01  # a weight below this moves nothing, a tie below it is none [-]
FAR = 3.0  # standard deviations from what was expected, beyond which a task is not taken
EIGHTY = 1.2815515655446004  # standard normal quantile of 90 %: an interval of 80 %


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """What is held of a rate before a job."""

    key: str
    value: float  # in the rate's unit, above zero
    slower: int  # 1: a greater value takes more hours ("h/each", "times"); -1: fewer ("yd³/h")
    unsure: float = UNSURE  # relative standard error of the value [-]
    spread: float = SPREAD  # relative standard deviation between jobs [-]
    tied: Mapping[str, float] = field(
        default_factory=dict
    )  # correlation of what both are off, in hours a unit, by rate [-]

    @property
    def band(self) -> tuple[float, float]:
        """Between which the firm's middle rate lies in eight cases of ten."""
        wide = math.exp(EIGHTY * self.unsure)
        return self.value / wide, self.value * wide


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What was seen of one task."""

    task: str
    planned: float  # hours, by the book's rates
    hours: float  # hours taken
    done: float  # work done over work planned [-]
    hangs_on: Mapping[
        str, float
    ]  # elasticity of the planned hours in hours a unit, by rate: 1 where it is the only one
    noise: float  # standard error of what was noted, relative [-]

    @property
    def slower_by(self) -> float:
        """Natural logarithm of hours taken over hours planned for what was done."""
        return math.log(self.hours / (self.done * self.planned))


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A rate after a job."""

    before: Belief
    after: Belief
    observed: float  # the rate that would alone explain what was seen, in its unit
    weight: float  # of ``observed`` in the logarithm of the value after, 0 to 1 [-]


def expected_scatter(beliefs: Mapping[str, Belief], seen: Seen) -> float:
    """Standard deviation of ``slower_by`` before the job was seen. [-]"""
    held = [beliefs[key] for key in seen.hangs_on]
    on = np.array(list(seen.hangs_on.values()))
    between = np.diag([one.spread**2 for one in held])
    return math.sqrt(float(on @ (_covariance(held) + between) @ on) + seen.noise**2)


def surprise(beliefs: Mapping[str, Belief], seen: Seen) -> float:
    """How many standard deviations a task lies from what was expected; slower is positive. [-]"""
    return seen.slower_by / expected_scatter(beliefs, seen)


def shrink(beliefs: Mapping[str, Belief], tasks: Sequence[Seen]) -> tuple[Moved, ...]:
    """Rates after one job.

    Parameters
    ----------
    beliefs : mapping of str to Belief
        By key; those that no task hangs on, and that are tied to none that one does, are left out of the result.
    tasks : sequence of Seen
        Of one job: its own deviation from the firm's middle rate is shared by all tasks that hang on the rate.

    Returns
    -------
    tuple of Moved
        In the order of ``beliefs``. ``after.value`` lies between ``before.value`` and ``observed``, and is never
        less sure than before.

    Raises
    ------
    InputError
        If a value, spread, error or number of hours is not above zero, a task hangs on a rate that is not there, or
        ties cannot hold together.

    Notes
    -----
    y = H (δ + ε) + e with δ ~ N(0, P) the book's error in ln hours a unit, ε ~ N(0, spread²) the job's own, e the
    noise. K = P Hᵀ (H P Hᵀ + H T Hᵀ + R)⁻¹; δ after = K y; P after = P - K H P. The weight is 1 less
    the variance after over that before, and ``observed`` what that weight alone would take to the value after.

    References
    ----------
    .. [1] A. Gelman and others, Bayesian Data Analysis, 3rd ed., 2013, 2.5 (normal mean, known variance) and 3.5
       (many normals), from memory.

    Examples
    --------
    >>> before = Belief(key="dig.firm", value=0.75, slower=-1, unsure=0.3, spread=0.3)
    >>> seen = Seen(task="trench", planned=10.0, hours=15.0, done=1.0, hangs_on={"dig.firm": 1.0}, noise=0.05)
    >>> moved, = shrink({"dig.firm": before}, [seen])
    >>> round(moved.observed, 3), round(moved.after.value, 3), round(moved.weight, 2)
    (0.5, 0.614, 0.49)
    """
    for seen in tasks:
        require("above zero", np.greater, planned=seen.planned, hours=seen.hours, done=seen.done, noise=seen.noise)
        if absent := [key for key in seen.hangs_on if key not in beliefs]:
            raise InputError(f"hangs_on = {absent}: expected rates among the beliefs")
    keys = _reached(beliefs, tasks)
    if not keys:
        return ()
    held = [beliefs[key] for key in keys]
    for one in held:
        require("above zero", np.greater, value=one.value, unsure=one.unsure, spread=one.spread)
    on = np.array([[seen.hangs_on.get(key, 0.0) for key in keys] for seen in tasks])
    prior = _covariance(held)
    between = np.diag([one.spread**2 for one in held])
    noise = np.diag([seen.noise**2 for seen in tasks])
    scatter = on @ (prior + between) @ on.T + noise
    gain: Matrix = np.linalg.solve(scatter, on @ prior).T
    shifts = gain @ np.array([seen.slower_by for seen in tasks])
    after = prior - gain @ on @ prior
    weights = np.clip(1.0 - np.diag(after) / np.diag(prior), 0.0, 1.0)
    deviations = np.sqrt(np.diag(after))
    ties = after / np.outer(deviations, deviations)
    moved = []
    for number, (before, shift, weight) in enumerate(zip(held, shifts, weights, strict=True)):
        tied = {
            key: round(float(tie), 4)
            for other, (key, tie) in enumerate(zip(keys, ties[number], strict=True))
            if other != number and abs(tie) >= LEAST
        }
        moved.append(_moved(before, float(shift), float(weight), tied))
    return tuple(moved)


def _reached(beliefs: Mapping[str, Belief], tasks: Sequence[Seen]) -> list[str]:
    """The rates that tasks hang on, and those that are tied to them."""
    reached = {key for seen in tasks for key, share in seen.hangs_on.items() if share}
    fresh = set(reached)
    while fresh:
        fresh = {key for one in fresh for key in beliefs[one].tied if key in beliefs} - reached
        reached |= fresh
    return [key for key in beliefs if key in reached]


def _covariance(held: Sequence[Belief]) -> Matrix:
    """Of what the book's values are off, in ln hours a unit; a tie counts where both rates have it."""
    size = len(held)
    ties = np.eye(size)
    for a in range(size):
        for b in range(a):
            one, other = held[a].tied.get(held[b].key, 0.0), held[b].tied.get(held[a].key, 0.0)
            ties[a, b] = ties[b, a] = one if one == other else 0.0
    if size and np.linalg.eigvalsh(ties)[0] < -1e-3:
        raise InputError(f"tied = {[one.key for one in held]}: expected ties that can hold together; take them out")
    deviations = np.array([one.unsure for one in held])
    return ties * np.outer(deviations, deviations)


def _moved(before: Belief, shift: float, weight: float, tied: Mapping[str, float]) -> Moved:
    """A belief moved by a shift of its logarithm of hours a unit."""
    after = Belief(
        key=before.key, value=before.value * math.exp(before.slower * shift), slower=before.slower,
        unsure=before.unsure * math.sqrt(1.0 - weight), spread=before.spread, tied=tied,
    )  # fmt: skip
    observed = before.value * math.exp(before.slower * shift / weight) if weight > 0 else before.value
    return Moved(before=before, after=after, observed=observed, weight=weight)


__all__ = [
    "EIGHTY", "FAR", "LEAST", "SOURCE", "SPREAD", "UNSURE", "Belief", "Moved", "Seen", "expected_scatter", "shrink",
    "surprise",
]  # fmt: skip
