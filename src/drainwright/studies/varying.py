"""From what a study varies to a list of changes: rows, grids, samples."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from drainwright.errors import InputError

_RANGE = re.compile(
    r"\s*(?P<low>[-+]?[0-9]*\.?[0-9]+(?:e[-+]?[0-9]+)?)\s*(?P<unit_low>[^0-9\s,][^,]*?)?\s+to\s+"
    r"(?P<high>[-+]?[0-9]*\.?[0-9]+(?:e[-+]?[0-9]+)?)\s*(?P<unit>[^0-9\s,][^,]*?)?\s*(?P<log>,\s*logarithmic)?\s*",
    re.IGNORECASE,
)
WANTED = "a range such as '0.5 ft/day to 4 ft/day', or '... , logarithmic', both ends in one unit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """Between what a value is drawn."""

    low: float  # in the unit
    high: float
    unit: str  # empty: a bare number
    logarithmic: bool

    def at(self, share: float) -> float | str:
        """The value at a share of the range, written as in a job."""
        if self.logarithmic:
            value = self.low * (self.high / self.low) ** share
        else:
            value = self.low + (self.high - self.low) * share
        value = float(f"{value:.12g}")  # the last digits of a power may differ between machines
        return f"{value!r} {self.unit}" if self.unit else value


def range_of(text: object) -> Range:
    """Read a range.

    Raises
    ------
    InputError
        If it is none.

    Examples
    --------
    >>> range_of("18 in to 30 in").at(0.5)
    '24.0 in'
    """
    match = _RANGE.fullmatch(text) if isinstance(text, str) else None
    if match is None:
        raise InputError(f"found {str(text)[:60]!r}: expected {WANTED}")
    low, high, unit, logarithmic = float(match["low"]), float(match["high"]), match["unit"] or "", bool(match["log"])
    if match["unit_low"] and match["unit_low"] != unit:
        raise InputError(f"found {match['unit_low']!r} and {unit!r} in {str(text)[:60]!r}: expected {WANTED}")
    if not low < high or (logarithmic and low <= 0.0):
        raise InputError(f"found {str(text)[:60]!r}: expected the low end first" + (", above zero" * logarithmic))
    return Range(low=low, high=high, unit=unit, logarithmic=logarithmic)


def latin_hypercube(count: int, ranges: Mapping[str, Range], seed: int) -> list[dict[str, Any]]:
    """Draw rows of values so that each range is covered evenly: one value in each of ``count`` parts of it.

    Parameters
    ----------
    count : int
        Rows, one or more.
    ranges : mapping
        By key.
    seed : int
        The same seed gives the same rows.

    Notes
    -----
    McKay, Beckman and Conover (1979), with a draw within each part; by ``numpy.random.PCG64``, whose stream is fixed.
    """
    import numpy as np

    draw = np.random.Generator(np.random.PCG64(seed))
    columns = {}
    for key, span in ranges.items():
        order = np.argsort(draw.random(count), kind="stable")
        columns[key] = [span.at(float(share)) for share in (order + draw.random(count)) / count]
    return [{key: values[row] for key, values in columns.items()} for row in range(count)]


def rows_of(
    vary: Mapping[str, Any] | Sequence[Mapping[str, Any]], sample: int | None, seed: int
) -> list[dict[str, Any]]:
    """All changes of a study, in order: rows as they stand, or each of a grid with each of a sample.

    Raises
    ------
    InputError
        If a range is none.
    """
    if not isinstance(vary, Mapping):
        return [dict(row) for row in vary] or [{}]
    lists = {key: value for key, value in vary.items() if isinstance(value, list | tuple)}
    ranges = {key: range_of(value) for key, value in vary.items() if key not in lists}
    drawn = latin_hypercube(sample, ranges, seed) if ranges and sample else [{}]
    grid = [dict(zip(lists, values, strict=True)) for values in itertools.product(*lists.values())]
    return [{**one, **other} for one in grid for other in drawn]


def count_of(vary: Mapping[str, Any] | Sequence[Mapping[str, Any]], sample: int | None) -> int:
    """How many rows there will be, told before they are made."""
    if not isinstance(vary, Mapping):
        return max(1, len(vary))
    return math.prod(len(value) for value in vary.values() if isinstance(value, list | tuple)) * (sample or 1)


__all__ = ["WANTED", "Range", "count_of", "latin_hypercube", "range_of", "rows_of"]
