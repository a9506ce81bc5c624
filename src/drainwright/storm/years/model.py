"""What a long run tells: spells of wet weather, years, outcomes that should not be, and how often they come."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.water.extremes import FittedLaw

Series = NDArray[np.float64]
LEAST_READ = 0.8  # share of a year that must have been read for it to count: common practice, no source [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class WetSpell:
    """A stretch of wet weather: rain with no dry gap long enough for the plant to run dry."""

    first: int  # its first row in the depths of its ``SpellRain``
    last: int  # its last row, itself part of it
    start: float  # of the first step, from the start of the rain [s]
    depth: float  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class YearRead:
    """A calendar year of a rain record, and how much of it was read."""

    year: int
    start: float  # from the start of the rain; below zero where the record begins within the year [s]
    end: float  # [s]
    share: float  # read [-]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SpellRain:
    """Rain as the long run takes it: an even step, wet spells only, dry time between them left out."""

    name: str
    begins: np.datetime64  # start of the first step of the record
    span: float  # first step to last [s]
    step: float  # [s]
    apart: float  # dry time that parts two spells [s]
    depths: Series  # in each step of each spell, one spell after the other, dry steps within spells too [m]
    spells: tuple[WetSpell, ...]
    years: tuple[YearRead, ...]
    unread: Series  # (stretches, 2) from when to when nobody knows whether it rained [s]
    made: bool = False  # by a process with a seed, not read by a gauge
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StationYear:
    """One lift station through one year, or through all of a run."""

    name: str
    starts: float  # of its pumps; cycles that were passed over are counted too, so it need not be whole
    seconds: float  # run time, both pumps added [s]
    second_seconds: float  # of the second pump alone [s]
    pumped: float  # [m³]
    energy: float | None  # drawn; None: the sheet does not say enough [J]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpellTold:
    """What one wet spell did."""

    start: float  # from the start of the rain [s]
    seconds: float  # from its first rain until the surfaces were dry, or the next spell began [s]
    depth: float  # of rain [m]
    peak: float  # most rain in one step of the record [m]
    highest: float | None  # at the house until the next spell; None: no water in a drain or basin there [m]
    highest_at: float | None  # from the start of the rain [s]
    pond: float  # deepest over a grate [m]
    spilled: float  # run off over rims [m³]
    starts: float  # of all pumps within ``seconds``
    pump_seconds: float  # likewise [s]
    slab_seconds: float  # at or above the slab, until the next spell [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class YearTold:
    """One calendar year of the long run."""

    year: int
    share: float  # of the year that was read [-]
    counts: bool  # read well enough to stand among the yearly maxima
    rain: float  # [m]
    highest: float | None  # water at the house; None: no water in a drain or basin there [m]
    highest_at: float | None  # from the start of the rain [s]
    pond: float  # deepest over a grate [m]
    pond_at: str | None  # that grate
    spilled: float  # over rims [m³]
    slab_seconds: float  # at or above the slab [s]
    stations: tuple[StationYear, ...]

    @property
    def starts(self) -> float:
        """Pump starts of all stations."""
        return sum(station.starts for station in self.stations)

    @property
    def pump_seconds(self) -> float:
        """Run time of all pumps [s]."""
        return sum(station.seconds for station in self.stations)

    @property
    def pumped(self) -> float:
        """Volume lifted by all pumps; water that two stations lift counts twice [m³]."""
        return sum(station.pumped for station in self.stations)

    @property
    def energy(self) -> float | None:
        """Drawn by all pumps; None where one of them is not known [J]."""
        known = [station.energy for station in self.stations if station.energy is not None]
        return sum(known) if len(known) == len(self.stations) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class BadOutcome:
    """Something that should not be: a figure of the year at or above a threshold."""

    key: str  # "slab", "pond", "spill", "starts"; "starts: YARD" where there are several stations
    title: str
    unit: str  # "m", "m3" or "1/h"
    threshold: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Return:
    """How often a bad outcome comes. Periods are in years; None: it cannot be told."""

    outcome: BadOutcome
    years: tuple[int, ...]  # that count
    maxima: tuple[float, ...]  # of each
    plotted: tuple[float, ...]  # return period of each by its rank (Gringorten's positions) [years]
    reached: int  # years in which the threshold was reached
    law: FittedLaw | None  # None: too few years, or maxima that no such law fits
    by_rank: float | None  # [years]
    by_law: float | None  # [years]
    low: float | None  # nine of ten: the return period lies above this [years]
    high: float | None  # and below this; None: no upper end can be told [years]
    beyond: bool  # the threshold lies beyond the data: ``by_law`` is no more than a guess, ``low`` a bound
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LongRun:
    """Decades of rain through the plant."""

    record: str
    begins: np.datetime64
    span: float  # [s]
    step: float  # of the rain [s]
    made: bool
    slab_level: float  # [m]
    spells: tuple[SpellTold, ...]
    years: tuple[YearTold, ...]
    returns: tuple[Return, ...]
    stations: tuple[StationYear, ...]  # over the whole run
    volumes: Mapping[str, float]  # "in", "ground", "out" (soaked away too), "away", "stored" over the whole run [m³]
    worst_balance: float  # greatest error of the water balance of any spell or dry stretch, over what moved in it [-]
    steps: int  # of the stepper
    highest: float | None  # at the house; None: no water in a drain or basin there [m]
    house_dry: bool  # a drain or basin is there, and no water stood in it
    highest_spell: int | None  # which spell brought it, counted from 0; None: ground water alone
    sources: tuple[str, ...]
    notes: tuple[str, ...]

    def outcome(self, key: str) -> Return | None:
        """The return of a bad outcome, if it was looked for."""
        return next((each for each in self.returns if each.outcome.key == key), None)


__all__ = [
    "LEAST_READ", "BadOutcome", "FittedLaw", "LongRun", "Return", "Series", "SpellRain", "SpellTold", "StationYear",
    "WetSpell", "YearRead", "YearTold",
]  # fmt: skip
