"""Pumps of several basins on one pressure main: the flow of each, alone and with the others."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError
from drainwright.hydraulics.pump import PressurePipe, PumpCurve, SystemCurve, operating_point
from drainwright.worksheet import Card, catalogued, quiet


@dataclass(frozen=True, slots=True, kw_only=True)
class MainLine:
    """A pressure line between two places of a main."""

    name: str
    upper: str  # a pump's basin, or a junction
    lower: str  # a junction, or the main's end
    pipe: PressurePipe
    highest: float  # level of its highest crown, to which the water must be lifted at least [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class MainPump:
    """A pump at the upper end of a line, behind a check valve of its own."""

    name: str  # of the basin
    curve: PumpCurve  # of all its pumps that run
    level: float  # of the water it draws from [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class MainFlows:
    """A main at work."""

    pumps: Mapping[str, float]  # flow of each basin's pump; zero where it does not run or does not reach [m³/s]
    lines: Mapping[str, float]  # [m³/s]
    heads: Mapping[str, float]  # level of the grade line at each junction, and at the end [m]

    @property
    def total(self) -> float:
        """All together [m³/s]."""
        return sum(self.pumps.values())


@catalogued(
    Card(
        title="Pumps of several basins on one main",
        symbol="Q",
        expression="the heads at the junctions at which what the pumps deliver against them is what the lines below"
        " carry away, by Brent from junction to junction",
        units={"lines": "-", "pumps": "-", "end": "m", "running": "-", "result": "m³/s, m"},
        source="hydraulics_text",
        expression_kind="procedure",
    )
)
def main_flows(
    lines: Sequence[MainLine], pumps: Sequence[MainPump], end: float, running: Collection[str] | None = None
) -> MainFlows:
    """Flow of each pump on a tree of pressure lines.

    Parameters
    ----------
    lines : sequence of MainLine
        One line leaves each basin and junction; all come to one end.
    pumps : sequence of MainPump
        Those that stand at the upper ends, each behind its check valve: no water runs back through one that rests.
    end : float
        Water level in which the main ends; below its crowns where it ends in air. [m]
    running : collection of str, optional
        Basins whose pumps run; all where left out.

    Returns
    -------
    MainFlows
        Flows of pumps and lines, and the grade line at the junctions.

    Raises
    ------
    InputError
        If two lines leave one place, there is more than one end, or a pump stands where no line leaves.

    Examples
    --------
    >>> curve = PumpCurve(flows=(0.0, 0.002, 0.004), heads=(9.0, 6.5, 2.0))
    >>> pipe = PressurePipe(length=20.0, diameter=0.0409, roughness=150.0)
    >>> lines = [
    ...     MainLine(name="a", upper="A", lower="J", pipe=pipe, highest=2.0),
    ...     MainLine(name="b", upper="B", lower="J", pipe=pipe, highest=2.0),
    ...     MainLine(name="c", upper="J", lower="OUT", pipe=pipe, highest=3.0),
    ... ]
    >>> pumps = [MainPump(name=name, curve=curve, level=0.0) for name in "AB"]
    >>> alone, both = (main_flows(lines, pumps, 0.0, run).pumps["A"] for run in ({"A"}, {"A", "B"}))
    >>> round(alone * 1000, 2), round(both * 1000, 2)
    (2.3, 1.71)
    """
    ends = {line.lower for line in lines} - {line.upper for line in lines}
    if len({line.upper for line in lines}) != len(lines) or len(ends) != 1:
        raise InputError(f"lines end at {sorted(ends)}: expected a tree, one line from each place and one end")
    if not np.isfinite([line.highest for line in lines]).all() or any(np.isnan(pump.level) for pump in pumps):
        raise InputError("lines, pumps: expected finite levels")
    active = {pump.name: pump for pump in pumps if running is None or pump.name in running}
    if missing := active.keys() - {line.upper for line in lines}:
        raise InputError(f"pumps at {sorted(missing)}: expected each where a line begins")
    feeders = {line.name: [other for other in lines if other.lower == line.upper] for line in lines}

    def through(line: MainLine, head: float) -> float:
        """Flow of a line against a head at its lower end."""
        from scipy.optimize import brentq

        lift = max(head, line.highest)
        if line.upper in active:
            pump = active[line.upper]
            return operating_point(pump.curve, SystemCurve(static_head=lift - pump.level, pipes=(line.pipe,))).flow

        def surplus(flow: float) -> float:
            above = lift + float(line.pipe.head_loss(flow))
            return sum(through(feeder, above) for feeder in feeders[line.name]) - flow

        most = surplus(0.0)
        return float(brentq(surplus, 0.0, most, xtol=1e-12, rtol=1e-13)) if most > 0.0 else 0.0

    flows: dict[str, float] = {}
    heads: dict[str, float] = {}

    def walk(line: MainLine, head: float) -> None:
        flows[line.name] = through(line, head)
        above = max(head, line.highest) + float(line.pipe.head_loss(flows[line.name]))
        if feeders[line.name]:
            heads[line.upper] = above
        for feeder in feeders[line.name]:
            walk(feeder, above)

    (place,) = ends
    heads[place] = end
    with quiet():
        for line in lines:
            if line.lower == place:
                walk(line, end)
    of = {line.upper: line.name for line in lines}
    return MainFlows(
        pumps={pump.name: flows[of[pump.name]] if pump.name in active else 0.0 for pump in pumps},
        lines=flows,
        heads=heads,
    )


__all__ = ["MainFlows", "MainLine", "MainPump", "main_flows"]
