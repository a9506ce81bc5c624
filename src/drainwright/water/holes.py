"""Holes that were dug or bored on a lot: where each is, how deep it went, and whether water stood in it."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from drainwright.field.model import Plan, Site
from drainwright.field.places import resolve_place
from drainwright.field.words import Units, level_words
from drainwright.job.values import Place
from drainwright.quantities import write

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

FAR = 7.62  # from a hole, 25 ft, beyond which its soil and water are those of another place: common practice, no source
HIGHER = 0.1524  # so much, 6 in, a hole may end above what leans on it: common practice, no source [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """One hole; a percolation or inverse auger hole was dry before water was poured into it."""

    name: str
    where: str  # path in the job
    at: Plan | None  # None: nobody told where it is
    depth: float  # below the ground [m]
    bottom: float | None  # level; None without a place [m]
    stood: float | None  # level of water at rest; None: dry, or without a place [m]
    dry: bool
    supported: bool  # the ground there was shot
    timed: bool  # how fast water moves was read in it
    date: datetime.date | None

    def off(self, shape: BaseGeometry) -> float:
        """Distance in plan from a thing; infinite where nobody told where the hole is. [m]"""
        from shapely import Point

        return float("inf") if self.at is None else float(shape.distance(Point(self.at)))

    def words(self, units: Units) -> str:
        """``hole 'pit 2', 4 ft deep, down to 92.10 ft``."""
        deep = write(self.depth, "length", units)
        level = "" if self.bottom is None else f", down to {level_words(self.bottom, units)}"
        return f"hole '{self.name}', {deep} deep{level}"

    @property
    def on(self) -> str:
        """``on 2026-11-02``, or that nobody told the day."""
        return f"on {self.date.isoformat()}" if self.date is not None else "on a day that nobody told"


def holes(site: Site) -> tuple[Hole, ...]:
    """Every hole of a job, those of conductivity tests first.

    Parameters
    ----------
    site : Site
        Has the points and the ground.

    Returns
    -------
    tuple of Hole
        In the order of the job.

    Raises
    ------
    JobError
        If a place names no point of the survey.
    """
    ground = site.job.ground
    tests = [
        _hole(site, f"ground.hole_tests.{one.name}", one.name, one.at, one.hole_depth, one.water_depth, one.date, True)
        for one in ground.hole_tests
    ]
    dug = [
        _hole(site, f"ground.dug_holes.{one.name}", one.name, one.at, one.depth, one.water, one.date, False)
        for one in ground.dug_holes
    ]
    return (*tests, *dug)


def _hole(
    site: Site, where: str, name: str, place: Place | None, depth: float, water: float | None,
    date: datetime.date | None, timed: bool,
) -> Hole:  # fmt: skip
    at = None if place is None else resolve_place(site, place, f"{where}.at")
    top = None if at is None else float(site.surface.level(*at))
    return Hole(
        name=name, where=where, at=at, depth=depth, bottom=None if top is None else top - depth,
        stood=None if top is None or water is None else top - water, dry=water is None,
        supported=at is not None and bool(site.surface.supported(*at)), timed=timed, date=date,
    )  # fmt: skip


def nearest(found: Sequence[Hole], shape: BaseGeometry) -> Hole | None:
    """The placed hole nearest to a thing in plan; None where none has a place."""
    placed = [hole for hole in found if hole.at is not None]
    return min(placed, key=lambda hole: hole.off(shape), default=None)


__all__ = ["FAR", "HIGHER", "Hole", "holes", "nearest"]
