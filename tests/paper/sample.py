"""A design put together by hand on the demonstration job's real site, so that drawings can be tested alone.

The levels and sizes are plausible, not computed: no test may take them for results.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal
from functools import lru_cache
from pathlib import Path

import numpy as np

from drainwright.build import build_side
from drainwright.build.exposure import in_order
from drainwright.build.model import Build, CrewPlan, Crossing, DigPlan, Hole, Price, Takeoff, Trench
from drainwright.design import Design
from drainwright.field import survey
from drainwright.field.model import Plan, Site
from drainwright.hydraulics.pump import PumpCurve
from drainwright.job.model import Job
from drainwright.job.reading import read_job
from drainwright.job.works import Duty
from drainwright.storm import storm_test
from drainwright.storm.model import NodeStorm, Storm, StormCase, StormTest
from drainwright.system import lay_out
from drainwright.system.catalogue import find_pipe
from drainwright.system.model import LiftStation, Node, PumpChoice, SizedRun, Station, System
from drainwright.system.ways import route_length, stations_along
from drainwright.water import inflows
from drainwright.water.model import Cause
from drainwright.water.moisture import moisture_sources

ROOT = Path(__file__).parents[2]
FOOT = 0.3048
DRAIN = "d2729 4 in perforated"


@lru_cache(maxsize=1)
def sample_job() -> Job:
    return read_job(ROOT / "examples" / "block-wall-house" / "job.yaml")


def _run(
    site: Site, name: str, duty: Duty, upper: str, lower: str, pipe: str, route: Sequence[Plan],
    inverts: tuple[float, float], walls: tuple[str, ...] = (),
) -> SizedRun:  # fmt: skip
    size = find_pipe(pipe)
    length = route_length(route)
    fall = (inverts[0] - inverts[1]) / length
    drain = duty == "footing drain"
    under = 0.0508 if drain else 0.0
    stations = []
    for distance, at in stations_along(route):
        ground = site.surface.level(*at)
        invert = inverts[0] - fall * distance
        crown = invert + size.inside + size.wall
        stations.append(
            Station(
                distance=distance, at=at, ground=ground, invert=invert, cover=ground - crown,
                cut=ground - invert + size.wall + under, water=invert + 0.4 * size.inside,
            )
        )  # fmt: skip
    return SizedRun(
        name=name, duty=duty, upper=upper, lower=lower, pipe=size, pipe_chosen_by="design", grade_chosen_by="design",
        route=tuple(route), length=length, invert_upper=inverts[0], invert_lower=inverts[1], grade=fall,
        pressure=duty == "discharge line", flows={Cause.ROOF: 0.0, Cause.YARD: 0.001, Cause.GROUND: 0.0001},
        flow=0.0011, capacity=0.0 if duty == "discharge line" else 0.006, depth=0.4 * size.inside, velocity=0.7,
        surcharged=False, stations=tuple(stations), stone_width=0.4064 if drain else 0.0, stone_under=under,
        stone_over=0.1524 if drain else 0.0, fabric=drain, walls=walls,
    )  # fmt: skip


def _system(site: Site) -> System:
    point = {name: (item.east, item.north) for name, item in site.points.items()}
    foot = site.walls[0].footing_bottom
    out = 0.254
    a, b, c, f = point["A"], point["B"], point["C"], point["F"]
    sump = point["S1"]
    floor = foot - 0.85
    routes = {
        "FD1": ((f[0] - out, f[1]), (a[0] - out, a[1] - out), (b[0] + out, b[1] - out), sump),
        "FD2": ((c[0] + out, c[1]), (b[0] + out, b[1] + out), sump),
        "YD1": (point["W1"], point["V1"], (b[0], b[1] - 1.9), sump),
        "L1": (point["DP1"], point["E1"]),
        "YD2": (point["E1"], sump),
        "DL": (sump, point["J1"]),
    }
    inlet = foot - 0.25
    runs = (
        _run(site, "FD1", "footing drain", "F", "SUMP", DRAIN, routes["FD1"], (foot, inlet), ("west", "south")),
        _run(site, "FD2", "footing drain", "C", "SUMP", DRAIN, routes["FD2"], (foot, inlet + 0.05), ("east",)),
        _run(site, "YD1", "yard drain", "CB1", "SUMP", "d3034 4 in", routes["YD1"], (foot + 0.35, inlet + 0.15)),
        _run(site, "L1", "leader", "DS1", "CB2", "d3034 4 in", routes["L1"], (foot + 0.35, foot + 0.3)),
        _run(site, "YD2", "yard drain", "CB2", "SUMP", "d3034 4 in", routes["YD2"], (foot + 0.27, inlet + 0.15)),
        _run(site, "DL", "discharge line", "SUMP", "OUT", "sch40 1-1/2 in", routes["DL"], (foot + 0.3, 97.40 * FOOT)),
    )  # fmt: skip
    kinds = {"F": "junction", "C": "junction", "CB1": "inlet", "CB2": "inlet", "DS1": "downspout"}
    nodes: dict[str, Node] = {}
    for run in runs:
        at = run.route[0]
        if run.upper in kinds and run.upper not in nodes:
            ground = site.surface.level(*at)
            nodes[run.upper] = Node(
                name=run.upper, kind=kinds[run.upper], at=at, ground=ground, rim=ground, invert=run.invert_upper
            )  # type: ignore[arg-type]
    ground = site.surface.level(*sump)
    nodes["SUMP"] = Node(name="SUMP", kind="basin", at=sump, ground=ground, rim=ground + 0.0508, invert=inlet)
    j1 = point["J1"]
    nodes["OUT"] = Node(
        name="OUT",
        kind="discharge",
        at=j1,
        ground=site.surface.level(*j1),
        rim=site.surface.level(*j1),
        invert=97.40 * FOOT,
    )
    pump = PumpChoice(
        name="generic 1/2 hp", curve=PumpCurve(flows=(0.0, 0.0013, 0.0025, 0.0038), heads=(7.3, 6.1, 4.3, 1.5)),
        label_power=373.0, float_kind="integral", float_band=None, minimum_depth=0.0762, discharge_size="1-1/2 in",
        starts_limit=10 / 3600, chosen_by="design",
    )  # fmt: skip
    station = LiftStation(
        name="SUMP", at=sump, inside_diameter=0.6096, depth=ground + 0.0508 - floor, rim=ground + 0.0508, ground=ground,
        floor=floor, lowest_inlet=inlet, off=floor + 0.1016, on=floor + 0.3556, alarm=floor + 0.4826, second_on=None,
        pump=pump, static_head=97.40 * FOOT - floor - 0.1016, operating_flow=0.00212, operating_head=4.95, reaches=True,
        velocity=1.65, discharge_run="DL", fittings_k=9.4, band_volume=0.074, starts=0.0023, starts_design=0.0021,
        run_time=71.0, inflow=0.0011, inflow_ground=0.0002, drain_back=0.02, reserve=0.08, collar=0.0,
        collar_width=0.0, collar_height=0.0, uplift=3900.0, resisting=5200.0,
        uplift_convention="sample", water_table=site.water_table or ground, chosen_by="design",
    )  # fmt: skip
    return System(nodes=nodes, runs=runs, gravity=(), stations=(station,), joined=None, discharge="OUT")


def _storm(system: System, site: Site) -> StormTest:
    station = system.station
    assert station is not None
    step, hours = 60.0, 6
    times = np.arange(0.0, hours * 3600.0 + 1, step)
    hump = np.exp(-(((times - 3 * 3600) / 1500.0) ** 2))
    inflow = 0.0001 + 0.0016 * hump
    saw = np.mod(np.cumsum(inflow) * step, station.band_volume) / station.band_volume
    level = station.off + (station.on - station.off) * saw + 0.1 * hump
    rising = np.minimum(station.rim, station.on + np.cumsum(inflow) * step / 3.0 / 0.29)
    storm = Storm(
        name="25-year, 6 h", times=times[:-1:5], intensity=1e-6 + 2.0e-5 * hump[:-1:5], step=300.0, depth=0.125,
        return_period=25 * 31557600.0, source="sample",
    )  # fmt: skip

    def case(key: str, title: str, levels: np.ndarray, fails: float | None, wet: float | None) -> StormCase:
        node = NodeStorm(
            node="SUMP",
            highest=float(levels.max()),
            highest_at=3 * 3600.0,
            rim=station.rim,
            pond_depth=0.0,
            pond_volume=0.0,
            lost=0.0,
        )
        return StormCase(
            key=key, title=title, nodes={"SUMP": node}, slab_level=site.floor - 0.1,
            highest_at_house=float(levels.max()),
            time_to_slab=wet, failure_at=fails, pump_starts=31, pump_seconds=5200.0, starts_busiest_hour=8,
            volume_in=9.0,
            volume_out=8.9, volume_lost=0.0, volume_stored=0.1, times=times, basin_level=levels, inflow=inflow,
            outflow=np.where(saw > 0.5, 0.0021, 0.0),
        )  # fmt: skip

    np.where(times < 3 * 3600, level, rising)
    cases = (
        case("sound", "All in order", level, None, None),
        case("pump dead", "The pump is dead from the start", rising, 0.0, 5400.0),
        case(
            "power out", "Power is out from the peak on", np.where(times < 3 * 3600, level, rising), 3 * 3600.0, 2100.0
        ),
        case("discharge blocked", "The discharge line is blocked", rising, 0.0, 5400.0),
        case("grate half clogged", "Half of each grate is clogged", level, 0.0, None),
    )
    return StormTest(storm=storm, cases=cases)


def _build(site: Site, system: System) -> Build:
    trenches = [
        Trench(
            name=run.name, kind="run", length=run.length, width=0.4064 if run.stone_width == 0 else 0.5080,
            depth_mean=0.8, depth_greatest=0.9, bank_volume=3.0, protection="competent person decides", slope_run=1.5,
            spoil_setback=0.6096, ladder=False, source="sample",
        )
        for run in system.runs
    ]  # fmt: skip
    trenches += [
        Trench(
            name=wall.name, kind="wall", length=wall.length, width=0.6096, depth_mean=0.8, depth_greatest=wall.depth,
            bank_volume=5.0, protection="competent person decides", slope_run=1.5, spoil_setback=0.6096, ladder=False,
            source="sample",
        )
        for wall in site.walls
        if wall.wall.open_and_coat
    ]  # fmt: skip
    crossings = []
    for run in system.runs:
        for line in site.utilities:
            for number, (p, q) in enumerate(zip(run.route, run.route[1:], strict=False)):
                for r, s in zip(line.route, line.route[1:], strict=False):
                    met = _meet(p, q, r, s)
                    if met is None:
                        continue
                    station = route_length((*run.route[: number + 1], met))
                    invert = run.invert_upper - run.grade * station
                    top = site.surface.level(*met) - line.utility.depth.value
                    crossings.append(
                        Crossing(
                            run=run.name, utility=line.utility.name, kind=line.utility.kind, crossing=True,
                            station=station,
                            at=met, utility_top=top, pipe_crown=invert + run.pipe.outside, pipe_invert=invert,
                            bottom=invert - 0.05,
                            clearance=top - line.utility.diameter - invert - run.pipe.outside,
                            clearance_least=top - line.utility.diameter - invert - run.pipe.outside - 0.1524,
                            clearance_most=top - line.utility.diameter - invert - run.pipe.outside + 0.1524,
                            hand_dig=1.2446,
                            shutoff=line.utility.shutoff, basis=line.utility.depth.basis,
                        )
                    )  # fmt: skip
    dig = DigPlan(
        trenches=tuple(trenches), crossings=in_order(crossings), wedges=(), roots=(), unlocated=("storm drain",),
        bank_volume=20.0, loose_volume=26.0, backfill_volume=10.0, haul_volume=16.0, haul_mass=20000.0, swell=0.3,
        barrow_rounds=180, trailer_loads=8, trailer_loads_by_volume=5, trailer_loads_by_mass=8, load_mass=3000.0,
        wall_panel=3.0,
    )  # fmt: skip
    station = system.station
    assert station is not None
    holes = tuple(
        Hole(
            node="SUMP", run=run.name, diameter=run.pipe.hole,
            height=run.invert_lower - station.floor + run.pipe.inside / 2,
            clock=9.0, pipe=run.pipe.key,
        )
        for run in system.runs
        if run.lower == "SUMP"
    )  # fmt: skip
    zero = Decimal(0)
    price = Price(
        lines=(), labour=zero, materials=zero, other=zero, direct_cost=zero, overhead=zero, contingency=zero, cost=zero,
        profit=zero, allowances=zero, minimum=None, margin=zero, markup=zero, before_tax=zero, tax=zero,
        total=zero, deposit=zero, deposit_rule="", low=zero, high=zero, currency="USD", book="sample", invented=True,
    )  # fmt: skip
    return Build(
        dig=dig, takeoff=Takeoff(lines=(), holes=holes), plan=CrewPlan(tasks=(), hours=0.0, days=1, crew=4), price=price
    )


def _meet(p: Plan, q: Plan, r: Plan, s: Plan) -> Plan | None:
    d = (q[0] - p[0]) * (s[1] - r[1]) - (q[1] - p[1]) * (s[0] - r[0])
    if math.isclose(d, 0.0, abs_tol=1e-12):
        return None
    t = ((r[0] - p[0]) * (s[1] - r[1]) - (r[1] - p[1]) * (s[0] - r[0])) / d
    u = ((r[0] - p[0]) * (q[1] - p[1]) - (r[1] - p[1]) * (q[0] - p[0])) / d
    return (p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])) if 0 <= t <= 1 and 0 <= u <= 1 else None


def sample_design(job: Job | None = None) -> Design:
    """A whole design on the demonstration job, or on a changed one with the same places."""
    job = sample_job() if job is None else job
    site = survey(job)
    system = _system(site)
    water = inflows(site)
    return Design(
        job=job, site=site, inflows=water, system=system,
        storm=_storm(system, site), build=_build(site, system),
        findings=(), answers=(), steps=(), moisture=moisture_sources(site, water),
    )  # fmt: skip


@lru_cache(maxsize=4)
def designed(example: str) -> Design:
    """An example, designed for real as far as drawings need it: without findings and answers."""
    job = read_job(ROOT / "examples" / example / "job.yaml")
    site = survey(job)
    water = inflows(site)
    system = lay_out(site, water)
    return Design(
        job=job, site=site, inflows=water, system=system, storm=storm_test(site, water, system),
        build=build_side(site, system), findings=(), answers=(), steps=(), moisture=moisture_sources(site, water),
    )  # fmt: skip


__all__ = ["FOOT", "ROOT", "designed", "sample_design", "sample_job"]
