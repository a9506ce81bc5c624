"""Buried lines where shields are planned: across a guarded length, or close past its end in a dig without any."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from drainwright.build.dig_model import Crossing, LineAtShields
from drainwright.build.sheeting import clear_span
from drainwright.build.trench import Cut
from drainwright.field.model import Site

if TYPE_CHECKING:
    from shapely import LineString, Point

Span = tuple[float, float]

TOUCH = 1e-6  # what lies nearer touches [m]


def shut_spans(digs: Sequence[Cut], bars: Mapping[str, Sequence[str]], site: Site) -> dict[str, tuple[Span, ...]]:
    """From and to along each dig's axis where a live line lies along inside it, and no shield fits.

    Parameters
    ----------
    digs : Sequence of Cut
        From ``trench.cuts``.
    bars : mapping of str to sequence of str
        By dig, the lines that lie along inside it.
    site : Site
        Has their routes.

    Returns
    -------
    dict of str to tuple of (float, float)
        Digs without such a line are left out. [m]
    """
    from shapely import LineString, Point, get_coordinates, get_parts

    found = {}
    for cut in digs:
        names = bars.get(cut.name, ())
        spans = []
        for line in (LineString(item.route) for item in site.utilities if item.utility.name in names):
            for piece in get_parts(line.intersection(cut.area)):
                if piece.is_empty:
                    continue
                along = [cut.axis.project(Point(at)) for at in get_coordinates(piece)]
                spans.append((min(along), max(along)))
        if spans:
            found[cut.name] = tuple(spans)
    return found


def edges_of(cut: Cut, others: Iterable[Cut]) -> list[float]:
    """Stations at which a dig's axis goes into other digs or comes out. [m]"""
    from shapely import Point, get_coordinates

    return [
        float(cut.axis.project(Point(at)))
        for other in others
        for at in get_coordinates(cut.axis.intersection(other.area.boundary))
    ]


def lines_at(
    cut: Cut, span: Span, crossings: Iterable[Crossing], shut: Mapping[str, Sequence[Span]], digs: Sequence[Cut],
    site: Site,
) -> tuple[LineAtShields, ...]:  # fmt: skip
    """What lies in the way of the shields of one guarded length.

    Parameters
    ----------
    cut : Cut
        The dig.
    span : (float, float)
        From and to along its axis. [m]
    crossings : iterable of Crossing
        Of the whole job: a line that crosses a wall's dig may be told with the drain in it.
    shut : mapping of str to sequence of (float, float)
        From ``shut_spans``.
    digs : Sequence of Cut
        All of them.
    site : Site
        Has the lines' routes and the width of the tolerance zone.

    Returns
    -------
    tuple of LineAtShields
        Lines across it above its bottom, then those close past an end that opens into a dig without shields.
    """
    from shapely import Point

    found = {}
    for item in crossings:
        at = Point(item.at)
        inside = cut.kind == "basin" or span[0] <= cut.axis.project(at) <= span[1]
        above = item.utility_top is None or item.utility_top > cut.bottom_at(np.array(item.at))
        if item.crossing and inside and cut.area.contains(at) and above:
            found[item.utility] = LineAtShields(
                line=item.utility, across=True, span=_clear(cut, span, item.utility, at, site)
            )
    for gap, line in _past_ends(cut, span, shut, digs, site):
        if line not in found or (not found[line].across and gap < found[line].gap):
            found[line] = LineAtShields(line=line, across=False, gap=gap)
    return tuple(found.values())


def _clear(cut: Cut, span: Span, name: str, at: Point, site: Site) -> Span:
    """Where no set stands for a line that crosses there, from the start of the length. [m]"""
    from shapely import LineString, Point, get_coordinates, get_parts

    if cut.kind == "basin":
        return 0.0, span[1] - span[0]
    line = next(item for item in site.utilities if item.utility.name == name)
    pieces = get_parts(LineString(line.route).intersection(cut.area)) if len(line.route) > 1 else ()
    inside = [piece for piece in pieces if not piece.is_empty and piece.distance(at) <= cut.width]
    along = [cut.axis.project(Point(place)) for piece in inside for place in get_coordinates(piece)]
    return clear_span([*along, cut.axis.project(at)], line.utility.diameter / 2, span)


def _past_ends(
    cut: Cut, span: Span, shut: Mapping[str, Sequence[Span]], digs: Sequence[Cut], site: Site
) -> Iterator[tuple[float, str]]:
    from shapely import LineString, Point

    if cut.kind == "basin" or not shut:
        return
    zone = site.job.rules.tolerance_zone.value
    for station in span:
        end = cut.axis.interpolate(station)
        face = _face(cut, station)
        for other in digs:
            spans = shut.get(other.name, ())
            if other is cut:
                opens = any(min(abs(station - first), abs(station - last)) <= TOUCH for first, last in spans)
            else:
                at = other.axis.project(Point(end))
                opens = other.area.distance(end) <= TOUCH and any(a - TOUCH <= at <= b + TOUCH for a, b in spans)
            if not opens:
                continue
            for item in site.utilities:
                if item.utility.dangerous:
                    gap = max(LineString(item.route).distance(face) - item.utility.diameter / 2, 0.0)
                    if gap <= zone:
                        yield float(gap), item.utility.name


def _face(cut: Cut, station: float) -> LineString:
    """The end of a guarded length, square across the dig."""
    from shapely import LineString

    length = cut.axis.length
    a, b = (cut.axis.interpolate(min(max(station + step, 0.0), length)) for step in (-0.01, 0.01))
    here = cut.axis.interpolate(station)
    along = np.array([b.x - a.x, b.y - a.y])
    square = np.array([-along[1], along[0]]) / max(float(np.hypot(*along)), 1e-9) * cut.width / 2
    return LineString([(here.x - square[0], here.y - square[1]), (here.x + square[0], here.y + square[1])])


__all__ = ["edges_of", "lines_at", "shut_spans"]
