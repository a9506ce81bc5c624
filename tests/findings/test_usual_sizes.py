"""Figures of another size than usual: each range has a slip that trips it and a twin that does not."""

from __future__ import annotations

import json
from typing import Any, NamedTuple

import pytest

from drainwright.field import survey
from drainwright.field.usual import RANGES, Unusual, unusual
from drainwright.job.changes import changed_job
from drainwright.job.reading import read_job, read_text
from drainwright.job.writing import to_json

from ..build.hazards.planted import LOTS
from ..conftest import EXAMPLES

JOBS = sorted(path for path in EXAMPLES.rglob("*.yaml") if path.name in ("job.yaml", "mended.yaml"))
PUMP = {"name": "P", "curve": [{"flow": "0 gpm", "head": "20 ft"}, {"flow": "40 gpm", "head": "5 ft"}]}


class Slip(NamedTuple):
    """One key of a job at a value that is out of the ordinary, and at one that is not."""

    what: str  # the range's own words, with those that follow
    key: str
    odd: Any
    usual: Any
    says: str  # must stand in the message
    where: str = ""  # left out: the key
    path: str = "block-wall-house/job"


def pump(flow: str = "40 gpm", head: str = "20 ft") -> dict[str, Any]:
    return {**PUMP, "curve": [{"flow": "0 gpm", "head": head}, {"flow": flow, "head": "5 ft"}]}


def rain(depth: str) -> list[dict[str, Any]]:
    return [{"duration": "5 min", "depths": [depth] * 4}, {"duration": "24 h", "depths": ["9 in"] * 4}]


BASIN = "works.basin.{}"
SLIPS = (
    Slip("a house's footing lies below the ground", "house.walls.west.footing_bottom", "56 ft below A, measured",
         "5 ft 6 in below A, measured", "is it 56 in?"),
    Slip("a footing is thick", "house.walls.west.footing_thickness", "8 ft, measured", "12 in, measured",
         "is it 8 in?"),
    Slip("a footing stands out from its wall", "house.walls.west.footing_projection", "4 ft", "6 in", "is it 4 in?"),
    Slip("a house's lowest floor stands above the ground", "house.floor", "120.17 ft, measured", "97 ft, measured",
         "found 20.6 ft; a house's lowest floor stands at most 6 ft above the ground"),
    Slip("a house's lowest floor lies below the ground", "house.floor", "14 ft below A", "1 m below A",
         "found 4.56 m; a house's lowest floor lies at most 3.7 m below the ground", path="metric-basement/job"),
    Slip("a slab on the ground lies below it", "house.floor", "6 ft below A", "6 in below A", "at most 4 ft below it"),
    Slip("a floor is thick", "house.floor_thickness", "4 ft", "6 in", "is it 4 in?"),
    Slip("the roofs of a house have here, twice its plan", "roofs.east hip.area", "38000 ft2, measured",
         "800 ft2, measured", "is it 380 ft²?", "roofs.east hip"),
    Slip("high ground water stands above the ground", "ground.water_table", "3 ft above A", "at A", "at most 1 ft"),
    Slip("high ground water that reaches a house lies above or below the ground", "ground.water_table",
         "5 ft 6 in, stated", "5 ft 6 in below A, stated",
         "found 5 ft 6 in, read as an elevation: 94.12 ft below the ground; high ground water that reaches a house "
         "lies at most 20 ft above or below the ground: is it 5 ft 6 in below A?"),
    Slip("a tight layer that matters to a house lies above or below the ground", "ground.barrier", "12 ft, stated",
         "12 ft below ground, stated", "is it 12 ft below A?"),
    Slip("open water that matters to a house lies above or below the ground", "ground.open_water",
         {"kind": "pond", "distance": "100 ft", "level": "4 ft, stated"},
         {"kind": "pond", "distance": "100 ft", "level": "4 ft below A, stated"}, "is it 4 ft below A?",
         "ground.open_water.level"),
    Slip("what earth stays below, and shaped ground, lie above or below the ground", "house.walls.west.keep_clear",
         [{"kind": "wood siding", "level": "8 in, measured"}],
         [{"kind": "wood siding", "level": "8 in above A, measured"}],
         "is it 8 in above or below A?", "house.walls.west.keep_clear[0].level"),
    Slip("rims of inlets and basins lie above or below the ground", "works.inlets.CB1.rim", "1 in", "1 in below ground",
         "is it 1 in above or below A?"),
    Slip("inverts of pipes lie above or below the ground", "works.runs.FD2.invert_from", "3 ft 2 in",
         "3 ft 2 in below A", "is it 3 ft 2 in below A?"),
    Slip("outlets, and water before them, lie above or below the ground", "works.discharge.OUT.invert", "2 ft",
         "2 ft below ground", "is it 2 ft below A?"),
    Slip("rain falls with at its most", "rain.table", rain("3.2 in"), rain("1.2 in"), "found 38.4 in/h",
         "rain.table[0]"),
    Slip("a gate is wide", "property.access.gate_width", "34 ft", "12 ft", "is it 34 in?"),
    Slip("a barrow is pushed", "property.access.barrow_distance", "950 ft", "300 ft", "is it 79 ft 2 in?"),
    Slip("a street lies away", "property.access.street_distance", "1500 ft", "500 ft", "at most 1,000 ft away"),
    Slip("lines of a house lie deep", "utilities.service cable.depth", "25 ft, mapped", "9 ft, mapped",
         "is it 25 in?"),
    Slip("gas and propane lines lie deep", "utilities.gas service.depth", "2.4 in, mapped", "24 in, mapped",
         "found 2.4 in; gas and propane lines lie 12 in to 60 in deep: is it 24 in?", path="long-house/job"),
    Slip("water and reclaimed lines lie deep", "utilities.water service.depth", "5.4 in, mapped", "5.4 in, measured",
         "is it 54 in?", path="long-house/job"),
    Slip("electric lines lie deep", "utilities.service cable.depth", "2.4 in, measured", "4 in, measured",
         "is it 24 in?"),
    Slip("sewer, septic, storm drain, pool and oil lines lie deep", "utilities.house drain.depth", "12 cm, mapped",
         "16 cm, mapped", "is it 1.2 m?", path="metric-basement/job"),
    Slip("communication and low voltage lighting lines lie deep", "utilities.telephone.depth", "1 in, mapped",
         "4 in, mapped", "is it 10 in?"),
    Slip("irrigation and irrigation control lines lie deep", "utilities.valve wires.depth", "0.5 in, assumed",
         "3 in, assumed", "is it 5 in?"),
    Slip("the bottom of a cellar's footing lies above the cellar's floor", "house.walls.south.footing_bottom",
         "40 cm below A, measured", "2 m below A, measured",
         "found 520 mm; the bottom of a cellar's footing", path="metric-basement/job"),
    Slip("a tree stands inside the house's outline", "trees.west oak.at", "8 ft, 26 ft", "-18 ft, 26 ft",
         "a tree stands at most 0.5 ft inside the house's outline", "trees.west oak.at"),
    Slip("a buried line lies inside the house's outline, half of it", "utilities.service cable.route",
         ["-10 ft, 20 in", "40 ft, 20 in"], ["-10 ft, -20 in", "20 ft, -20 in", "20 ft, 10 ft"],
         "is it on the other side of the south wall (the sign of its offset)?"),
    Slip("lines of a house are wide", "utilities.house sewer.diameter", "4 ft", "6 in", "is it 4 in?"),
    Slip("trunks of trees are thick", "trees.west oak.trunk_diameter", "26 ft", "40 in", "is it 26 in?",
         "trees.west oak"),
    Slip("pipes at a house fall", "works.discharge.OUT.joins.grade", "150 %, measured", "12 %, measured",
         "is it 1.5 %?"),
    Slip("a footing drain lies out from its wall", "works.runs.FD2.beside_offset", "10 ft", "18 in", "is it 10 in?"),
    Slip("inlets of a yard are wide", "works.inlets.CB1.size", "12 ft", "24 in", "is it 12 in?"),
    Slip("basins are wide", "works.basin.diameter", "24 ft", "24 in", "is it 24 in?"),
    Slip("basins are deep", "works.basin.depth", "48 ft", "6 ft", "is it 48 in?"),
    Slip("at their most, pumps for a house give", "works.basin.pump", pump(flow="4000 gpm"), pump(), "is it 40 gpm?",
         "works.basin.pump.curve"),
    Slip("at their most, pumps for a house lift", "works.basin.pump", pump(head="200 ft"), pump(head="40 ft"),
         "found 200 ft", "works.basin.pump.curve"),
    Slip("trenches are wide", "criteria.trench_width", "24 ft", "30 in", "is it 24 in?"),
    Slip("a barrow holds", "equipment.barrow", "35 ft3", "5 ft3", "is it 3.5 ft³?"),
    Slip("a trailer holds", "equipment.trailer_volume", "50 yd3", "8 yd3", "is it 5 yd³?"),
    Slip("a trailer bears", "equipment.trailer_payload", "70000 lb", "9000 lb", "is it 7,000 lb?"),
)  # fmt: skip


def told(path: str, changes: dict[str, Any]) -> tuple[Unusual, ...]:
    return unusual(survey(changed_job(to_json(read_job(EXAMPLES / f"{path}.yaml")), changes)))


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip.what)
def test_a_slip_is_told_with_what_was_meant(slip: Slip) -> None:
    (one,) = told(slip.path, {slip.key: slip.odd})
    assert one.where == (slip.where or slip.key)
    assert slip.says in one.message
    assert any(one.rule.startswith(row.what) for row in RANGES if f"{row.what} {row.then}".strip() == slip.what)
    assert told(slip.path, {slip.key: slip.usual}) == ()


LEVELS = (
    ("house.floor", "4 ft 6 in, measured", "4 ft 6 in below A"),
    ("house.walls.west.footing_bottom", "5 ft 2 in, measured", "5 ft 2 in below A"),
    ("works.runs.FD2.invert_to", "4 ft", "4 ft below A"),
    ("works.basin.rim", "2 in", "2 in above or below A"),
    ("works.discharge.OUT.tailwater", "3 ft", "3 ft below A"),
)


@pytest.mark.parametrize(("key", "typed", "meant"), LEVELS, ids=lambda value: str(value))
def test_a_depth_that_was_typed_as_an_elevation_is_asked_for(key: str, typed: str, meant: str) -> None:
    one = next(one for one in told("block-wall-house/job", {key: typed}) if one.where == key)
    assert one.meant == meant
    assert f"found {typed.split(',')[0]}, read as an elevation: " in one.message
    assert " below the ground; " in one.message


def test_deep_ground_water_in_feet_of_elevation_is_no_slip() -> None:
    assert told("block-wall-house/job", {"ground.water_table": "40 ft, measured"}) == ()


def outlined(side: str, **changes: Any) -> tuple[Unusual, ...]:
    """A house whose first wall is so long, with a yard of its own."""
    job = {
        "schema_version": 1, "title": "A plain house",
        "survey": {"points": [
            {"name": name, "east": east, "north": north, "level": "100 ft"}
            for name, east, north in (
                ("A", "0 ft", "0 ft"), ("B", side, "0 ft"), ("C", side, "30 ft"), ("D", "0 ft", "30 ft"),
                ("Q", "10 ft", "-10 ft"),
            )
        ]},
        "house": {
            "outline": ["A", "B", "C", "D"], "floor_kind": "slab", "floor": "100.5 ft, measured",
            "walls": [{"name": "south", "from": "A", "to": "B", "footing_bottom": "2 ft below A"}],
        },
        "ground": {"texture": "loam"},
        "rain": {"return_periods": ["2 yr", "10 yr", "25 yr"], "table": [
            {"duration": "5 min", "depths": ["0.4 in", "0.6 in", "0.7 in"]},
            {"duration": "24 h", "depths": ["3 in", "5 in", "6 in"]},
        ]},
        "yards": [{"name": "back", "area": "900 ft2", "slope": "2 %", "to": "CB"}],
        "works": {
            "inlets": [{"name": "CB", "at": "Q"}],
            "discharge": [{"name": "OUT", "at": "20 ft, -40 ft", "kind": "daylight", "invert": "97 ft"}],
        },
        **changes,
    }  # fmt: skip
    return unusual(survey(read_text(json.dumps(job)).job))


def test_the_house_s_own_sizes() -> None:
    assert outlined("40 ft") == ()
    (wall,) = outlined("400 ft")
    assert (wall.where, wall.message) == (
        "house.walls.south", "found 400 ft; a wall of a house is 0.98 ft to 200 ft long.",
    )  # fmt: skip
    wall, plan = sorted(outlined("1000 ft"), key=lambda one: one.where, reverse=True)
    assert plan.message == "found 30,000 ft²; a house's plan has 160 ft² to 16,000 ft²."


def test_a_yard_s_fall() -> None:
    yard = {"name": "back", "area": "900 ft2", "to": "CB"}
    (fall,) = outlined("40 ft", yards=[{**yard, "slope": "150 %"}])
    assert (fall.where, fall.message) == ("yards.back.slope", "found 150 %; a yard falls at most 60 %: is it 1.5 %?")
    assert outlined("40 ft", yards=[{**yard, "slope": "40 %"}]) == ()


def test_roofs_that_are_too_much_together() -> None:
    roofs = {"roofs.east hip.area": "1500 ft2", "roofs.west hip.area": "1500 ft2"}
    (one,) = told("block-wall-house/job", roofs)
    assert one.where == "roofs"
    assert one.meant == ""
    assert told("block-wall-house/job", {"roofs.east hip.area": "1500 ft2"}) == ()


def test_units_are_the_job_s() -> None:
    (gate,) = told("metric-basement/job", {"property.access.gate_width": "11 m"})
    assert gate.message == "found 11 m; a gate is 0.6 m to 5.5 m wide: is it 1.1 m?"
    (sewer,) = told("metric-basement/job", {"works.inlets.CB1.size": "3 m"})
    assert sewer.message == "found 3 m; inlets of a yard are 100 mm to 1,200 mm wide: is it 300 mm?"


def test_every_range_is_tried() -> None:
    own = {"a house's plan has", "a wall of a house is long", "a yard falls"}  # in tests of their own
    assert {f"{one.what} {one.then}".strip() for one in RANGES} == own | {slip.what for slip in SLIPS}


@pytest.mark.parametrize("path", JOBS, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_no_example_trips_any(path: Any) -> None:
    assert unusual(survey(read_job(path))) == ()


@pytest.mark.parametrize("name", LOTS)
@pytest.mark.parametrize("with_hazards", [True, False])
def test_no_hazard_lot_trips_any(name: str, with_hazards: bool) -> None:
    assert unusual(survey(read_text(json.dumps(LOTS[name].document(with_hazards=with_hazards))).job)) == ()
