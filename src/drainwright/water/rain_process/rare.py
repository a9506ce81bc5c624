"""The greatest rain of storms and years: what the process says of rare rain."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.water.rain_process.draws import Array, Stream, all_cells, intensities, more_cells, paces
from drainwright.water.rain_process.model import StormKind
from drainwright.water.rain_process.moments import yearly_chance
from drainwright.worksheet import quiet

MOST_CELLS = 160  # of a storm among fixed draws; longer ones are cut, in the fit only


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FixedDraws:
    """Random numbers of many storms, drawn once, so that two sets of parameters differ by the parameters alone."""

    pace: Array  # uniform, shape (storms,)
    more: Array  # uniform, shape (storms,)
    gaps: Array  # exponential, shape (storms, cells)
    lengths: Array
    depths: Array

    @classmethod
    def of(cls, storms: int, *seed: int) -> FixedDraws:
        """Draws of so many storms; pace and number of cells are spread evenly, each in an order of its own."""
        stream = Stream(*seed)
        even = (np.arange(storms) + 0.5) / storms
        pace, more = (even[np.argsort(stream.uniform(storms))] for _ in range(2))
        gaps, lengths, depths = (
            stream.exponential(storms * MOST_CELLS).reshape(storms, MOST_CELLS) for _ in range(3)
        )  # fmt: skip
        return cls(pace=pace, more=more, gaps=gaps, lengths=lengths, depths=depths)

    def first(self, storms: int) -> FixedDraws:
        """The first of these storms."""
        return FixedDraws(
            pace=self.pace[:storms], more=self.more[:storms], gaps=self.gaps[:storms],
            lengths=self.lengths[:storms], depths=self.depths[:storms],
        )  # fmt: skip


def storm_greatest(kind: StormKind, draws: FixedDraws, durations: Array) -> Array:
    """Greatest rain of each duration in each storm, shape (durations, storms). [m]"""
    from drainwright.water.rain_process.loops import storm_maxima

    more = more_cells(kind, draws.more)
    most = min(MOST_CELLS, int(more.max()) + 1)
    found = np.empty((len(durations), len(draws.pace)))
    storm_maxima(
        more, paces(kind, draws.pace), draws.gaps[:, :most], draws.lengths[:, :most],
        intensities(kind, draws.depths[:, :most]), 1.0 / (kind.cells + kind.storm_end), durations, found,
    )  # fmt: skip
    return found


def reached(greatest: list[Array], rates: list[float], periods: Array) -> Array:
    """Rain that storms reach once in each period on the mean, shape (durations, periods). [m]

    Parameters
    ----------
    greatest : list of NDArray
        By kind: greatest rain of each duration in each storm, shape (durations, storms). [m]
    rates : list of float
        Storms of each kind in a second. [1/s]
    periods : NDArray
        Mean time between. [s]
    """
    found = np.empty((len(greatest[0]), len(periods)))
    wanted = -np.log(periods)
    often = 1.2 / periods[0]  # storms that are less than this rate's greatest of their own kind cannot count
    counts = [
        min(each.shape[1], math.ceil(each.shape[1] * often / rate) + 2)
        for each, rate in zip(greatest, rates, strict=True)
    ]
    weight = np.concatenate(
        [np.full(count, rate / each.shape[1]) for each, rate, count in zip(greatest, rates, counts, strict=True)]
    )
    for row in range(len(found)):
        depths = np.concatenate(
            [
                np.partition(each[row], each.shape[1] - count)[each.shape[1] - count :]
                for each, count in zip(greatest, counts, strict=True)
            ]
        )
        order = np.argsort(-depths)
        rate = np.cumsum(weight[order]) - 0.5 * weight[order]
        found[row] = np.exp(np.interp(wanted, np.log(rate), np.log(np.maximum(depths[order], 1e-9))))
    return found


def yearly_greatest(kinds: tuple[StormKind, ...], years: int, seed: int, durations: Array) -> Array:
    """Greatest rain of each duration in each year, at any second, storms laid over each other. [m]

    Returns
    -------
    NDArray
        Shape (durations, years).
    """
    from drainwright.water.rain_process.loops import greatest

    found = np.zeros((len(durations), years))
    top = np.empty(len(durations))
    for year in range(years):
        cells = all_cells(kinds, seed, year)
        order = np.argsort(cells.start)
        order = order[cells.end[order] > 0.0]
        greatest(cells.start[order], cells.end[order], cells.intensity[order], durations, top)
        found[:, year] = top
    return found


def of_period(yearly: Array, periods: Array) -> Array:
    """Rain of each mean time between events, from yearly maxima by Langbein's relation. [m]

    Parameters
    ----------
    yearly : NDArray
        Shape (durations, years). [m]
    periods : NDArray
        Mean years between events. [-]

    Returns
    -------
    NDArray
        Shape (durations, periods), by plotting positions of Cunnane.
    """
    with quiet():
        below = 1.0 - np.array([yearly_chance(float(period)) for period in periods])
    ordered: NDArray[np.float64] = np.sort(yearly, axis=1)
    years = ordered.shape[1]
    place = below * (years + 0.2) + 0.4 - 1.0
    low = np.clip(np.floor(place).astype(int), 0, years - 2)
    share = np.clip(place - low, 0.0, 1.0)
    found: NDArray[np.float64] = ordered[:, low] * (1.0 - share) + ordered[:, low + 1] * share
    return found


__all__ = ["FixedDraws", "of_period", "reached", "storm_greatest", "yearly_greatest"]
