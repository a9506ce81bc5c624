"""The lift station: levels, operating point, starts, drain-back, reserve and uplift."""

from __future__ import annotations

import math
from collections.abc import Sequence

from drainwright.hydraulics.arrays import GRAVITY
from drainwright.hydraulics.pressure import pipe_velocity
from drainwright.hydraulics.pump import OperatingPoint
from drainwright.hydraulics.wetwell import basin_volume, drawdown_time, most_starts_per_hour, starts_per_hour
from drainwright.job.works import Basin
from drainwright.quantities import write
from drainwright.system.lift.choice import ALARM_BELOW, DEPTHS, Chosen, Setting, judge_options, operate
from drainwright.system.lift.duty import duty_points
from drainwright.system.lift.pressure_line import PressureLine
from drainwright.system.lift.pump_model import DutyPoint, LevelName
from drainwright.system.lift.pumps import sheet_notes
from drainwright.system.lift.ranking import line_for_pump, ranking
from drainwright.system.lift.shortfalls import missed_limit, passed_over
from drainwright.system.lift.study import pump_study
from drainwright.system.lift.uplift import SOIL_UNIT_WEIGHT, UPLIFT_CONVENTION, Uplift, uplift
from drainwright.system.model import LiftStation
from drainwright.system.trade import pump_words
from drainwright.worksheet import place, quiet

RIM_ABOVE = 0.0508  # rim above the ground where the job does not say, 2 in [m]
CHECK_VALVE_UP = 0.6096  # riser below the check valve, 2 ft, common practice, no source [m]


def lift_station(setting: Setting, chosen: Chosen) -> tuple[LiftStation, PressureLine, tuple[str, ...]]:
    """The lift station worked out: its formulas go on the worksheet.

    Parameters
    ----------
    setting : Setting
        Basin, inflow, lowest inlet, and the discharge line as a function of its pipe.
    chosen : Chosen
        Basin, pump, pipe and levels, by ``choose``.

    Returns
    -------
    tuple
        The station, its discharge line with the pipe chosen, and notes in words.
    """
    option, levels = chosen.option, chosen.levels
    basin, pump, line = setting.basin, option.pump, option.line
    with place(f"works.{basin.name}", "lift station"):
        point = operate(pump, line, (levels.on + levels.off) / 2.0, levels.floor)
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
        held = uplift(setting, levels)
        study = pump_study(setting, chosen, point.flow, volume, reserve)
    judged = chosen.judged or judge_options(setting)
    ranked = ranking(setting, chosen, judged)
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
        second_on=(levels.on + alarm) / 2.0 if study.pair is not None else None,
        pump=pump,
        static_head=line.highest - levels.off,
        operating_flow=point.flow,
        operating_head=point.head,
        reaches=point.reaches,
        velocity=speed,
        discharge_run=line.name,
        fittings_k=sum(part.loss_coefficient for part in line.curve(levels.off, levels.floor).pipes),
        riser_k=line.riser_loss,
        band_volume=volume,
        starts=starts,
        starts_design=starts_design,
        run_time=run_time,
        inflow=setting.inflow,
        inflow_ground=setting.inflow_ground,
        drain_back=drain_back(basin, line, levels.floor),
        reserve=reserve,
        collar=held.collar.mass,
        collar_width=held.collar.width,
        collar_height=held.collar.height,
        uplift=held.lift,
        resisting=held.resisting,
        uplift_convention=UPLIFT_CONVENTION,
        water_table=held.water,
        chosen_by="job" if setting.given and basin.diameter is not None and basin.depth is not None else "design",
        points=_points(setting, chosen, alarm),
        ranking=ranked,
        study=study,
    )
    more = (passed_over(setting, chosen, judged), line_for_pump(setting, chosen, judged))
    return station, line, (*_notes(setting, chosen, point, held), *(said for said in more if said is not None))


def _points(setting: Setting, chosen: Chosen, alarm: float) -> tuple[DutyPoint, ...]:
    """Where the pump runs as the water rises."""
    levels = chosen.levels
    places: tuple[tuple[LevelName, float], ...] = (
        ("off", levels.off), ("middle", (levels.off + levels.on) / 2.0), ("on", levels.on), ("alarm", alarm),
        ("rim", setting.rim),
    )  # fmt: skip
    with quiet():
        return duty_points(
            chosen.option.pump.curve, chosen.option.line, places, levels.floor, setting.criteria.pump_wear
        )


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


def _fallen_short(setting: Setting, chosen: Chosen) -> str | None:
    """A note on the limits that no choice from the catalogue keeps; none where the job chose pump and basin itself."""
    basin = setting.basin
    if not chosen.short or (basin.pump is not None and basin.diameter is not None):
        return None
    choices = {"basin": basin.diameter, "pump": basin.pump, "discharge pipe": setting.line_pipe}
    *others, last = (word for word, given in choices.items() if given is None)
    left = f"{', '.join(others)} and {last}" if others else last
    told = " and ".join(missed_limit(kind, setting, chosen) for kind in chosen.short)
    return f"{basin.name}: no choice of {left} from the catalogue keeps every limit: with the one taken {told}."


def _notes(setting: Setting, chosen: Chosen, point: OperatingPoint, held: Uplift) -> tuple[str, ...]:
    name, basin, option, levels = setting.basin.name, setting.basin, chosen.option, chosen.levels
    notes = []
    own = next((item for item in setting.pumps if option.firms and item.name == option.pump.name), basin.pump)
    if own is None:
        pump = pump_words(option.pump, setting.units)
        notes.append(
            f"{name}: the pump is a generic one of our own making ({pump}), not a product. Buy one"
            " whose data sheet gives at least its flow at its head."
        )
    else:
        notes += [f"{name}: {said}" for said in sheet_notes(own)]
    if point.beyond_curve:
        notes.append(f"{name}: the pump runs beyond the last point of its sheet; its flow there is a lower bound.")
    if setting.water_table is None:
        notes.append(f"{name}: no water table is known; uplift is reckoned with water up to the ground (assumed).")
    if short := _fallen_short(setting, chosen):
        notes.append(short)
    if basin.on is not None and basin.on <= levels.off - levels.floor:
        notes.append(f"{name}: the job's on level is not above the off level; it is taken a hair above it.")
    if basin.depth is None and levels.depth > DEPTHS[-1]:
        notes.append(f"{name}: deeper than common basins; it needs an extension ring or a basin made to order.")
    if held.collar.width > 0.0:
        notes.append(
            f"{name}: a concrete collar round its foot holds the empty basin down in high water; it is cast before"
            " the hole is filled, and the basin is not pumped dry until it has set and the fill is over it."
        )
    if held.short:
        notes.append(
            f"{name}: no concrete collar that fits below the lowest inlet holds the empty basin down as wanted; the"
            " one that holds most is taken."
        )
    if held.collar.width > 0.0 or basin.flange_width > 0.0:
        usual = "18 kN/m³" if setting.units == "SI" else write(SOIL_UNIT_WEIGHT / GRAVITY, "density", "US")
        weight = f"{usual} saturated (assumed)" if setting.soil_unit_weight is None else "what the job says"
        notes.append(
            f"{name}: the soil over collar or flange is taken to weigh {weight}; the stone backfill there counts as"
            " soil."
        )
    return tuple(notes)


def lowest_arrival(levels: Sequence[float], rim: float) -> float:
    """Invert of the lowest pipe that comes into the basin; a foot below the rim where none does [m]."""
    return min(levels, default=rim - 0.3048)


__all__ = ["RIM_ABOVE", "drain_back", "lift_station", "lowest_arrival"]
