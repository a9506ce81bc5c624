"""One line of the takeoff."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from drainwright.build.model import TakeoffLine
from drainwright.build.units import whole
from drainwright.job.values import Basis

Category = Literal[
    "pipe", "fittings", "basins", "pump", "stone", "earth", "fabric", "coating", "haul", "hire", "sundries", "permits"
]


def line(
    key: str,
    category: Category,
    description: str,
    net: float,
    unit: str,
    *,
    where: str = "",
    waste: float = 0.0,
    step: float = 1.0,
    basis: Basis = Basis.MEASURED,
    note: str = "",
) -> TakeoffLine:
    """A line of the takeoff: the net amount with its waste, counted up to what is sold."""
    return TakeoffLine(
        key=key,
        category=category,
        description=description,
        net=net,
        quantity=whole(net * (1 + waste), step),
        unit=unit,
        where=where,
        waste=waste,
        basis=basis,
        note=note,
    )


def names(names: Iterable[str]) -> str:
    """Names once each, in their order."""
    return ", ".join(dict.fromkeys(names))


__all__ = ["Category", "line", "names"]
