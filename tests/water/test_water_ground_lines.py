"""The water table across the house and open water beside it, on sites made by hand."""

from __future__ import annotations

import math
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from site_of import job_of, site_of

from drainwright.field import survey
from drainwright.field.model import Site
from drainwright.hydraulics.boussinesq import table_in_time
from drainwright.hydraulics.tidal import tidal_lag, tidal_share
from drainwright.job.reading import read_job
from drainwright.job.values import Basis
from drainwright.water import inflows
from drainwright.water.flow_net import flow_nets
from drainwright.water.ground import ASSUMED_LAYER, PIPE_BED, Ground, far_water, ground_of
from drainwright.water.ground_lines import across, ground_lines
from drainwright.water.model import GroundLine

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
FOOT = 0.3048
WALLS = [
    {"name": "south", "from": "A", "to": "B", "footing_bottom": "94.5 ft, measured"},
    {"name": "north", "from": "C", "to": "D", "footing_bottom": "94.5 ft, measured"},
]
OUTWARD = {"south": (0.0, -1.0), "north": (0.0, 1.0)}


def site(
    sides: tuple[str, ...] = ("south",), *, table: float | None = 97.0, high_end: str = "94.5 ft", **ground: Any
) -> Site:
    """A house 40 ft long and 30 ft deep with footing drains along its south, or its south and north wall."""
    runs = [
        {"name": f"FD-{side}", "duty": "footing drain", "from": "A", "to": "SUMP", "beside": [side],
         "beside_offset": "1 ft"}
        for side in sides
    ]  # fmt: skip
    walls = [WALLS[0], WALLS[1] | {"footing_bottom": f"{high_end}, measured"}]
    soil = {"texture": "sandy loam, measured", "conductivity": "2 ft/day, measured", "barrier": "90 ft, measured"}
    if table is not None:
        soil["water_table"] = f"{table} ft, measured"
    job = job_of(
        house={"outline": ["A", "B", "C", "D"], "floor_kind": "basement", "floor": "96 ft, measured", "walls": walls},
        ground=soil | ground,
        works={
            "inlets": [{"name": "CB1", "at": "20 ft, 60 ft"}], "runs": runs, "basin_place": "50 ft, 50 ft",
            "discharge": [{"name": "OUT", "at": "90 ft, 90 ft", "kind": "street", "invert": "97 ft"}],
        },
    )  # fmt: skip
    found = site_of(job, water_table=None if table is None else table * FOOT, barrier=90 * FOOT)
    walls_set = tuple(replace(wall, outward=OUTWARD[wall.name]) for wall in found.walls)
    return replace(found, walls=walls_set)


def line(given: Site, run: str = "FD-south") -> GroundLine:
    return next(item for item in inflows(given).ground_lines if item.run == run)


WET = 2 * FOOT + 2 * PIPE_BED  # the usual trench width, and the sides of the stone up to the invert


def beside(far: float, drain: float, ways: float, rain: float = 0.0) -> float:
    """Head beside the drain by halving: what Dupuit's flow sets out from after Ernst's loss."""
    low, high = drain, far
    for _ in range(80):
        middle = 0.5 * (low + high)
        gathered = drain + math.log(drain / WET) / math.pi * ((far**2 - middle**2) * ways + rain)
        low, high = (middle, high) if gathered > middle else (low, middle)
    return low


def test_one_drain_and_undisturbed_water_at_the_far_wall() -> None:
    found = line(site())
    drain, far, span = 94.5 * FOOT + PIPE_BED - 90 * FOOT, 7 * FOOT, 31 * FOOT
    assert found.middle == pytest.approx(16 * FOOT)
    reach = inflows(site()).seepage[0].influence
    head = beside(far, drain, 0.5 / reach + 0.5 / span)
    assert drain < head < far
    level = math.sqrt(head**2 + (far**2 - head**2) * 16 / 31)
    assert found.level_with == pytest.approx(90 * FOOT + level)
    assert found.level_without == pytest.approx(97 * FOOT)
    assert "far wall" in found.method
    assert found.with_drain[-1] == pytest.approx(97 * FOOT)
    assert found.distance[-1] == pytest.approx(span)
    assert found.basis is Basis.ASSUMED  # the drainable porosity is the texture's


def test_two_drains_hold_the_water_level_a_little_over_their_own() -> None:
    found = line(site(("south", "north")))
    reach = inflows(site()).seepage[0].influence
    head = beside(7 * FOOT, 4.5 * FOOT + PIPE_BED, 0.5 / reach)
    assert found.level_with == pytest.approx(90 * FOOT + head)
    assert 94.5 * FOOT + PIPE_BED < found.level_with < 94.5 * FOOT + PIPE_BED + 0.2 * 0.75
    assert found.distance[-1] == pytest.approx(32 * FOOT)
    assert "both walls" in found.method
    assert found.level_with < line(site()).level_with


def test_rain_outside_gathers_to_the_drain_too() -> None:
    reach = inflows(site()).seepage[0].influence
    found = line(site(("south", "north"), recharge="2 mm/day, stated"))
    rain = 0.002 / (2 * FOOT) * reach / 2
    assert found.level_with == pytest.approx(90 * FOOT + beside(7 * FOOT, 4.5 * FOOT + PIPE_BED, 0.5 / reach, rain))
    assert found.level_with > line(site(("south", "north"))).level_with


def test_two_drains_at_two_levels() -> None:
    given = site(("south", "north"), high_end="95 ft")
    for run in ("FD-south", "FD-north"):
        found = line(given, run)
        reach = next(item for item in inflows(given).seepage if item.run == run).influence
        low, high = (beside(7 * FOOT, level * FOOT + PIPE_BED, 0.5 / reach) for level in (4.5, 5.0))
        assert found.level_with - 90 * FOOT == pytest.approx(math.sqrt(0.5 * (low**2 + high**2)))


def test_the_line_is_whole_and_falls_towards_the_drain() -> None:
    found = line(site(recharge="1 mm/day, stated"))
    assert len(found.distance) == len(found.with_drain) == len(found.without_drain)
    assert list(found.distance) == sorted(found.distance)
    at_drain = found.distance.index(0.0)
    assert found.with_drain[at_drain] == min(found.with_drain) == pytest.approx(94.5 * FOOT + PIPE_BED)
    assert list(found.with_drain[at_drain:]) == sorted(found.with_drain[at_drain:])
    assert list(found.with_drain[:at_drain]) == sorted(found.with_drain[:at_drain], reverse=True)
    assert all(a <= b + 1e-9 for a, b in zip(found.with_drain, found.without_drain, strict=True))


def test_water_below_the_layer_is_told_as_entered() -> None:
    found = line(site(table=60.0))
    assert found.level_without == found.level_with == pytest.approx(60.0 * FOOT)
    assert set(found.without_drain) == {found.level_without}
    assert found.with_drain == pytest.approx(found.without_drain)
    assert found.time_to_fall is None


def test_a_water_table_below_the_drain_does_not_fall() -> None:
    found = line(site(table=94.0))
    assert found.level_with == pytest.approx(found.level_without)
    assert found.time_to_fall is None
    assert "nothing falls" in found.method


def test_time_to_fall_against_the_full_equation() -> None:
    """The water at mid-house half-way down, by Boussinesq in time from a level start, within 10 %."""
    for sides in (("south",), ("south", "north")):
        given = site(sides, drainable_porosity="14 %, measured")
        found = line(given)
        assert found.basis is Basis.MEASURED
        assert found.time_to_fall is not None
        span = found.distance[-1]
        x = np.linspace(0.0, span, 121)
        reach = inflows(given).seepage[0].influence
        drain = beside(7 * FOOT, 4.5 * FOOT + PIPE_BED, 0.5 / reach + (0.5 / span if len(sides) == 1 else 0.0))
        times = np.linspace(0.0, 3.0 * found.time_to_fall, 1200)
        end = drain if len(sides) == 2 else 7 * FOOT
        run = table_in_time(2 * FOOT / 86400, 0.14, x, np.full(121, 7 * FOOT), times, drain, end)
        middle = [float(np.interp(found.middle, x, head)) + 90 * FOOT for head in run.head]
        half = float(np.interp(-0.5 * (found.level_without + found.level_with), -np.array(middle), times))
        assert found.time_to_fall == pytest.approx(half, rel=0.10)
        slow = line(site(sides, drainable_porosity="28 %, measured"))
        assert slow.time_to_fall == pytest.approx(2 * found.time_to_fall)


def test_across_an_l_shaped_house() -> None:
    """The ray from the middle of the south wall meets the inner corner's wall, not the far one."""
    given = site()
    outline = tuple((e * FOOT, n * FOOT) for e, n in ((0, 0), (40, 0), (40, 12), (15, 12), (15, 30), (0, 30)))
    met = across(outline, given.walls[0])
    assert met is not None
    assert met[0] == pytest.approx(12 * FOOT)
    assert met[1] == pytest.approx((20 * FOOT, 12 * FOOT))
    assert across(outline, replace(given.walls[0], outward=(0.0, 1.0))) is None


def test_a_drain_that_names_no_wall_has_no_line() -> None:
    given = site()
    run = given.job.works.runs[0].model_copy(update={"beside": ()})
    job = given.job.model_copy(update={"works": given.job.works.model_copy(update={"runs": (run,)})})
    assert inflows(replace(given, job=job)).ground_lines == ()


def test_lines_are_quick() -> None:
    given = site(("south", "north"))
    ground, seepage = ground_of(given), inflows(given).seepage
    best = math.inf
    for _ in range(5):
        start = time.perf_counter()
        ground_lines(given, ground, seepage)
        best = min(best, time.perf_counter() - start)
    assert best < 0.01  # two lines, 5 ms each


def open_site(table: float | None = 95.0, **water: Any) -> Site:
    pond = {"kind": "pond", "distance": "200 ft", "level": "96.5 ft, measured"} | water
    return site(table=table, open_water=pond)


def bank(ground: Ground) -> tuple[float, float, str]:
    return far_water(ground, 94.5 * FOOT + PIPE_BED, 90 * FOOT)


def test_open_water_beside_the_drain_cuts_the_reach_off() -> None:
    level, reach, bound = bank(ground_of(open_site(distance="6 ft")))
    assert (level, reach, bound) == (pytest.approx(96.5 * FOOT), pytest.approx(6 * FOOT), "pond")
    found = inflows(open_site(distance="6 ft"))
    (drain,) = found.seepage
    assert drain.bound == "pond"
    assert drain.influence == pytest.approx(6 * FOOT)
    head, held = 6.5 * FOOT, 4.5 * FOOT + PIPE_BED
    assert drain.per_length == pytest.approx(2 * FOOT / 86400 * (head**2 - held**2) / (6 * FOOT))
    assert any("draws on it without end" in note for note in found.notes)
    assert "the pond holds the level outside" in found.ground_lines[0].method


def test_open_water_far_off_raises_the_level_a_little() -> None:
    """Between the house, where the table was found, and the bank the water lies on Dupuit's curve."""
    level, reach, bound = bank(ground_of(open_site()))
    assert bound == "pond"
    assert reach == pytest.approx(3.0)
    share = 3.0 / (200 * FOOT)
    assert level == pytest.approx(90 * FOOT + math.sqrt(25 + (6.5**2 - 25) * share) * FOOT)


def test_lower_open_water_changes_nothing() -> None:
    for water in ({}, {"level": "94 ft, measured"}):
        found = inflows(open_site(table=97.0, **water))
        assert found.seepage == inflows(site(table=97.0)).seepage
        assert any("does not feed" in note for note in found.notes)


def test_open_water_stands_in_for_a_table_that_nobody_found() -> None:
    ground = ground_of(open_site(table=None))
    assert ground.far_level == pytest.approx(96.5 * FOOT)
    assert ground.far_basis is Basis.STATED
    assert bank(ground) == (pytest.approx(96.5 * FOOT), pytest.approx(3.0), "pond")
    assert not any("assumed at the underside" in note for note in ground.notes)


def test_tide_is_damped_and_late_at_the_house() -> None:
    given = open_site(kind="tide", distance="30 ft", tidal_range="4 ft")
    water = ground_of(given).open_water
    assert water is not None
    transmissivity = 2 * FOOT / 86400 * 6.5 * FOOT
    share = tidal_share(30 * FOOT, transmissivity, 0.14, 44714.0)
    assert water.share == pytest.approx(share)
    assert 0.0 < water.share < 0.05
    assert water.lag == pytest.approx(tidal_lag(30 * FOOT, transmissivity, 0.14, 44714.0))
    assert water.high == pytest.approx(96.5 * FOOT + share * 2 * FOOT)
    told = " ".join(ground_of(given).notes)
    assert "The tidal water, 30 ft" in told
    assert "feels less than 1 % (" in told
    near = ground_of(open_site(kind="tide", distance="8 ft", tidal_range="4 ft"))
    assert near.open_water is not None
    felt, late = 100 * near.open_water.share, near.open_water.lag / 3600
    assert felt > 10
    assert f"feels {felt:.0f} %, {late:.1f} h after the bank" in " ".join(near.notes)
    still = ground_of(open_site(kind="tide", distance="30 ft")).open_water
    assert still is not None
    assert (still.share, still.high) == (0.0, pytest.approx(96.5 * FOOT))


def test_the_layer_is_assumed_where_nobody_found_its_bottom() -> None:
    given = replace(site(), barrier=None)
    found = line(given)
    assert found.with_drain[found.distance.index(0.0)] == pytest.approx(94.5 * FOOT + PIPE_BED)
    far = 97 * FOOT - (94.5 * FOOT + PIPE_BED - ASSUMED_LAYER)
    head = beside(far, ASSUMED_LAYER, 0.5 / inflows(given).seepage[0].influence + 0.5 / (31 * FOOT))
    assert found.level_with == pytest.approx(97 * FOOT - far + math.sqrt(head**2 + (far**2 - head**2) * 16 / 31))


@pytest.mark.parametrize("path", ["block-wall-house/job", "sloping-lot/job", "metric-basement/job"])
def test_against_the_flow_net(path: str) -> None:
    """Mid-house by finite elements on the section, footing and slab in it: within 8 % of the drain's lowering."""
    given = survey(read_job(EXAMPLES / f"{path}.yaml"))
    found = inflows(given)
    lines = {(item.run, item.wall): item for item in found.ground_lines}
    nets = flow_nets(given, found)
    assert nets
    for net in nets:
        assert net.level_middle is not None
        lowering = net.far_level - net.drain_level
        assert lines[net.run, net.wall].level_with == pytest.approx(net.level_middle, abs=0.08 * lowering)
