"""Names beside a drawing, each tied to its height."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

from drainwright.paper.frame import words
from drainwright.paper.measure import READ, wrap_figures
from drainwright.paper.sheet import Anchor, Circle, Mark, Point
from drainwright.paper.symbols import line

Tag: TypeAlias = tuple[Point, str, str, str]  # what is named, text, second text, layer


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move heights as little as the order allows until each is ``gap`` from the next, within bounds.

    Neighbours that would touch form a group about their mean (least squares). The bounds give way where
    there are too many.
    """
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    groups: list[tuple[float, int]] = []  # mean of the heights less their offsets, count
    offsets = [rank * gap for rank in range(len(order))]
    for rank, index in enumerate(order):
        mean, count = wanted[index] - offsets[rank], 1
        while groups and groups[-1][0] > mean:
            other, size = groups.pop()
            mean, count = (mean * count + other * size) / (count + size), count + size
        groups.append((mean, count))
    found = [0.0] * len(order)
    rank = 0
    top = high - offsets[-1] if offsets else high
    for mean, count in groups:
        for _ in range(count):
            found[order[rank]] = max(low, min(top, mean)) + offsets[rank]
            rank += 1
    return found


def tags_beside(
    tags: Sequence[tuple[float, str, str, str]],
    x_mark: float,
    x_text: float,
    low: float,
    high: float,
    size: float = 2.3,
    room: float = math.inf,
) -> list[Mark]:
    """Names beside a section, each with a line to its height: height, text, second text, layer.

    A text wider than ``room`` goes on in lines, the first of them highest.
    """
    size = max(size, READ)
    side = 1.0 if x_text > x_mark else -1.0
    marks: list[Mark] = []
    gap = 2.7 * size
    for (y, first, second, layer), at in zip(tags, spread([tag[0] for tag in tags], gap, low, high), strict=True):
        elbow = x_text - side * 3.0
        marks.append(line("leader line", (x_mark, y), (elbow - side * 4.0, y), (elbow, at), (x_text - side * 0.8, at)))
        anchor: Anchor = "start" if side > 0 else "end"
        rows = wrap_figures(first, room, size, "semibold")
        for below, row in enumerate(rows):
            marks.append(
                words(layer, (x_text, at + 0.25 + 1.1 * size * (len(rows) - 1 - below)), row, size, anchor, "semibold")
            )
        if second:
            marks.append(words("text soft", (x_text, at - 1.05 * size), second, max(0.92 * size, READ), anchor))
    return marks


def tags_at(tags: Sequence[Tag], x_mark: float, x_text: float, low: float, high: float) -> list[Mark]:
    """Names beside a view, each with a line to the place that it names."""
    marks: list[Mark] = []
    for (x, y), *_ in tags:
        marks += [line("leader line", (x, y), (x_mark, y)), Circle(layer="solid", centre=(x, y), radius=0.35)]
    named = [(y, first, second, layer) for (_, y), first, second, layer in tags]
    return marks + tags_beside(named, x_mark, x_text, low, high, 2.1)


__all__ = ["Tag", "spread", "tags_at", "tags_beside"]
