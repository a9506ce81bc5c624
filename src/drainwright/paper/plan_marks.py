"""What stands on the plan: features as marks, and the labels they ask for."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from drainwright.design import Design
from drainwright.job.values import Basis
from drainwright.paper.frame import View, words
from drainwright.paper.label import Frame, Label
from drainwright.paper.looks import UTILITY, utility_layer
from drainwright.paper.measure import READ, text_box, text_width
from drainwright.paper.sheet import Circle, Mark, Picture, Point, Polygon, Polyline, TextMark
from drainwright.paper.symbols import (
    basin_symbol,
    box,
    cleanout_symbol,
    dimension,
    discharge_symbol,
    downspout_symbol,
    flow_arrows,
    hatch,
    inlet_symbol,
    line,
)
from drainwright.paper.wording import Wording
from drainwright.system.model import Node
from drainwright.system.trade import pipe_words
from drainwright.system.yard.basin_hole import hole_area, hole_of

SPOT = 1.6  # kept free round a place for its symbol [mm]
OFF_WALL = 0.5  # between a wall and the figure of its length [mm]
SHORT = {Basis.MAPPED: "from a map"}
CODE_EVERY = 42.0  # letters of a buried line [mm]
# order in which labels are placed, the first first
FIRST, SECOND, THIRD, FOURTH, LAST = range(5)


@dataclass(slots=True)
class Drawn:
    """The plan as it grows."""

    marks: list[Mark] = field(default_factory=list)
    labels: list[tuple[int, Label]] = field(default_factory=list)
    symbols: list[Circle] = field(default_factory=list)  # what labels must not cover

    def label(self, rank: int, *lines: str, at: Point, **more: object) -> None:
        """Ask for a label."""
        self.labels.append((rank, Label(lines=lines, at=at, **more)))  # type: ignore[arg-type]

    def symbol(self, centre: Point, radius: float, marks: Sequence[Mark]) -> None:
        """Draw a symbol that keeps its room."""
        self.marks += marks
        self.symbols.append(Circle(layer="node", centre=centre, radius=radius))


def clip(points: Sequence[Point], window: Frame) -> list[tuple[Point, ...]]:
    """The pieces of a line that lie in a window."""
    import shapely

    cut = shapely.LineString(points).intersection(shapely.box(*window))
    pieces = [piece for piece in getattr(cut, "geoms", [cut]) if piece.geom_type == "LineString" and not piece.is_empty]
    return [tuple((float(x), float(y)) for x, y in piece.coords) for piece in pieces]


def clip_area(points: Sequence[Point], window: Frame) -> list[tuple[Point, ...]]:
    """The pieces of an area that lie in a window."""
    import shapely

    cut = shapely.Polygon(points).buffer(0).intersection(shapely.box(*window))
    pieces = [piece for piece in getattr(cut, "geoms", [cut]) if piece.geom_type == "Polygon" and not piece.is_empty]
    return [tuple((float(x), float(y)) for x, y in piece.exterior.coords[:-1]) for piece in pieces]


def inside(at: Point, window: Frame, margin: float = 0.0) -> bool:
    """Whether a place lies in a window."""
    return window[0] + margin <= at[0] <= window[2] - margin and window[1] + margin <= at[1] <= window[3] - margin


def longest(pieces: Sequence[tuple[Point, ...]]) -> tuple[Point, ...]:
    """The longest of some lines."""
    return max(pieces, key=lambda piece: sum(math.dist(a, b) for a, b in pairwise(piece)))


def along(path: Sequence[Point], distance: float) -> Point:
    """The place at a distance along a line; its end beyond it."""
    for start, end in pairwise(path):
        reach = math.dist(start, end)
        if reach > 0 and distance <= reach:
            share = max(0.0, distance / reach)
            return (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
        distance -= reach
    return path[-1]


def middle(path: Sequence[Point]) -> Point:
    """The place half way along a line."""
    return along(path, sum(math.dist(a, b) for a, b in pairwise(path)) / 2)


def stretch(path: Sequence[Point], start: float, end: float) -> tuple[Point, ...]:
    """The part of a line between two distances."""
    import shapely
    from shapely.ops import substring

    part = substring(shapely.LineString(path), max(start, 0.0), max(end, 0.0))
    return tuple((float(x), float(y)) for x, y in part.coords)


def band(path: Sequence[Point], width: float) -> list[tuple[Point, ...]]:
    """Outline of a strip of that width about a line."""
    import shapely

    shape = shapely.LineString(path).buffer(width / 2, cap_style="flat", join_style="mitre")
    return [
        tuple((float(x), float(y)) for x, y in piece.exterior.coords[:-1]) for piece in getattr(shape, "geoms", [shape])
    ]


def basis_words(basis: Basis) -> str:
    """The mark, unless the value was measured."""
    return "" if basis.is_sure else f" ({SHORT.get(basis, basis.value)})"


def floor_top(design: Design) -> str:
    """What the lowest floor's level is the level of."""
    kind = design.job.house.floor_kind
    return "crawl-space soil" if kind == "crawl space" else f"top of the {kind} floor"


def floor_underside(design: Design) -> str:
    """What water must stay below: the storm test holds it against this."""
    return "crawl-space soil" if design.job.house.floor_kind == "crawl space" else "underside of the floor"


def picture_below(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    """The photo or plat that the job lays under its plan, and what it is worth."""
    laid, backdrop = design.site.backdrop, design.job.survey.backdrop
    if laid is None or backdrop is None or backdrop.picture is None:
        return
    side = view.across.on_paper(laid.pixel)
    drawn.marks.append(
        Picture(
            layer="backdrop", corner=view(laid.corner), width=laid.width * side, height=laid.height * side,
            turn=laid.turn, window=window, data=backdrop.picture,
        )
    )  # fmt: skip
    text = f"Picture below: {backdrop.note or 'for looks only'}. Measured lines rule."
    at = (window[0] + 1.5, window[1] + 1.6)
    drawn.marks += [
        box("mask", window[0] + 0.5, window[1] + 0.5, at[0] + text_width(text, READ) + 1.0, at[1] + 2.6),
        words("text soft", at, text, 2.0),
    ]


def stock_pile(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    """Where the spoil is heaped, with the way to it."""
    from drainwright.field.places import plan_of

    pile = design.job.property.access.stockpile
    if pile is not None:
        centre = view(plan_of(pile, design.site.points))
        if inside(centre, window, 6.0):
            oval = tuple(
                (centre[0] + 5.0 * math.cos(t * math.pi / 12), centre[1] + 3.4 * math.sin(t * math.pi / 12))
                for t in range(24)
            )
            drawn.marks.append(Polygon(layer="stock pile", points=oval))
            drawn.label(THIRD, "stock pile", *access_words(design), at=centre, size=2.0, clear=3.6)


def ground_and_house(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    """Boundary, and the house with its walls."""
    site, word = design.site, Wording(design.job.units)
    if len(site.boundary) >= 2:
        corners = [view(corner) for corner in (*site.boundary, site.boundary[0])]
        pieces = clip(corners, window)
        drawn.marks += [Polyline(layer="boundary", points=piece) for piece in pieces]
        if pieces:
            path = longest(pieces)
            drawn.label(FOURTH, "boundary", at=middle(path), path=path, size=2.0, layer="text soft", clear=0.3)
    outline = tuple(view(corner) for corner in site.outline)
    drawn.marks.append(Polygon(layer="house", points=outline))
    drawn.marks += hatch("house hatch", outline, 3.4)
    for wall in site.walls:
        if wall.wall.open_and_coat:
            drawn.marks.append(line("wall coated", view(wall.start), view(wall.end)))
    spots = [view(node.at) for node in design.system.nodes.values()]
    for start, end in zip(site.outline, (*site.outline[1:], site.outline[0]), strict=True):
        drawn.marks += _wall_length(view(start), view(end), word.length(math.dist(start, end)), spots)
    import shapely

    house = shapely.Polygon(outline).buffer(0)
    centre_point = shapely.maximum_inscribed_circle(house).coords[0]
    drawn.label(
        SECOND, "House", f"{floor_top(design)} {word.level(site.floor)}{basis_words(site.floor_basis)}",
        at=(float(centre_point[0]), float(centre_point[1])), size=2.8, strong=True, clear=0.0,
    )  # fmt: skip


def _wall_length(start: Point, end: Point, text: str, spots: Sequence[Point]) -> list[Mark]:
    """A wall's dimension inside the house, as near to the wall as places beside it allow, its figure off the wall."""
    import shapely

    taken = shapely.union(shapely.MultiPoint(spots).buffer(SPOT), shapely.LineString([start, end]).buffer(OFF_WALL))
    for offset in (2.6, 3.4, 4.2, 5.8):
        marks = dimension(start, end, text, offset)
        if not any(taken.intersects(shapely.Polygon(text_box(mark))) for mark in marks if isinstance(mark, TextMark)):
            break
    return marks


def access_words(design: Design) -> tuple[str, str]:
    """How far the barrow goes, and how wide the gate is."""
    access, word = design.job.property.access, Wording(design.job.units)
    gate = "not measured" if access.gate_width is None else f"{word.small(access.gate_width)} wide"
    return f"barrow way {word.length(access.barrow_distance)}", f"gate {gate}"


def digging(design: Design, view: View, drawn: Drawn) -> None:
    """Trenches and the basin's hole as white strips, and the stretches dug by hand."""
    trenches = {trench.name: trench for trench in design.build.dig.trenches}
    routes: dict[str, tuple[Point, ...]] = {}  # on the ground [m]
    for wall in design.site.walls:
        trench = trenches.get(wall.name)
        if trench is not None and trench.kind == "wall":
            east, north = (part * trench.width / 2 for part in wall.outward)
            routes[wall.name] = tuple((x + east, y + north) for x, y in (wall.start, wall.end))
    for run in design.system.runs:
        if len(run.route) > 1 and run.length > 0 and run.name in trenches:
            routes[run.name] = run.route
    for pit in (trench for trench in trenches.values() if trench.kind == "inlet"):
        (x, y), half = design.system.nodes[pit.name].at, pit.width / 2
        routes[pit.name] = ((x - half, y), (x + half, y))
    for name, route in routes.items():
        path = tuple(view(place) for place in route)
        width = view.across.on_paper(trenches[name].width)
        drawn.marks += [Polygon(layer="trench", points=ring) for ring in band(path, width)]
    for station in (one for one in design.system.stations if one.name in trenches):
        area = hole_area(design.site, station.at, hole_of(design.site, station))
        hole = tuple(view((x, y)) for x, y in area.exterior.coords[:-1])
        drawn.marks.append(Polygon(layer="trench", points=hole))
        if any(item.run == station.name and item.hand_dig > 0 for item in design.build.dig.crossings):
            drawn.marks.append(Polygon(layer="hand dig", points=hole))
            drawn.marks += hatch("hand dig hatch", hole, 1.3, -math.pi / 4)
    for crossing in design.build.dig.crossings:
        along_route = routes.get(crossing.run)
        if along_route is None or crossing.stretch is None:
            continue
        if len(part := stretch(along_route, *crossing.stretch)) < 2:
            continue
        for ring in band(tuple(view(place) for place in part), view.across.on_paper(trenches[crossing.run].width)):
            drawn.marks.append(Polygon(layer="hand dig", points=ring))
            drawn.marks += hatch("hand dig hatch", ring, 1.3, -math.pi / 4)


def buried_lines(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    """Buried lines in their colours, with letters and depth."""
    word = Wording(design.job.units)
    for item in design.site.utilities:
        utility = item.utility
        letters, _, _ = UTILITY[utility.kind]
        layer = utility_layer(utility.kind)
        pieces = clip([view(place) for place in item.route], window)
        drawn.marks += [Polyline(layer=layer, points=piece) for piece in pieces]
        if not pieces:
            continue
        path = longest(pieces)
        depth = (
            "depth UNKNOWN"
            if utility.depth is None
            else f"top {word.small(utility.depth.value)} down{basis_words(utility.depth.basis)}"
        )
        state = "" if utility.live else ", dead"
        drawn.label(
            THIRD, f"{letters}  {utility.name}{state}: {depth}", at=middle(path), path=path,
            layer=f"text {layer}", size=2.0, strong=True, clear=0.3,
        )  # fmt: skip
        for piece in pieces:
            length = sum(math.dist(a, b) for a, b in pairwise(piece))
            count = max(1, round(length / CODE_EVERY))
            for number in range(count):
                part = stretch(piece, number * length / count, (number + 1) * length / count)
                if len(part) > 1:
                    drawn.label(
                        LAST, letters, at=middle(part), path=part, layer=f"text {layer}", size=2.0, strong=True,
                        droppable=True, leader=False, inline=True,
                    )  # fmt: skip


def crossing_marks(design: Design, view: View, drawn: Drawn) -> None:
    """Where the digging meets a buried line, by its number."""
    for crossing in design.build.dig.crossings:
        at = view(crossing.at)
        layer = f"dot {utility_layer(crossing.kind)}"
        drawn.marks.append(Circle(layer=layer, centre=at, radius=0.8))
        drawn.label(SECOND, crossing.mark, at=at, layer="text warning", size=2.1, strong=True, clear=0.9)


def run_lines(design: Design, view: View, drawn: Drawn) -> None:
    """Runs by duty, with flow arrows and labels."""
    word = Wording(design.job.units)
    for run in design.system.runs:
        path = tuple(view(place) for place in run.route)
        if len(path) < 2:
            continue
        drawn.marks.append(Polyline(layer=run.duty, points=path))
        drawn.marks += flow_arrows(path)
        fall = "pumped" if run.pressure else f"falls {word.falls(run)}"
        drawn.label(
            FIRST, f"{run.name}  {pipe_words(run.pipe, word.units)}",
            f"{word.length(run.length)}, {fall}", at=middle(path), path=path, size=2.3, strong=True,
            clear=0.9, layer="text water",
        )  # fmt: skip


def survey_marks(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    """Spot levels, named corners and the benchmark."""
    word = Wording(design.job.units)
    corners = {(round(east, 6), round(north, 6)) for east, north in design.site.outline}
    import shapely

    house = shapely.Polygon([view(corner) for corner in design.site.outline]).buffer(0.5)

    def covered(at: Point) -> bool:
        return bool(shapely.contains_xy(house, *at))

    survey = design.job.survey
    marks = {survey.benchmark.name, *([survey.closing_benchmark.name] if survey.closing_benchmark else [])}
    nodes = {(round(node.at[0], 3), round(node.at[1], 3)) for node in design.system.nodes.values()}
    for point in design.site.points.values():
        if not (math.isfinite(point.east) and math.isfinite(point.north)):
            continue
        at = view((point.east, point.north))
        if not inside(at, window, 2.0):
            continue
        level = "" if point.level is None else word.level_number(point.level)
        if point.name in marks:
            ring = ((at[0] - 1.4, at[1] - 0.9), (at[0] + 1.4, at[1] - 0.9), (at[0], at[1] + 1.5))
            drawn.symbol(at, 1.5, [Polygon(layer="survey", points=ring)])
            drawn.label(
                SECOND, f"Benchmark {point.name}", word.level(point.level or 0.0), at=at, clear=1.6, strong=True
            )
        elif point.name in design.system.nodes:
            continue  # the node says its levels
        elif (round(point.east, 6), round(point.north, 6)) in corners:
            drawn.label(SECOND, point.name, *([level] if level else []), at=at, clear=0.6, size=2.2, strong=True)
        elif level and (round(point.east, 3), round(point.north, 3)) not in nodes and not covered(at):
            drawn.marks += [
                line("survey", (at[0] - 0.7, at[1]), (at[0] + 0.7, at[1])),
                line("survey", (at[0], at[1] - 0.7), (at[0], at[1] + 0.7)),
            ]
            drawn.label(LAST, level, at=at, layer="text soft", size=1.8, clear=0.5, droppable=True, leader=False)


def node_marks(design: Design, view: View, drawn: Drawn, rows: Mapping[str, str]) -> None:
    """Nodes with their levels, and the row of setting out of those that ``rows`` names."""
    word, system = Wording(design.job.units), design.system
    kinds = {inlet.name: inlet.kind for inlet in design.job.works.inlets}
    sizes = {inlet.name: inlet.size for inlet in design.job.works.inlets}
    for node in system.nodes.values():
        at = view(node.at)
        invert = f"invert {word.level_number(node.invert)}"
        rim = f"rim {word.level_number(node.rim)}"
        row = f"  {rows[node.name]}" if node.name in rows else ""
        if node.kind == "inlet":
            half = max(1.3, view.across.on_paper(sizes.get(node.name, 0.3)) / 2)
            drawn.symbol(at, half, inlet_symbol(at, half))
            drawn.label(
                FIRST, f"{node.name}  {kinds.get(node.name, 'inlet')}{row}", rim, invert, at=at, clear=half, strong=True
            )
        elif node.kind == "basin":
            _basin(design, node, row, at, view, drawn)
        elif node.kind == "downspout":
            drawn.symbol(at, 1.3, downspout_symbol(at))
            led = any(node.name in (run.upper, run.lower) for run in system.runs)
            said = invert if led else "not led into these works"
            drawn.label(FIRST, f"{node.name}  downspout", said, at=at, clear=1.4, strong=True)
        elif node.kind == "discharge":
            drawn.symbol(at, 1.8, discharge_symbol(at))
            kind = next((point.kind for point in design.job.works.discharge if point.name == node.name), "")
            drawn.label(FIRST, f"{node.name}  {kind}", invert, at=at, clear=1.9, strong=True)
        else:
            drawn.symbol(at, 1.1, cleanout_symbol(at))
            ground = f"ground {word.level_number(node.ground)}"
            drawn.label(FIRST, node.name, ground, invert, at=at, clear=1.2, strong=True)


def _basin(design: Design, node: Node, row: str, at: Point, view: View, drawn: Drawn) -> None:
    word, station = Wording(design.job.units), design.system.station_named(node.name)
    if station is None:
        drawn.symbol(at, 1.8, basin_symbol(at, 1.8))
        drawn.label(FIRST, f"{node.name}  basin{row}", at=at, clear=2.0, strong=True)
        return
    radius = max(1.8, view.across.on_paper(station.inside_diameter) / 2)
    drawn.symbol(at, radius, basin_symbol(at, radius))
    drawn.label(
        FIRST,
        f"{node.name}  basin {word.small(station.inside_diameter)} inside{row}",
        f"rim {word.level_number(station.rim)}",
        f"floor {word.level_number(station.floor)}",
        at=at, clear=radius, strong=True,
    )  # fmt: skip


__all__ = [
    "LAST", "SECOND", "Drawn", "along", "basis_words", "buried_lines", "clip", "crossing_marks", "digging", "floor_top",
    "floor_underside", "ground_and_house", "inside", "node_marks", "run_lines", "stock_pile", "survey_marks", "words",
]  # fmt: skip
