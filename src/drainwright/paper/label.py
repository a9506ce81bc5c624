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

Frame: TypeAlias = tuple[float, float, float, float]  # left, bottom, right, top [mm]

PAD = 0.35  # kept free round a text [mm]
PASSES = 4
TOUCH = 1e5  # cost of touching another label or leaving the frame: more than all others together
DROP_ABOVE = 14.0  # cost from which a label that may be dropped is not worth its ink


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


class _Board:
    """Labels with their candidates, and what stands in their way.

    A candidate that costs as much as a label may ever pay, whatever the others do, is left out from the start.
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
        self.places: list[list[Place]] = []
        self.quads: list[NDArray[np.float64]] = []
        self.shapes: list[NDArray[Any]] = []
        self.leaders: list[list[tuple[Point, Point] | None]] = []
        self.leader_lines: list[NDArray[Any]] = []
        self.has_leader: list[NDArray[np.bool_]] = []
        self.fixed: list[NDArray[np.float64]] = []
        for label in labels:
            self._enter(label, frame)

    def _enter(self, label: Label, frame: Frame) -> None:
        """Add a label with the candidates that are free of what cannot move."""
        places = candidates(label)
        quads = _boxes(label, places)
        low, high = np.min(quads, axis=1), np.max(quads, axis=1)
        inside = np.all((low >= frame[:2]) & (high <= frame[2:]), axis=1)
        free = np.flatnonzero(inside & (np.array([place.cost for place in places]) < _limit(label)))
        shapes = _polygons(quads[free])
        hit, _ = self.block_tree.query(shapes, predicate="intersects")
        clear = np.setdiff1d(np.arange(len(free)), hit)
        shapes, kept = shapes[clear], free[clear]
        places, quads = [places[number] for number in kept], quads[kept]
        leaders = [_leader(label, place, _quad(quad)) for place, quad in zip(places, quads, strict=True)]
        nowhere = ((0.0, 0.0), (0.0, 0.0))
        self.places.append(places)
        self.quads.append(quads)
        self.shapes.append(shapes)
        self.leaders.append(leaders)
        self.has_leader.append(np.array([line is not None for line in leaders], dtype=bool))
        self.leader_lines.append(_lines([line or nowhere for line in leaders]))
        self.fixed.append(self._crossed(len(self.places) - 1))

    def _crossed(self, index: int) -> NDArray[np.float64]:
        """Cost of each candidate by itself, with the lines that it lies on."""
        cost = np.array([place.cost for place in self.places[index]])
        if len(self.segments) and len(cost):
            which, other = self.line_tree.query(self.shapes[index])
            covered = covered_lengths(self.quads[index][which], self.segments[other])
            np.add.at(cost, which, covered * self.weights[other])
            own = self._led(index, cost)
            which, other = self.line_tree.query(self.leader_lines[index][own], predicate="crosses")
            np.add.at(cost, own[which], 0.8 * np.minimum(self.weights[other], 1.0))
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
        if not others or not len(cost):
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
        for index, label in enumerate(labels):
            cost = board.cost(index, taken)
            best = int(np.argmin(np.round(cost, 6))) if len(cost) else 0  # of equal places the first
            if len(cost) and cost[best] < _limit(label):
                taken[index] = best
            else:
                taken.pop(index, None)
        if taken == before:
            break
    placed = tuple(
        Placed(
            label=labels[index],
            place=board.places[index][number],
            box=_quad(board.quads[index][number]),
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
