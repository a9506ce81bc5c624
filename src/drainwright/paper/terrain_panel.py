"""The panel beside the sheet of a job's ground: what it comes to, in tables."""

from __future__ import annotations

from collections.abc import Sequence

from drainwright.design import Design
from drainwright.field.terrain_model import DrainedArea, Terrain
from drainwright.findings.places import listed
from drainwright.paper.frame import Block, Column, paragraph, stacked, table
from drainwright.paper.ground_marks import area_words, interval_words, volume_words
from drainwright.paper.ground_tints import tints_of
from drainwright.paper.label import Label
from drainwright.paper.plan_panel import Sample, draw_legend
from drainwright.paper.sheet import Circle, Mark, Polygon
from drainwright.paper.symbols import arrow, box, hatch, inlet_symbol, line
from drainwright.paper.terrain_marks import tinted
from drainwright.paper.wording import Wording
from drainwright.quantities import System, percent, write

SIZE = 2.1  # of the type [mm]
MOST_SPOTS = 10
LEAST_AREA = 0.5  # drained areas of less are told together [m²]


def terrain_blocks(design: Design, terrain: Terrain, unplaced: Sequence[Label]) -> list[Block]:
    """Tables and notes, the most important first."""
    return [
        *_next_shots(terrain),
        _spots(design, terrain),
        _drained(design, terrain),
        *_notes(design, terrain, unplaced),
        lambda left, top, width: draw_legend(legend_items(terrain), left, top, width),
    ]


def low_spot_rows(design: Design, terrain: Terrain) -> list[tuple[str, ...]]:
    """Low spots: name in the drawing, depth, area, volume, level at which it spills, and what bears on it."""
    word, units = Wording(design.job.units), design.job.units
    rows: list[tuple[str, ...]] = []
    for number, spot in enumerate(terrain.low_spots, start=1):
        said = [*([f"inlet {spot.inlet}"] if spot.inlet else []), *(f"{wall} wall" for wall in spot.walls)]
        rows.append(
            (
                f"low {number}", word.small(spot.depth), area_words(spot.area, units), volume_words(spot.volume, units),
                word.level_number(spot.spill_level), ", ".join([*said, *([] if spot.sure else ["unsure"])]) or "–",
            )
        )  # fmt: skip
    return rows


def drained_rows(design: Design, terrain: Terrain) -> tuple[list[tuple[str, ...]], str]:
    """Drained areas with area, slope and longest way, the inlets first; and a sentence that adds them up."""
    units = design.job.units
    order = ("inlet", "wall", "low spot", "boundary", "beyond the shots")
    shown = sorted(terrain.drained, key=lambda item: (order.index(item.kind), -item.area))
    rows: list[tuple[str, ...]] = [
        (
            _whither(item),
            area_words(item.area, units),
            percent(item.slope, 1) if item.slope > 0 else "–",
            _way(item.longest, units) if item.longest > 0 else "–",
        )
        for item in shown
        if item.area >= LEAST_AREA
    ]  # fmt: skip
    total = sum(item.area for item in terrain.drained)
    rest = sum(item.area for item in shown if item.area < LEAST_AREA)
    whole = "the lot" if terrain.bounded else "the ground within the shots"
    small = f", {area_words(rest, units)} of it in scraps" if rest >= LEAST_AREA else ""
    said = (
        f"Sum {area_words(total, units)}{small}: {whole}, {area_words(terrain.lot_area, units)}, less the house, "
        f"{area_words(terrain.house_area, units)}."
    )
    cut = [item.to for item in shown if item.kind == "inlet" and item.cut_off]
    if cut:
        said += f" To {listed(cut)} at least so much: the ground ends at the last shots, and beyond is not counted."
    return rows, said


def _whither(area: DrainedArea) -> str:
    match area.kind:
        case "boundary":
            return f"off over the {area.to}"
        case "wall":
            return f"to the {area.to} wall"
        case "beyond the shots":
            return "on beyond the shots"
        case _:
            return area.to


def _way(length: float, units: System) -> str:
    return write(length, "length", units, "ft" if units == "US" else "m", 0 if units == "US" else 1)


def _next_shots(terrain: Terrain) -> list[Block]:
    if not terrain.next_shots:
        return []
    parts = [paragraph(shot.why, SIZE, bullet=f"{number}") for number, shot in enumerate(terrain.next_shots, start=1)]
    return [stacked("Next shots, the most telling first", parts)]


def _spots(design: Design, terrain: Terrain) -> Block:
    if not terrain.low_spots:
        return stacked("Low spots", [paragraph("The shots show none: the ground sheds its water everywhere.", SIZE)])
    columns = (Column("", 0.11), Column("deep", 0.15, "end"), Column("area", 0.16, "end"), Column("holds", 0.15, "end"),
               Column("spills at", 0.17, "end"), Column("", 0.26))  # fmt: skip
    rows = low_spot_rows(design, terrain)
    body = table("Low spots, full", columns, rows[:MOST_SPOTS], SIZE)
    more = len(rows) - MOST_SPOTS
    return _with_foot(body, [f"And {more} less deep."] if more > 0 else [])


def _drained(design: Design, terrain: Terrain) -> Block:
    columns = (Column("where the ground drains", 0.42), Column("area", 0.2, "end"), Column("slope", 0.16, "end"),
               Column("longest way", 0.22, "end"))  # fmt: skip
    rows, said = drained_rows(design, terrain)
    return _with_foot(table("Drained ground, every low spot full", columns, rows, SIZE), [said])


def _with_foot(body: Block, texts: Sequence[str]) -> Block:
    def draw(left: float, top: float, width: float) -> tuple[list[Mark], float]:
        marks, y = body(left, top, width)
        for text in texts:
            more, y = paragraph(text, 2.0, "text soft")(left, y, width)
            marks += more
        return marks, y

    return draw


def _notes(design: Design, terrain: Terrain, unplaced: Sequence[Label]) -> list[Block]:
    said = [*terrain.notes]
    if unplaced:
        said.append("No room in the drawing for: " + "; ".join(" ".join(label.lines) for label in unplaced) + ".")
    said.append(
        f"Contours every {interval_words(terrain.interval, design.job.units)}. Between shots the ground is taken as "
        "straight; kerbs, fences and sheds are in it only where shots show them. Figures at walls: where the ground "
        "falls away least."
    )
    return [stacked("Read this first", [paragraph(text, SIZE) for text in said])]


def legend_items(terrain: Terrain) -> list[tuple[str, Sample]]:
    """Samples of what the drawing shows; only what occurs in it."""
    items: list[tuple[str, Sample]] = []
    tinted_by: dict[str, list[str]] = {}  # several inlets may share one: a tint is told once, with all its inlets
    for area, layer in zip(terrain.drained, tints_of(terrain), strict=True):
        names = tinted_by.setdefault(layer, [])
        names += [] if area.to in names else [area.to]
    items += [("drains to " + ", ".join(names), _ruled(layer)) for layer, names in tinted_by.items() if layer]
    if terrain.bare > 0.0:
        items.append(("not measured", _ruled("unknown")))
    if any(spot.sure for spot in terrain.low_spots):
        items.append(("low spot, full", _patch("low spot")))
    if not all(spot.sure for spot in terrain.low_spots):
        items.append(("low spot, unsure", _unsure))
    items += [
        ("the ground falls", lambda x, y: list(arrow("fall", (x + 2.0, y), (x + 8.0, y), "fall", 1.2))),
        ("fall at a wall", lambda x, y: list(arrow("slope away", (x + 1, y), (x + 9, y), "slope away head", 1.8))),
    ]
    if any(min(item.fall, default=0.0) < 0 for item in terrain.wall_slopes):
        items.append(
            ("falls to the house",
             lambda x, y: list(arrow("slope towards", (x + 9, y), (x + 1, y), "slope towards head", 1.8)))
        )  # fmt: skip
    if terrain.run_on:
        items.append(("water comes in", lambda x, y: list(arrow("run-on", (x + 2, y), (x + 8, y), "run-on head", 2.2))))
    items.append(("inlet", lambda x, y: inlet_symbol((x + 5.0, y), 1.3)))
    if terrain.next_shots:
        items.append(("1  next shot", _cross))
    return items


def _patch(layer: str) -> Sample:
    return lambda x, y: [box(layer, x, y - 1.2, x + 10.0, y + 1.2)]


def _ruled(layer: str) -> Sample:
    return lambda x, y: tinted(
        layer, ((x, y - 1.2), (x + 10.0, y - 1.2), (x + 10.0, y + 1.2), (x, y + 1.2))
    )  # fmt: skip


def _unsure(x: float, y: float) -> list[Mark]:
    ring = ((x, y - 1.2), (x + 10.0, y - 1.2), (x + 10.0, y + 1.2), (x, y + 1.2))
    return [Polygon(layer="low spot unsure", points=ring), *hatch("low spot hatch", ring, 2.2, -0.785)]


def _cross(x: float, y: float) -> list[Mark]:
    return [
        Circle(layer="next shot", centre=(x + 5.0, y), radius=1.3),
        line("next shot", (x + 3.0, y), (x + 7.0, y)),
        line("next shot", (x + 5.0, y - 1.7), (x + 5.0, y + 1.7)),
    ]


__all__ = ["drained_rows", "legend_items", "low_spot_rows", "terrain_blocks"]
