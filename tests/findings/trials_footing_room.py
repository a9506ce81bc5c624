"""Cases of advice beside a footing: no run is sent below its bottom."""

from __future__ import annotations

from .change import Trial, every, job, run, stations
from .trials_grading import gave, high
from .trials_water import deep_footings, lowest_trench
from .trials_water_line import INCH, stone

AT_IT = deep_footings(lowest_trench)  # no hair between FD1's trench and the footings
OVER_IT = deep_footings(lambda case: lowest_trench(case) - 3.0)
FLAT = run("FD1", grade=0.004)
DEEP_FLOOR, HIGH_FLOOR = (job("criteria", "drain_below_floor", to=room) for room in (1.0, -3.0))
OUT = stations("FD1", only=0, cover=-0.02)

TRIALS = (
    Trial("NET-01", "fails", change=every(OVER_IT, FLAT, HIGH_FLOOR), says="or raise its start by as much"),
    Trial("NET-01", "fails", change=every(AT_IT, FLAT, HIGH_FLOOR), says="by 6 7/8 in; its end cannot go"),
    Trial("NET-01", "fails", change=every(AT_IT, FLAT, DEEP_FLOOR), says="Its end cannot go lower, for the footing's"),
    Trial("NET-12", "fails", change=every(OVER_IT, gave("grade")), says="let it start higher, end lower"),
    Trial("NET-12", "fails", change=every(AT_IT, gave("grade")), says="Its end cannot go lower"),
    Trial("NET-12", "fails", change=every(AT_IT, gave("clearance")), says="in the way of a deeper drain"),
    Trial("NET-02", "fails", change=every(OVER_IT, OUT), where="works.runs.FD1", says="Lower it, or end it"),
    Trial("NET-02", "fails", change=every(AT_IT, OUT), where="works.runs.FD1", says="keeps it from going lower"),
    Trial("FTG-01", "fails", change=every(OVER_IT, high), where="works.runs.FD1", says="Lower it by"),
    Trial("FTG-01", "fails", change=every(AT_IT, high), where="works.runs.FD1", says="It cannot go so low"),
    Trial("NET-23", "fails", change=every(OVER_IT, stone(2 * INCH)), where="works.runs.FD1", says="lower the drain by"),
    Trial("NET-23", "fails", change=every(AT_IT, stone(2 * INCH)), where="works.runs.FD1", says="by 2 in: its own"),
)  # fmt: skip
__all__ = ["TRIALS"]
