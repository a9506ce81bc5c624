"""A water table that moves as a well's record shows: by how much the ground water stands below its high level."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError
from drainwright.exchange.well_record import WellRecord
from drainwright.quantities import percent
from drainwright.storm.engine.plant import Floats, Ground
from drainwright.storm.parts.ground_cells import CELLS

HIGH = 0.95  # share of all readings under the level that is set equal to the design's: common practice, no source [-]
YEAR = 365.25 * 86400.0  # [s]
SECOND = np.timedelta64(1, "s")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WaterTable:
    """How a water table moves against its high level. Beyond the record it begins anew after whole years."""

    name: str
    times: Floats  # of readings, from the start of the rain [s]
    shifts: Floats  # of each [m]
    span: float  # whole years of the record, after which it begins anew [s]
    notes: tuple[str, ...]

    def shift(self, time: Floats) -> Floats:
        """Above the high level, below it negative. [m]

        Parameters
        ----------
        time : array
            From the start of the rain. [s]
        """
        first = self.times[0]
        beyond = (time < first) | (time > self.times[-1])
        return np.asarray(
            np.interp(np.where(beyond, first + np.mod(time - first, self.span), time), self.times, self.shifts)
        )


def water_table(record: WellRecord, begins: np.datetime64) -> WaterTable:
    """The water table of a well's record, beside rain that begins at a date.

    Parameters
    ----------
    record : WellRecord
        Of a year or more, at least a reading a month in the mean.
    begins : datetime64
        Start of the rain.

    Returns
    -------
    WaterTable
        Moved so that the level with 95 % of the readings at or under it is the design's: a twentieth of the time
        stands higher.

    Raises
    ------
    InputError
        If the record is shorter than a year, or has too few readings.
    """
    known = np.isfinite(record.levels)
    times, levels = (record.times[known] - begins) / SECOND, record.levels[known]
    if times.size < 2 or times[-1] - times[0] < YEAR:
        days = 0.0 if times.size < 2 else float(times[-1] - times[0]) / 86400.0
        raise InputError(f"{record.name}: found readings over {days:.0f} days; expected a year or more")
    span = YEAR * np.floor((times[-1] - times[0]) / YEAR)
    if times.size < 12.0 * (times[-1] - times[0]) / YEAR:
        raise InputError(
            f"{record.name}: found {times.size} readings over {(times[-1] - times[0]) / YEAR:.1f} years; expected one a"
            " month or more"
        )
    shifts = levels - float(np.quantile(levels, HIGH))
    mean = -float(np.mean(shifts))
    note = (
        f"the far ground water moves as in {record.name}: the level that {percent(HIGH)} of its readings do not pass"
        f" stands for the design's, the mean {mean:.2f} m ({mean / 0.3048:.1f} ft) lower; beyond the"
        f" record it begins anew, after"
        f" {span / YEAR:.0f} whole years. A well elsewhere tells of the lot only as far as the ground is alike"
    )
    return WaterTable(
        name=record.name, times=np.asarray(times, np.float64), shifts=shifts, span=float(span), notes=(note,)
    )


def lowest_shift(ground: Ground) -> float:
    """The shift that takes the far water down to the lowest drain, and no further; below zero. [m]"""
    rows = ground.far.size // (CELLS + 1)
    if rows == 0:
        return 0.0
    far, drains = ground.far.reshape(rows, CELLS + 1)[:, -1], ground.floor_a.reshape(rows, CELLS + 1)[:, 0]
    return float(min(np.min(drains - far), 0.0))


__all__ = ["HIGH", "WaterTable", "lowest_shift", "water_table"]
