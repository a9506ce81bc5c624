"""Statistics of the rain process in closed form: mean, variance, covariance and dry share of steps of any length.

Given its pace, a storm is that of Rodriguez-Iturbe, Cox and Isham (1987), whose covariance of intensity is a sum of two
exponentials. Storms of different pace do not know of each other, so that covariances add, and the mean over a gamma
law of pace is elementary. All of it rests on one function, ``faded``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache

import numpy as np

from drainwright.errors import InputError, require
from drainwright.water.rain_process.model import StormKind
from drainwright.worksheet import Card, catalogued


@catalogued(
    Card(
        title="Mean rain in a time, Bartlett-Lewis process with intensity by pace",
        symbol="P",
        expression="rate * time * (1 + cells / storm_end) * cell_depth",
        units={"rate": "1/s", "time": "s", "cells": "-", "storm_end": "-", "cell_depth": "m", "result": "m"},
        source="bartlett_lewis",
    )
)
def mean_rain(rate: float, time: float, cells: float, storm_end: float, cell_depth: float) -> float:
    """Mean rain that one kind of storm brings in a time. [m]

    Parameters
    ----------
    rate : float
        Storms in a second. [1/s]
    time : float
        Length of the time. [s]
    cells, storm_end : float
        Rates of new cells and of the storm's end, over its pace. [-]
    cell_depth : float
        Mean depth of a cell. [m]

    Returns
    -------
    float
        Depth. [m]

    Raises
    ------
    InputError
        If a value is not above zero.
    """
    require("above zero", np.greater, rate=rate, time=time, cells=cells, storm_end=storm_end, cell_depth=cell_depth)
    return rate * time * (1.0 + cells / storm_end) * cell_depth


@catalogued(
    Card(
        title="Chance of a year from the mean time between events",
        symbol="p",
        expression="1 - exp(-1 / years)",
        units={"years": "-", "result": "-"},
        source="langbein_1949",
        trial={"years": (0.5, 1000.0)},
    )
)
def yearly_chance(years: float) -> float:
    """Chance that a rain is reached in a year, from the mean number of years between rains that reach it.

    Parameters
    ----------
    years : float
        Mean years between events (partial duration series), above zero. [-]

    Returns
    -------
    float
        Chance of one or more in a year (annual maximum series). [-]

    Raises
    ------
    InputError
        If the value is not above zero.
    """
    require("above zero", np.greater, years=years)
    return -math.expm1(-1.0 / years)


def faded(kind: StormKind, time: float) -> float:
    """Mean over the law of pace of ``(1 - exp(-pace * time)) / pace``. [s]"""
    power = kind.pace_shape - 1.0
    return kind.pace_time * -math.expm1(-power * math.log1p(time / kind.pace_time)) / power


def _parts(kind: StormKind) -> tuple[float, tuple[tuple[float, float], ...]]:
    """Scale [m²/s], and pairs of weight and decay over pace, of the covariance of intensity over pace."""
    first, second = (math.gamma(1.0 + order / kind.tail) for order in (1.0, 2.0))
    end = kind.storm_end
    own = second / first**2 + kind.cells * end / (end**2 - 1.0)
    shared = -kind.cells / (end**2 - 1.0)
    return kind.rate * kind.cells_a_storm * kind.cell_depth**2, ((own, 1.0), (shared, end))


def mean(kinds: Sequence[StormKind], step: float) -> float:
    """Mean rain of a step. [m]"""
    return sum(mean_rain(kind.rate, step, kind.cells, kind.storm_end, kind.cell_depth) for kind in kinds)


def covariance(kinds: Sequence[StormKind], step: float, lag: int = 0) -> float:
    """Covariance of the rain of two steps, ``lag`` steps apart; the variance where ``lag`` is zero. [m²]

    Parameters
    ----------
    kinds : sequence of StormKind
        Laid over each other.
    step : float
        Length of the steps. [s]
    lag : int
        Zero or more.

    Returns
    -------
    float
        Covariance. [m²]

    Raises
    ------
    InputError
        If the step or the lag cannot be used.
    """
    if not step > 0.0 or lag < 0:
        raise InputError(f"step = {step!r}, lag = {lag!r}: expected a step above zero and a lag of zero or more")
    total = 0.0
    for kind in kinds:
        scale, parts = _parts(kind)
        for weight, decay in parts:
            if lag == 0:
                spread = 2.0 * (decay * step - faded(kind, decay * step))
            else:
                before, at, after = (faded(kind, decay * step * (lag + k)) for k in (-1, 0, 1))
                spread = 2.0 * at - before - after
            total += scale * weight * spread / decay**2
    return total


@cache
def _lengths(cells: float, storm_end: float) -> tuple[float, float]:
    """At unit pace: mean life of a storm to the end of its last cell, and mean time in it that is dry yet not over."""
    nodes, weights = np.polynomial.legendre.leggauss(80)
    nodes, weights = 0.5 * (nodes + 1.0), 0.5 * weights
    late = nodes ** (1.0 / storm_end)  # exp(-time) at which the storm ends
    dry = float(weights @ ((1.0 - late) * np.exp(-cells * (1.0 - late)))) / storm_end
    x, z = nodes[:, None], late[None, :]
    after = (1.0 - (1.0 - x * z) * np.exp(-cells * x * (1.0 - z))) / x
    return 1.0 / storm_end + float(weights @ after @ weights), dry


def dry_share(kinds: Sequence[StormKind], step: float) -> float:
    """Share of steps without any rain. [-]

    Notes
    -----
    Rodriguez-Iturbe, Cox and Isham (1987) give the form; the two lengths in it are integrated by quadrature here, where
    the paper has series.
    """
    log_share = 0.0
    for kind in kinds:
        life, dry = _lengths(kind.cells, kind.storm_end)
        again = kind.cells / (kind.cells + kind.storm_end)
        wet = (life - dry) * kind.cell_length
        log_share -= kind.rate * (step + wet + dry * again * faded(kind, (kind.cells + kind.storm_end) * step))
    return math.exp(log_share)


__all__ = ["covariance", "dry_share", "faded", "mean", "mean_rain", "yearly_chance"]
