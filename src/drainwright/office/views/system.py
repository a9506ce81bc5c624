"""What is built: runs, basin and pump, the way out."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.design import Design
from drainwright.findings.gravity_words import lack_words, verdict_words
from drainwright.office.views.drawings import of_kind
from drainwright.office.views.model import Figure as Shows
from drainwright.office.views.model import Shown
from drainwright.office.views.picking import part, shown
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Table
from drainwright.paper.documents.governing import Figure, outlet_figures, run_rows, station_figures
from drainwright.paper.documents.proposal_first import work_lines
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.worksheet_results import result_blocks

WINGS = ("NET", "LFT", "OUT", "SUR", "FTG", "BED")


def system(design: Design) -> Shown:
    """The page of the works."""
    return shown(
        design, says=work_lines(design), figures=tuple(_figures(design)), wings=WINGS,
        drawings=of_kind(design, "system"),
        blocks=(*_gravity(design), *_runs(design), *_told(design), *result_blocks(design)[1:]),
    )  # fmt: skip


def _figures(design: Design) -> Iterator[Shows]:
    """What matters first: is the pump enough, and does the line out take it."""
    say, several = Say(design.job.units), len(design.system.stations) > 1
    for one in (*station_figures(design), *outlet_figures(design)):
        if one.key in ("duty flow", "joined", "gravity"):
            value, at = _apart(one)
            place = f"{one.where}: " if several or one.key != "duty flow" else ""
            what = f"{place}{one.what[:1].lower()}{one.what[1:]}" if place else one.what
            yield Shows(what=what, value=value, why=one.limit, at=at)
    pipe = sum(run.length for run in design.system.runs)
    yield Shows(what="Pipe to lay", value=say.whole(pipe), why=f"{len(design.system.runs)} runs", at=part("Runs"))


def _apart(one: Figure) -> tuple[str, str]:
    """A figure and its place on the worksheet: ``44.2 gpm (W 12)`` is ``44.2 gpm`` at ``step-12``."""
    value, mark, number = one.value.partition(" (W ")
    return value, f"step-{number.removesuffix(')')}" if mark else part("Results")


def _gravity(design: Design) -> Iterator[Block]:
    """Whether the water could leave by its own weight."""
    say, lines = Say(design.job.units), []
    for one in design.system.gravity:
        those, falls = verdict_words(design.system, design.inflows, one, design.job.units)
        reach, why = "reaches" if one.reaches else "does not reach", lack_words(one, design.job.units)
        lines.append(
            f"Gravity {reach} {one.discharge} ({one.kind}, {one.lawful}){those}: it needs {say.level(one.needed)} or "
            f"lower there, and the way out lies at {say.level(one.available)}"
            f"{why and f': {why}'}{falls and f'; {falls}'}."
        )
    if lines:
        yield Heading(text="By its own weight")
        yield Bullets(items=tuple(lines))


def _runs(design: Design) -> Iterator[Block]:
    columns = (
        Column(head="Run"), Column(head="Pipe", width=2.4), Column(head="Fall"), Column(head="Flow", align="right"),
        Column(head="Just full", align="right"), Column(head="Speed", align="right"),
        Column(head="Depth of pipe", align="right"),
    )  # fmt: skip
    yield Heading(text="Runs")
    yield Table(columns=columns, rows=run_rows(design))


def _told(design: Design) -> Iterator[Block]:
    rows = tuple(
        (Cell(text=one.where, weight="semibold"), one.what, one.value, one.limit or "–")
        for one in (*station_figures(design), *outlet_figures(design))
    )
    if rows:
        yield Heading(text="Basin, pump and way out")
        columns = (Column(head="Where"), Column(head="What", width=3.0), Column(head="Figure", align="right"),
                   Column(head="Held against", width=3.0))  # fmt: skip
        yield Table(columns=columns, rows=rows)
    if design.system.conflicts or design.system.notes:
        yield Heading(text="What could not all be kept, and notes")
        yield Bullets(items=(*design.system.conflicts, *design.system.notes))


__all__ = ["system"]
