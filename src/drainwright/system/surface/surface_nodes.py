"""Water at the places where lines meet: catch basins, wyes and tees, downspouts, the heads of drains."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from drainwright.hydraulics.access_hole import Inflow, access_hole, junction_rise
from drainwright.hydraulics.arrays import GRAVITY
from drainwright.hydraulics.conduit import TRICKLE, RoundPipe
from drainwright.hydraulics.fittings import fitting
from drainwright.hydraulics.line_surface import bend_loss
from drainwright.system.model import NodeKind, Pipe


@dataclass(frozen=True, slots=True, kw_only=True)
class Arriving:
    """A pipe that runs into a place."""

    flow: float  # [m³/s]
    pipe: Pipe
    invert: float  # there [m]
    heading: float  # of its last leg, anticlockwise from east [rad]


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeHead:
    """Water level at a place, and what it rests on."""

    level: float  # [m]
    losses: Mapping[str, float]  # by kind, over the energy or grade line of the pipe that leaves [m]


def turn_between(arriving: float, leaving: float) -> float:
    """Turn of the flow from one heading to another, 0 to π. [rad]"""
    return abs(math.remainder(leaving - arriving, 2.0 * math.pi))


def head_at(
    *,
    kind: NodeKind,
    pipe: Pipe,
    invert: float,
    flow: float,
    heading: float,
    rim: float,
    depth: float,
    speed: float,
    arriving: Sequence[Arriving],
) -> NodeHead:
    """Water level at the upper end of a line, from the water at the head of its pipe.

    Parameters
    ----------
    kind : NodeKind
        A catch basin (inlet) is reckoned by HEC-22's access-hole method, its floor below the pipe; a wye or tee
        (junction) by momentum, a bend there by its angle; a downspout by the elbow under it, or as a branch from the
        side where pipes run past its foot; a basin by the entrance into an overflow.
    pipe, invert, flow, heading
        Of the line that leaves; the flow at its head. [m, m³/s, rad]
    rim : float
        Grate or ground there; infinite where it is not known. [m]
    depth, speed : float
        At the head of the pipe that leaves: depth (or pressure head) over its invert, and speed. [m, m/s]
    arriving : sequence of Arriving
        Pipes that come in.

    Returns
    -------
    NodeHead
        Level and losses.
    """
    head = speed**2 / (2.0 * GRAVITY)
    energy = depth + head
    if flow <= TRICKLE:
        return NodeHead(level=invert + depth, losses={})
    piped = sum(item.flow for item in arriving)
    if kind == "inlet":
        coming = [
            Inflow(flow=item.flow, turn=turn_between(item.heading, heading), height=item.invert - invert)
            for item in arriving
            if item.flow > TRICKLE
        ]
        if flow - piped > TRICKLE and math.isfinite(rim):
            coming.append(Inflow(flow=flow - piped, height=rim - invert, grate=True))
        hole = access_hole(flow, pipe.inside, energy, speed, coming)
        kinds = {"entrance": hole.entrance, "turn": hole.turning, "plunging water": hole.plunging}
        return NodeHead(level=invert + hole.energy, losses={name: loss for name, loss in kinds.items() if loss > 0.0})
    if kind == "downspout" and piped > TRICKLE:  # the leader comes into the pipe from the side
        leader = Arriving(flow=flow - piped, pipe=pipe, invert=invert, heading=heading - 0.5 * math.pi)
        return _joined(pipe, invert, flow, heading, depth, head, [*arriving, leader])
    if kind == "downspout":
        loss = fitting("ell90").loss_coefficient * head
        return NodeHead(level=invert + energy + loss, losses={"elbow": loss})
    if kind == "basin":
        loss = fitting("entrance_sharp").loss_coefficient * head
        return NodeHead(level=invert + energy + loss, losses={"entrance": loss})
    return _joined(pipe, invert, flow, heading, depth, head, arriving)


def _joined(
    pipe: Pipe,
    invert: float,
    flow: float,
    heading: float,
    depth: float,
    head: float,
    arriving: Sequence[Arriving],
) -> NodeHead:
    """A wye, tee or bend: the grade line rises by what the momentum wants, and by the bend of the straightest pipe."""
    level = invert + depth
    coming = sorted(
        (turn_between(item.heading, heading), number) for number, item in enumerate(arriving) if item.flow > TRICKLE
    )
    if not coming:
        return NodeHead(level=level, losses={})

    def area(item: Arriving) -> float:
        """Area of flow at the common level; of a pipe that lies above it, half of the pipe."""
        section = RoundPipe(diameter=item.pipe.inside)
        above = level - item.invert
        return section.parts(above if above > 0.25 * item.pipe.inside else 0.5 * item.pipe.inside).area

    straightest, *others = (arriving[number] for _, number in coming)
    losses = {}
    if others:
        rise = junction_rise(
            (flow, RoundPipe(diameter=pipe.inside).parts(depth).area),
            (straightest.flow, area(straightest)),
            [(item.flow, area(item), turn_between(item.heading, heading)) for item in others],
        )
        losses["junction"] = rise
    turn = coming[0][0]
    losses["bend"] = bend_loss(min(turn, math.pi / 2.0)) * head
    return NodeHead(
        level=level + sum(losses.values()), losses={name: loss for name, loss in losses.items() if loss > 0.0}
    )


__all__ = ["Arriving", "NodeHead", "head_at", "turn_between"]
