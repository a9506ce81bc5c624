"""The storm test, drawn: rain, flows, the basin's level, and what each failure would do, on one time axis."""

from __future__ import annotations

import numpy as np

from drainwright.design import Design
from drainwright.paper.frame import Draft, papers, words
from drainwright.paper.measure import CAP, READ, wrap
from drainwright.paper.sheet import Polygon
from drainwright.paper.storm_flows import FlowPanel, flow_panels
from drainwright.paper.storm_levels import PUMPING, basin_levels, drain_levels, house_levels
from drainwright.paper.storm_panels import GAP, HOUR, LEFT, Panels, area_under, curve, nice_top, span
from drainwright.paper.symbols import box, line
from drainwright.paper.wording import Wording
from drainwright.quantities import Kind, convert, unit_label, write
from drainwright.storm.model import StormCase

ROW = 7.0  # of the time line [mm]
LONGER = 1.5  # times its own length, at most, to show when a failure wets the floor


def storm_draft(design: Design) -> Draft | None:
    """The storm test's chart.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Draft or None
        None where no storm was run.
    """
    test = design.storm
    if not test.cases or len(test.cases[0].times) < 2:
        return None
    sound, station = test.cases[0], design.system.station
    if len(sound.basin_level) != len(sound.times):
        station = None
    paper = papers(design.job.units)[0]
    left, bottom, right, top = paper.inner
    hours = _hours(design)
    panels = Panels((left, bottom, right, top), hours)
    line_height = min(ROW * len(test.cases), 0.42 * (top - bottom))
    house = drain_levels(design, sound) if station is None else None
    flows = flow_panels(design.system, sound, station)
    levels = station is not None or house is not None
    room = top - bottom - 12.0 - line_height - GAP * ((2 if levels else 1) + len(flows)) - (PUMPING if station else 0.0)
    shares = (0.4, 0.6, 0.0) if not levels else (0.24, 0.32, 0.44) if len(flows) == 1 else (0.19, 0.43, 0.38)
    _rain(design, panels, room * shares[0])
    for panel in flows:
        last = station is not None and panel is flows[-1]
        _flows(design, panels, sound, panel, room * shares[1] / len(flows), last)
    if station is not None:
        basin_levels(design, panels, sound, station, room * shares[2])
    elif house is not None:
        house_levels(design, panels, house, room * shares[2])
    _time_line(design, panels, line_height)
    return Draft(
        name="storm", title="Storm test", scale="none: a chart", paper=paper, marks=tuple(panels.marks),
        description=f"Rain, flows, water in the basin and failures through the storm {test.storm.name}.",
    )  # fmt: skip


def _hours(design: Design) -> float:
    """Length of the time axis: that of the sound case, or to a floor that is reached within half as long again."""
    test = design.storm
    own = max(float(test.cases[0].times[-1]), float(test.storm.times[-1]) + test.storm.step)
    wet = [(case.failure_at or 0.0) + case.time_to_slab for case in test.cases if case.time_to_slab is not None]
    return max([own, *(1.03 * at for at in wet if 1.03 * at <= LONGER * own)]) / HOUR


def _rain(design: Design, panels: Panels, height: float) -> None:
    storm, units = design.storm.storm, design.job.units
    rain = np.array([convert(float(value), Kind.INTENSITY, units) for value in storm.intensity])
    high, step = nice_top(float(rain.max()), 4)
    depth = (
        write(storm.depth, Kind.LENGTH, "US", "in", 2) if units == "US" else write(storm.depth, Kind.LENGTH, "SI", "mm")
    )
    panels.title("Rain", f"{storm.name}: {depth} in all", storm.source)
    area = panels.next(height, 0.0, high)
    panels.marks += area.up(step, unit_label(Kind.INTENSITY, units))
    for start, value in zip(storm.times, rain, strict=True):
        if value > 0:
            a, b = area(float(start) / HOUR, 0.0), area((float(start) + storm.step) / HOUR, float(value))
            panels.marks.append(box("rain", a[0], a[1], min(b[0], area.right), b[1]))
    panels.marks += area.frame()


def _flows(design: Design, panels: Panels, sound: StormCase, panel: FlowPanel, height: float, starts: bool) -> None:
    """One plot of flows, each named at the right."""
    word, times = Wording(design.job.units), sound.times / HOUR
    shown = [(flow, np.array([word.flow_number(float(value)) for value in flow.values])) for flow in panel.curves]
    high, step = nice_top(max(float(values.max()) for _, values in shown), 7)
    panels.title(panel.title, "all in order" if "all in order" not in panel.title else panel.note)
    area = panels.next(height, 0.0, high)
    x, y = area.right + 2.0, area.top
    marks = area.up(step, word.flow_unit)
    for flow, values in shown:
        if flow.look == "out":
            marks += [area_under(area, "curve fill", times, values), curve(area, "curve thin", times, values)]
            marks += [box("curve fill", x, y - 3.6, x + 6, y - 1.6), line("curve thin", (x, y - 1.6), (x + 6, y - 1.6))]
        else:
            layer = "curve strong" if flow.look == "in" else "curve"
            marks += [curve(area, layer, times, values), line(layer, (x, y - 2.5), (x + 6, y - 2.5))]
        marks.append(words("text", (x + 7.5, y - 3.2), flow.name, 2.1))
        most = f"at most {word.flow(float(flow.values.max()))}"
        marks.append(words("text soft", (x + 7.5, y - 6.3), most, 2.1))
        y -= 7.4
    if starts:
        marks.append(words("text soft", (x, y - 3.2), f"{sound.pump_starts} pump starts", 2.1))
        marks.append(words("text soft", (x, y - 6.3), f"busiest hour {sound.starts_busiest_hour}", 2.1))
    panels.marks += [*marks, *area.frame()]


def _time_line(design: Design, panels: Panels, height: float) -> None:
    """One bar for each case: from its failure to the moment when water reaches the floor's underside."""
    cases, hours, left = design.storm.cases, panels.hours, panels.left
    area = panels.next(height, 0.0, float(len(cases)))
    marks = area.across(panels.step, "hours from the start of the storm")
    row = area.height / len(cases)
    thick = min(1.7, 0.3 * row)
    for number, case in enumerate(cases):
        top = area.top - number * row
        middle = top - row / 2
        if number:
            marks.append(line("rule faint", (left, top), (area.right, top)))
        shown = wrap(case.title, LEFT - 3.0, READ)[: max(1, int(row / 3.1))]
        for index, text in enumerate(shown):
            y = middle - CAP * 1.05 + 3.0 * ((len(shown) - 1) / 2 - index)
            marks.append(words("text", (left, y), text, 2.1, weight="semibold" if index == 0 else "regular"))
        start = (case.failure_at or 0.0) / HOUR
        wet = None if case.time_to_slab is None else start + case.time_to_slab / HOUR
        a, b = area(min(hours, start), 0.0)[0], area(min(hours, hours if wet is None else wet), 0.0)[0]
        marks.append(box("bar dry" if case.dry else "bar", a, middle - thick, max(b, a + 0.2), middle + thick))
        if wet is not None and wet < hours:
            marks.append(box("bar dark", b, middle - thick, area.right, middle + thick))
        if case.failure_at is not None and case.failure_at > 0:
            marks.append(Polygon(layer="limit mark", points=((a, middle), (a - 1.1, top - 0.4), (a + 1.1, top - 0.4))))
        at_house = case.house_dry or case.highest_at_house is not None
        text = (
            "no drain at the house"
            if not at_house
            else "floor stays dry"
            if case.dry
            else f"still rises at {span(case.ended)}"
            if wet is None
            else f"wet after {span(case.time_to_slab or 0.0)}"
        )
        layer = "text" if case.dry else "text warning"
        marks.append(words(layer, (area.right + 2.0, middle - CAP * 1.05), text, 2.1))
    y = area.bottom - 3.4
    for layer, x, name in (("bar dry", 0.0, "dry"), ("bar", 11.0, "filling"), ("bar dark", 25.0, "floor reached")):
        marks.append(box(layer, left + x, y - 0.3, left + x + 4, y + 1.7))
        marks.append(words("text soft", (left + x + 5, y), name, 2.1))
    marks.append(Polygon(layer="limit mark", points=((left + 47, y), (left + 46, y + 1.7), (left + 48, y + 1.7))))
    marks.append(words("text soft", (left + 49, y), "failure", 2.1))
    panels.marks += [*marks, *area.frame()]


__all__ = ["storm_draft"]
