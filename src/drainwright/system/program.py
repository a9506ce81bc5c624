"""A mixed-integer linear program while it is put together, and its solution by HiGHS."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from scipy.sparse import csc_array


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
    _matrix: csc_array | None = None

    def variable(self, cost: float = 0.0, low: float = -np.inf, high: float = np.inf, whole: bool = False) -> int:
        """Add a variable; its number."""
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def row(self, terms: Mapping[int, float], least: float = -np.inf, most: float = np.inf) -> None:
        """Add a condition: the sum of the terms lies between the two."""
        self.rows.append(dict(terms))
        self.least.append(least)
        self.most.append(most)
        self._matrix = None

    def solve(
        self,
        low: Sequence[float],
        high: Sequence[float],
        cost: Sequence[float] | None = None,
    ) -> Optimum | None:
        """The optimum within these bounds, or None where the program has none.

        Parameters
        ----------
        low, high : sequence of float
            Bounds of the variables.
        cost : sequence of float, optional
            In place of the program's own.

        Raises
        ------
        RuntimeError
            If the solver stops without an answer.
        """
        from scipy.optimize import Bounds, LinearConstraint, milp

        result = milp(
            np.array(self.cost if cost is None else cost),
            integrality=np.array(self.whole),
            bounds=Bounds(np.array(low), np.array(high)),
            constraints=LinearConstraint(self._sparse(), np.array(self.least), np.array(self.most)),
            options={"mip_rel_gap": 0.0},
        )
        if result.status == 2:
            return None
        if result.x is None:
            raise RuntimeError(f"the solver stopped without an answer: {result.message}")
        objective = float(result.fun)
        bound, gap = result.mip_dual_bound, result.mip_gap  # none where nothing is whole: then it is exact
        return Optimum(
            values=np.asarray(result.x),
            objective=objective,
            bound=objective if bound is None else float(bound),
            gap=0.0 if gap is None else float(gap),
        )

    def _sparse(self) -> csc_array:
        from scipy.sparse import coo_array

        if self._matrix is None or self._matrix.shape[1] != len(self.cost):
            entries = [(i, j, value) for i, row in enumerate(self.rows) for j, value in row.items()]
            i, j, value = zip(*entries, strict=True)
            self._matrix = coo_array((value, (i, j)), shape=(len(self.rows), len(self.cost))).tocsc()
        return self._matrix


__all__ = ["Optimum", "Program"]
