"""Bends of the network's gravity lines set where elbows as made point on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from drainwright.field.model import Plan, Site
from drainwright.field.words import fine
from drainwright.system.bends import elbows_make, made_route, straightened, turns
from drainwright.system.fittings import BENDING
from drainwright.system.model import SizedRun
from drainwright.system.network import Line, Network
from drainwright.system.ways import distance

UNDER_HOUSE = 0.02  # so much of a leg may lie within the outline: a downspout stands at it [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmade:
    """A bend that no elbow makes, nor any within a metre on the way it comes."""

    run: str
    number: int  # from the upper end
    angle: float  # [degrees]


def with_made_bends(network: Network, site: Site) -> Network:
    """The network with the bends of its drawn gravity lines where elbows as made point on; each that moves is told.

    A proposed line stays: it was led so that its hole keeps off the others. A pipe that follows a turn without a
    fitting stays as it lies, and so does a bend whose place as made would lead a line through the house.
    """
    from shapely import LineString, Polygon

    house = Polygon(site.outline)

    def clear(a: Plan, b: Plan) -> bool:
        return float(house.intersection(LineString([a, b])).length) < UNDER_HOUSE

    lines, notes = [], []
    for line in network.lines:
        route = line.route
        bends = line.pipe is not None and line.pipe.family in BENDING
        if not (line.proposed or bends or line.duty == "discharge line"):
            route = made_route(route, clear)
            notes += _bend_moved(site, line, route) if route != line.route else []
        lines.append(replace(line, route=route))
    return replace(network, lines=tuple(lines), notes=(*network.notes, *notes))


def _bend_moved(site: Site, line: Line, route: Sequence[Plan]) -> list[str]:
    """Each bend of a drawn line that elbows as made put elsewhere: a sentence."""
    drawn = straightened(line.route)
    ends = [*(f"bend {number}" for number in range(2, len(drawn) - 1)), line.lower]
    found = []
    for number, (old, new, end) in enumerate(zip(drawn[1:-1], route[1:-1], ends, strict=True), 1):
        if old != new:
            further = distance(drawn[number - 1], new) > distance(drawn[number - 1], old)
            found.append(
                f"Bend {number} of {line.name} is set {fine(distance(old, new), site.job.units)} "
                f"{'further on' if further else 'sooner'} than drawn: from there elbows as made point at {end}."
            )
    return found


def unmade_bends(runs: Sequence[SizedRun]) -> tuple[Unmade, ...]:
    """Bends of gravity runs that no elbow makes; a pipe that follows a turn without a fitting has none."""
    return tuple(
        Unmade(run=run.name, number=number, angle=angle)
        for run in runs
        if not run.pressure and run.pipe.family not in BENDING
        for number, angle in enumerate(turns(straightened(run.route)), 1)
        if not elbows_make(angle)
    )


__all__ = ["Unmade", "unmade_bends", "with_made_bends"]
