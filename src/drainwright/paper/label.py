"""Where labels go: each has candidate places, and the cheapest that touches no other label is taken.

Near places first, then further out with a leader line. A first pass places the most important first; further
passes let each label move to a better place now that the others are known. A label that finds no free place
is dropped if it may be, and is handed back as unplaced if it may not. The same labels give the same places.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from drainwright.paper.measure import ASCENT, DESCENT, LEADING, Quad, rectangle, text_width
from drainwright.paper.sheet import Anchor, Mark, Point, Polygon, Polyline, TextMark, Weight

if TYPE_CHECKING:
    from shapely import Polygon as Shape

Frame: TypeAlias = tuple[float, float, float, float]  # left, bottom, right, top [mm]

RINGS = (0.8, 2.0, 5.0, 8.5, 12.5, 17.0, 22.0, 28.0, 36.0, 46.0, 58.0)  # gap from symbol to label [mm]
LEADER_FROM = 2.5  # a leader line is drawn for larger gaps [mm]
PAD = 0.35  # kept free round a text [mm]
PASSES = 4
TOUCH = 1e5  # cost of touching another label or leaving the frame: more than all others together
DROP_ABOVE = 14.0  # cost from which a label that may be dropped is not worth its ink


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Some lines of text that belong to a place, or to a line."""

    lines: tuple[str, ...]
    at: Point  # the place [mm]
    layer: str = "text"
    size: float = 2.3  # of the type [mm]
    strong: bool = False  # the first line in semibold
    clear: float = 0.8  # radius of the symbol there [mm]
    path: tuple[Point, ...] = ()  # a line to lie along, if any [mm]
    stretches: tuple[tuple[Point, Point], ...] = ()  # or straight stretches to lie on, the best first [mm]
    droppable: bool = False
    leader: bool = True  # may be set further off, with a leader line
    inline: bool = False  # on its line, not beside it
    known: bool = False  # the legend says as much: nothing is lost where it is dropped

    def weight(self, row: int) -> Weight:
        """The weight of a line."""
        return "semibold" if self.strong and row == 0 else "regular"

    @property
    def width(self) -> float:
        """Of the widest line. [mm]"""
        return max(text_width(line, self.size, self.weight(row)) for row, line in enumerate(self.lines))

    @property
    def height(self) -> float:
        """Of all lines. [mm]"""
        return self.size * (ASCENT + DESCENT + LEADING * (len(self.lines) - 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One candidate place of a label."""

    centre: Point  # [mm]
    rotation: float  # [rad]
    anchor: Anchor
    gap: float  # from the symbol [mm]
    cost: float  # of the place itself


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """A line that labels should not lie on."""

    points: tuple[Point, ...]  # [mm]
    weight: float  # cost per millimetre covered


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A label in its place."""

    label: Label
    place: Place
    box: Quad  # [mm]
    leader: tuple[Point, Point] | None  # from the symbol to the label [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """The outcome."""

    placed: tuple[Placed, ...]
    dropped: tuple[Label, ...]  # given up for want of room; they may be
    unplaced: tuple[Label, ...]  # no free place was found: they must be said elsewhere

    def marks(self) -> tuple[Mark, ...]:
        """Masks, leader lines and texts."""
        masks: list[Mark] = [Polygon(layer="mask", points=item.box) for item in self.placed]
        leaders: list[Mark] = [
            Polyline(layer="leader line", points=item.leader) for item in self.placed if item.leader is not None
        ]
        return (*masks, *leaders, *(mark for item in self.placed for mark in _texts(item)))


def _texts(item: Placed) -> list[Mark]:
    label, place = item.label, item.place
    cos, sin = math.cos(place.rotation), math.sin(place.rotation)
    x = {"start": -label.width / 2, "middle": 0.0, "end": label.width / 2}[place.anchor]
    marks: list[Mark] = []
    for row, line in enumerate(label.lines):
        y = label.height / 2 - label.size * (ASCENT + LEADING * row)
        at = (place.centre[0] + x * cos - y * sin, place.centre[1] + x * sin + y * cos)
        marks.append(
            TextMark(
                layer=label.layer, at=at, text=line, size=label.size, anchor=place.anchor,
                rotation=place.rotation, weight=label.weight(row),
            )
        )  # fmt: skip
    return marks


def _round_about(label: Label, at: Point, rings: Sequence[float], extra: float = 0.0) -> list[Place]:
    places = []
    width, height = label.width, label.height
    for ring, gap in enumerate(rings):
        turns = 8 if ring == 0 else 16
        for turn in range(turns):
            # East first, then the sides, in the order in which people look for a name.
            angle = (turn + 1) // 2 * (1 if turn % 2 else -1) * 2 * math.pi / turns
            cos, sin = math.cos(angle), math.sin(angle)
            stretch = 1 / max(abs(cos), abs(sin))
            reach = label.clear + gap
            # A diagonal place needs less reach than a straight one for the same gap.
            centre = (
                at[0] + cos * reach + max(-1.0, min(1.0, cos * stretch * 1.42)) * width / 2,
                at[1] + sin * reach + max(-1.0, min(1.0, sin * stretch)) * height / 2,
            )
            anchor: Anchor = "start" if cos > 0.5 else "end" if cos < -0.5 else "middle"
            cost = extra + 0.4 * gap + (2.0 if gap > LEADER_FROM else 0.0) + 0.15 * turn * 8 / turns
            places.append(Place(centre=centre, rotation=0.0, anchor=anchor, gap=gap, cost=cost))
    return places


def _along(label: Label) -> list[Place]:
    places = []
    lengths = [math.dist(a, b) for a, b in zip(label.path, label.path[1:], strict=False)]
    for (start, end), length in zip(zip(label.path, label.path[1:], strict=False), lengths, strict=True):
        if length < 1e-6:
            continue
        angle = math.atan2(end[1] - start[1], end[0] - start[0])
        if not -math.pi / 2 + 1e-6 < angle <= math.pi / 2 + 1e-6:
            angle -= math.copysign(math.pi, angle)
        normal = (-math.sin(angle), math.cos(angle))
        short = max(0.0, label.width + 4 - length)
        sides = (0.0,) if label.inline else (1.0, -1.0)
        for rank, share in enumerate((0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88)):
            for side in sides:
                for step, gap in enumerate((0.7, 1.6) if side else (0.0,)):
                    off = side * (label.clear + gap + label.height / 2)
                    places.append(
                        Place(
                            centre=(
                                start[0] + share * (end[0] - start[0]) + off * normal[0],
                                start[1] + share * (end[1] - start[1]) + off * normal[1],
                            ),
                            rotation=angle,
                            anchor="middle",
                            gap=0.0,
                            cost=0.35 * rank + (0.3 if side < 0 else 0.0) + 0.4 * step + 0.8 * short,
                        )
                    )
    return places


def _on_stretches(label: Label) -> list[Place]:
    """The middle of each stretch."""
    places = []
    for rank, ((x1, y1), (x2, y2)) in enumerate(label.stretches):
        angle = math.atan2(y2 - y1, x2 - x1)
        if not -math.pi / 2 + 1e-6 < angle <= math.pi / 2 + 1e-6:
            angle -= math.copysign(math.pi, angle)
        centre = ((x1 + x2) / 2, (y1 + y2) / 2)
        places.append(Place(centre=centre, rotation=angle, anchor="middle", gap=0.0, cost=0.2 * rank))
    return places


def _candidates(label: Label) -> list[Place]:
    rings = RINGS if label.leader else RINGS[:2]
    if label.stretches:
        return _on_stretches(label)
    if not label.path:
        return _round_about(label, label.at, rings)
    places = _along(label)
    if label.leader:
        places += _round_about(label, label.at, rings[2:], extra=4.0)
    return places


def _box(label: Label, place: Place) -> Quad:
    half, tall = label.width / 2 + PAD, label.height / 2 + PAD
    return rectangle(place.centre, -half, half, -tall, tall, place.rotation)


def _leader(label: Label, place: Place, box: Quad) -> tuple[Point, Point] | None:
    if place.gap <= LEADER_FROM:
        return None
    left, bottom = min(x for x, _ in box), min(y for _, y in box)
    right, top = max(x for x, _ in box), max(y for _, y in box)
    end = (min(max(label.at[0], left), right), min(max(label.at[1], bottom), top))
    length = math.dist(label.at, end)
    if length <= label.clear + 0.3:
        return None
    share = label.clear / length
    start = (label.at[0] + share * (end[0] - label.at[0]), label.at[1] + share * (end[1] - label.at[1]))
    return start, end


def _polygons(quads: Sequence[Quad]) -> NDArray[Any]:
    import shapely

    shapes: Any = shapely.polygons(np.array(quads)) if len(quads) else np.empty(0, dtype=object)
    return np.asarray(shapes, dtype=object)


def _lines(pairs: Sequence[tuple[Point, Point]]) -> NDArray[Any]:
    import shapely

    shapes: Any = shapely.linestrings(np.array(pairs)) if len(pairs) else np.empty(0, dtype=object)
    return np.asarray(shapes, dtype=object)


def covered_lengths(quads: NDArray[np.float64], segments: NDArray[np.float64]) -> NDArray[np.float64]:
    """How much of each segment lies in the convex quad of the same row, by clipping at the quad's sides.

    Parameters
    ----------
    quads : ndarray, shape (n, 4, 2)
        Corners in order, either way round. [mm]
    segments : ndarray, shape (n, 2, 2)
        Ends. [mm]

    Returns
    -------
    ndarray, shape (n,)
        Lengths. [mm]
    """
    sides = np.roll(quads, -1, axis=1) - quads
    turn = np.sign(sides[:, 0, 0] * sides[:, 1, 1] - sides[:, 0, 1] * sides[:, 1, 0])[:, None]
    inward = np.stack((-sides[..., 1], sides[..., 0]), axis=-1) * turn[..., None]
    start = np.sum(inward * (segments[:, None, 0] - quads), axis=-1)
    along = np.sum(inward * (segments[:, None, 1] - segments[:, None, 0]), axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = -start / along
    first = np.max(np.where(along > 0, crossing, 0.0), axis=1).clip(min=0.0)
    last = np.min(np.where(along < 0, crossing, 1.0), axis=1).clip(max=1.0)
    beside = np.any((along == 0) & (start < 0), axis=1)
    share = np.where(beside, 0.0, np.maximum(last - first, 0.0))
    lengths: NDArray[np.float64] = share * np.hypot(*(segments[:, 1] - segments[:, 0]).T)
    return lengths


class _Board:
    """Labels with their candidates, and what stands in their way."""

    def __init__(
        self, labels: Sequence[Label], frame: Frame, blocked: Sequence[Quad], lines: Sequence[Obstacle]
    ) -> None:
        import shapely

        self.shapely = shapely
        self.labels = labels
        self.places = [_candidates(label) for label in labels]
        self.quads = [
            [_box(label, place) for place in places] for label, places in zip(labels, self.places, strict=True)
        ]
        self.shapes = [_polygons(quads) for quads in self.quads]
        self.bounds = [shapely.bounds(shapes) for shapes in self.shapes]
        self.leaders = [
            [_leader(label, place, quad) for place, quad in zip(places, quads, strict=True)]
            for label, places, quads in zip(labels, self.places, self.quads, strict=True)
        ]
        self.has_leader = [np.array([line is not None for line in leaders], dtype=bool) for leaders in self.leaders]
        nowhere = ((0.0, 0.0), (0.0, 0.0))
        self.leader_lines = [_lines([line or nowhere for line in leaders]) for leaders in self.leaders]
        blocks = _polygons(blocked)
        pairs = [pair for line in lines for pair in pairwise(line.points)]
        self.block_tree = shapely.STRtree(blocks)
        self.line_tree = shapely.STRtree(_lines(pairs))
        weights = np.array([line.weight for line in lines for _ in line.points[1:]])
        self.fixed = [self._fixed(index, frame, np.array(pairs), weights) for index in range(len(labels))]

    def _fixed(
        self, index: int, frame: Frame, segments: NDArray[np.float64], weights: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        shapes, bounds = self.shapes[index], self.bounds[index]
        cost = np.array([place.cost for place in self.places[index]])
        outside = (bounds[:, 0] < frame[0]) | (bounds[:, 1] < frame[1]) | (bounds[:, 2] > frame[2])
        cost += TOUCH * (outside | (bounds[:, 3] > frame[3]))
        which, _ = self.block_tree.query(shapes, predicate="intersects")
        np.add.at(cost, which, TOUCH)
        if len(segments):
            which, other = self.line_tree.query(shapes)
            covered = covered_lengths(np.array(self.quads[index])[which], segments[other])
            np.add.at(cost, which, covered * weights[other])
            own = self._led(index, cost)
            which, other = self.line_tree.query(self.leader_lines[index][own], predicate="crosses")
            np.add.at(cost, own[which], 0.8 * np.minimum(weights[other], 1.0))
        return cost

    def _led(self, index: int, cost: NDArray[np.float64]) -> NDArray[np.int64]:
        """Candidates with a leader line that are still in the running."""
        return np.flatnonzero(self.has_leader[index] & (cost < TOUCH))

    def cost(self, index: int, taken: dict[int, int]) -> NDArray[np.float64]:
        """Cost of every candidate of a label, given the places of the others."""
        shapely = self.shapely
        cost = self.fixed[index].copy()
        others = [
            (self.shapes[other][number], self.leaders[other][number])
            for other, number in taken.items()
            if other != index
        ]
        if not others:
            return cost
        boxes: list[Shape] = [shape for shape, _ in others]
        tree = shapely.STRtree(boxes)
        which, _ = tree.query(self.shapes[index], predicate="intersects")
        np.add.at(cost, which, TOUCH)
        drawn = _lines([line for _, line in others if line is not None])
        if len(drawn):
            which, _ = shapely.STRtree(drawn).query(self.shapes[index], predicate="intersects")
            np.add.at(cost, which, 40.0)
        own = self._led(index, cost)
        which, _ = tree.query(self.leader_lines[index][own], predicate="intersects")
        np.add.at(cost, own[which], 40.0)
        if len(drawn):
            which, _ = shapely.STRtree(drawn).query(self.leader_lines[index][own], predicate="intersects")
            np.add.at(cost, own[which], 25.0)
        return cost


def place_labels(
    labels: Sequence[Label], *, frame: Frame, blocked: Sequence[Quad] = (), lines: Sequence[Obstacle] = ()
) -> Placement:
    """Find a place for each label.

    Parameters
    ----------
    labels : sequence of Label
        The most important first.
    frame : Frame
        Where labels may lie. [mm]
    blocked : sequence of Quad
        Rectangles that no label may touch: other texts, symbols. [mm]
    lines : sequence of Obstacle
        Lines that labels lie on at a cost.

    Returns
    -------
    Placement
        No two boxes of ``placed`` touch each other, a blocked rectangle, or the world outside the frame.
    """
    labels = [label for label in labels if any(label.lines)]
    if not labels:
        return Placement(placed=(), dropped=(), unplaced=())
    board = _Board(labels, frame, blocked, lines)
    taken: dict[int, int] = {}
    for _ in range(PASSES):
        before = dict(taken)
        for index, label in enumerate(labels):
            cost = board.cost(index, taken)
            best = int(np.argmin(np.round(cost, 6)))  # of equal places the first, whatever the rounding
            limit = DROP_ABOVE if label.droppable else TOUCH
            if cost[best] < limit:
                taken[index] = best
            else:
                taken.pop(index, None)
        if taken == before:
            break
    placed = tuple(
        Placed(
            label=labels[index],
            place=board.places[index][number],
            box=board.quads[index][number],
            leader=board.leaders[index][number],
        )
        for index, number in sorted(taken.items())
    )
    missing = [label for index, label in enumerate(labels) if index not in taken]
    return Placement(
        placed=placed,
        dropped=tuple(label for label in missing if label.droppable),
        unplaced=tuple(label for label in missing if not label.droppable),
    )


__all__ = ["Frame", "Label", "Obstacle", "Place", "Placed", "Placement", "covered_lengths", "place_labels"]
