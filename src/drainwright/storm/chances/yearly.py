"""From runs of the storm to a rate a year: storms by how often they come, power cuts and dead pumps meeting them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from drainwright.errors import InputError

Outage = tuple[Literal["cut", "dead"], float]  # what, and from when on [s]
Reach = Callable[[float | None, Outage | None], float]
# return period [years], None for dry weather; when the water reaches the slab, infinite: not [s]

HALVINGS = 6  # of the return period from which on storms wet the floor
NODES, STARTS = 4, 3  # return periods, and moments within the storm, at which the power goes
YEAR = 31557600.0
CAUSES = ("storm", "storm and power cut", "storm and dead pump", "power cut in dry weather", "dead pump in dry weather")


@dataclass(frozen=True, slots=True, kw_only=True)
class Events:
    """What may meet a storm. All as they are in one truth."""

    cuts: float  # power cuts [1/year]
    cut_length: float  # mean; lengths are exponential [s]
    cut_with_storm: float  # chance that a storm brings a cut, which starts at any moment of it alike [-]
    failures: float  # of the pump [1/year]
    unnoticed: float  # mean time until a dead pump is noticed; exponential [s]
    season: float  # part of the year in which ground water stands high [-]


NO_EVENTS = Events(cuts=0.0, cut_length=0.0, cut_with_storm=0.0, failures=0.0, unnoticed=0.0, season=0.0)


def _lasts(span: float, mean: float) -> float:
    """Chance that what ends at random after ``mean`` lasts longer than ``span``."""
    return 0.0 if not math.isfinite(span) or mean <= 0.0 else math.exp(-max(span, 0.0) / mean)


def _worst_period(
    reach: Reach, outage: Outage | None, low: float, high: float, halvings: int, rarest: float | None = None
) -> float:
    """Return period from which on the floor is wet; ``low`` if from there on, infinite if not up to ``high``. [years]

    ``rarest`` is what ``reach`` tells at ``high``, where that is known already.
    """
    at_high = reach(high, outage) if rarest is None else rarest
    if not math.isfinite(at_high):
        return math.inf
    if math.isfinite(reach(low, outage)):
        return low
    dry, wet = low, high
    for _ in range(halvings):
        middle = math.sqrt(dry * wet)
        dry, wet = (dry, middle) if math.isfinite(reach(middle, outage)) else (middle, wet)
    return math.sqrt(dry * wet)


def yearly_rates(
    reach: Reach, events: Events, low: float, high: float, duration: float, halvings: int = HALVINGS,
    nodes: int = NODES, starts: int = STARTS,
) -> Mapping[str, float]:  # fmt: skip
    """How often a year the floor is wet, by cause.

    Parameters
    ----------
    reach : callable
        When the water reaches the slab, in a storm or in dry weather, with an outage that does not end.
    events : Events
        Power cuts and pump failures.
    low, high : float
        Return periods between which storms are known. [years]
    duration : float
        Of the storm. [s]
    halvings, nodes, starts : int
        How finely.

    Returns
    -------
    Mapping
        By ``CAUSES``. [1/year]

    Raises
    ------
    InputError
        If the periods are not in order.

    Notes
    -----
    Storms greater than that of the return period T come 1/T times a year. A greater storm is taken to be no kinder,
    so that the sound plant is wet from one T on, found by halving. A cut that starts at s wets the floor if it lasts
    longer than the water takes to the slab: that span comes from one run in which the power stays out. Its chance is
    integrated over 1/T at ``nodes`` periods by straight lines, and over the starts at their middles. Storms beyond
    ``high`` count as the storm of ``high``. Where neither an endless cut nor a dead pump wets the floor in the storm of
    ``high``, no storm does. Dry weather is told apart: an endless outage there, and how likely it lasts so long.
    """
    if not 0.0 < low < high:
        raise InputError(f"low = {low!r}, high = {high!r}: expected return periods in order")
    found = dict.fromkeys(CAUSES, 0.0)
    powered = events != NO_EVENTS
    cut_high = reach(high, ("cut", 0.0)) if powered else math.inf
    dead_high = reach(high, ("dead", 0.0)) if powered else math.inf
    if powered:
        dry_cut, dry_dead = reach(None, ("cut", 0.0)), reach(None, ("dead", 0.0))
        found["power cut in dry weather"] = events.season * events.cuts * _lasts(dry_cut, events.cut_length)
        found["dead pump in dry weather"] = events.season * events.failures * _lasts(dry_dead, events.unnoticed)
        if not math.isfinite(min(cut_high, dead_high)):
            return found
    alone = _worst_period(reach, None, low, high, halvings)
    found["storm"] = 1.0 / alone if math.isfinite(alone) else 0.0
    if not powered:
        return found
    if math.isfinite(cut_high) and alone > low:
        upper = min(alone, high)
        periods = np.geomspace(low, upper, nodes)
        shares = _cut_shares(reach, periods.tolist(), events.cut_length, duration, starts)
        met = float(np.trapezoid(shares[::-1], 1.0 / periods[::-1]))
        beyond = shares[-1] / high if not math.isfinite(alone) else 0.0
        found["storm and power cut"] = events.cut_with_storm * (met + beyond)
    if math.isfinite(dead_high):
        dead = _worst_period(reach, ("dead", 0.0), low, high, halvings, dead_high)
        share = -math.expm1(-events.failures * events.unnoticed / YEAR)
        found["storm and dead pump"] = share * max(0.0, 1.0 / dead - found["storm"])
    return found


def _cut_shares(
    reach: Reach, periods: Sequence[float], length: float, duration: float, starts: int
) -> list[float]:  # fmt: skip
    """Chances that a cut in a storm lasts until the slab is reached, its start anywhere in the storm; rising periods.

    A start from which a greater storm does not reach the slab is not asked again for a smaller one.
    """
    wet, found = [duration * (place + 0.5) / starts for place in range(starts)], []
    for period in reversed(periods):
        spans = {start: reach(period, ("cut", start)) - start for start in wet}
        wet = [start for start, span in spans.items() if math.isfinite(span)]
        found.append(sum(_lasts(span, length) for span in spans.values()) / starts)
    return found[::-1]


__all__ = ["CAUSES", "NO_EVENTS", "Events", "Outage", "Reach", "yearly_rates"]
