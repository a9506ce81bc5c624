"""Records of a water level in CSV: a time and a level a row, in feet, metres or centimetres."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.exchange.series import MISSING, MISSING_WORDS, TIME_WORDS, Times, rows_of, times_of

LevelUnit = Literal["ft", "m", "cm"]
METRES: Mapping[LevelUnit, float] = {"ft": 0.3048, "m": 1.0, "cm": 0.01}
_WORDS: Mapping[str, LevelUnit] = {
    "ft": "ft", "feet": "ft", "foot": "ft", "m": "m", "metres": "m", "meters": "m", "cm": "cm",
}  # fmt: skip
_DEPTH = ("depth", "below")
_LEVEL = ("level", "head", "stage", "elev", "water")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WellRecord:
    """Water levels by time, over the record's own datum."""

    name: str
    heading: str  # of the column of levels
    times: Times  # rising, shape (n,)
    levels: NDArray[np.float64]  # NaN where missing, shape (n,) [m]
    depths: bool = False  # levels are minus the depths below a mark at the well

    @property
    def missing(self) -> int:
        """Rows without a level."""
        return int(np.isnan(self.levels).sum())


def read_well_record(path: str | Path, unit: LevelUnit | None = None, *, depths: bool = False) -> WellRecord:
    """Read a record of water levels.

    Parameters
    ----------
    path : str | Path
        CSV, or CSV under gzip: a heading, then rows of time and level; other columns are passed over.
    unit : {"ft", "m", "cm"}, optional
        Of the levels; left out, the heading must say it (``level_ft``, ``head (m)``).
    depths : bool
        Whether the column holds depths below a mark, which count downwards: they become levels below zero.

    Returns
    -------
    WellRecord
        Levels upwards from the record's datum. [m]

    Raises
    ------
    InputError
        If the file cannot be read; names the line, what was found and what would be right. A depth is
        refused unless ``depths`` says so: it counts downwards.
    """
    path = Path(path)
    heading, kept = rows_of(path)
    words = [cell.strip().lower() for cell in heading]
    keys = (*_LEVEL, *_DEPTH) if depths else _LEVEL
    times_at = [n for n, word in enumerate(words) if word.startswith(TIME_WORDS)]
    levels_at = [n for n, word in enumerate(words) if any(key in word for key in keys)]
    like = "depths, like 'depth to water (ft)'" if depths else "levels, like 'level_ft' or 'head (m)'"
    if not times_at or len(levels_at) != 1:
        raise InputError(
            f"{path.name}: found the heading {','.join(heading)[:80]!r}; expected a column 'time' (or 'date')"
            f" and one of {like}"
        )
    said = words[levels_at[0]]
    if not depths and any(key in said for key in _DEPTH):
        raise InputError(
            f"{path.name}, heading: found {said!r}; expected levels, which count upwards. If these are depths below"
            " a mark, say so with --depths"
        )
    known = next((_WORDS[part] for part in re.split(r"[^a-z]+", said) if part in _WORDS), None)
    if unit and known and unit != known:
        raise InputError(f"{path.name}, heading: found {said!r} and the unit {unit!r}; expected them to agree")
    chosen = unit or known
    if chosen is None:
        raise InputError(
            f"{path.name}, heading: found no unit in {said!r}; expected ft, m or cm there, or given with it"
        )
    times = times_of(kept, times_at[0], path.name)
    sign = -1.0 if depths else 1.0
    levels = sign * np.array([_level(row, levels_at[0], number, path.name) for number, row in kept]) * METRES[chosen]
    levels.setflags(write=False)
    head = heading[levels_at[0]].strip()
    return WellRecord(name=path.name, heading=head, times=times, levels=levels, depths=depths)


def _level(row: list[str], column: int, number: int, name: str) -> float:
    text = row[column].strip() if column < len(row) else ""
    if text.lower() in MISSING:
        return math.nan
    try:
        value = float(text)
    except ValueError:
        value = math.inf
    if not abs(value) < 1e6:
        raise InputError(
            f"{name}, line {number}: found the level {text[:30]!r}; expected a number, or, where"
            f" nothing was read, {MISSING_WORDS}"
        )
    return value


__all__ = ["LevelUnit", "WellRecord", "read_well_record"]
