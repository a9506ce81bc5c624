"""A small site and system made by hand: one opened wall with its drain, a basin, a discharge line, a leader."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any, cast

from drainwright.build.units import FOOT, INCH
from drainwright.field.model import Plan, Site, SiteTree, SiteUtility, SiteWall
from drainwright.hydraulics.pump import PumpCurve
from drainwright.job.model import Job
from drainwright.job.site import Tree, Utility, Wall
from drainwright.system.bends import line_bends
from drainwright.system.model import LiftStation, Node, Pipe, PumpChoice, SizedRun, Station, System

GROUND = 30.0  # level ground [m]


def feet(*values: float) -> Plan:
    """A place in feet."""
    return values[0] * FOOT, values[1] * FOOT


def make_pipe(nominal: str = "4 in", family: str = "D2729", perforated: bool = True, **changes: Any) -> Pipe:
    outside = {"4 in": 4.215, "3 in": 3.25, "1-1/2 in": 1.9, "2 in": 2.375}[nominal] * INCH
    wall = 0.075 * INCH if family != "Schedule 40" else 0.145 * INCH
    word = {"D2729": "d2729", "D3034 SDR 35": "d3034", "Schedule 40": "sch40"}[family]
    given: dict[str, Any] = {
        "key": f"{word} {nominal}" + (" perforated" if perforated else ""),
        "nominal": nominal,
        "family": family,
        "outside": outside,
        "inside": outside - 2 * wall,
        "wall": wall,
        "manning": 0.010,
        "hazen_williams": 140.0,
        "perforated": perforated,
        "perforation_area": 0.002 if perforated else 0.0,
        "envelope": 0.0,
        "sticks": (10 * FOOT,) if family == "D2729" else (10 * FOOT, 20 * FOOT),
        "hole": outside + 0.15 * INCH,
        "source": "astm_d2729",
    }
    return Pipe(**{**given, **changes})


def make_run(
    name: str,
    route: tuple[Plan, ...],
    upper: float,
    lower: float,
    *,
    ends: tuple[str, str],
    pipe: Pipe | None = None,
    duty: str = "footing drain",
    stone: float = 12 * INCH,
    under: float = 2 * INCH,
    over: float = 6 * INCH,
    walls: tuple[str, ...] = (),
    pressure: bool = False,
    ground: float = GROUND,
) -> SizedRun:
    pipe = pipe or make_pipe()
    length = sum(math.dist(a, b) for a, b in pairwise(route))
    under = under if stone else 0.0
    along = [0.0]
    for a, b in pairwise(route):
        along.append(along[-1] + math.dist(a, b))
    stations = []
    for distance, at in zip(along, route, strict=True):
        invert = upper + (lower - upper) * distance / length
        bottom = invert - pipe.wall - under
        crown = invert - pipe.wall + pipe.outside
        stations.append(
            Station(
                distance=distance,
                at=at,
                ground=ground,
                invert=invert,
                cover=ground - crown,
                cut=ground - bottom,
                water=invert,
            )
        )
    inverts = [station.invert for station in stations]
    bends = line_bends(along, route, inverts, level_start=True, level_end=False) if pressure else ()
    return SizedRun(
        bends=bends,
        name=name,
        duty=cast(Any, duty),
        upper=ends[0],
        lower=ends[1],
        pipe=pipe,
        pipe_chosen_by="design",
        grade_chosen_by="design",
        route=route,
        length=length,
        invert_upper=upper,
        invert_lower=lower,
        grade=(upper - lower) / length,
        pressure=pressure,
        flows={},
        flow=0.001,
        capacity=0.005,
        depth=0.03,
        velocity=0.5,
        surcharged=False,
        stations=tuple(stations),
        stone_width=stone,
        stone_under=under,
        stone_over=over if stone else 0.0,
        fabric=stone > 0,
        walls=walls,
    )


def make_wall(name: str, start: Plan, end: Plan, *, footing: float, **changes: Any) -> SiteWall:
    """A wall seen from outside, the house to its left: outward is to the right of start to end."""
    length = math.dist(start, end)
    east, north = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    data = {
        "name": name,
        "from": "A",
        "to": "B",
        "footing_bottom": f"{footing} m",
        "footing_thickness": "8 in",
        "footing_projection": "4 in",
        "open_and_coat": True,
        **changes,
    }
    return SiteWall(
        wall=Wall.model_validate(data),
        start=start,
        end=end,
        outward=(north, -east),
        length=length,
        ground_start=GROUND,
        ground_end=GROUND,
        ground_lowest=GROUND,
        ground_highest=GROUND,
        footing_bottom=footing,
        footing_top=footing + 8 * INCH,
    )


def make_utility(
    name: str, kind: str, route: tuple[Plan, ...], down: float, diameter: str = "1 in", **changes: Any
) -> SiteUtility:
    data = {
        "name": name,
        "kind": kind,
        "route": [f"{east} m, {north} m" for east, north in route],
        "depth": {"value": f"{down} m", "basis": "measured"},
        "diameter": diameter,
        "located_by": "locate ticket",
        "shutoff": "curb box",
        **changes,
    }
    return SiteUtility(utility=Utility.model_validate(data), route=route, top=tuple(GROUND - down for _ in route))


def make_tree(name: str, at: Plan, diameter: float, per_diameter: float = 18.0) -> SiteTree:
    tree = Tree.model_validate({"name": name, "at": f"{at[0]} m, {at[1]} m", "trunk_diameter": f"{diameter} m"})
    return SiteTree(tree=tree, at=at, root_radius=per_diameter * diameter)


def job_data(**changes: Any) -> dict[str, Any]:
    data: dict[str, Any] = {
        "schema_version": 1,
        "title": "A small invented job",
        "demonstration": True,
        "survey": {},
        "house": {"outline": ["0 ft, 0 ft", "20 ft, 0 ft", "20 ft, 20 ft"], "floor_kind": "slab", "floor": "30 m"},
        "ground": {"texture": "sandy loam, measured"},
        "rain": {"return_periods": ["10 yr"], "table": [{"duration": "5 min", "depths": ["0.6 in"]}]},
        "works": {
            "runs": [
                {"name": "FD", "duty": "footing drain", "from": "A", "to": "SUMP", "cleanout": True},
                {"name": "L1", "duty": "leader", "from": "DS1", "to": "SUMP"},
                {"name": "DL", "duty": "discharge line", "from": "SUMP", "to": "OUT"},
            ],
            "discharge": [{"name": "OUT", "at": "30 ft, -40 ft", "kind": "daylight", "invert": "29.5 m"}],
        },
        "utilities_absent": [
            "water", "gas", "communication", "electric", "sewer", "septic", "irrigation", "irrigation control",
            "low voltage lighting",
        ],
    }  # fmt: skip
    return {**data, **changes}


def make_site(walls: tuple[SiteWall, ...] | None = None, **changes: Any) -> Site:
    places = {name: changes.pop(name, ()) for name in ("utilities", "trees")}
    table = changes.pop("water_table", None)
    if walls is None:
        walls = (make_wall("front", feet(0, 0), feet(20, 0), footing=GROUND - 3 * FOOT),)
    return Site(
        job=Job.model_validate(job_data(**changes)),
        points={},
        traverse=None,
        level_book=None,
        surface=cast(Any, None),
        outline=(feet(0, 0), feet(20, 0), feet(20, 20)),
        walls=walls,
        floor=GROUND,
        floor_basis=cast(Any, "measured"),
        water_table=table,
        barrier=None,
        boundary=(),
        **places,
    )


def make_node(name: str, kind: str, at: Plan, invert: float) -> Node:
    return Node(name=name, kind=cast(Any, kind), at=at, ground=GROUND, rim=GROUND, invert=invert)


def make_station(at: Plan, *, lowest: float, discharge: str = "DL") -> LiftStation:
    curve = PumpCurve(flows=(0.0, 0.002, 0.004), heads=(10.0, 7.0, 1.0))
    pump = PumpChoice(
        name="generic 1/2 hp",
        curve=curve,
        label_power=372.85,
        float_kind="adjustable",
        float_band=None,
        minimum_depth=0.08,
        discharge_size="1-1/2 in",
        starts_limit=0.003,
        chosen_by="design",
    )
    floor = lowest - 0.6
    return LiftStation(
        name="SUMP",
        at=at,
        inside_diameter=24 * INCH,
        depth=GROUND + 0.05 - floor,
        rim=GROUND + 0.05,
        ground=GROUND,
        floor=floor,
        lowest_inlet=lowest,
        off=floor + 0.1,
        on=floor + 0.4,
        alarm=floor + 0.5,
        second_on=None,
        pump=pump,
        static_head=1.5,
        operating_flow=0.002,
        operating_head=5.0,
        reaches=True,
        velocity=1.5,
        discharge_run=discharge,
        fittings_k=3.0,
        band_volume=0.09,
        starts=0.001,
        starts_design=0.001,
        run_time=90.0,
        inflow=0.001,
        inflow_ground=0.0001,
        drain_back=0.001,
        reserve=0.03,
        collar=0.0,
        collar_width=0.0,
        collar_height=0.0,
        uplift=0.0,
        resisting=300.0,
        uplift_convention="total weights",
        water_table=floor,
        chosen_by="design",
    )


def make_system() -> System:
    """A footing drain along the front wall to a basin off its end, a leader, a discharge line."""
    invert = GROUND - 2.5 * FOOT
    drain = make_run(
        "FD", (feet(0, -1), feet(20, -1), feet(28, -1)), invert, invert - 0.09, ends=("A", "SUMP"), walls=("front",)
    )
    leader = make_run(
        "L1",
        (feet(20.5, 10), feet(28, 10), feet(28, -1)),
        GROUND - 0.5,
        GROUND - 0.6,
        ends=("DS1", "SUMP"),
        pipe=make_pipe("4 in", "D3034 SDR 35", perforated=False),
        duty="leader",
        stone=0.0,
    )
    line = make_run(
        "DL",
        (feet(28, -1), feet(28, -40), feet(30, -40)),
        GROUND - 0.4,
        GROUND - 0.5,
        ends=("SUMP", "OUT"),
        pipe=make_pipe("1-1/2 in", "Schedule 40", perforated=False),
        duty="discharge line",
        stone=0.0,
        pressure=True,
    )
    nodes = {
        "A": make_node("A", "junction", feet(0, -1), invert),
        "DS1": make_node("DS1", "downspout", feet(20.5, 10), GROUND - 0.5),
        "SUMP": make_node("SUMP", "basin", feet(28, -1), invert - 0.09),
        "OUT": make_node("OUT", "discharge", feet(30, -40), GROUND - 0.5),
    }
    return System(
        nodes=nodes,
        runs=(drain, leader, line),
        gravity=(),
        stations=(make_station(feet(28, -1), lowest=invert - 0.09),),
        joined=None,
        discharge="OUT",
    )
