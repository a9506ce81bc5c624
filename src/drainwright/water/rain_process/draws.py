"""From random numbers to storms and cells. The numbers are PCG64's own, so that a seed means one rain everywhere."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.water.rain_process.model import YEAR, StormKind

Array = NDArray[np.float64]
LEAD = 20 * 86400.0  # storms that begin so long before the year may reach into it [s]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cells:
    """Cells of one year, each of one intensity from start to end."""

    start: Array  # from the year's begin [s]
    end: Array  # [s]
    intensity: Array  # [m/s]


class Stream:
    """Uniform numbers between 0 and 1, neither of them reached, from a seed and more numbers that name the stream."""

    def __init__(self, *seed: int) -> None:
        self._bits = np.random.PCG64(np.random.SeedSequence(seed))

    def uniform(self, count: int) -> Array:
        """So many numbers, shape (count,)."""
        raw = np.atleast_1d(np.asarray(self._bits.random_raw(count), dtype=np.uint64))
        return ((raw >> np.uint64(11)).astype(np.float64) + 0.5) * 2.0**-53

    def exponential(self, count: int) -> Array:
        """Exponential numbers of mean one, shape (count,)."""
        return -np.log(self.uniform(count))


def paces(kind: StormKind, uniform: Array) -> Array:
    """Pace of each storm. [1/s]"""
    from scipy.special import gammaincinv

    found: Array = np.asarray(gammaincinv(kind.pace_shape, uniform), dtype=np.float64) / kind.pace_time
    return found


def more_cells(kind: StormKind, uniform: Array) -> NDArray[np.int64]:
    """Cells of each storm after its first: new cells and the storm's end race each other, so their law is geometric."""
    again = kind.cells / (kind.cells + kind.storm_end)
    return np.floor(np.log(uniform) / math.log(again)).astype(np.int64)


def intensities(kind: StormKind, exponential: Array) -> Array:
    """Intensity of cells over the pace of their storm. [m]"""
    power = 1.0 / kind.tail
    drawn = exponential if power == 1.0 else exponential**power
    return drawn * (kind.cell_depth / math.gamma(1.0 + power))


def year_of_cells(kind: StormKind, stream: Stream, length: float = YEAR) -> Cells:
    """Cells of one kind in one year, with those of storms that began in the weeks before it.

    Parameters
    ----------
    kind : StormKind
        The kind.
    stream : Stream
        Of this year and kind alone.
    length : float
        Of the year. [s]

    Returns
    -------
    Cells
        Some may reach out of the year at either end.
    """
    expected = kind.rate * (length + LEAD)
    most = math.ceil(expected + 10.0 * math.sqrt(expected) + 20.0)
    begins = np.cumsum(stream.exponential(most)) / kind.rate - LEAD
    begins = begins[begins < length]
    pace = paces(kind, stream.uniform(len(begins)))
    count = 1 + more_cells(kind, stream.uniform(len(begins)))
    storm = np.repeat(np.arange(len(begins)), count)
    first = np.cumsum(count) - count
    gaps = stream.exponential(len(storm)) / ((kind.cells + kind.storm_end) * pace[storm])
    gaps[first] = 0.0
    since = np.cumsum(gaps)
    start = begins[storm] + (since - since[first][storm])
    end = start + stream.exponential(len(storm)) / pace[storm]
    return Cells(start=start, end=end, intensity=intensities(kind, stream.exponential(len(storm))) * pace[storm])


def all_cells(kinds: tuple[StormKind, ...], seed: int, year: int, length: float = YEAR) -> Cells:
    """Cells of all kinds in one year of a seed."""
    found = [year_of_cells(kind, Stream(seed, year, number), length) for number, kind in enumerate(kinds)]
    return Cells(
        start=np.concatenate([each.start for each in found]),
        end=np.concatenate([each.end for each in found]),
        intensity=np.concatenate([each.intensity for each in found]),
    )


__all__ = ["LEAD", "Array", "Cells", "Stream", "all_cells", "intensities", "more_cells", "paces", "year_of_cells"]
