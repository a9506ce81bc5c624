"""Which numbered opening of a wall each stretch of a drain beside it lies in."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from drainwright.build.panels import BESIDE, BaredLength
from drainwright.field.model import Plan, Site, SiteWall
from drainwright.system.bends import SHORTEST, straightened
from drainwright.system.model import SizedRun

AT_WALL = 1.0  # a drain farther from its wall's face lies in a trench of its own [m]
ALONG = math.cos(math.radians(25.0))  # a stretch that turns farther off its wall's line does not lie along it


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A part of a run, from its upper end on."""

    start: float  # [m]
    end: float  # [m]
    openings: tuple[int, ...]  # numbers of what is opened for it, the longest part's first; none away from such walls

    @property
    def length(self) -> float:
        """How long it is [m]."""
        return self.end - self.start


def stretches(run: SizedRun, site: Site, bared: Sequence[BaredLength]) -> tuple[Stretch, ...]:
    """A run parted where one opening of its walls ends and the next begins.

    Parameters
    ----------
    run : SizedRun
        One of the network's.
    site : Site
        Its walls.
    bared : sequence of BaredLength
        From ``panels.bared_lengths``.

    Returns
    -------
    tuple of Stretch
        The whole of the run's straightened route, in order. The trench past a wall's end, as far as the wall's own dig
        goes, is opened with the wall's last length.
    """
    walls = [wall for wall in site.walls if wall.name in run.walls]
    found: list[Stretch] = []
    before = 0.0
    for start, end in pairwise(straightened(run.route)):
        length = math.dist(start, end)
        spans = [span for wall in walls for span in _spans(wall, start, end, bared)]
        marks = {0.0, length, *(min(max(edge, 0.0), length) for low, high, *_ in spans for edge in (low, high))}
        for low, high in pairwise(sorted(marks)):
            if high - low > 1e-6:
                number = _opening(spans, (low + high) / 2)
                found.append(Stretch(start=before + low, end=before + high, openings=number))
        before += length
    return tuple(
        Stretch(start=same[0].start, end=same[-1].end, openings=numbers)
        for numbers, group in groupby(found, key=lambda item: item.openings)
        for same in (list(group),)
    )


def _spans(
    wall: SiteWall, start: Plan, end: Plan, bared: Sequence[BaredLength]
) -> Iterator[tuple[float, float, float, float, int]]:
    """A wall's openings along a straight stretch: with what is dug past the wall's ends, without it, and the number."""
    length = math.dist(start, end)
    east, north = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    side = (wall.end[0] - wall.start[0]) / wall.length, (wall.end[1] - wall.start[1]) / wall.length
    turn = side[0] * east + side[1] * north
    middle = (start[0] + end[0]) / 2 - wall.start[0], (start[1] + end[1]) / 2 - wall.start[1]
    if abs(turn) < ALONG or abs(side[0] * middle[1] - side[1] * middle[0]) > AT_WALL:
        return
    foot = (wall.start[0] - start[0]) * east + (wall.start[1] - start[1]) * north
    for item in bared:
        if item.wall == wall.name:
            low, high = sorted((foot + turn * item.start, foot + turn * item.end))
            first, last = item.start <= 1e-6, item.end >= wall.length - 1e-6
            under, over = (first, last) if turn > 0 else (last, first)
            yield low - BESIDE * under, high + BESIDE * over, low, high, item.number


def _opening(spans: Sequence[tuple[float, float, float, float, int]], at: float) -> tuple[int, ...]:
    """The opening at a place: of two that reach it the one whose wall is nearer."""
    here = [(max(low - at, at - high, 0.0), number) for first, last, low, high, number in spans if first <= at <= last]
    return (min(here)[1],) if here else ()


def in_openings(parts: Sequence[Stretch], start: float, end: float) -> tuple[Stretch, ...]:
    """A straight length parted by openings; one too short to join goes with its neighbour, of both numbers.

    Parameters
    ----------
    parts : sequence of Stretch
        Of the whole run, from ``stretches``.
    start, end : float
        Of the straight length, from the run's upper end. [m]
    """
    found = [
        Stretch(start=max(part.start, start), end=min(part.end, end), openings=part.openings)
        for part in parts
        if min(part.end, end) - max(part.start, start) > 1e-6
    ]
    while len(found) > 1 and min(item.length for item in found) < SHORTEST:
        least = min(range(len(found)), key=lambda index: found[index].length)
        near = [index for index in (least - 1, least + 1) if 0 <= index < len(found)]
        other = min(near, key=lambda index: (not found[index].openings, found[index].length))
        one, two = sorted((least, other))
        numbers = (*found[other].openings, *found[least].openings)
        found[one : two + 1] = [Stretch(start=found[one].start, end=found[two].end, openings=numbers)]
    return tuple(found)


__all__ = ["Stretch", "in_openings", "stretches"]
