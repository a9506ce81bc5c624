"""The storm's stepper: its speed beside SciPy's on five systems, and its cost against nodes and length."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "storm"))

TOLERANCE = 5e-4  # of the stepper, as the storm test's [m]


def _least(call: Any, rounds: int) -> float:
    found = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        found.append(time.perf_counter() - start)
    return min(found)


def line(nodes: int, days: int) -> Any:
    """A line of shafts and pipes to a free end, with a burst of rain a day."""
    from plants import forcing, plant, resting, shafts

    bottoms = 20.0 - 0.05 * np.arange(nodes)
    stage, stored = shafts(np.full(nodes, 0.3), bottoms)
    made = plant(
        stage, stored,
        pipes={"upper": range(nodes), "lower": [*range(1, nodes), -1], "z_upper": bottoms, "z_lower": bottoms - 0.05,
               "conveyance": np.full(nodes, 0.07 * np.sqrt(nodes))},
    )  # fmt: skip
    edges = np.arange(days * 288 + 1) * 300.0
    burst = np.exp(-((((edges[:-1] % 86400.0) - 36000.0) / 3600.0) ** 2))
    inflow = np.repeat((1e-5 + 2e-3 * burst)[:, None] / nodes, nodes, axis=1)
    return made, forcing(edges, inflow), resting(made, np.full(nodes, 0.005))


def show() -> None:
    """Print ratios and slopes."""
    from oracle.integrate import integrate
    from oracle.systems import ALL

    from drainwright.storm.engine.stepper import step

    print(f"\n{'The stepper beside SciPy (LSODA, 1e-9, events)':48}{'stepper':>12}{'SciPy':>12}{'ratio':>9}")
    for builder in ALL:
        case = builder()
        given = (case.plant, case.forcing, case.state)
        step(*given, TOLERANCE, False, False)
        ours = _least(lambda given=given: step(*given, TOLERANCE, False, False), 9)
        theirs = _least(lambda given=given: integrate(*given), 1)
        near = _least(lambda given=given: integrate(*given, tolerance=1e-5, max_step=60.0), 1)
        print(f"  {case.name:46}{ours * 1e3:9.2f} ms{theirs * 1e3:9.0f} ms{theirs / ours:9.0f}   "
              f"(at a loose 1e-5: {near / ours:.0f})")  # fmt: skip
    for what, pairs in (
        ("nodes", [(nodes, 1) for nodes in (5, 10, 20, 50, 100, 200)]),
        ("days", [(20, days) for days in (1, 2, 4, 8)]),
    ):
        costs, per = [], []
        for nodes, days in pairs:
            given = line(nodes, days)
            taken = step(*given, TOLERANCE, False, False).totals[4]
            costs.append(_least(lambda given=given: step(*given, TOLERANCE, False, False), 5))
            per.append(costs[-1] / taken)
        sizes = [nodes if what == "nodes" else days for nodes, days in pairs]
        slope, each = (np.polyfit(np.log(sizes), np.log(values), 1)[0] for values in (costs, per))
        told = ", ".join(f"{size}: {cost * 1e3:.1f} ms" for size, cost in zip(sizes, costs, strict=True))
        print(f"  cost against {what}: {told}; slope of the logarithms {slope:.2f}, of one step's cost {each:.2f}")


__all__ = ["show"]

if __name__ == "__main__":
    show()
