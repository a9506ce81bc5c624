"""Ground by itself, without a job: shots from files to a surface, contours, low spots and the way it falls."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from drainwright.errors import InputError
from drainwright.exchange.shots import Shots, thinned_to
from drainwright.field.breaklines import ON_WALL
from drainwright.field.contours import contours, nice_interval
from drainwright.field.drained import arrows
from drainwright.field.flow import lay_flow
from drainwright.field.ground_grid import lay_grid
from drainwright.field.low_spots import low_spots, outermost
from drainwright.field.spikes import spike_notes
from drainwright.field.surface import Surface, triangulate
from drainwright.field.terrain_model import Array, Contour, FlowArrow, LowSpot, Plan
from drainwright.job.ground_files import MOST_SHOTS
from drainwright.worksheet import quiet

MOST_CONTOURS = 400  # levels
DEEP = 0.006  # shallower low spots are left out: a quarter of an inch [m]
DEEP_FROM_ABOVE = 0.05  # ... of ground seen from the air, whose levels scatter by centimetres; common practice [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroundStudy:
    """What some files say of the ground. Places count from ``origin``."""

    title: str
    shots: Shots  # those that the surface is made of
    read: int  # shots before thinning
    spacing: float | None  # to which they were thinned; None: they were not [m]
    origin: Plan  # of the places here, in the files' frame [m]
    surface: Surface
    area: float  # within the shots [m²]
    lowest: float  # [m]
    highest: float  # [m]
    interval: float  # between contours [m]
    contours: tuple[Contour, ...]
    low_spots: tuple[LowSpot, ...]  # deepest first, with the parts of large ones
    standing: tuple[LowSpot, ...]  # of these, those that are no part of another
    least_depth: float  # of a low spot that is told [m]
    arrows: tuple[FlowArrow, ...]
    notes: tuple[str, ...]
    building: tuple[Plan, ...] = ()  # outline of a building that was cut out

    @property
    def relief(self) -> float:
        """Highest less lowest ground [m]."""
        return self.highest - self.lowest


def merged(files: Sequence[Shots]) -> Shots:
    """Shots of several files of one frame.

    Raises
    ------
    InputError
        If there is no file, or one in longitude and latitude is among others.
    """
    if not files:
        raise InputError("files = 0: expected one or more")
    if len(files) == 1:
        return files[0]
    if any(shots.origin is not None for shots in files):
        raise InputError("files: one is in longitude and latitude; expected it by itself")
    dropped: dict[str, int] = {}
    for shots in files:
        for reason, count in shots.dropped.items():
            dropped[reason] = dropped.get(reason, 0) + count
    same = all(len(shots.names) == len(shots) for shots in files)
    return dataclasses.replace(
        files[0],
        source=", ".join(shots.source for shots in files),
        east=np.concatenate([shots.east for shots in files]),
        north=np.concatenate([shots.north for shots in files]),
        level=np.concatenate([shots.level for shots in files]),
        names=tuple(name for shots in files for name in shots.names) if same else (),
        codes=tuple(code for shots in files for code in (shots.codes or ("",) * len(shots))),
        notes=tuple(dict.fromkeys(note for shots in files for note in shots.notes)),
        dropped=dropped,
    )


def study_ground(
    shots: Shots,
    units: Literal["US", "SI"] = "US",
    spacing: float | None = None,
    interval: float | None = None,
    least_depth: float | None = None,
    building: Sequence[Plan] = (),
) -> GroundStudy:
    """Make the surface of some shots, and read off it where water stands and which way the ground falls.

    Parameters
    ----------
    shots : Shots
        In one frame. [m]
    units : {"US", "SI"}
        By which a round interval is chosen.
    spacing : float, optional
        One shot is kept in each square of this side; wider where more than 6,000 would be left. [m]
    interval : float, optional
        Between contours; left out: what suits the relief. [m]
    least_depth : float, optional
        Shallower low spots are left out; by default 6 mm, or 5 cm of a grid or cloud. [m]
    building : sequence of Plan
        Outline of a building, in the frame of the shots: no ground, and no water runs through it. Shots inside it are
        left out; at corners that no shot tells of the ground is as the shots round about have it. [m]

    Returns
    -------
    GroundStudy
        The study; what was thinned or left out stands in its notes.

    Raises
    ------
    InputError
        If the shots span no surface, or the interval asks for more than 400 levels.
    """
    few, used = thinned_to(shots, MOST_SHOTS, spacing)
    notes = list(shots.notes)
    if not len(few):
        raise InputError("shots = 0: expected three or more")
    origin = (float(np.floor(few.east.min())), float(np.floor(few.north.min())))
    plan = few.plan - np.array(origin)
    names = few.names or tuple(f"shot {number}" for number in range(1, len(few) + 1))
    names = tuple(name or f"shot {number}" for number, name in enumerate(names, start=1))
    notes += spike_notes(names, few.plan, few.level, units)[0]
    outline = tuple((east - origin[0], north - origin[1]) for east, north in building)
    surface = _surface(names, plan, few.level, outline)
    if inside := sum(_within(plan, outline)):
        notes.append(f"{inside} shots inside the building are left out of the ground.")
    lowest, highest = float(surface.levels.min()), float(surface.levels.max())
    if interval is None:
        interval = nice_interval(highest - lowest, units)
    elif not interval > 0.0 or (highest - lowest) / interval > MOST_CONTOURS:
        raise InputError(f"interval = {interval!r}: expected at most {MOST_CONTOURS} levels")
    if least_depth is None:
        least_depth = DEEP if shots.names else DEEP_FROM_ABOVE
    with quiet():
        lines = contours(surface, interval)
        spots = low_spots(surface, least_depth=least_depth)
    corners = surface.plan[surface.triangles]
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return GroundStudy(
        title=shots.source,
        shots=few,
        read=len(shots),
        spacing=used,
        origin=origin,
        surface=surface,
        area=float(0.5 * np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]).sum()),
        lowest=lowest,
        highest=highest,
        interval=interval,
        contours=lines,
        low_spots=spots,
        standing=outermost(spots),
        least_depth=least_depth,
        arrows=arrows(lay_flow(lay_grid(surface, (), outline), [], None)),
        notes=tuple(notes),
        building=outline,
    )


def _surface(names: Sequence[str], plan: Array, levels: Array, outline: Sequence[Plan]) -> Surface:
    """The ground; a building stands in it with corners that have the level of the ground drawn without it."""
    places = [(float(east), float(north)) for east, north in plan]
    heights = levels.tolist()
    if not outline:
        return triangulate(names, places, heights)
    outside = [n for n, within in enumerate(_within(plan, outline)) if not within]
    kept = [names[n] for n in outside]
    at, height = [places[n] for n in outside], [heights[n] for n in outside]
    bare = triangulate(kept, at, height)
    corners = [bare.level(*corner) for corner in outline]
    return triangulate([*kept, *([""] * len(outline))], [*at, *outline], [*height, *corners], outline)


def _within(plan: Array, outline: Sequence[Plan]) -> list[bool]:
    """Which places lie inside a building, not at its walls."""
    import shapely

    if not outline:
        return [False] * len(plan)
    return [bool(inside) for inside in shapely.contains_xy(shapely.Polygon(outline).buffer(-ON_WALL), plan)]


__all__ = ["GroundStudy", "merged", "study_ground"]
