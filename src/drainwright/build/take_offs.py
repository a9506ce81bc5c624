"""What fittings hold of the straight lengths between them: from the middle of a turn to the pipe's end in its socket.

Fittings of one nominal size differ by makers and patterns. These lengths are the least that geometry asks: the walls
of a wye's pipes meet at its crotch, and no socket reaches behind it; a bend has a radius of one outside diameter
(common practice, no source). A fitting's own may be half an inch longer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from drainwright.errors import require
from drainwright.system.fittings import BENDING, WYE, Kind, elbows, meetings, straightened, turns
from drainwright.system.model import Pipe, SizedRun, System
from drainwright.worksheet import Card, catalogued, quiet

#: Turns of three elbows and more that come to lie nearly against themselves have no corner to measure from.
STEEPEST = math.radians(170.0)


@catalogued(
    Card(
        title="From the middle of a bend to the end of its pipe",
        symbol="g",
        expression="radius * tan(angle / 2)",
        units={"radius": "m", "angle": "rad", "result": "m"},
        source="geometry",
        trial={"radius": (0.03, 0.3), "angle": (0.1, 1.6)},
    )
)
def bend_take_off(radius: float, angle: float) -> float:
    """Tangent of a circular bend: g = R tan(angle / 2).

    Parameters
    ----------
    radius : float
        Of the pipe's axis, above zero. [m]
    angle : float
        Turn, from zero to below half a turn. [rad]

    Returns
    -------
    float
        From the point where both axes meet. [m]

    Raises
    ------
    InputError
        If a value is out of range.
    """
    require("above zero", np.greater, radius=radius, spare=math.pi - angle)
    require("zero or more", np.greater_equal, angle=angle)
    return radius * math.tan(angle / 2)


@catalogued(
    Card(
        title="From the middle of a wye to its crotch, along the through pipe",
        symbol="f",
        expression="run / 2 + branch / sqrt(2)",
        units={"run": "m", "branch": "m", "result": "m"},
        source="geometry",
    )
)
def wye_far(run: float, branch: float) -> float:
    """Where the walls of two pipes that meet at 45 degrees come together: f = D/2 + d/√2, along the through pipe.

    Parameters
    ----------
    run, branch : float
        Outside diameters, above zero. [m]

    Returns
    -------
    float
        From the point where both axes meet, on the side from which the water comes. [m]

    Raises
    ------
    InputError
        If a value is out of range.
    """
    require("above zero", np.greater, run=run, branch=branch)
    return run / 2 + branch / math.sqrt(2)


def wye_branch(run: float, branch: float) -> float:
    """The same crotch along the branch: the formula with both pipes changed about."""
    return wye_far(branch, run)


def _in_a_row(pipe: Pipe, kinds: Sequence[Kind]) -> tuple[float, float]:
    """What elbows set socket to socket hold of the lengths before and after them, from the corner of both [m]."""
    if not kinds:
        return 0.0, 0.0
    angles = [math.radians(22.5 if kind == "elbow-22" else float(kind.removeprefix("elbow-"))) for kind in kinds]
    with quiet():
        ends = [bend_take_off(pipe.outside, angle) for angle in angles]
    heading, east, north = 0.0, 0.0, 0.0
    for number, angle in enumerate(angles[:-1]):
        heading += angle
        step = ends[number] + ends[number + 1]
        east, north = east + step * math.cos(heading), north + step * math.sin(heading)
    turn = heading + angles[-1]
    if len(kinds) == 1 or turn > STEEPEST:
        return ends[0], ends[-1]
    return ends[0] + east - north / math.tan(turn), ends[-1] + north / math.sin(turn)


def held(run: SizedRun, system: System) -> list[tuple[float, float]]:
    """What fittings hold of each straight length of a run, at its upper and at its lower end.

    Parameters
    ----------
    run : SizedRun
        One of the network's.
    system : System
        The network.

    Returns
    -------
    list of (float, float)
        In the order of the run's lengths between fitted turns. Couplings, reducers, caps, cleanouts, downspouts and
        the pump's own pipes are left out. [m]
    """
    bends: list[tuple[float, float]] = []
    if run.pipe.family not in BENDING:
        groups = (elbows(angle, pressure=run.pressure) for angle in turns(straightened(run.route)))
        bends += [_in_a_row(run.pipe, kinds) for kinds in groups if kinds]
    before = [_at_upper(run, system), *(after for _, after in bends)]
    behind = [*(ahead for ahead, _ in bends), _at_lower(run, system)]
    return list(zip(before, behind, strict=True))


def _at_upper(run: SizedRun, system: System) -> float:
    """A junction that turns one line without a wye holds of the line that leaves too [m]."""
    met = meetings(system.nodes[run.upper], system.runs)
    if system.nodes[run.upper].kind != "junction" or len(met) != 1 or run.duty == "overflow":
        return 0.0
    return _in_a_row(run.pipe, _elbows(run, met[0].turn))[1]


def _at_lower(run: SizedRun, system: System) -> float:
    node = system.nodes[run.lower]
    if node.kind == "discharge" and run.lower == system.discharge and system.joined is not None:
        with quiet():
            return wye_branch(system.joined.pipe.outside, run.pipe.outside)
    if node.kind != "junction":
        return 0.0
    met = {item.run: item for item in meetings(node, system.runs)}
    mine = met.get(run.name)
    going = next((item for item in system.runs if item.upper == node.name and item.duty != "overflow"), None)
    if mine is None or going is None:
        return 0.0
    joins = [item for item in system.runs if item.name in met and not met[item.name].through]
    if not joins:
        return _in_a_row(run.pipe, _elbows(run, mine.turn))[0]
    with quiet():
        if mine.through:
            through = sum(wye_far(going.pipe.outside, item.pipe.outside) for item in joins)
            return through + 2 * _in_a_row(run.pipe, _elbows(run, mine.turn))[0]
        branch = wye_branch(going.pipe.outside, run.pipe.outside)
        return branch + 2 * _in_a_row(run.pipe, _elbows(run, abs(mine.turn - WYE)))[0]


def _elbows(run: SizedRun, angle: float) -> Sequence[Kind]:
    return () if run.pipe.family in BENDING else elbows(angle, pressure=run.pressure)


__all__ = ["bend_take_off", "held", "wye_branch", "wye_far"]
