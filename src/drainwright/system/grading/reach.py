"""How far the variables of a linear program can reach, by its rows alone, and what that makes tighter.

Bounds are carried along the rows until they stand still: down a tree of pipes an invert reaches no higher than what
lies above it allows. A yes-or-no that its rows leave only one answer is settled so, and where a row lets go by a
large number (a pipe passes above a buried line or below it) the number shrinks to what is in reach.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from scipy.sparse import csr_array

ROUNDS = 60  # of carrying bounds along all rows at most
STILL = 1e-6  # bounds that move less stand still
CROSSED = 2e-6  # bounds that cross by more have no answer between them; the solver's own tolerance is 1e-7
ROOM = 1e-6  # left beside what is in reach, against rounding


@dataclass(frozen=True, slots=True)
class Reached:
    """A program with what its rows settle."""

    low: np.ndarray
    high: np.ndarray  # of the yes-or-nos; other variables keep the bounds they had
    matrix: csr_array
    least: np.ndarray
    most: np.ndarray


class _Rows:
    """The rows of a program, entry by entry, for sums over all rows at once."""

    def __init__(self, matrix: csr_array) -> None:
        self.count = matrix.shape[0]
        self.rows = np.repeat(np.arange(self.count), np.diff(matrix.indptr))
        self.columns, self.values = matrix.indices, matrix.data
        self.rising = self.values > 0.0

    def ends(self, low: np.ndarray, high: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Each entry's least and greatest contribution to its row."""
        a, b = self.values * low[self.columns], self.values * high[self.columns]
        return np.where(self.rising, a, b), np.where(self.rising, b, a)

    def others(self, part: np.ndarray) -> np.ndarray:
        """For each entry the sum of the other contributions to its row; infinite where one of them is."""
        endless = ~np.isfinite(part)
        finite = np.where(endless, 0.0, part)
        count = np.bincount(self.rows, endless, self.count)[self.rows] - endless
        total = np.bincount(self.rows, finite, self.count)[self.rows] - finite
        return np.where(count > 0.5, np.nan, total)


def reached(
    matrix: csr_array, least: np.ndarray, most: np.ndarray, low: np.ndarray, high: np.ndarray, whole: np.ndarray
) -> Reached | None:
    """What the rows of a program settle before it is solved.

    Parameters
    ----------
    matrix : csr_array
        Rows by variables, without stored zeros.
    least, most : ndarray
        Of the rows.
    low, high : ndarray
        Of the variables.
    whole : ndarray of bool
        The variables that take whole numbers.

    Returns
    -------
    Reached or None
        The same program, tighter: no answer is lost and none is added. None where bounds cross: it has no answer.

    Examples
    --------
    >>> import numpy as np
    >>> from scipy.sparse import csr_array
    >>> rows = csr_array(np.array([[1.0, -6.0]]))  # x - 6 b >= -5, x at most 0.5: b is no
    >>> found = reached(rows, np.array([-5.0]), np.array([np.inf]), np.array([-9.0, 0.0]), np.array([0.5, 1.0]),
    ...                 np.array([False, True]))
    >>> float(found.high[1])
    0.0
    """
    rows = _Rows(matrix)
    far_low, far_high = low.copy(), high.copy()
    for _ in range(ROUNDS):
        lowest, highest = rows.ends(far_low, far_high)
        over = (most[rows.rows] - rows.others(lowest)) / rows.values
        below = (least[rows.rows] - rows.others(highest)) / rows.values
        top, bottom = np.where(rows.rising, over, below), np.where(rows.rising, below, over)
        new_high, new_low = far_high.copy(), far_low.copy()
        np.fmin.at(new_high, rows.columns, top)
        np.fmax.at(new_low, rows.columns, bottom)
        new_high[whole] = np.floor(new_high[whole] + STILL)
        new_low[whole] = np.ceil(new_low[whole] - STILL)
        if bool(np.any(new_low > new_high + CROSSED)):
            return None
        moved = _moved(far_high, new_high) or _moved(new_low, far_low)
        far_low, far_high = new_low, new_high
        if not moved:
            break
    far_high = np.maximum(far_low, far_high)
    tight, at_least = _tightened(rows, matrix, least, most, far_low, far_high, whole)
    return Reached(np.where(whole, far_low, low), np.where(whole, far_high, high), tight, at_least, most)


def _moved(above: np.ndarray, below: np.ndarray) -> bool:
    """Whether a bound came down by more than nothing, or from without end."""
    finite = np.isfinite(above)
    return bool(np.any(above[finite] - below[finite] > STILL)) or bool(np.any(np.isfinite(below[~finite])))


def _tightened(
    rows: _Rows,
    matrix: csr_array,
    least: np.ndarray,
    most: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    whole: np.ndarray,
) -> tuple[csr_array, np.ndarray]:
    """Rows "at least" in which one yes-or-no lets go by more than is in reach: by no more than that."""
    lowest, _ = rows.ends(low, high)
    others = rows.others(lowest) - ROOM
    free = whole[rows.columns] & (low[rows.columns] == 0.0) & (high[rows.columns] == 1.0)
    needed = least[rows.rows] - np.where(rows.rising, 0.0, rows.values)  # of the others, where the row holds
    spare = np.maximum(needed - others, 0.0)
    one_sided = np.isinf(most)[rows.rows] & np.isfinite(needed) & np.isfinite(spare)
    change = free & one_sided & (spare < np.abs(rows.values))
    # one entry a row only: with two the second would reckon with the first as it was
    first = np.zeros(rows.count, dtype=int)
    np.add.at(first, rows.rows[change], 1)
    change &= first[rows.rows] == 1
    tight, at_least = matrix.copy(), least.copy()
    falling = change & ~rows.rising
    at_least[rows.rows[falling]] = needed[falling] - spare[falling]
    tight.data = np.where(change, np.where(rows.rising, spare, -spare), rows.values)
    return tight, at_least


__all__ = ["Reached", "reached"]
