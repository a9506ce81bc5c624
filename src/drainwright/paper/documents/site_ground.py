"""What the ground does: low spots, drained areas, water over the boundary, falls at the walls, and the next shots."""

from __future__ import annotations

from collections.abc import Sequence

from drainwright.design import Design
from drainwright.field.terrain_model import RunOff, Terrain
from drainwright.field.wall_slopes import FALL_AWAY
from drainwright.field.words import fine
from drainwright.findings.ground import way_words
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Keep, Paragraph, Row, Table
from drainwright.paper.documents.say import Say, joined
from drainwright.paper.ground_marks import area_words
from drainwright.paper.terrain_marks import slope_words, worst_slope
from drainwright.paper.terrain_panel import drained_rows, low_spot_rows
from drainwright.quantities import percent
from drainwright.sources import cite

WARNING = "#8f1d14"
MOST_KEPT = 8  # rows of a table that stays on one page


def poor_slopes(terrain: Terrain) -> tuple[list[str], list[str]]:
    """Walls from which the ground falls away less than the code asks, and those of them to which it falls."""
    worst = {slope.wall: worst_slope(slope) for slope in terrain.wall_slopes}
    ratios = {name: item[2] / item[1] for name, item in worst.items() if item is not None}
    poor = [name for name, ratio in ratios.items() if ratio < FALL_AWAY - 1e-6]
    return poor, [name for name in poor if ratios[name] < -0.001]


def comes_in(design: Design) -> list[str]:
    """What the check of water from beyond the boundary found: the papers say no more than it does."""
    return [finding.message for finding in design.findings if finding.id == "GRD-05"]


def _by_side(stretches: Sequence[RunOff]) -> dict[str, list[RunOff]]:
    """Stretches of the boundary by the side on which they lie."""
    found: dict[str, list[RunOff]] = {}
    for stretch in stretches:
        found.setdefault(stretch.side, []).append(stretch)
    return found


def kept(*blocks: Block) -> tuple[Block, ...]:
    """The blocks of a section on one page where its tables are short, else as they come."""
    long = any(isinstance(block, Table) and len(block.rows) > MOST_KEPT for block in blocks)
    return blocks if long else (Keep(blocks=blocks),)


def ground_part(design: Design) -> tuple[Block, ...]:
    """Part 2 of the paper of the site."""
    terrain = design.site.terrain
    if terrain is None:
        return (
            Heading(text="2. The ground"),
            Paragraph(text="No shots of the ground were taken, so where rain runs is not known."),
        )
    return (
        Heading(text="2. The ground"),
        *_walls(design, terrain),
        *_spots(design, terrain),
        *_drained(design, terrain),
        *_over_the_boundary(design, terrain),
        *_next_shots(design, terrain),
    )


def _walls(design: Design, terrain: Terrain) -> tuple[Block, ...]:
    if not terrain.wall_slopes:
        return ()
    say = Say(design.job.units)
    columns = (
        Column(head="Wall", width=1.2), Column(head="Where it falls away least", width=3.4),
        Column(head="at", width=1.6), Column(head="slope", width=1, align="right"), Column(head="", width=2),
        Column(head="known as", width=1.2),
    )  # fmt: skip
    rows: list[Row] = []
    for slope in terrain.wall_slopes:
        worst = worst_slope(slope)
        if worst is None:
            rows.append(
                (slope.wall, "not measured", "–", "–", Cell(text="take shots", colour=WARNING), slope.basis.value)
            )
            continue
        station, run, fall = worst
        ratio = fall / run
        outcome = (
            Cell(text="as it should be") if ratio >= FALL_AWAY - 1e-6
            else Cell(text="to the house", colour=WARNING, weight="semibold") if ratio < -0.001
            else Cell(text="too little", colour=WARNING)
        )  # fmt: skip
        rows.append(
            (
                slope.wall, slope_words(say, run, fall), f"{say.whole(station)} along", percent(ratio, 1), outcome,
                slope.basis.value,
            )
        )  # fmt: skip
    reach = terrain.wall_slopes[0].reach
    return kept(
        Heading(text="Falls at the walls", level=2),
        Paragraph(
            text=f"The code asks for a fall of {say.small(FALL_AWAY * reach)} in {say.length(reach)} away from the wall"
            f", or swales where there is no room. Source: {cite('irc_r401')}",
            style="soft",
        ),
        Table(columns=columns, rows=tuple(rows), size=0.9),
    )


def _percent(ratio: float) -> str:
    return f"{round(100 * ratio, 1) + 0.0:.1f} %"  # no minus before zero


def _spots(design: Design, terrain: Terrain) -> tuple[Block, ...]:
    if not terrain.low_spots:
        return (
            Heading(text="Low spots", level=2),
            Paragraph(text="The shots show none: everywhere the ground sheds its water."),
        )
    columns = (
        Column(head="", width=0.6), Column(head="deep", width=1.2, align="right"),
        Column(head="area", width=1.2, align="right"), Column(head="holds", width=1.1, align="right"),
        Column(head="spills at", width=1.2, align="right"), Column(head="", width=4),
    )  # fmt: skip
    unsure = [
        f"Low {number}: {spot.why_unsure}"
        for number, spot in enumerate(terrain.low_spots, start=1)
        if not spot.sure and spot.why_unsure
    ]
    return kept(
        Heading(text="Low spots, as water stands in them when they are full", level=2),
        Table(columns=columns, rows=tuple(low_spot_rows(design, terrain)), size=0.9),
        *((Bullets(items=tuple(unsure)),) if unsure else ()),
    )


def _drained(design: Design, terrain: Terrain) -> tuple[Block, ...]:
    rows, said = drained_rows(design, terrain)
    columns = (
        Column(head="Where the ground drains", width=3), Column(head="area", width=1.3, align="right"),
        Column(head="mean slope", width=1.2, align="right"), Column(head="longest way", width=1.4, align="right"),
    )  # fmt: skip
    return kept(
        Heading(text="Where the ground drains, every low spot full", level=2),
        Table(columns=columns, rows=tuple(rows), size=0.9),
        Paragraph(text=said, style="soft"),
    )


def _over_the_boundary(design: Design, terrain: Terrain) -> tuple[Block, ...]:
    say, units = Say(design.job.units), design.job.units
    items = comes_in(design)
    if terrain.run_off:
        parts = [
            f"{say.whole(sum(one.length for one in stretches))} of the {side} "
            f"({area_words(sum(one.area for one in stretches), units)})"
            for side, stretches in _by_side(terrain.run_off).items()
        ]
        items.append(f"Water runs off the lot over {joined(parts)}.")
    items += [way_words(way, units) for way in terrain.ways_on]
    return kept(
        Heading(text="Over the boundary", level=2), Bullets(items=tuple(dict.fromkeys((*items, *terrain.notes)))),
    )  # fmt: skip


def _next_shots(design: Design, terrain: Terrain) -> tuple[Block, ...]:
    if not terrain.next_shots:
        return ()
    units, say = design.job.units, Say(design.job.units)
    unit = 0.3048 if say.us else 1.0
    columns = (
        Column(head="", width=0.5), Column(head=f"east, {'ft' if say.us else 'm'}", width=1.1, align="right"),
        Column(head="north", width=1.1, align="right"), Column(head="why there", width=7),
        Column(head="± now", width=1.3, align="right"), Column(head="then", width=1.3, align="right"),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(text=f"{number}", weight="semibold"), f"{shot.at[0] / unit:.1f}", f"{shot.at[1] / unit:.1f}", shot.why,
            fine(shot.doubt, units), fine(shot.after, units),
        )
        for number, shot in enumerate(terrain.next_shots, start=1)
    )  # fmt: skip
    return kept(
        Heading(text="The next shots, the most telling first", level=2),
        Paragraph(
            text="East and north are from the job's own origin. ± is the standard error of the ground's level there.",
            style="soft",
        ),
        Table(columns=columns, rows=rows, size=0.86),
    )


__all__ = ["comes_in", "ground_part", "poor_slopes"]
