"""Symbols, hatches and dimensions: composites of plain marks."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from drainwright.paper.measure import CAP, READ, text_width
from drainwright.paper.sheet import Anchor, Arc, Circle, Mark, Point, Polygon, Polyline, TextMark

Ring = Sequence[Point]

BETWEEN = 1.0  # least room between two words of a scale bar [mm]


def box(layer: str, left: float, bottom: float, right: float, top: float) -> Polygon:
    """An upright rectangle."""
    return Polygon(layer=layer, points=((left, bottom), (right, bottom), (right, top), (left, top)))


def line(layer: str, *points: Point) -> Polyline:
    """A line through points."""
    return Polyline(layer=layer, points=points)


def arrow_head(tip: Point, angle: float, length: float = 1.8, layer: str = "flow") -> Polygon:
    """A slim filled head that points along ``angle``."""
    spread = 0.28
    back = [
        (tip[0] - length * math.cos(angle + turn), tip[1] - length * math.sin(angle + turn))
        for turn in (spread, -spread)
    ]
    return Polygon(layer=layer, points=(tip, back[0], back[1]))


def arrow(layer: str, start: Point, end: Point, head: str = "flow", length: float = 1.8) -> tuple[Mark, ...]:
    """A line that ends in a head."""
    angle = math.atan2(end[1] - start[1], end[0] - start[0])
    return line(layer, start, end), arrow_head(end, angle, length, head)


def flow_arrows(path: Sequence[Point], spacing: float = 28.0, length: float = 2.6) -> list[Mark]:
    """Heads along a path, one on each long stretch and more on longer ones."""
    marks: list[Mark] = []
    for start, end in itertools.pairwise(path):
        reach = math.dist(start, end)
        if reach < 7.0:
            continue
        angle = math.atan2(end[1] - start[1], end[0] - start[0])
        count = max(1, round(reach / spacing))
        for number in range(count):
            share = (number + 0.5) / count + 0.5 * length / reach
            marks.append(
                arrow_head(
                    (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])), angle, length
                )
            )
    return marks


def hatch(layer: str, ring: Ring, spacing: float = 2.0, angle: float = math.pi / 4) -> list[Mark]:
    """Parallel lines inside a ring."""
    import shapely
    from shapely.affinity import rotate

    shape = shapely.Polygon(ring).buffer(0)
    if shape.is_empty:
        return []
    turned = rotate(shape, -angle, origin=(0, 0), use_radians=True)
    left, bottom, right, top = turned.bounds
    first, last = math.ceil(bottom / spacing), math.floor(top / spacing)
    rules = shapely.MultiLineString(
        [((left - 1, row * spacing), (right + 1, row * spacing)) for row in range(first, last + 1)]
    )
    cut = rotate(turned.intersection(rules), angle, origin=(0, 0), use_radians=True)
    return [
        Polyline(layer=layer, points=tuple((float(x), float(y)) for x, y in piece.coords))
        for piece in getattr(cut, "geoms", [cut])
        if piece.geom_type == "LineString" and not piece.is_empty
    ]


def _lattice(ring: Ring, spacing: float, radius: float) -> list[tuple[Point, int]]:
    """Points of a shaken triangular lattice that lie at least ``radius`` inside the ring, with a number each."""
    import shapely

    shape = shapely.Polygon(ring).buffer(-radius)
    if shape.is_empty:
        return []
    left, bottom, right, top = shape.bounds
    rows = range(math.floor(bottom / spacing), math.ceil(top / spacing) + 1)
    columns = range(math.floor(left / spacing) - 1, math.ceil(right / spacing) + 1)
    found = []
    for row in rows:
        for column in columns:
            number = (row * 7919 + column * 104729) % 1009
            x = (column + 0.5 * (row % 2) + 0.34 * ((number % 17) / 17 - 0.5)) * spacing
            y = (row + 0.34 * ((number % 13) / 13 - 0.5)) * spacing
            if shapely.contains_xy(shape, x, y):
                found.append(((x, y), number))
    return found


def stone(ring: Ring, spacing: float = 2.1) -> list[Mark]:
    """Clean stone: rounded grains of several sizes."""
    marks: list[Mark] = [Polygon(layer="stone", points=tuple(ring))]
    for (x, y), number in _lattice(ring, spacing, 0.45 * spacing):
        radius = spacing * (0.28 + 0.16 * (number % 5) / 4)
        sides, turn = 5 + number % 3, number % 11
        corners = tuple(
            (
                x
                + radius * (0.85 + 0.3 * ((number * (side + 3)) % 7) / 7) * math.cos(turn + side * 2 * math.pi / sides),
                y
                + radius * (0.85 + 0.3 * ((number * (side + 5)) % 5) / 5) * math.sin(turn + side * 2 * math.pi / sides),
            )
            for side in range(sides)
        )
        marks.append(Polygon(layer="stone grain", points=corners))
    return marks


def concrete(ring: Ring, spacing: float = 2.6) -> list[Mark]:
    """Concrete: small dots and triangles."""
    marks: list[Mark] = [Polygon(layer="concrete", points=tuple(ring))]
    for (x, y), number in _lattice(ring, spacing, 0.5):
        if number % 3 == 0:
            turn = number % 7
            corners = tuple(
                (x + 0.38 * math.cos(turn + k * 2 * math.pi / 3), y + 0.38 * math.sin(turn + k * 2 * math.pi / 3))
                for k in range(3)
            )
            marks.append(Polygon(layer="concrete grain", points=corners))
        else:
            marks.append(Circle(layer="concrete grain", centre=(x, y), radius=0.1))
    return marks


def earth(path: Sequence[Point], depth: float = 1.6, spacing: float = 6.5) -> list[Mark]:
    """A ground line with groups of three strokes below it."""
    marks: list[Mark] = [Polyline(layer="ground", points=tuple(path))]
    for (x0, y0), (x1, y1) in itertools.pairwise(path):
        if x1 - x0 <= 1e-9:
            continue
        first = math.ceil(x0 / spacing)
        for group in range(first, math.floor(x1 / spacing) + 1):
            for stroke in range(3):
                x = group * spacing + 0.9 * stroke
                if not x0 + depth <= x <= x1:
                    continue
                y = y0 + (x - x0) / (x1 - x0) * (y1 - y0)
                marks.append(line("soil hatch", (x, y), (x - 0.7 * depth, y - depth)))
    return marks


def water_mark(at: Point, size: float = 1.6, layer: str = "water") -> list[Mark]:
    """An open triangle that stands on a water surface, with two strokes below it."""
    x, y = at
    return [
        line(layer, (x, y), (x - size / 2, y + 0.85 * size), (x + size / 2, y + 0.85 * size), (x, y)),
        line(layer, (x - 0.38 * size, y - 0.35 * size), (x + 0.38 * size, y - 0.35 * size)),
        line(layer, (x - 0.2 * size, y - 0.65 * size), (x + 0.2 * size, y - 0.65 * size)),
    ]


def north_arrow(centre: Point, size: float, clockwise: float) -> list[Mark]:
    """An arrow to true north, turned ``clockwise`` from the sheet's up. [rad]"""

    def turn(right: float, up: float) -> Point:
        cos, sin = math.cos(clockwise), math.sin(clockwise)
        return (centre[0] + right * cos + up * sin, centre[1] - right * sin + up * cos)

    half = size / 2
    letter = turn(0.0, half + 2.2)
    return [
        Circle(layer="dimension open", centre=centre, radius=0.36 * size),
        Polygon(layer="north", points=(turn(0, half), turn(-0.18 * size, -0.28 * size), turn(0, -0.14 * size))),
        Polygon(layer="node", points=(turn(0, half), turn(0.18 * size, -0.28 * size), turn(0, -0.14 * size))),
        TextMark(
            layer="text", at=(letter[0], letter[1] - CAP * 1.5), text="N", size=3.0, anchor="middle", weight="semibold"
        ),
    ]


def scale_bar(at: Point, lengths: Sequence[float], words: Sequence[str], height: float = 1.4) -> list[Mark]:
    """Alternating bars between ``lengths`` from the start, with a word at each that has room before the next. [mm]"""
    marks: list[Mark] = []
    for number, (start, end) in enumerate(itertools.pairwise(lengths)):
        layer = "scale dark" if number % 2 == 0 else "scale light"
        marks.append(box(layer, at[0] + start, at[1], at[0] + end, at[1] + height))
    free = math.inf
    for length, word in reversed(list(zip(lengths, words, strict=True))):  # the last has the unit
        half = text_width(word, READ) / 2
        if length + half > free:
            continue
        spot = (at[0] + length, at[1] + height + 0.8)
        marks.append(TextMark(layer="text soft", at=spot, text=word, size=READ, anchor="middle"))
        free = length - half - BETWEEN
    return marks


def dimension(start: Point, end: Point, text: str, offset: float, size: float = READ) -> list[Mark]:
    """A dimension line at ``offset`` to the left of start to end, with ticks, and its text above the line."""
    length = math.dist(start, end)
    if length < 1e-9:
        return []
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    left = (-along[1], along[0])
    side = math.copysign(1.0, offset)
    a, b = ((p[0] + offset * left[0], p[1] + offset * left[1]) for p in (start, end))
    marks: list[Mark] = [line("dimension", a, b)]
    for origin, stop in ((start, a), (end, b)):
        gap = 0.8 * side
        marks.append(
            line(
                "dimension",
                (origin[0] + gap * left[0], origin[1] + gap * left[1]),
                (stop[0] + gap * left[0], stop[1] + gap * left[1]),
            )
        )
        tick = (0.6 * (along[0] + left[0]), 0.6 * (along[1] + left[1]))
        marks.append(line("axis", (stop[0] - tick[0], stop[1] - tick[1]), (stop[0] + tick[0], stop[1] + tick[1])))
    angle = math.atan2(along[1], along[0])
    if not -math.pi / 2 + 1e-6 < angle <= math.pi / 2 + 1e-6:
        angle -= math.copysign(math.pi, angle)
    up = (-math.sin(angle), math.cos(angle))
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    if text_width(text, size) <= length + 2.0:
        at = (middle[0] + 0.7 * up[0], middle[1] + 0.7 * up[1])
        marks.append(TextMark(layer="text", at=at, text=text, size=size, anchor="middle", rotation=angle))
    else:
        at = (middle[0] + side * 1.4 * left[0], middle[1] + side * 1.4 * left[1] - CAP * size / 2)
        anchor: Anchor = "start" if side * left[0] > 0.3 else "end" if side * left[0] < -0.3 else "middle"
        lift = 0.0 if abs(left[0]) > 0.3 else side * left[1] * CAP * size / 2
        marks.append(TextMark(layer="text", at=(at[0], at[1] + lift), text=text, size=size, anchor=anchor))
    return marks


def basin_symbol(centre: Point, radius: float) -> list[Mark]:
    """The basin in plan: a ring with a pump in it."""
    x, y = centre
    return [
        Circle(layer="basin", centre=centre, radius=radius),
        Circle(layer="pump", centre=centre, radius=0.45 * radius),
        Polygon(
            layer="solid",
            points=(
                (x - 0.2 * radius, y - 0.22 * radius),
                (x + 0.2 * radius, y - 0.22 * radius),
                (x, y + 0.26 * radius),
            ),
        ),
    ]


def inlet_symbol(centre: Point, half: float) -> list[Mark]:
    """A grate in plan: a square with bars."""
    x, y = centre
    marks: list[Mark] = [box("node", x - half, y - half, x + half, y + half)]
    marks += [
        line("axis", (x + share * half, y - 0.7 * half), (x + share * half, y + 0.7 * half))
        for share in (-0.5, 0.0, 0.5)
    ]
    return marks


def downspout_symbol(centre: Point) -> list[Mark]:
    """A downspout in plan: a small filled square in a ring."""
    x, y = centre
    return [Circle(layer="node", centre=centre, radius=1.3), box("node fill", x - 0.6, y - 0.6, x + 0.6, y + 0.6)]


def cleanout_symbol(centre: Point) -> list[Mark]:
    """A cleanout or junction in plan: a ring with a cross."""
    x, y = centre
    return [
        Circle(layer="node", centre=centre, radius=1.1),
        line("axis", (x - 0.7, y), (x + 0.7, y)),
        line("axis", (x, y - 0.7), (x, y + 0.7)),
    ]


def relief_symbol(centre: Point) -> list[Mark]:
    """A freeze relief in plan: a ring with a filled triangle that points up, as the water comes out."""
    x, y = centre
    return [
        Circle(layer="node", centre=centre, radius=1.1),
        Polygon(layer="node fill", points=((x - 0.7, y - 0.45), (x + 0.7, y - 0.45), (x, y + 0.75))),
    ]


def discharge_symbol(centre: Point) -> list[Mark]:
    """A discharge point in plan: a ring with a filled triangle that points away."""
    x, y = centre
    return [
        Circle(layer="node", centre=centre, radius=1.8),
        Polygon(layer="node fill", points=((x - 1.0, y + 0.7), (x + 1.0, y + 0.7), (x, y - 1.1))),
    ]


def tree_symbol(centre: Point, trunk: float) -> list[Mark]:
    """A trunk in plan."""
    return [
        Circle(layer="tree", centre=centre, radius=max(trunk, 0.9)),
        Circle(layer="solid", centre=centre, radius=0.3),
    ]


def quarter(layer: str, centre: Point, radius: float, start: float) -> Arc:
    """A quarter turn, for bends."""
    return Arc(layer=layer, centre=centre, radius=radius, start=start, sweep=math.pi / 2)


__all__ = [
    "arrow", "arrow_head", "basin_symbol", "box", "cleanout_symbol", "concrete", "dimension", "discharge_symbol",
    "downspout_symbol", "earth", "flow_arrows", "hatch", "inlet_symbol", "line", "north_arrow", "quarter",
    "relief_symbol", "scale_bar", "stone", "tree_symbol", "water_mark",
]  # fmt: skip
