"""Rain records in CSV: any step, inches or millimetres, gaps told, values that no gauge can have read set aside."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.exchange.series import MISSING, MISSING_WORDS, TIME_WORDS, Rows, Times, rows_of, times_of
from drainwright.quantities import System, percent

Array = NDArray[np.float64]
RainUnit = Literal["in", "mm"]

METRES: Mapping[RainUnit, float] = {"in": 0.0254, "mm": 0.001}
DAY = 86400.0  # s
YEAR = 365.25 * DAY  # s
LONE = 3.0  # a value so many times the next smaller one stands alone: common practice, no source [-]
LARGEST = 20  # values among which such a step is looked for
PILED = 3.0  # a clock time holding so many times its share of the rain that is listed is noted [-]
UNTOLD = 0.1  # share of missing time from which a mean is told both ways: common practice, no source [-]
DRIEST, WETTEST = 0.02, 13.0  # rain a year beyond which the unit is doubted; the wettest gauges read about 12 m [m]
# Greatest rain of a duration seen anywhere, m and hours: WMO, Guide to Hydrological Practices; from memory.
RECORD_COEFFICIENT, RECORD_POWER = 0.422, 0.475

_RAIN = ("precip", "rain", "depth", "prcp", "ppt")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A stretch without readings."""

    start: np.datetime64  # the last reading before it
    end: np.datetime64  # the first after it

    @property
    def seconds(self) -> float:
        """Its length [s]."""
        return float((self.end - self.start) / np.timedelta64(1, "s"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A value set aside."""

    time: np.datetime64
    depth: float  # as read [m]
    line: int  # of the file, counted from 1
    why: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RainRecord:
    """Rain by time. Suspect values are set aside: they count as missing, and are listed."""

    name: str
    times: Times  # shape (n,), rising; as stamped in the file
    depths: Array  # in the step that each stamp names; NaN where missing, shape (n,) [m]
    step: float  # the usual one [s]
    wet_only: bool  # only wet steps are listed: dry and missing time look the same
    gaps: tuple[Gap, ...]  # of more than one step; none where ``wet_only``
    suspects: tuple[Suspect, ...]

    @property
    def span(self) -> float:
        """From the first stamp to the last, and one step more [s]."""
        return float((self.times[-1] - self.times[0]) / np.timedelta64(1, "s")) + self.step

    @property
    def missing(self) -> float:
        """Share of the span without a reading; 0 where ``wet_only``, since nobody can tell [-]."""
        lost = sum(gap.seconds - self.step for gap in self.gaps) + self.step * float(np.isnan(self.depths).sum())
        return min(1.0, max(0.0, lost / self.span))

    @property
    def yearly(self) -> float:
        """Mean rain a year over the time that was read [m]."""
        return float(np.nansum(self.depths)) / max(self.span * (1.0 - self.missing) / YEAR, 1e-9)


def read_rain_record(path: str | Path, unit: RainUnit | None = None) -> RainRecord:
    """Read a rain record.

    Parameters
    ----------
    path : str | Path
        CSV, or CSV under gzip (``.gz``): a heading, then rows of time and depth; other columns are passed over.
    unit : {"in", "mm"}, optional
        Of the depths; left out, the heading must say it (``precip_in``, ``rain (mm)``).

    Returns
    -------
    RainRecord
        ``record_notes`` tells what was odd.

    Raises
    ------
    InputError
        If the file cannot be read; names the line, what was found and what would be right.
    """
    path = Path(path)
    heading, kept = rows_of(path)
    time_at, rain_at, said = _columns(heading, path.name)
    unit = _unit(unit, said, path.name)
    times = times_of(kept, time_at, path.name)
    depths = _depths(kept, rain_at, path.name) * METRES[unit]
    lines = np.array([number for number, _ in kept])
    return _record(path.name, times, depths, lines)


def _columns(heading: Sequence[str], name: str) -> tuple[int, int, str]:
    """Columns of time and rain, and the rain's heading."""
    words = [cell.strip().lower() for cell in heading]
    times = [n for n, word in enumerate(words) if word.startswith(TIME_WORDS)]
    rains = [n for n, word in enumerate(words) if any(key in word for key in _RAIN)]
    if not times or not rains:
        raise InputError(
            f"{name}: found the heading {','.join(heading)[:80]!r}; expected a column 'time' (or 'date') and"
            " one of rain, like 'precip_in' or 'rain (mm)'"
        )
    if len(rains) > 1:
        raise InputError(
            f"{name}, heading: found {len(rains)} columns of rain ("
            f"{', '.join(heading[n] for n in rains)}); expected one"
        )
    return times[0], rains[0], words[rains[0]]


def _unit(given: RainUnit | None, heading: str, name: str) -> RainUnit:
    parts = set(re.split(r"[^a-z]+", heading))
    said: RainUnit | None = None
    if parts & {"in", "inch", "inches"}:
        said = "in"
    elif parts & {"mm", "millimetre", "millimetres", "millimeters"}:
        said = "mm"
    if given and said and given != said:
        raise InputError(f"{name}, heading: found {heading!r} and the unit {given!r}; expected them to agree")
    unit = given or said
    if unit is None:
        raise InputError(
            f"{name}, heading: found no unit in {heading!r}; expected 'in' or 'mm' there, or given with it"
        )
    return unit


def _depths(kept: Rows, column: int, name: str) -> Array:
    values = np.empty(len(kept))
    for index, (number, row) in enumerate(kept):
        text = row[column].strip() if column < len(row) else ""
        if text.lower() in MISSING:
            values[index] = np.nan
            continue
        try:
            values[index] = float(text)
        except ValueError:
            values[index] = np.inf
        if not 0.0 <= values[index] < 1e6:
            raise InputError(
                f"{name}, line {number}: found the rain {text[:30]!r}; expected a number of zero or more, or,"
                f" where nothing was read, {MISSING_WORDS}"
            )
    if np.isnan(values).all():
        raise InputError(f"{name}: found no reading of rain; expected numbers under its heading")
    return values


def _record(name: str, times: Times, depths: Array, lines: NDArray[np.int_]) -> RainRecord:
    seconds = np.diff(times).astype(np.int64).astype(np.float64)
    step = _usual_step(seconds, depths)
    wet_only = not np.any(depths == 0.0)
    suspects, depths = _set_aside(times, depths, lines, step)
    gaps: tuple[Gap, ...] = ()
    if not wet_only:
        gaps = tuple(Gap(start=times[n], end=times[n + 1]) for n in np.flatnonzero(seconds > 1.5 * step))
    depths.setflags(write=False)
    return RainRecord(name=name, times=times, depths=depths, step=step, wet_only=wet_only, gaps=gaps, suspects=suspects)


def _usual_step(seconds: Array, depths: Array) -> float:
    """The step that most rows follow; where only wet steps are listed, the greatest that all stamps fit."""
    if np.any(depths == 0.0):
        return float(Counter(seconds.tolist()).most_common(1)[0][0])
    whole = np.unique(seconds[seconds <= DAY]).astype(np.int64)
    return float(np.gcd.reduce(whole)) if len(whole) else float(seconds.min())


def _set_aside(times: Times, depths: Array, lines: NDArray[np.int_], step: float) -> tuple[tuple[Suspect, ...], Array]:
    """Values far above all others, or beyond the greatest rain seen anywhere, made missing."""
    clean = depths.copy()
    order = np.argsort(np.nan_to_num(depths))[::-1]
    top = np.nan_to_num(depths)[order[: LARGEST + 1]]
    with np.errstate(divide="ignore", invalid="ignore"):
        steps = np.where(top[1:] > 0.0, top[:-1] / top[1:], 0.0)
    lone = int(np.argmax(steps)) + 1 if len(depths) > 100 and len(steps) and steps.max() >= LONE else 0
    limit = RECORD_COEFFICIENT * (step / 3600.0) ** RECORD_POWER
    found = []
    for rank, index in enumerate(order[: max(lone, int(np.sum(np.nan_to_num(depths) > limit)))].tolist()):
        why = f"more than {LONE:g} times any other value: an instrument's code, or a fault"
        if rank >= lone or depths[index] > limit:
            why = f"more than ever fell anywhere in {step / 60:g} min"
        found.append(Suspect(time=times[index], depth=float(depths[index]), line=int(lines[index]), why=why))
        clean[index] = np.nan
    return tuple(sorted(found, key=lambda suspect: suspect.line)), clean


def record_notes(record: RainRecord, units: System) -> tuple[str, ...]:
    """What is odd in a record, in words.

    Parameters
    ----------
    record : RainRecord
        As read.
    units : {"US", "SI"}
        In which depths are told.

    Returns
    -------
    tuple of str
        Values set aside, gaps, times at which rain piles up, a mean that no place has.
    """
    notes = []
    if record.suspects:
        first, count = record.suspects[0], len(record.suspects)
        many = "1 value was set aside as a fault,"
        if count > 1:
            many = f"{count} values were set aside as faults, the first of"
        depth = rain_depth(first.depth, units)
        notes.append(f"{many} {depth} at {_stamp(first.time)} (line {first.line}): {first.why}.")
    if record.wet_only:
        notes.append("Only wet steps are listed: a dry time and a time without a gauge look the same.")
    elif record.gaps:
        longest = max(record.gaps, key=lambda gap: gap.seconds)
        length = f"{longest.seconds / DAY:.1f} days from {_stamp(longest.start)}"
        many = f"{len(record.gaps)} gaps" if len(record.gaps) > 1 else "1 gap"
        it = "the longest of" if len(record.gaps) > 1 else "of"
        notes.append(f"{many}, {percent(record.missing, 1)} of the time; {it} {length}.")
        if record.missing > UNTOLD:
            whole = float(np.nansum(record.depths)) / (record.span / YEAR)
            notes.append(
                f"The mean of {rain_depth(record.yearly, units)} a year is of the time that was read; if the gaps were"
                f" dry it is {rain_depth(whole, units)}."
            )
    wet = record.times[np.nan_to_num(record.depths) > 0.0]
    if len(wet) > 500 and record.step < DAY:
        clock = (wet.astype("datetime64[s]").astype(np.int64) % int(DAY)).tolist()
        time, count = Counter(clock).most_common(1)[0]
        if count > PILED * len(clock) * record.step / DAY and count > 0.05 * len(clock):
            stamp = f"{time // 3600:02d}:{time % 3600 // 60:02d}"
            notes.append(
                f"{percent(count / len(clock))} of the wet steps are stamped {stamp}: some may be totals "
                "of a longer time."
            )
    if record.span > YEAR and not DRIEST <= record.yearly <= WETTEST:
        notes.append(f"{rain_depth(record.yearly, units)} a year: look at the unit.")
    return tuple(notes)


def rain_depth(depth: float, units: System) -> str:
    """A depth of rain: ``2.31 in``, ``59 mm``.

    Examples
    --------
    >>> rain_depth(0.0254, "US"), rain_depth(1.2, "SI")
    ('1.00 in', '1,200 mm')
    """
    return f"{depth / 0.0254:,.2f} in" if units == "US" else f"{depth * 1000:,.0f} mm"


def _stamp(time: np.datetime64) -> str:
    return str(time.astype("datetime64[m]")).replace("T", " ")


__all__ = ["Gap", "RainRecord", "RainUnit", "Suspect", "rain_depth", "read_rain_record", "record_notes"]
