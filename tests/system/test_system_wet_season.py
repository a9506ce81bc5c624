"""The wet season's ground water: the high end of its range, told apart from the likely flow of the design."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from system_stations import GALLON, setting

from drainwright.design import Design, design
from drainwright.job.reading import read_document
from drainwright.system.lift.choice import choose
from drainwright.system.lift.season import high_end
from drainwright.system.lift.station import lift_station
from drainwright.water.model import Band, Cause
from drainwright.worksheet import worksheet

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
RANGE = Band(low=2 * GALLON, middle=4 * GALLON, high=10 * GALLON)


@cache
def made() -> Design:
    return design(read_document(EXAMPLES / "block-wall-house" / "job.yaml").job)


def test_the_wet_season_takes_the_high_end_and_keeps_the_likely_flow() -> None:
    item = setting(ground_range=RANGE)
    with worksheet() as steps:
        station, _, _ = lift_station(item, choose(item))
    assert station.study is not None
    season = station.study.season
    assert season.likely == pytest.approx(5 * GALLON)
    assert season.inflow == pytest.approx(12.5 * GALLON)
    assert season.ranged
    (step,) = [step for step in steps if step.formula.endswith("season_inflow")]
    assert step.place == "works.SUMP"
    assert step.result == pytest.approx(season.inflow)


def test_without_a_range_the_likely_flow_stands_alone() -> None:
    item = setting()
    station, _, _ = lift_station(item, choose(item))
    assert station.study is not None
    assert station.study.season.inflow == station.study.season.likely == pytest.approx(5 * GALLON)
    assert not station.study.season.ranged
    assert high_end(1.0, Band(low=0.0, middle=2.0, high=1.0)) == 1.0


def test_words_tell_the_likely_flow_from_the_high_end() -> None:
    result = made()
    station = result.system.station
    assert station is not None
    assert station.study is not None
    season = station.study.season
    assert season.likely == pytest.approx(station.inflow_ground)
    band = result.inflows.bands[Cause.GROUND]
    assert season.inflow / season.likely == pytest.approx(band.high / band.middle)
    (said,) = [item.message for item in result.findings if item.id == "LFT-34"]
    assert "at the high end of its range (likely" in said
    assert "ground water likely brings" in result.answers[2].answer
    assert "at the high end of its range (likely" in result.answers[2].answer
    assert "at the high end of its range" in result.answers[10].answer
