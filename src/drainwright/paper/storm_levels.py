"""Water in a basin, or in the drain at the house, through the storm: with the floats, the pump and the floor."""

from __future__ import annotations

import numpy as np

from drainwright.design import Design
from drainwright.paper.axes import Axes, round_step, tick_words
from drainwright.paper.frame import words
from drainwright.paper.measure import CAP, READ, text_width
from drainwright.paper.plan_marks import floor_underside
from drainwright.paper.sheet import Mark
from drainwright.paper.storm_panels import HOUR, Panels, Series, curve
from drainwright.paper.symbols import box, line
from drainwright.paper.tags import spread
from drainwright.paper.wording import Wording
from drainwright.storm.model import StationStorm, StormCase
from drainwright.storm.parts.at_house import WET
from drainwright.storm.pump_tables import battery_time
from drainwright.system.model import LiftStation

PUMPING = 4.0  # height of the band that tells when the pump runs, with its gap [mm]
SEEN = 0.001  # a difference of levels that counts [m]
NONE_HIGHER = "none of the failures below raises it higher"  # others than the chart's may: the sheet of failures tells
LIFTING = 1e-6  # more than that is pumped: it runs [m³/s]

Named = tuple[float, str, str, str]  # level [m], name, layer of the line, layer of the words


def basin_levels(
    design: Design, panels: Panels, sound: StormCase, station: LiftStation, height: float, *, failure: bool = True
) -> None:
    """Draw one basin's level, the levels that matter named at the right, and below it when its pump runs.

    Parameters
    ----------
    design : Design
        The design.
    panels : Panels
        The next plot is taken from it.
    sound : StormCase
        With everything in order.
    station : LiftStation
        The basin's.
    height : float
        Of the plot without the pump's band. [mm]
    failure : bool
        Whether the worst failure is drawn too; for the basin at the house only.
    """
    own = sound.station(station.name)
    level = sound.basin_level if own is None else own.level
    floats = station.float_levels  # as they are set, which the basin's section has too
    named: list[Named] = [
        (station.floor, "basin floor", "level line", "text soft"),
        (floats["off"], "pump off", "level line", "text water"),
        (floats["on"], "pump on", "level line", "text water"),
        (floats["alarm"], "alarm", "limit", "text warning"),
        (station.lowest_inlet, "lowest inlet", "level line", "text soft"),
    ]
    if station is design.system.station:
        named.append((sound.slab_level, floor_underside(design), "limit", "text warning"))
    if "second on" in floats:
        named.append((floats["second on"], "second pump on", "level line", "text water"))
    worst = worst_failure(design) if failure else None
    also = f"dashed, the worst failure: {worst.title}" if worst else NONE_HIGHER if failure else ""
    several = len(design.system.stations) > 1
    panels.title(f"Water in the basin{f' {station.name}' if several else ''}", "line: all in order", also)
    dashed = None if worst is None else (worst.times, worst.basin_level)
    cut = None if worst is None or worst.group != "power" else _cut(design, worst, station)
    area = _plot(design, panels, height, named, (sound.times, level), dashed, cut)
    if own is not None:
        panels.marks += _pumping(area, sound.times, own)
        panels.y -= PUMPING


def house_levels(design: Design, panels: Panels, shown: tuple[Series, Series], height: float) -> None:
    """Draw the water in the drain at the house against the floor, for a job that gravity drains."""
    sound, *failed = design.storm.cases
    wet = [case for case in failed if case.highest_at_house is not None]
    worst = max(wet, key=lambda case: case.highest_at_house or 0.0, default=None)
    dashed = None if worst is None else drain_levels(design, worst)
    if dashed is None or float(dashed[1].max()) <= float(shown[1].max()) + SEEN:
        worst, dashed = None, None
    also = NONE_HIGHER if worst is None else f"dashed, the worst failure: {worst.title}"
    panels.title("Water in the drain at the house", "line: all in order", also)
    named: list[Named] = [
        (sound.slab_level, floor_underside(design), "limit", "text warning"),
        (float(shown[1].min()), "drain", "level line", "text soft"),
    ]
    _plot(design, panels, height, named, shown, dashed, None)


def drain_levels(design: Design, case: StormCase) -> tuple[Series, Series] | None:
    """Times and the highest level at the ends of the footing drains that hold water; None where none is kept. [s, m]

    Ends have no level while they are dry. While all are, the lowest stands for them.
    """
    beds: dict[str, float] = {}
    for run in design.system.runs:
        if run.duty == "footing drain":
            for end, invert in ((run.upper, run.invert_upper), (run.lower, run.invert_lower)):
                beds[end] = min(invert, beds.get(end, invert))
    kept = {name: levels for name in sorted(beds) if len(levels := case.levels(name)) == len(case.times)}
    if not kept or len(case.times) < 2:
        return None
    lowest = min(kept, key=lambda name: beds[name])
    wet = [np.where(levels > beds[name] + WET, levels, kept[lowest]) for name, levels in kept.items()]
    return case.times, np.max(wet, axis=0)


def worst_failure(design: Design) -> StormCase | None:
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


def _cut(design: Design, case: StormCase, station: LiftStation) -> tuple[float, float, float]:
    """When the power goes, when the battery is spent, and when the power is back. [s]"""
    start = case.failure_at or 0.0
    end = start + design.job.criteria.power_cut
    return start, min(end, start + battery_time(design.site, station)), end


def _plot(
    design: Design,
    panels: Panels,
    height: float,
    named: list[Named],
    shown: tuple[Series, Series],
    dashed: tuple[Series, Series] | None,
    cut: tuple[float, float, float] | None,
) -> Axes:
    word = Wording(design.job.units)
    values = [word.distance(item[0]) for item in named]
    level = np.array([word.distance(float(value)) for value in shown[1]])
    other = level if dashed is None else np.array([word.distance(float(value)) for value in dashed[1]])
    low = min(*values, float(level.min()), float(other.min()))
    high = max(*values, float(level.max()), float(other.max()))
    step = round_step(high - low, 6)
    low, high = low - 0.04 * (high - low), high + 0.06 * (high - low)
    area = panels.next(height, low, high)
    marks: list[Mark] = [] if cut is None else _spans(area, panels.hours, *cut)
    marks += area.up(step, word.level_unit)
    heights = [area(0.0, value)[1] for value in values]
    marks += [line(layer, (area.left, y), (area.right, y)) for y, (_, _, layer, _) in zip(heights, named, strict=True)]
    if dashed is not None:
        within = dashed[0] <= panels.hours * HOUR
        if np.count_nonzero(within) > 1:
            marks.append(curve(area, "curve dashed", dashed[0][within] / HOUR, other[within]))
    marks += [curve(area, "curve", shown[0] / HOUR, level), *area.frame()]
    places = spread(heights, 3.1, area.bottom + 0.2, area.top - 0.2)
    for y, at, (_, name, _, layer), value in zip(heights, places, named, values, strict=True):
        x = area.right
        marks.append(line("leader line", (x, y), (x + 2.0, y), (x + 4.0, at), (x + 5.0, at)))
        marks.append(words(layer, (x + 5.6, at - CAP * 1.05), f"{name} {tick_words(value, 0.01)}", 2.1))
    panels.marks += marks
    return area


def _spans(area: Axes, hours: float, start: float, spent: float, end: float) -> list[Mark]:
    """The power cut as a shaded span, the part that a battery carries lighter."""
    marks: list[Mark] = []
    for layer, first, last in (("bar dry", start, spent), ("band", spent, end)):
        a, b = (area(min(hours, at / HOUR), area.y_low)[0] for at in (first, last))
        if b > a + 0.1:
            marks.append(box(layer, a, area.bottom, b, area.top))
            name = "on the battery" if layer == "bar dry" else "no power (dashed line)"
            if text_width(name, READ) < b - a - 2.0:
                marks.append(words("text soft", (a + 1.0, area.top + 0.9), name, 2.0))
    return marks


def _pumping(area: Axes, times: Series, own: StationStorm) -> list[Mark]:
    """A band under the plot, dark while the pump runs."""
    bottom, top = area.bottom - PUMPING + 0.6, area.bottom - 1.0
    marks: list[Mark] = [box("bar dry", area.left, bottom, area.right, top)]
    runs = np.flatnonzero(np.diff(np.concatenate(([0], (own.lifted > LIFTING).astype(int), [0]))))
    for first, last in runs.reshape(-1, 2):
        a = area(float(times[first]) / HOUR, 0.0)[0]
        b = area(float(times[min(last, len(times) - 1)]) / HOUR, 0.0)[0]
        if a < area.right:
            marks.append(box("bar dark", a, bottom, max(a + 0.3, min(b, area.right)), top))
    marks.append(words("text soft", (area.left - 1.6, bottom + 0.4), "pump runs", 2.1, "end"))
    told = "1 start" if own.pump_starts == 1 else f"{own.pump_starts} starts"
    marks.append(words("text soft", (area.right + 5.6, bottom + 0.4), told, 2.1))
    return marks


__all__ = ["PUMPING", "basin_levels", "drain_levels", "house_levels", "worst_failure"]
