"""The plant integrated by SciPy, stopped and begun anew at every edge, switch of a float and end of a battery."""

from __future__ import annotations

import time as clock
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from drainwright.storm.engine.plant import NEVER, Floats, Forcing, Plant, State
from oracle.laws import all_flows, change, levels


class TooLongError(Exception):
    """The integration did not end in its time: a system that chatters is no fit for an oracle."""


@dataclass
class Answer:
    volume: Floats
    highest: Floats
    starts: list[tuple[float, int]] = field(default_factory=list)
    reached: list[float] = field(default_factory=list)
    above: list[float] = field(default_factory=list)
    through: dict[str, Floats] = field(default_factory=dict)  # volumes by link, names as in ``all_flows``
    rain: float = 0.0
    evaluations: int = 0


@dataclass
class Pumps:
    """What the floats have set."""

    running: Any
    in_line: Floats
    left: Floats  # of the batteries [s]


def _switch(plant: Plant, volume: Floats, pumps: Pumps, cut: bool, now: float, answer: Answer) -> None:
    s = plant.stations
    for i, node in enumerate(s.node):
        powered = not cut or pumps.left[i] > 0.0
        if pumps.running[i] and (not powered or volume[node] <= s.off[i]):
            pumps.running[i] = 0
            volume[node] += pumps.in_line[i]
            pumps.in_line[i] = 0.0
        if powered and not pumps.running[i] and volume[node] >= s.on[i]:
            pumps.running[i] = 1
            answer.starts.append((now, i))
        if powered and pumps.running[i] == 1 and volume[node] >= s.second[i]:
            pumps.running[i] = 2


def _floats(plant: Plant, pumps: Pumps, cut: bool) -> list[tuple[int, float, float]]:
    """Volumes at which something switches: station, volume, direction."""
    s, found = plant.stations, []
    for i in range(len(s.node)):
        if pumps.running[i]:
            found.append((i, float(s.off[i]), -1.0))
        if not pumps.running[i] and (not cut or pumps.left[i] > 0.0):
            found.append((i, float(s.on[i]), 1.0))
        if pumps.running[i] == 1 and s.second[i] < NEVER:
            found.append((i, float(s.second[i]), 1.0))
    return found


def integrate(
    plant: Plant, forcing: Forcing, state: State, tolerance: float = 1e-9, max_step: float = 20.0, limit: float = 60.0,
    method: str = "LSODA",
) -> Answer:  # fmt: skip
    """Integrate from a state over all of the forcing.

    Tolerances are of volumes, relative and absolute. ``limit``: seconds of clock; beyond, ``TooLongError``.
    """
    begun = clock.perf_counter()
    s = plant.stations
    volume = np.array(state.volume, float)
    pumps = Pumps(np.array(state.running), np.array(state.in_line, float), np.array(state.battery, float))
    watched, count = plant.watches.node, len(plant.watches.node)
    h = levels(plant, volume)
    answer = Answer(volume, h.copy())
    answer.reached, answer.above = [NEVER] * count, [0.0] * count
    now = float(forcing.edges[0])
    marks = sorted({*forcing.edges.tolist(), *(t for t in forcing.cuts.ravel() if t < forcing.edges[-1])})
    ended = float(forcing.edges[-1])
    while now < ended:
        period = int(np.searchsorted(forcing.edges, now, side="right")) - 1
        cut = bool(np.any((forcing.cuts[:, 0] <= now) & (now < forcing.cuts[:, 1])))
        if not cut or np.any(forcing.cuts[:, 0] == now):
            pumps.left[:] = s.battery
        _switch(plant, volume, pumps, cut, now, answer)
        rain = np.zeros(len(volume))
        np.add.at(rain, forcing.entry, forcing.inflow[period])
        shift = float(forcing.shift[period])
        until = next(mark for mark in marks if mark > now)
        if cut:
            until = min([until, *(now + pumps.left[i] for i in range(len(s.node)) if pumps.running[i])])
        running = pumps.running.copy()

        def slope(t: float, v: Floats, *, rain=rain, shift=shift, running=running, cut=cut) -> Floats:  # type: ignore[no-untyped-def]
            if clock.perf_counter() - begun > limit:
                raise TooLongError
            return change(plant, v, rain, shift, running, cut)

        goals = _floats(plant, pumps, cut)
        events: list[Any] = []
        for i, goal, direction in goals:

            def event(t: float, v: Floats, node: int = int(s.node[i]), goal: float = goal) -> float:
                return float(v[node] - goal)

            event.terminal, event.direction = True, direction  # type: ignore[attr-defined]
            events.append(event)
        for w in range(count):

            def seen(t: float, v: Floats, w: int = w) -> float:
                return float(levels(plant, v)[watched[w]] - plant.watches.level[w])

            events.append(seen)
        ran = solve_ivp(
            slope, (now, until), volume, method=method, rtol=tolerance, atol=tolerance, max_step=max_step,
            events=events or None, dense_output=True, first_step=min(0.01, 0.5 * (until - now)),
        )  # fmt: skip
        if not ran.success:
            raise RuntimeError(ran.message)
        answer.evaluations += ran.nfev
        lifted = _booked(plant, answer, ran, shift, running, cut)
        for w in range(count):
            turns = [now, *ran.t_events[len(goals) + w], float(ran.t[-1])] if events else [now, float(ran.t[-1])]
            for a, b in pairwise(turns):
                inside = levels(plant, ran.sol(0.5 * (a + b)))[watched[w]] >= plant.watches.level[w]
                if b > a and inside:
                    answer.above[w] += b - a
                    answer.reached[w] = min(answer.reached[w], a)
        volume = ran.y[:, -1].copy()
        spent = float(ran.t[-1]) - now
        answer.rain += spent * float(np.sum(rain))
        for i in np.flatnonzero(running):
            if cut:
                pumps.left[i] -= spent
                pumps.left[i] *= pumps.left[i] > 1e-9
            if s.to[i] < 0:
                pumps.in_line[i] = min(s.line[i], pumps.in_line[i] + lifted[i])
        now = float(ran.t[-1])
        if ran.status == 1:
            for (i, goal, _), times in zip(goals, ran.t_events, strict=False):
                if len(times) and times[-1] == ran.t[-1]:
                    volume[s.node[i]] = goal
    answer.volume = volume
    return answer


def _booked(plant: Plant, answer: Answer, ran: Any, shift: float, running: Any, cut: bool) -> Floats:
    """Volumes through the links by Simpson's rule over each step, highest levels at its ends; what was lifted."""
    t = ran.t
    span = np.diff(t)
    if not answer.through:
        empty = all_flows(plant, ran.y[:, 0], shift, running, cut)
        answer.through = {name: np.zeros_like(flow) for name, flow in empty.items()}
    before = answer.through["pumps"].copy()
    ends = [all_flows(plant, ran.y[:, i], shift, running, cut) for i in range(len(t))]
    for i, width in enumerate(span):
        middle = all_flows(plant, ran.sol(t[i] + 0.5 * width), shift, running, cut)
        for name, sums in answer.through.items():
            sums += width / 6.0 * (ends[i][name] + 4.0 * middle[name] + ends[i + 1][name])
    for i in range(len(t)):
        answer.highest = np.maximum(answer.highest, levels(plant, ran.y[:, i]))
    return answer.through["pumps"] - before


__all__ = ["Answer", "TooLongError", "integrate"]
