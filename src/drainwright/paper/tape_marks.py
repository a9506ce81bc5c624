"""Setting out drawn on the plan: how far along a wall from its corner, then how far square out from it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from drainwright.design import Design
from drainwright.paper.frame import View
from drainwright.paper.label import Frame
from drainwright.paper.looks import DUTY_LOOKS, UTILITY, utility_layer
from drainwright.paper.measure import READ, text_box, text_width
from drainwright.paper.plan_marks import SECOND, Drawn, inside
from drainwright.paper.setting_out import TapedPlace, row_names, taped_places
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, Polyline, TextMark
from drainwright.paper.symbols import dimension, line
from drainwright.paper.wording import Wording

SIZE = READ  # of the figures [mm]
FIRST_OFF = 6.8  # of a dimension along a wall from it, behind the wall's own [mm]
STEP = 4.0  # from one such dimension to the next [mm]
ROWS = 5  # of them at most
LONGEST = 80.0  # a longer line across the drawing is read from the table instead [mm]
ON_LINE = 0.003  # nearer to the wall line than this a place is on it [m]
APART = 1.3  # kept between dimension lines that lie side by side [mm]
SPOT = 2.2  # kept free round each place for its symbol [mm]
HEAVY = frozenset({*DUTY_LOOKS, *(utility_layer(kind) for kind in UTILITY), "wall coated"})  # no figure lies on these


@dataclass(slots=True)
class _Taken:
    """What figures and dimension lines keep off."""

    texts: list[Any] = field(default_factory=list)  # areas that hold figures or symbols
    lines: list[Any] = field(default_factory=list)  # dimension lines
    heavy: Any = None

    def free(self, box: Any) -> bool:
        """Whether a figure may stand there."""
        return not (
            box.intersects(self.heavy)
            or any(box.intersects(other) for other in self.texts)
            or any(box.intersects(other) for other in self.lines)
        )

    def open(self, path: Any) -> bool:
        """Whether a dimension line may run there: through no figure, and beside no other line."""
        return not any(path.intersects(other) for other in self.texts) and self.open_beside(path)

    def open_beside(self, path: Any) -> bool:
        """Whether no other dimension line runs beside it."""
        near = path.buffer(APART)
        return all(near.intersection(other).length < 2.5 * APART for other in self.lines)


def tape_marks(design: Design, view: View, window: Frame, drawn: Drawn) -> Mapping[str, str]:
    """Dimension basins, inlets and bends as a crew tapes them, each where there is room for both of its figures.

    Parameters
    ----------
    design : Design
        The designed job.
    view : View
        From the ground to the paper.
    window : tuple of float
        Left, bottom, right, top. [mm]
    drawn : Drawn
        The plan with its lines; dimensions are added, and labels with the rows' numbers at the bends that have none.

    Returns
    -------
    Mapping
        The rows' numbers of the basins and inlets without a dimension, by name: their labels tell them.
    """
    import shapely

    places = taped_places(design)
    rows = row_names(places)
    taken = _taken(design, view, drawn)
    house = shapely.Polygon([view(corner) for corner in design.site.outline]).buffer(0.05)
    told: dict[str, str] = {}
    for place in sorted(places, key=lambda item: _rank(design, item)):
        if _rank(design, place) > 2 or not inside(view(place.at), window):
            continue
        marks = _dimensions(design, place, view, window, taken, house)
        if marks:
            drawn.marks += marks
        elif place.name in design.system.nodes:
            told[place.name] = rows[place.name]
        else:
            drawn.label(
                SECOND, rows[place.name], at=view(place.at), size=2.0, strong=True, clear=0.6, layer="text soft"
            )
    return told


def _rank(design: Design, place: TapedPlace) -> int:
    """Basins, inlets, bends, and then what is not dimensioned."""
    node = design.system.nodes.get(place.name)
    if node is None:
        return 2 if " bend " in place.name else 3
    return {"basin": 0, "inlet": 1}.get(node.kind, 3)


def _taken(design: Design, view: View, drawn: Drawn) -> _Taken:
    import shapely

    heavy = [
        shapely.LineString(mark.points) for mark in drawn.marks if isinstance(mark, Polyline) and mark.layer in HEAVY
    ]
    taken = _Taken(heavy=shapely.union_all(heavy))
    taken.texts += [shapely.Polygon(text_box(mark)) for mark in drawn.marks if isinstance(mark, TextMark)]
    spots = [view(node.at) for node in design.system.nodes.values()]
    taken.texts += [shapely.Point(at).buffer(SPOT) for at in spots]
    taken.texts += [
        shapely.Point(mark.centre).buffer(mark.radius + 0.3) for mark in drawn.marks if isinstance(mark, Circle)
    ]
    taken.lines += [
        shapely.LineString(mark.points) for mark in drawn.marks
        if isinstance(mark, Polyline) and mark.layer == "dimension" and math.dist(*mark.points[:2]) > 5.0
    ]  # fmt: skip
    return taken


def _dimensions(
    design: Design, place: TapedPlace, view: View, window: Frame, taken: _Taken, house: Any
) -> list[Mark]:  # fmt: skip
    """Both dimensions of a place, kept; none where one of them finds no room."""
    word = Wording(design.job.units)
    corner, foot, at = view(place.corner), view(place.foot), view(place.at)
    if place.out < -ON_LINE or not (inside(corner, window, 1.0) and inside(foot, window, 1.0)):
        return []
    along = _along(corner, foot, word.length(abs(place.along)), place, taken, house)
    if along is None:
        return []
    marks, shapes = along
    if place.out > ON_LINE:
        out = _out(foot, at, word.length(place.out), taken, shapes[0])
        if out is None:
            return []
        more, shape = out
        marks += more
        taken.texts.append(shape[0])
        taken.lines.append(shape[1])
    taken.texts.append(shapes[0])
    taken.lines.append(shapes[1])
    return marks


def _along(
    corner: Point, foot: Point, text: str, place: TapedPlace, taken: _Taken, house: Any
) -> tuple[list[Mark], tuple[Any, Any]] | None:  # fmt: skip
    """A dimension from the corner along the wall, within the house, where the works are not."""
    import shapely

    length = math.dist(corner, foot)
    if length < text_width(text, SIZE) + 1.0:
        return None
    side = 1.0 if place.along > 0 else -1.0  # the house is at the left of its walls
    for row in range(ROWS):
        off = side * (FIRST_OFF + row * STEP)
        marks = dimension(corner, foot, text, off, SIZE)
        main = next(mark for mark in marks if isinstance(mark, Polyline))
        figure = next(mark for mark in marks if isinstance(mark, TextMark))
        path, box = shapely.LineString(main.points), shapely.Polygon(text_box(figure)).buffer(0.25)
        if not house.covers(shapely.Point(main.points[0])):
            break
        if taken.open(path) and taken.free(box):
            return [_mask(figure), *marks], (box, path)
    return None


def _out(
    foot: Point, at: Point, text: str, taken: _Taken, own: Any
) -> tuple[list[Mark], tuple[Any, Any]] | None:  # fmt: skip
    """A dimension from the wall line square out to the place, with its figure beside it."""
    import shapely

    length = math.dist(foot, at)
    width = text_width(text, SIZE)
    if not width + SPOT + 0.5 <= length <= LONGEST:
        return None
    unit = ((at[0] - foot[0]) / length, (at[1] - foot[1]) / length)
    stop = (at[0] - SPOT * unit[0], at[1] - SPOT * unit[1])
    path = shapely.LineString([foot, stop])
    free = [other for other in taken.texts if not other.contains(shapely.Point(at))]
    if any(path.intersects(other) for other in [*free, own]) or not taken.open_beside(path):
        return None
    angle = math.atan2(unit[1], unit[0])
    if not -math.pi / 2 + 1e-6 < angle <= math.pi / 2 + 1e-6:
        angle -= math.copysign(math.pi, angle)
    up = (-math.sin(angle), math.cos(angle))
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        middle = width / 2 + share * (length - SPOT - width)
        for lift in (0.7, -0.7 - 0.66 * SIZE):
            place = (foot[0] + middle * unit[0] + lift * up[0], foot[1] + middle * unit[1] + lift * up[1])
            figure = TextMark(layer="text", at=place, text=text, size=SIZE, anchor="middle", rotation=angle)
            box = shapely.Polygon(text_box(figure)).buffer(0.2)
            if taken.free(box) and not box.intersects(own):
                tick = (0.6 * (unit[0] - unit[1]), 0.6 * (unit[1] + unit[0]))
                ends = ((foot[0] - tick[0], foot[1] - tick[1]), (foot[0] + tick[0], foot[1] + tick[1]))
                return [_mask(figure), line("dimension", foot, at), line("axis", *ends), figure], (box, path)
    return None


def _mask(figure: TextMark) -> Polygon:
    return Polygon(layer="mask", points=text_box(figure))


__all__ = ["tape_marks"]
