"""The storm test, drawn: rain, flows, the basin's level, and what each failure would do, on one time axis."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from drainwright.design import Design
from drainwright.paper.axes import Axes, round_step, tick_words
from drainwright.paper.frame import Draft, papers, words
from drainwright.paper.measure import CAP, wrap
from drainwright.paper.plan_marks import floor_underside
from drainwright.paper.sheet import Mark, Polygon, Polyline
from drainwright.paper.storm_flows import FlowPanel, flow_panels
from drainwright.paper.symbols import box, line
from drainwright.paper.tags import spread
from drainwright.paper.wording import Wording
from drainwright.quantities import Kind, convert, unit_label, write
from drainwright.storm.model import StormCase
from drainwright.system.model import LiftStation

LEFT = 60.0  # titles and numbers left of the plots [mm]
RIGHT = 33.0  # names right of the plots [mm]
GAP = 7.0  # between plots [mm]
ROW = 7.0  # of the time line [mm]
HOUR = 3600.0  # [s]
LONGER = 1.5  # times its own length, at most, to show when a failure wets the floor
SEEN = 0.001  # a difference of levels that counts [m]

Series = NDArray[np.float64]


def thin(times: Series, values: Series, width: float, pitch: float = 0.25) -> tuple[Series, Series]:
    """Keep the lowest and highest value of each ``pitch`` millimetres of a curve ``width`` wide, in order."""
    count = max(1, int(width / pitch))
    if len(times) <= 2 * count:
        return times, values
    bins = np.minimum((count * (times - times[0]) / (times[-1] - times[0])).astype(int), count - 1)
    keep: set[int] = {0, len(times) - 1}
    starts = np.searchsorted(bins, np.arange(count + 1))
    for start, end in pairwise(starts):
        if end > start:
            keep.add(int(start + np.argmin(values[start:end])))
            keep.add(int(start + np.argmax(values[start:end])))
    chosen = np.array(sorted(keep))
    return times[chosen], values[chosen]


def _curve(axes: Axes, layer: str, times: Series, values: Series) -> Polyline:
    t, v = thin(times, values, axes.width)
    v = np.clip(v, axes.y_low, axes.y_high)
    return Polyline(layer=layer, points=tuple(axes(float(a), float(b)) for a, b in zip(t, v, strict=True)))


def _area(axes: Axes, layer: str, times: Series, values: Series) -> Polygon:
    upper = _curve(axes, layer, times, values).points
    return Polygon(layer=layer, points=((upper[0][0], axes.bottom), *upper, (upper[-1][0], axes.bottom)))


def _nice_top(value: float, most: int) -> tuple[float, float]:
    """Upper end and step of an axis from zero."""
    top = 1.02 * (value if value > 1e-6 else 1.0)  # where nothing flows, an axis that says nothing but zero
    step = round_step(top, most)
    return float(np.ceil(top / step) * step), step


class _Panels:
    """Plots below each other on one time axis."""

    def __init__(self, frame: tuple[float, float, float, float], hours: float) -> None:
        self.left, _, right, self.y = frame
        self.width = right - self.left - LEFT - RIGHT
        self.hours = hours
        self.step = round_step(hours, 8)
        self.marks: list[Mark] = []

    def next(self, height: float, low: float, high: float) -> Axes:
        """The next plot down, with its time grid."""
        area = Axes(
            left=self.left + LEFT, bottom=self.y - height, width=self.width, height=height,
            x_low=0.0, x_high=self.hours, y_low=low, y_high=high,
        )  # fmt: skip
        self.y -= height + GAP
        self.marks += area.across(self.step, "", numbers=False)
        return area

    def title(self, title: str, *more: str) -> None:
        """Words left of the next plot."""
        self.marks.append(words("text", (self.left, self.y - 2.4), title, 2.8, weight="semibold"))
        y = self.y - 6.2
        for row in (row for text in more for row in wrap(text, LEFT - 20.0, 2.1)):
            self.marks.append(words("text soft", (self.left, y), row, 2.1))
            y -= 2.7


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
    panels = _Panels((left, bottom, right, top), hours)
    line_height = min(ROW * len(test.cases), 0.42 * (top - bottom))
    flows = flow_panels(sound, station, several=len(design.system.stations) > 1)
    room = top - bottom - 12.0 - line_height - GAP * ((1 if station is None else 2) + len(flows))
    shares = (0.4, 0.6, 0.0) if station is None else (0.24, 0.32, 0.44) if len(flows) == 1 else (0.19, 0.43, 0.38)
    _rain(design, panels, room * shares[0])
    for panel in flows:
        last = station is not None and panel is flows[-1]
        _flows(design, panels, sound, panel, room * shares[1] / len(flows), last)
    if station is not None:
        _levels(design, panels, sound, station, room * shares[2])
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


def _rain(design: Design, panels: _Panels, height: float) -> None:
    storm, units = design.storm.storm, design.job.units
    rain = np.array([convert(float(value), Kind.INTENSITY, units) for value in storm.intensity])
    high, step = _nice_top(float(rain.max()), 4)
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


def _flows(design: Design, panels: _Panels, sound: StormCase, panel: FlowPanel, height: float, starts: bool) -> None:
    """One plot of flows, each named at the right."""
    word, times = Wording(design.job.units), sound.times / HOUR
    shown = [(curve, np.array([word.flow_number(float(value)) for value in curve.values])) for curve in panel.curves]
    high, step = _nice_top(max(float(values.max()) for _, values in shown), 7)
    panels.title(panel.title, "all in order" if "all in order" not in panel.title else "")
    area = panels.next(height, 0.0, high)
    x, y = area.right + 2.0, area.top
    marks = area.up(step, word.flow_unit)
    for curve, values in shown:
        if curve.look == "out":
            marks += [_area(area, "curve fill", times, values), _curve(area, "curve thin", times, values)]
            marks += [box("curve fill", x, y - 3.6, x + 6, y - 1.6), line("curve thin", (x, y - 1.6), (x + 6, y - 1.6))]
        else:
            layer = "curve strong" if curve.look == "in" else "curve"
            marks += [_curve(area, layer, times, values), line(layer, (x, y - 2.5), (x + 6, y - 2.5))]
        marks.append(words("text", (x + 7.5, y - 3.2), curve.name, 2.1))
        most = f"at most {word.flow(float(curve.values.max()))}"
        marks.append(words("text soft", (x + 7.5, y - 6.0), most, 2.1))
        y -= 7.0
    if starts:
        marks.append(words("text soft", (x, y - 3.2), f"{sound.pump_starts} pump starts", 2.1))
        marks.append(words("text soft", (x, y - 6.0), f"busiest hour {sound.starts_busiest_hour}", 2.1))
    panels.marks += [*marks, *area.frame()]


def _levels(design: Design, panels: _Panels, sound: StormCase, station: LiftStation, height: float) -> None:
    """The basin's level, with the levels that matter named at the right."""
    word, times = Wording(design.job.units), sound.times / HOUR
    named = [
        (station.floor, "basin floor", "level line", "text soft"),
        (station.off, "pump off", "level line", "text water"),
        (station.on, "pump on", "level line", "text water"),
        (station.alarm, "alarm", "limit", "text warning"),
        (station.lowest_inlet, "lowest inlet", "level line", "text soft"),
        (sound.slab_level, floor_underside(design), "limit", "text warning"),
    ]
    if station.second_on is not None:
        named.append((station.second_on, "second pump on", "level line", "text water"))
    values = [word.distance(item[0]) for item in named]
    level = np.array([word.distance(float(value)) for value in sound.basin_level])
    worst = _worst(design)
    dead = level if worst is None else np.array([word.distance(float(value)) for value in worst.basin_level])
    low, high = min(*values, float(level.min()), float(dead.min())), max(*values, float(level.max()), float(dead.max()))
    step = round_step(high - low, 6)
    low, high = low - 0.04 * (high - low), high + 0.06 * (high - low)
    also = ("no failure raises it higher",) if worst is None else (f"dashed, the worst failure: {worst.title}",)
    several = len(design.system.stations) > 1
    panels.title(f"Water in the basin{f' {station.name}' if several else ''}", "line: all in order", *also)
    area = panels.next(height, low, high)
    marks = area.up(step, word.level_unit)
    heights = [area(0.0, value)[1] for value in values]
    marks += [line(layer, (area.left, y), (area.right, y)) for y, (_, _, layer, _) in zip(heights, named, strict=True)]
    if worst is not None:
        within = worst.times <= panels.hours * HOUR
        marks.append(_curve(area, "curve dashed", worst.times[within] / HOUR, dead[within]))
    marks += [_curve(area, "curve", times, level), *area.frame()]
    for y, at, (_, name, _, layer), value in zip(
        heights, spread(heights, 3.1, area.bottom + 0.2, area.top - 0.2), named, values, strict=True
    ):
        x = area.right
        marks.append(line("leader line", (x, y), (x + 2.0, y), (x + 4.0, at), (x + 5.0, at)))
        marks.append(words(layer, (x + 5.6, at - CAP * 1.05), f"{name} {tick_words(value, 0.01)}", 2.1))
    panels.marks += marks


def _worst(design: Design) -> StormCase | None:
    """The failure that wets the floor first, counted from the failure; where none does, the one with the highest water.

    None where no failure raises the water by more than ``SEEN`` over that with everything in order.
    """
    sound, *failed = design.storm.cases
    told = [case for case in failed if len(case.basin_level) > 1]
    wet = [case for case in told if case.time_to_slab is not None]
    if wet:
        return min(wet, key=lambda case: case.time_to_slab or 0.0)
    worst = max(told, key=lambda case: float(case.basin_level.max()), default=None)
    higher = worst is not None and float(worst.basin_level.max()) > float(sound.basin_level.max()) + SEEN
    return worst if higher else None


def _time_line(design: Design, panels: _Panels, height: float) -> None:
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
        shown = wrap(case.title, LEFT - 3.0, 2.1)[: max(1, int(row / 2.7))]
        for index, text in enumerate(shown):
            y = middle - CAP * 1.05 + 2.6 * ((len(shown) - 1) / 2 - index)
            marks.append(words("text", (left, y), text, 2.1, weight="semibold" if index == 0 else "regular"))
        start = (case.failure_at or 0.0) / HOUR
        wet = None if case.time_to_slab is None else start + case.time_to_slab / HOUR
        a, b = area(min(hours, start), 0.0)[0], area(min(hours, hours if wet is None else wet), 0.0)[0]
        marks.append(box("bar dry" if case.dry else "bar", a, middle - thick, max(b, a + 0.2), middle + thick))
        if wet is not None and wet < hours:
            marks.append(box("bar dark", b, middle - thick, area.right, middle + thick))
        if case.failure_at is not None and case.failure_at > 0:
            marks.append(Polygon(layer="limit mark", points=((a, middle), (a - 1.1, top - 0.4), (a + 1.1, top - 0.4))))
        text = (
            "floor stays dry"
            if case.dry
            else f"still rises at {_span(case.ended)}"
            if wet is None
            else f"wet after {_span(case.time_to_slab or 0.0)}"
        )
        layer = "text" if case.dry else "text warning"
        marks.append(words(layer, (area.right + 2.0, middle - CAP * 1.05), text, 2.1))
    y = area.bottom - 3.4
    for layer, x, name in (("bar dry", 0.0, "dry"), ("bar", 10.0, "filling"), ("bar dark", 23.0, "floor reached")):
        marks.append(box(layer, left + x, y - 0.3, left + x + 4, y + 1.7))
        marks.append(words("text soft", (left + x + 5, y), name, 2.1))
    marks.append(Polygon(layer="limit mark", points=((left + 45, y), (left + 44, y + 1.7), (left + 46, y + 1.7))))
    marks.append(words("text soft", (left + 47, y), "failure", 2.1))
    panels.marks += [*marks, *area.frame()]


def _span(seconds: float) -> str:
    minutes = round(seconds / 60.0)
    return f"{minutes} min" if minutes < 120 else f"{seconds / HOUR:.1f} h"


__all__ = ["storm_draft", "thin"]
