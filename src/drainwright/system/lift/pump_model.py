"""What a lift station's pump does: at each level, worn, beside a second one, on a battery, in the wet season."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from drainwright.system.model import PumpChoice

LevelName = Literal["off", "middle", "on", "alarm", "rim"]
Water = Literal["between rains", "wet season", "design rain"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyPoint:
    """Where the pump runs with the water at one level."""

    place: LevelName
    level: float  # [m]
    flow: float  # [m³/s]
    head: float  # [m]
    velocity: float  # in the discharge line [m/s]
    worn_flow: float  # of the worn pump [m³/s]
    beyond_curve: bool  # the flow is the sheet's last, a lower bound


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpPair:
    """Two pumps on one discharge line, in lead and standby."""

    second: PumpChoice
    alike: bool  # both of one make
    second_flow: float  # alone, at the middle of the float band [m³/s]
    both_flow: float  # together [m³/s]
    both_head: float  # [m]
    flows: tuple[float, float]  # of each while both run [m³/s]
    gain: float  # of both over the stronger alone [-]
    starts_each: float  # at the worst inflow, where they take turns [1/s]
    starts_each_design: float  # at the design inflow [1/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryHours:
    """How long a battery lasts at one inflow."""

    water: Water
    inflow: float  # [m³/s]
    duty: float  # share of the time that the pump runs, 1 where it never stops [-]
    seconds: float  # infinite without inflow [s]
    keeps_up: bool  # the pump's flow is not below the inflow


@dataclass(frozen=True, slots=True, kw_only=True)
class BatteryUnit:
    """A battery unit at the real head: the job's, or a generic one that would do."""

    pump: PumpChoice
    own_pump: bool  # a pump of its own; else the battery feeds the first pump
    flow: float  # at the middle of the float band [m³/s]
    head: float  # [m]
    reaches: bool
    open_flow: float  # the largest flow of its sheet, which a label likes to show [m³/s]
    capacity: float  # [Ah]
    volts: float  # [V]
    usable: float  # share of the capacity [-]
    current: float  # [A]
    hours: tuple[BatteryHours, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WetSeason:
    """A day of the wet season without rain: what ground water alone asks of the pump."""

    inflow: float  # ground water at the seasonal high, at the high end of its range [m³/s]
    likely: float  # the same as designed for: the middle of that range [m³/s]
    share: float  # of the time that the pump runs, 1 where it never stops [-]
    run_time: float  # in a day [s]
    starts: float  # in a day, of the first pump; half of that where two take turns [-]
    power: float | None  # drawn while it runs; None: neither sheet nor label says [W]
    power_assumed: bool  # from the label and an assumed efficiency
    energy: float | None  # in a year whose wet season is ``days`` long [J]
    days: float  # assumed
    cycles: int  # starts that the switch lasts, by the pump's sheet, else assumed
    cycles_years: float  # such years until the switch has made them; infinite without starts [-]
    likely_starts: float  # in a day at the likely flow, counted as ``starts`` [-]

    @property
    def ranged(self) -> bool:
        """Whether the high end of the range is known, and lies above the likely flow."""
        return self.inflow > self.likely * (1.0 + 1e-9)

    @property
    def likely_years(self) -> float:
        """Years of ``days`` at the likely flow until the switch has made ``cycles``; infinite without starts [-]."""
        year = self.likely_starts * self.days
        return self.cycles / year if year > 0.0 else math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class RoofFlow:
    """What one downspout brings."""

    name: str
    flow: float  # [m³/s]
    led: bool  # it is led to the basin


@dataclass(frozen=True, slots=True, kw_only=True)
class StormInflow:
    """What comes in the rain of one return period, before a pump is chosen."""

    return_period: float  # [s]
    yards: float  # from yards that drain to the basin, roofs that shed onto them included [m³/s]
    roofs: tuple[RoofFlow, ...]  # those led to the basin first


@dataclass(frozen=True, slots=True, kw_only=True)
class StormCarried:
    """How many downspouts the pump carries in the rain of one return period, after ground and yard water."""

    return_period: float  # [s]
    first: float  # ground and yard water [m³/s]
    roofs: tuple[RoofFlow, ...]  # those led to the basin first
    carried: int  # with the wanted margin, the pump new
    carried_worn: int  # without a margin, the pump worn
    spare: float  # of the new pump over all that it carries and its margin; below 0: it does not carry the first [m³/s]
    lasts: float  # until the basin's room over the on level is full, all led to it coming; infinite: never [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedPump:
    """One choice of pump, discharge pipe and basin, with what it gives and where it falls short."""

    pump: PumpChoice
    pipe: str  # nominal size of the discharge line
    diameter: float  # of the basin [m]
    flow: float  # [m³/s]
    head: float  # [m]
    worn_flow: float  # [m³/s]
    velocity: float  # [m/s]
    starts: float  # at the worst inflow [1/s]
    run: float  # shortest run, with little inflow; infinite where nothing is lifted [s]
    spare_head: float  # shutoff head less lift, from the off level [m]
    port_fits: bool  # the line is not smaller than the pump's port
    cost: float  # [proxy]
    short: tuple[str, ...]  # kinds of limit that it misses, the worst first
    taken: bool
    firms: bool  # the firm's own, or the job's
    reason: str  # why it is taken, or why it comes after


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpStudy:
    """The rest of what is worked out of a lift station's pumps."""

    wear: float  # share of its head that a worn pump has lost [-]
    worn_flow: float  # at the middle of the float band [m³/s]
    worn_shutoff: float  # [m]
    pair: PumpPair | None
    unit: BatteryUnit | None  # the job's
    offered: BatteryUnit | None  # a generic one that carries the wet season; None: the job has one, or none does
    season: WetSeason
    storms: tuple[StormCarried, ...]  # the commonest rain first


__all__ = [
    "BatteryHours", "BatteryUnit", "DutyPoint", "LevelName", "PumpPair", "PumpStudy", "RankedPump", "RoofFlow",
    "StormCarried", "StormInflow", "Water", "WetSeason",
]  # fmt: skip
