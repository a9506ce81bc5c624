"""Tables beside the pump's chart: where it runs as the water moves, and why it was taken before others."""

from __future__ import annotations

import math

from drainwright.paper.frame import Block, Column, table
from drainwright.paper.wording import Wording
from drainwright.quantities import percent
from drainwright.system.lift.pump_model import RankedPump
from drainwright.system.lift.ranking import short_name
from drainwright.system.model import LiftStation
from drainwright.system.trade import nominal_words

SHEET_ROWS = 8  # of a data sheet, at most


def points_table(station: LiftStation, word: Wording) -> Block:
    """Flow at each level, new and worn."""
    wear = 0.0 if station.study is None else station.study.wear
    columns = (
        Column("water at", 1.0), Column("flow", 1.1, "end"), Column("head", 1.3, "end"),
        Column(f"worn {percent(wear)}", 1.1, "end"),
    )  # fmt: skip
    rows = [
        (point.place, ("> " if point.beyond_curve else "") + word.flow(point.flow), word.length(point.head),
         word.flow(point.worn_flow))
        for point in station.points
    ]  # fmt: skip
    return table("As the water moves", columns, rows)


def sheet_table(station: LiftStation, word: Wording, most: int = SHEET_ROWS) -> Block:
    """The data sheet's points; of a long sheet some, evenly picked."""
    curve = station.pump.curve
    points = list(zip(curve.flows, curve.heads, strict=True))
    title = "Data sheet"
    if len(points) > most:
        picked = [round(row * (len(points) - 1) / (most - 1)) for row in range(most)]
        title, points = f"Data sheet, {most} of its {len(points)} points", [points[index] for index in picked]
    rows = [(word.flow(flow), word.length(head)) for flow, head in points]
    return table(title, (Column("flow", 1.0, "end"), Column("head", 1.0, "end")), rows)


def ranking_table(station: LiftStation, word: Wording) -> Block:
    """The pump taken and those next to it, each with what it gives and why it comes where it does."""
    columns = (
        Column("pump", 2.3), Column("line", 1.5), Column("basin", 1.0, "end"), Column("flow", 1.1, "end"),
        Column("worn", 1.1, "end"), Column("speed", 1.1, "end"), Column("starts/h", 0.9, "end"),
        Column("run", 0.8, "end"), Column("spare head", 1.3, "end"), Column("solids", 0.9, "end"), Column("", 0.2),
        Column("why", 6.4),
    )  # fmt: skip
    return table("Pumps ranked", columns, [_row(line, word) for line in station.ranking], size=2.0)


def _row(line: RankedPump, word: Wording) -> tuple[str, ...]:
    return (
        short_name(line.pump, word.units).removeprefix("generic "),
        nominal_words(line.pipe, word.units),
        word.small(line.diameter),
        word.flow(line.flow),
        word.flow(line.worn_flow),
        word.speed(line.velocity),
        f"{line.starts * 3600:.0f}",
        f"{line.run:.0f} s" if math.isfinite(line.run) else "none",
        word.length(line.spare_head),
        "unknown" if line.pump.solids is None else word.small(line.pump.solids),
        "",
        line.reason,
    )


__all__ = ["SHEET_ROWS", "points_table", "ranking_table", "sheet_table"]
