"""Facts of the trade, held by the program. All are common practice, no source: what any crew would say."""

from __future__ import annotations

import pytest

from drainwright.design import Design
from drainwright.job.works import Basin
from drainwright.system.catalogue import find_pipe

INCH = 0.0254


def test_footing_drain_lies_beside_the_footing_and_below_the_floor(pumped: Design) -> None:
    """Common practice, no source: beside the footing, below the floor, not on top of the footing."""
    runs = {run.name: run for run in pumped.job.works.runs}
    for run in pumped.system.runs:
        if run.duty != "footing drain":
            continue
        walls = [wall for wall in pumped.site.walls if wall.name in run.walls]
        projection = max(wall.wall.footing_projection.value for wall in walls)
        assert runs[run.name].beside_offset >= projection + run.pipe.outside / 2
        assert run.invert_upper < pumped.site.floor - pumped.job.house.floor_thickness
        assert run.invert_lower < pumped.site.floor - pumped.job.house.floor_thickness


def test_wall_coat_ends_one_to_two_inches_above_grade(pumped: Design, wrong: Design) -> None:
    """Common practice, no source: 1 to 2 in above the final grade."""
    judged = {item.where: item.severity for item in pumped.findings if item.id == "FTG-06"}
    assert set(judged.values()) == {"ok"}
    assert {item.severity for item in wrong.findings if item.id == "FTG-06"} == {"caution"}  # 8 in above


def test_coat_needs_a_drain(pumped: Design) -> None:
    """Common practice, no source: a coat does nothing lasting without a drain to take the water away."""
    from dataclasses import replace

    from drainwright.findings import judge

    undrained = tuple(run for run in pumped.system.runs if run.duty != "footing drain")
    bare = replace(pumped.system, runs=undrained)
    found = judge(pumped.site, pumped.inflows, bare, pumped.storm, pumped.build, pumped.moisture)
    assert {item.severity for item in found if item.id == "FTG-07"} == {"fails"}
    assert {item.severity for item in pumped.findings if item.id == "FTG-07"} == {"ok"}


def test_a_one_and_a_half_inch_line_goes_through_a_two_inch_hole() -> None:
    """Common practice, no source."""
    assert find_pipe("sch40 1-1/2 in").hole == pytest.approx(2.0 * INCH)


def test_relief_hole_is_three_sixteenths_below_the_check_valve() -> None:
    """Common practice, no source: 3/16 in, above the pump's port, below the check valve."""
    basin = Basin.model_validate({"at": "0 ft, 0 ft"})
    assert basin.relief_hole == pytest.approx(0.1875 * INCH)
    assert basin.relief_hole_place == "below the check valve"


def test_drain_stone_is_clean_and_coarse(pumped: Design) -> None:
    """Common practice, no source: clean stone of 3/4 to 1 1/2 in."""
    stone = [line for line in pumped.build.takeoff.lines if line.category == "stone"]
    assert stone
    assert all("washed" in line.description or "clean" in line.description for line in stone)
    assert all("3/4" in line.description for line in stone)


def test_a_footing_trench_crosses_the_shallow_water_lines(pumped: Design) -> None:
    """Common practice, no source: water and reclaimed lines on warm-climate lots lie 6 to 8 in deep."""
    shallow = [item for item in pumped.job.utilities if item.kind in ("water", "reclaimed")]
    assert all(6 * INCH <= item.depth.value <= 8 * INCH for item in shallow)
    met = {(item.utility, item.run) for item in pumped.build.dig.crossings}
    walls = {wall.name for wall in pumped.site.walls}
    drains = {run.name for run in pumped.system.runs if run.duty == "footing drain"}
    for item in shallow:
        assert any(name == item.name and run in walls | drains for name, run in met)
