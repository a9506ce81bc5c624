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

from drainwright.paper.label_places import LEADER_FROM, Label, Place, candidates
from drainwright.paper.measure import ASCENT, LEADING, Quad
from drainwright.paper.sheet import Mark, Point, Polygon, Polyline, TextMark

if TYPE_CHECKING:
    from shapely import Polygon as Shape
    from shapely import STRtree

Frame: TypeAlias = tuple[float, float, float, float]  # left, bottom, right, top [mm]

PAD = 0.35  # kept free round a text [mm]
PASSES = 4
TOUCH = 1e5  # cost of touching another label or leaving the frame: more than all others together
FIRST = 24  # places of a label that are looked at first
DROP_ABOVE = 14.0  # cost from which a label that may be dropped is not worth its ink


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """A line that labels should not lie on."""

    points: tuple[Point, ...]  # [mm]
    weight: float  # cost per millimetre covered
    struck: float | None = None  # cost of a leader line across it; where it is not told, by the weight

    @property
    def crossed(self) -> float:
        """Cost of a leader line across it."""
        return 0.8 * min(self.weight, 1.0) if self.struck is None else self.struck


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


def _boxes(label: Label, places: Sequence[Place]) -> NDArray[np.float64]:
    """Rectangles of a label in its places, as ``rectangle`` gives them. (n, 4, 2) [mm]"""
    half, tall = label.width / 2 + PAD, label.height / 2 + PAD
    centres = np.array([place.centre for place in places]).reshape(-1, 1, 2)
    cos, sin = (
        np.array([turn(place.rotation) for place in places]).reshape(-1, 1) for turn in (math.cos, math.sin)
    )  # fmt: skip
    across, up = np.array((-half, half, half, -half)), np.array((-tall, -tall, tall, tall))
    east = centres[:, :, 0] + across * cos - up * sin
    north = centres[:, :, 1] + across * sin + up * cos
    return np.stack((east, north), axis=2)


def _quad(box: NDArray[np.float64]) -> Quad:
    first, second, third, fourth = box.tolist()
    return (*first,), (*second,), (*third,), (*fourth,)


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


def _polygons(quads: Sequence[Quad] | NDArray[np.float64]) -> NDArray[Any]:
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


class _Ways:
    """A label's candidates, in the order of their own costs; those that are in the running, and what stands fixed.

    A candidate that costs as much as a label may ever pay, whatever the others do, is left out from the start.
    """

    def __init__(self, label: Label, frame: Frame) -> None:
        self.label = label
        self.all = candidates(label)
        self.boxes = _boxes(label, self.all)
        low, high = np.min(self.boxes, axis=1), np.max(self.boxes, axis=1)
        inside = np.all((low >= frame[:2]) & (high <= frame[2:]), axis=1)
        self.own = np.array([place.cost for place in self.all])
        free = np.flatnonzero(inside & (self.own < _limit(label)))
        self.order = free[np.argsort(self.own[free], kind="stable")]
        self.seen = 0  # of the order
        self.numbers = np.empty(0, dtype=np.int64)
        self.shapes: NDArray[Any] = np.empty(0, dtype=object)
        self.leaders: list[tuple[Point, Point] | None] = []
        self.leader_lines: NDArray[Any] = np.empty(0, dtype=object)
        self.has_leader = np.empty(0, dtype=bool)
        self.fixed = np.empty(0)

    @property
    def least_left(self) -> float:
        """What any candidate that is not looked at yet costs at least."""
        return float(self.own[self.order[self.seen]]) if self.seen < len(self.order) else math.inf

    def best(self, cost: NDArray[np.float64]) -> tuple[int, float]:
        """The cheapest of those in the running, of equal ones the first of the label's places; and its rounded cost."""
        rounded = np.round(cost, 6)
        least = rounded.min()
        equal = np.flatnonzero(rounded == least)
        return int(equal[np.argmin(self.numbers[equal])]), float(least)


class _Board:
    """Labels with their candidates, and what stands in their way.

    Candidates are looked at from the cheapest by itself on, and no further than where another could still be taken:
    what lies under one, and what is taken already, only adds to its cost.
    """

    def __init__(
        self, labels: Sequence[Label], frame: Frame, blocked: Sequence[Quad], lines: Sequence[Obstacle]
    ) -> None:
        import shapely

        self.shapely = shapely
        pairs = [pair for line in lines for pair in pairwise(line.points)]
        self.block_tree = shapely.STRtree(_polygons(blocked))
        self.line_tree = shapely.STRtree(_lines(pairs))
        self.segments = np.array(pairs)
        self.weights = np.array([line.weight for line in lines for _ in line.points[1:]])
        self.crossed = np.array([line.crossed for line in lines for _ in line.points[1:]])
        self.ways = [_Ways(label, frame) for label in labels]

    def choose(self, index: int, taken: dict[int, int]) -> int | None:
        """The cheapest place of a label, given the places of the others; None where each costs too much."""
        ways = self.ways[index]
        others = [
            (self.ways[other].shapes[number], self.ways[other].leaders[number])
            for other, number in taken.items()
            if other != index
        ]
        beside = self._trees(others)
        while True:
            cost = self._cost(ways, beside)
            number, least = ways.best(cost) if len(cost) else (0, math.inf)
            left = ways.least_left
            if least < round(left, 6) or math.isinf(left):
                return number if len(cost) and cost[number] < _limit(ways.label) else None
            self._enter(ways)

    def _enter(self, ways: _Ways) -> None:
        """Take in more candidates, those that are free of what cannot move."""
        more = ways.order[ways.seen : ways.seen + max(FIRST, 2 * ways.seen)]
        ways.seen += len(more)
        shapes = _polygons(ways.boxes[more])
        hit, _ = self.block_tree.query(shapes, predicate="intersects")
        clear = np.setdiff1d(np.arange(len(more)), hit)
        shapes, kept = shapes[clear], more[clear]
        quads = ways.boxes[kept]
        leaders = [_leader(ways.label, ways.all[number], _quad(quad)) for number, quad in zip(kept, quads, strict=True)]
        nowhere = ((0.0, 0.0), (0.0, 0.0))
        drawn = _lines([line or nowhere for line in leaders])
        led = np.array([line is not None for line in leaders], dtype=bool)
        fixed = self._crossed(ways.own[kept], shapes, quads, drawn, led)
        ways.numbers = np.concatenate((ways.numbers, kept))
        ways.shapes = np.concatenate((ways.shapes, shapes))
        ways.leaders += leaders
        ways.leader_lines = np.concatenate((ways.leader_lines, drawn))
        ways.has_leader = np.concatenate((ways.has_leader, led))
        ways.fixed = np.concatenate((ways.fixed, fixed))

    def _crossed(
        self, own: NDArray[np.float64], shapes: NDArray[Any], quads: NDArray[np.float64], drawn: NDArray[Any],
        led: NDArray[np.bool_],
    ) -> NDArray[np.float64]:  # fmt: skip
        """Cost of each candidate by itself, with the lines that it lies on."""
        cost = own.copy()
        if len(self.segments) and len(cost):
            which, other = self.line_tree.query(shapes)
            covered = covered_lengths(quads[which], self.segments[other])
            np.add.at(cost, which, covered * self.weights[other])
            running = np.flatnonzero(led & (cost < TOUCH))
            which, other = self.line_tree.query(drawn[running], predicate="crosses")
            np.add.at(cost, running[which], self.crossed[other])
        return cost

    def _trees(self, others: Sequence[tuple[Shape, tuple[Point, Point] | None]]) -> tuple[STRtree, STRtree] | None:
        """The boxes of other labels in their places, and their leader lines."""
        if not others:
            return None
        drawn = _lines([line for _, line in others if line is not None])
        return self.shapely.STRtree([shape for shape, _ in others]), self.shapely.STRtree(drawn)

    def _cost(self, ways: _Ways, beside: tuple[STRtree, STRtree] | None) -> NDArray[np.float64]:
        """Cost of every candidate in the running, given what lies beside it."""
        cost = ways.fixed.copy()
        if beside is None or not len(cost):
            return cost
        boxes, drawn = beside
        which, _ = boxes.query(ways.shapes, predicate="intersects")
        np.add.at(cost, which, TOUCH)
        if len(drawn):
            which, _ = drawn.query(ways.shapes, predicate="intersects")
            np.add.at(cost, which, 40.0)
        own = np.flatnonzero(ways.has_leader & (cost < TOUCH))  # still in the running
        which, _ = boxes.query(ways.leader_lines[own], predicate="intersects")
        np.add.at(cost, own[which], 40.0)
        if len(drawn):
            which, _ = drawn.query(ways.leader_lines[own], predicate="intersects")
            np.add.at(cost, own[which], 25.0)
        return cost


def _limit(label: Label) -> float:
    """What a label may not pay for a place."""
    return DROP_ABOVE if label.droppable else TOUCH


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
        for index in range(len(labels)):
            best = board.choose(index, taken)
            if best is None:
                taken.pop(index, None)
            else:
                taken[index] = best
        if taken == before:
            break
    placed = tuple(
        Placed(
            label=ways.label,
            place=ways.all[ways.numbers[number]],
            box=_quad(ways.boxes[ways.numbers[number]]),
            leader=ways.leaders[number],
        )
        for ways, number in ((board.ways[index], number) for index, number in sorted(taken.items()))
    )
    missing = [label for index, label in enumerate(labels) if index not in taken]
    return Placement(
        placed=placed,
        dropped=tuple(label for label in missing if label.droppable),
        unplaced=tuple(label for label in missing if not label.droppable),
    )


__all__ = ["Frame", "Label", "Obstacle", "Place", "Placed", "Placement", "covered_lengths", "place_labels"]
