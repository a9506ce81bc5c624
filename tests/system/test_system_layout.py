"""The whole stage on an invented job: gravity or lift, proposals, conflicts, errors, laws."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
from shapely import LineString, Polygon
from system_jobs import designed, document

from drainwright.errors import JobError
from drainwright.field import survey
from drainwright.job.model import Job
from drainwright.system import lay_out
from drainwright.system.catalogue import nominal_size
from drainwright.system.model import System
from drainwright.water import inflows
from drainwright.water.model import Cause
from drainwright.worksheet import worksheet

FOOT = 0.3048

GIVEN = [
    {"name": "FD1", "duty": "footing drain", "from": "C", "to": "SUMP", "beside": ["east", "south"]},
    {"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "SUMP"},
    {"name": "DL", "duty": "discharge line", "from": "SUMP", "to": "OUT"},
]
LEADERS = [
    {"name": "L1", "duty": "leader", "from": "DS1", "to": "SUMP"},
    {"name": "L2", "duty": "leader", "from": "DS2", "to": "SUMP"},
]
BASIN = {"name": "SUMP", "at": "-6 ft, -8 ft"}


def with_basin(fall: float = 0.01, runs: list[dict[str, Any]] | None = None, **changes: Any) -> dict[str, Any]:
    works = {key: changes.pop(key) for key in ("invert",) if key in changes}
    works |= {"runs": GIVEN + LEADERS if runs is None else runs, "basin": BASIN | changes.pop("basin", {})}
    data = document(fall, **works)
    return data | {"criteria": {"roof_water": "to basin"} | changes}


def check(system: System) -> None:
    """What any system keeps, conflicts or not."""
    for run in system.runs:
        assert run.upper in system.nodes
        assert run.lower in system.nodes
        assert run.flow == pytest.approx(sum(run.flows.values()))
        assert run.stations[0].distance == 0.0
        assert run.stations[-1].distance == pytest.approx(run.length)
        assert all(b.distance - a.distance <= 1.0 + 1e-9 for a, b in pairwise(run.stations))
        assert run.stations[0].invert == pytest.approx(run.invert_upper)
        assert run.stations[-1].invert == pytest.approx(run.invert_lower)
        for station in run.stations:
            assert station.cut > station.cover
            if not run.pressure:
                assert station.water >= station.invert - 1e-9
    names = [run.name for run in system.runs]
    for run in system.runs:
        for below in system.runs:
            if below.upper == run.lower and below.duty != "overflow":
                assert names.index(run.name) < names.index(below.name)


def test_gravity_where_the_ground_falls_enough() -> None:
    _, _, system = designed(document(0.08))
    check(system)
    assert system.station is None
    assert system.gravity[0].reaches
    assert not system.conflicts
    assert {run.lower for run in system.runs} >= {"OUT"}
    assert all(not run.pressure for run in system.runs)
    assert all(run.grade > 0 for run in system.runs)


def test_a_lift_station_where_it_does_not() -> None:
    _, _, system = designed(document(0.0))
    check(system)
    assert not system.gravity[0].reaches
    assert system.station is not None
    assert system.station.chosen_by == "design"
    assert system.nodes["SUMP"].kind == "basin"
    assert system.run(system.station.discharge_run).pressure
    assert any("generic" in note for note in system.notes)


def test_a_forbidden_way_out_is_no_way_out_though_gravity_reaches_it() -> None:
    _, _, system = designed(document(0.08, permission="forbidden, measured"))
    assert system.gravity[0].lawful == "forbidden"
    assert system.station is not None


def test_a_basin_of_the_job_is_kept_where_gravity_would_do() -> None:
    _, _, system = designed(with_basin(0.08))
    assert system.gravity[0].reaches
    assert system.station is not None


def test_no_basin_means_no_station() -> None:
    _, _, system = designed(document(0.0, basin="none"))
    check(system)
    assert system.station is None
    assert system.conflicts


def test_proposed_drains_lie_along_the_wet_walls_and_say_so() -> None:
    site, _, system = designed(document(0.08))
    drains = [run for run in system.runs if run.duty == "footing drain"]
    assert {name for run in drains for name in run.walls} == {"south", "east"}
    assert all(any(note.startswith(f"Proposed: footing drain {run.name}") for note in system.notes) for run in drains)
    assert all(run.flows[Cause.GROUND] > 0.0 for run in drains)
    house = Polygon(site.outline).buffer(-0.05)
    assert not any(LineString(run.route).intersects(house) for run in system.runs)


def test_roof_water_stays_out_of_the_footing_drain_where_it_is_to_be_separate() -> None:
    _, _, system = designed(document(0.08))
    wet = {run.name for run in system.runs if run.flows[Cause.GROUND] > 0.0}
    assert wet
    assert not any(run.flows[Cause.ROOF] > 0.0 for run in system.runs if run.name in wet)


def test_causes_add_up_at_the_basin() -> None:
    _, water, system = designed(with_basin())
    assert system.station is not None
    for cause in Cause:
        arriving = sum(run.flows[cause] for run in system.runs if run.lower == "SUMP")
        assert arriving == pytest.approx(water.by_cause()[cause])
    assert system.station.inflow == pytest.approx(sum(water.by_cause().values()))
    assert system.station.inflow_ground == pytest.approx(water.by_cause()[Cause.GROUND])


def test_levels_of_the_station_stand_in_their_order() -> None:
    _, _, system = designed(with_basin(basin={"second_pump": True}))
    station = system.station
    assert station is not None
    assert station.second_on is not None
    assert (
        station.floor
        < station.off
        < station.on
        < station.second_on
        < station.alarm
        < station.lowest_inlet
        < station.rim
    )
    assert station.lowest_inlet == pytest.approx(
        min(run.invert_lower for run in system.runs if run.lower == "SUMP")
    )  # fmt: skip
    assert station.band_volume == pytest.approx(math.pi / 4 * station.inside_diameter**2 * (station.on - station.off))


def test_footing_drain_keeps_between_floor_and_footing_or_says_so() -> None:
    site, _, system = designed(with_basin())
    drain = system.run("FD1")
    underside = site.floor - site.job.house.floor_thickness
    assert drain.invert_upper <= underside - site.job.criteria.drain_below_floor + 1e-9
    beside = [station for station in drain.stations if station.at[1] >= -0.5 * FOOT or station.at[0] > 0.0]
    bottom = site.walls[0].footing_bottom
    assert all(station.ground - station.cut >= bottom - 1e-6 for station in beside)
    assert not system.conflicts


def test_more_rain_never_gives_a_smaller_pipe_or_pump_flow() -> None:
    def at(area: str) -> System:
        data = with_basin()
        data["roofs"][0]["area"] = f"{area} ft2, measured"
        return designed(data)[2]

    small, large = at("300"), at("2500")
    for run in small.runs:
        if not run.pressure:
            assert nominal_size(large.run(run.name).pipe) >= nominal_size(run.pipe)
    assert small.station is not None
    assert large.station is not None
    assert large.station.operating_flow >= small.station.operating_flow


def test_what_the_job_fixes_is_kept() -> None:
    runs = [dict(run) for run in GIVEN + LEADERS]
    runs[1] |= {"pipe": "corrugated smooth 6 in", "invert_from": "98.20 ft", "invert_to": "98.05 ft"}
    runs[2] |= {"pipe": "sch40 2 in"}
    _, _, system = designed(with_basin(runs=runs))
    yard, line = system.run("YD1"), system.run("DL")
    assert (yard.pipe.key, yard.pipe_chosen_by, yard.grade_chosen_by) == ("corrugated smooth 6 in", "job", "job")
    assert (yard.invert_upper / FOOT, yard.invert_lower / FOOT) == pytest.approx((98.20, 98.05))
    assert (line.pipe.key, line.pipe_chosen_by) == ("sch40 2 in", "job")


def test_an_impossible_outlet_becomes_a_conflict_in_words() -> None:
    runs = [run | {"to": "OUT"} for run in GIVEN[:2]]
    _, _, system = designed(document(0.0, runs=runs, basin="none", invert="101 ft"))
    check(system)
    assert any("discharge point" in text or "rise with the flow" in text for text in system.conflicts)


def test_a_line_that_ends_in_the_air_has_no_trench_there_and_says_so() -> None:
    data = with_basin(invert="101 ft")
    _, _, system = designed(data)
    check(system)
    last = system.run("DL").stations[-1]
    assert last.invert > last.ground
    assert all(station.cut >= 0.0 for run in system.runs for station in run.stations)
    assert last.cut == 0.0
    assert any(note.startswith("DL: lies above the ground") for note in system.notes)


def test_runs_that_gravity_cannot_follow_are_led_to_a_basin() -> None:
    runs = [run | {"to": "OUT"} for run in GIVEN[:2]]
    _, _, system = designed(document(0.0, runs=runs))
    assert system.station is not None
    assert system.run("FD1").lower == "SUMP"
    assert any("FD1 is led to the basin SUMP" in note for note in system.notes)


def test_the_pumped_flow_goes_on_below_an_air_gap() -> None:
    runs = [dict(run) for run in GIVEN + LEADERS]
    runs[2] |= {"to": "CB2"}
    runs.append({"name": "YD2", "duty": "yard drain", "from": "CB2", "to": "OUT"})
    data = with_basin(0.03, runs=runs)
    data["works"]["inlets"].append({"name": "CB2", "at": "20 ft, -30 ft"})
    _, _, system = designed(data)
    check(system)
    assert system.station is not None
    assert system.run("YD2").flow == pytest.approx(system.station.operating_flow, rel=1e-6)


def test_the_line_joined_carries_pump_and_other_roofs_together() -> None:
    data = with_basin()
    data["works"]["runs"] = GIVEN + LEADERS[:1]
    data["works"]["discharge"][0] |= {
        "kind": "storm line", "invert": "99 ft",
        "joins": {
            "pipe": "d3034 4 in", "grade": "1 %, measured", "other_roof": ["DS2"], "other_flow": "3 gpm, measured",
        },
    }  # fmt: skip
    _, water, system = designed(data)
    joined, station = system.joined, system.station
    assert joined is not None
    assert station is not None
    assert joined.pumped == pytest.approx(station.operating_flow)
    assert joined.roof == pytest.approx(water.at("DS2", Cause.ROOF))
    assert joined.other == pytest.approx(3 * 6.30901964e-5)
    assert joined.capacity == pytest.approx(0.3117 / 0.010 * (3.975 * 0.0254) ** (8 / 3) * 0.1, rel=1e-3)


def test_a_line_that_falls_to_a_storm_line_runs_empty_when_pump_and_rain_rest() -> None:
    """What it joins stands full in the rain alone: in a frost nothing of the water is left in either."""
    data = with_basin()
    data["works"]["runs"] = GIVEN + LEADERS[:1]
    joins = {"pipe": "d3034 4 in", "grade": "1 %, measured", "other_roof": ["DS2"], "other_flow": "300 gpm, measured"}
    out = data["works"]["discharge"][0]
    out |= {"kind": "storm line", "invert": "94 ft", "joins": joins}
    data["rules"] = {**data.get("rules", {}), "frost_depth": "60 in, measured"}
    station = designed(data)[2].station
    assert station is not None
    assert station.line is not None
    assert not station.line.highs
    assert not station.line.lows
    assert station.line.standing.volume == 0.0
    out["tailwater"] = "96 ft"  # water that stands there whatever the rain
    station = designed(data)[2].station
    assert station is not None
    assert station.line is not None
    assert station.line.standing.frozen > 0.0


@pytest.mark.parametrize(
    ("runs", "words"),
    [
        ([GIVEN[1] | {"to": "NOWHERE"}], "NOWHERE"),
        ([GIVEN[1] | {"from": "CB9"}], "Did you mean 'CB1'"),
        ([GIVEN[1], GIVEN[1] | {"name": "YD2", "to": "A"}], "all leave CB1"),
        (
            [
                {"name": "a", "duty": "yard drain", "from": "A", "to": "B"},
                {"name": "b", "duty": "yard drain", "from": "B", "to": "C"},
                {"name": "c", "duty": "yard drain", "from": "C", "to": "A"},
                {"name": "d", "duty": "yard drain", "from": "CB1", "to": "OUT"},
            ],
            "a loop: A to B to C to A",
        ),
        ([{"name": "a", "duty": "yard drain", "from": "OUT", "to": "A"}], "leaves the discharge point"),
        ([GIVEN[0] | {"beside": ["eas"]}], "Did you mean 'east'"),
        ([GIVEN[1] | {"pipe": "sch40 2.2 in"}], "nearest are"),
    ],
)
def test_a_network_that_cannot_be_is_an_error_with_its_place(runs: list[dict[str, Any]], words: str) -> None:
    with pytest.raises(JobError, match=words) as caught:
        designed(document(0.02, runs=runs))
    assert caught.value.problems[0].where.startswith("works.runs")


def test_the_same_job_gives_the_same_system_with_or_without_a_worksheet() -> None:
    site = survey(Job.model_validate(with_basin()))
    water = inflows(site)
    with worksheet() as steps:
        recorded = lay_out(site, water)
    assert recorded == lay_out(site, water)
    places = {step.place for step in steps}
    assert {"runs.FD1", "runs.YD1", "works.SUMP"} <= places
    assert len(steps) < 150  # the solvers' own calls are not on it
