"""A mixed-integer linear program while it is put together, and its solution by HiGHS."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np


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

    def solve(self, low: Sequence[float], high: Sequence[float]) -> np.ndarray | None:
        """The optimum within these bounds, or None where the program has none."""
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_array

        entries = [(i, j, value) for i, row in enumerate(self.rows) for j, value in row.items()]
        i, j, value = zip(*entries, strict=True)
        matrix = coo_array((value, (i, j)), shape=(len(self.rows), len(self.cost))).tocsc()
        result = milp(
            np.array(self.cost),
            integrality=np.array(self.whole),
            bounds=Bounds(np.array(low), np.array(high)),
            constraints=LinearConstraint(matrix, np.array(self.least), np.array(self.most)),
            options={"mip_rel_gap": 0.0},
        )
        if result.status == 2:
            return None
        if result.x is None:
            raise RuntimeError(f"the solver stopped without an answer: {result.message}")
        return np.asarray(result.x)


__all__ = ["Program"]
