"""The lift station: basin, pump, discharge pipe and float levels, given by the job or chosen by least cost."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from drainwright.hydraulics.buoyancy import WATER_UNIT_WEIGHT, ring_volume, uplift_force
from drainwright.hydraulics.pressure import pipe_velocity
from drainwright.hydraulics.pump import OperatingPoint, operating_point
from drainwright.hydraulics.wetwell import (
    active_volume,
    basin_volume,
    drawdown_time,
    most_starts_per_hour,
    starts_per_hour,
)
from drainwright.job.works import Basin, Criteria
from drainwright.system.catalogue import INCH, PRESSURE_PIPES, find_pipe, nominal_size
from drainwright.system.grading import EXCAVATION, pipe_cost
from drainwright.system.lifting import PressureLine
from drainwright.system.model import LiftStation, Pipe, PumpChoice
from drainwright.system.pumps import GENERIC_PUMPS, pump_of_job
from drainwright.water.model import Cause
from drainwright.worksheet import place, quiet

DIAMETERS = tuple(size * INCH for size in (18.0, 24.0, 30.0, 36.0))  # of common basins, inside [m]
DEPTHS = tuple(size * INCH for size in range(24, 78, 6))  # of common basins, rim to inside floor [m]
BASIN_COST: Mapping[float, float] = dict(zip(DIAMETERS, (260.0, 420.0, 640.0, 900.0), strict=True))  # proxy
BASIN_COST_DEPTH = 250.0  # proxy, of each metre of depth over the shortest [1/m]
WORKING_ROOM = 0.6  # wider than the basin is the hole for it [m]
BASIN_WALL = 0.0064  # thickness of a plastic basin's wall and floor, common practice [m]
RIM_ABOVE = 0.0508  # rim above the ground where the job does not say, 2 in [m]
ON_BELOW = 0.0762  # on level below the lowest inlet, 3 in, common practice [m]
ALARM_BELOW = 0.0254  # alarm below the lowest inlet, 1 in: never above the inlet [m]
LEAST_BAND = 0.1524  # on above off, at least, 6 in, dealers' rule [m]
CHECK_VALVE_UP = 0.6096  # riser below the check valve, 2 ft, common practice, no source [m]
SOIL_UNIT_WEIGHT = 18_000.0  # saturated, where the job gives none: assumed [N/m³]
CONCRETE_DENSITY = 2400.0  # [kg/m³]
GRAVITY = 9.80665  # [m/s²]
ROUNDS = 8  # at most, until levels and pump flow agree
AGREED = 1e-6  # of the flow [-]
SHORT_LIST = 6  # options of least cost that are worked out exactly, until one keeps everything
SHORTFALL_TOLERANCE = 1e-3  # weighted
#: Relative weight of what a station falls short in, when none keeps everything.
SHORTFALLS: Mapping[str, float] = {"flow": 1000.0, "depth": 300.0, "velocity": 100.0, "starts": 30.0}
UPLIFT_CONVENTION = (
    "weight of the empty basin, of a collar less its own displaced water, and of the buoyant soil straight over a"
    " flange, over the weight of the water that the empty basin displaces"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What the station is fitted into."""

    basin: Basin
    given: bool  # the job gives the basin; else it is designed
    at: tuple[float, float]
    ground: float  # [m]
    rim: float  # [m]
    lowest_inlet: float  # invert of the lowest pipe that comes in [m]
    flows: Mapping[Cause, float]  # design inflow [m³/s]
    criteria: Criteria
    water_table: float | None  # [m]
    soil_unit_weight: float | None  # [N/m³]
    line_pipe: Pipe | None  # of the discharge line, where the job chooses it
    line: Callable[[Pipe], PressureLine]

    @property
    def inflow(self) -> float:
        """All causes together [m³/s]."""
        return sum(self.flows.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """Floor and float levels."""

    diameter: float  # [m]
    depth: float  # [m]
    floor: float  # [m]
    off: float  # [m]
    on: float  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Option:
    pump: PumpChoice
    pump_cost: float
    line: PressureLine
    diameter: float


def starts_limit(pump: PumpChoice, criteria: Criteria) -> float:
    """Starts allowed: the stricter of the criteria and the pump's sheet [1/s]."""
    return min(pump.starts_limit, criteria.maximum_starts)


def needed_band(setting: Setting, pump: PumpChoice, diameter: float, flow: float) -> float:
    """On less off: as the float fixes it, as the job says, or for the starts limit and the shortest run [m]."""
    if setting.basin.on is not None and setting.basin.off is not None:
        return max(setting.basin.on - setting.basin.off, 1e-3)
    if pump.float_band is not None:
        return pump.float_band
    if flow <= 0.0:
        return LEAST_BAND
    with quiet():
        cycle = float(active_volume(1.0 / starts_limit(pump, setting.criteria), flow))
        volume = max(cycle, flow * setting.criteria.minimum_run)
        return max(volume / float(basin_volume(diameter, 1.0)), LEAST_BAND)


def levels_for(setting: Setting, pump: PumpChoice, diameter: float, flow: float) -> Levels:
    """Depth, floor and float levels of a basin of one diameter with one pump.

    The on level stays below the lowest inlet; a basin that the job makes too shallow for the band keeps the
    job's depth, and an adjustable float then gets what room there is.
    """
    basin = setting.basin
    off_height = max(pump.minimum_depth, 0.0) if basin.off is None else basin.off
    band = needed_band(setting, pump, diameter, flow)
    highest_on = setting.lowest_inlet - ON_BELOW
    if basin.depth is not None:
        depth = basin.depth
    else:
        needed = setting.rim - (highest_on - band - off_height)
        depth = next((size for size in DEPTHS if size >= needed - 1e-9), None) or (
            math.ceil((needed - 1e-9) / (6.0 * INCH)) * 6.0 * INCH
        )
    floor = setting.rim - depth
    off = floor + off_height
    if basin.on is not None:
        on = floor + basin.on
    elif pump.float_band is not None:
        on = off + band
    else:
        on = min(off + band, max(highest_on, off + 0.05))
    return Levels(diameter=diameter, depth=depth, floor=floor, off=off, on=max(on, off + 1e-3))


def _operate(pump: PumpChoice, line: PressureLine, level: float, floor: float) -> OperatingPoint:
    return operating_point(pump.curve, line.curve(level, floor))


def _options(setting: Setting) -> list[_Option]:
    basin = setting.basin
    pumps = (
        [(pump_of_job(basin.pump), 0.0)]
        if basin.pump is not None
        else [(pump.choice, pump.cost) for pump in GENERIC_PUMPS]
    )
    diameters = DIAMETERS if basin.diameter is None else (basin.diameter,)
    found = []
    for pump, cost in pumps:
        smallest = _size(pump.discharge_size)
        pipes = [pipe for pipe in PRESSURE_PIPES if nominal_size(pipe) >= smallest] or [PRESSURE_PIPES[-1]]
        for pipe, diameter in itertools.product(
            [setting.line_pipe] if setting.line_pipe is not None else pipes, diameters
        ):
            found.append(_Option(pump=pump, pump_cost=cost, line=setting.line(pipe), diameter=diameter))
    return found


def _size(text: str) -> float:
    """Nominal size of a pump's outlet in inches; a size that no pipe has counts as the smallest pipe."""
    try:
        return nominal_size(find_pipe(f"sch40 {text}"))
    except ValueError:
        return nominal_size(PRESSURE_PIPES[0])


def _judge(setting: Setting, option: _Option, levels: Levels, flow: float) -> tuple[float, float]:
    """Weighted shortfall, zero where everything is kept, and proxy cost."""
    criteria, pipe = setting.criteria, option.line.pipe
    wanted = criteria.pump_margin * setting.inflow
    speed = float(pipe_velocity(flow, pipe.inside))
    volume = float(basin_volume(levels.diameter, levels.on - levels.off))
    starts = float(most_starts_per_hour(volume, flow)) / 3600.0 if flow > 0.0 else 0.0
    limit = starts_limit(option.pump, criteria)
    low, high = criteria.minimum_velocity, criteria.maximum_velocity
    over = max(levels.depth - DEPTHS[-1], 0.0) if setting.basin.depth is None else 0.0
    short = {
        "flow": 1.0 if flow <= 0.0 else max(wanted - flow, 0.0) / max(wanted, 1e-12),
        "velocity": max(low - speed, speed - high, 0.0) / low,
        "starts": max(starts - limit, 0.0) / limit,
        "depth": over,
    }
    base = BASIN_COST.get(levels.diameter, 2000.0 * levels.diameter) + BASIN_COST_DEPTH * levels.depth
    hole = EXCAVATION * math.pi / 4.0 * (levels.diameter + WORKING_ROOM) ** 2 * levels.depth
    cost = base + hole + option.pump_cost + pipe_cost(pipe) * option.line.length
    return sum(SHORTFALLS[kind] * value for kind, value in short.items()), cost


def _settle(setting: Setting, option: _Option, flow_at: Callable[[Levels], float]) -> tuple[Levels, float]:
    """Levels and pump flow that agree: the band follows the flow, the flow the levels."""
    flow = setting.criteria.pump_margin * setting.inflow
    levels = levels_for(setting, option.pump, option.diameter, flow)
    for _ in range(ROUNDS):
        found = flow_at(levels)
        agree = abs(found - flow) < AGREED * max(found, flow)
        flow, levels = found, levels_for(setting, option.pump, option.diameter, found)
        if agree:
            break
    return levels, flow


def _exact(option: _Option) -> Callable[[Levels], float]:
    """The pump's flow at the middle of the float band."""
    return lambda levels: _operate(option.pump, option.line, (levels.on + levels.off) / 2.0, levels.floor).flow


def _quick(setting: Setting) -> Callable[[_Option], Callable[[Levels], float]]:
    """The pump's flow by a straight line between two levels, to rank the options; the winner is worked out exactly."""
    high = setting.lowest_inlet - ON_BELOW
    low = high - 1.0
    known: dict[tuple[object, str], tuple[float, float]] = {}

    def of(option: _Option) -> Callable[[Levels], float]:
        key = (option.pump.curve, option.line.pipe.key)
        if key not in known:
            known[key] = (
                _operate(option.pump, option.line, high, high - 0.6).flow,
                _operate(option.pump, option.line, low, low - 0.6).flow,
            )
        at_high, at_low = known[key]

        def flow(levels: Levels) -> float:
            share = high - (levels.on + levels.off) / 2.0
            return max(at_high + share * (at_low - at_high), 0.0)

        return flow

    return of


def choose(setting: Setting) -> tuple[_Option, Levels, float]:
    """The station of least cost that keeps flow, velocity and starts; else that which falls least short.

    Returns
    -------
    tuple
        Pump, pipe and diameter; levels; and the weighted shortfall, zero where everything is kept.
    """
    with quiet():
        flow_of = _quick(setting)
        judged = []
        for index, option in enumerate(_options(setting)):
            levels, flow = _settle(setting, option, flow_of(option))
            shortfall, cost = _judge(setting, option, levels, flow)
            judged.append((round(shortfall, 6), round(cost, 6), index, option))
        for _, _, _, option in sorted(judged, key=lambda item: item[:3])[:SHORT_LIST]:
            levels, flow = _settle(setting, option, _exact(option))
            shortfall, _ = _judge(setting, option, levels, flow)
            if shortfall <= SHORTFALL_TOLERANCE:
                return option, levels, 0.0
        option = min(judged, key=lambda item: item[:3])[3]
        levels, flow = _settle(setting, option, _exact(option))
        return option, levels, _judge(setting, option, levels, flow)[0]


def lift_station(setting: Setting) -> tuple[LiftStation, PressureLine, tuple[str, ...]]:
    """Design the lift station, or work out the one that the job gives.

    Parameters
    ----------
    setting : Setting
        Basin, inflow, lowest inlet, and the discharge line as a function of its pipe.

    Returns
    -------
    tuple
        The station, its discharge line with the pipe chosen, and notes in words.
    """
    option, levels, shortfall = choose(setting)
    basin, pump, line = setting.basin, option.pump, option.line
    with place(f"works.{basin.name}", "lift station"):
        point = _operate(pump, line, (levels.on + levels.off) / 2.0, levels.floor)
        speed = float(pipe_velocity(point.flow, line.pipe.inside))
        volume = float(basin_volume(levels.diameter, levels.on - levels.off))
        starts = starts_design = 0.0
        run_time = math.inf
        if point.flow > 0.0:
            starts = float(most_starts_per_hour(volume, point.flow)) / 3600.0
            starts_design = float(starts_per_hour(volume, point.flow, setting.inflow)) / 3600.0
            if setting.inflow < point.flow:
                run_time = float(drawdown_time(volume, point.flow, setting.inflow))
        room = max(setting.lowest_inlet - levels.on, 0.0)
        reserve = float(basin_volume(levels.diameter, room))
        water, uplift, resisting = _uplift(setting, levels)
    alarm = levels.floor + basin.alarm if basin.alarm is not None else _alarm(levels.on, setting.lowest_inlet)
    station = LiftStation(
        name=basin.name,
        at=setting.at,
        inside_diameter=levels.diameter,
        depth=levels.depth,
        rim=setting.rim,
        ground=setting.ground,
        floor=levels.floor,
        lowest_inlet=setting.lowest_inlet,
        off=levels.off,
        on=levels.on,
        alarm=alarm,
        second_on=(levels.on + alarm) / 2.0 if basin.second_pump else None,
        pump=pump,
        static_head=line.highest - levels.off,
        operating_flow=point.flow,
        operating_head=point.head,
        reaches=point.reaches,
        velocity=speed,
        discharge_run=line.name,
        fittings_k=sum(part.loss_coefficient for part in line.curve(levels.off, levels.floor).pipes),
        band_volume=volume,
        starts=starts,
        starts_design=starts_design,
        run_time=run_time,
        inflow=setting.inflow,
        inflow_ground=setting.flows.get(Cause.GROUND, 0.0),
        drain_back=drain_back(basin, line, levels.floor),
        reserve=reserve,
        uplift=uplift,
        resisting=resisting,
        uplift_convention=UPLIFT_CONVENTION,
        water_table=water,
        chosen_by="job" if setting.given and basin.diameter is not None and basin.depth is not None else "design",
    )
    return station, line, _notes(setting, option, levels, shortfall, point)


def _alarm(on: float, lowest_inlet: float) -> float:
    """Alarm level: an inch below the lowest inlet, or midway where the on level stands too close."""
    wanted = lowest_inlet - ALARM_BELOW
    return wanted if wanted > on else (on + max(lowest_inlet, on)) / 2.0


def drain_back(basin: Basin, line: PressureLine, floor: float) -> float:
    """Water that runs back into the basin when the pump stops [m³].

    With a check valve only the riser below it, through the relief hole; without one, or with the relief hole above
    it, the line as far as its highest place. A relief hole outside the basin wets the ground instead.
    """
    area = math.pi / 4.0 * line.pipe.inside**2
    whole = area * (line.riser(floor) + line.to_highest)
    if not basin.check_valve:
        return whole
    if basin.relief_hole is None or basin.relief_hole_place == "outside the basin":
        return 0.0
    if basin.relief_hole_place == "above the check valve":
        return whole
    return area * min(CHECK_VALVE_UP, line.riser(floor))


def _uplift(setting: Setting, levels: Levels) -> tuple[float, float, float]:
    """Water level taken, uplift and what resists it: see ``UPLIFT_CONVENTION``."""
    basin = setting.basin
    water = setting.ground if setting.water_table is None else min(setting.water_table, setting.ground)
    outside = levels.diameter + 2.0 * BASIN_WALL
    bottom = levels.floor - BASIN_WALL
    height = max(min(water, setting.rim) - bottom, 0.0)
    uplift = float(uplift_force(float(basin_volume(outside, height)))) if height > 0.0 else 0.0
    collar = basin.concrete_collar
    if bottom < water:
        collar *= 1.0 - WATER_UNIT_WEIGHT / GRAVITY / CONCRETE_DENSITY
    soil = 0.0
    if basin.flange_width > 0.0:
        unit = SOIL_UNIT_WEIGHT if setting.soil_unit_weight is None else setting.soil_unit_weight
        flange = outside + 2.0 * basin.flange_width
        below = float(ring_volume(outside, flange, max(min(water, setting.ground) - levels.floor, 0.0)))
        over = float(ring_volume(outside, flange, max(setting.ground - levels.floor, 0.0))) - below
        soil = below * (unit - WATER_UNIT_WEIGHT) + over * unit
    return water, uplift, (basin.empty_weight + collar) * GRAVITY + soil


def _notes(
    setting: Setting, option: _Option, levels: Levels, shortfall: float, point: OperatingPoint
) -> tuple[str, ...]:
    name, basin = setting.basin.name, setting.basin
    notes = []
    if basin.pump is None:
        notes.append(
            f"{name}: the pump is a generic one of our own making ({option.pump.name}), not a product. Buy one"
            " whose data sheet gives at least its flow at its head."
        )
    elif basin.pump.curve[0].flow > 0.0 and min(p.flow for p in basin.pump.curve) > 0.0:
        notes.append(f"{name}: the pump's sheet gives no shutoff head; its highest head is taken for it.")
    if point.beyond_curve:
        notes.append(f"{name}: the pump runs beyond the last point of its sheet; its flow there is a lower bound.")
    if setting.water_table is None:
        notes.append(f"{name}: no water table is known; uplift is reckoned with water up to the ground (assumed).")
    if shortfall > 0.0 and not (basin.pump is not None and basin.diameter is not None and basin.depth is not None):
        notes.append(
            f"{name}: no basin, pump and pipe of the catalogue keep flow, velocity, starts and depth together; the one"
            " that falls least short is taken."
        )
    if basin.flange_width > 0.0 and setting.soil_unit_weight is None:
        notes.append(f"{name}: the soil over the flange is taken to weigh 18 kN/m³ saturated (assumed).")
    return tuple(notes)


def lowest_arrival(levels: Sequence[float], rim: float) -> float:
    """Invert of the lowest pipe that comes into the basin; a foot below the rim where none does [m]."""
    return min(levels, default=rim - 0.3048)


__all__ = [
    "DEPTHS", "DIAMETERS", "ON_BELOW", "RIM_ABOVE", "Levels", "Setting", "choose", "drain_back", "levels_for",
    "lift_station", "lowest_arrival", "needed_band", "starts_limit",
]  # fmt: skip
