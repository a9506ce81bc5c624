"""A building among shots from a file: corners of one code are its outline, not ground."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from drainwright.exchange.shots import FileError, Shots, counted
from drainwright.field.model import Plan

TOGETHER = 0.001  # corners nearer to each other are one [m]


def building_in(shots: Shots, code: str, ground: Sequence[str] = ()) -> tuple[Shots, tuple[Plan, ...]]:
    """Part a building's corners from the ground.

    Parameters
    ----------
    shots : Shots
        With codes.
    code : str
        Of the corners, capitals or not.
    ground : sequence of str
        Codes that are ground; where the corners' code is among them they stay shots of the ground too.

    Returns
    -------
    tuple
        The shots that are left, and the outline in the frame of the shots, [m]: the corners in the file's order, or
        their hull, which the notes say, where that line crosses itself.

    Raises
    ------
    FileError
        If fewer than three corners bear the code, or they lie in one line.
    """
    import shapely

    wanted = code.strip().lower()
    mine = [found.strip().lower() == wanted for found in shots.codes] or [False] * len(shots)
    corners: list[Plan] = []
    for (east, north), is_corner in zip(shots.plan.tolist(), mine, strict=True):
        if is_corner and all(math.dist((east, north), other) > TOGETHER for other in corners):
            corners.append((east, north))
    if len(corners) < 3 or shapely.MultiPoint(corners).convex_hull.area < TOGETHER:
        there = sorted({found for found in shots.codes if found})
        raise FileError(
            f"{len(corners)} corners of a building with the code {code}", "three or more, not in one line",
            f"there are: {counted(there, 8)}" if there else "the file has no codes", shots.source,
        )  # fmt: skip
    outline: Any = shapely.Polygon(corners)
    notes = shots.notes
    if not outline.is_valid:
        outline = shapely.MultiPoint(corners).convex_hull
        said = (
            f"The {len(corners)} corners with the code {code} do not follow each other round one building: what lies "
            "within the line round them all is cut out."
        )
        notes = (*notes, said)
    kept = shots
    if wanted not in {one.strip().lower() for one in ground}:
        kept = shots.where([not corner for corner in mine], "corners of the building")
    ring = tuple((float(east), float(north)) for east, north in list(outline.exterior.coords)[:-1])
    return replace(kept, notes=notes), ring


__all__ = ["building_in"]
