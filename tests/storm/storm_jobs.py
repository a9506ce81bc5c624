"""A small job for the storm tests, its system written out by hand."""

from __future__ import annotations

from types import MappingProxyType
from typing import Any, cast

from drainwright.field.model import Site
from drainwright.hydraulics.pump import PumpCurve
from drainwright.job.model import Job
from drainwright.job.values import Basis
from drainwright.system.model import LiftStation, Node, Pipe, PumpChoice, SizedRun, System
from drainwright.water.model import Cause, Contribution, Inflows, Seepage
from drainwright.water.rain import RainTable

YEAR = 31557600.0
HOUR = 3600.0


def pipe(inside: float, manning: float = 0.01, williams: float | None = 140.0) -> Pipe:
    return Pipe(
        key=f"test {inside}", nominal="4 in", family="Schedule 40", outside=inside + 0.01, inside=inside, wall=0.005,
        manning=manning, hazen_williams=williams, perforated=False, perforation_area=0.0, envelope=0.0,
        sticks=(3.0,), hole=0.12, source="astm_d1785",
    )  # fmt: skip


def run(
    name: str, duty: str, upper: str, lower: str, length: float, z_upper: float, z_lower: float, **kw: Any
) -> SizedRun:
    values: dict[str, Any] = {
        "pipe": pipe(0.1), "pressure": False, "stone_width": 0.0, "stone_under": 0.0, "stone_over": 0.0,
    } | kw  # fmt: skip
    return SizedRun(
        name=name, duty=cast(Any, duty), upper=upper, lower=lower, pipe_chosen_by="design", grade_chosen_by="design",
        route=((0.0, 0.0), (length, 0.0)), length=length, invert_upper=z_upper, invert_lower=z_lower,
        grade=(z_upper - z_lower) / length, flows={}, flow=0.0, capacity=0.01, depth=0.05, velocity=1.0,
        surcharged=False, stations=(), fabric=True, walls=(), **values,
    )  # fmt: skip


def node(name: str, kind: str, rim: float, invert: float) -> Node:
    return Node(name=name, kind=cast(Any, kind), at=(0.0, 0.0), ground=rim, rim=rim, invert=invert)


def job(**criteria: str) -> Job:
    return Job.model_validate({
        "schema_version": 1,
        "title": "small",
        "survey": {"perimeter": {"start": "A", "legs": [
            {"to": "B", "length": "10 m", "turn": "-120 deg"}, {"to": "C", "length": "10 m", "turn": "-120 deg"},
            {"to": "A", "length": "10 m", "turn": "-120 deg"}]}},
        "house": {"outline": ["A", "B", "C"], "floor_kind": "slab", "floor": "9.80 m, measured"},
        "ground": {"texture": "sandy loam, measured"},
        "rain": {"return_periods": ["25 yr"], "table": [
            {"duration": "5 min", "depths": ["19 mm"]}, {"duration": "1 h", "depths": ["70 mm"]},
            {"duration": "6 h", "depths": ["125 mm"]}]},
        "yards": [{"name": "lawn", "area": "80 m2", "to": "CB1", "slope": "2 %", "flow_length": "20 m"}],
        "works": {"inlets": [{"name": "CB1", "at": "4 m, 0 m", "size": "0.3 m"}],
                  "discharge": [{"name": "OUT", "at": "30 m, 0 m", "kind": "daylight", "invert": "9.9 m"}]},
        "criteria": {"storm_duration": "1 h", "power_cut": "2 h"} | criteria,
    })  # fmt: skip


def site(**criteria: str) -> Site:
    return Site(
        job=job(**criteria), points={}, traverse=None, level_book=None, surface=cast(Any, None), outline=(), walls=(),
        floor=9.8, floor_basis=Basis.MEASURED, water_table=9.6, barrier=None, utilities=(), trees=(), boundary=(),
    )  # fmt: skip


def inflows(scale: float = 1.0, roof: float = 40.0, yard: float = 80.0, ground: float = 1e-5) -> Inflows:
    periods, durations = (25 * YEAR,), (300.0, HOUR, 6 * HOUR)
    depths = tuple((scale * depth,) for depth in (0.019, 0.070, 0.125))
    common: dict[str, Any] = {"flow": 0.001, "intensity": 5e-5, "return_period": 25 * YEAR, "basis": Basis.ASSUMED}
    return Inflows(
        rain=RainTable(durations=durations, return_periods=periods, depths=depths, source="test", basis=Basis.ASSUMED),
        contributions=(
            Contribution(
                entry="DS1", cause=Cause.ROOF, source="roof", area=roof, coefficient=1.0, time=300.0, **common),
            Contribution(
                entry="CB1", cause=Cause.YARD, source="lawn", area=yard, coefficient=0.3, time=600.0, **common),
        ),
        seepage=(
            Seepage(run="FD1", per_length=ground, length=20.0, conductivity=7e-6, drain_level=9.25, far_level=9.6,
                    influence=5.0, basis=Basis.MEASURED),
        ),
        conductivity=7e-6,
        conductivity_basis=Basis.MEASURED,
    )  # fmt: skip


def station(**kw: Any) -> LiftStation:
    curve = PumpCurve(flows=(0.0, 0.002, 0.004), heads=(9.0, 6.5, 2.0))
    values: dict[str, Any] = {"second_on": None, "drain_back": 0.02, "off": 8.5, "on": 8.8} | kw
    return LiftStation(
        name="SUMP", at=(0.0, 0.0), inside_diameter=0.6, depth=1.85, rim=10.05, ground=10.0, floor=8.2,
        lowest_inlet=8.95, alarm=8.9,
        pump=PumpChoice(name="test", curve=curve, label_power=None, float_kind="adjustable", float_band=None,
                        minimum_depth=0.1, discharge_size="1-1/2 in", starts_limit=10 / HOUR, chosen_by="design"),
        static_head=1.6, operating_flow=0.003, operating_head=4.0, reaches=True, velocity=1.5, discharge_run="DL",
        fittings_k=6.0, band_volume=0.08, starts=0.0, starts_design=0.0, run_time=60.0, inflow=0.002,
        inflow_ground=0.0002, reserve=0.1, collar=0.0, collar_width=0.0,
        collar_height=0.0, uplift=0.0, resisting=1.0,
        uplift_convention="test", water_table=9.6, chosen_by="design", **values,
    )  # fmt: skip


def pumped_system(**kw: Any) -> System:
    nodes = [
        node("F", "junction", 10.0, 9.25), node("DS1", "downspout", 10.1, 9.6), node("CB1", "inlet", 9.95, 9.5),
        node("SUMP", "basin", 10.05, 8.95), node("OUT", "discharge", 10.0, 9.9),
    ]  # fmt: skip
    runs = (
        run("L1", "leader", "DS1", "CB1", 8.0, 9.6, 9.52),
        run("YD1", "yard drain", "CB1", "SUMP", 15.0, 9.5, 9.2),
        run("FD1", "footing drain", "F", "SUMP", 20.0, 9.25, 8.95, stone_width=0.3, stone_over=0.2, stone_under=0.05),
        run("DL", "discharge line", "SUMP", "OUT", 25.0, 9.8, 9.9, pipe=pipe(0.0409), pressure=True),
    )
    return System(
        nodes=MappingProxyType({n.name: n for n in nodes}), runs=runs, gravity=(), joined=None,
        stations=(station(**kw),), discharge="OUT",
    )  # fmt: skip


def gravity_system() -> System:
    nodes = [
        node("F", "junction", 10.0, 9.25), node("DS1", "downspout", 10.1, 9.6), node("CB1", "inlet", 9.95, 9.1),
        node("OUT", "discharge", 9.0, 8.7),
    ]  # fmt: skip
    runs = (
        run("L1", "leader", "DS1", "CB1", 8.0, 9.6, 9.52),
        run("FD1", "footing drain", "F", "CB1", 20.0, 9.25, 9.1, stone_width=0.3, stone_over=0.2),
        run("YD1", "yard drain", "CB1", "OUT", 15.0, 9.1, 8.7),
    )
    return System(
        nodes=MappingProxyType({n.name: n for n in nodes}), runs=runs, gravity=(), joined=None,
        discharge="OUT",
    )  # fmt: skip
