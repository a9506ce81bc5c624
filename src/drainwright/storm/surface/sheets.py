"""The sheet of water over the yards and the reservoirs after it, compiled. Importing this module imports numba."""

from __future__ import annotations

import math

from drainwright.hydraulics.overland import plane_runoff, plane_steps
from drainwright.storm.engine.compiling import compiled
from drainwright.storm.engine.plant import Floats

sheet_steps = compiled(plane_steps)


def surface_runoff(
    rain: Floats, step: float, length: Floats, conveyance: Floats, conductivity: Floats, store: Floats, cells: int,
    parts: int,
) -> tuple[Floats, Floats, Floats]:  # fmt: skip
    """``plane_runoff``, its inner loop compiled."""
    return plane_runoff(rain, step, length, conveyance, conductivity, store, cells, parts, sheet_steps)


@compiled
def reservoir_steps(inflow: Floats, step: float, constant: Floats, flow: Floats, outflow: Floats) -> None:
    """Linear reservoirs: mean outflow of each in each step, (stores, steps); ``flow``, the outflow now, is carried on.

    Exact for an inflow that is even within each step, as ``drainwright.storm.series.linear_reservoir``.
    """
    for store in range(inflow.shape[0]):
        k, q = constant[store], flow[store]
        if k <= 0.0:
            for i in range(inflow.shape[1]):
                outflow[store, i] = inflow[store, i]
            continue
        keep = math.exp(-step / k)
        share = -math.expm1(-step / k)
        for i in range(inflow.shape[1]):
            later = q * keep + inflow[store, i] * share
            outflow[store, i] = max(inflow[store, i] - k / step * (later - q), 0.0)
            q = later
        flow[store] = q


__all__ = ["reservoir_steps", "sheet_steps", "surface_runoff"]
