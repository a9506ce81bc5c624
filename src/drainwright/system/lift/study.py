"""All that is worked out of a lift station's pumps once basin, pump and pipe are chosen."""

from __future__ import annotations

from drainwright.job.works import Basin
from drainwright.system.lift.battery import battery_unit, offered_unit
from drainwright.system.lift.choice import Chosen, Setting
from drainwright.system.lift.downspouts import storms_carried
from drainwright.system.lift.duty import at_level, worn
from drainwright.system.lift.pair import pump_pair
from drainwright.system.lift.pump_model import PumpStudy, Water
from drainwright.system.lift.pumps import pump_of_job
from drainwright.system.lift.season import high_end, wet_season
from drainwright.system.model import PumpChoice
from drainwright.worksheet import quiet


def second_pump(basin: Basin, first: PumpChoice) -> PumpChoice | None:
    """The second pump: the job's own, or another like the first; None where there is one pump."""
    if basin.second is not None:
        return pump_of_job(basin.second)
    return first if basin.second_pump else None


def pump_study(setting: Setting, chosen: Chosen, flow: float, volume: float, reserve: float) -> PumpStudy:
    """The pump worn, beside a second one, on a battery, in the wet season, and against the downspouts.

    Parameters
    ----------
    setting : Setting
        What the station is fitted into.
    chosen : Chosen
        Basin, pump, pipe and levels.
    flow : float
        Of the first pump at the middle of its float band. [m³/s]
    volume : float
        Between on and off. [m³]
    reserve : float
        From on to the lowest pipe. [m³]

    Returns
    -------
    PumpStudy
        Everything at the middle of the float band.
    """
    levels, line, pump = chosen.levels, chosen.option.line, chosen.option.pump
    middle, criteria = (levels.on + levels.off) / 2.0, setting.criteria
    with quiet():  # each point of the curve
        old = worn(pump.curve, criteria.pump_wear)
    worn_flow = at_level(old, line, middle, levels.floor).flow
    ground = setting.inflow_ground
    inflows: dict[Water, float] = {
        "between rains": ground, "wet season": high_end(ground, setting.ground_range), "design rain": setting.inflow
    }  # fmt: skip
    second = second_pump(setting.basin, pump)
    battery = setting.basin.battery
    return PumpStudy(
        wear=criteria.pump_wear,
        worn_flow=worn_flow,
        worn_shutoff=old.shutoff,
        pair=None if second is None else pump_pair(pump, second, line, middle, levels.floor, volume, setting.inflow),
        unit=None if battery is None else battery_unit(battery, pump, line, middle, levels.floor, inflows),
        offered=offered_unit(line, middle, levels.floor, inflows) if battery is None else None,
        season=wet_season(pump, flow, volume, inflows["wet season"], likely=ground),
        storms=storms_carried(setting.storms, ground + setting.burst, flow, worn_flow, criteria.pump_margin, reserve),
    )


__all__ = ["pump_study", "second_pump"]
