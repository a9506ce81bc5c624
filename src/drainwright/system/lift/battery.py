"""A battery unit at its real head: what it delivers there, and for how long."""

from __future__ import annotations

import math
from collections.abc import Mapping

from drainwright.hydraulics.pump_service import battery_time
from drainwright.job.works import Battery
from drainwright.system.lift.duty import at_level
from drainwright.system.lift.pressure_line import PressureLine
from drainwright.system.lift.pump_model import BatteryHours, BatteryUnit, Water
from drainwright.system.lift.pumps import GENERIC_UNITS, pump_of_job
from drainwright.system.model import PumpChoice
from drainwright.worksheet import quiet

OFFERED_CAPACITY = 75.0  # of a common deep-cycle battery, 75 to 100 Ah seen [Ah]
OFFERED_USABLE = 0.5  # of a lead battery's charge [-]


def battery_hours(
    capacity: float, usable: float, current: float, flow: float, inflows: Mapping[Water, float]
) -> tuple[BatteryHours, ...]:
    """How long a battery lasts at each inflow.

    Parameters
    ----------
    capacity, usable : float
        Charge [Ah] and the share of it that may be used [-].
    current : float
        Drawn while the pump runs. [A]
    flow : float
        Of its pump at the real head. [m³/s]
    inflows : mapping
        By what comes. [m³/s]

    Returns
    -------
    tuple of BatteryHours
        In the order of the inflows; a pump that does not keep up runs all the time. Empty without a current, which a
        document may leave at zero: then the hours are not known.
    """
    if current <= 0.0:
        return ()
    found = []
    for water, inflow in inflows.items():
        duty = min(inflow / flow, 1.0) if flow > 0.0 else 1.0
        seconds = math.inf if duty <= 0.0 else float(battery_time(capacity, usable, current, duty))
        found.append(
            BatteryHours(water=water, inflow=inflow, duty=duty, seconds=seconds, keeps_up=flow >= inflow and flow > 0.0)
        )
    return tuple(found)


def battery_unit(
    battery: Battery,
    first: PumpChoice,
    line: PressureLine,
    level: float,
    floor: float,
    inflows: Mapping[Water, float],
) -> BatteryUnit:
    """The job's battery unit on the discharge line.

    Parameters
    ----------
    battery : Battery
        As the job gives it; without a pump of its own it feeds the first pump.
    first : PumpChoice
        The first pump.
    line, level, floor
        The discharge line, and levels in the basin. [m]
    inflows : mapping
        By what comes. [m³/s]
    """
    pump = first if battery.pump is None else pump_of_job(battery.pump)
    point = at_level(pump.curve, line, level, floor)
    return BatteryUnit(
        pump=pump,
        own_pump=battery.pump is not None,
        flow=point.flow,
        head=point.head,
        reaches=point.reaches,
        open_flow=pump.curve.runout,
        capacity=battery.capacity,
        volts=battery.volts,
        usable=battery.usable,
        current=battery.current,
        hours=battery_hours(battery.capacity, battery.usable, battery.current, point.flow, inflows),
    )


def offered_unit(line: PressureLine, level: float, floor: float, inflows: Mapping[Water, float]) -> BatteryUnit | None:
    """The weakest generic battery unit that keeps up with the wet season's ground water; None where none does."""
    for unit in GENERIC_UNITS:
        with quiet():
            point = at_level(unit.choice.curve, line, level, floor)
        if not point.reaches or point.flow < inflows["wet season"]:
            continue
        return BatteryUnit(
            pump=unit.choice,
            own_pump=True,
            flow=point.flow,
            head=point.head,
            reaches=True,
            open_flow=unit.choice.curve.runout,
            capacity=OFFERED_CAPACITY,
            volts=unit.volts,
            usable=OFFERED_USABLE,
            current=unit.current,
            hours=battery_hours(OFFERED_CAPACITY, OFFERED_USABLE, unit.current, point.flow, inflows),
        )
    return None


__all__ = ["battery_hours", "battery_unit", "offered_unit"]
