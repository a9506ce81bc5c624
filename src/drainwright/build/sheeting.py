"""What guards a length of digging: whole sets of shields, and by hand what no set can guard beside a buried line.

A set is lowered as one piece: none stands over a line, and none fits where less than its length is left between a line
and the soil at the end of the length. What is left is sheeted by hand, in bays: a sheet on each side, walings, struts,
set from above by the tables of 29 CFR 1926 Subpart P, appendices C and D, or the maker's data (from memory). What a bay
costs is invented, what it takes is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from drainwright.build.units import FOOT, whole
from drainwright.errors import require
from drainwright.worksheet import Card, catalogued, quiet

if TYPE_CHECKING:
    from drainwright.build.guarded import GuardedPlace

CLEAR = 1.0 * FOOT  # on each side of a line across a dig, no set stands nearer: common practice, no source
SLIVER = 1e-3  # shorter stretches are none [m]

Span = tuple[float, float]


class Guard(NamedTuple):
    """How one place is guarded from end to end."""

    sets: int
    sheeted: float  # of its length, by hand [m]
    bays: int  # in which that is sheeted


@catalogued(
    Card(
        title="Bays of sheeting along a length",
        symbol="N",
        expression="length over the length of one bay, rounded up to whole bays",
        units={"length": "m", "bay_length": "m", "result": "-"},
        source="common_practice",
        expression_kind="procedure",
    )
)
def bays_along(length: float, bay_length: float) -> int:
    """Whole bays of sheeting that are set by hand along a length.

    Parameters
    ----------
    length : float
        That no set of shields guards, zero or more. [m]
    bay_length : float
        Of one bay, above zero. [m]

    Returns
    -------
    int
        Bays.

    Raises
    ------
    InputError
        If a value is not finite, or out of range.

    Examples
    --------
    >>> bays_along(2.24, 1.2192)
    2
    """
    require("zero or more", np.greater_equal, length=length)
    require("above zero", np.greater, bay_length=bay_length)
    return round(whole(length / bay_length))


def guard_of(item: GuardedPlace, set_length: float, bay_length: float) -> Guard:
    """Sets and bays of one place.

    Parameters
    ----------
    item : GuardedPlace
        With the buried lines across it.
    set_length : float
        That one set guards. [m]
    bay_length : float
        That one bay of sheeting guards. [m]

    Returns
    -------
    Guard
        Without a line across, whole sets from end to end. With one, as many as fit between its clear room and the ends;
        past the end of a run that goes on shallower a set may stand over. A hole that a line crosses is sheeted on all
        its sides.
    """
    with quiet():
        gaps = _merged([met.span for met in item.lines if met.across])
        if not gaps:
            return Guard(round(whole(item.length / set_length)), 0.0, 0)
        if item.kind == "basin":
            return Guard(0, item.length, 2 * bays_along(item.length, bay_length))
        shut = item.kind == "wall" or item.panel > 0  # soil stands at its ends
        sets, stretches = _laid_out(item.length, gaps, set_length, shut=shut)
        return Guard(sets, math.fsum(stretches), sum(bays_along(length, bay_length) for length in stretches))


def _laid_out(length: float, gaps: Sequence[Span], set_length: float, *, shut: bool) -> tuple[int, list[float]]:
    """Whole sets, and the stretches between them that are sheeted."""
    sets, stretches, open_ = 0, [], 0.0
    ends = [0.0, *(at for gap in gaps for at in gap), length]
    for number, (start, end) in enumerate(zip(ends[::2], ends[1::2], strict=True)):
        room, outer = end - start, number in (0, len(gaps))
        fits = math.floor(room / set_length + 1e-9) if shut or not outer else round(whole(room / set_length))
        left = max(0.0, room - fits * set_length)
        if fits and number:  # the sets stand at the far end of what lies behind a line, at the near end of the first
            stretches.append(open_ + left)
            open_ = 0.0
        else:
            open_ += left
        sets += fits
        if number < len(gaps):
            open_ += gaps[number][1] - gaps[number][0]
    return sets, [stretch for stretch in (*stretches, open_) if stretch > SLIVER]


def _merged(spans: Sequence[Span]) -> list[Span]:
    """Spans in their order, those that meet made one."""
    found: list[Span] = []
    for start, end in sorted(spans):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((start, end))
    return found


def clear_span(along: Sequence[float], half: float, span: Span) -> Span:
    """Room kept clear of sets round a line, from the start of a place: its half width and a foot each way. [m]"""
    length, room = span[1] - span[0], half + CLEAR
    first, last = (min(max(at - span[0], 0.0), length) for at in (min(along) - room, max(along) + room))
    return first, last


def lines_across(item: GuardedPlace) -> Iterator[str]:
    """Names of the buried lines across a place."""
    return (met.line for met in item.lines if met.across)


__all__ = ["CLEAR", "Guard", "bays_along", "clear_span", "guard_of", "lines_across"]
