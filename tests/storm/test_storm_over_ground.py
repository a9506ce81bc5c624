"""Ponds as surveyed, where spilled water goes, and a pumped line that ends at a soakaway, in whole jobs."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from drainwright.design import Design, design
from drainwright.job.reading import read_text
from drainwright.storm.cases import storm_test
from drainwright.storm.model import StormCase
from drainwright.storm.network import Network, build_network
from drainwright.storm.parts.over_ground import Spill, overland_of, surveyed_pond, ways_over_ground

EXAMPLES = Path(__file__).parents[2] / "examples"
TWO = ", second_pump: true"


@cache
def made(name: str, *changes: tuple[str, str]) -> Design:
    """An example with parts of its text changed."""
    text = (EXAMPLES / name / "job.yaml").read_text(encoding="utf-8").replace("firm: {file: firm/firm.yaml}", "")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return design(read_text(text, "job.yaml").job)


def network(made: Design) -> Network:
    return build_network(made.site, made.inflows, made.system)


def spilled(case: StormCase) -> dict[tuple[str, str, str], float]:
    return {(one.place, one.to, one.name): one.volume for one in case.spilled}


def figure(made: Design, inlet: str) -> str:
    return next(one.figure for one in made.findings if one.id == "STM-03" and one.where.endswith(inlet))


def test_pond_is_the_low_spot_where_the_shots_are_sure_of_it_and_a_cone_elsewhere() -> None:
    house = made("block-wall-house")
    plant = network(house)
    assert plant.surveyed == {"CB1"}
    spot = surveyed_pond(house.site, "CB1")
    assert spot is not None
    row = plant.names.index("CB1 pond")
    for level, volume in zip(spot.curve.level, spot.curve.volume, strict=True):
        body = 0.3048**2 * (level - plant.plant.stores.stage[row, 0])
        assert plant.volume(row, level) == pytest.approx(volume + body, abs=1e-6)
    assert plant.rim[row] == pytest.approx(spot.spill_level)
    nodes = house.storm.cases[0].nodes
    assert (nodes["CB1"].surveyed, nodes["CB2"].surveyed, nodes["DS1"].surveyed) == (True, False, None)
    assert "the low spot as surveyed" in figure(house, "CB1")
    assert "a cone, assumed" in figure(house, "CB2")


def test_low_spot_that_is_not_sure_is_not_counted_on() -> None:
    house = made("block-wall-house")
    assert house.site.terrain is not None
    unsure = tuple(replace(spot, sure=False) for spot in house.site.terrain.low_spots)
    site = replace(house.site, terrain=replace(house.site.terrain, low_spots=unsure))
    assert build_network(site, house.inflows, house.system).surveyed == frozenset()


def test_one_pump_lets_the_low_spot_of_the_block_wall_house_run_over() -> None:
    """What the second pump is there for: the basin stands over the grate, which alone would take its water."""
    one, two = made("block-wall-house", (TWO, "")), made("block-wall-house")
    case = one.storm.cases[0]
    assert [item.where for item in one.findings if item.severity.value == "fails"] == ["works.inlets.CB1"]
    assert spilled(case) == {("CB1", "off the lot", "south side"): pytest.approx(1.42, abs=0.05)}
    assert case.station("SUMP") is not None
    assert case.station("SUMP").highest > case.nodes["CB1"].rim  # type: ignore[union-attr]
    advice = next(item.advice for item in one.findings if item.id == "STM-03" and item.severity.value == "fails")
    assert advice.startswith("The water in SUMP rises over this grate: fit a second pump")
    assert two.storm.cases[0].spilled == ()
    assert two.storm.cases[0].station("SUMP").highest < case.nodes["CB1"].rim  # type: ignore[union-attr]


def test_water_over_a_basin_and_out_of_a_full_line_is_followed() -> None:
    """To the next pond, off the lot; and what a pond is given it has."""
    case = made("two-basins").storm.case("discharge blocked")
    assert case is not None
    told = spilled(case)
    assert set(told) == {("DRIVE", "off the lot", "south side"), ("OUT", "off the lot", "south side")}
    assert sum(told.values()) == pytest.approx(case.volume_lost)
    assert case.over_ground == {"off the lot": pytest.approx(case.volume_lost)}


def test_water_comes_to_the_house_from_above_it_and_not_from_below() -> None:
    lot = made("sloping-lot")
    names = {"CB1": lot.system.nodes["CB1"].at}
    follow = ways_over_ground(lot.site, names, {"LOW": lot.system.nodes["J1"].at})
    assert follow(("CB1",)) == ("house", "east, north")
    assert follow(("LOW",))[0] != "house"
    told = next(one for one in lot.findings if one.id == "STM-30")
    assert (told.severity.value, "CB1" in told.message) == ("caution", True)


def test_water_that_has_to_rise_to_a_pond_stands_so_high_first() -> None:
    spill = Spill(row=0, name="SUMP", crest=1.0, width=1.0, way=("inlet", "CB1"))
    assert overland_of([spill], {"CB1": 1}, {"CB1": 1.2})[0].crest.tolist() == [1.2]
    assert overland_of([spill], {"CB1": 1}, {"CB1": 0.8})[0].crest.tolist() == [1.0]
    away = replace(spill, way=("house", "west"))
    assert overland_of([away], {"CB1": 1}, {"CB1": 1.2})[0].crest.tolist() == [1.0]


def test_pond_over_the_rim_of_a_leader_is_told_as_running_in_there() -> None:
    case = made("block-wall-house").storm.case("discharge blocked")
    assert case is not None
    assert spilled(case)["CB2", "place", "DS1"] > 0.1
    assert case.nodes["CB2"].highest > case.nodes["DS1"].rim
    assert "pond CB2" not in case.over_ground
    assert abs(case.balance_error) < 1e-9


PUMPED = (
    ("from: CB1, to: SOAK, invert_from: 97.95 ft}", "from: CB1, to: SUMP}\n"
     "    - {name: DL, duty: discharge line, from: SUMP, to: SOAK}"),
    ("basin: none", 'basin: {name: SUMP, at: "50 ft, 12 ft"}'),
)  # fmt: skip


def test_pumped_line_fills_a_soakaway_which_soaks_and_runs_over_and_nothing_is_lost() -> None:
    lot = made("soak-lot", *PUMPED)
    plant, (soak,) = network(lot), lot.system.soaks
    assert plant.names[plant.plant.stations.to[0]] == "SOAK"
    case = lot.storm.cases[0]
    levels = case.levels("SOAK")
    assert levels[0] == pytest.approx(soak.bottom)
    assert np.max(levels) > soak.ground  # the trench is filled over its stone: it runs over
    assert levels[-1] < soak.bottom + 0.1 * (soak.top - soak.bottom)
    assert spilled(case)["SOAK", "not known", "beyond the shots"] == pytest.approx(case.volume_lost)
    assert case.volume_lost > 0.1
    (station,) = case.stations
    line = lot.system.station.drain_back  # type: ignore[union-attr]
    stone = soak.voids * soak.length * soak.width * (levels[-1] - soak.bottom)  # what is left in it
    gone = case.volume_out + case.volume_lost  # all that was pumped, but for what ran back
    assert station.pumped - station.pump_starts * line - gone == pytest.approx(stone, abs=1e-3)
    assert max(abs(one.balance_error) for one in lot.storm.every) < 1e-9


def test_open_soil_keeps_the_pumped_soakaway_from_running_over() -> None:
    lot = made("soak-lot", *PUMPED)
    soaks = tuple(replace(soak, rate=20.0 * soak.rate) for soak in lot.system.soaks)
    case = storm_test(lot.site, lot.inflows, replace(lot.system, soaks=soaks)).cases[0]
    assert case.spilled == ()
    assert case.volume_out == pytest.approx(case.volume_in - case.volume_stored)
