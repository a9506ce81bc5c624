"""Trials of the rules of the network: shared lines, overflows, meetings, waters kept apart."""

from __future__ import annotations

import math
from dataclasses import replace

from drainwright.findings.rules import Case
from drainwright.job.values import Place
from drainwright.storm.model import StormCase
from drainwright.system.model import MainFlow
from drainwright.system.surface.overflow import Overflow
from drainwright.water.model import Cause

from .change import Change, Trial, as_designed, basin, every, job, put, run, station, storm

Q = 0.002  # [m³/s]


def shared(together: float, alone: float = Q, inflow: float = 0.001) -> Change:
    """The pump shares its line with another's."""

    def change(case: Case) -> Case:
        assert case.system.station is not None
        name = case.system.station.name
        main = MainFlow(
            basins=(name, "YARD"), lines=("DL",), end="OUT", together={name: together, "YARD": Q},
            alone={name: alone, "YARD": Q}, heads={}, parts=(), end_level=-math.inf,
        )  # fmt: skip
        return every(put("system", "mains", to=(main,)), station(inflow=inflow))(case)

    return change


def over(place: str, starts: float, capacity: float, inflow: float = 0.001) -> Change:
    """An overflow; levels are given below the floor's underside. [m]"""

    def change(case: Case) -> Case:
        allowed = case.floor_underside
        made = Overflow(
            run="OV", place=place, to="OUT", starts=allowed - starts, allowed=allowed, at_floor=True,
            capacity=capacity, inflow=inflow, level=allowed - starts + 0.05,
        )  # fmt: skip
        return put("system", "overflows", to=(made,))(case)

    return change


def carried(time_to_slab: float | None) -> Change:
    """The overflow is wide enough, and carries a cubic metre in the storm with the pump dead."""
    return every(over("SUMP", 0.3, 0.0015), storm("pump dead", carried={"OV": 1.0}, time_to_slab=time_to_slab))


def _under_start(case: Case) -> Case:
    assert case.system.station is not None
    below = case.floor_underside - case.system.station.on + 0.05
    return over(case.system.station.name, below, 0.01)(case)


def meeting(turn: float) -> Change:
    """Two lines meet at a junction: one straight on, one at a turn."""

    def change(case: Case) -> Case:
        way = math.radians(180.0 - turn)
        first, second, going = case.system.runs[0], case.system.runs[1], case.system.runs[2]
        node = replace(case.system.nodes[first.upper], name="J", kind="junction", at=(0.0, 0.0))
        runs = (
            replace(first, name="a", upper="A", lower="J", route=((-5.0, 0.0), (0.0, 0.0)), pressure=False),
            replace(second, name="b", upper="B", lower="J", route=((5 * math.cos(way), 5 * math.sin(way)), (0.0, 0.0)),
                    pressure=False),
            replace(going, name="c", upper="J", lower="OUT", route=((0.0, 0.0), (5.0, 0.0)), pressure=False),
        )  # fmt: skip
        system = replace(case.system, nodes={**case.system.nodes, "J": node}, runs=runs)
        return put("system", to=system)(case)

    return change


def spilt(volume: float) -> Change:
    """So much runs over the rim of the basin at the drive with everything working."""

    def change(case: Case) -> Case:
        sound: StormCase = case.storm.cases[0]
        nodes = {**sound.nodes, "DRIVE": replace(sound.nodes["DRIVE"], lost=volume)}
        return put("storm", "cases", 0, to=replace(sound, nodes=nodes))(case)

    return change


def idle(basin_name: str) -> Change:
    """No line leads to the basin, and no water comes."""

    def change(case: Case) -> Case:
        stations = tuple(
            replace(item, inflow=0.0) if item.name == basin_name else item for item in case.system.stations
        )
        runs = tuple(item for item in case.system.runs if item.lower != basin_name)
        return put("system", to=replace(case.system, stations=stations, runs=runs))(case)

    return change


def bent(name: str, corner: int, at: tuple[float, float]) -> Change:
    """A run with one corner elsewhere. [m]"""

    def change(case: Case) -> Case:
        route = case.system.run(name).route
        return run(name, route=(*route[:corner], at, *route[corner + 1 :]))(case)

    return change


def roof_in_drain(told: str, below: float) -> Change:
    """Roof water in the footing drain, its water so far below the floor's underside everywhere and in the storm."""

    def change(case: Case) -> Case:
        level = case.floor_underside - below
        for item in case.system.runs:
            if item.duty == "footing drain":
                stations = tuple(replace(place, water=level) for place in item.stations)
                flows = {**item.flows, Cause.ROOF: 0.001}
                case = run(item.name, stations=stations, flows=flows, stone_water=())(case)
        case = put("storm", "cases", 0, to=replace(case.storm.cases[0], highest_at_house=level))(case)
        return job("criteria", "roof_water", to=told)(case)

    return change


def joining(above: float) -> Change:
    """Yard water joins below the footing drain, its level so far above the drain's lowest invert. [m]"""

    def change(case: Case) -> Case:
        drain = next(item for item in case.system.runs if item.duty == "footing drain")
        onward = next(item for item in case.system.runs if item.upper == drain.lower)
        level = min(drain.invert_lower, drain.invert_upper) + above
        water = {**case.system.water, drain.lower: replace(case.system.water[drain.lower], level=level)}
        case = put("system", "water", to=water)(case)
        case = run(drain.name, flows=dict.fromkeys(Cause, 0.0) | {Cause.GROUND: 1e-5})(case)
        return run(onward.name, flows={**onward.flows, Cause.YARD: 0.001})(case)

    return change


SHORT_PUMP = every(roof_in_drain("to footing drain", 0.3), station(operating_flow=Q, inflow=1.2 * Q))


def paved_at(name: str) -> Change:
    """A drive of 2 m by 2 m round a place."""

    def change(case: Case) -> Case:
        east, north = case.system.nodes[name].at
        ring = tuple(Place(east=east + x, north=north + y) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
        drive = case.job.yards[0].model_copy(update={"name": "drive", "surface": "gravel", "outline": ring})
        return job("yards", to=(*case.job.yards, drive))(case)

    return change


TRIALS = (
    Trial("NET-33", None, change=as_designed),
    Trial(
        "NET-33", "caution", change=paved_at("CB1"), where="works.inlets.CB1", says="its grate, its body and what they"
    ),
    Trial("NET-33", "caution", change=paved_at("SUMP"), where="works.basin", says="its lid, its body and what they"),
    Trial("LFT-40", None, change=as_designed),
    Trial("LFT-40", None, change=as_designed, base="stations"),
    Trial("LFT-40", "ok", change=shared(0.8 * Q), says="20 %"),
    Trial("LFT-40", "caution", change=shared(0.4 * Q, inflow=0.3 * Q), says="loses 60 %"),
    Trial("LFT-40", "fails", change=shared(0.4 * Q, inflow=0.5 * Q), says="less than alone"),
    Trial("LFT-40", "fails", change=shared(0.0), says="holds its check valve shut"),
    Trial("LFT-40", "fails", change=every(basin(check_valve=False), shared(0.8 * Q)), says="no check valve at SUMP"),
    Trial("LFT-41", None, change=as_designed),
    Trial("LFT-41", "ok", change=over("SUMP", 0.3, 0.0015), where="works.basin", says="takes the whole design rain"),
    Trial("LFT-41", "caution", change=over("SUMP", 0.3, 0.0005), where="works.basin", says="before water reaches"),
    Trial("LFT-41", "fails", change=over("SUMP", -0.1, 0.0), where="works.basin", says="begins to run only"),
    Trial("LFT-41", "fails", change=_under_start, where="works.basin", says="the pump never runs"),
    Trial("LFT-41", "ok", change=carried(None), where="works.basin", says="the floor stays dry"),
    Trial("LFT-41", "caution", change=carried(1800.0), where="works.basin", says="reaches the"),
    Trial("LFT-43", "ok", change=as_designed),
    Trial("LFT-43", "ok", change=as_designed, base="stations", where="works.more_basins.DRIVE"),
    Trial("LFT-43", "caution", change=station(inflow=0.0), where="works.basin", says="gets no water"),
    Trial(
        "LFT-43",
        "caution",
        change=idle("DRIVE"),
        base="stations",
        where="works.more_basins.DRIVE",
        says="no line leads to it",
    ),
    # FD2 begins nearest to DRIVE; FD1 has the nearer second corner when moved there
    Trial(
        "LFT-43",
        "caution",
        change=every(idle("DRIVE"), bent("FD1", 1, (28.0, -3.6))),
        base="stations",
        where="works.more_basins.DRIVE",
        says="lead FD2 to it rather than to SUMP",
    ),
    Trial("LFT-42", None, change=as_designed),
    Trial("LFT-42", "ok", change=as_designed, base="stations"),
    Trial("LFT-42", "ok", change=spilt(0.005), base="stations", where="works.more_basins.DRIVE"),
    Trial("LFT-42", "fails", change=spilt(0.5), base="stations", where="works.more_basins.DRIVE", says="over the rim"),
    Trial("NET-30", None, change=over("SUMP", 0.3, 0.0015)),
    Trial("NET-30", "ok", change=over("CB1", 0.3, 0.0015), where="works.runs.OV"),
    Trial(
        "NET-30", "caution", change=over("CB1", 0.3, 0.0005), where="works.runs.OV", says="With the main line blocked"
    ),
    Trial("NET-30", "fails", change=over("CB1", -0.1, 0.0), where="works.runs.OV"),
    Trial(
        "NET-31", None, change=every(meeting(45.0), lambda case: put("system", "runs", to=case.system.runs[1:])(case))
    ),
    Trial("NET-31", "ok", change=meeting(45.0), says="45 degrees at J"),
    Trial("NET-31", "ok", change=meeting(90.0)),
    Trial("NET-31", "caution", change=meeting(120.0), says="against the stream"),
    Trial("NET-31", "fails", change=meeting(150.0), says="head on"),
    Trial("NET-32", "ok", change=roof_in_drain("to footing drain", 0.3), says="as the job says"),
    Trial("NET-32", "fails", change=roof_in_drain("to footing drain", 0.02), says="cannot be shown"),
    Trial("NET-32", "fails", change=roof_in_drain("to basin", -0.1), says="cannot be shown"),
    Trial("NET-32", "fails", change=SHORT_PUMP, says="the pump does not take it"),
    Trial("NET-32", None, change=every(roof_in_drain("separate", 0.02))),
    Trial("NET-32", "ok", change=joining(-0.05), base="gravity", says="does not back up"),
    Trial("NET-32", "caution", change=joining(0.02), base="gravity", says="leaves silt"),
    Trial("NET-32", "fails", change=joining(3.0), base="gravity", says="backs up through"),
    Trial("NET-06", "caution", change=roof_in_drain("to footing drain", 0.3), says="shown not to reach the floor"),
    Trial("NET-06", "fails", change=roof_in_drain("to footing drain", 0.02)),
    Trial("NET-06", "fails", change=roof_in_drain("separate", 0.3)),
)
