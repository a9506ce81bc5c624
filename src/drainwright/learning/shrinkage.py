"""How far one job moves a rate: between what the book says and what was seen, by how sure each is.

A rate is log-normal. The firm's middle rate has the prior N(ln book, unsure²); a job's own rate scatters round it by
``spread``, and what was noted of the job by ``noise``. With one rate to a task that is the normal mean with known
variance: weight w = unsure² / (unsure² + spread² + noise²), ln after = ln before + w (ln observed - ln before), and
unsure after = unsure √(1 - w). A task that hangs on several rates is shared out among them by its hours' elasticities,
all tasks of a job at once; what ties the rates together afterwards is dropped, so that only there the order of jobs
shows, a little.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError, require

SOURCE = "gelman_bda"
SPREAD = 0.25  # between jobs, where the book gives none: assumed; ranges told of a rate are often 1 to 2
UNSURE = 0.30  # of a book's value, where it gives none: assumed
LEAST = 0.01  # a weight below this moves nothing [-]
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
    parts = (share**2 * (beliefs[key].unsure ** 2 + beliefs[key].spread ** 2) for key, share in seen.hangs_on.items())
    return math.sqrt(math.fsum(parts) + seen.noise**2)


def surprise(beliefs: Mapping[str, Belief], seen: Seen) -> float:
    """How many standard deviations a task lies from what was expected; slower is positive. [-]"""
    return seen.slower_by / expected_scatter(beliefs, seen)


def shrink(beliefs: Mapping[str, Belief], tasks: Sequence[Seen]) -> tuple[Moved, ...]:
    """Rates after one job.

    Parameters
    ----------
    beliefs : mapping of str to Belief
        By key; those that no task hangs on are left out of the result.
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
        If a value, spread, error or number of hours is not above zero, or a task hangs on a rate that is not there.

    Notes
    -----
    y = H (δ + ε) + e with δ ~ N(0, unsure²) the book's error in ln hours a unit, ε ~ N(0, spread²) the job's own, e the
    noise. K = P Hᵀ (H P Hᵀ + H T Hᵀ + R)⁻¹; δ after = K y; P after = P - K H P, its diagonal kept. The weight is 1 less
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
    keys = [key for key in beliefs if any(seen.hangs_on.get(key) for seen in tasks)]
    if not keys:
        return ()
    held = [beliefs[key] for key in keys]
    for one in held:
        require("above zero", np.greater, value=one.value, unsure=one.unsure, spread=one.spread)
    on = np.array([[seen.hangs_on.get(key, 0.0) for key in keys] for seen in tasks])
    prior = np.array([one.unsure**2 for one in held])
    between = np.array([one.spread**2 for one in held])
    noise = np.array([seen.noise**2 for seen in tasks])
    scatter = (on * (prior + between)) @ on.T + np.diag(noise)
    gain: NDArray[np.float64] = np.linalg.solve(scatter, on * prior).T
    moved = gain @ np.array([seen.slower_by for seen in tasks])
    weights = np.clip(np.einsum("kt,tk->k", gain, on), 0.0, 1.0)
    return tuple(
        _moved(one, float(shift), float(weight)) for one, shift, weight in zip(held, moved, weights, strict=True)
    )


def _moved(before: Belief, shift: float, weight: float) -> Moved:
    """A belief moved by a shift of its logarithm of hours a unit."""
    after = Belief(
        key=before.key, value=before.value * math.exp(before.slower * shift), slower=before.slower,
        unsure=before.unsure * math.sqrt(1.0 - weight), spread=before.spread,
    )  # fmt: skip
    observed = before.value * math.exp(before.slower * shift / weight) if weight > 0 else before.value
    return Moved(before=before, after=after, observed=observed, weight=weight)


__all__ = [
    "EIGHTY", "FAR", "LEAST", "SOURCE", "SPREAD", "UNSURE", "Belief", "Moved", "Seen", "expected_scatter", "shrink",
    "surprise",
]  # fmt: skip
