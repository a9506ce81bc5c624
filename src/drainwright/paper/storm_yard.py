"""The second sheet of the storm test: where the water comes from, where it stands in the yard, the other basins."""

from __future__ import annotations

import numpy as np

from drainwright.design import Design
from drainwright.paper.axes import Axes
from drainwright.paper.frame import Draft, papers, words
from drainwright.paper.sheet import Mark, Polygon
from drainwright.paper.storm_levels import PUMPING, basin_levels
from drainwright.paper.storm_panels import GAP, HOUR, LEFT, Panels, Series, curve, nice_top
from drainwright.paper.storm_ponds import pond_strip, strip_height, wetted
from drainwright.paper.symbols import box, line
from drainwright.paper.wording import Wording
from drainwright.quantities import write
from drainwright.storm.by_cause import inflows_by_cause
from drainwright.water.model import Cause

NAMES = {Cause.ROOF: "off the roofs", Cause.YARD: "off the yard"}
FILLS = {Cause.ROOF: "curve fill", Cause.YARD: "rain"}
FOOT = 12.0  # under the last plot [mm]
TALLEST = 100.0  # of the inflow's plot [mm]


def yard_draft(design: Design) -> Draft | None:
    """Draw the sheet; None where no storm was run, or it would show nothing.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Draft or None
        Named ``storm-yard``.
    """
    test = design.storm
    if not test.cases or len(test.cases[0].times) < 2:
        return None
    sound = test.cases[0]
    paper = papers(design.job.units)[0]
    left, bottom, right, top = paper.inner
    hours = max(float(sound.times[-1]), float(test.storm.times[-1]) + test.storm.step) / HOUR
    panels = Panels((left, bottom, right, top), hours)
    house = design.system.station
    others = [one for one in design.system.stations if house is None or one.name != house.name]
    shown = [one for one in others if (told := sound.station(one.name)) and len(told.level) == len(sound.times)]
    ponds = wetted(sound)
    room = top - bottom - FOOT - strip_height(sound) - GAP * (1 + len(shown)) - PUMPING * len(shown)
    share = min(TALLEST, (room if ponds else room - FOOT) / (1 + len(shown)))
    flows = inflows_by_cause(design.site, design.inflows, test.storm, hours * HOUR, sound.nodes)
    if not flows and not shown and not ponds:
        return None
    _inflow(design, panels, flows, share)
    for station in shown:
        basin_levels(design, panels, sound, station, share, failure=False)
    if not ponds:
        _hours_below(panels, panels.y + GAP)
        panels.y -= FOOT
    foot = panels.y
    pond_strip(design, panels)
    if ponds:
        _hours_below(panels, foot - strip_height(sound))
    return Draft(
        name="storm-yard", title="Storm test: inflow and yard", scale="none: a chart", paper=paper,
        marks=tuple(panels.marks),
        description=f"What runs off roofs and yard, and water over the grates, through the storm {test.storm.name}.",
    )  # fmt: skip


def _inflow(design: Design, panels: Panels, flows: dict[Cause, Series], height: float) -> None:
    """What runs off, one cause on top of the other."""
    word, storm = Wording(design.job.units), design.storm.storm
    ground = [part for part in design.inflows.contributions if part.cause is Cause.GROUND]
    seeping = sum(part.flow for part in ground)
    also = [f"and up to {word.flow(seeping)} out of the ground, not drawn"] if seeping > 0 else []
    panels.title("Water that comes in", "on the surface, at the system's inlets and downspouts", *also)
    if not flows:
        panels.marks.append(words("text", (panels.left + LEFT, panels.y - 2.4), "None on the surface.", 2.3))
        panels.y -= 26.0
        return
    total = np.sum([*flows.values()], axis=0)
    high, step = nice_top(word.flow_number(float(total.max())), 6)
    area = panels.next(height, 0.0, high)
    marks: list[Mark] = area.up(step, word.flow_unit)
    hours: Series = np.asarray((np.arange(len(total)) + 0.5) * storm.step / HOUR, np.float64)
    within = hours <= panels.hours
    hours = np.concatenate(([0.0], hours[within]))
    under: Series = np.zeros(len(hours))
    y = area.top
    named: list[Mark] = []
    for cause, flow in flows.items():
        upper: Series = under + np.concatenate(([0.0], [word.flow_number(float(value)) for value in flow[within]]))
        low, edge = curve(area, "curve thin", hours, under), curve(area, "curve thin", hours, upper)
        marks += [Polygon(layer=FILLS[cause], points=(*edge.points, *reversed(low.points))), edge]
        under = upper
        volume = float(flow.sum()) * storm.step
        x = area.right + 2.0
        named += [box(FILLS[cause], x, y - 3.6, x + 6, y - 1.6), words("text", (x + 7.5, y - 3.2), NAMES[cause], 2.1)]
        peak = f"at most {word.flow(float(flow.max()))}"
        named.append(words("text soft", (x + 7.5, y - 6.0), peak, 2.1))
        named.append(words("text soft", (x + 7.5, y - 8.8), f"{_volume(volume, word)} in all", 2.1))
        y -= 10.5
    panels.marks += [*marks, curve(area, "curve strong", hours, under), *named, *area.frame()]
    panels.marks.append(line("curve strong", (area.right + 2.0, y - 2.5), (area.right + 8.0, y - 2.5)))
    panels.marks.append(words("text", (area.right + 9.5, y - 3.2), "together", 2.1))


def _volume(value: float, word: Wording) -> str:
    return write(value, "volume", word.units, "gal" if word.us else "m3", 0 if word.us else 1)


def _hours_below(panels: Panels, y: float) -> None:
    """Numbers of the time axis under the last plot."""
    axes = Axes(
        left=panels.left + LEFT, bottom=y, width=panels.width, height=1.0,
        x_low=0.0, x_high=panels.hours, y_low=0.0, y_high=1.0,
    )  # fmt: skip
    grid = axes.across(panels.step, "hours from the start of the storm")
    panels.marks += [mark for mark in grid if mark.layer != "grid"]


__all__ = ["yard_draft"]
