"""Thousands of plans at once: hours drawn between their low and high, the same list scheduling for all of them.

Each work has three points: low, likely and high hours. They make a beta law as PERT takes it (Malcolm and others 1959):
a range that is hardly ever left, a likely value weighed four times. What hits several works at once is drawn once for
all of them (a Gaussian copula: each cause has the share of a work's spread that its own range has). Draws are
stratified (Latin hypercube) from a fixed seed: the same works give the same digits.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from drainwright.build.schedule import Work, choice, holds
from drainwright.build.working_days import INSTANT
from drainwright.errors import InputError, require

Draws = NDArray[np.float64]
SEED = 1959
COUNT = 512  # trials
SCORES = np.linspace(-4.5, 4.5, 181)  # normal scores at which the laws are tabled: within 0.02 % between them


@dataclass(frozen=True, slots=True)
class ThreePoint:
    """Low, likely and high, with the beta law that PERT makes of them."""

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.high - self.low) and self.low <= self.likely <= self.high):
            found = f"{self.low!r}, {self.likely!r}, {self.high!r}"
            raise InputError(f"low, likely, high = {found}: expected finite numbers in this order")

    @property
    def shape(self) -> tuple[float, float]:
        """Of the beta law between low and high, which must differ. [-]"""
        wide = self.high - self.low
        return 1 + 4 * (self.likely - self.low) / wide, 1 + 4 * (self.high - self.likely) / wide

    @property
    def mean(self) -> float:
        """(low + 4 likely + high) / 6."""
        return (self.low + 4 * self.likely + self.high) / 6

    @property
    def variance(self) -> float:
        """(mean - low) (high - mean) / 7, of the beta law itself."""
        return (self.mean - self.low) * (self.high - self.mean) / 7

    def at(self, shares: Draws) -> Draws:
        """The values below which these shares of all lie.

        Parameters
        ----------
        shares : ndarray
            From 0 to 1, of any shape. [-]

        Returns
        -------
        ndarray
            Values, of the same shape.
        """
        from scipy.special import betaincinv

        wide = self.high - self.low
        if wide <= 0.0:
            return np.full_like(shares, self.likely)
        return np.asarray(self.low + wide * betaincinv(*self.shape, shares), dtype=np.float64)


def three_points(work: Work) -> ThreePoint:
    """Low, likely and high hours of a work: causes add as independent ones, by the squares of their logarithms."""
    low = math.exp(-math.hypot(*(math.log(item.low) for item in work.doubt), 0.0))
    high = math.exp(math.hypot(*(math.log(item.high) for item in work.doubt), 0.0))
    return ThreePoint(work.hours * low, work.hours, work.hours * high)


def shared_parts(works: Sequence[Work]) -> tuple[tuple[str, ...], Draws]:
    """The common causes, and how much of each work's spread comes of each.

    Parameters
    ----------
    works : Sequence of Work
        With their doubts.

    Returns
    -------
    tuple of str, ndarray
        Names of the causes, and factors of shape (works, causes): the square is the cause's share of the work's spread;
        what the squares of a row lack to 1 is the work's own. [-]
    """
    causes = tuple(dict.fromkeys(item.cause for work in works for item in work.doubt if item.cause))
    parts = np.zeros((len(works), len(causes)))
    for row, work in enumerate(works):
        spreads = [math.log(item.high / item.low) for item in work.doubt]
        whole = math.hypot(*spreads, 0.0)
        for item, spread in zip(work.doubt, spreads, strict=True):
            if item.cause and whole > 0:
                parts[row, causes.index(item.cause)] += (spread / whole) ** 2
    return causes, np.sqrt(parts)


def drawn_hours(works: Sequence[Work], count: int = COUNT, seed: int = SEED) -> Draws:
    """Hours of each work in each trial.

    Parameters
    ----------
    works : Sequence of Work
        With their doubts.
    count : int
        Trials.
    seed : int
        Equal seeds give equal digits.

    Returns
    -------
    ndarray
        Person-hours, of shape (trials, works). [h]
    """
    from scipy.special import ndtri

    require("above zero", np.greater, count=count)
    causes, parts = shared_parts(works)
    generator = np.random.default_rng(seed)
    strata = ndtri((np.arange(count) + 0.5) / count)
    columns = len(causes) + len(works)
    normal = strata[np.argsort(generator.random((columns, count)), axis=1)].T
    own = np.sqrt(np.maximum(0.0, 1.0 - (parts**2).sum(axis=1)))
    mixed = normal[:, : len(causes)] @ parts.T + normal[:, len(causes) :] * own
    hours: Draws = np.empty(mixed.shape)
    for column, work in enumerate(works):
        point = three_points(work)
        wide = point.high - point.low
        shares = _shares(*point.shape) if wide > 0 else np.zeros_like(SCORES)
        hours[:, column] = point.low + wide * np.interp(mixed[:, column], SCORES, shares)
    return hours


@lru_cache(maxsize=256)
def _shares(alpha: float, beta: float) -> Draws:
    """The beta law's values at the normal scores of the table: exact there, straight between. [-]"""
    from scipy.special import betaincinv, ndtr

    return np.asarray(betaincinv(alpha, beta, ndtr(SCORES)), dtype=np.float64)


def ends(works: Sequence[Work], hours: Draws, people: int, day_length: float, offsets: NDArray[np.int64]) -> Draws:
    """When each work ends in each trial, by the rule of ``schedule.arrange``.

    Parameters
    ----------
    works : Sequence of Work
        What comes before what, most people and waits; the order of choice is theirs, by the likely hours.
    hours : ndarray
        Person-hours, of shape (trials, works). [h]
    people : int
        Size of the crew.
    day_length : float
        Working hours a day. [h]
    offsets : ndarray
        Days from the first to each working day, of shape (trials, days): long enough for the slowest trial. [days]

    Returns
    -------
    ndarray
        Working hours from the first morning, of shape (trials, works). [h]

    Notes
    -----
    All trials step together, each to its own next event, until every one is done.
    """
    count, many = hours.shape
    index = {work.key: column for column, work in enumerate(works)}
    before = [[index[name] for name in dict.fromkeys(work.after) if name in index] for work in works]
    order = [index[key] for key in choice(works, people, day_length)]
    left, end = hours.astype(np.float64).copy(), np.full((count, many), np.inf)
    done = np.zeros((count, many), dtype=bool)
    free = np.zeros((count, many))  # when all before it is done and cured
    open_ = np.array([len(names) for names in before])[None, :] * np.ones((count, 1), dtype=np.int64)
    after: list[list[int]] = [[] for _ in works]
    for column, names in enumerate(before):
        for name in names:
            after[name].append(column)
    following = _next_days(offsets)
    now = np.zeros(count)
    while not done.all():
        spare = np.full(count, people)
        hands = np.zeros((count, many), dtype=np.int64)
        ready = ~done & (open_ == 0)
        may = ready & (free <= now[:, None] + INSTANT)
        empty = left <= INSTANT
        for column in order:
            given = np.where(may[:, column] & ~empty[:, column], np.minimum(works[column].most, spare), 0)
            hands[:, column] = given
            spare = spare - given
        finished = may & empty
        idle = finished.any(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            needs = np.where(hands > 0, left / hands, np.inf)
        wakes = np.where(ready & ~may, free - now[:, None], np.inf)
        step = np.where(idle, 0.0, np.minimum(needs.min(axis=1), wakes.min(axis=1)))
        step = np.where(done.all(axis=1), 0.0, step)
        if not np.isfinite(step).all():
            raise InputError("works: expected none that wait for each other in a ring")
        left = np.maximum(0.0, left - step[:, None] * hands)
        now = now + step
        finished |= (hands > 0) & (left <= INSTANT)
        end = np.where(finished, now[:, None], end)
        done |= finished
        for column in np.flatnonzero(finished.any(axis=0)).tolist():
            rows = np.flatnonzero(finished[:, column])
            cured = None
            for follower in after[column]:
                moment = now[rows]
                if holds(works[column], works[follower].key):
                    if cured is None:
                        cured = _cured(now[rows], works[column].wait, day_length, offsets[rows], following[rows])
                    moment = cured
                free[rows, follower] = np.maximum(free[rows, follower], moment)
                open_[rows, follower] -= 1
    return end


def _next_days(offsets: NDArray[np.int64]) -> NDArray[np.int64]:
    """For each date the first working day at or after it, of shape (trials, dates)."""
    last = int(offsets.max()) + 1
    found = np.zeros((len(offsets), last + 1), dtype=np.int64)
    rows = np.arange(len(offsets))[:, None]
    np.add.at(found, (rows, offsets + 1), 1)
    return np.cumsum(found, axis=1)[:, :last]


def _cured(
    now: Draws, wait: float, day_length: float, offsets: NDArray[np.int64], following: NDArray[np.int64]
) -> Draws:
    """The first working hour after a wait that runs through nights and days off, in each trial."""
    rows = np.arange(len(now))
    day = (now / day_length + INSTANT).astype(np.int64)
    clock = 24.0 * offsets[rows, day] + (now - day * day_length) + wait
    date = (clock / 24.0 + INSTANT).astype(np.int64)
    next_day = following[rows, date]
    rest = np.where(offsets[rows, next_day] > date, 0.0, np.minimum(clock - 24.0 * date, day_length))
    return np.asarray(next_day * day_length + rest, dtype=np.float64)


def drivers(works: Sequence[Work], hours: Draws) -> Mapping[str, float]:
    """What makes the sum of all hours differ, each with its share of the variance.

    Parameters
    ----------
    works : Sequence of Work
        With their doubts.
    hours : ndarray
        Hours drawn, of shape (trials, works): their standard deviations are used.

    Returns
    -------
    mapping of str to float
        Causes and "each work's own luck", largest first; they add up to 1. [-]
    """
    causes, parts = shared_parts(works)
    sizes = hours.std(axis=0)
    found = {cause: float((parts[:, column] @ sizes) ** 2) for column, cause in enumerate(causes)}
    found["each work's own luck"] = float(((1 - (parts**2).sum(axis=1)).clip(0.0) * sizes**2).sum())
    whole = math.fsum(found.values())
    if whole <= 0:
        return {}
    return dict(sorted(((name, part / whole) for name, part in found.items()), key=lambda item: -item[1]))


__all__ = ["COUNT", "SEED", "ThreePoint", "drawn_hours", "drivers", "ends", "shared_parts", "three_points"]
