"""Where a pressure line's freeze relief stands, told along the line from its house end."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drainwright.field.model import Plan
from drainwright.system.model import System


@dataclass(frozen=True, slots=True)
class FreezeRelief:
    """The opening that lets water out near the house when the line beyond is frozen or blocked."""

    run: str
    along: float  # from the run's upper end [m]
    at: Plan


def freeze_reliefs(system: System) -> tuple[FreezeRelief, ...]:
    """The freeze reliefs among a network's fittings, in their order.

    Parameters
    ----------
    system : System
        The network with its fittings named.

    Returns
    -------
    tuple of FreezeRelief
        Empty where the job asks for none.
    """
    found = []
    for fit in system.fittings or ():
        if fit.kind == "winter-relief" and fit.at is not None:
            along = math.dist(system.run(fit.where).route[0], fit.at)  # it stands in the first length, by its making
            found.append(FreezeRelief(run=fit.where, along=along, at=fit.at))
    return tuple(found)


__all__ = ["FreezeRelief", "freeze_reliefs"]
