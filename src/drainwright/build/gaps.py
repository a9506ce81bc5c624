"""Gaps between buried lines and what is laid or dug beside them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from drainwright.field.model import SiteUtility
from drainwright.worksheet import Card, catalogued

if TYPE_CHECKING:
    from shapely import LineString, Point


@catalogued(
    Card(
        title="Vertical gap between a line and a pipe, outside to outside",
        symbol="gap",
        expression="max(line_top - diameter - pipe_crown, pipe_bottom - line_top)",
        units={"line_top": "m", "diameter": "m", "pipe_crown": "m", "pipe_bottom": "m", "result": "m"},
        source="geometry",
    )
)
def vertical_gap(line_top: float, diameter: float, pipe_crown: float, pipe_bottom: float) -> float:
    """Gap between a line and a pipe, whichever is above; negative where they meet.

    Parameters
    ----------
    line_top : float
        Level of the buried line's top. [m]
    diameter : float
        Of the buried line. [m]
    pipe_crown, pipe_bottom : float
        Levels of the pipe's outside. [m]

    Returns
    -------
    float
        Clear height between them. [m]
    """
    return max(line_top - diameter - pipe_crown, pipe_bottom - line_top)


def side_gap(vertical: float, sideways: float) -> float:
    """Gap in section between two things side by side; negative only where they meet both ways [m]."""
    if vertical <= 0 and sideways <= 0:
        return max(vertical, sideways)
    return float(np.hypot(max(vertical, 0.0), max(sideways, 0.0)))


def line_top(utility: SiteUtility, line: LineString, at: Point) -> float:
    """Level of the line's top at the place of the line nearest to ``at`` [m]."""
    from shapely import Point

    along = [0.0]
    for first, second in zip(utility.route[:-1], utility.route[1:], strict=True):
        along.append(along[-1] + Point(first).distance(Point(second)))
    return float(np.interp(line.project(at), along, utility.top))


__all__ = ["line_top", "side_gap", "vertical_gap"]
