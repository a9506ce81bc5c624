"""The water surface along a pipe or channel whose flow may grow on its way: part full, pressurised, fast, and jumps.

Two walks and a comparison. Up from the lower end goes the tranquil surface, by standard steps of the energy
equation; where no tranquil depth fits, the flow there is fast, and the place above is a control. Down from each
control goes the fast surface. Where both are possible the one with the greater momentum stands: where they change
over lies the hydraulic jump. Water that comes in along the way (a perforated drain) brings no speed along the pipe:
it costs the slope Q q / (g A²) beside friction, which is the equation of spatially varied flow.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError, require
from drainwright.hydraulics.arrays import GRAVITY, Array
from drainwright.hydraulics.conduit import TRICKLE, Conduit, critical, momentum


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterSurface:
    """The water surface, from the upper end down; arrays of one length."""

    distances: Array  # from the upper end [m]
    inverts: Array  # [m]
    depths: Array  # over the invert; above the crown the pressure head [m]
    levels: Array  # hydraulic grade line [m]
    energies: Array  # energy line [m]
    velocities: Array  # [m/s]
    critical: Array  # critical depth [m]
    fast: tuple[bool, ...]  # whether the flow there is faster than critical
    jumps: tuple[float, ...]  # distances of hydraulic jumps from the upper end [m]
    full_length: float  # length that runs full [m]

    @property
    def level_up(self) -> float:
        """Hydraulic grade line at the upper end. [m]"""
        return float(self.levels[0])

    @property
    def energy_up(self) -> float:
        """Energy line at the upper end. [m]"""
        return float(self.energies[0])


class _Walk:
    """The steps of one surface."""

    def __init__(self, section: Conduit, roughness: float) -> None:
        self.section, self.roughness = section, roughness

    def balance(self, depth: float, flow: float, gain: float, step: float) -> float:
        """Energy over the invert, and the fall of the energy line over a length: friction by Manning, and what water
        that comes in costs. A length upstream counts negative. [m]
        """  # fmt: skip
        if flow <= TRICKLE:
            return depth
        area, perimeter, _, _ = self.section.parts(depth)
        speed = flow / area
        friction: float = (speed * self.roughness) ** 2 * (perimeter / area) ** (4.0 / 3.0)
        fall = friction + speed * max(gain, 0.0) / (GRAVITY * area)  # water that leaves takes its speed along
        return depth + speed * speed / (2.0 * GRAVITY) + step * fall

    def up(
        self, depth: float, flow: float, above: float, gain: float, rise: float, step: float, low: float, loss: float
    ) -> float | None:
        """Tranquil depth one step up, where ``above`` flows and the critical depth is ``low``; None: there is none."""
        target = self.balance(depth, flow, gain, 0.5 * step) - rise + loss
        if above <= TRICKLE:
            return target if target > 0.0 else None

        def short(trial: float) -> float:
            return self.balance(trial, above, gain, -0.5 * step) - target

        if short(low) >= 0.0:
            return None
        crown = self.section.crown
        if math.isinf(crown):
            high = 2.0 * max(depth, low, target)
            while short(high) < 0.0:
                high *= 2.0
            return _between(short, low, high)
        if short(crown) <= 0.0:
            return crown - short(crown)  # full: speed and friction no longer change with the head
        return _between(short, low, crown)

    def down(
        self, depth: float, flow: float, below: float, gain: float, fall: float, step: float, high: float
    ) -> float | None:
        """Fast depth one step down, where ``below`` flows and the critical depth is ``high``; None: there is none."""
        if below <= TRICKLE:
            return 0.0
        target = (self.balance(depth, flow, gain, -0.5 * step) if depth > 0.0 else 0.0) + fall

        def over(trial: float) -> float:
            return target - self.balance(trial, below, gain, 0.5 * step)

        if over(high) <= 0.0:
            return None
        low = 0.5 * high
        while over(low) > 0.0:
            low *= 0.5
        return _between(over, low, high)


def _between(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a function that rises from below to above zero passes it: secants that keep their bracket."""
    left, right = function(low), function(high)
    if left >= 0.0:
        return low
    side = 0
    for _ in range(100):
        trial = (low * right - high * left) / (right - left)
        if not low < trial < high:
            trial = 0.5 * (low + high)
        value = function(trial)
        if abs(value) < 1e-13 or high - low < 1e-13:
            return trial
        if value < 0.0:
            low, left = trial, value
            right = 0.5 * right if side == -1 else right
            side = -1
        else:
            high, right = trial, value
            left = 0.5 * left if side == 1 else left
            side = 1
    return 0.5 * (low + high)


def water_surface(
    section: Conduit,
    distances: Sequence[float],
    inverts: Sequence[float],
    flows: Sequence[float],
    roughness: float,
    downstream_level: float,
    losses: Sequence[float] | None = None,
) -> WaterSurface:
    """Water surface along a pipe or channel, its flow even or growing downstream.

    Parameters
    ----------
    section : Conduit
        The cross section.
    distances : sequence of float
        Places from the upper end down, rising; the walk goes from one to the next (see ``graded_steps``). [m]
    inverts : sequence of float
        Invert at each, on one datum; it may rise with the flow. [m]
    flows : sequence of float
        Flow at each, zero or more; between two it grows in a straight line. [m³/s]
    roughness : float
        Manning n. [s/m^(1/3)]
    downstream_level : float
        Water level at the lower end; below critical depth there it does not matter. [m]
    losses : sequence of float, optional
        Loss coefficient of a bend at each place, on the velocity head there. [-]

    Returns
    -------
    WaterSurface
        Depth, level, energy and speed at each place, where it is fast, and where it jumps.

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Flow enters the upper end through critical depth where it is fast. Air that a jump traps, slug flow and the
    roll of nearly full pipes are not in it.

    References
    ----------
    V. T. Chow, Open-Channel Hydraulics, 1959, eq. 12-2 and ch. 10 and 15; jump by the momentum function, TxDOT
    Hydraulic Design Manual eq. 8-22.
    """
    require("above zero", np.greater, roughness=roughness)
    require("zero or more", np.greater_equal, flows=np.asarray(flows, dtype=np.float64))
    if not len(distances) == len(inverts) == len(flows) or len(distances) < 2:
        raise InputError(f"distances = {distances!r}: expected two places or more, as many as inverts and flows")
    if any(b <= a for a, b in itertools.pairwise(distances)):
        raise InputError(f"distances = {distances!r}: expected rising distances")
    if not (math.isfinite(downstream_level) or downstream_level == -math.inf):
        raise InputError(f"downstream_level = {downstream_level!r}: expected a level")
    if not all(math.isfinite(invert) for invert in inverts):
        raise InputError(f"inverts = {inverts!r}: expected finite levels")
    walk, count = _Walk(section, roughness), len(distances)
    known: dict[float, float] = {}
    for flow in flows:
        if flow not in known:
            known[flow] = critical(section, flow)
    lows = [known[flow] for flow in flows]
    steps = [b - a for a, b in itertools.pairwise(distances)]
    gains = [(b - a) / step for a, b, step in zip(flows[:-1], flows[1:], steps, strict=True)]
    bends = [0.0] * count if losses is None else list(losses)

    depths = [0.0] * count
    held = [False] * count  # at critical depth, since no tranquil depth fits
    tail = downstream_level - inverts[-1]
    depths[-1], held[-1] = (tail, False) if tail > lows[-1] else (lows[-1], True)
    for i in range(count - 2, -1, -1):
        loss = 0.0
        if bends[i + 1] > 0.0 and flows[i + 1] > TRICKLE:
            loss = bends[i + 1] * (flows[i + 1] / section.parts(depths[i + 1]).area) ** 2 / (2.0 * GRAVITY)
        found = walk.up(
            depths[i + 1], flows[i + 1], flows[i], gains[i], inverts[i] - inverts[i + 1], steps[i], lows[i], loss
        )
        depths[i], held[i] = (lows[i], True) if found is None else (found, False)

    fast, jumps = _rush(walk, section, distances, inverts, flows, gains, steps, lows, depths, held)
    speeds = [
        flow / section.parts(depth).area if flow > TRICKLE and depth > 0.0 else 0.0
        for flow, depth in zip(flows, depths, strict=True)
    ]
    stations, bed = np.asarray(distances, dtype=np.float64), np.asarray(inverts, dtype=np.float64)
    heads, moving = np.array(depths), np.array(speeds)
    full = (heads >= section.crown).astype(float)
    return WaterSurface(
        distances=stations,
        inverts=bed,
        depths=heads,
        levels=bed + heads,
        energies=bed + heads + moving**2 / (2.0 * GRAVITY),
        velocities=moving,
        critical=np.array(lows),
        fast=tuple(fast),
        jumps=tuple(jumps),
        full_length=float(np.sum(0.5 * (full[1:] + full[:-1]) * np.diff(stations))),
    )


def _rush(
    walk: _Walk,
    section: Conduit,
    distances: Sequence[float],
    inverts: Sequence[float],
    flows: Sequence[float],
    gains: Sequence[float],
    steps: Sequence[float],
    lows: Sequence[float],
    depths: list[float],
    held: Sequence[bool],
) -> tuple[list[bool], list[float]]:
    """Put the fast surface below each control in place of the tranquil one as far as its momentum is greater."""
    count = len(distances)
    fast, jumps = [False] * count, []
    i = 0
    while i < count:
        if not held[i]:
            i += 1
            continue
        depth = lows[i]  # a control
        over = 0.0  # momentum of the fast flow over that of the tranquil one, at the place before
        while i < count - 1:
            found = walk.down(
                depth, flows[i], flows[i + 1], gains[i], inverts[i] - inverts[i + 1], steps[i], lows[i + 1]
            )
            if found is None and not held[i + 1]:
                jumps.append(distances[i])
                i += 1
                break
            rushing = lows[i + 1] if found is None else found
            more = -depths[i + 1]  # still water stands over what does not flow
            if flows[i + 1] > TRICKLE:
                more = momentum(section, rushing, flows[i + 1]) - momentum(section, depths[i + 1], flows[i + 1])
            if more < 0.0 and not held[i + 1]:
                share = over / (over - more) if over > 0.0 else 0.0
                jumps.append(distances[i] + share * steps[i])
                i += 1
                break
            i += 1
            fast[i] = found is not None and flows[i] > TRICKLE
            depth = depths[i] = rushing
            over = more
        else:
            i += 1
    return fast, jumps


__all__ = ["WaterSurface", "water_surface"]
