"""Paving that a dig goes through: what is sawn, taken up and laid again, by area and length. Frozen results."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from drainwright.build.units import INCH
from drainwright.field.model import Site
from drainwright.field.places import plan_of
from drainwright.job.site import Surface
from drainwright.job.values import Basis
from drainwright.water.check import IMPERVIOUS

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from drainwright.build.trench import Cut

LEAST = 0.01  # a dig that only touches a paved yard's edge does not go through it [m²]
CUT: tuple[Surface, ...] = (*IMPERVIOUS, "pervious paving")  # whatever must be opened before a spade can dig
LIFTED: tuple[Surface, ...] = ("paving", "pervious paving")  # stones that are set again; the rest is sawn and broken
# Common practice, no source.
BEYOND = 6.0 * INCH  # taken up past each edge of the dig, so that the new surface bears on ground that nobody dug
BASE = 4.0 * INCH  # of crushed stone under the new surface
THICKNESS: Mapping[Surface, float] = MappingProxyType(
    {"concrete": 4.0 * INCH, "asphalt": 3.0 * INCH, "paving": 2.375 * INCH, "pervious paving": 3.125 * INCH}
)  # where the job does not say


@dataclass(frozen=True, slots=True, kw_only=True)
class Paved:
    """Where a dig goes through one paved yard."""

    dig: str
    yard: str
    surface: Surface
    length: float  # of the dig, at its width [m]
    area: float  # over the dig, in plan [m²]
    taken: float  # taken up, with what lies beyond the dig's edges [m²]
    edge: float  # of what is taken up, where it leaves a part standing [m]
    thickness: float  # [m]
    basis: Basis  # of the thickness

    @property
    def lifted(self) -> bool:
        """Whether its stones are lifted and set again: nothing is sawn, broken or hauled."""
        return self.surface in LIFTED

    @property
    def slab(self) -> float:
        """Of the dig's room, what is paving and no soil. [m³]"""
        return self.area * self.thickness

    @property
    def broken(self) -> float:
        """Paving that is broken out and leaves. [m³]"""
        return 0.0 if self.lifted else self.taken * self.thickness

    @property
    def base(self) -> float:
        """Crushed stone laid under the new surface, over the dig. [m³]"""
        return self.area * BASE


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
        In the order of the yards. Where digs lie over one another, the paving counts with the first.
    """
    from shapely import MultiPolygon, Polygon, union_all

    found = []
    for index, yard in enumerate(site.job.yards):
        if yard.surface not in CUT or not yard.outline:
            continue
        shape = Polygon([plan_of(at, site.points, f"yards[{index}]") for at in yard.outline]).buffer(0.0)
        wide = [cut.area.buffer(BEYOND, join_style="mitre").intersection(shape) for cut in digs]
        if all(room.is_empty for room in wide):
            continue
        left = union_all(wide).boundary.difference(shape.boundary.buffer(1e-3))
        thick, basis = THICKNESS[yard.surface], Basis.ASSUMED
        if yard.thickness is not None:
            thick, basis = yard.thickness.value, yard.thickness.basis
        over: BaseGeometry = MultiPolygon()
        taken: BaseGeometry = MultiPolygon()
        for cut, room in zip(digs, wide, strict=True):
            own, up = cut.area.intersection(shape).difference(over), room.difference(taken)
            over, taken = over.union(own), taken.union(up)
            if own.area > LEAST:
                found.append(
                    Paved(
                        dig=cut.name, yard=yard.name, surface=yard.surface, length=own.area / cut.width,
                        area=own.area, taken=up.area, edge=left.intersection(up.buffer(1e-3)).length,
                        thickness=thick, basis=basis,
                    )
                )  # fmt: skip
    return tuple(found)


__all__ = ["BASE", "BEYOND", "CUT", "LIFTED", "THICKNESS", "Paved", "paved"]
