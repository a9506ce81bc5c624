"""A day of the wet season: what ground water alone asks of the pump."""

from __future__ import annotations

import math

from drainwright.hydraulics.pump_service import input_power
from drainwright.hydraulics.wetwell import starts_per_hour
from drainwright.system.lift.pump_model import WetSeason
from drainwright.system.model import PumpChoice

DAY = 86400.0  # [s]
MOTOR_EFFICIENCY = 0.6  # of a small submersible motor, assumed: common practice, no source [-]
WET_DAYS = 120.0  # of a wet season in a year, assumed [days]
SWITCH_CYCLES = 100_000  # the usual highest class of endurance of a switch: IEC 61058-1, from memory [-]


def wet_season(pump: PumpChoice, flow: float, volume: float, inflow: float) -> WetSeason:
    """What a pump does in a day without rain while the ground water stands at its seasonal high.

    Parameters
    ----------
    pump : PumpChoice
        For the power that it draws.
    flow : float
        Of the pump at the middle of its float band; 0 where it does not reach. [m³/s]
    volume : float
        Between on and off. [m³]
    inflow : float
        Ground water. [m³/s]

    Returns
    -------
    WetSeason
        Run time, starts and energy. Rain comes on top of it, for hours only.

    Notes
    -----
    The mean power is taken as drawn by a running pump, whatever its head; a sheet that gives no power is replaced by
    the label over an assumed efficiency, and ``power_assumed`` says so.
    """
    share = 0.0 if inflow <= 0.0 else min(inflow / flow, 1.0) if flow > 0.0 else 1.0
    starts = 24.0 * float(starts_per_hour(volume, flow, inflow)) if flow > 0.0 and volume > 0.0 else 0.0
    power, assumed = pump.input_power, False
    if power is None and pump.label_power is not None:
        power, assumed = float(input_power(pump.label_power, MOTOR_EFFICIENCY)), True
    return WetSeason(
        inflow=inflow,
        share=share,
        run_time=share * DAY,
        starts=starts,
        power=power,
        power_assumed=assumed,
        energy=None if power is None else power * share * DAY * WET_DAYS,
        days=WET_DAYS,
        cycles_years=SWITCH_CYCLES / (starts * WET_DAYS) if starts > 0.0 else math.inf,
    )


__all__ = ["DAY", "MOTOR_EFFICIENCY", "SWITCH_CYCLES", "WET_DAYS", "wet_season"]
