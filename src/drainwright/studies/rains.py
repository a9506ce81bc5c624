"""The rains of a study: storms of a return period, and years of a record or of made rain as storms of their own.

A year of a record becomes one nested storm: as sharp, at every duration, as the year's largest rain of that duration.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drainwright.errors import InputError

if TYPE_CHECKING:
    from drainwright.exchange.rain_record import RainRecord
    from drainwright.job.model import Job
    from drainwright.water.rain import RainTable


def table_of(rain: Mapping[str, Any], return_period: float) -> RainTable:
    """The rain table of one year: its depths stand at the storm's return period, whatever that is.

    Parameters
    ----------
    rain : mapping
        With ``depths``, pairs of duration [s] and depth [m], and ``source``.
    return_period : float
        That the storm test asks for. [s]
    """
    from drainwright.job.values import Basis
    from drainwright.water.rain import RainTable

    return RainTable(
        durations=tuple(float(duration) for duration, _ in rain["depths"]),
        return_periods=(return_period,),
        depths=tuple((float(depth),) for _, depth in rain["depths"]),
        source=str(rain["source"]),
        basis=Basis.MEASURED if rain["measured"] else Basis.ASSUMED,
    )


def years_of(record: RainRecord, source: str, measured: bool) -> dict[int, dict[str, Any]]:
    """Each year of a record that was read well enough, as a rain: its largest depth of each duration.

    Depths bear the factor for steps that are fixed by the clock (see ``water.record_maxima``), but none is greater than
    that of a longer duration.
    """
    from drainwright.water.record_maxima import maxima_of

    found: dict[int, list[list[float]]] = {}
    for maxima in reversed(maxima_of(record)):
        for year, depth in zip(maxima.years, maxima.depths, strict=True):
            rows = found.setdefault(year, [])
            most = rows[0][1] if rows else math.inf
            if depth > 0.0:
                rows.insert(0, [maxima.duration, min(most, float(depth) * maxima.step_factor)])
    return {
        year: {"depths": rows, "source": f"{source}, {year}", "measured": measured}
        for year, rows in sorted(found.items())
        if rows
    }


def record_years(path: Path, unit: str | None, years: Sequence[int]) -> list[dict[str, Any]]:
    """Years of a record file; all that count where none is named.

    Raises
    ------
    InputError
        If the file cannot be read, or a year that is named was not read well enough.
    """
    from drainwright.exchange.rain_record import read_rain_record

    there = years_of(read_rain_record(path, unit), path.name, measured=True)  # type: ignore[arg-type]  # in or mm
    return _chosen(there, years, path.name)


def made_years(job: Job, seed: int, years: int, yearly_depth: float | None) -> list[dict[str, Any]]:
    """Years of rain made from the job's rain table, each as a rain.

    Raises
    ------
    InputError
        If the table does not allow it, or a year has hardly any rain.
    """
    from drainwright.water.rain import rain_table
    from drainwright.water.rain_process import as_record, fit_process, made_rain

    process = fit_process(rain_table(job.rain), yearly_depth)
    made = as_record(made_rain(process, years, seed), f"made rain, seed {seed}")
    found = [{**year, "seed": seed} for year in years_of(made, made.name, measured=False).values()]
    if len(found) < years:
        raise InputError(
            f"made rain: found {years - len(found)} of {years} years with too little rain; expected it in each"
        )
    return found


def _chosen(there: Mapping[int, dict[str, Any]], years: Sequence[int], name: str) -> list[dict[str, Any]]:
    if not there:
        raise InputError(f"{name}: found no year that was read well enough; expected 80 % of one, at least")
    missing = [year for year in years if year not in there]
    if missing:
        raise InputError(
            f"{name}: found no {missing[0]}, or too little of it; expected one of {', '.join(map(str, there))}"
        )
    return [there[year] for year in years or there]


__all__ = ["made_years", "record_years", "table_of", "years_of"]
