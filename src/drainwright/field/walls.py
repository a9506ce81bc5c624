"""Wall lines in place: which way is out, the ground along them, and their footings."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from drainwright.field.model import Plan, SitePoint, SiteWall
from drainwright.field.places import Known, level_at, plan_of
from drainwright.field.points import inside
from drainwright.field.surface import Surface
from drainwright.field.wall_feet import Array, told_at, untold
from drainwright.field.words import Units, fail, fine
from drainwright.job.site import Wall
from drainwright.job.values import Basis, Place
from drainwright.quantities import write
from drainwright.worksheet import Card, catalogued, place

PROBE = 0.05  # how far to either side of a wall to ask which side is the house [m]
SAME = 1e-3  # places nearer are one [m]
READ = 1e-3  # the ground turns where it leaves a straight line by more, as a rod is read [m]
SPACING = 0.5  # of the ground levels read along a wall [m]


@catalogued(
    Card(
        title="Top of a footing",
        symbol="top",
        expression="bottom + thickness",
        units={"bottom": "m", "thickness": "m", "result": "m"},
        source="geometry",
    )
)
def footing_top(bottom: float, thickness: float) -> float:
    """Level of the footing's top: bottom + thickness.

    Parameters
    ----------
    bottom : float
        Level of the footing's bottom. [m]
    thickness : float
        Of the footing. [m]

    Returns
    -------
    float
        Level. [m]
    """
    return bottom + thickness


def outward(start: Plan, end: Plan, outline: Sequence[Plan]) -> Plan | None:
    """Unit vector away from the house at the middle of a wall; None where the wall is not on the outline."""
    length = math.dist(start, end)
    out = ((end[1] - start[1]) / length, -(end[0] - start[0]) / length)  # to the right of the wall
    middle = (0.5 * (start[0] + end[0]), 0.5 * (start[1] + end[1]))
    right, left = (
        inside(outline, (middle[0] + side * PROBE * out[0], middle[1] + side * PROBE * out[1])) for side in (1.0, -1.0)
    )
    if right == left:
        return None
    return (-out[0], -out[1]) if right else out


def set_wall(wall: Wall, where: str, known: Known, outline: Sequence[Plan], units: Units) -> tuple[SiteWall, list[str]]:
    """Set one wall line on the site.

    Parameters
    ----------
    wall : Wall
        As the job gives it.
    where : str
        Its path in the job.
    known : Known
        Points, ground and floor; the footing may hang from any of them. From ``ground`` means from the lowest
        ground along the wall.
    outline : sequence of Plan
        The house. [m]
    units : {"US", "SI"}
        Of the notes.

    Returns
    -------
    tuple
        The wall in place, and notes.

    Raises
    ------
    JobError
        If the wall is not on the outline, its footing cannot be resolved or is not below the ground.
    """
    start, end = (
        plan_of(Place(name=name), known.points, f"{where}.{end}")
        for name, end in ((wall.from_, "from"), (wall.to, "to"))
    )
    if math.dist(start, end) == 0.0:
        raise fail(where, f"a wall from {wall.from_} to {wall.to}, at one place", "two corners")
    out = outward(start, end, outline)
    if out is None:
        raise fail(where, f"a wall from {wall.from_} to {wall.to} with the house on neither or both of its sides",
                   "a wall on the house outline")  # fmt: skip
    ground = known.surface.profile((start, end), SPACING)
    lowest = float(ground.level.min())
    fact = wall.footing_bottom
    if fact.value.reference == "ground" and "ground" not in known.points:
        bottom = lowest + fact.value.offset
    elif fact.value.reference == "footing" and "footing" not in known.points:
        raise fail(
            f"{where}.footing_bottom",
            "a footing that hangs from a footing",
            "a level from a point, the ground or the floor",
        )
    else:
        bottom = level_at(fact.value, known, start, f"{where}.footing_bottom")
    if bottom >= lowest:
        raise fail(
            f"{where}.footing_bottom",
            f"a footing bottom at {fine(bottom, units)}, not below the ground ({fine(lowest, units)})",
            "a level below the lowest ground along the wall",
            "Where the footing steps with the ground, give each stretch as a wall of its own.",
        )  # fmt: skip
    notes = []
    bare = [name for name in (wall.from_, wall.to) if known.points[name].level is None]
    if bare:
        notes.append(
            f"No level was read at {' and '.join(bare)}: ground along wall {wall.name} is drawn from shots further off."
        )
    if not bool(ground.supported.all()):
        notes.append(f"Ground along wall {wall.name} lies beyond the shots: taken from the nearest of them (assumed).")
    if fact.basis is Basis.ASSUMED:
        notes.append(f"The depth of the footing of wall {wall.name} is assumed.")
    with place(f"house.walls.{wall.name}"):
        top = footing_top(bottom, wall.footing_thickness.value)
    found = SiteWall(
        wall=wall,
        start=start,
        end=end,
        outward=out,
        length=math.dist(start, end),
        ground_start=float(ground.level[0]),
        ground_end=float(ground.level[-1]),
        ground_lowest=lowest,
        ground_highest=float(ground.level.max()),
        footing_bottom=bottom,
        footing_top=top,
    )
    found = _as_told(known.surface, found)
    bare_foot = untold(known.surface, found)
    if bare_foot and not bare and (wall.wet or wall.open_and_coat):
        far = write(bare_foot[0][1] - bare_foot[0][0], "length", units, "ft" if units == "US" else "m", 0)
        notes.append(
            f"No shot lies at the foot of wall {wall.name} for {far}: the ground there is drawn straight (assumed). "
            "Take one more there, midway."
        )
    return found, notes


def _as_told(surface: Surface, wall: SiteWall) -> SiteWall:
    """The wall with the ground as the shots at its foot tell it: where it turns, its lowest and its highest."""
    from shapely import LineString

    start, end = np.asarray(wall.start), np.asarray(wall.end)
    marks = [mark for mark in told_at(surface, wall).tolist() if SAME < mark < wall.length - SAME]
    told = [_plan(start + (end - start) * mark / wall.length) for mark in marks]
    ground = surface.profile([wall.start, *told, wall.end], SPACING)
    line = LineString(np.column_stack((ground.station, ground.level))).simplify(READ)
    return replace(
        wall,
        ground_lowest=float(ground.level.min()),
        ground_highest=float(ground.level.max()),
        bends=tuple((float(along), float(level)) for along, level in line.coords[1:-1]),
    )


def _plan(at: Array) -> Plan:
    return float(at[0]), float(at[1])


def ground_around(outline: Sequence[Plan], surface: Surface) -> tuple[float, float]:
    """Lowest and mean ground along the house outline. [m]"""
    ground = surface.profile([*outline, outline[0]], SPACING).level
    return float(ground.min()), float(ground.mean())


def outline_of(spots: Sequence[Place], points: Mapping[str, SitePoint]) -> tuple[Plan, ...]:
    """The house outline, counter-clockwise, not closed.

    Raises
    ------
    JobError
        If a place is unknown, or the outline crosses itself or encloses nothing.
    """
    import shapely

    outline = [plan_of(spot, points, f"house.outline[{n}]") for n, spot in enumerate(spots)]
    if len(outline) > 3 and math.dist(outline[0], outline[-1]) < 1e-6:
        outline.pop()
    house = shapely.Polygon(outline)
    if not house.is_valid or house.area < 1e-6:
        raise fail("house.outline", "an outline that crosses itself or encloses nothing",
                   "the corners in the order of a walk round the house")  # fmt: skip
    return tuple(outline if house.exterior.is_ccw else outline[::-1])


__all__ = ["footing_top", "ground_around", "outline_of", "outward", "set_wall"]
