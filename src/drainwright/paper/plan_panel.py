"""Beside the plan: cautions, legend, and the tables of runs, crossings and setting out."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from drainwright.design import Design
from drainwright.paper.frame import Block, Column, heading, in_pieces, stacked, words
from drainwright.paper.frame import paragraph as _paragraph
from drainwright.paper.joined_marks import KIND
from drainwright.paper.label import Label
from drainwright.paper.looks import UTILITY, utility_layer
from drainwright.paper.measure import READ, fit
from drainwright.paper.plan_key import key_blocks
from drainwright.paper.plan_marks import access_words, basis_words
from drainwright.paper.protected_marks import fence_line
from drainwright.paper.setting_out import row_names, taped_places
from drainwright.paper.sheet import Circle, Mark, Point, Polygon
from drainwright.paper.symbols import (
    arrow_head,
    basin_symbol,
    box,
    cleanout_symbol,
    discharge_symbol,
    downspout_symbol,
    hatch,
    inlet_symbol,
    line,
    relief_symbol,
    tree_symbol,
)
from drainwright.paper.wording import Wording
from drainwright.system.freeze_relief import freeze_reliefs
from drainwright.system.trade import pipe_words

TEXT = READ  # size of the cautions [mm]

Sample = Callable[[float, float], list[Mark]]  # left and middle height of a 10 mm wide sample


def panel_blocks(design: Design, unplaced: Sequence[Label], numbers: Sequence[tuple[str, str]]) -> list[Block]:
    """The blocks, the most needed first."""
    return [
        _cautions(design, unplaced), legend(design), *_runs(design), *_crossings(design), *_setting_out(design),
        *key_blocks(numbers),
    ]  # fmt: skip


def _cautions(design: Design, unplaced: Sequence[Label]) -> Block:
    dig = design.build.dig
    us = design.job.units == "US"
    centre = "Call 811" if us else "Ask the place's one-call centre (811 in the United States)"
    notice = design.job.rules.locate_notice
    parts = [
        paragraph(
            f"{centre} {notice.value} working days before digging"
            f"{basis_words(notice.basis)}. Dig only on a live ticket, to the marks on the ground and not to this plan.",
            layer="text warning",
            bullet="•",
        )
    ]
    zone = Wording(design.job.units).small(design.job.rules.tolerance_zone.value)
    parts.append(
        paragraph(
            f"Hatched red: dig by hand, {zone} each side of a marked line's outside, before any machine.", bullet="•"
        )
    )
    if dig.unlocated:
        parts.append(
            paragraph(
                f"Nobody has located: {', '.join(dig.unlocated)}. Such a lot usually has them: find out first.",
                layer="text warning", bullet="•",
            )
        )  # fmt: skip
    parts.append(
        paragraph("Trench protection: see the dig sheet. A competent person decides on site, every day.", bullet="•")
    )
    benchmark = design.job.survey.benchmark
    level = Wording(design.job.units).level(benchmark.elevation)
    about = f" ({benchmark.description})" if benchmark.description else ""
    parts.append(
        paragraph(
            f"Levels are in {Wording(design.job.units).level_unit} on benchmark {benchmark.name}{about} = {level}."
            " Figures marked assumed, stated or from a map were not measured here.",
            bullet="•",
        )
    )
    if unplaced:
        texts = "; ".join(" ".join(label.lines) for label in unplaced)
        parts.append(paragraph(f"No room on the plan for: {texts}.", bullet="•"))
    if design.job.property.access.stockpile is None:
        parts.append(
            paragraph(f"Access: {', '.join(access_words(design))}; no place is given for a stock pile.", bullet="•")
        )
    return stacked("Before digging", parts)


def paragraph(text: str, layer: str = "text", bullet: str = "") -> Block:
    """A caution, in the panel's size."""
    return _paragraph(text, TEXT, layer, bullet)


def _shaped_sample(x: float, y: float) -> list[Mark]:
    ring = ((x, y - 1.0), (x + 10, y - 1.0), (x + 10, y + 1.0), (x, y + 1.0))
    return [*hatch("shaped hatch", ring, 1.3, math.pi / 6), Polygon(layer="shaped", points=ring)]


def plan_items(design: Design) -> list[tuple[str, Sample]]:
    """Samples of what the plan shows; only what occurs on it."""
    duties = {run.duty: run.duty for run in design.system.runs}
    items: list[tuple[str, Sample]] = [(duty, _run_sample(duty)) for duty in duties]
    kinds = {node.kind for node in design.system.nodes.values()}
    symbols: tuple[tuple[str, str, Callable[[Point], list[Mark]]], ...] = (
        ("inlet", "inlet", lambda at: inlet_symbol(at, 1.4)),
        ("downspout", "downspout", downspout_symbol),
        ("junction", "junction, cleanout", cleanout_symbol),
        ("basin", "basin with pump", lambda at: basin_symbol(at, 1.7)),
        ("discharge", "discharge point", discharge_symbol),
    )
    items += [(text, _spot_sample(draw)) for kind, text, draw in symbols if kind in kinds]
    if freeze_reliefs(design.system):
        items.append(("freeze relief", _spot_sample(relief_symbol)))
    items.append(("trench (white: proposed)", lambda x, y: [box("trench", x, y - 1.0, x + 10, y + 1.0)]))
    if design.site.shaped:
        items.append(("shaped ground, levels before to after", _shaped_sample))
    if any(crossing.hand_dig > 0 for crossing in design.build.dig.crossings):
        items.append(("dig by hand", _hand_sample))
        items.append(
            (
                "X1  crossing, see table",
                _spot_sample(lambda at: [Circle(layer="dot utility water", centre=at, radius=0.8)]),
            )
        )
    if any(wall.wall.open_and_coat for wall in design.site.walls):
        items.append(("wall opened and coated", lambda x, y: [line("wall coated", (x, y), (x + 10, y))]))
    buried = [*(item.utility.kind for item in design.site.utilities), *(KIND for _ in design.site.joined)]
    for kind in dict.fromkeys(buried):
        letters, _, colour = UTILITY[kind]
        items.append((f"{kind} ({colour})", _utility_sample(letters, utility_layer(kind))))
    if design.site.boundary:
        items.append(("boundary", lambda x, y: [line("boundary", (x, y), (x + 10, y))]))
    kinds_spared = {thing.kind for thing in design.job.property.protected}
    if "fence" in kinds_spared:
        items.append(("fence", lambda x, y: fence_line(((x, y), (x + 10, y)))))
    if kinds_spared - {"fence"}:
        items.append(("to be spared, its outline", lambda x, y: [line("spared", (x, y), (x + 10, y))]))
    if design.site.trees:
        items.append(("trunk; root zone dashed", _tree_sample))
    if design.site.terrain is not None:
        items.append(("contour near the works", lambda x, y: [line("contour", (x, y), (x + 10, y))]))
    if any(node.kind in ("inlet", "basin") for node in design.system.nodes.values()):
        items.append(("taped; T1: see table", _tape_sample))
    items.append(("spot level (pink: survey)", _spot_sample(_cross)))
    return items


def legend(design: Design) -> Block:
    """The samples with their names, in columns."""
    items = plan_items(design)
    return lambda left, top, width: draw_legend(items, left, top, width)


def draw_legend(
    items: Sequence[tuple[str, Sample]], left: float, top: float, width: float, size: float = 2.0
) -> tuple[list[Mark], float]:
    """Samples, each drawn from a place 10 mm wide, with their names in columns."""
    marks, y = heading(left, top, width, "Legend")
    columns = 3 if width > 105 else 2
    share, pitch = width / columns, 2.1 * size
    rows = math.ceil(len(items) / columns)
    for number, (text, sample) in enumerate(items):
        column, row = divmod(number, rows)
        x, middle = left + column * share, y - (row + 0.5) * pitch - 0.3
        marks += sample(x + 0.5, middle)
        marks.append(words("text", (x + 12.0, middle - 0.325 * size), fit(text, share - 13.0, size), size))
    return marks, y - rows * pitch - 0.6


def _run_sample(duty: str) -> Sample:
    return lambda x, y: [line(duty, (x, y), (x + 10, y)), arrow_head((x + 6.3, y), 0.0, 2.6)]


def _spot_sample(draw: Callable[[Point], list[Mark]]) -> Sample:
    return lambda x, y: draw((x + 5.0, y))


def _utility_sample(letters: str, layer: str) -> Sample:
    def draw(x: float, y: float) -> list[Mark]:
        half = 0.75 * len(letters) + 0.4
        return [
            line(layer, (x, y), (x + 10, y)),
            box("mask", x + 5 - half, y - 0.9, x + 5 + half, y + 0.9),
            words(f"text {layer}", (x + 5, y - 0.66), letters, 2.0, "middle", "semibold"),
        ]

    return draw


def _hand_sample(x: float, y: float) -> list[Mark]:
    ring = ((x, y - 1.0), (x + 10, y - 1.0), (x + 10, y + 1.0), (x, y + 1.0))
    return [Polygon(layer="hand dig", points=ring), *hatch("hand dig hatch", ring, 1.3, -math.pi / 4)]


def _tape_sample(x: float, y: float) -> list[Mark]:
    ticks = [line("axis", (at - 0.6, y - 0.6), (at + 0.6, y + 0.6)) for at in (x + 1.0, x + 9.0)]
    return [line("dimension", (x + 1.0, y), (x + 9.0, y)), *ticks]


def _tree_sample(x: float, y: float) -> list[Mark]:
    return [*tree_symbol((x + 3, y), 0.9), line("root zone", (x + 5.5, y), (x + 10, y))]


def _cross(at: Point) -> list[Mark]:
    x, y = at
    return [line("survey", (x - 0.7, y), (x + 0.7, y)), line("survey", (x, y - 0.7), (x, y + 0.7))]


def _runs(design: Design) -> list[Block]:
    word = Wording(design.job.units)
    columns = (
        Column("run", 0.9), Column("duty", 1.6), Column("pipe", 3.1), Column("length", 1.5, "end"),
        Column("fall", 1.1, "end"), Column(f"inv. upper {word.level_unit}", 1.6, "end"), Column("lower", 1.1, "end"),
    )  # fmt: skip
    rows = [
        (
            run.name, run.duty, pipe_words(run.pipe, word.units),
            word.length(run.length),
            "pumped" if run.pressure else ", ".join(word.grade(part.grade) for part in run.stretches),
            word.level_number(run.invert_upper), word.level_number(run.invert_lower),
        )
        for run in design.system.runs
    ]  # fmt: skip
    return in_pieces("Runs", columns, rows) if rows else []


def _crossings(design: Design) -> list[Block]:
    word = Wording(design.job.units)
    columns = (
        Column("", 0.55), Column("line", 2.4), Column("trench", 1.0), Column("at station", 1.4, "end"),
        Column("top", 1.0, "end"), Column("gap to pipe", 1.5, "end"), Column("by hand", 1.5, "end"),
    )  # fmt: skip
    rows = [
        (
            item.mark, f"{UTILITY[item.kind][0]}  {item.utility}", item.run,
            word.length(item.station) if item.crossing else "alongside",
            "unknown" if item.utility_top is None else word.level_number(item.utility_top),
            "unknown" if item.clearance is None else word.small(item.clearance) if item.clearance >= 0 else "MEETS",
            word.length(item.hand_dig),
        )
        for item in design.build.dig.crossings
    ]  # fmt: skip
    return in_pieces("Crossings", columns, rows) if rows else []


def _setting_out(design: Design) -> list[Block]:
    word = Wording(design.job.units)
    columns = (
        Column("", 0.5), Column("place", 1.5), Column("along", 0.8), Column("from first corner", 2.3, "end"),
        Column("square out", 1.7, "end"), Column("check: corner to place", 2.3, "end"),
    )  # fmt: skip
    rows = []
    places = taped_places(design)
    numbers = row_names(places)
    for place in places:
        along = word.length(abs(place.along))
        if place.along < -0.005:
            along += " before"
        elif place.along > place.length + 0.005:
            along += f" (past {place.end})"
        out = (
            "on the line" if abs(place.out) < 0.003 else word.length(abs(place.out)) + (" in" if place.out < 0 else "")
        )
        rows.append(
            (numbers[place.name], place.name, f"{place.start}–{place.end}", along, out, word.length(place.check))
        )
    return in_pieces("Setting out", columns, rows)


__all__ = ["Sample", "draw_legend", "legend", "panel_blocks", "plan_items"]
