"""Levels that were typed as elevations where a depth was meant: '5 ft 6 in' for '5 ft 6 in below A'."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from typing import NamedTuple

from pydantic import BaseModel

from drainwright.errors import JobError
from drainwright.field.model import Plan, Site
from drainwright.field.places import plan_of
from drainwright.field.walls import ground_around
from drainwright.job.values import Level, Place
from drainwright.quantities import write

FOOT = 0.3048  # m, by definition
NEAR = 20.0 * FOOT  # what is entered for a house's job hardly lies deeper, or higher: common practice, no source [m]


class Figure(NamedTuple):
    """One figure of a job."""

    where: str  # in the job: "house.walls.west.footing_bottom"
    value: float  # what is judged, SI
    written: float | None  # what stands in the job, SI; None: it is not of the same kind, so no slip is guessed
    per: float = 1.0  # the range is so many of these
    found: str = ""  # what stands in the job, where the figure alone does not tell it
    meant: str = ""  # what was probably meant, where no slip of the pen is guessed


def as_depth(site: Site, level: Level, ground: float, side: str = "below") -> tuple[str, str]:
    """What a level entered as an elevation stands for, and the offset that it was probably meant to be.

    Parameters
    ----------
    site : Site
        The surveyed site.
    level : Level
        As the job gives it.
    ground : float
        Level of the ground there. [m]
    side : str
        "below", "above", or "above or below" the point.

    Returns
    -------
    tuple of str
        ``found`` and ``meant`` of a ``Figure``; both "" where the level is no elevation, or no offset of this size
        would be usual.
    """
    if level.reference is not None or not 0.0 < level.offset <= NEAR:
        return "", ""
    units, off = site.job.units, level.offset - ground
    said = write(level.offset, "length", units)
    way = f"{write(abs(off), 'length', units, 'ft' if units == 'US' else 'm')} {'above' if off > 0.0 else 'below'}"
    return f"{said}, read as an elevation: {way} the ground", f"{said} {side} {_reference(site)}"


def _levels(part: object) -> Iterator[Level]:
    if isinstance(part, Level):
        yield part
    elif isinstance(part, BaseModel):
        for name in type(part).model_fields:
            yield from _levels(getattr(part, name))
    elif isinstance(part, tuple):
        for one in part:
            yield from _levels(one)


def _reference(site: Site) -> str:
    """The point that most levels of the job hang from; else the house's first corner with a level."""
    named = Counter(
        level.reference for level in _levels(site.job) if level.reference in site.points
    )  # in the order of the job
    if named:
        return str(named.most_common(1)[0][0])
    corners = (place.name for place in site.job.house.outline if place.name in site.points)
    return next((name for name in corners if name and site.points[name].level is not None), "the ground")


def _off(site: Site, where: str, level: Level | None, ground: float, side: str = "below") -> Iterator[Figure]:
    """How far a level lies from the ground there, where it may be a depth that was typed as an elevation."""
    if level is None:
        return
    found, meant = as_depth(site, level, ground, side)
    if meant:
        yield Figure(where, abs(level.offset - ground), None, found=found, meant=meant)


def _water_tables(site: Site) -> Iterator[Figure]:
    """High ground water below the ground round the house."""
    yield from _round_house(site, "water_table")


def _barriers(site: Site) -> Iterator[Figure]:
    """The tight layer below the ground round the house."""
    yield from _round_house(site, "barrier")


def _open_waters(site: Site) -> Iterator[Figure]:
    """Open water against the ground round the house."""
    water = site.job.ground.open_water
    if water is not None:
        yield from _off(site, "ground.open_water.level", water.level.value, _round(site))


def _round(site: Site) -> float:
    return ground_around(site.outline, site.surface)[1]


def _round_house(site: Site, name: str) -> Iterator[Figure]:
    fact = getattr(site.job.ground, name)
    if fact is not None:
        yield from _off(site, f"ground.{name}", fact.value, _round(site))


def _ground(site: Site, place: Place | None) -> float:
    """Ground at a place; round the house where it is not known."""
    try:
        at: Plan | None = None if place is None else plan_of(place, site.points)
    except JobError:
        at = None
    return _round(site) if at is None else float(site.surface.level(*at))


def _ends(site: Site) -> dict[str, Place]:
    """Where the things lie that a run may begin or end at; points are known by their names."""
    job, works = site.job, site.job.works
    named: dict[str, Place] = {name: Place(name=name) for name in site.points}
    named |= {spout.name: spout.at for spout in job.downspouts}
    named |= {inlet.name: inlet.at for inlet in works.inlets}
    named |= {basin.name: basin.at for basin in works.basins}
    named |= {point.name: point.at for point in works.discharge}
    return named


def _inverts(site: Site) -> Iterator[Figure]:
    """Inverts of the runs' ends."""
    ends = _ends(site)
    for run in site.job.works.runs:
        for key, end in (("from", run.from_), ("to", run.to)):
            level = getattr(run, f"invert_{key}")
            yield from _off(site, f"works.runs.{run.name}.invert_{key}", level, _ground(site, ends.get(end)))


def _outlets(site: Site) -> Iterator[Figure]:
    """Inverts of the discharge points, and the water that stands there."""
    for point in site.job.works.discharge:
        ground = _ground(site, point.at)
        yield from _off(site, f"works.discharge.{point.name}.invert", point.invert, ground)
        yield from _off(site, f"works.discharge.{point.name}.tailwater", point.tailwater, ground)


def _rims(site: Site) -> Iterator[Figure]:
    """Rims of inlets and basins."""
    works = site.job.works
    for inlet in works.inlets:
        where = f"works.inlets.{inlet.name}.rim"
        yield from _off(site, where, inlet.rim, _ground(site, inlet.at), "above or below")
    for number, basin in enumerate(works.basins):
        where = f"works.more_basins.{basin.name}.rim" if number else "works.basin.rim"
        yield from _off(site, where, basin.rim, _ground(site, basin.at), "above or below")


def _kept_clear(site: Site) -> Iterator[Figure]:
    """What earth must stay below, and ground that is shaped along a wall."""
    ground = {wall.name: (wall.ground_start + wall.ground_end) / 2.0 for wall in site.walls}
    for wall in site.walls:
        for number, thing in enumerate(wall.wall.keep_clear):
            where = f"house.walls.{wall.name}.keep_clear[{number}].level"
            yield from _off(site, where, thing.level.value, ground[wall.name], "above or below")
    for number, strip in enumerate(site.job.works.shaping):
        where = f"works.shaping[{number}].start_level"
        yield from _off(site, where, strip.start_level, ground.get(strip.wall, _round(site)), "above or below")


# Levels that lie no farther from the ground than a house's works reach.
NEAR_GROUND: tuple[tuple[str, Callable[[Site], Iterator[Figure]]], ...] = (
    ("high ground water that reaches a house lies", _water_tables),
    ("a tight layer that matters to a house lies", _barriers),
    ("open water that matters to a house lies", _open_waters),
    ("what earth stays below, and shaped ground, lie", _kept_clear),
    ("rims of inlets and basins lie", _rims),
    ("inverts of pipes lie", _inverts),
    ("outlets, and water before them, lie", _outlets),
)

__all__ = ["NEAR", "NEAR_GROUND", "Figure", "as_depth"]
