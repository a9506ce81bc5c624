"""Where and how high: the places and levels of the job document, resolved on the site."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Protocol

from drainwright.field.model import Plan, SitePoint, SiteWall
from drainwright.field.words import fail, nearest
from drainwright.job.values import Level, Place

if TYPE_CHECKING:
    from drainwright.field.surface import Surface


class Known(Protocol):
    """What a level may refer to. A ``Site`` is one."""

    @property
    def points(self) -> Mapping[str, SitePoint]: ...  # noqa: D102
    @property
    def surface(self) -> Surface: ...  # noqa: D102
    @property
    def floor(self) -> float | None: ...  # noqa: D102
    @property
    def walls(self) -> Sequence[SiteWall]: ...  # noqa: D102


def plan_of(place: Place, points: Mapping[str, SitePoint], where: str = "") -> Plan:
    """Coordinates of a place.

    Parameters
    ----------
    place : Place
        A point's name, or coordinates.
    points : mapping
        The points of the site.
    where : str
        The place's own path in the job, for the error.

    Returns
    -------
    Plan
        East and north. [m]

    Raises
    ------
    JobError
        If no point has that name, or it has a level only.
    """
    if place.name is None:
        return (place.east or 0.0, place.north or 0.0)
    point = points.get(place.name)
    if point is None:
        raise fail(
            where, repr(place.name), "the name of a surveyed point or 'east, north'", nearest(place.name, points)
        )
    if point.way == "level only":
        raise fail(where, f"{place.name}, which has a level but no place in plan", "a point that is fixed in plan")
    return (point.east, point.north)


def nearest_wall(walls: Sequence[SiteWall], at: Plan) -> SiteWall | None:
    """The wall line nearest to a place; the first of equals; None where there is no wall."""
    return min(walls, key=lambda wall: _distance(wall.start, wall.end, at), default=None)


def _distance(start: Plan, end: Plan, at: Plan) -> float:
    east, north = end[0] - start[0], end[1] - start[1]
    along = ((at[0] - start[0]) * east + (at[1] - start[1]) * north) / (east**2 + north**2)
    along = min(1.0, max(0.0, along))
    return math.hypot(at[0] - start[0] - along * east, at[1] - start[1] - along * north)


def level_at(level: Level, known: Known, at: Plan | None = None, where: str = "") -> float:
    """Elevation of a level.

    Parameters
    ----------
    level : Level
        An elevation, or an offset from a point, ``floor``, ``ground`` or ``footing``.
    known : Known
        A site, or what is known of it so far.
    at : Plan, optional
        The place in plan, for ``ground`` (the ground surface there) and ``footing`` (bottom of the nearest
        wall's footing). [m]
    where : str
        The level's own path in the job, for the error.

    Returns
    -------
    float
        Elevation. [m]

    Raises
    ------
    JobError
        If the reference is unknown, has no level, or cannot be used here.
    """
    name = level.reference
    if name is None:
        return level.offset
    if name in known.points:  # a surveyed point outranks the three words, so that a point may be called so
        base = known.points[name].level
        if base is None:
            raise fail(where, f"a level from {name}, which has none", "a point in the level book, or with a 'level'")
        return base + level.offset
    if name == "floor" and known.floor is not None:
        return known.floor + level.offset
    if name == "ground" and at is not None:
        return known.surface.level(*at) + level.offset
    if name == "footing" and at is not None and (wall := nearest_wall(known.walls, at)) is not None:
        return wall.footing_bottom + level.offset
    if name in ("floor", "ground", "footing"):
        raise fail(where, f"a level from {name!r}, which is not known here", "an elevation, or a level from a point")
    raise fail(
        where, f"a level from {name!r}", "a point with a level, 'floor', 'ground' or 'footing'",
        nearest(name, [*known.points, "floor", "ground", "footing"]),
    )  # fmt: skip


def resolve_place(site: Known, place: Place, where: str = "") -> Plan:
    """Coordinates of a place on the site; see ``plan_of``. [m]"""
    return plan_of(place, site.points, where)


def resolve_level(site: Known, level: Level, at: Plan | None = None, where: str = "") -> float:
    """Elevation of a level on the site; see ``level_at``. [m]"""
    return level_at(level, site, at, where)


__all__ = ["Known", "level_at", "nearest_wall", "plan_of", "resolve_level", "resolve_place"]
