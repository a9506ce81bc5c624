"""Trials of the rules of the discharge line in detail."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from drainwright.findings.rules import Case
from drainwright.system.lift.line_profile import Beyond, Turning
from drainwright.system.model import LiftStation

from .change import Change, Trial, every, fact, job, station, stations

PSI = 6894.757293168
BASIN, LINE = "works.basin", "works.runs.DL"


def line(**values: Any) -> Change:
    """Change the line's details; a mapping changes one of its parts."""

    def new(here: LiftStation) -> Any:
        assert here.line is not None
        parts = {
            key: replace(getattr(here.line, key), **value) if isinstance(value, dict) else value
            for key, value in values.items()
        }
        return replace(here.line, **parts)

    return station(line=new)


def floats(*heights: float, **values: Any) -> Change:
    """Set off, on and alarm so high above the floor."""

    def new(here: LiftStation) -> Any:
        assert here.line is not None
        heights or tuple(mark.above_floor for mark in here.line.floats.marks)
        marks = tuple(
            replace(
                mark,
                above_floor=height,
                below_inlet=here.lowest_inlet - here.floor - height,
                below_rim=here.rim - here.floor - height,
            )
            for mark, height in zip(
                here.line.floats.marks, heights or [m.above_floor for m in here.line.floats.marks], strict=True
            )
        )
        return replace(here.line, floats=replace(here.line.floats, marks=marks, **values))

    return station(line=new)


def bare(case: Case) -> Case:
    """A station whose line nobody looked at."""
    return station(line=None)(case)


def frost(depth: float) -> Change:
    """Frost so deep."""
    return job("rules", "frost_depth", to=fact(depth))


HIGH = Turning(distance=5.0, invert=30.0, by=0.2)
LOW = Turning(distance=5.0, invert=29.0, by=0.2)
ONWARD = Beyond(
    distance=5.0, length=10.0, fall=0.5, part_full=True, depth=0.03, velocity=1.2, drowned=False, suction=0.0
)

TRIALS = (
    Trial("LFT-20", "ok", change=line(relief={"leak": 0.0001, "pump_flow": 0.0045, "net_flow": 0.0044}), where=BASIN),
    Trial(
        "LFT-20", "caution", change=line(relief={"leak": 0.0005, "pump_flow": 0.0045}), where=BASIN, says="smaller hole"
    ),
    Trial(
        "LFT-20",
        "caution",
        where=BASIN,
        says="less than",
        change=every(
            station(inflow=0.00448),
            line(relief={"leak": 0.0001, "pump_flow": 0.0045, "net_flow": 0.0044}),
            station(operating_flow=0.0045),
        ),
    ),
    Trial("LFT-20", None, change=line(relief=None)),
    Trial("LFT-21", "ok", change=line(highs=(), beyond=None), where=LINE),
    Trial("LFT-21", "ok", change=line(highs=(replace(HIGH, by=0.04),), beyond=ONWARD), where=LINE, says="part full"),
    Trial("LFT-21", "caution", change=line(highs=(HIGH,), beyond=ONWARD), where=LINE, says="air gathers"),
    Trial(
        "LFT-21",
        "caution",
        where=LINE,
        says="siphons",
        change=line(highs=(), beyond=replace(ONWARD, part_full=False, suction=1.4)),
    ),
    Trial("LFT-22", "ok", change=line(lows=(), lows_volume=0.0), where=LINE),
    Trial("LFT-22", "ok", change=line(lows=(LOW,), lows_volume=0.001), where=LINE),
    Trial("LFT-22", "caution", change=line(lows=(LOW,), lows_volume=0.02), where=LINE, says="cleanout"),
    Trial(
        "LFT-22",
        "ok",
        change=every(line(lows=(), lows_volume=0.0), stations("DL", only=5, invert=lambda s: s.invert - 0.02)),
        where=LINE,
        says="5/8 in deep",
    ),
    Trial("LFT-23", None, change=frost(0.0)),
    Trial(
        "LFT-23",
        "ok",
        change=every(frost(0.3), line(standing={"frozen": 0.0, "volume": 0.02})),
        where=LINE,
        says="below frost",
    ),
    Trial(
        "LFT-23",
        "ok",
        change=every(frost(0.3), line(standing={"frozen": 0.0, "volume": 0.0})),
        where=LINE,
        says="runs empty",
    ),
    Trial("LFT-23", "caution", change=every(frost(0.3), line(standing={"frozen": 3.0})), where=LINE, says="shut-off"),
    Trial(
        "LFT-23",
        "caution",
        where=LINE,
        says="never rest",
        change=every(frost(0.3), line(standing={"frozen": 3.0}, drains={"opened_factor": math.inf})),
    ),
    Trial("LFT-24", "ok", change=line(drains={"starts_factor": 1.2}), where=BASIN),
    Trial("LFT-24", "caution", change=line(drains={"starts_factor": 1.3}), where=BASIN, says="1.30 times"),
    Trial("LFT-24", "fails", change=line(drains={"starts_factor": math.inf}), where=BASIN, says="never rests"),
    Trial(
        "LFT-25", "ok", change=line(surge={"working": 40 * PSI, "sudden": 60 * PSI, "rating": 101 * PSI}), where=LINE
    ),
    Trial(
        "LFT-25", "fails", change=line(surge={"working": 40 * PSI, "sudden": 60 * PSI, "rating": 99 * PSI}), where=LINE
    ),
    Trial("LFT-25", "caution", change=line(surge={"rating": None}), where=LINE, says="no pressure pipe"),
    Trial("LFT-25", None, change=station(reaches=False)),
    Trial("LFT-26", "ok", change=line(surge={"reverse_velocity": 0.4}), where=BASIN),
    Trial("LFT-26", "caution", change=line(surge={"reverse_velocity": 0.6}), where=BASIN, says="spring"),
    Trial(
        "LFT-26",
        "caution",
        change=line(surge={"reverse_velocity": 0.6, "column": 1.2192}),
        where=BASIN,
        says="4 ft of water turn",
    ),
    Trial("LFT-26", None, change=line(fittings=())),
    Trial("LFT-27", "ok", change=line(surge={"dead_head": 20 * PSI, "rating": 21 * PSI}), where=LINE),
    Trial("LFT-27", "fails", change=line(surge={"dead_head": 20 * PSI, "rating": 19 * PSI}), where=LINE),
    Trial("LFT-27", None, change=line(surge={"rating": None})),
    Trial("LFT-28", "ok", base="mended", change=floats(0.08, 0.6, 0.7), where=BASIN, says="above the floor"),
    Trial("LFT-28", "caution", base="mended", change=floats(0.08, 0.6, 0.6), where=BASIN, says="too close"),
    Trial("LFT-28", "caution", base="mended", change=floats(0.08, 1.5, 1.6), where=BASIN, says="above the lowest pipe"),
    Trial("LFT-28", None, change=bare),
    Trial("LFT-29", "ok", change=floats(tether=0.18, tether_room=0.2), where=BASIN, says="half way"),
    Trial("LFT-29", "fails", change=floats(tether=0.22, tether_room=0.2), where=BASIN, says="rod"),
    Trial("LFT-29", None, change=floats(tether=None)),
)
