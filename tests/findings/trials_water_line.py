"""Trials of the rules of the water surface: each trips, and its twin does not."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from drainwright.findings.rules import Case
from drainwright.system.surface.water_model import GrateWater, PartedRun

from .change import Change, Trial, as_designed, every, put, run, stations

INCH = 0.0254


def water(name: str, **values: Any) -> Change:
    """Change the water at a place; a function of it where the value is one."""

    def change(case: Case) -> Case:
        here = case.system.water[name]
        new = {key: value(here) if callable(value) else value for key, value in values.items()}
        return put("system", "water", to={**case.system.water, name: replace(here, **new)})(case)

    return change


def grate(at: str, /, **values: Any) -> Change:
    """Change what the grate of an inlet does."""

    def change(case: Case) -> Case:
        found = case.system.water[at].grate
        assert isinstance(found, GrateWater)
        return water(at, grate=replace(found, **values))(case)

    return change


def lets_pass(to: str, where: str, **more: Any) -> Change:
    """A grate that takes half."""
    return grate("CB1", flow=0.004, takes=0.002, carried=0.002, to=to, name=where, wanted=0.08, head=0.03, **more)


def drowned(name: str = "FD1") -> Change:
    """A run that has room of its own, held full from below."""
    return run(name, surcharged=True, flow=0.0002, capacity=0.004, full_length=6.0, tail=31.0, invert_lower=30.5)


def led(name: str, into: str) -> Change:
    """A run led to the upper end of another."""
    return lambda case: run(name, lower=case.system.run(into).upper)(case)


def stone(level: float, **more: Any) -> Change:
    """Water in the stone of FD1 so far from the floor's underside."""

    def change(case: Case) -> Case:
        here = case.system.run("FD1")
        standing = (case.floor_underside + level,) * len(here.stations)
        return run("FD1", stone_water=standing, **more)(case)

    return change


def leader(name: str, above_foot: float, **more: Any) -> Change:
    """Water in a downspout so far above the ground."""

    def change(case: Case) -> Case:
        here = case.system.water[name]
        assert here.leader is not None
        values = {"standing": max(0.4 + above_foot, 0.0), **more}
        return water(name, level=here.leader.foot + above_foot, leader=replace(here.leader, **values))(case)

    return change


def parts(back: float, on: float) -> Change:
    """FD1 with an overflow at its upper end."""
    found = PartedRun(over="OV1", distance=4.0, level=30.02, back=back, on=on, sill=30.0)
    return put("system", "parted", to={"FD1": found})


TRIALS = (
    Trial("NET-20", "ok", change=as_designed),
    Trial("NET-20", "caution", change=water("CB1", level=lambda here: here.rim - 1.5 * INCH), says="1 1/2 in",
          where="works.inlets.CB1"),
    Trial("NET-20", "ok", change=water("CB1", level=lambda here: here.rim - 2.1 * INCH), where="works.inlets.CB1"),
    Trial("NET-20", "fails", change=water("CB1", level=lambda here: here.rim + INCH), where="works.inlets.CB1",
          says="comes out there"),
    Trial("NET-20", "fails", base="gravity", where="works.runs.MD",
          change=water("J1", level=lambda here: here.rim + INCH)),
    Trial("NET-20", "fails", base="gravity",
          change=water("J1", level=lambda here: here.rim + INCH, losses={"junction": 0.05}), says="junction"),
    Trial("NET-20", "fails", base="metric", change=water("CB1", level=lambda here: here.rim + 0.02), says="mm"),
    Trial("NET-21", "ok", change=as_designed),
    Trial("NET-21", "caution", change=drowned(), says="held full", where="works.runs.FD1"),
    Trial("NET-21", "caution", base="gravity", change=every(drowned("L1"), run("MD", surcharged=True)),
          says="MD, which is full", where="works.runs.L1"),
    Trial("NET-21", "caution", base="gravity", where="works.runs.L1", says="for MD, or lower it by",  # no footing near
          change=every(drowned("L1"), run("MD", surcharged=True))),
    Trial("NET-21", "caution", change=every(led("YD1", "FD1"), drowned("YD1"), run("FD1", surcharged=True)),
          says="Take the next size for FD1.", where="works.runs.YD1"),  # lower it would stand under the footing
    Trial("NET-21", "caution", base="gravity", change=drowned("L1"), says="by the water at J1", where="works.runs.L1"),
    Trial("NET-21", None, change=every(drowned(), run("FD1", flow=0.005)), where="works.runs.FD1"),  # full by itself
    Trial("NET-22", "ok", change=as_designed),
    Trial("NET-22", "caution", change=lets_pass("off the lot", "north side"), says="north side"),
    Trial("NET-22", "caution", change=lets_pass("inlet", "CB2"), says="takes it too"),
    Trial("NET-22", "caution", change=every(
        lets_pass("inlet", "CB2"), grate("CB2", carried=0.001, to="not known", name=""),
    ), says="cannot take it either"),
    Trial("NET-22", "caution", change=lets_pass("not known", ""), says="no shots tell"),
    Trial("NET-22", "fails", change=lets_pass("house", "north"), says="to the house (north)"),
    Trial("NET-22", "caution", change=every(
        lets_pass("off the lot", "north side"), water("CB1", level=lambda here: here.rim + INCH),
        grate("CB1", takes=0.0, carried=0.004, wanted=math.inf),
    ), says="Lower the water in its pipe first"),
    Trial("NET-22", "caution", change=every(
        lets_pass("off the lot", "north side"), grate("CB1", takes=0.0, carried=0.004, head=0.0),
    ), says="Set the grate lower"),
    Trial("NET-22", "caution", change=every(
        lets_pass("off the lot", "north side"), grate("CB1", flow=0.00412, takes=0.004, head=INCH, wanted=1.03 * INCH),
    ), says="3 % more opening, or shape the ground so that less than 1/8 in more, 1 in in all, of water"),
    Trial("NET-22", "caution", change=every(
        lets_pass("off the lot", "north side"), grate("CB1", flow=0.010, takes=0.004, head=INCH, wanted=4 * INCH),
    ), says="2.5 times the opening, or shape the ground so that 4 in of water"),
    Trial("NET-22", None, change=grate("CB1", flow=0.0), where="works.inlets.CB1"),
    Trial("NET-23", "ok", change=as_designed),
    Trial("NET-23", "fails", change=stone(2 * INCH), says="2 in above", where="works.runs.FD1"),
    Trial("NET-23", "fails", change=stone(2 * INCH, flow=0.005, capacity=0.004), says="next size"),
    Trial("NET-23", "fails", change=stone(0.02 * INCH), says="less than 1/8 in above"),
    Trial("NET-23", "fails", change=stone(0.02 * INCH, flow=0.001, capacity=0.004), says="by less than 1/8 in"),
    Trial("NET-23", "ok", change=stone(-2 * INCH), where="works.runs.FD1"),
    Trial("NET-23", "caution", change=stone(-2 * INCH, surcharged=True, flow=0.004, stone_flow=0.001),
          says="through the stone", where="works.runs.FD1"),
    Trial("NET-24", "caution", change=parts(0.001, 0.003), says="25 % turns back"),
    Trial("NET-24", "ok", change=parts(0.0, 0.003)),
    Trial("NET-24", "caution", change=every(
        run("FD1", grade=0.0), stations("FD1", only=0, water=lambda s: s.invert + 0.05),
    ), says="so it stands 2 in deep at its upper end"),
    Trial("NET-24", "caution", change=every(
        run("FD1", grade=0.0), stations("FD1", only=0, water=lambda s: s.invert + 0.05),
        stations("FD1", only=-1, water=lambda s: s.invert + 0.05 - INCH),
    ), says="its water falls 1 in over"),
    Trial("NET-24", None, change=as_designed),
    Trial("NET-25", "ok", change=as_designed),
    Trial("NET-25", "caution", change=leader("DS1", -6 * INCH), says="below the open joint"),
    Trial("NET-25", "fails", change=leader("DS1", 3 * INCH, to_gutter=0.02), says="With sealed joints"),
    Trial("NET-25", "fails", change=leader("DS1", 3 * INCH, to_gutter=0.0001), says="Even sealed"),
)  # fmt: skip
