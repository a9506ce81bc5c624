"""Samples of what is uncertain, bands of what comes of them, and which input matters most."""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Sequence

import numpy as np

from drainwright.errors import InputError
from drainwright.storm.chances.model import Driver, Interval, Sample, Uncertain
from drainwright.water.uncertainty import factor_of, shift_of

RESAMPLES = 500  # of a bootstrap


def unit_sample(count: int, inputs: int, seed: int) -> Sample:
    """Latin hypercube: each input has one number in each of ``count`` equal strata (McKay and others 1979).

    Returns
    -------
    ndarray
        (count, inputs), between 0 and 1.

    Raises
    ------
    InputError
        If there are fewer than two samples.
    """
    from scipy.stats import qmc

    if count < 2:
        raise InputError(f"samples = {count!r}: expected 2 or more")
    if inputs == 0:
        return np.zeros((count, 0))
    return np.asarray(qmc.LatinHypercube(d=inputs, rng=np.random.default_rng(seed)).random(count))


def values_of(uncertain: Uncertain, unit: Sample) -> Sample:
    """Values of an input at numbers between 0 and 1, in its unit, lowest at 0.

    Raises
    ------
    InputError
        If low, middle and high are not in order.
    """
    low, middle, high = uncertain.low, uncertain.middle, uncertain.high
    if uncertain.law == "yes or no":
        return (unit >= 1.0 - middle).astype(np.float64)
    if not low <= middle <= high:
        raise InputError(f"{uncertain.key}: found {low!r}, {middle!r}, {high!r}; expected low, middle, high in order")
    if uncertain.law == "triangular":
        if high == low:
            return np.full_like(unit, middle)
        turn = (middle - low) / (high - low)
        rising = low + np.sqrt(unit * (high - low) * (middle - low))
        falling = high - np.sqrt((1.0 - unit) * (high - low) * (high - middle))
        return np.where(unit < turn, rising, falling)
    from scipy.special import ndtri

    numbers = np.asarray(ndtri(np.clip(unit, 1e-12, 1.0 - 1e-12)))
    if uncertain.law == "normal":
        return middle + shift_of(numbers, low, middle, high)
    return middle * factor_of(numbers, low, middle, high)


def drawn_inputs(uncertain: Sequence[Uncertain], count: int, seed: int) -> Sample:
    """Sets of inputs by a latin hypercube: (count, inputs), in the order and the units of the inputs.

    Raises
    ------
    InputError
        As ``unit_sample`` and ``values_of``.
    """
    unit = unit_sample(count, len(uncertain), seed)
    return np.column_stack([values_of(item, unit[:, place]) for place, item in enumerate(uncertain)])


def interval(sample: Sample) -> Interval:
    """5, 50 and 95 of a hundred of a sample."""
    low, middle, high = (float(value) for value in np.quantile(sample, (0.05, 0.5, 0.95)))
    return Interval(low=low, middle=middle, high=high)


def mean_band(sample: Sample, seed: int) -> Interval:
    """Mean of a sample with its 90 % band, by drawing the sample anew from itself (Efron 1979).

    Notes
    -----
    The wider of two bands at each end: the means drawn, and the mean less the drawn errors by their own standard error,
    which leans to the side of the long tail. For long tails the first alone covers the mean too seldom. No end lies
    outside the sample.
    """
    mean, error = float(sample.mean()), float(np.std(sample, ddof=1)) / math.sqrt(sample.size)
    if error <= 0.0:
        return Interval(low=mean, middle=mean, high=mean)
    drawn = sample[np.random.default_rng(seed).integers(0, sample.size, (RESAMPLES, sample.size))]
    means = drawn.mean(axis=1)
    errors = np.maximum(drawn.std(axis=1, ddof=1) / math.sqrt(sample.size), 1e-9 * error)
    low, high = np.quantile(means, (0.05, 0.95))
    least, most = np.quantile((means - mean) / errors, (0.05, 0.95))
    return Interval(
        low=max(float(sample.min()), min(float(low), mean - float(most) * error)), middle=mean,
        high=min(float(sample.max()), max(float(high), mean - float(least) * error)),
    )  # fmt: skip


def counted_band(wet: int, years: int) -> Interval:
    """Chance a year from wet years counted among so many, with its exact 90 % band (Clopper and Pearson 1934).

    Raises
    ------
    InputError
        If there are no years, or more wet ones than years.
    """
    from scipy.stats import beta

    if years < 1 or not 0 <= wet <= years:
        raise InputError(f"wet = {wet!r}, years = {years!r}: expected 0 to as many as the years, at least one year")
    low = 0.0 if wet == 0 else float(beta.ppf(0.05, wet, years - wet + 1))
    high = 1.0 if wet == years else float(beta.ppf(0.95, wet + 1, years - wet))
    return Interval(low=low, middle=wet / years, high=high)


def drivers(
    names: Sequence[tuple[str, str]], function: Callable[[Sample], Sample], count: int, seed: int
) -> tuple[tuple[Driver, ...], ...]:
    """Sobol indices of each figure that a function gives, the greatest total first.

    Parameters
    ----------
    names : sequence of (key, name)
        Of the inputs.
    function : callable
        Takes (samples, inputs) between 0 and 1, gives (samples, figures).
    count : int
        A power of two; the function is asked ``count`` (inputs + 2) times.
    seed : int

    Returns
    -------
    tuple
        Of each figure, its drivers.

    Notes
    -----
    Saltelli and others 2010 for the first order, Jansen 1999 for the total, over the sample of
    ``scipy.stats.sobol_indices``; bands by drawing its rows anew, from the seed too. Small indices may come out
    below zero: that is the sample, and is left as it is.
    """
    from scipy.stats import bootstrap, sobol_indices, uniform

    lowest: Sample | float = np.inf
    highest: Sample | float = -np.inf
    given: list[Sample] = []

    def turned(x: Sample) -> Sample:
        nonlocal lowest, highest
        told = np.asarray(function(np.ascontiguousarray(x.T)))
        lowest, highest = np.minimum(lowest, told.min(axis=0)), np.maximum(highest, told.max(axis=0))
        return told.T

    def indices(f_A: Sample, f_B: Sample, f_AB: Sample) -> Sample:  # noqa: N803  # as scipy names them
        if not given:
            given.extend((f_A, f_B, f_AB))
        variance = np.var(np.stack([f_A, f_B]), axis=(0, -1))
        alone = np.mean(f_B * (f_AB - f_A), axis=-1).T / variance[:, None]
        return np.stack([alone, 0.5 * np.mean((f_A - f_AB) ** 2, axis=-1).T / variance[:, None]])

    def drawn(rows: Sample) -> Sample:
        return indices(*(part[..., rows] for part in given))

    generator = np.random.default_rng(seed)
    with np.errstate(divide="ignore", invalid="ignore"), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of a figure that does not vary, which is told as None
        dists = [uniform()] * len(names)
        found = sobol_indices(func=turned, n=count, dists=dists, method=indices, rng=generator)  # type: ignore[arg-type]  # frozen laws have a ppf
        spread = bootstrap(
            [np.arange(count)], drawn, confidence_level=0.9, n_resamples=RESAMPLES, vectorized=False, rng=generator
        ).confidence_interval
    first, total = np.atleast_2d(found.first_order), np.atleast_2d(found.total_order)
    ends = [np.atleast_2d(np.asarray(end)[place]) for place in (0, 1) for end in (spread.low, spread.high)]
    told = []
    for row in range(first.shape[0]):
        varies = bool(np.atleast_1d(highest)[row] > np.atleast_1d(lowest)[row])
        rows = [
            Driver(
                key=key,
                name=name,
                first=_index(varies, ends[0][row, place], first[row, place], ends[1][row, place]),
                total=_index(varies, ends[2][row, place], total[row, place], ends[3][row, place]),
            )
            for place, (key, name) in enumerate(names)
        ]
        told.append(tuple(sorted(rows, key=lambda driver: -(driver.total.middle if driver.total else 0.0))))
    return tuple(told)


def _index(varies: bool, low: float, middle: float, high: float) -> Interval | None:
    if not varies or not np.isfinite([low, middle, high]).all():
        return None
    return Interval(low=float(low), middle=float(middle), high=float(high))


__all__ = ["counted_band", "drawn_inputs", "drivers", "interval", "mean_band", "unit_sample", "values_of"]
