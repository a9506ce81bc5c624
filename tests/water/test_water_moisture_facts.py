"""What the surveyed site says of the causes of moisture, on the examples and on sites made by hand."""

from __future__ import annotations

import time
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from site_of import job_of, site_of

from drainwright.design import Design
from drainwright.job.ground_tests import OpenWater
from drainwright.job.moisture import Symptom
from drainwright.job.values import Basis, Fact
from drainwright.water.house_facts import house_facts
from drainwright.water.moisture import moisture_sources, rank_causes
from drainwright.water.moisture_model import HouseFacts, Moisture

AT_SEA: Any = Fact.model_construct(value=0.0, basis=Basis.MEASURED)
NO_LINES: Any = SimpleNamespace(ground_lines=())


def slope(*falls: float, run: float = 3.0) -> Any:
    return SimpleNamespace(fall=falls, run=(run,) * len(falls))


def land(**parts: Any) -> Any:
    return SimpleNamespace(**{"wall_slopes": (), "low_spots": (), "run_on": (), "bounded": False, **parts})


def facts(terrain: Any = None, *, water_table: float | None = None, walls: bool = True, **changes: Any) -> HouseFacts:
    site = site_of(job_of(**changes), water_table=water_table, walls=walls)
    return house_facts(replace(site, terrain=terrain), NO_LINES)


def test_what_nobody_measured_stays_open() -> None:
    found = facts(walls=False, downspouts=[], roofs=[])
    for value in (found.ground_falls_to_wall, found.water_stands_at_wall, found.soil_above_floor, found.gutters,
                  found.irrigation, found.table_below_floor, found.run_on):  # fmt: skip
        assert value is None
    assert found.downspouts_at_wall == 0
    assert not found.open_water


@pytest.mark.parametrize(
    ("falls", "run", "expected"),
    [((0.1, 0.2), 3.0, False), ((0.1, -0.05), 3.0, True), ((0.1, -0.01), 3.0, False), ((-0.3,), 0.0, None)],
)
def test_ground_that_falls_to_the_wall(falls: tuple[float, ...], run: float, expected: bool | None) -> None:
    """Less than half an inch of counterfall is let pass; where the run is 0 nothing is known."""
    assert facts(land(wall_slopes=(slope(*falls, run=run),))).ground_falls_to_wall is expected


@pytest.mark.parametrize(
    ("falls", "run", "expected"),
    [((0.15, 0.2), 3.0, True), ((0.2, 0.14), 3.0, False), ((0.1, 0.1), 2.0, True), ((0.3,), 0.0, None)],
)
def test_ground_that_falls_away_as_the_code_asks(falls: tuple[float, ...], run: float, expected: bool | None) -> None:
    """5 % everywhere, and the same slope where the ground is known over less than 10 ft: IRC R401.3."""
    assert facts(land(wall_slopes=(slope(*falls, run=run),))).ground_falls_enough is expected


@pytest.mark.parametrize(
    ("walls", "depth", "expected"), [(("W1",), 0.05, True), ((), 0.05, False), (("W1",), 0.01, False)]
)
def test_water_that_stands_at_a_wall(walls: tuple[str, ...], depth: float, expected: bool) -> None:
    spot = SimpleNamespace(walls=walls, depth=depth)
    assert facts(land(low_spots=(spot,))).water_stands_at_wall is expected


def test_water_that_comes_on_to_the_lot() -> None:
    over = (SimpleNamespace(length=5.0, only_spills=False),)
    assert facts(land(run_on=over)).run_on is None  # no boundary is given
    assert facts(land(run_on=over, bounded=True)).run_on is True
    for stretch in (SimpleNamespace(length=2.0, only_spills=False), SimpleNamespace(length=5.0, only_spills=True)):
        assert facts(land(run_on=(stretch,), bounded=True)).run_on is False


def test_water_table_is_told_from_the_underside_of_the_floor() -> None:
    """Floor at 96 ft, 4 in thick: its underside is at 95 ft 8 in; crawl-space soil has none."""
    foot = 0.3048
    assert facts(water_table=94 * foot).table_below_floor == pytest.approx((95 + 8 / 12 - 94) * foot)
    assert facts(water_table=97 * foot).table_below_floor == pytest.approx((95 + 8 / 12 - 97) * foot)
    job = job_of()
    crawl = job.model_copy(update={"house": job.house.model_copy(update={"floor_kind": "crawl space"})})
    assert house_facts(site_of(crawl, water_table=94 * foot), NO_LINES).table_below_floor == pytest.approx(2 * foot)


def test_downspouts_that_end_beside_the_house() -> None:
    """The house is 40 ft by 30 ft: of three splash ends, one stands at a corner, one 5 ft off, one 10 ft off."""
    spouts = [
        {"name": "DS1", "at": "A", "ends": "leader"},
        {"name": "DS2", "at": "B", "ends": "splash", "to": "LAWN"},
        {"name": "DS3", "at": "20 ft, 35 ft", "ends": "splash", "to": "LAWN"},
        {"name": "DS4", "at": "20 ft, -10 ft", "ends": "splash", "to": "LAWN"},
    ]
    found = facts(downspouts=spouts)
    assert found.downspouts_at_wall == 2
    assert found.gutters is True


def test_how_downspouts_end_that_these_works_lead_away_nobody_told() -> None:
    job = job_of(downspouts=[{"name": "DS1", "at": "A", "ends": "leader"}])
    assert house_facts(site_of(job), NO_LINES).gutters is True
    run = job.works.runs[0].model_copy(update={"from_": "DS1", "duty": "leader"})
    led = job.model_copy(update={"works": job.works.model_copy(update={"runs": (*job.works.runs, run)})})
    assert house_facts(site_of(led), NO_LINES).gutters is None


def test_silence_about_how_downspouts_end_says_nothing_against_roof_water() -> None:
    """One of two downspouts is left silent: the fact stays open, and no evidence is made of it."""
    told = {"name": "DS1", "at": "A", "ends": "leader"}
    for spouts, known in (([told], True), ([told, {"name": "DS2", "at": "B"}], None), ([{**told, "ends": None}], None)):
        found = facts(downspouts=spouts)
        assert found.gutters is known
        ranked = rank_causes([Symptom(what="water", sign="water on floor")], [], found)
        roof = next(item for item in ranked.causes if item.cause is Moisture.ROOF_WATER)
        said = any("no downspout ends on the ground" in piece.text for piece in roof.evidence_against)
        assert said is (known is True)


def test_irrigation_is_there_or_ruled_out_or_open() -> None:
    line = {"name": "heads", "kind": "irrigation", "route": ["0 ft, 0 ft", "9 ft, 0 ft"], "depth": "8 in"}
    assert facts(utilities=[line]).irrigation is True
    assert facts(utilities=[{**line, "kind": "reclaimed"}]).irrigation is True
    assert facts(utilities=[{**line, "kind": "water"}]).irrigation is None
    assert facts(utilities_absent=["irrigation"]).irrigation is False


@pytest.mark.parametrize(
    ("kind", "tide", "tidal"), [("pond", 0.0, False), ("tide", 0.0, True), ("canal", 0.0, False), ("canal", 0.5, True)]
)
def test_open_water_and_its_tide(kind: Any, tide: float, tidal: bool) -> None:
    water = OpenWater.model_construct(kind=kind, distance=30.0, level=AT_SEA, tidal_range=tide)
    job = job_of()
    job = job.model_copy(update={"ground": job.ground.model_copy(update={"open_water": water})})
    found = house_facts(site_of(job), NO_LINES)
    assert found.open_water
    assert found.tidal is tidal


def test_soil_above_the_inside_floor() -> None:
    """The hand-made ground lies at 98 ft, the floor at 96 ft."""
    assert facts().soil_above_floor is True
    high = site_of(job_of())
    assert house_facts(replace(high, floor=99 * 0.3048), NO_LINES).soil_above_floor is False


def test_rise_is_that_of_the_ground_lines_or_of_the_texture() -> None:
    lines: Any = SimpleNamespace(ground_lines=(SimpleNamespace(capillary_rise=0.77),))
    assert house_facts(site_of(job_of()), lines).capillary_rise == 0.77
    assert facts().capillary_rise == pytest.approx(0.5643)  # clay loam, Rawls and others 1982


@pytest.mark.parametrize("path", ["pumped", "gravity", "wrong", "metric"])
def test_examples_are_read_at_once(path: str, request: pytest.FixtureRequest) -> None:
    result: Design = request.getfixturevalue(path)
    start = time.perf_counter()
    for _ in range(5):
        moisture_sources(result.site, result.inflows)
    assert (time.perf_counter() - start) / 5 < 0.05  # some 1 ms; the rest is room for a busy machine
    found = house_facts(result.site, result.inflows)
    assert found.floor_kind == result.job.house.floor_kind
    assert found.ground_falls_to_wall is not None
