"""Paving that a dig goes through: it is cut, broken out and closed again, which no price of the book holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from drainwright.field.model import Site
from drainwright.field.places import plan_of
from drainwright.water.check import IMPERVIOUS

if TYPE_CHECKING:
    from drainwright.build.trench import Cut

LEAST = 0.01  # a dig that only touches a paved yard's edge does not go through it [m²]


@dataclass(frozen=True, slots=True, kw_only=True)
class Paved:
    """Where a dig goes through one paved yard."""

    dig: str
    yard: str
    surface: str
    length: float  # of the dig, at its width [m]
    area: float  # in plan [m²]


def paved(digs: Sequence[Cut], site: Site) -> tuple[Paved, ...]:
    """What is paved over each dig.

    Parameters
    ----------
    digs : Sequence of Cut
        From ``trench.cuts``.
    site : Site
        The site: yards of paving, concrete or asphalt that have an outline.

    Returns
    -------
    tuple of Paved
        In the order of the yards.
    """
    from shapely import Polygon

    found = []
    for index, yard in enumerate(site.job.yards):
        if yard.surface not in IMPERVIOUS or not yard.outline:
            continue
        shape = Polygon([plan_of(at, site.points, f"yards[{index}]") for at in yard.outline]).buffer(0.0)
        for cut in digs:
            area = float(cut.area.intersection(shape).area)
            if area > LEAST:
                found.append(
                    Paved(dig=cut.name, yard=yard.name, surface=yard.surface, length=area / cut.width, area=area)
                )
    return tuple(found)


__all__ = ["Paved", "paved"]
