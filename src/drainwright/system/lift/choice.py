"""Which basin, pump and discharge pipe: given by the job, or of least cost among those that keep the criteria."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace

from drainwright.field.words import Units
from drainwright.hydraulics.pressure import pipe_velocity
from drainwright.hydraulics.pump import OperatingPoint, operating_point
from drainwright.hydraulics.pump_service import worn_head
from drainwright.hydraulics.wetwell import basin_volume, most_starts_per_hour
from drainwright.job.works import Basin, Criteria, Pump
from drainwright.kept import kept
from drainwright.system.catalogue import INCH, PRESSURE_PIPES, nominal_size
from drainwright.system.firm_pipes import Shelf
from drainwright.system.fittings import inches
from drainwright.system.grading.solve import EXCAVATION, pipe_cost
from drainwright.system.lift.pressure_line import PressureLine, behind
from drainwright.system.lift.pump_model import StormInflow
from drainwright.system.lift.pumps import GENERIC_PUMPS, pump_cost, pump_of_job
from drainwright.system.model import Pipe, PumpChoice
from drainwright.water.model import Band, Cause
from drainwright.worksheet import quiet

DIAMETERS = tuple(size * INCH for size in (18.0, 24.0, 30.0, 36.0))  # of common basins, inside [m]
DEPTHS = tuple(size * INCH for size in range(24, 78, 6))  # of common basins, rim to inside floor [m]
BASIN_COST: Mapping[float, float] = dict(zip(DIAMETERS, (260.0, 420.0, 640.0, 900.0), strict=True))  # proxy
BASIN_COST_DEPTH = 250.0  # proxy, of each metre of depth over the shortest [1/m]
PROTECTION_DEPTH = 1.524  # a deeper hole needs a protective system: 29 CFR 1926.652, 5 ft [m]
PROTECTION_COST = 600.0  # proxy of that system
WORKING_ROOM = 0.6  # wider than the basin is the hole for it [m]
ON_BELOW = 0.0762  # on level below the lowest inlet, 3 in at least, common practice [m]
ALARM_BELOW = 0.0254  # alarm below the lowest inlet, 1 in: never above the inlet [m]
#: Least height between two switches that start something, by their kind; a tethered one swings (common practice, no
#: source; the switch's sheet comes first). [m]
FLOAT_ROOM = {"integral": 2.0 * INCH, "adjustable": 2.0 * INCH, "wide angle": 4.0 * INCH}
LEAST_BAND = 0.1524  # on above off, at least, 6 in, dealers' rule [m]
SELDOM = 1.0 / 86400.0  # starts that any pump may make [1/s]
ROUNDS = 8  # at most, until levels and pump flow agree
AGREED = 1e-6  # of the flow [-]
SHORT_LIST = 6  # options of least cost that are worked out exactly, until one keeps everything
SHORTFALL_TOLERANCE = 1e-3  # weighted
#: Relative weight of what a station falls short in, when none keeps everything.
SHORTFALLS: Mapping[str, float] = {"flow": 1000.0, "worn": 200.0, "velocity": 100.0, "starts": 100.0, "depth": 20.0}


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
    units: Units  # that notes are written in
    line_pipe: Pipe | None  # of the discharge line, where the job chooses it
    line: Callable[[Pipe], PressureLine]
    shelf: Shelf  # of pipes to choose from
    steady_ground: float | None = None  # where other pumps lift into it: their ground water as it comes [m³/s]
    burst: float = 0.0  # what other pumps lift into it while they run, over what comes to them [m³/s]
    pumps: tuple[Pump, ...] = ()  # the firm's own, chosen from before generic ones
    ground_range: Band | None = None  # of all ground water of the works; None: not reckoned [m³/s]
    storms: tuple[StormInflow, ...] = ()  # what the rain of each return period brings

    @property
    def inflow(self) -> float:
        """All causes together [m³/s]."""
        return sum(self.flows.values())

    @property
    def inflow_ground(self) -> float:
        """Ground water as it comes day and night, not in the bursts in which another pump lifts it here [m³/s]."""
        return self.flows.get(Cause.GROUND, 0.0) if self.steady_ground is None else self.steady_ground


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """Floor and float levels."""

    diameter: float  # [m]
    depth: float  # [m]
    floor: float  # [m]
    off: float  # [m]
    on: float  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A pump, with its line and a basin's diameter."""

    pump: PumpChoice
    pump_cost: float
    line: PressureLine
    diameter: float
    firms: bool = False  # the firm's own pump


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The option taken, with what it gives."""

    option: Option
    levels: Levels
    flow: float  # of the pump at the middle of its float band [m³/s]
    short: Mapping[str, float]  # by how much each limit of ``SHORTFALLS`` is missed, weighted; without those kept [-]
    judged: tuple[Judged, ...] = ()  # all options as ranked

    @property
    def shortfall(self) -> float:
        """All together; zero where everything is kept [-]."""
        return sum(self.short.values())


def starts_limit(pump: PumpChoice, criteria: Criteria) -> float:
    """Starts allowed: the stricter of the criteria and the pump's sheet, one a day at least [1/s]."""
    return max(min(pump.starts_limit, criteria.maximum_starts), SELDOM)


def needed_band(setting: Setting, pump: PumpChoice, diameter: float, flow: float) -> float:
    """On less off: as the float fixes it, as the job says, or for the starts limit and the shortest run [m]."""
    if setting.basin.on is not None and setting.basin.off is not None:
        return max(setting.basin.on - setting.basin.off, 1e-3)
    if pump.float_band is not None:
        return pump.float_band
    if flow <= 0.0:
        return LEAST_BAND
    cycle = flow / (4.0 * starts_limit(pump, setting.criteria))  # ``active_volume``, for hundreds of options
    return max(max(cycle, flow * setting.criteria.minimum_run) / (math.pi / 4.0 * diameter**2), LEAST_BAND)


def below_inlet(basin: Basin, pump: PumpChoice) -> float:
    """Start level below the lowest inlet, so that a second pump's float and the alarm's have room above it [m]."""
    switches = 1 if basin.second is None and not basin.second_pump else 2
    return max(ON_BELOW, ALARM_BELOW + switches * FLOAT_ROOM[pump.float_kind])


def levels_for(setting: Setting, pump: PumpChoice, diameter: float, flow: float) -> Levels:
    """Depth, floor and float levels of a basin of one diameter with one pump.

    The on level stays so far below the lowest inlet that the floats above it have room. A basin that the job makes too
    shallow for that keeps the job's depth: the room above the on level goes first, then, of an adjustable float, the
    band.
    """
    basin = setting.basin
    off_height = max(pump.minimum_depth, 0.0) if basin.off is None else basin.off
    band = needed_band(setting, pump, diameter, flow)
    highest_on = setting.lowest_inlet - ON_BELOW
    if basin.depth is not None:
        depth = basin.depth
    else:
        on_height = off_height + band if basin.on is None else basin.on
        needed = setting.rim - setting.lowest_inlet + below_inlet(basin, pump) + on_height
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


def operate(pump: PumpChoice, line: PressureLine, level: float, floor: float) -> OperatingPoint:
    """The pump on its line with the water in the basin at a level."""
    return operating_point(pump.curve, line.curve(level, floor))


def _options(setting: Setting) -> list[Option]:
    basin = setting.basin
    if basin.pump is not None:
        pumps = [(pump_of_job(basin.pump), 0.0, False)]
    else:
        own = [
            (replace(pump_of_job(pump), chosen_by="firm"), pump_cost(pump), True)
            for pump in setting.pumps
            if not pump.direct_current
        ]
        pumps = own + [(pump.choice, pump.cost, False) for pump in GENERIC_PUMPS]
    diameters = DIAMETERS if basin.diameter is None else (basin.diameter,)
    found = []
    for pump, cost, firms in pumps:
        smallest = port_size(pump.discharge_size)
        pipes = setting.shelf.pressure(smallest)
        for pipe, diameter in itertools.product(
            [setting.line_pipe] if setting.line_pipe is not None else pipes, diameters
        ):
            line = behind(setting.line(pipe), pump.discharge_size)
            found.append(Option(pump=pump, pump_cost=cost, line=line, diameter=diameter, firms=firms))
    return found


def port_size(text: str) -> float:
    """Nominal size of a pump's outlet in inches; one below the smallest pipe counts as that."""
    return max(inches(text), nominal_size(PRESSURE_PIPES[0]))


def _judge(setting: Setting, option: Option, levels: Levels, flow: float) -> tuple[Mapping[str, float], float]:
    """Weighted shortfalls by kind, zero where a limit is kept, and proxy cost."""
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
        "worn": _worn_short(setting, option, levels),
        "velocity": max(low - speed, speed - high, 0.0) / max(low, 0.1),
        "starts": max(starts - limit, 0.0) / limit,
        "depth": over,
    }
    base = BASIN_COST.get(levels.diameter, 2000.0 * levels.diameter) + BASIN_COST_DEPTH * levels.depth
    hole = EXCAVATION * math.pi / 4.0 * (levels.diameter + WORKING_ROOM) ** 2 * levels.depth
    if setting.ground - levels.floor > PROTECTION_DEPTH:
        hole += PROTECTION_COST
    cost = base + hole + option.pump_cost + pipe_cost(pipe) * option.line.length
    return {kind: SHORTFALLS[kind] * value for kind, value in short.items()}, cost


def _worn_short(setting: Setting, option: Option, levels: Levels) -> float:
    """Share of the head asked for at the inflow that the worn pump lacks: none where it meets the inflow [-]."""
    curve, inflow = option.pump.curve, setting.inflow
    asked = float(option.line.curve((levels.on + levels.off) / 2.0, levels.floor).head(inflow))
    new = float(curve.head(inflow)) if inflow <= curve.runout else 0.0
    return max(asked - float(worn_head(new, setting.criteria.pump_wear)), 0.0) / max(asked, 0.1)


def _settle(setting: Setting, option: Option, flow_at: Callable[[Levels], float]) -> tuple[Levels, float]:
    """Levels and pump flow that agree: the band follows the flow, the flow the levels.

    Where they chase each other over a step of the basin's depth, the band is that of the larger flow, and enough.
    """
    flow = setting.criteria.pump_margin * setting.inflow
    levels = levels_for(setting, option.pump, option.diameter, flow)
    for _ in range(ROUNDS):
        found = flow_at(levels)
        if abs(found - flow) < AGREED * max(found, flow):
            return levels_for(setting, option.pump, option.diameter, found), found
        last, flow = flow, found
        levels = levels_for(setting, option.pump, option.diameter, found)
    levels = levels_for(setting, option.pump, option.diameter, max(last, flow))
    return levels, flow_at(levels)


def _exact(option: Option) -> Callable[[Levels], float]:
    """The pump's flow at the middle of the float band."""
    return lambda levels: operate(option.pump, option.line, (levels.on + levels.off) / 2.0, levels.floor).flow


def _quick(setting: Setting) -> Callable[[Option], Callable[[Levels], float]]:
    """The pump's flow by a straight line between two levels, to rank the options; the winner is worked out exactly."""
    high = setting.lowest_inlet - ON_BELOW
    low = high - 1.0
    known: dict[tuple[object, str, float], tuple[float, float]] = {}

    def of(option: Option) -> Callable[[Levels], float]:
        key = (option.pump.curve, option.line.pipe.key, option.line.port)
        if key not in known:
            known[key] = (
                operate(option.pump, option.line, high, high - 0.6).flow,
                operate(option.pump, option.line, low, low - 0.6).flow,
            )
        at_high, at_low = known[key]

        def flow(levels: Levels) -> float:
            share = high - (levels.on + levels.off) / 2.0
            return max(at_high + share * (at_low - at_high), 0.0)

        return flow

    return of


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """An option as ranked: by flows read off straight lines."""

    option: Option
    short: float  # all together, weighted [-]
    cost: float  # [proxy]


def judge_options(setting: Setting) -> tuple[Judged, ...]:
    """All options, those that fall least short first, then the cheapest."""
    with quiet():
        flow_of = _quick(setting)
        judged = []
        for option in _options(setting):
            levels, flow = _settle(setting, option, flow_of(option))
            short, cost = _judge(setting, option, levels, flow)
            judged.append(Judged(option=option, short=round(sum(short.values()), 6), cost=round(cost, 6)))
        return tuple(sorted(judged, key=lambda item: (item.short, item.cost)))


def exactly(setting: Setting, option: Option) -> Chosen:
    """An option worked out exactly, with what it falls short in."""
    with quiet():
        levels, flow = _settle(setting, option, _exact(option))
        short, _ = _judge(setting, option, levels, flow)
    short = {kind: value for kind, value in short.items() if value > SHORTFALL_TOLERANCE}
    return Chosen(option=option, levels=levels, flow=flow, short=short)


def choose(setting: Setting) -> Chosen:
    """The station of least cost that keeps every limit, the firm's pumps first; else that which falls least short.

    Where none does and depth is all that is missed, a pump of the firm's goes before a generic one that wants a basin
    one step less deep.

    Parameters
    ----------
    setting : Setting
        What the station is fitted into.

    Returns
    -------
    Chosen
        Basin, pump, pipe and levels.
    """
    lines = {id(option.line): option.line for option in _options(setting)}  # all that is asked of ``setting.line``
    told = [getattr(setting, one.name) for one in fields(setting) if one.name != "line"]
    return kept("station", (told, list(lines.values())), lambda: _chosen(setting))


def _chosen(setting: Setting) -> Chosen:
    judged = judge_options(setting)
    nearest = []
    for firms in (True, False):
        group = [item.option for item in judged if item.option.firms is firms]
        for index, option in enumerate(group[:SHORT_LIST]):
            found = exactly(setting, option)
            if not found.short:
                return replace(found, judged=judged)
            if index == 0:
                nearest.append(found)
    best = min(nearest, key=lambda found: round(found.shortfall, 6))
    own = next((found for found in nearest if found.option.firms), best)
    if _only_deeper(own, best):
        best = own
    return replace(best, judged=judged)


def _only_deeper(own: Chosen, best: Chosen) -> bool:
    """Whether both want a basin made to order and nothing else, the firm's pump one step of depth more at most."""
    alone = set(own.short) == set(best.short) == {"depth"}
    return alone and own.levels.depth <= best.levels.depth + DEPTHS[1] - DEPTHS[0] + 1e-9


__all__ = [
    "DEPTHS", "DIAMETERS", "ON_BELOW", "Chosen", "Judged", "Levels", "Option", "Setting", "choose", "exactly",
    "judge_options", "levels_for", "needed_band", "operate",
    "port_size", "starts_limit",
]  # fmt: skip
