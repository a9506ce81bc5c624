"""A soakaway cut across: levels to build to, the storm's water, the ground water, and how it fared in each rain."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.findings.soaks import rate_words
from drainwright.paper.frame import (
    Block,
    Column,
    Draft,
    View,
    detail_scale,
    further_tables,
    papers,
    paragraph,
    stack,
    stacked,
    table,
)
from drainwright.paper.sheet import Circle, Mark, Polygon, ScaledPart
from drainwright.paper.symbols import box, dimension, earth, line, stone, water_mark
from drainwright.paper.tags import tags_beside
from drainwright.paper.wording import Wording
from drainwright.quantities import percent, write
from drainwright.system.catalogue import find_pipe
from drainwright.system.outlets.soak_model import TRENCH_PIPE, Soakaway

PANEL = 92.0  # width of the tables [mm]
NOTES = 46.0  # width for the heights left of the section [mm]
SIDE = 0.45  # ground shown each side [m]
BELOW = 0.35  # ground shown below, at least [m]
DEEPEST = 1.2  # below the bottom the ground water is no longer drawn, only said [m]


def soak_drafts(design: Design) -> list[Draft]:
    """The section of each soakaway, to scale.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    list of Draft
        ``soakaway``, then ``soakaway-2`` and so on; none where the job has none.
    """
    return [
        draft
        for number, soak in enumerate(design.system.soaks, start=1)
        for draft in _drafts(design, soak, "soakaway" if number == 1 else f"soakaway-{number}")
    ]


def _drafts(design: Design, soak: Soakaway, name: str) -> list[Draft]:
    units = design.job.units
    paper = papers(units)[0]
    left, bottom, right, top = paper.inner
    shown = soak.water_table is not None and soak.bottom - soak.water_table < DEEPEST
    low = soak.bottom - BELOW
    if shown and soak.water_table is not None:
        low = min(low, soak.water_table - 0.2)
    high = max(soak.ground, soak.top) + 0.15
    wide = soak.width + 2 * SIDE
    room = (right - left - PANEL - 8.0 - NOTES, top - bottom - 12.0)
    scale = detail_scale(units, wide, high - low, room)
    middle = left + NOTES + room[0] / 2
    view = View(across=scale, up=scale, origin=(0.0, low), at=(middle, (bottom + top - scale.on_paper(high - low)) / 2))
    marks = [*_ground(soak, view, wide / 2, low), *_stone(soak, view), *_waters(soak, view, wide / 2, shown=shown)]
    a, b = view((-soak.width / 2, soak.bottom)), view((soak.width / 2, soak.bottom))
    marks += dimension(a, b, Wording(units).small(soak.width), -5.0)
    marks += _heights(design, soak, view, wide / 2, left, (view((0.0, low))[1] + 2.0, view((0.0, high))[1] + 4.0))
    panel, rest = stack(_notes(design, soak), right - PANEL, top, PANEL, bottom)
    title = f"{soak.kind[0].upper()}{soak.kind[1:]} {soak.name}, section"
    draft = Draft(
        name=name, title=title, scale=scale.words, paper=paper, marks=(*marks, *panel),
        scaled=(ScaledPart(title=title, ratio=scale.ratio),),
        description=f"Section across the {soak.kind} {soak.name} with its levels, and how high each rain fills it.",
    )  # fmt: skip
    return [draft, *further_tables(rest, units, name, title)]


def _ground(soak: Soakaway, view: View, half: float, low: float) -> list[Mark]:
    edge = soak.width / 2
    ring = tuple(view(place) for place in ((-half, low), (half, low), (half, soak.ground), (-half, soak.ground)))
    marks: list[Mark] = [Polygon(layer="soil", points=ring)]
    for side in (-1.0, 1.0):
        a, b = sorted((side * half, side * edge))
        marks += earth((view((a, soak.ground)), view((b, soak.ground))), 1.8, 6.0)
    cover = ((-edge, soak.top), (edge, soak.top), (edge, soak.ground), (-edge, soak.ground))
    if soak.ground > soak.top:
        marks.append(Polygon(layer="backfill", points=tuple(view(place) for place in cover)))
    marks.append(line("ground", view((-half, soak.ground)), view((half, soak.ground))))
    return marks


def _stone(soak: Soakaway, view: View) -> list[Mark]:
    edge = soak.width / 2
    ring = tuple(view(p) for p in ((-edge, soak.bottom), (edge, soak.bottom), (edge, soak.top), (-edge, soak.top)))
    marks: list[Mark] = [Polygon(layer="stone", points=ring), *stone(ring, 3.2)]
    inset = 0.012
    wall, foot, roof = edge - inset, soak.bottom + inset, soak.top - inset
    wrap = ((-wall, foot), (wall, foot), (wall, roof), (-wall, roof), (-wall, foot))
    marks.append(line("fabric", *(view(place) for place in wrap)))
    pipe = find_pipe(TRENCH_PIPE)
    centre = view((0.0, soak.invert + pipe.inside / 2))
    marks += [
        Circle(layer="pipe", centre=centre, radius=view.up.on_paper(pipe.outside / 2)),
        Circle(layer="pipe void", centre=centre, radius=view.up.on_paper(pipe.inside / 2)),
    ]
    return marks


def _waters(soak: Soakaway, view: View, half: float, *, shown: bool) -> list[Mark]:
    edge = soak.width / 2
    marks: list[Mark] = []
    full = soak.bottom + min(max(soak.fullest, 0.0), soak.depth)
    if full > soak.bottom:
        (x0, y0), (x1, y1) = view((-edge, soak.bottom)), view((edge, full))
        marks += [box("water fill", x0, y0, x1, y1), line("water", (x0, y1), (x1, y1))]
        marks += water_mark((x1 - 5.0, y1), 2.2)
    if shown and soak.water_table is not None:
        level = soak.water_table
        marks.append(line("water table", view((-half, level)), view((half, level))))
        marks += water_mark(view((0.8 * half, level)), 2.2)
        rise = level + soak.mound
        marks.append(line("level line", view((-half, level)), view((0.0, rise)), view((half, level))))
    return marks


def _heights(
    design: Design, soak: Soakaway, view: View, half: float, left: float, bounds: tuple[float, float]
) -> list[Mark]:
    word = Wording(design.job.units)
    full = soak.bottom + min(max(soak.fullest, 0.0), soak.depth)
    wanted = [
        (soak.ground, "ground, lowest over it", "text"),
        (soak.top, "top of the stone, under fabric", "text"),
        (soak.invert, "pipe's invert, level", "text"),
        (full, f"fullest, {_years(soak)} rain", "text water"),
        (soak.bottom, "bottom, level, loosened", "text"),
    ]
    if soak.water_table is not None and soak.bottom - soak.water_table < DEEPEST:
        wanted.append((soak.water_table, "seasonal high water", "text water"))
    tags = [(view((0.0, level))[1], word.level(level), said, layer) for level, said, layer in wanted]
    edge = view((-half, soak.bottom))[0]
    return tags_beside(tags, edge, left + NOTES - 8.0, *bounds)


def _years(soak: Soakaway) -> str:
    return f"{soak.return_period / 31557600.0:g}-year"


def _time(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:g} h"


def _notes(design: Design, soak: Soakaway) -> list[Block]:
    word, units = Wording(design.job.units), design.job.units
    us = units == "US"

    def water(value: float) -> str:
        return write(value, "volume", units, "gal" if us else "L", 0)

    size = f"{word.length(soak.length)} long, {word.small(soak.width)} wide"
    if soak.kind == "dry well":
        size = (
            f"{soak.count} of {word.small(soak.width)} across" if soak.count > 1 else f"{word.small(soak.width)} across"
        )
    far = "not known: dig a test hole in the wet season"
    if soak.water_table is not None:
        far = f"{word.level(soak.water_table)}, lifted {word.small(soak.mound)} by its own water"
    parts = [
        paragraph(
            f"{size}, {word.small(soak.depth)} of stone below the pipe; {percent(soak.voids)} voids.", bullet="1"
        ),
        paragraph(
            f"Soil {rate_words(soak.soil_rate, units)} ({soak.rate_from}), divided by {soak.safety:g}: "
            f"{rate_words(soak.rate, units)} through bottom and wet sides.",
            bullet="2",
        ),
        paragraph(f"Holds {water(soak.storage)} to the pipe; half empty {_half(soak)}.", bullet="3"),
        paragraph(f"Seasonal high ground water {far}.", bullet="4"),
        paragraph(
            f"What it cannot take goes to {soak.overflow}."
            if soak.overflow
            else "No overflow is named: what it cannot take comes out at the lowest grate.",
            bullet="5",
            layer="text" if soak.overflow else "text warning",
        ),
        paragraph(
            "Keep the bottom level and do not tread or roll it. Clean washed stone only, wrapped all round. A leaf "
            "trap and a sump before it; look into them twice a year. Never dig it into fill.",
            bullet="6",
        ),
    ]
    rows = [
        (
            _time(storm.duration) + (", the worst" if storm.duration == soak.critical else ""),
            f"{storm.depth / 0.0254:.2f} in" if us else f"{storm.depth * 1000:.0f} mm",
            water(storm.came),
            word.small(storm.fullest),
            "none" if storm.spilled <= 0 else water(storm.spilled),
        )
        for storm in soak.storms
    ]
    columns = (
        Column("rain of", 1.9), Column("depth", 1.2, "end"), Column("water", 1.6, "end"), Column("stands", 1.5, "end"),
        Column("spills", 1.3, "end"),
    )  # fmt: skip
    blocks = [stacked("Notes", parts), table(f"{_years(soak)} rains, each even, routed", columns, rows, 2.1)]
    others: list[tuple[str, str]] = [
        ("fullest with its bottom silted shut", word.small(soak.silted)),
        ("water the simpler rule would store (sides only)", water(soak.side_storage)),
        ("roofs and yards, runoff counted", write(soak.effective_area, "area", units)),
    ]
    if soak.nested is not None:
        others.insert(1, ("fullest in the nested storm of a day", word.small(soak.nested)))
    blocks.append(table("Beside it", (Column("", 3.6), Column("", 1.6, "end")), others, 2.1))
    return blocks


def _half(soak: Soakaway) -> str:
    return "never" if soak.half_empty == float("inf") else f"after {_time(round(soak.half_empty, -1))}"


__all__ = ["soak_drafts"]
