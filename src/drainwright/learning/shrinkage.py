"""How far one job moves a rate: between what the book says and what was seen, by how sure each is.

A rate is log-normal. The firm's middle rate has the prior N(ln book, unsure²); a job's own rate scatters round it by
``spread``, and what was noted of the job by ``noise``. With one rate to a task that is the normal mean with known
variance: weight w = unsure² / (unsure² + spread² + noise²), ln after = ln before + w (ln observed - ln before), and
unsure after = unsure √(1 - w).

Hours of a task that hangs on several rates are one lump: they tell by which factor all of it took longer, not which
rate it was. Of what the book and the job are off, the part ``SHARED`` is taken to be common to the rates of a lump (the
crew, the ground, the way in), the rest each rate's own; a factor on hours (roots) has no part in it. So a lump moves
its rates together, by their shares of the planned hours and by how unsure each is. What tells them apart stays as
unsure as it was until one is noted by itself: ``unsure`` after is the greater of that with and without a common part.
Afterwards those rates are tied, and the next job must know; the ties are kept beside the rates, zeros too: a pair
without a tie has not met in a lump.

A rate that can only slow work down (``least`` of a factor: 1) is held there, and the others take what it leaves.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError, require

Matrix: TypeAlias = NDArray[np.float64]

SOURCE = "gelman_bda"
SPREAD = 0.25  # between jobs, where the book gives none: assumed; ranges told of a rate are often 1 to 2
UNSURE = 0.30  # of a book's value, where it gives none: assumed
ALONE = 0.005  # half a per cent: what a move is held to, to be told by its weight [-]
SHARED = 0.4  # part of what book and job are off that is common to the rates of a lump: assumed [-]
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
    least: float = 0.0  # below which no value can lie: 1 of a factor on hours

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
    observed: float  # the rate that the hours of its tasks show, were all their rates off by one factor, in its unit
    weight: float  # 1 less the variance after over that before: of a rate noted by itself, how far it moves, 0 to 1 [-]
    held: bool = False  # at ``least``, below which the hours alone would have it
    alone: bool = True  # it moved by ``weight`` towards ``observed``: no other rate had a part in it


def expected_scatter(beliefs: Mapping[str, Belief], seen: Seen) -> float:
    """Standard deviation of ``slower_by`` before the job was seen. [-]"""
    held = [beliefs[key] for key in seen.hangs_on]
    on = np.array(list(seen.hangs_on.values()))
    met = _met(held, on[None, :])
    return math.sqrt(float(on @ (_covariance(held, met) + _between(held, met)) @ on) + seen.noise**2)


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
        In the order of ``beliefs``. Of a rate noted by itself ``after.value`` lies between ``before.value`` and
        ``observed``; none is less sure than before.

    Raises
    ------
    InputError
        If a value, spread, error or number of hours is not above zero, a task hangs on a rate that is not there, or
        ties cannot hold together.

    Notes
    -----
    y = H (δ + ε) + e with δ ~ N(0, P) the book's error in ln hours a unit, ε ~ N(0, T) the job's own, e the
    noise. K = P Hᵀ (H P Hᵀ + H T Hᵀ + R)⁻¹; δ after = K y; P after = P - K H P. P and T have the correlation ``SHARED``
    between rates that meet in a lump of this job and in none before, and P that of the ties between those that have.
    A value beyond ``least`` is put there and the others where the normal of δ after has them then (the conditional
    mean); how unsure they are is left as without it. Were the rates off each by itself, with P and T of the ties alone,
    the same K would leave (I - K H) P (I - K H)ᵀ + K (H T Hᵀ + R) Kᵀ: ``unsure`` is the greater of both.

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
    met = _met(held, on)
    prior, between = _covariance(held, met), _between(held, met)
    noise = np.diag([seen.noise**2 for seen in tasks])
    scatter = on @ (prior + between) @ on.T + noise
    gain: Matrix = np.linalg.solve(scatter, on @ prior).T
    slower_by = np.array([seen.slower_by for seen in tasks])
    after = prior - gain @ on @ prior
    shifts, stopped = _held(held, gain @ slower_by, after)
    nothing = np.zeros_like(met)
    left = np.eye(len(held)) - gain @ on
    apart = left @ _covariance(held, nothing) @ left.T
    apart += gain @ (on @ _between(held, nothing) @ on.T + noise) @ gain.T
    unsure = np.minimum(np.diag(prior), np.maximum(np.diag(after), np.diag(apart)))
    weights = np.clip(1.0 - unsure / np.diag(prior), 0.0, 1.0)
    deviations = np.sqrt(np.diag(after))
    ties = after / np.outer(deviations, deviations)
    hours = on * np.array([[seen.planned * seen.done] for seen in tasks])
    together = hours.sum(axis=0)
    factors = np.divide(
        slower_by / on.sum(axis=1) @ hours, together, out=shifts / np.maximum(weights, LEAST), where=together > 0
    )
    moved = []
    for number, before in enumerate(held):
        tied = {
            key: round(float(tie), 4)
            for other, (key, tie) in enumerate(zip(keys, ties[number], strict=True))
            if other != number and (abs(tie) >= LEAST or met[number, other] or key in before.tied)
        }
        moved.append(
            Moved(
                before=before, observed=before.value * math.exp(before.slower * factors[number]),
                after=replace(
                    before, value=before.value * math.exp(before.slower * shifts[number]),
                    unsure=before.unsure * math.sqrt(1.0 - weights[number]), tied=tied,
                ),
                weight=float(weights[number]), held=number in stopped,
                alone=bool(abs(shifts[number] - weights[number] * factors[number]) < ALONE),
            )
        )  # fmt: skip
    return tuple(moved)


def _met(held: Sequence[Belief], on: Matrix) -> NDArray[np.bool_]:
    """Which rates share a lump and what is common to it; ``on``: shape (tasks, rates). A factor on hours does not."""
    there = ((on > 0) & np.array([one.least == 0 for one in held])).astype(float)
    met: NDArray[np.bool_] = there.T @ there > 0
    np.fill_diagonal(met, val=False)
    return met


def _held(held: Sequence[Belief], shifts: Matrix, after: Matrix) -> tuple[Matrix, set[int]]:
    """Shifts with none beyond what its rate can be, and which were stopped."""
    stopped: set[int] = set()
    while True:
        beyond = [
            (number, bound) for number, one in enumerate(held)
            if number not in stopped and one.least > 0
            and one.slower * shifts[number] < (bound := math.log(min(one.least, one.value) / one.value)) - 1e-12
        ]  # fmt: skip
        if not beyond:
            return shifts, stopped
        number, bound = beyond[0]
        fixed = [*stopped, number]
        wanted = np.array([*(shifts[other] for other in stopped), held[number].slower * bound])
        shifts = shifts + after[:, fixed] @ np.linalg.solve(after[np.ix_(fixed, fixed)], wanted - shifts[fixed])
        stopped.add(number)


def _reached(beliefs: Mapping[str, Belief], tasks: Sequence[Seen]) -> list[str]:
    """The rates that tasks hang on, and those that are tied to them."""
    reached = {key for seen in tasks for key, share in seen.hangs_on.items() if share}
    fresh = set(reached)
    while fresh:
        fresh = {key for one in fresh for key in beliefs[one].tied if key in beliefs} - reached
        reached |= fresh
    return [key for key in beliefs if key in reached]


def _between(held: Sequence[Belief], met: NDArray[np.bool_]) -> Matrix:
    """Of what a job's own rates are off from the firm's, in ln hours a unit."""
    spreads = np.array([one.spread for one in held])
    whole: Matrix = (np.eye(len(held)) + SHARED * met) * np.outer(spreads, spreads)
    return _likely(whole)


def _likely(matrix: Matrix) -> Matrix:
    """A covariance whose part off the diagonal is made less until it can hold: not all of a chain's rates met."""
    own = np.diag(np.diag(matrix))
    for part in (1.0, 0.75, 0.5, 0.25):
        if np.linalg.eigvalsh(own + part * (matrix - own))[0] > 0:
            return own + part * (matrix - own)
    return own


def _covariance(held: Sequence[Belief], met: NDArray[np.bool_]) -> Matrix:
    """Of what the book's values are off, in ln hours a unit; a tie counts where both rates have it.

    Rates that meet for the first time are off together by ``SHARED``, or by less where the ties that there are leave
    no room for that.
    """
    size = len(held)
    ties, new = np.eye(size), np.zeros((size, size))
    for a in range(size):
        for b in range(a):
            one, other = held[a].tied.get(held[b].key), held[b].tied.get(held[a].key)
            if one is None and other is None:
                new[a, b] = new[b, a] = SHARED * met[a, b]
            elif one == other and one is not None:
                ties[a, b] = ties[b, a] = one
    if size and np.linalg.eigvalsh(ties)[0] < -1e-3:
        raise InputError(f"tied = {[one.key for one in held]}: expected ties that can hold together; take them out")
    parts = (1.0, 0.75, 0.5, 0.25)
    part = next((one for one in parts if np.linalg.eigvalsh(ties + one * new)[0] > 1e-6), 0.0) if new.any() else 0.0
    deviations = np.array([one.unsure for one in held])
    return (ties + part * new) * np.outer(deviations, deviations)


__all__ = [
    "EIGHTY", "FAR", "LEAST", "SHARED", "SOURCE", "SPREAD", "UNSURE", "Belief", "Moved", "Seen", "expected_scatter",
    "shrink", "surprise",
]  # fmt: skip
