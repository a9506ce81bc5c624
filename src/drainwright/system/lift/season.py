"""A day of the wet season: what ground water alone asks of the pump."""

from __future__ import annotations

import math

from drainwright.hydraulics.pump_service import input_power, season_inflow
from drainwright.hydraulics.wetwell import starts_per_hour
from drainwright.system.lift.pump_model import WetSeason
from drainwright.system.model import LiftStation, PumpChoice
from drainwright.water.model import Band

DAY = 86400.0  # [s]
MOTOR_EFFICIENCY = 0.6  # of a small submersible motor, assumed: common practice, no source [-]
WET_DAYS = 120.0  # of a wet season in a year, assumed [days]
SWITCH_CYCLES = 100_000  # the usual highest class of endurance of a switch: IEC 61058-1, from memory [-]
PUMP_YEARS = (7, 10)  # after which a pump is replaced, common practice, no source [years]


def high_end(likely: float, band: Band | None) -> float:
    """Ground water of the wet season at the high end of its range; the likely flow where no range is known [m³/s]."""
    if band is None or band.middle <= 0.0 or likely <= 0.0:
        return likely
    return float(season_inflow(likely, band.middle, band.high))


def drawn_power(pump: PumpChoice) -> tuple[float | None, bool]:
    """What a running pump draws [W], and whether that is assumed: by its sheet, else its label over an efficiency."""
    if pump.input_power is not None or pump.label_power is None:
        return pump.input_power, False
    return float(input_power(pump.label_power, MOTOR_EFFICIENCY)), True


def switch_cycles(pump: PumpChoice) -> int:
    """Starts that a pump's switch lasts: by its sheet, else ``SWITCH_CYCLES``."""
    return SWITCH_CYCLES if pump.switch_starts is None else pump.switch_starts


def pumps_of(station: LiftStation) -> tuple[PumpChoice, PumpChoice]:
    """A station's first pump and its second; where it has no second, or one that nobody chose, the first again."""
    pair = None if station.study is None else station.study.pair
    return station.pump, station.pump if pair is None else pair.second


def energy_of(station: LiftStation, seconds: float, second_seconds: float) -> float | None:
    """What a station's pumps draw. [J]

    Parameters
    ----------
    station : LiftStation
    seconds, second_seconds : float
        Run time of both pumps added, and of the second alone. [s]

    Returns
    -------
    float or None
        Each pump's own power times its run time. None: a pump that ran has no power on its sheet.

    Notes
    -----
    The mean power is taken as drawn by a running pump, whatever its head.
    """
    drawn = 0.0
    for pump, ran in zip(pumps_of(station), (seconds - second_seconds, second_seconds), strict=True):
        power, _ = drawn_power(pump)
        if power is None and ran > 0.0:
            return None
        drawn += (power or 0.0) * ran
    return drawn


def wet_season(pump: PumpChoice, flow: float, volume: float, inflow: float, *, likely: float) -> WetSeason:
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
        Ground water, at the high end of its range. [m³/s]
    likely : float
        Ground water as designed for, at the same water table. [m³/s]

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
    works = flow > 0.0 and volume > 0.0
    starts, likely_starts = (
        24.0 * float(starts_per_hour(volume, flow, water)) if works else 0.0 for water in (inflow, likely)
    )
    power, assumed = drawn_power(pump)
    return WetSeason(
        inflow=inflow,
        likely=likely,
        share=share,
        run_time=share * DAY,
        starts=starts,
        power=power,
        power_assumed=assumed,
        energy=None if power is None else power * share * DAY * WET_DAYS,
        days=WET_DAYS,
        cycles=switch_cycles(pump),
        cycles_years=switch_cycles(pump) / (starts * WET_DAYS) if starts > 0.0 else math.inf,
        likely_starts=likely_starts,
    )


__all__ = [
    "DAY", "MOTOR_EFFICIENCY", "PUMP_YEARS", "SWITCH_CYCLES", "WET_DAYS", "drawn_power", "energy_of", "high_end",
    "pumps_of", "switch_cycles", "wet_season",
]  # fmt: skip
