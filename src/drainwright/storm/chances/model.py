"""What the chances are made of, and what they tell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drainwright.job.values import Basis

Sample = NDArray[np.float64]
Law = Literal["lognormal", "normal", "triangular", "yes or no"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertain:
    """An input that nobody knows for sure.

    Lognormal and normal have two halves that meet at the middle, with 5 and 95 of a hundred at ``low`` and ``high``.
    Triangular: from ``low`` to ``high``, most likely ``middle``. Yes or no: 1 with the chance ``middle``, else 0.
    """

    key: str  # "conductivity", "water table" ...
    name: str  # as it is told
    law: Law
    low: float  # SI
    middle: float
    high: float
    unit: str
    basis: Basis
    why: str  # where the range comes from
    test: str = ""  # what would measure it; empty: nothing that a visit could do
    test_spread: float = 0.0  # standard error of that test: of the logarithm where lognormal, else in the unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """From where to where a figure lies, nine times of ten, and its middle."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """How much of a figure's variance an input makes. None: it does not vary, or so seldom that nothing can be told."""

    key: str
    name: str
    first: Interval | None  # by itself [-]
    total: Interval | None  # with all that it does together with others [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """What knowing one input would bring."""

    key: str
    name: str
    test: str
    before: Interval  # chance a year, as the inputs are known now [-]
    after: Interval  # the same where a test has told the middle, ends averaged over what it may tell [-]
    narrowing: float  # share of the chance's standard deviation that the test would take away, on average [-]
    perfect: float | None  # money that knowing it for sure is worth at most; None: no costs given
    sample: float | None  # money that the test is worth, before its own price


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """An input that moves the chance of the chief cause from sample to sample, more than it would by accident."""

    key: str
    name: str
    rank: float  # correlation of its rank with that chance's; above zero: the more of it, the wetter [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The chance with one remedy built, in the same samples."""

    key: str
    title: str
    size: float  # of a battery its charge, which its title tells [Ah]; of a pump its label; nought: not known [W]
    where: str
    note: str
    per_year: float  # mean [-]
    sampling: Interval  # of that mean [-]
    price: float | None  # on top of the job's; None: not priced


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """Years counted, and what they tell."""

    years: int  # that count
    wet: int
    sets: int
    band: Interval  # chance a year with its band, nine times of ten; none counted: from nothing to an upper bound [-]
    worth: float  # so many years with nothing in common would tell as much; none or all wet: of the fewest clusters
    alike: float | None  # none counted: the upper bound, were the years of all sets independent of each other [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """The storms of the rain table within the years, and how many brought water to the slab, taken in four ways."""

    expected: float  # so many would come by the table
    storms: int  # as many came
    carried: int  # wet as carried through the years
    rested: int  # wet with soil and plant at rest before the spell, as before a design storm
    alone: int  # wet if besides only the design's time with the most rain falls
    shaped: int  # wet if besides as much rain falls in the design storm's shape


@dataclass(frozen=True, slots=True, kw_only=True)
class ByYears:
    """The chance a year again, counted in years of rain."""

    counted: Counted
    years_each: int  # of each set of inputs
    rain: str
    made: bool
    by_cause: Mapping[str, int]  # wet years by what was amiss when the water first reached the slab in them
    tally: Tally
    agree: bool  # the bands of both ways have a part in common
    why: tuple[str, ...]  # what makes the two ways differ
    notes: tuple[str, ...]


NO_HOUSE = (
    "Not told: this system has no drain and no basin at the house, so it shows nothing of water at the floor. "
    "It neither keeps the floor dry nor wets it in this reckoning."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """The chance a year of water at or above the slab."""

    per_year: float  # mean over all that is uncertain [-]
    sampling: Interval  # of that mean: how far the number of samples leaves it open [-]
    inputs: Interval  # 5, 50 and 95 of a hundred of the chance, as the inputs are known [-]
    over_10_years: float  # as for 30
    over_30_years: float  # at least once; mean over the inputs, each the same through all the years [-]
    by_cause: Mapping[str, float]  # yearly rate of each cause [1/year]
    cause_bands: Mapping[str, Interval]  # chance a year of each, its mean with the band as in ``sampling`` [-]
    rarer: float  # rains rarer than the rain table tells come so often; counted as its rarest rain [1/year]
    method: str
    samples: int
    runs: int  # of the stepper
    seed: int
    uncertain: tuple[Uncertain, ...]
    drivers: tuple[Driver, ...] = ()  # of the highest water in a storm of the table in which the power goes
    wet_drivers: tuple[Driver, ...] = ()  # of whether it reaches the slab
    worth: tuple[Worth, ...] = ()
    reasons: tuple[Reason, ...] = ()  # of the chief cause, the strongest first
    choices: tuple[Choice, ...] = ()  # remedies that were tried
    best: str | None = None  # of the options, by the costs given
    losses: Mapping[str, float] | None = None  # expected, of each option over 30 years; None: no costs given
    by_years: ByYears | None = None  # the same chance by long records; None: not asked for
    notes: tuple[str, ...] = ()
    at_house: bool = True  # a drain or basin of the system is at the house; without one no chance can be told

    @property
    def chief(self) -> str | None:
        """The cause that comes most often; None: none was met."""
        cause = max(self.by_cause, key=lambda one: self.by_cause[one], default=None)
        return None if cause is None or self.by_cause[cause] <= 0.0 else cause


__all__ = [
    "NO_HOUSE",
    "ByYears",
    "Chance",
    "Choice",
    "Counted",
    "Driver",
    "Interval",
    "Law",
    "Reason",
    "Sample",
    "Tally",
    "Uncertain",
    "Worth",
]
