"""The design storm beside the years: whether they tell the same of the floor, and which rain was the heavier."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from drainwright.storm.model import Storm, StormTest
from drainwright.storm.years.model import LongRun

YEAR = 31557600.0  # [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """The design storm with everything working, beside the years of rain."""

    storm: str
    period: float  # of the storm [years]
    time_to_slab: float | None  # None: the floor stays dry [s]
    rising: bool  # the storm's record ends while the water still rises
    verdict: Literal["both dry", "both wet", "too few years", "apart"]
    burst: float  # time over which the heaviest rain of both is compared: the step of the years' rain [s]
    storm_burst: float  # most rain of the storm in that time [m]
    years_burst: float  # most rain of the years in one step [m]
    storm_depth: float  # [m]
    years_depth: float  # deepest wet spell of the years [m]

    @property
    def sharper(self) -> bool:
        """Whether the storm has a heavier burst than any of the years."""
        return self.storm_burst > self.years_burst

    @property
    def deeper(self) -> bool:
        """Whether the storm brings more rain than any wet spell of the years."""
        return self.storm_depth > self.years_depth


def heaviest(storm: Storm, span: float) -> float:
    """Most rain of a storm in any stretch of time of that length.

    Parameters
    ----------
    storm : Storm
        Its intensity in steps.
    span : float
        Length of the stretch. [s]

    Returns
    -------
    float
        Its rain. [m]

    Notes
    -----
    The rain that has fallen is a broken line over time, so the greatest difference has an end at one of its corners.
    """
    corners = np.append(storm.times, storm.times[-1] + storm.step)
    fallen = np.concatenate([[0.0], np.cumsum(storm.intensity * np.diff(corners))])
    starts = np.concatenate([corners, corners - span])
    return float(np.max(np.interp(starts + span, corners, fallen) - np.interp(starts, corners, fallen)))


def beside_years(test: StormTest, found: LongRun) -> Beside | None:
    """Set the sound case of the storm test beside a long run.

    Parameters
    ----------
    test : StormTest
        Of the same design.
    found : LongRun
        The years.

    Returns
    -------
    Beside or None
        None where the years tell nothing of the floor.

    Notes
    -----
    A dry floor in so many years contradicts a storm that wets it only where the years say that it gets wet more rarely
    than the storm comes, with nine chances of ten. A dry floor in the storm contradicts years in which it got wet more
    often than the storm comes, by the same band.
    """
    slab = found.outcome("slab")
    if slab is None or not found.spells:
        return None
    sound, period = test.cases[0], test.storm.return_period / YEAR
    verdict: Literal["both dry", "both wet", "too few years", "apart"]
    if sound.dry:
        often = slab.reached > 0 and slab.high is not None and slab.high < period
        verdict = "apart" if often else "too few years" if slab.reached else "both dry"
    else:
        rare = slab.low is not None and slab.low > period
        verdict = "apart" if rare else "both wet" if slab.reached else "too few years"
    return Beside(
        storm=test.storm.name, period=period, time_to_slab=sound.time_to_slab, rising=sound.undecided, verdict=verdict,
        burst=found.step, storm_burst=heaviest(test.storm, found.step),
        years_burst=max(spell.peak for spell in found.spells), storm_depth=test.storm.depth,
        years_depth=max(spell.depth for spell in found.spells),
    )  # fmt: skip


__all__ = ["Beside", "beside_years", "heaviest"]
