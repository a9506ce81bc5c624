"""For the crew: what fitting goes where, and how each soakaway is built."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

from drainwright.build.fittings_count import group_words, kind_words
from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Facts, Heading, Paragraph, Row, Table
from drainwright.paper.documents.cut_sheets import first_set_up
from drainwright.paper.documents.edge_words import loose_digs
from drainwright.paper.documents.say import Say
from drainwright.quantities import Kind, percent, write
from drainwright.system.catalogue import find_pipe
from drainwright.system.fittings import Fitting
from drainwright.system.made_bends import unmade_bends
from drainwright.system.model import SizedRun
from drainwright.system.outlets.soak_model import TRENCH_PIPE, Soakaway
from drainwright.system.trade import nominal_words, pipe_words

NEAR = 0.05  # a fitting this near to a run's upper end stands at it [m]
LOOSE = 0.3048  # of the bottom loosened by hand before the stone goes in; common practice, no source [m]


def fitting_blocks(design: Design) -> tuple[Block, ...]:
    """Fittings by their places; the gaskets of basins stand with the holes."""
    say = Say(design.job.units)
    stood: dict[tuple[str, float], list[Fitting]] = {}
    for fit in design.system.fittings or ():
        if fit.kind != "gasket":
            stood.setdefault((fit.where, round(_along(design, fit), 3)), []).append(fit)
    if not stood:
        return ()
    order = list(dict.fromkeys(where for where, _ in stood))
    rows: list[Row] = [
        (Cell(text=where, weight="semibold"), _at(design, where, along, say), *_counted(fits, say), "☐")
        for (where, along), fits in sorted(stood.items(), key=lambda item: (order.index(item[0][0]), item[0][1]))
    ]
    columns = (
        Column(head="Run or place", width=1.3), Column(head="From its upper end", width=1.7),
        Column(head="Fittings", width=5), Column(head="Size and kind", width=2.2), Column(head="Made"),
    )  # fmt: skip
    text = (
        "A tee on its back takes a cleanout's riser; a wye's branch comes in with the stream. Gaskets stand with the "
        "holes in basins; couplings between sticks are not listed."
    )
    return (
        Heading(text="Fittings by place"),
        Table(columns=columns, rows=tuple(rows), size=0.84, tight=True),
        *((Bullets(items=unmade),) if (unmade := _unmade(design)) else ()),
        Paragraph(text=text, style="soft"),
    )


def _unmade(design: Design) -> tuple[str, ...]:
    """Bends that no elbow makes near where they are drawn: each a sentence."""
    return tuple(
        f"Bend {bend.number} of {bend.run} turns {bend.angle:.0f}°, which no elbow makes: the office moves it before "
        "it is laid."
        for bend in unmade_bends(design.system.runs)
    )


def _along(design: Design, fit: Fitting) -> float:
    """How far along its run a fitting stands; below 0 at a junction or a basin. [m]"""
    run = next((run for run in design.system.runs if run.name == fit.where), None)
    return -1.0 if run is None or fit.at is None else _reach(run, fit.at)


def _at(design: Design, where: str, along: float, say: Say) -> str:
    if along < 0.0:
        return "–"
    upper = design.system.run(where).upper
    return f"at {upper}" if along < NEAR else say.length(along)


def _reach(run: SizedRun, at: tuple[float, float]) -> float:
    """Distance along a run's route of the place on it that is nearest. [m]"""
    best, reach, walked = math.inf, 0.0, 0.0
    for start, end in pairwise(run.route):
        length = math.dist(start, end)
        if length > 0.0:
            off = ((at[0] - start[0]) * (end[0] - start[0]) + (at[1] - start[1]) * (end[1] - start[1])) / length
            along = min(max(off, 0.0), length)
            foot = (start[0] + along / length * (end[0] - start[0]), start[1] + along / length * (end[1] - start[1]))
            if (miss := math.dist(foot, at)) < best - 1e-9:
                best, reach = miss, walked + along
        walked += length
    return reach


def _counted(fits: list[Fitting], say: Say) -> tuple[str, str]:
    """``2 × elbow 45°; tee, on its back``, and ``4 in sewer and drain``."""
    counts = Counter(_words(fit, say) for fit in fits)
    kinds = dict.fromkeys(f"{nominal_words(fit.pipe.nominal, say.units)} {group_words(fit.pipe)}" for fit in fits)
    return "; ".join(text if number == 1 else f"{number} × {text}" for text, number in counts.items()), ", ".join(kinds)


def _words(fit: Fitting, say: Say) -> str:
    text = kind_words(fit) + (f", turned {fit.way}" if fit.way else "")
    if fit.end is not None and fit.end.nominal != fit.pipe.nominal:
        text += f", {nominal_words(fit.pipe.nominal, say.units)} to {nominal_words(fit.end.nominal, say.units)}"
    return text


def soak_blocks(design: Design) -> tuple[Block, ...]:
    """How each soakaway is set out, dug, filled and closed."""
    say = Say(design.job.units)
    blocks: list[Block] = []
    for soak in design.system.soaks:
        blocks += _soak(design, soak, say)
    return tuple(blocks)


def _soak(design: Design, soak: Soakaway, say: Say) -> list[Block]:
    trench = soak.kind == "infiltration trench"
    size = f"{say.length(soak.length)} long, {say.small(soak.width)} wide"
    if not trench:
        wells = f"{soak.count} wells, each " if soak.count > 1 else ""
        size = f"{wells}{say.small(soak.width)} across"
    zones = [zone.volume for zone in design.build.takeoff.stone if zone.where == soak.name]
    stone = math.fsum(zones) if zones else soak.stone  # as listed by layers, the pipe's room taken off
    facts = [
        ("Dig", f"{size}, bottom level"),
        (
            "Stone",
            f"{say.bulk(stone)}, washed, {percent(soak.voids)} voids; {say.tape(soak.top - soak.bottom)} deep",
        ),
        ("Fabric", f"{write(soak.fabric, Kind.AREA, say.units)} round the stone, laps not counted"),
        ("Too much water", f"goes to {soak.overflow}" if soak.overflow else "comes out at the lowest grate"),
    ]
    if trench:
        facts.append(
            ("Pipe in it", f"{pipe_words(find_pipe(TRENCH_PIPE), say.units)}, level, holes down, far end capped")
        )
    line = first_set_up(design)
    levels = (
        ("Ground, lowest over it", soak.ground),
        ("Top of the stone, fabric closed over it", soak.top),
        ("Pipe's invert, level all along" if trench else "Pipe's invert", soak.invert),
        ("Bottom, level, loosened", soak.bottom),
    )
    rows = tuple(
        (
            Cell(text=name, weight="semibold"), say.level(level), say.tape(soak.ground - level),
            *(() if line is None else (say.rod(line.instrument_height - level),)), "",
        )
        for name, level in levels
    )  # fmt: skip
    columns = (
        Column(head="What", width=3.4), Column(head="Level", width=1.6, align="right"),
        Column(head="Below that ground", width=2, align="right"),
        *(() if line is None else (Column(head=f"Rod {say.level_unit}", width=1.2, align="right"),)),
        Column(head="Rod today", width=1.4, align="right"),
    )  # fmt: skip
    last = "the far end" if trench else "every further well"
    steps = (
        f"Set out {soak.name} and {last} by the tape sheet before digging."
        if trench or soak.count > 1
        else f"Set out {soak.name} by the tape sheet before digging.",
        "Dig no deeper than the bottom, keep it level and dry. Do not tread, roll or wet it: "
        + _loosened(design, soak, say)
        + " Rain in the open hole: stop, let it soak away, scrape the mud out.",
        "Line it with fabric, laps of 1 ft or more." if say.us else "Line it with fabric, laps of 300 mm or more.",
        "Washed stone only, clean to the hand. Check the pipe's invert, then close the fabric over the stone before "
        "any soil goes on.",
        "Nobody drives or piles spoil over it. Water is let in when every upstream trench is closed.",
    )
    return [
        Heading(text=f"Soakaway {soak.name}: {soak.kind}", new_page=True),
        Facts(items=tuple(facts)),
        Heading(text="Levels", level=2),
        Table(columns=columns, rows=rows, tall=True, size=1.0),
        Heading(text="How it is built", level=2),
        Bullets(items=steps, numbered=True),
    ]


def _loosened(design: Design, soak: Soakaway, say: Say) -> str:
    """How the bottom is loosened: nobody is sent between sides that do not stand."""
    if soak.name in loose_digs(design):
        return (
            f"loosen it, {say.small(LOOSE)} deep, last of all, from the edge with long tools. Nobody goes in unless "
            "its sides are sloped back or shielded, as the safe-dig sheet says."
        )
    return (
        f"loosen it by hand, {say.small(LOOSE)} deep, last of all, going backwards so that nobody treads on what is "
        "loose."
    )


__all__ = ["fitting_blocks", "soak_blocks"]
