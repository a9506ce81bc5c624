"""The overflow of a soakaway: laid from the last place before it, graded and sized, not where a pump lifts it."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from shapely import LineString, MultiPolygon, Point, Polygon
from system_jobs import designed, document

from drainwright.field import survey
from drainwright.job.model import Job
from drainwright.system import lay_out
from drainwright.system.model import System
from drainwright.system.outlets.soak_overflow import way_round
from drainwright.system.outlets.soakaways import planned_ground
from drainwright.system.yard.yard_map import YardMap, yard_map
from drainwright.water import inflows


def lot(soak: dict[str, Any], **works: Any) -> dict[str, Any]:
    """The invented lot with a trench south-west of the house, and a way out on lower ground further down."""
    data = copy.deepcopy(document(0.02, **works))
    data["ground"]["water_table"] = "80 ft, measured"
    data["ground"]["conductivity"] = "20 ft/day, measured"
    for wall in data["house"]["walls"]:
        wall.pop("wet", None)
    data["downspouts"], data["roofs"] = [], []
    allowed = "allowed, measured"
    data["works"]["discharge"] = [
        {"name": "SOAK", "at": "-12 ft, -20 ft", "kind": "infiltration trench", "invert": "97.0 ft", "soak": soak,
         "permission": allowed},
        {"name": "LOW", "at": "-12 ft, -85 ft", "kind": "daylight", "invert": "at ground", "permission": allowed},
    ]  # fmt: skip
    data["works"].setdefault("runs", [{"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "SOAK"}])
    data["works"]["basin"] = "none"
    return data


def test_overflow_is_laid_from_the_last_place_and_sized_for_all_that_comes() -> None:
    _, water, system = designed(lot({"overflow": "LOW"}))
    run = system.run("OF1")
    assert (run.duty, run.upper, run.lower) == ("overflow", "CB1", "LOW")
    assert run.flow == pytest.approx(water.at("CB1"))
    assert run.invert_upper > system.run("YD1").invert_upper - 1e-9
    (over,) = system.overflows
    assert (over.run, over.place, over.to) == ("OF1", "CB1", "LOW")
    assert over.starts >= system.soaks[0].invert
    assert over.holds
    assert any(note.startswith("Proposed: overflow OF1 from CB1 to LOW") for note in system.notes)
    assert system.discharge == "SOAK"


def test_without_a_named_overflow_none_is_laid_and_the_rest_is_the_same() -> None:
    _, _, bare = designed(lot({}))
    _, _, full = designed(lot({"overflow": "LOW"}))
    assert not bare.overflows
    assert [run.name for run in full.runs if run.duty != "overflow"] == [run.name for run in bare.runs]
    assert full.run("YD1").invert_upper == pytest.approx(bare.run("YD1").invert_upper)
    assert full.soaks[0].fullest == pytest.approx(bare.soaks[0].fullest)


def test_an_overflow_that_the_job_draws_is_kept() -> None:
    runs = [
        {"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "SOAK"},
        {"name": "MINE", "duty": "overflow", "from": "CB1", "to": "LOW"},
    ]
    _, _, system = designed(lot({"overflow": "LOW"}, runs=runs))
    assert [run.name for run in system.runs if run.duty == "overflow"] == ["MINE"]


def test_none_is_laid_where_a_pump_lifts_the_water() -> None:
    data = lot(
        {"overflow": "LOW"},
        runs=[
            {"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "SUMP"},
            {"name": "DL", "duty": "discharge line", "from": "SUMP", "to": "SOAK"},
        ],
    )
    data["works"]["basin"] = {"name": "SUMP", "at": "-12 ft, -10 ft"}
    _, _, system = designed(data)
    assert not system.overflows
    assert any("is pumped to it, so no overflow to LOW is laid" in note for note in system.notes)


def straight_meets(system: System) -> float:
    """Distance of the straight way, from the inlet to the way out, from the stone [m]."""
    way = LineString([system.nodes["CB1"].at, system.nodes["LOW"].at])
    return float(way.distance(MultiPolygon([Polygon(ring) for ring in system.soaks[0].outlines])))


@pytest.mark.parametrize("bearing", ["90 deg", "135 deg", "180 deg", "240 deg"])
@pytest.mark.parametrize("kind", ["infiltration trench", "dry well"])
def test_overflow_keeps_a_trench_away_from_the_stone_that_it_serves(kind: str, bearing: str) -> None:
    data = lot({"overflow": "LOW", "bearing": bearing})
    data["works"]["discharge"][0]["kind"] = kind
    site, _, system = designed(data)
    assert straight_meets(system) == pytest.approx(0.0)
    inlet, line = Point(system.nodes["CB1"].at), LineString(system.run("OF1").route)
    assert all(line.distance(Polygon(ring)) >= site.job.criteria.trench_width for ring in system.soaks[0].outlines)
    assert not line.intersects(LineString(system.run("YD1").route).difference(inlet.buffer(0.11)))
    assert any("It goes round SOAK, 2 ft or more from its stone." in note for note in system.notes)


def test_a_way_that_is_clear_stays_as_it_was() -> None:
    data = lot({"overflow": "LOW", "bearing": "90 deg"})
    data["works"]["discharge"][1]["at"] = "-60 ft, -60 ft"
    site, _, system = designed(data)
    assert straight_meets(system) > site.job.criteria.trench_width
    ends = system.nodes["CB1"].at, system.nodes["LOW"].at
    assert system.run("OF1").route == yard_map(site).way(*ends)
    assert not any("goes round SOAK" in note for note in system.notes)


def test_planned_ground_is_the_ground_that_is_built() -> None:
    site, water, system = designed(lot({"overflow": "LOW"}))
    point, soak = site.job.works.discharge[0], system.soaks[0]
    for given in (system, designed(lot({}))[2]):
        found = planned_ground(site, water, given.runs, point, soak.at, soak.base_flow)  # type: ignore[arg-type]
        assert found == soak.outlines


def test_a_way_keeps_what_it_can_where_it_starts_near_the_stone_or_in_it() -> None:
    site, _, _ = designed(lot({}))
    found = yard_map(site)
    south, north = (5.0, -2.0), (5.0, -12.0)
    ring = ((0.0, -8.0), (10.0, -8.0), (10.0, -6.0), (0.0, -6.0))
    way = way_round(found, south, north, [ring], 0.6)
    assert LineString(way).distance(Polygon(ring)) >= 0.6
    assert (way[0], way[-1]) == (south, north)
    close = way_round(found, (5.0, -5.8), north, [ring], 0.6)
    assert LineString(close).distance(Polygon(ring)) == pytest.approx(0.2, abs=1e-6)
    assert way_round(found, (5.0, -7.0), north, [ring], 0.6) == found.way((5.0, -7.0), north)


def test_a_way_takes_the_other_side_rather_than_cross_the_soakaways_own_pipe() -> None:
    found = yard_map(designed(lot({}))[0])
    start, end = (4.5, -2.0), (4.5, -12.0)
    ring = ((0.0, -8.0), (10.0, -8.0), (10.0, -6.0), (0.0, -6.0))
    shorter = way_round(found, start, end, [ring], 0.6)
    assert min(east for east, _ in shorter) < 0.0
    longer = way_round(found, start, end, [ring], 0.6, [((-3.0, -3.0), (1.0, -6.0))])
    assert min(east for east, _ in longer) >= 4.5
    assert found.cost(longer) > found.cost(shorter)


def test_where_every_way_meets_the_stone_none_is_laid_and_the_notes_say_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(YardMap, "way", lambda _, start, end: (start, (-12 * 0.3048, -21 * 0.3048), end))
    site = survey(Job.model_validate(lot({"overflow": "LOW"})))
    system = lay_out(site, inflows(site))
    assert not system.overflows
    (said,) = [note for note in system.notes if note.startswith("SOAK: no way for a pipe from CB1 to LOW")]
    assert "keeps 2 ft from its stone, so no overflow is laid. Turn it with 'bearing'" in said
