"""Gaps between buried lines and what is laid or dug beside them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from drainwright.errors import Floats, require
from drainwright.field.model import SiteUtility
from drainwright.worksheet import Card, catalogued, quiet

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


def gap_range(
    line_top: float, doubt: float, diameter: float, pipe_crown: float, pipe_bottom: float
) -> tuple[float, float]:
    """Least and most vertical gap where the line's top may lie so much higher or lower.

    Parameters
    ----------
    line_top : float
        Level of the buried line's top. [m]
    doubt : float
        Its top may lie so much above or below, zero or more. [m]
    diameter, pipe_crown, pipe_bottom : float
        As for ``vertical_gap``. [m]

    Returns
    -------
    tuple of float
        The gap falls and rises again as the line passes the pipe, so that its least may lie between the ends. [m]
    """
    require("zero or more", np.greater_equal, doubt=doubt)
    low, high = line_top - doubt, line_top + doubt
    worst = min(max((pipe_crown + pipe_bottom + diameter) / 2, low), high)
    with quiet():
        gaps = [vertical_gap(top, diameter, pipe_crown, pipe_bottom) for top in (worst, low, high)]
    return min(gaps), max(gaps)


def doubt_of(utility: SiteUtility) -> float:
    """How far a line's depth may be wrong, either way. [m]"""
    return utility.utility.doubt


def side_gap(vertical: float, sideways: float) -> float:
    """Gap in section between two things side by side; negative only where they meet both ways [m]."""
    if vertical <= 0 and sideways <= 0:
        return max(vertical, sideways)
    return float(np.hypot(max(vertical, 0.0), max(sideways, 0.0)))


def line_top(utility: SiteUtility, line: LineString, at: Point) -> float:
    """Level of the line's top at the place of the line nearest to ``at`` [m]."""
    return float(tops_at(utility, line.project(at)))


def tops_at(utility: SiteUtility, stations: Floats) -> Floats:
    """Levels of the line's top at distances along it [m]."""
    steps = np.diff(np.asarray(utility.route), axis=0)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(steps[:, 0], steps[:, 1]))])
    return np.interp(stations, along, utility.top)


def met_between(utility: SiteUtility, top: float, crown: float, bottom: float) -> tuple[float, float]:
    """Least and most vertical gap to a line: an unknown depth is anywhere from the ground to below the dig.

    Parameters
    ----------
    utility : SiteUtility
        The line.
    top : float
        Level of its top there; of an unknown one that of the ground. [m]
    crown, bottom : float
        Levels of the outside of what is laid or dug. [m]

    Returns
    -------
    tuple of float
        As ``gap_range`` has them; below the dig the line counts as lying on its bottom. [m]
    """
    diameter = utility.utility.diameter
    if utility.utility.depth is not None:
        return gap_range(top, doubt_of(utility), diameter, crown, bottom)
    half = max(top - bottom, 0.0) / 2
    return gap_range(top - half, half, diameter, crown, bottom)


__all__ = ["doubt_of", "gap_range", "line_top", "met_between", "side_gap", "tops_at", "vertical_gap"]
