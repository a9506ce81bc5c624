"""What one more measurement is worth: how far it narrows the chance, and what a better decision would save."""

from __future__ import annotations

import numpy as np

from drainwright.errors import InputError
from drainwright.storm.chances.model import Sample

TERMS = 3  # powers of an input in the regression
FEWEST = 12.0  # samples on which what a result leaves rests at least


def unit_loss(z: float) -> float:
    """Unit normal loss: mean of what a standard normal number exceeds ``z`` by (Raiffa and Schlaifer 1961). [-]"""
    from scipy.stats import norm

    return float(norm.pdf(z) - z * norm.sf(z))


def _weights(column: Sample, told: Sample, noise: float) -> Sample:
    """How likely each sample (columns) is after each result (rows), which its own truth has no part in."""
    power = -0.5 * ((told[:, None] - column[None, :]) / noise) ** 2
    np.fill_diagonal(power, -np.inf)
    weights = np.exp(power - power.max(axis=1, keepdims=True))
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


def _quantiles(sample: Sample, weights: Sample) -> Sample:
    order = np.argsort(sample, kind="stable")
    reached = np.cumsum(weights[order]) - 0.5 * weights[order]
    return np.interp((0.05, 0.5, 0.95), reached, sample[order])


def after_test(column: Sample, figure: Sample, noise: float, seed: int) -> tuple[Sample, float]:
    """Band of a figure after a test of one input, averaged over what the test may tell.

    Parameters
    ----------
    column : ndarray
        (samples,) the input, in the scale in which the test's error is even.
    figure : ndarray
        (samples,) of the same samples.
    noise : float
        Standard error of the test, above zero.
    seed : int
        Of the test's errors.

    Returns
    -------
    tuple
        Ends and middle (5, 50, 95 of a hundred), each the mean over what may be told; and the share of the standard
        deviation that the test takes away, by the mean variance that is left.

    Notes
    -----
    Each sample in turn is the truth, and tells a result with a drawn error; all samples are then weighed by how likely
    they make it (Bayes), but for that truth itself, so nothing is run again. Where so few samples come near a result
    that nothing could be told, the test counts as less exact than it is: then it narrows at least so much.
    """
    if noise <= 0.0:
        raise InputError(f"noise = {noise!r}: expected above zero")
    drawn = np.random.default_rng(seed).standard_normal(column.size)
    while True:
        weights = _weights(column, column + noise * drawn, noise)
        square = (weights**2).sum(axis=1)
        if float(np.median(1.0 / square)) >= min(FEWEST, 0.5 * column.size):
            break
        noise *= 1.25
    means = weights @ figure
    left = (weights * (figure[None, :] - means[:, None]) ** 2).sum(axis=1) / np.maximum(1.0 - square, 1e-9)
    bands = np.array([_quantiles(figure, row) for row in weights])
    before = float(np.var(figure, ddof=1))
    share = 0.0 if before <= 0.0 else 1.0 - min(1.0, float(np.sqrt(left.mean() / before)))
    return bands.mean(axis=0), share


def perfect_information(column: Sample, losses: Sample) -> float:
    """What knowing one input for sure would save, on average: partial expected value of perfect information.

    Parameters
    ----------
    column : ndarray
        (samples,) the input.
    losses : ndarray
        (samples, options) of each option.

    Returns
    -------
    float
        In the losses' money; zero or more.

    Notes
    -----
    By regression (Strong, Oakley and Brennan 2014): each loss less the first one's is fitted by a cubic in the input,
    and the least of the fitted means is compared with the least mean. Exact for losses that are straight lines.
    """
    fitted = _fitted(column, losses)
    return max(0.0, float(fitted.mean(axis=0).min() - fitted.min(axis=1).mean()))


def _fitted(column: Sample, losses: Sample) -> Sample:
    spread = float(np.std(column))
    terms = TERMS if np.unique(column).size > TERMS else np.unique(column).size - 1
    scaled = (column - column.mean()) / spread if spread > 0.0 else np.zeros_like(column)
    powers = np.vander(scaled, terms + 1)
    against = losses - losses[:, :1]
    factors, *_ = np.linalg.lstsq(powers, against, rcond=None)
    return np.asarray(powers @ factors)


def sample_information(column: Sample, losses: Sample, noise: float, seed: int) -> float:
    """What a test of one input would save, on average, before its own price: expected value of sample information.

    Parameters
    ----------
    column, losses
        As for ``perfect_information``.
    noise, seed
        As for ``after_test``.

    Notes
    -----
    As ``perfect_information``, with the result that the test would tell in the place of the truth (Strong and others
    2015): losses are fitted by a cubic in it.
    """
    told = column + noise * np.random.default_rng(seed).standard_normal(column.size)
    return perfect_information(told, losses)


__all__ = ["after_test", "perfect_information", "sample_information", "unit_loss"]
