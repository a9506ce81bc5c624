"""The flow net at a drained wall: where the water comes from, how it runs to the drain, where it then stands."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from drainwright.design import Design, flow_nets
from drainwright.findings.places import listed, series
from drainwright.paper.flow_net_words import designed_middle, small_flow, speed
from drainwright.paper.frame import (
    Block,
    Column,
    Draft,
    Leaf,
    Paper,
    Scale,
    View,
    detail_scale,
    papers,
    paragraph,
    stacked,
    table,
)
from drainwright.paper.label import Label, Obstacle, place_labels
from drainwright.paper.measure import Quad, rectangle
from drainwright.paper.once import once
from drainwright.paper.plan_marks import basis_words, floor_underside
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, Polyline, ScaledPart
from drainwright.paper.symbols import arrow_head, box, concrete, earth, line, stone, water_mark
from drainwright.paper.wording import Wording
from drainwright.system.yard.wall_drains import PROPOSED_OFFSET
from drainwright.water.flow_net import FlowNet, Line

TABLES = 47.0  # height kept for the tables below the section [mm]
ABOVE = 0.30  # wall shown above the ground [m]
BELOW = 0.22  # shown below the tight layer [m]
_nets = once(flow_nets)
HOUSE_SHOWN = 4.0  # of the house at most, so that the net is drawn large [m]
ARROW = 2.0  # length of a flow arrow [mm]


def flow_net_drafts(design: Design, paper: Paper | None = None) -> list[Draft]:
    """A sheet for each footing drain that groundwater comes to.

    Parameters
    ----------
    design : Design
        The designed job; the nets are computed once for all papers, a tenth of a second each.
    paper : Paper, optional
        To draw on; left out, the small paper of the place. On a leaf the section is fitted, to no standard scale.

    Returns
    -------
    list of Draft
        ``flow-net-1`` and so on; empty where no groundwater comes. Drains whose sections are alike share a sheet.
    """
    sheets: dict[tuple[object, ...], list[FlowNet]] = {}
    for net in _nets(design):
        alike = (net.flow, net.design, net.drain_level, net.far_level, net.footing_bottom, net.middle, net.barrier)
        sheets.setdefault(alike, []).append(net)
    return [
        _draft(design, nets, number, paper or papers(design.job.units)[0])
        for number, nets in enumerate(sheets.values(), start=1)
    ]


def _draft(design: Design, nets: list[FlowNet], number: int, paper: Paper) -> Draft:
    net, units = nets[0], design.job.units
    left, bottom, right, top = paper.inner
    start = _start(net)
    low, high = net.barrier - BELOW, max(net.floor, *(level for _, level in net.ground)) + ABOVE
    room = (right - left - 4.0, top - bottom - TABLES - 12.0)
    if isinstance(paper, Leaf):
        ratio = 1000.0 * max((net.far - start) / room[0], (high - low) / room[1])
        scale = Scale(ratio, "fitted to the page")
    else:
        scale = detail_scale(units, net.far - start, high - low, room)
    wide, tall = scale.on_paper(net.far - start), scale.on_paper(high - low)
    origin = (left + 2.0 + (room[0] - wide) / 2, bottom + TABLES + 8.0 + (room[1] - tall) / 2)
    view = View(across=scale, up=scale, origin=(start, low), at=origin)
    marks = [*_earth(net, view, start), *_net(net, view, start), *_water(net, view, start)]
    solids = [*_house(design, net, view, start, high), *_drain(design, net, view)]
    frame = (left + 0.5, bottom + TABLES + 2.0, right - 0.5, top)
    placement = place_labels(
        _labels(design, net, view, start),
        frame=frame,
        blocked=[*_blocked(solids), *_water_boxes(net, view, start)],
        lines=[
            Obstacle(points=mark.points, weight={"curve soft": 0.4, "ground": 4.0}.get(mark.layer, 1.0))
            for mark in [*marks, *solids]
            if isinstance(mark, Polyline) and mark.layer not in ("soil hatch", "concrete grain", "leader line")
        ],
    )
    marks += [*solids, *placement.marks()]
    runs = listed([item.run for item in nets])
    part = ScaledPart(title=f"Flow net of {runs}", ratio=scale.ratio, end=len(marks))
    marks += _tables(design, nets, left, right, bottom)
    walls = f"{listed([item.wall for item in nets])} wall{'s' * (len({item.wall for item in nets}) > 1)}"
    return Draft(
        name=f"flow-net-{number}", title=f"Flow net: {runs} at the {walls}", scale=scale.words, paper=paper,
        marks=tuple(marks), scaled=(part,),
        description=f"Section at the {walls} with the water's ways to drain {runs} and its level before and after.",
    )  # fmt: skip


def _start(net: FlowNet) -> float:
    """Where the drawing begins under the house. [m]"""
    if net.inner is None:
        return net.footing[0] - 1.0
    return max(net.inner, net.middle, -HOUSE_SHOWN)


def _to_middle(net: FlowNet, start: float) -> bool:
    """Whether the drawing reaches mid-house."""
    return start <= net.middle + 1e-6


def _cut(points: Line, start: float) -> list[Line]:
    """The parts of a line from ``start`` outwards."""
    parts: list[list[tuple[float, float]]] = []
    last: tuple[float, float] | None = None
    for at in points:
        if last is not None and (last[0] < start) != (at[0] < start):
            share = (start - last[0]) / (at[0] - last[0])
            edge = (start, last[1] + share * (at[1] - last[1]))
            if at[0] < start:
                parts[-1] += [edge] if parts[-1][-1] != edge else []
            else:
                parts.append([edge] if edge != at else [])
        elif last is None:
            parts.append([])
        if at[0] >= start:
            parts[-1].append(at)
        last = at
    return [tuple(part) for part in parts if len(part) > 1]


def _drawn(layer: str, points: Line, view: View, start: float) -> list[Mark]:
    return [Polyline(layer=layer, points=tuple(view(place) for place in part)) for part in _cut(points, start)]


def _soil_top(net: FlowNet, start: float) -> list[tuple[float, float]]:
    """Upper edge of the soil from the house's side outwards."""
    inner, outer = net.footing
    return [
        (start, net.floor_underside), (-net.wall_thickness, net.floor_underside),
        (-net.wall_thickness, net.footing_top), (inner, net.footing_top), (inner, net.footing_bottom),
        (outer, net.footing_bottom), (outer, net.footing_top), (0.0, net.footing_top), (0.0, net.ground[0][1]),
        *net.ground[1:],
    ]  # fmt: skip


def _wet(net: FlowNet, start: float) -> list[tuple[float, float]]:
    """Outline of the ground full of water, with the drain at work."""
    inside = [place for part in _cut(tuple(reversed(net.water_inside)), start) for place in part]
    edge = [(start, net.barrier)] if inside else [(net.footing[1], net.barrier)]
    return [
        *edge, *inside, (net.footing[0], net.footing_bottom), (net.stone[1], net.footing_bottom), *net.water_outside,
        (net.far, net.barrier),
    ]  # fmt: skip


def _earth(net: FlowNet, view: View, start: float) -> list[Mark]:
    ring = [(start, net.barrier), *_soil_top(net, start), (net.far, net.barrier)]
    marks: list[Mark] = [
        Polygon(layer="soil", points=tuple(view(place) for place in ring)),
        Polygon(layer="water fill", points=tuple(view(place) for place in _wet(net, start))),
    ]
    ground = ((0.0, net.ground[0][1]), *net.ground[1:])
    marks += earth([view(place) for place in ground], 1.8, 6.5)
    marks += earth([view((start, net.barrier)), view((net.far, net.barrier))], 2.2, 4.2)
    for x, top in ((start, net.floor_underside), (net.far, net.ground[-1][1])):
        closed = x == start and net.inner_closed and _to_middle(net, start)
        marks.append(line("axis" if closed else "level line", view((x, net.barrier)), view((x, top))))
    return marks


def _net(net: FlowNet, view: View, start: float) -> list[Mark]:
    marks: list[Mark] = []
    for _, points in net.equipotentials:
        marks += _drawn("curve soft", points, view, start)
    for points in net.streamlines:
        marks += _drawn("water", points, view, start)
        marks += _arrows([view(place) for part in _cut(points, start) for place in part])
    return marks


def _arrows(path: Sequence[Point]) -> list[Mark]:
    """A head half-way along, and one more on a long way."""
    lengths = [math.dist(a, b) for a, b in pairwise(path)]
    total = sum(lengths)
    marks: list[Mark] = []
    for share in (0.35, 0.72) if total > 45.0 else (0.5,) if total > 8.0 else ():
        left = share * total
        for (a, b), length in zip(pairwise(path), lengths, strict=True):
            if left <= length and length > 0.0:
                along = left / length
                tip = (a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1]))
                marks.append(arrow_head(tip, math.atan2(b[1] - a[1], b[0] - a[0]), ARROW))
                break
            left -= length
    return marks


def _water(net: FlowNet, view: View, start: float) -> list[Mark]:
    """Water table before, across the house as if it were not there, and after."""
    marks: list[Mark] = [line("water table", view((start, net.far_level)), view((net.far, net.far_level)))]
    marks += _drawn("curve strong", net.water_outside, view, start)
    open_part = [place for place, held in zip(net.water_inside, net.pressed, strict=True) if not held]
    if len(open_part) > 1:
        marks += _drawn("curve strong", tuple(open_part), view, start)
    for place in _signs(net, start):
        marks += water_mark(view(place), 2.2)
    return marks


def _signs(net: FlowNet, start: float) -> list[tuple[float, float]]:
    """Where the triangle of a water surface stands."""
    places = [(net.far - 0.18 * (net.far - net.stone[1]), net.far_level)]
    free = [p for p, held in zip(net.water_inside, net.pressed, strict=True) if not held and p[0] > start]
    if free and free[0][1] < net.far_level - 0.02:
        places.append(free[len(free) // 2])
    return places


def _water_boxes(net: FlowNet, view: View, start: float) -> list[Quad]:
    return [rectangle(view(place), -1.6, 1.6, -1.8, 2.3) for place in _signs(net, start)]


def _block(view: View, layer: str, x0: float, z0: float, x1: float, z1: float) -> Polygon:
    a, b = view((x0, z0)), view((x1, z1))
    return box(layer, a[0], a[1], b[0], b[1])


def _house(design: Design, net: FlowNet, view: View, start: float, high: float) -> list[Mark]:
    house, inner = design.job.house, -net.wall_thickness
    marks: list[Mark] = []
    footing = _block(view, "concrete", net.footing[0], net.footing_bottom, net.footing[1], net.footing_top)
    marks += concrete(footing.points, 1.7)
    if house.floor_kind != "crawl space":
        marks += concrete(_block(view, "concrete", start, net.floor_underside, inner, net.floor).points, 1.7)
    else:
        marks += earth((view((start, net.floor)), view((inner, net.floor))), 1.6, 6.0)
    body = _block(view, "concrete", inner, net.footing_top, 0.0, high)
    marks += concrete(body.points, 1.7) if design.job.house.walls else [body]
    a, b = view((inner - 0.06, high)), view((0.06, high))
    x = (a[0] + b[0]) / 2
    zigzag = (a, (x - 1.0, a[1]), (x - 0.3, a[1] + 1.2), (x + 0.3, a[1] - 1.2), (x + 1.0, a[1]), b)
    marks.append(Polyline(layer="axis", points=zigzag))
    return marks


def _drain(design: Design, net: FlowNet, view: View) -> list[Mark]:
    top = _stone_top(design, net)
    marks: list[Mark] = [*stone(_block(view, "stone", net.stone[0], net.footing_bottom, net.stone[1], top).points, 1.5)]
    pipe = design.system.run(net.run).pipe
    centre = view((_pipe_at(design, net), net.drain_level + pipe.inside / 2))
    marks.append(Circle(layer="pipe", centre=centre, radius=view.up.on_paper(pipe.outside / 2)))
    marks.append(Circle(layer="pipe void", centre=centre, radius=view.up.on_paper(pipe.inside / 2)))
    return marks


def _stone_top(design: Design, net: FlowNet) -> float:
    run = design.system.run(net.run)
    return min(net.drain_level + run.pipe.outside + run.stone_over, net.ground[0][1])


def _pipe_at(design: Design, net: FlowNet) -> float:
    offset = next((item.beside_offset for item in design.job.works.runs if item.name == net.run), PROPOSED_OFFSET)
    return min(offset, net.stone[1])


def _blocked(marks: Sequence[Mark]) -> list[Quad]:
    """What no label may cover: masonry, stone and pipe."""
    found: list[Quad] = []
    for mark in marks:
        if isinstance(mark, Polygon) and mark.layer in ("concrete", "stone") and len(mark.points) == 4:
            first, second, third, fourth = mark.points
            found.append((first, second, third, fourth))
    return found


def _labels(design: Design, net: FlowNet, view: View, start: float) -> list[Label]:
    word = Wording(design.job.units)
    found: list[Label] = []

    def add(at: tuple[float, float], *texts: str, layer: str = "text", clear: float = 0.4) -> None:
        found.append(Label(lines=texts, at=view(at), size=2.3, strong=True, layer=layer, clear=clear))

    fact = design.job.ground.water_table
    mark = basis_words(fact.basis) if fact is not None else " (assumed)"
    add(
        (net.far - 0.25 * (net.far - net.stone[1]), net.far_level),
        f"undisturbed water {word.level(net.far_level)}{mark}", layer="text water",
    )  # fmt: skip
    add(
        (net.stone[1] - 0.06, _stone_top(design, net)), f"drain {net.run} in its stone",
        f"holds the water at {word.level(net.drain_level)}", layer="text water",
    )  # fmt: skip
    if net.level_middle is not None:
        at = (max(net.middle, start), min(net.level_middle, net.floor_underside))
        where = "" if _to_middle(net, start) else f", {word.length(-net.middle)} from the wall"
        add(at, f"mid-house {word.level(net.level_middle)}", f"with the drain at work{where}", layer="text water")
    name = "crawl-space soil" if design.job.house.floor_kind == "crawl space" else "floor"
    add((start + 0.55 * (net.footing[0] - start), net.floor), f"{name} {word.level(net.floor)}")
    basis = basis_words(design.job.ground.barrier.basis) if design.job.ground.barrier is not None else " (assumed)"
    add((start + 0.3 * (net.far - start), net.barrier), f"tight layer {word.level(net.barrier)}{basis}", clear=2.4)
    add((net.ground[-3][0], net.ground[-3][1]), "ground")
    if net.inner_closed and _to_middle(net, start):
        add((start, (net.barrier + net.footing_bottom) / 2), "middle of the house")
    found += _heads(net, view, start, word)
    return found


def _heads(net: FlowNet, view: View, start: float, word: Wording) -> list[Label]:
    """The head on every other equipotential, on the line itself."""
    labels = []
    for level, points in net.equipotentials:
        number = round((level - net.drain_level) / net.drop)
        parts = _cut(points, start)
        if number % 2 or not parts:
            continue
        path = [view(place) for place in max(parts, key=len)]
        short = _middle_part(path, 7.0)
        if short is not None:
            labels.append(
                Label(
                    lines=(word.level_number(level),), at=short[0], path=short, size=1.8, layer="text soft", clear=0.0,
                    droppable=True, leader=False, inline=True,
                )
            )  # fmt: skip
    return labels


def _middle_part(path: Sequence[Point], length: float) -> tuple[Point, Point] | None:
    """A straight piece about the middle of a line; None: it is too short."""
    whole = sum(math.dist(a, b) for a, b in pairwise(path))
    if whole < 3.0 * length:
        return None
    ends = []
    for wanted in (0.5 * (whole - length), 0.5 * (whole + length)):
        left = wanted
        for a, b in pairwise(path):
            step = math.dist(a, b)
            if left <= step and step > 0.0:
                ends.append((a[0] + left / step * (b[0] - a[0]), a[1] + left / step * (b[1] - a[1])))
                break
            left -= step
    return (ends[0], ends[1]) if len(ends) == 2 else None


def _tables(design: Design, nets: list[FlowNet], left: float, right: float, bottom: float) -> list[Mark]:
    net, word = nets[0], Wording(design.job.units)
    lengths = {item.run: item.length for item in design.inflows.seepage}
    length = sum(lengths[item.run] for item in nets)
    runs = ", ".join(series([item.run for item in nets]))
    two = (Column("", 2.4), Column("", 1.2, "end"))
    middle = word.level(net.level_middle) if net.level_middle is not None else "none there"
    levels = table(
        "Levels and distances", two,
        [
            ("undisturbed water", word.level(net.far_level)),
            ("it stands so far from the wall", word.length(net.far)),
            (floor_underside(design), word.level(net.floor_underside)),
            ("water at mid-house, drained", middle),
            ("held by the drain", word.level(net.drain_level)),
            ("footing's bottom", word.level(net.footing_bottom)),
            ("tight layer", word.level(net.barrier)),
        ],
    )  # fmt: skip
    flows = table(
        f"Groundwater to {runs}, {word.length(length)}", two,
        [
            ("from outside", small_flow(net.from_outside * length, word)),
            ("from under the house", small_flow(net.from_inside * length, word)),
            ("together, by this section", small_flow(net.flow * length, word)),
            ("slot formula, same ends", small_flow(net.closed_form * length, word)),
            ("section over formula", f"{net.ratio:.2f}"),
            ("the design's figure", small_flow(net.design * length, word)),
            ("section over design", f"{net.design_ratio:.2f}"),
        ],
    )  # fmt: skip
    soil = f"{speed(net, design)}{basis_words(design.inflows.conductivity_basis)}"
    texts = (
        "Blue lines with arrows are the water's ways. Between two of them"
        f" {small_flow(net.channel * length, word)} runs to the drain. Dashed lines join equal heads,"
        f" {word.small(net.drop)} apart. Where the meshes are small the water runs fast.",
        f"Steady flow of the wet season in even soil, conductivity {soil}, by finite elements"
        f" ({net.triangles:,} triangles). The least sure of what it rests on is {net.basis.value}. The design rests on"
        f" the slot formula, not on this sheet{designed_middle(design, net, word)}.",
        *net.notes,
    )
    gap = 6.0
    width = (right - left - 2 * gap) / (0.9 + 0.95 + 1.45)
    blocks: tuple[tuple[Block, float], ...] = (
        (levels, 0.9 * width), (flows, 0.95 * width),
        (stacked("How to read it", [paragraph(text, 2.1) for text in texts]), 1.45 * width),
    )  # fmt: skip
    marks: list[Mark] = []
    x = left
    for block, wide in blocks:
        drawn, _ = block(x, bottom + TABLES, wide)
        marks += drawn
        x += wide + gap
    return marks


__all__ = ["flow_net_drafts"]
