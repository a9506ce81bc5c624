"""The storm's surface inflow, parted by what it runs off."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np

from drainwright.field.model import Site
from drainwright.storm.model import Series, Storm
from drainwright.storm.series import inflow_series
from drainwright.water.model import Cause, Inflows

SURFACE = (Cause.ROOF, Cause.YARD)


def inflows_by_cause(
    site: Site, inflows: Inflows, storm: Storm, horizon: float, entries: Collection[str]
) -> dict[Cause, Series]:
    """Mean inflow off roofs and off yards in steps of ``storm.step``, as the storm test takes it.

    Parameters
    ----------
    site, inflows, storm
        Of the design.
    horizon : float
        From the start of the storm. [s]
    entries : collection of str
        The places that count: those of the system.

    Returns
    -------
    dict
        Those causes that bring water, roofs first. The sum over them is the sum of ``inflow_series`` over the same
        entries. [m³/s]
    """
    found: dict[Cause, Series] = {}
    for cause in SURFACE:
        parts = tuple(part for part in inflows.contributions if part.cause is cause and part.entry in entries)
        flows = inflow_series(site, replace(inflows, contributions=parts), storm, horizon) if parts else {}
        total = np.sum([*flows.values()], axis=0) if flows else np.zeros(0)
        if total.size and float(total.max()) > 0.0:
            found[cause] = total
    return found


__all__ = ["SURFACE", "inflows_by_cause"]
