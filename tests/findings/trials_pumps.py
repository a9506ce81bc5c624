"""Trials of the rules of pumps worn, in pairs, on a battery, in the wet season and at the ends of their curves."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from drainwright.findings.rules import Case
from drainwright.hydraulics.pump import PumpCurve
from drainwright.system.lift.pump_model import BatteryHours, BatteryUnit, PumpPair
from drainwright.system.model import LiftStation

from .change import Change, Trial, as_designed, basin, every, job, pump, put, station

Q = 0.004  # what the pump delivers in these trials [m³/s]
CURVE = PumpCurve(flows=(0.0, 0.003, 0.006), heads=(10.0, 7.0, 1.0))
AT_WORK = every(station(operating_flow=Q, inflow=Q / 1.2, inflow_ground=0.0005, static_head=4.0), pump(curve=CURVE))


def study(**values: Any) -> Change:
    """Change what is worked out of the station's pumps."""

    def changed(here: LiftStation) -> Any:
        assert here.study is not None
        return replace(here.study, **values)

    return every(AT_WORK, station(study=changed))


def pair(second: float, both: float) -> Change:
    """Two pumps: what the second lifts alone, and both together [m³/s]."""

    def change(case: Case) -> Case:
        here = case.system.station
        assert here is not None
        two = PumpPair(
            second=here.pump, alike=False, second_flow=second, both_flow=both, both_head=5.0,
            flows=(both / 2, both / 2),
            gain=both / max(Q, second) - 1.0, starts_each=0.001, starts_each_design=0.001,
        )  # fmt: skip
        return study(pair=two)(case)

    return change


def unit(flow: float, hours: float, *, reaches: bool = True, own: bool = True, current: float = 15.0) -> Change:
    """A battery unit: what it lifts at its head [m³/s], and how long it lasts in the wet season [h]."""

    def change(case: Case) -> Case:
        here = case.system.station
        assert here is not None
        wet = BatteryHours(
            water="wet season", inflow=0.001, duty=min(0.001 / flow, 1.0), seconds=hours * 3600, keeps_up=flow >= 0.001
        )
        cell = BatteryUnit(
            pump=here.pump, own_pump=own, flow=flow, head=4.0, reaches=reaches, open_flow=0.003, capacity=75.0,
            volts=12.0, usable=0.5, current=current, hours=(wet,) if current else (),
        )  # fmt: skip
        return every(study(unit=cell), job("criteria", "power_cut", to=4 * 3600.0))(case)

    return change


def season(share: float) -> Change:
    """The share of a wet season's day that the pump runs."""

    def changed(here: LiftStation) -> Any:
        assert here.study is not None
        wet = replace(here.study.season, inflow=share * Q, share=min(share, 1.0), run_time=share * 86400, starts=40.0)
        return replace(here.study, season=wet)

    return every(AT_WORK, station(study=changed))


def worn_in(years: float, starts: int | None = None, kind: str = "adjustable") -> Change:
    """Years until the switch is worn out by the likely water; the starts that the sheet says it lasts."""

    def changed(here: LiftStation) -> Any:
        assert here.study is not None
        lasts = 100_000 if starts is None else starts
        a_day = lasts / years / here.study.season.days if years else 0.0
        return replace(here.study, season=replace(here.study.season, likely_starts=a_day, cycles=lasts))

    return every(AT_WORK, station(study=changed), pump(switch_starts=starts, float_kind=kind))


NO_STUDY = every(AT_WORK, station(study=None))

PUMPS = (
    Trial("LFT-30", "ok", change=study(worn_flow=Q / 1.2)),
    Trial("LFT-30", "caution", says="15 % of its head", change=study(worn_flow=Q / 1.25, wear=0.15)),
    Trial("LFT-30", None, change=every(study(worn_flow=Q / 2), station(inflow=Q * 1.1))),
    Trial("LFT-30", None, change=NO_STUDY),
    Trial("LFT-31", "ok", change=pair(Q / 1.2, 1.4 * Q)),
    Trial("LFT-31", "caution", change=pair(Q / 2, 1.3 * Q)),
    Trial("LFT-31", "caution", says="but not the ground", change=pair(0.0004, Q)),
    Trial("LFT-31", "fails", change=pair(0.0, Q)),
    Trial("LFT-31", None, change=study(pair=None)),
    Trial("LFT-32", "ok", says="standby", change=pair(Q, 1.1 * Q)),
    Trial("LFT-32", "ok", says="both are needed", change=every(pair(Q, 1.3 * Q), station(inflow=Q))),
    Trial("LFT-32", "caution", says="10 % more", change=every(pair(Q, 1.1 * Q), station(inflow=Q))),
    Trial("LFT-32", None, change=study(pair=None)),
    # the line that is joined carries one pump, and two that bring little more; not two that bring all it has left
    Trial("OUT-06", "ok", change=every(pair(Q, 1.1 * Q), put("system", "joined", "capacity", to=0.1))),
    Trial(
        "OUT-06", "caution", says="when both run",
        change=every(pair(Q, Q + 0.09), put("system", "joined", "capacity", to=0.09)),
    ),
    Trial("LFT-33", "ok", change=unit(0.001, 4.0)),
    Trial("LFT-33", "ok", says="The pump on the battery", change=unit(0.001, 4.0, own=False)),
    Trial("LFT-33", "ok", says="holds its charge", change=unit(0.001, float("inf"))),
    Trial("LFT-33", "caution", says="more capacity", change=unit(0.001, 3.9)),
    Trial("LFT-33", "caution", says="stronger battery unit", change=unit(0.0009, 5.0)),
    Trial("LFT-33", "fails", change=unit(0.001, 4.0, reaches=False)),
    Trial("LFT-33", None, change=unit(0.001, 4.0, current=0.0)),
    Trial("LFT-33", None, change=study(unit=None)),
    Trial("LFT-34", "ok", says="40 starts a day", change=season(0.5)),
    Trial("LFT-34", "caution", says="13 h", change=season(0.54)),
    Trial("LFT-34", "fails", change=season(1.0)),
    Trial("LFT-34", "caution", base="metric", change=season(0.54)),
    Trial("LFT-34", None, change=NO_STUDY),
    Trial("LFT-45", "ok", says="100,000 starts (assumed)", change=worn_in(7.001)),
    Trial("LFT-45", "ok", says="by its sheet is worn out after about 8 years", change=worn_in(8.9, 30_000)),
    Trial("LFT-45", "ok", says="more than 50 years", change=worn_in(51.0)),
    Trial("LFT-45", "caution", says="about 6 years, before the pump is due", change=worn_in(6.999)),
    Trial("LFT-45", "caution", says="about 1 year, before", change=worn_in(1.5)),
    Trial("LFT-45", "caution", says="less than a year", change=worn_in(0.9, 5_000)),
    Trial("LFT-45", "caution", says="whose float is built in", change=worn_in(2.0, kind="integral")),
    Trial("LFT-45", "caution", base="metric", change=worn_in(6.0)),
    Trial("LFT-45", None, change=worn_in(0.0)),
    Trial("LFT-45", None, change=NO_STUDY),
    Trial("LFT-35", "ok", change=every(AT_WORK, station(operating_flow=0.95 * 0.006))),
    Trial("LFT-35", "caution", says="overloaded", change=every(AT_WORK, station(operating_flow=0.96 * 0.006))),
    Trial("LFT-35", "caution", says="churns", change=every(AT_WORK, station(operating_flow=0.09 * 0.006))),
    Trial("LFT-35", "ok", change=every(AT_WORK, station(operating_flow=0.1 * 0.006))),  # at the limit itself
    Trial("LFT-35", None, change=station(reaches=False)),
    Trial("LFT-36", "ok", change=every(basin(screened=True), pump(solids=0.00635))),
    Trial("LFT-36", "ok", change=every(basin(screened=False), pump(solids=0.0127))),
    Trial("LFT-36", "ok", says="does not say", change=every(basin(screened=True), pump(solids=None))),
    Trial("LFT-36", "caution", says="even behind a screen", change=every(basin(screened=True), pump(solids=0.003))),
    Trial("LFT-36", "caution", says="unscreened", change=every(basin(screened=False), pump(solids=0.0095))),
    Trial("LFT-36", "caution", says="Look it up", change=every(basin(screened=False), pump(solids=None))),
    Trial("LFT-36", "caution", base="metric", change=every(basin(screened=False), pump(solids=0.0095))),
    Trial("LFT-37", "ok", change=study(worn_shutoff=4.4)),
    Trial("LFT-37", "caution", change=study(worn_shutoff=4.3)),
    Trial("LFT-37", "fails", change=study(worn_shutoff=4.0)),
    Trial("LFT-37", None, base="gravity", change=as_designed),
)  # fmt: skip

TRIALS = PUMPS

__all__ = ["TRIALS"]
