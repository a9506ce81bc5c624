"""The concrete collar: by hand, by a count in thin layers, and no smaller one would do."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from system_stations import setting, station_of

from drainwright.field import survey
from drainwright.job import read_job
from drainwright.system import lay_out
from drainwright.system.lift.choice import Setting, choose
from drainwright.system.lift.station import lift_station
from drainwright.system.model import LiftStation
from drainwright.water import inflows
from drainwright.worksheet import worksheet

INCH = 0.0254
POUND = 0.45359237
FOOT = 0.3048
WALL = 0.0064  # of the basin
EXAMPLE = Path(__file__).parents[2] / "examples" / "block-wall-house" / "job.yaml"
SIZE: dict[str, Any] = {"diameter": "24 in", "depth": "5 ft"}
WIDTHS = [6 * INCH, 9 * INCH, 12 * INCH, 15 * INCH]


def in_layers(
    station: LiftStation, width: float, height: float, *, empty: float = 25.0, unit: float = 18_000.0, flange: float = 0
) -> float:
    """Safety by adding up thin layers from the basin's underside to the ground: other code than the design's."""
    layer = 0.0005
    foot, outside = station.floor - WALL, station.inside_diameter + 2 * WALL

    def ring(out: float) -> float:
        return math.pi * out * (outside + out)  # mean girth by width

    held = empty * 9.80665
    for number in range(round((station.ground - foot) / layer)):
        level = foot + (number + 0.5) * layer
        water = 9806.65 if level < station.water_table else 0.0
        in_slab = level < foot + height
        held += ring(width) * layer * ((2400.0 * 9.80665 if in_slab else unit) - water)
        if flange > width and level > station.floor:
            held += (ring(flange) - ring(width)) * layer * (unit - water)
    return held / (9806.65 * math.pi / 4 * outside**2 * (station.water_table - foot))


def smaller(station: LiftStation) -> list[tuple[float, float]]:
    """Every width and height of less concrete, down to none at all."""
    outside = station.inside_diameter + 2 * WALL

    def volume(width: float, height: float) -> float:
        return math.pi * width * (outside + width) * height

    taken = volume(station.collar_width, station.collar_height)
    highest = station.lowest_inlet - station.floor - 6 * INCH
    heights = [step * INCH for step in range(4, 100) if step * INCH <= highest]
    sizes = [(width, height) for width in WIDTHS for height in heights if volume(width, height) < taken - 1e-9]
    return [(0.0, 0.0), *sizes]


CASES = [
    {},
    {"soil_unit_weight": 20_000.0},
    {"soil_unit_weight": 15_000.0},
    {"water_table": None},
    {"water_table": 29.9, "soil_unit_weight": 13_000.0},
    {"water_table": None, "basin": {"diameter": "36 in", "depth": "6 ft"}},
    {"water_table": None, "basin": {"diameter": "36 in", "depth": "6 ft"}, "soil_unit_weight": 14_000.0},
]


@pytest.mark.parametrize("changes", CASES)
def test_the_collar_is_enough_and_no_smaller_one_is(changes: dict[str, Any]) -> None:
    station, _ = station_of(setting(**{"basin": SIZE} | changes))
    unit = changes.get("soil_unit_weight", 18_000.0)
    assert station.collar > 0
    assert station.uplift_safety == pytest.approx(
        in_layers(station, station.collar_width, station.collar_height, unit=unit), rel=2e-3
    )
    assert station.uplift_safety >= 1.2
    assert all(in_layers(station, *size, unit=unit) < 1.2 for size in smaller(station))
    assert station.collar_height <= station.lowest_inlet - station.floor - 6 * INCH + 1e-9


def test_steps_and_limits_are_met_by_some_case() -> None:
    """So that the test above tries more than the smallest collar."""
    sizes = {
        (round(found.collar_width / INCH), round(found.collar_height / INCH))
        for found, _ in (station_of(setting(**{"basin": SIZE} | changes)) for changes in CASES)
    }
    assert len(sizes) > 2
    assert any(height > 4 for _, height in sizes)


def test_a_collar_on_the_demonstration_s_site_by_hand() -> None:
    """A 36 in basin, 5 ft deep, 36.504 in outside, in a ring 9 in wide and 4 in high.

    Ring: pi / 4 * (54.504² - 36.504²) = 1286.6 in²; times 4 in 5146.5 in³ = 2.978 ft³; at 149.8 lb/ft³ 446 lb,
    4.96 bags that make 0.6 ft³ each. In water it weighs 446 * 1400 / 2400 = 260 lb, the empty basin 55 lb. Soil over
    it, 1286.6 in² = 8.935 ft²: from the slab's top at 94.90 ft to the water table at 98.26 ft buoyant (52.16 lb/ft³),
    to the ground at 99.42 ft whole (114.6 lb/ft³): 8.935 * (3.36 * 52.16 + 1.16 * 114.6) = 2753 lb.
    Uplift: 7.268 ft² * 3.70 ft * 62.43 lb/ft³ = 1678 lb. (260 + 55 + 2753) / 1678 = 1.83.
    """
    job = read_job(EXAMPLE)
    basin = job.works.basin.model_copy(update={"diameter": 36 * INCH, "depth": 60 * INCH})
    site = survey(job.model_copy(update={"works": job.works.model_copy(update={"basin": basin})}))
    station = lay_out(site, inflows(site)).station
    assert station is not None
    levels = [station.floor - WALL, station.water_table, station.ground]
    assert [level / FOOT for level in levels] == pytest.approx([94.565, 98.265, 99.420], abs=0.006)
    assert (station.collar_width, station.collar_height) == (pytest.approx(9 * INCH), pytest.approx(4 * INCH))
    assert station.collar / POUND == pytest.approx(446.0, abs=1.0)
    assert station.uplift / 9.80665 / POUND == pytest.approx(1678, rel=0.005)
    assert station.uplift_safety == pytest.approx(1.83, abs=0.02)
    assert all(in_layers(station, *size) < 1.2 for size in smaller(station))


def test_no_water_no_collar() -> None:
    dry, _ = station_of(setting(basin=SIZE, water_table=20.0))
    assert (dry.collar, dry.collar_width, dry.collar_height) == (0.0, 0.0, 0.0)


def test_a_collar_given_by_its_mass_bears_no_soil() -> None:
    station, _ = station_of(setting(basin=SIZE | {"concrete_collar": "400 lb"}))
    assert station.collar == pytest.approx(400 * POUND)
    assert (station.collar_width, station.collar_height) == (0.0, 0.0)
    assert station.resisting == pytest.approx((25.0 + 400 * POUND * 1400 / 2400) * 9.80665)


@pytest.mark.parametrize(("flange", "safety", "collar"), [(3, 1.2, 9), (8, 1.2, 0), (10, 2.0, 6)])
def test_soil_over_flange_and_collar_counts_once(flange: int, safety: float, collar: int) -> None:
    """A collar wider than the flange, a flange that needs none, and a flange that reaches out beyond its collar."""
    criteria = setting().criteria.model_copy(update={"uplift_safety": safety})
    item = setting(basin=SIZE | {"flange_width": f"{flange} in"}, water_table=29.99, criteria=criteria)
    station, _ = station_of(item)
    assert station.collar_width == pytest.approx(collar * INCH)
    by_layers = in_layers(station, station.collar_width, station.collar_height, flange=flange * INCH)
    assert station.uplift_safety == pytest.approx(by_layers, rel=2e-3)
    assert by_layers >= safety


def notes_of(item: Setting) -> tuple[LiftStation, str]:
    station, _, notes = lift_station(item, choose(item))
    return station, "\n".join(notes)


def test_where_none_fits_the_best_is_taken_and_said() -> None:
    """Nothing under the highest safety that a job may ask; then an inlet too low for any collar."""
    item = setting(basin=SIZE, water_table=None, soil_unit_weight=10_500.0)
    item = setting(
        basin=SIZE, water_table=None, soil_unit_weight=10_500.0,
        criteria=item.criteria.model_copy(update={"uplift_safety": 3.0}),
    )  # fmt: skip
    station, notes = notes_of(item)
    assert station.uplift_safety < 3.0
    assert "no concrete collar that fits below the lowest inlet" in notes
    assert station.collar_width == pytest.approx(15 * INCH)
    assert station.collar_height + INCH > station.lowest_inlet - station.floor - 6 * INCH
    low = setting(basin=SIZE, lowest_inlet=30.05 - 5 * FOOT + 9.9 * INCH)
    station, notes = notes_of(low)
    assert station.collar == 0.0
    assert "no concrete collar that fits below the lowest inlet" in notes


def test_what_is_assumed_is_said_and_recorded() -> None:
    with worksheet() as steps:
        station, notes = notes_of(setting(basin=SIZE))
    assert "115 pcf saturated (assumed)" in notes  # 18 kN/m³ over 9.80665 m/s² and 16.0185 kg/m³
    assert "18 kN/m³ saturated (assumed)" in notes_of(setting(basin=SIZE, units="SI"))[1]
    assert "stone backfill there counts as soil" in notes
    rings = [step.result for step in steps if step.formula == "hydraulics.buoyancy.ring_volume"]
    assert station.collar == pytest.approx(2400.0 * float(str(rings[0])))
    assert len(rings) < 10  # the search itself is not recorded
