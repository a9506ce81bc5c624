"""Pump and system: the pump's curve through its data-sheet points, the line's curve, and where they meet."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np

from drainwright.errors import Floats, InputError, require
from drainwright.hydraulics.arrays import GRAVITY, tidy
from drainwright.hydraulics.pressure import (
    VISCOSITY_10C,
    darcy_weisbach_head_loss,
    hazen_williams_head_loss,
    minor_loss,
    pipe_head_loss,
    pipe_velocity,
)
from drainwright.worksheet import Card, catalogued, quiet, recording

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

Method: TypeAlias = Literal["hazen_williams", "darcy_weisbach", "friction_factor"]


@lru_cache(maxsize=256)
def _interpolant(flows: tuple[float, ...], heads: tuple[float, ...]) -> PchipInterpolator:
    from scipy.interpolate import PchipInterpolator

    return PchipInterpolator(flows, heads, extrapolate=False)


@lru_cache(maxsize=256)
def _cubics(flows: tuple[float, ...], heads: tuple[float, ...]) -> tuple[tuple[float, ...], ...]:
    """The same as coefficients by stretch, from the constant's up, for one flow at a time."""
    return tuple(tuple(stretch) for stretch in _interpolant(flows, heads).c[::-1].T.tolist())


@lru_cache(maxsize=1024)
def _divisors(diameter: float) -> tuple[float, float]:
    """Of a pipe: its area four times over [m²], and what the friction of Hazen-Williams is divided by."""
    inside = np.asarray(diameter)
    return float(np.pi * inside**2), float(inside**4.8704)


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpCurve:
    """Head against flow, as the data-sheet gives it, with a monotone cubic (PCHIP) between the points.

    Raises
    ------
    InputError
        If there are fewer than two points, the flows do not rise from zero, or the heads do not fall.
    """

    flows: tuple[float, ...]  # rising, the first is zero [m³/s]
    heads: tuple[float, ...]  # falling, zero or more [m]

    def __post_init__(self) -> None:
        if len(self.flows) != len(self.heads) or len(self.flows) < 2:
            raise InputError(f"flows = {self.flows!r}, heads = {self.heads!r}: expected as many of each, two or more")
        require("zero or more", np.greater_equal, flows=np.array(self.flows), heads=np.array(self.heads))
        if self.flows[0] != 0.0 or not np.all(np.diff(self.flows) > 0.0):
            raise InputError(f"flows = {self.flows!r}: expected rising flows, the first zero (the shutoff head)")
        if not np.all(np.diff(self.heads) < 0.0):
            raise InputError(f"heads = {self.heads!r}: expected heads that fall as the flow rises")

    @property
    def shutoff(self) -> float:
        """Head at no flow: the highest that the pump can lift. [m]"""
        return self.heads[0]

    @property
    def runout(self) -> float:
        """The largest flow of the data-sheet. [m³/s]"""
        return self.flows[-1]

    def head(self, flow: Floats) -> Floats:
        """Head at a flow from zero to ``runout``. [m]

        Raises
        ------
        InputError
            If a flow lies outside the curve.
        """
        if isinstance(flow, float) and 0.0 <= flow <= self.runout:
            stretch = min(bisect_right(self.flows, flow), len(self.flows) - 1) - 1
            along, head, power = flow - self.flows[stretch], 0.0, 1.0
            for coefficient in _cubics(self.flows, self.heads)[stretch]:
                head += coefficient * power
                power *= along
            return float(head)
        if not np.all((np.asarray(flow) >= 0.0) & (np.asarray(flow) <= self.runout)):
            raise InputError(f"flow = {flow!r}: expected within the curve, 0 to {self.runout!r} m³/s")
        return tidy(_interpolant(self.flows, self.heads)(flow))

    def flow(self, head: float) -> float:
        """Flow at a head: zero at and above the shutoff, ``runout`` at and below the last head. [m³/s]"""
        from scipy.optimize import brentq

        if not np.isfinite(head):
            raise InputError(f"head = {head!r}: expected a finite number")
        if head >= self.shutoff:
            return 0.0
        if head <= self.heads[-1]:
            return self.runout
        curve = _interpolant(self.flows, self.heads)
        return float(brentq(lambda flow: float(curve(flow)) - head, 0.0, self.runout, xtol=1e-15, rtol=1e-14))

    def scaled(self, *, flow_ratio: float = 1.0, head_ratio: float = 1.0) -> PumpCurve:
        """The curve with flows and heads scaled: a worn pump, or two equal pumps (``flow_ratio=2``)."""
        require("above zero", np.greater, flow_ratio=flow_ratio, head_ratio=head_ratio)
        return PumpCurve(
            flows=tuple(flow * flow_ratio for flow in self.flows),
            heads=tuple(head * head_ratio for head in self.heads),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PressurePipe:
    """A stretch of pipe that runs full, of one diameter."""

    length: float  # developed [m]
    diameter: float  # inside [m]
    roughness: float  # by method: Hazen-Williams C [-], wall roughness [m], or the Darcy factor itself [-]
    loss_coefficient: float = 0.0  # sum of K of fittings, entrance and exit [-]
    method: Method = "hazen_williams"

    def __post_init__(self) -> None:
        require("zero or more", np.greater_equal, length=self.length, loss_coefficient=self.loss_coefficient)
        require("above zero", np.greater, diameter=self.diameter, roughness=self.roughness)
        if self.method not in ("hazen_williams", "darcy_weisbach", "friction_factor"):
            raise InputError(f"method = {self.method!r}: expected hazen_williams, darcy_weisbach or friction_factor")

    def head_loss(self, flow: Floats) -> Floats:
        """Friction and local head loss at a flow. [m]"""
        if self.method == "hazen_williams" and isinstance(flow, float) and 0.0 <= flow < math.inf and not recording():
            area, divisor = _divisors(self.diameter)
            speed = 4.0 * flow / area
            friction = 10.67 * self.length * (flow / self.roughness) ** 1.852 / divisor
            return float(friction + self.loss_coefficient * (speed * speed) / (2.0 * GRAVITY))
        local = minor_loss(pipe_velocity(flow, self.diameter), self.loss_coefficient)
        if self.method == "hazen_williams":
            friction = hazen_williams_head_loss(flow, self.length, self.diameter, self.roughness)
        elif self.method == "darcy_weisbach":
            friction = pipe_head_loss(flow, self.length, self.diameter, self.roughness, VISCOSITY_10C)
        else:
            friction = darcy_weisbach_head_loss(flow, self.length, self.diameter, self.roughness)
        return tidy(np.asarray(friction) + local)


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemCurve:
    """The head that the discharge line asks of the pump: static lift, then the losses of its pipes in turn."""

    static_head: float  # from the water in the basin to the outlet or high point; may be negative [m]
    pipes: tuple[PressurePipe, ...]

    def __post_init__(self) -> None:
        if not np.isfinite(self.static_head):
            raise InputError(f"static_head = {self.static_head!r}: expected a finite number")

    def head(self, flow: Floats) -> Floats:
        """Static head and losses at a flow, zero or more. [m]"""
        if isinstance(flow, float) and not recording():
            return self.static_head + sum([float(pipe.head_loss(flow)) for pipe in self.pipes], 0.0 * flow)
        return tidy(
            self.static_head + sum((np.asarray(pipe.head_loss(flow)) for pipe in self.pipes), 0.0 * np.asarray(flow))
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatingPoint:
    """Where pump and system meet."""

    flow: float  # zero where the pump does not reach [m³/s]
    head: float  # of the system at that flow; the static head where the pump does not reach [m]
    reaches: bool  # False: the shutoff head is not above the static head, nothing comes out
    beyond_curve: bool  # True: the pump would run past the data-sheet; the flow is its last, a lower bound
    margin: float  # shutoff head less static head [m]
    flows: tuple[float, ...]  # of each pump [m³/s]


@catalogued(
    Card(
        title="Operating point of a pump on its line",
        symbol="Q, H",
        expression="the flow at which the pump's head (PCHIP through its points) equals the system's, by Brent",
        units={"pump": "-", "system": "-", "result": "m³/s, m"},
        source="pchip",
        expression_kind="procedure",
    )
)
def operating_point(pump: PumpCurve, system: SystemCurve) -> OperatingPoint:
    """Flow and head at which a pump runs on a discharge line.

    Parameters
    ----------
    pump : PumpCurve
        The pump.
    system : SystemCurve
        The discharge line.

    Returns
    -------
    OperatingPoint
        ``reaches`` is False, with no flow, where the shutoff head is at most the static head;
        ``beyond_curve`` is True, with the curve's last flow, where the data-sheet ends before they meet.

    Examples
    --------
    >>> pump = PumpCurve(flows=(0.0, 0.002, 0.004), heads=(9.0, 6.5, 2.0))
    >>> line = SystemCurve(
    ...     static_head=3.0, pipes=(PressurePipe(length=30.0, diameter=0.0525, roughness=150.0),)
    ... )
    >>> point = operating_point(pump, line)
    >>> point.reaches, round(point.flow * 1000, 2), round(point.head, 2)
    (True, 3.15, 4.19)
    """
    return _meet((pump,), system)


@catalogued(
    Card(
        title="Operating point of pumps together on one line",
        symbol="Q, H",
        expression="the head at which the flows of all pumps (PCHIP through their points) together meet the system's,"
        " by Brent",
        units={"pumps": "-", "system": "-", "result": "m³/s, m"},
        source="pchip",
        expression_kind="procedure",
    )
)
def operating_point_parallel(pumps: Sequence[PumpCurve], system: SystemCurve) -> OperatingPoint:
    """Flow and head of pumps that run together on one discharge line, each behind its check valve.

    Parameters
    ----------
    pumps : sequence of PumpCurve
        One or more pumps.
    system : SystemCurve
        The discharge line that they share.

    Returns
    -------
    OperatingPoint
        ``flow`` is the total, ``flows`` each pump's; a pump too weak for the head gives none.

    Raises
    ------
    InputError
        If there is no pump.
    """
    if not pumps:
        raise InputError("pumps = (): expected at least one pump")
    return _meet(pumps, system)


def _meet(pumps: Sequence[PumpCurve], system: SystemCurve) -> OperatingPoint:
    """Where the pumps' added flows and the system agree on the head; the losses there go on the sheet."""
    from scipy.optimize import brentq

    shutoff = max(pump.shutoff for pump in pumps)
    margin = shutoff - system.static_head
    if margin <= 0.0:
        return OperatingPoint(
            flow=0.0,
            head=system.static_head,
            reaches=False,
            beyond_curve=False,
            margin=margin,
            flows=(0.0,) * len(pumps),
        )

    def surplus(head: float) -> float:
        return float(system.head(sum(pump.flow(head) for pump in pumps))) - head

    def spare(flow: float) -> float:  # of one pump: no curve need be turned round
        return float(pumps[0].head(flow)) - float(system.head(flow))

    with quiet():
        if len(pumps) == 1:
            runout = pumps[0].runout
            most = spare(runout) >= 0.0
            flows: tuple[float, ...] = (runout if most else float(brentq(spare, 0.0, runout, xtol=1e-15, rtol=1e-14)),)
            beyond = spare(runout) > 0.0
        else:
            head = float(brentq(surplus, system.static_head - 1e-9, shutoff, xtol=1e-12, rtol=1e-14))
            flows = tuple(pump.flow(head) for pump in pumps)
            pairs = zip(flows, pumps, strict=True)
            beyond = any(flow == pump.runout and head < pump.heads[-1] for flow, pump in pairs)
    return OperatingPoint(
        flow=sum(flows),
        head=float(system.head(sum(flows))),
        reaches=True,
        beyond_curve=beyond,
        margin=margin,
        flows=flows,
    )
