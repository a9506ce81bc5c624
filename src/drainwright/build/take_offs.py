"""What fittings hold of the straight lengths between them: from the middle of a turn to the pipe's end in its socket.

Fittings of one nominal size differ by makers and patterns. These lengths are the least that geometry asks: the walls
of a wye's pipes meet at its crotch, and no socket reaches behind it; a bend has a radius of one outside diameter
(common practice, no source). A fitting's own may be half an inch longer. What stands within a line or at its end is
read from the table of ``system.make_up``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise

import numpy as np

from drainwright.errors import require
from drainwright.field.model import Plan
from drainwright.system.bends import SHORTEST, elbows, inner_bends, straightened, turns
from drainwright.system.fittings import (
    BENDING,
    WYE,
    Fitting,
    Kind,
    Riser,
    change,
    meetings,
)
from drainwright.system.make_up import make_up
from drainwright.system.model import Pipe, SizedRun, System
from drainwright.worksheet import Card, catalogued, quiet

#: Turns of three elbows and more that come to lie nearly against themselves have no corner to measure from.
STEEPEST = math.radians(170.0)
SAME = 0.01  # places nearer than this along a run are one [m]


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


def held(run: SizedRun, system: System, fittings: Sequence[Fitting]) -> list[tuple[float, float]]:
    """What fittings hold of each straight length of a run, at its upper and at its lower end.

    Parameters
    ----------
    run : SizedRun
        One of the network's.
    system : System
        The network.
    fittings : sequence of Fitting
        The network's own.

    Returns
    -------
    list of (float, float)
        In the order of the run's lengths between fitted turns. A tee within a length counts at its lower end. Couplings
        between sticks are left to the cutting list. [m]
    """
    bends: list[tuple[float, float]] = []
    edges = [0.0]
    route = straightened(run.route)
    if run.pipe.family not in BENDING and run.pressure:
        inner = inner_bends(run.bends, run.pipe_length)
        bends = [_in_a_row(run.pipe, bend.elbows) for bend in inner]
        edges += [bend.distance for bend in inner]
    elif run.pipe.family not in BENDING:
        corners = accumulate(math.dist(one, two) for one, two in pairwise(route))
        for along, angle in zip(corners, turns(route), strict=False):
            if kinds := elbows(angle, pressure=False):
                bends.append(_in_a_row(run.pipe, kinds))
                edges.append(along)
    first, last = _level_ends(run)
    above = [_at_upper(run, system, fittings) + first, *(after for _, after in bends)]
    below = [*(ahead for ahead, _ in bends), _at_lower(run, system, fittings) + last]
    for fitting in fittings:
        if fitting.where == run.name and fitting.kind in ("tee", "winter-relief") and fitting.at is not None:
            place = _along(route, fitting.at)
            below[sum(edge <= place + SAME for edge in edges) - 1] += make_up(fitting.kind, run.pipe.outside)
    return list(zip(above, below, strict=True))


def riser_held(riser: Riser, system: System, fittings: Sequence[Fitting]) -> float:
    """What a riser's foot and what stands on it hold of its height.

    Parameters
    ----------
    riser : Riser
        From the crown of its line up to the ground, or from a basin's floor up to the discharge line.
    system : System
        The network.
    fittings : sequence of Fitting
        The network's own; of a pump's the adapter, the valves and the elbow. The pump's own height is not known.

    Returns
    -------
    float
        Zero or more. [m]
    """
    outside = riser.pipe.outside
    if riser.foot == "tee":
        return make_up("cleanout", outside)
    if riser.foot == "sweep-90":
        return make_up("sweep-90", outside) - outside / 2
    turn = _quarter(riser.pipe) - outside / 2
    if riser.foot == "elbow-45":
        return turn + make_up("cleanout", outside)
    kinds = ("male-adapter", "reducer", "check-valve", "union", "ball-valve")
    parts = [make_up(fit.kind, fit.pipe.outside) for fit in fittings if fit.where == riser.where and fit.kind in kinds]
    station = system.station_named(riser.where)
    pumps = 1 if station is None or station.second_on is None else 2
    return turn + math.fsum(parts) / pumps


def _quarter(pipe: Pipe) -> float:
    """What a quarter bend, or two eighths in its place, hold of each pipe [m]."""
    with quiet():
        return bend_take_off(pipe.outside, math.pi / 2)


def _along(route: Sequence[Plan], at: Plan) -> float:
    """How far down a route the place nearest to another lies [m]."""
    found, before = [], 0.0
    for one, two in pairwise(route):
        length = math.dist(one, two)
        share = ((at[0] - one[0]) * (two[0] - one[0]) + (at[1] - one[1]) * (two[1] - one[1])) / length**2
        share = min(max(share, 0.0), 1.0)
        place = one[0] + share * (two[0] - one[0]), one[1] + share * (two[1] - one[1])
        found.append((math.dist(place, at), before + share * length))
        before += length
    return min(found)[1]


def _at_upper(run: SizedRun, system: System, fittings: Sequence[Fitting]) -> float:
    """What stands at a run's upper end holds; so does a junction that turns one line on without a wye [m]."""
    node, outside = system.nodes[run.upper], run.pipe.outside
    if node.kind == "basin" and run.pressure:
        paired = any(fit.kind == "wye" and fit.where == node.name and fit.pipe == run.pipe for fit in fittings)
        with quiet():
            return _quarter(run.pipe) + (wye_far(outside, outside) if paired else 0.0)
    mine = [(fit.kind, fit.at) for fit in fittings if fit.where == run.name and fit.at is not None]
    ends = {kind for kind, at in mine if _along(straightened(run.route), at) < SAME}
    if node.kind == "inlet":
        ends = {fit.kind for fit in fittings if fit.where == node.name}
        if "tee" in ends:
            return make_up("tee", outside) / 2
    if "cleanout" in ends:
        return _quarter(run.pipe)
    if off := sum(make_up(kind, outside) for kind in ends if kind in ("cap", "sweep-90")):
        return off
    met = meetings(node, system.runs)
    if node.kind != "junction" or len(met) != 1 or run.duty == "overflow":
        return 0.0
    return _in_a_row(run.pipe, _elbows(run, met[0].turn))[1]


def _at_lower(run: SizedRun, system: System, fittings: Sequence[Fitting]) -> float:
    node, outside = system.nodes[run.lower], run.pipe.outside
    there = [fit for fit in fittings if fit.where == node.name]
    if node.kind == "inlet":
        return make_up("tee", outside) / 2 if any(fit.kind == "tee" for fit in there) else 0.0
    if node.kind == "discharge":
        joined = system.joined_at(run.lower)
        fits = change(run.pipe, joined.pipe, node) if joined is not None and _cut_in_at(there) else there
        off = math.fsum(make_up(fit.kind, fit.pipe.outside) for fit in fits if fit.kind in ("reducer", "adapter"))
        if joined is not None:
            with quiet():
                off += wye_branch(joined.pipe.outside, outside)
        return off
    if node.kind != "junction":
        return 0.0
    met = {item.run: item for item in meetings(node, system.runs)}
    mine = met.get(run.name)
    going = next((item for item in system.runs if item.upper == node.name and item.duty != "overflow"), None)
    if mine is None or going is None:
        return 0.0
    changed = math.fsum(make_up(fit.kind, fit.pipe.outside) for fit in change(run.pipe, going.pipe, node))
    joins = [item for item in system.runs if item.name in met and not met[item.name].through]
    if not joins:
        joint = make_up("coupling", outside) if any(fit.kind == "coupling" for fit in there) else 0.0
        return changed + joint + _in_a_row(run.pipe, _elbows(run, mine.turn))[0]
    with quiet():
        if mine.through:
            through = sum(wye_far(going.pipe.outside, item.pipe.outside) for item in joins)
            return changed + through + 2 * _in_a_row(run.pipe, _elbows(run, mine.turn))[0]
        branch = wye_branch(going.pipe.outside, outside)
        return changed + branch + 2 * _in_a_row(run.pipe, _elbows(run, abs(mine.turn - WYE)))[0]


def _level_ends(run: SizedRun) -> tuple[float, float]:
    """What the elbows hold that turn a pumped line level at its ends [m]."""
    inner = inner_bends(run.bends, run.pipe_length)
    ends = [bend for bend in run.bends if bend not in inner and run.pipe.family not in BENDING]
    first = sum(_in_a_row(run.pipe, bend.elbows)[1] for bend in ends if bend.along < SHORTEST)
    return first, sum(_in_a_row(run.pipe, bend.elbows)[0] for bend in ends if bend.along >= SHORTEST)


def _cut_in_at(there: Sequence[Fitting]) -> bool:
    """Whether each line that comes here has a wye of its own in a line that was there before."""
    return any(fit.kind == "flexible" for fit in there)


def _elbows(run: SizedRun, angle: float) -> Sequence[Kind]:
    return () if run.pipe.family in BENDING else elbows(angle, pressure=run.pressure)


__all__ = ["bend_take_off", "held", "riser_held", "wye_branch", "wye_far"]
