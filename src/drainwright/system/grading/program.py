"""A mixed-integer linear program while it is put together, and its solution by HiGHS."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from drainwright.system.grading.reach import CROSSED, reached

if TYPE_CHECKING:
    from scipy.sparse import csr_array

NEARLY = 0.2  # rows that broken choices keep by less are likely to be broken by whole ones
BROKEN = 1e-7  # a row is broken where it misses by more; the solver's own tolerance


@dataclass(frozen=True, slots=True, kw_only=True)
class Optimum:
    """An answer of the solver, with its proof."""

    values: np.ndarray
    objective: float
    bound: float  # no answer is lower than this
    gap: float  # between the two, relative [-]


@dataclass(slots=True)
class Program:
    """Variables and rows of a mixed-integer linear program while it is put together."""

    cost: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[dict[int, float]] = field(default_factory=list)
    least: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    asleep: dict[int, int] = field(default_factory=dict)  # rows that no answer has broken yet, and who pays for each
    _matrix: csr_array | None = None

    def variable(self, cost: float = 0.0, low: float = -np.inf, high: float = np.inf, whole: bool = False) -> int:
        """Add a variable; its number."""
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def row(
        self, terms: Mapping[int, float], least: float = -np.inf, most: float = np.inf, payer: int | None = None
    ) -> None:
        """Add a condition: the sum of the terms lies between the two.

        One with a payer, a variable without end that has a price and stands in no other row, can always be kept: it
        sleeps until an answer breaks it, and for good where its payer costs nothing.
        """
        if payer is not None:
            self.asleep[len(self.rows)] = payer
        self.rows.append(dict(terms))
        self.least.append(least)
        self.most.append(most)
        self._matrix = None

    def solve(
        self,
        low: Sequence[float],
        high: Sequence[float],
        cost: Sequence[float] | None = None,
        let_go: Collection[int] = (),
    ) -> Optimum | None:
        """The optimum within these bounds, or None where the program has none.

        Parameters
        ----------
        low, high : sequence of float
            Bounds of the variables.
        cost : sequence of float, optional
            In place of the program's own.
        let_go : collection of int
            Slacks without end that cost nothing: the rows that have one are left out, for they can always be kept.

        Raises
        ------
        RuntimeError
            If the solver stops without an answer.
        """
        price = np.array(self.cost if cost is None else cost)
        bounds = np.array(low, dtype=float), np.array(high, dtype=float)
        whole = np.array(self.whole, dtype=bool)
        asked = np.ones(len(self.rows), dtype=bool)
        if let_go:
            asked = ~np.isin(np.arange(len(self.rows)), self._sparse()[:, sorted(let_go)].nonzero()[0])
        waiting = any(price[payer] > 0.0 for payer in self.asleep.values())
        for relaxed in (True, False):  # with broken yes-or-nos first: that wakes most of the rows that bind, cheaply
            if relaxed and not (waiting and bool(np.any(whole & (bounds[0] < bounds[1])))):
                continue
            while True:
                answer = self._solved(price, *bounds, np.zeros_like(whole) if relaxed else whole, asked)
                if answer is None or not self._woken(answer.values, price):
                    break
            if relaxed and answer is not None:
                self._woken(answer.values, price, NEARLY)
            if answer is None:
                return None
        return answer

    def _solved(
        self, price: np.ndarray, low: np.ndarray, high: np.ndarray, whole: np.ndarray, asked: np.ndarray
    ) -> Optimum | None:
        """The optimum of the rows that are asked and awake, with what is fixed put in."""
        awake = asked.copy()
        awake[list(self.asleep)] = False
        matrix, least, most = self._sparse()[awake], np.array(self.least)[awake], np.array(self.most)[awake]
        used = np.bincount(matrix.indices, minlength=len(price)) > 0
        moving = (high > low) & (used | (price < 0.0) | ((price > 0.0) & np.isinf(low)))
        values = np.where(moving, 0.0, np.where(np.isfinite(low), low, np.where(np.isfinite(high), high, 0.0)))
        sunk = matrix @ values
        part = matrix[:, moving]
        bound = np.diff(part.indptr) > 0
        if bool(np.any(np.maximum(least - sunk, sunk - most)[~bound] > CROSSED)):
            return None
        part, least, most = part[bound], (least - sunk)[bound], (most - sunk)[bound]
        low, high, open_ = low[moving], high[moving], whole[moving]
        as_written = part, least, most, low, high, open_
        if bool(np.any(open_)):
            found = reached(part, least, most, low, high, open_)
            if found is None:
                return None
            part, least, low, high = found.matrix, found.least, found.low, found.high
        try:
            result = _by_highs(price[moving], part, least, most, low, high, open_)
        except RuntimeError:  # the tighter rows upset the solver
            result = _by_highs(price[moving], *as_written)
        if result is None:
            return None
        values[moving], lowest, gap = result
        objective, fixed = float(price @ values), float(price[~moving] @ values[~moving])
        return Optimum(values=values, objective=objective, bound=lowest + fixed, gap=gap)

    def _woken(self, values: np.ndarray, price: np.ndarray, margin: float = -BROKEN) -> bool:
        """Whether an answer breaks rows that sleep at a price, or keeps them by less than a margin: they wake."""
        rows = [row for row, payer in self.asleep.items() if price[payer] > 0.0]
        sums = self._sparse()[rows] @ values if rows else np.zeros(0)
        broken = [row for row, total in zip(rows, sums, strict=True) if total < self.least[row] + margin]
        for row in broken:
            del self.asleep[row]
        return bool(broken)

    def _sparse(self) -> csr_array:
        from scipy.sparse import coo_array

        if self._matrix is None or self._matrix.shape[1] != len(self.cost):
            entries = [(i, j, value) for i, row in enumerate(self.rows) for j, value in row.items() if value != 0.0]
            i, j, value = zip(*entries, strict=True)
            self._matrix = coo_array((value, (i, j)), shape=(len(self.rows), len(self.cost))).tocsr()
        return self._matrix


def _by_highs(
    price: np.ndarray,
    matrix: csr_array,
    least: np.ndarray,
    most: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    whole: np.ndarray,
) -> tuple[np.ndarray, float, float] | None:
    """Values, lower bound and relative gap; None where there is no answer.

    The solver's own presolve starts over again and again, and what it could find is found already: without it a lot
    of 40 runs takes a third of the time. What is then called without an answer is asked once more with it. Where
    nothing has a price, any answer will do and presolve finds it sooner; where presolve leaves nothing to solve the
    solver may stop with an error, and is asked once more without.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    if not price.size:
        return np.zeros(0), 0.0, 0.0
    rows = LinearConstraint(matrix, least, most) if matrix.shape[0] else ()
    plain = bool(np.any(whole)) and bool(np.any(price))
    for presolve in (False, True) if plain else (True, False):
        result = milp(
            price,
            integrality=whole.astype(int),
            bounds=Bounds(low, high),
            constraints=rows,
            options={"mip_rel_gap": 0.0, "presolve": presolve},
        )
        if result.x is not None or (presolve and result.status == 2):
            break
    if result.status == 2:
        return None
    if result.x is None:
        raise RuntimeError(f"the solver stopped without an answer: {result.message}")
    lowest, gap = result.mip_dual_bound, result.mip_gap  # none where nothing is whole: then it is exact
    return np.asarray(result.x), float(result.fun if lowest is None else lowest), 0.0 if gap is None else float(gap)


__all__ = ["Optimum", "Program"]
