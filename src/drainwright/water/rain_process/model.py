"""The records of made rain: a kind of storm, a process of one or two kinds, how well it meets what it was fitted to."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drainwright.errors import InputError

HOUR = 3600.0  # s
YEAR = 31557600.0  # Julian year [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class StormKind:
    """Storms of one kind. Each draws its own pace; its cells, gaps and length all go by that pace.

    Raises
    ------
    InputError
        If a parameter is not above zero, or storms would last without end on the mean (``pace_shape`` of one or
        less), or storm and cells die at the same pace (``storm_end`` of one).
    """

    rate: float  # storms in a second [1/s]
    pace_shape: float  # alpha: shape of the gamma law of a storm's pace, above one [-]
    pace_time: float  # nu: mean pace is pace_shape / pace_time [s]
    cells: float  # kappa: rate of new cells over pace [-]
    storm_end: float  # phi: rate at which a storm ends over pace [-]
    cell_depth: float  # iota: mean intensity of a cell over pace, and so the mean depth of a cell [m]
    tail: float = 1.0  # Weibull exponent of cell intensity: 1 exponential, below 1 a heavier tail [-]

    def __post_init__(self) -> None:
        for name in ("rate", "pace_shape", "pace_time", "cells", "storm_end", "cell_depth", "tail"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value > 0.0):
                raise InputError(f"{name} = {value!r}: expected a finite number above zero")
        if self.pace_shape <= 1.0:
            raise InputError(f"pace_shape = {self.pace_shape!r}: expected above 1, or storms have no mean length")
        if abs(self.storm_end - 1.0) < 1e-6:
            raise InputError(f"storm_end = {self.storm_end!r}: expected another value than 1")

    @property
    def cells_a_storm(self) -> float:
        """Mean number of cells [-]."""
        return 1.0 + self.cells / self.storm_end

    @property
    def storm_depth(self) -> float:
        """Mean rain of a storm [m]."""
        return self.cells_a_storm * self.cell_depth

    @property
    def cell_length(self) -> float:
        """Mean length of a cell [s]."""
        return self.pace_time / (self.pace_shape - 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """One duration and return period: the rain wanted, and the rain of the process."""

    duration: float  # [s]
    return_period: float  # mean time between events [s]
    wanted: float  # [m]
    made: float  # of years made with other draws than those of the fit [m]

    @property
    def share(self) -> float:
        """Made over wanted, less one [-]."""
        return self.made / self.wanted - 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedProcess:
    """A rain process. The same the whole year round: it knows no seasons."""

    kinds: tuple[StormKind, ...]
    misfit: tuple[Misfit, ...]  # empty where fitted to a record's statistics
    assumed: tuple[str, ...]  # what was assumed, in words
    notes: tuple[str, ...]
    source: str

    @property
    def yearly_depth(self) -> float:
        """Mean rain of a year [m]."""
        return YEAR * sum(kind.rate * kind.storm_depth for kind in self.kinds)

    @property
    def storms_a_year(self) -> float:
        """Mean number of storms that begin in a year; fewer wet spells, since storms overlap [-]."""
        return YEAR * sum(kind.rate for kind in self.kinds)

    @property
    def worst(self) -> Misfit | None:
        """The greatest misfit; None where there is none."""
        return max(self.misfit, key=lambda each: abs(each.share), default=None)


__all__ = ["HOUR", "YEAR", "FittedProcess", "Misfit", "StormKind"]
