"""The discharge line in detail: relief hole, fittings, high and low places, surge, what stays in it, its floats."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from drainwright.field.words import Units
from drainwright.hydraulics.arrays import GRAVITY
from drainwright.hydraulics.fittings import fitting
from drainwright.hydraulics.openings import relief_hole_flow
from drainwright.hydraulics.pressure import minor_loss, pipe_velocity
from drainwright.hydraulics.surge import (
    PVC_MODULUS,
    WATER_DENSITY,
    critical_time,
    joukowsky,
    reverse_velocity,
    wave_speed,
)
from drainwright.job.works import Basin
from drainwright.system.lift.float_marks import FloatMarks, float_marks
from drainwright.system.lift.line_profile import (
    Beyond,
    StandingWater,
    Turning,
    beyond_highest,
    standing_water,
    turnings,
)
from drainwright.system.lift.pressure_line import PUMP_OUTLET, PressureLine
from drainwright.system.model import LiftStation
from drainwright.worksheet import place, quiet

SWING_DELAY = 0.1  # until a swing check valve has shut after the flow turns, common practice, no source [s]
VALVE_UP = 0.6096  # riser from the pump's outlet to the check valve, 2 ft, common practice, no source [m]
HALVINGS = 60  # of the bracket of the pump's flow


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedFitting:
    """Fittings of one kind on the line."""

    kind: str
    title: str
    count: int
    coefficient: float  # of all of them together [-]
    source: str  # key in drainwright.sources


@dataclass(frozen=True, slots=True, kw_only=True)
class ReliefLeak:
    """Water that the relief hole squirts back while the pump runs."""

    diameter: float  # [m]
    place: Literal["below the check valve", "above the check valve", "outside the basin"]
    head: float  # at the hole, over what is outside it [m]
    leak: float  # [m³/s]
    pump_flow: float  # of the pump with the hole open [m³/s]
    net_flow: float  # into the line [m³/s]
    power: float  # hydraulic power that the leak takes [W]

    @property
    def share(self) -> float:
        """Of the pump's flow [-]."""
        return self.leak / self.pump_flow if self.pump_flow > 0.0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Surge:
    """Pressures in the line when its flow stops."""

    stopped: float  # velocity that is stopped: of all that the pumps may deliver at once [m/s]
    wave_speed: float  # [m/s]
    critical_time: float  # a stop within it counts as sudden [s]
    working: float  # at the pump while it runs [Pa]
    sudden: float  # rise where all the flow stops at once: the bound of any stop [Pa]
    column: float  # of water that turns back when the pump stops; zero without a check valve [m]
    reverse_velocity: float  # at which water runs back when a swing check shuts [m/s]
    slam: float  # rise from that [Pa]
    static: float  # at the pump when it has stopped and the valve holds [Pa]
    dead_head: float  # at the pump with the line shut or frozen [Pa]
    rating: float | None  # of the pipe at 23 °C; None: no pressure pipe [Pa]

    @property
    def highest(self) -> float:
        """The worst of sudden stop, slam and shut line [Pa]."""
        return max(self.working + self.sudden, self.static + self.slam, self.dead_head)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainsBack:
    """Which way the line empties by itself, and what that costs."""

    out: float  # length at its end that falls to the end without a low place [m]
    back: float  # length at its beginning that falls to the basin [m]
    volume: float  # that runs back into the basin after each run, as fitted [m³]
    if_opened: float  # that would, were the line let back against frost: riser and line up to the highest place [m³]
    starts_factor: float  # starts with the water that runs back over starts without; infinite: it never rests [-]
    opened_factor: float  # the same, were the line let back [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineDetails:
    """A discharge line in detail, from the pump's outlet to its end."""

    name: str
    riser: float  # from the pump's outlet to the line [m]
    fittings: tuple[CountedFitting, ...]
    relief: ReliefLeak | None  # None: no hole, or the pump does not reach
    highs: tuple[Turning, ...]
    lows: tuple[Turning, ...]
    lows_volume: float  # water that stays in the low places [m³]
    standing: StandingWater  # all that stays, the rising line behind the check valve with it
    drains: DrainsBack
    beyond: Beyond | None
    surge: Surge
    floats: FloatMarks


def relief_leak(station: LiftStation, line: PressureLine, basin: Basin) -> ReliefLeak | None:
    """What the relief hole lets back while the pump runs, half way between its floats.

    Parameters
    ----------
    station : LiftStation
        With its pump and levels.
    line : PressureLine
        Its discharge line.
    basin : Basin
        With the hole's diameter and place.

    Returns
    -------
    ReliefLeak or None
        None without a hole, or where the pump lifts nothing.

    Notes
    -----
    The pump's curve, the line's curve for what is left and the orifice of the hole are met together, by halving. Below
    the water in the basin the hole works against the water's depth over it, above it against air.
    """
    diameter = basin.relief_hole
    if diameter is None or diameter <= 0.0 or not station.reaches:
        return None
    level = (station.on + station.off) / 2.0
    curve, system = station.pump.curve, line.curve(level, station.floor)
    above = basin.relief_hole_place != "below the check valve" and line.check_valve
    height = station.floor + PUMP_OUTLET
    if basin.relief_hole_place == "above the check valve":
        height += min(VALVE_UP, line.riser(station.floor))
    elif basin.relief_hole_place == "outside the basin":
        height = line.inverts[0]
    lost = fitting("swing_check").loss_coefficient if above else 0.0

    def at(flow: float) -> tuple[float, float]:
        speed = float(pipe_velocity(flow, line.pipe.inside))
        used = float(minor_loss(speed, 1.0 + line.port_loss + lost))
        head = max(float(curve.head(flow)) - max(height - level, 0.0) - used, 0.0)
        return head, float(relief_hole_flow(diameter, head))

    with quiet():
        low, high = 0.0, curve.runout
        for _ in range(HALVINGS):
            flow = (low + high) / 2.0
            onward = max(flow - at(flow)[1], 0.0)
            if float(curve.head(flow)) > float(system.head(onward)):
                low = flow
            else:
                high = flow
        flow = (low + high) / 2.0
        head, _ = at(flow)
    leak = min(float(relief_hole_flow(diameter, head)), flow)
    return ReliefLeak(
        diameter=diameter,
        place=basin.relief_hole_place,
        head=head,
        leak=leak,
        pump_flow=flow,
        net_flow=flow - leak,
        power=WATER_DENSITY * GRAVITY * leak * float(curve.head(flow)),
    )


def _most(station: LiftStation) -> tuple[float, float]:
    """Flow and head where the station delivers most: alone on a line it shares, or both its pumps together."""
    found = [(station.operating_flow, station.operating_head)]
    if station.most_flow > station.operating_flow:
        found.append((station.most_flow, float(station.pump.curve.head(station.most_flow))))
    if station.study is not None and station.study.pair is not None:
        found.append((station.study.pair.both_flow, station.study.pair.both_head))
    return max(found)


def surge_of(station: LiftStation, line: PressureLine) -> Surge:
    """Pressures when the pump stops: Joukowsky's bound, the slam of a swing check, the shut line.

    Parameters
    ----------
    station : LiftStation
        With its duty.
    line : PressureLine
        Its discharge line; its wall counts as PVC.
    """
    pipe = line.pipe
    drowned = line.against > line.inverts[-1] + pipe.inside  # else air follows the water beyond the highest place
    column = line.riser(station.floor) + (line.length if drowned else line.to_highest)
    level = (station.on + station.off) / 2.0
    lift = max(line.highest - level, 0.0)
    weight = WATER_DENSITY * GRAVITY
    speed = float(wave_speed(pipe.inside, pipe.wall, PVC_MODULUS))
    flow, head = _most(station)
    stopped = float(pipe_velocity(flow, pipe.inside))
    back = 0.0
    if line.check_valve and column > 0.0:
        column = max(column, lift)  # what stands in the pump is part of it: nothing turns faster than it would fall
        back = float(reverse_velocity(lift, column, SWING_DELAY, stopped))
    return Surge(
        stopped=stopped,
        wave_speed=speed,
        critical_time=float(critical_time(line.riser(station.floor) + line.length, speed)),
        working=weight * max(head, station.operating_head) if station.reaches else 0.0,
        sudden=float(joukowsky(speed, stopped)),
        column=column if line.check_valve else 0.0,
        reverse_velocity=back,
        slam=float(joukowsky(speed, back)),
        static=weight * max(line.highest - station.floor - PUMP_OUTLET, 0.0),
        dead_head=weight * float(station.pump.curve.shutoff),
        rating=pipe.rating,
    )


def _factor(band: float, back: float) -> float:
    """Starts with water that runs back, over starts without it."""
    return band / (band - back) if back < band else math.inf


def _drains(station: LiftStation, line: PressureLine) -> DrainsBack:
    inverts, distances = line.inverts, line.alongs
    first = next((i for i in range(1, len(inverts)) if inverts[i] < inverts[i - 1]), len(inverts))
    last = next((i for i in range(len(inverts) - 1, 0, -1) if inverts[i] >= inverts[i - 1]), 0)
    opened = math.pi / 4.0 * line.pipe.inside**2 * (line.riser(station.floor) + line.to_highest)
    return DrainsBack(
        out=distances[-1] - distances[last],
        back=distances[first - 1],
        volume=station.drain_back,
        if_opened=opened,
        starts_factor=_factor(station.band_volume, station.drain_back),
        opened_factor=_factor(station.band_volume, opened),
    )


def counted(line: PressureLine) -> tuple[CountedFitting, ...]:
    """The line's fittings by kind, with their losses."""
    found = []
    for kind, count in line.fittings().items():
        item = fitting(kind)
        found.append(
            CountedFitting(
                kind=kind,
                title=item.title,
                count=count,
                coefficient=count * item.loss_coefficient,
                source=item.source,
            )
        )
    if line.port_loss > 0.0:
        title = "reducer behind the pump's outlet, sudden"
        found.append(CountedFitting(kind="port", title=title, count=1, coefficient=line.port_loss, source="idelchik"))
    if line.emitter > 0.0:
        title, lost = "pop-up emitter, elbow and lid", line.emitter_loss
        found.append(CountedFitting(kind="emitter", title=title, count=1, coefficient=lost, source="common_practice"))
    return tuple(found)


def line_details(
    station: LiftStation, line: PressureLine, basin: Basin, grounds: Sequence[float], frost: float, units: Units,
    *, rest: float | None = None,
) -> LineDetails:  # fmt: skip
    """A station's discharge line in detail; its formulas are recorded under the line.

    Parameters
    ----------
    station : LiftStation
        Worked out.
    line : PressureLine
        Its discharge line.
    basin : Basin
        Of the job, or as designed.
    grounds : sequence of float
        Ground levels at the line's stations. [m]
    frost : float
        Depth of frost. [m]
    units : Units
        Of the tape that sets the floats.
    rest : float, optional
        Water level at its end when neither pump nor rain runs; the tailwater while it runs where left out. [m]
    """
    rest = line.tailwater if rest is None else rest
    with place(f"runs.{line.name}", "discharge line"):
        relief = relief_leak(station, line, basin)
        surge = surge_of(station, line)
    flow = station.operating_flow if relief is None else relief.net_flow
    with quiet():
        level = (station.on + station.off) / 2.0
        loss = float(line.curve(level, station.floor).pipes[0].head_loss(max(flow, 0.0)))
    highs, lows = turnings(line.distances, line.inverts)
    opened = not line.check_valve or basin.relief_hole_place == "above the check valve"
    standing, trapped = (
        standing_water(line.distances, line.inverts, grounds, line.pipe, runs_back=back, tailwater=tail, frost=frost)
        for back, tail in ((opened, rest), (True, -math.inf))
    )
    return LineDetails(
        name=line.name,
        riser=line.riser(station.floor),
        fittings=counted(line),
        relief=relief,
        highs=highs,
        lows=lows,
        lows_volume=trapped.volume if lows else 0.0,
        standing=standing,
        drains=_drains(station, line),
        beyond=beyond_highest(line.distances, line.inverts, line.pipe, flow, loss, line.against),
        surge=surge,
        floats=float_marks(station, units),
    )


__all__ = [
    "SWING_DELAY", "CountedFitting", "DrainsBack", "LineDetails", "ReliefLeak", "Surge", "counted", "line_details",
    "relief_leak", "surge_of",
]  # fmt: skip
