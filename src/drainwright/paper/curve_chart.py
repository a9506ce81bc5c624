"""The pump's curve against the discharge line's, and where they meet."""

from __future__ import annotations

import numpy as np

from drainwright.design import Design
from drainwright.hydraulics.pump import PressurePipe, SystemCurve
from drainwright.paper.axes import Axes, round_step
from drainwright.paper.frame import Column, Draft, papers, paragraph, stacked, table
from drainwright.paper.label import Label, Obstacle, place_labels
from drainwright.paper.pump_tables import SHEET_ROWS, points_table, ranking_table, sheet_table
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, Polyline
from drainwright.paper.symbols import line
from drainwright.paper.wording import Wording
from drainwright.system.lift.pressure_line import PUMP_OUTLET
from drainwright.system.model import LiftStation, SizedRun
from drainwright.system.trade import CHOSEN, pump_words
from drainwright.worksheet import quiet

PANEL = 78.0  # [mm]
POINTS = 61


def line_curve(station: LiftStation, run: SizedRun, level: float) -> SystemCurve:
    """The discharge line's curve with the water in the basin at a level, from the sizes in the design."""
    pipe = run.pipe
    riser = max(run.invert_upper - station.floor - PUMP_OUTLET, 0.0)
    part = PressurePipe(
        length=run.pipe_length + riser,
        diameter=pipe.inside,
        roughness=1.5e-6 if pipe.hazen_williams is None else pipe.hazen_williams,
        loss_coefficient=station.fittings_k,
        method="darcy_weisbach" if pipe.hazen_williams is None else "hazen_williams",
    )
    return SystemCurve(static_head=station.static_head - (level - station.off), pipes=(part,))


def pump_drafts(design: Design) -> list[Draft]:
    """The charts of pump and discharge line, that of the station at the house first.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    list of Draft
        ``pump``, then ``pump-2`` and so on; none where the job has no lift station.
    """
    return [
        _draft(design, station, "pump" if number == 1 else f"pump-{number}")
        for number, station in enumerate(design.system.by_house, start=1)
    ]


def _draft(design: Design, station: LiftStation, name: str) -> Draft:
    title = "Pump and discharge line" + (f" of {station.name}" if len(design.system.stations) > 1 else "")
    run = next((item for item in design.system.runs if item.name == station.discharge_run), None)
    word = Wording(design.job.units)
    paper = papers(design.job.units)[0]
    left, bottom, right, top = paper.inner
    curve = station.pump.curve
    flow_top = max(curve.runout, station.operating_flow) * 1.06
    head_top = max(curve.shutoff, station.static_head, station.operating_head) * 1.08
    x_high, y_high = word.flow_number(flow_top), word.distance(head_top)
    y_low = min(0.0, word.distance(station.static_head - (station.on - station.off)))
    x_step, y_step = round_step(x_high, 9), round_step(y_high - y_low, 9)
    y_low = float(np.floor(y_low / y_step) * y_step)
    foot = 4.0 - ranking_table(station, word)(0.0, 0.0, right - left)[1] if len(station.ranking) > 1 else 0.0
    area = Axes(
        left=left + 15.0, bottom=bottom + 11.0 + foot, width=right - left - PANEL - 25.0,
        height=top - bottom - 15.0 - foot,
        x_low=0.0, x_high=float(np.ceil(x_high / x_step) * x_step), y_low=y_low,
        y_high=float(np.ceil(y_high / y_step) * y_step),
    )  # fmt: skip

    def at(flow: float, head: float) -> Point:
        return area(word.flow_number(flow), word.distance(head))

    marks: list[Mark] = [
        *area.across(x_step, f"flow, {word.flow_unit}"), *area.up(y_step, f"head, {word.level_unit}", room=11.0),
        *area.frame(),
    ]  # fmt: skip
    flows = np.linspace(0.0, curve.runout, POINTS)
    pump = tuple(at(float(q), float(h)) for q, h in zip(flows, np.asarray(curve.head(flows)), strict=True))
    labels: list[Label] = []
    lines = [Obstacle(points=pump, weight=3.0)]
    if run is not None:
        system_marks, system = _system(station, run, at, head_top, flow_top)
        marks += system_marks
        lines += [Obstacle(points=path, weight=3.0) for path in system]
        middle = system[1][int(len(system[1]) * 0.62)]
        labels.append(
            Label(
                lines=(f"discharge line {run.name}", "between off and on levels"),
                at=middle,
                strong=True,
                size=2.4,
                clear=0.6,
            )
        )
    marks.append(Polyline(layer="curve strong", points=pump))
    for flow, head in zip(curve.flows, curve.heads, strict=True):
        marks.append(Circle(layer="point", centre=at(flow, head), radius=0.75))
    labels.append(
        Label(
            lines=(f"pump: {pump_words(station.pump, design.job.units)}", "ring: point of the data sheet"),
            at=pump[POINTS // 4],
            strong=True,
            size=2.4,
            layer="text water",
            clear=0.9,
        )
    )
    place = at(station.operating_flow, station.operating_head)
    if station.reaches:
        marks += [
            line("level line", (place[0], area.bottom), place), line("level line", (area.left, place[1]), place),
            Circle(layer="operating", centre=place, radius=1.4),
        ]  # fmt: skip
        lines += [
            Obstacle(points=((place[0], area.bottom), place), weight=2.0),
            Obstacle(points=((area.left, place[1]), place), weight=2.0),
        ]
        text = (
            f"runs at {word.flow(station.operating_flow)}",
            f"against {word.length(station.operating_head)}, water half way",
        )
    else:
        text = ("the pump does not lift any water here", f"static head {word.length(station.static_head)}")
        place = at(0.0, station.static_head)
    labels.insert(
        0,
        Label(
            lines=text, at=place, strong=True, size=2.6, layer="text" if station.reaches else "text warning", clear=1.7
        ),
    )
    inflow = at(station.inflow, 0.0)[0]
    if 0 < inflow < area.right:
        marks.append(line("limit", (inflow, area.bottom), (inflow, area.top)))
        lines.append(Obstacle(points=((inflow, area.bottom), (inflow, area.top)), weight=2.0))
        labels.append(
            Label(
                lines=("design inflow", word.flow(station.inflow)),
                at=(inflow, area.top - 6.0),
                size=2.2,
                layer="text warning",
                clear=0.4,
            )
        )
    placement = place_labels(
        labels, frame=(area.left + 1.0, area.bottom + 1.0, area.right - 1.0, area.top - 1.0), lines=lines
    )
    marks += [*placement.marks(), *_panel(design, station, right - PANEL, top, bottom + foot)]
    if foot > 0.0:
        marks += ranking_table(station, word)(left, bottom + foot - 3.0, right - left)[0]
    return Draft(
        name=name, title=title, scale="none: a chart", paper=paper, marks=tuple(marks),
        description="Head against flow of the pump and of the discharge line, with the operating point.",
    )  # fmt: skip


def _system(
    station: LiftStation, run: SizedRun, at: object, head_top: float, flow_top: float
) -> tuple[list[Mark], list[tuple[Point, ...]]]:
    """The line's curves at off, half way and on, and the band between the outer two."""
    assert callable(at)
    paths: list[tuple[Point, ...]] = []
    for level in (station.off, (station.off + station.on) / 2, station.on):
        curve = line_curve(station, run, level)
        flows = np.linspace(0.0, flow_top, POINTS)
        with quiet():
            heads = np.asarray(curve.head(flows))
        kept = heads <= head_top
        paths.append(tuple(at(float(q), float(h)) for q, h in zip(flows[kept], heads[kept], strict=True)))
    if any(len(path) < 2 for path in paths):
        return [], [((0.0, 0.0), (0.0, 0.0))] * 3
    marks: list[Mark] = [
        Polygon(layer="curve fill", points=(*paths[0], *reversed(paths[2]))),
        Polyline(layer="curve soft", points=paths[0]),
        Polyline(layer="curve soft", points=paths[2]),
        Polyline(layer="curve dashed", points=paths[1]),
    ]
    return marks, paths


def _panel(design: Design, station: LiftStation, left: float, top: float, bottom: float) -> list[Mark]:
    """The figures beside the chart, drawn closer, and with fewer points of the data sheet, where they are many."""
    for rows, gap in ((SHEET_ROWS, 3.0), (SHEET_ROWS, 1.6), (SHEET_ROWS, 0.8), (4, 1.6), (3, 0.8)):
        marks, end = _figures(design, station, left, top, rows, gap)
        if end >= bottom:
            break
    return marks


def _figures(
    design: Design, station: LiftStation, left: float, top: float, points: int, gap: float
) -> tuple[list[Mark], float]:
    word = Wording(design.job.units)
    columns = (Column("", 3.0), Column("", 2.0, "end"))
    rows = [
        ("flow where the curves meet", word.flow(station.operating_flow)),
        ("head there", word.length(station.operating_head)),
        ("static head, from the off level", word.length(station.static_head)),
        ("head at no flow", word.length(station.pump.curve.shutoff)),
        (f"speed in {station.discharge_run}", word.speed(station.velocity)),
        ("design inflow", word.flow(station.inflow)),
        ("drains back when the pump stops", _volume(station.drain_back, design)),
    ]
    marks, y = table("Pump", columns, rows)(left, top, PANEL)
    more, y = sheet_table(station, word, points)(left, y - gap, PANEL)
    marks += more
    if station.points:
        more, y = points_table(station, word)(left, y - gap, PANEL)
        marks += more
    joined = design.system.joined
    if joined is not None and station is design.system.stations[-1]:
        more, y = table(
            f"Joins {joined.name}", columns,
            [
                ("pumped", word.flow(joined.pumped)), ("roofs at the same time", word.flow(joined.roof)),
                ("other", word.flow(joined.other)), ("all together", word.flow(joined.load)),
                ("the line can take", word.flow(joined.capacity)),
            ],
        )(left, y - gap, PANEL)  # fmt: skip
        marks += more
    parts = [
        paragraph(
            f"Pump {CHOSEN[station.pump.chosen_by]}: buy by the curve, not by the power on the label.", bullet="•"
        ),
        paragraph("The shaded band is the line's curve as the water falls from on to off.", bullet="•"),
    ]
    more, y = stacked("Notes", parts)(left, y - gap, PANEL)
    return [*marks, *more], y


def _volume(value: float, design: Design) -> str:
    from drainwright.quantities import Kind, write

    units = design.job.units
    return write(value, Kind.VOLUME, units, "gal" if units == "US" else "L")


__all__ = ["line_curve", "pump_drafts"]
