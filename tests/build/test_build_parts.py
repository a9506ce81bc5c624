"""What waits for a wall's coat is what lies against it, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.build import build_side
from drainwright.build.model import Task
from drainwright.build.panels import BESIDE
from drainwright.build.parts import YARD, task_key
from drainwright.build.stone import beds
from drainwright.build.trench import cuts
from drainwright.build.units import CUBIC_YARD, FOOT
from drainwright.design import Design
from drainwright.system.model import System

from ..conftest import designed
from .sample import GROUND, feet, make_site, make_system, make_wall

SPLIT = ("bed", "pipe", "stone", "backfill")


def tasks_of(design: Design) -> dict[str, Task]:
    return {task.key: task for task in design.build.plan.tasks}


def test_what_lies_at_a_wall_waits_for_its_last_coat_and_its_board(pumped: Design) -> None:
    tasks = tasks_of(pumped)
    assert set(tasks["coat-2"].held) == {"board", *SPLIT}
    for key in SPLIT:
        assert tasks[key].start >= max(tasks["coat-2"].cured, tasks["board"].end) - 1e-6


@pytest.mark.parametrize("path", ["sloping-lot/job"])
def test_an_end_that_waits_for_another_part_stays_open_to_see(path: str) -> None:
    """Branches of a wye were filled over two days before the drain that ends in them was laid."""
    design = designed(path)
    system, holds = design.system, {task.key: task.hold for task in design.build.plan.tasks}
    walls = {run.name for run in system.runs if run.walls}
    for run in system.runs:
        onward = next((one for one in system.runs if one.upper == run.lower), None)
        joint = system.nodes[run.lower].kind == "junction" and onward is not None and run.walls
        if joint and onward is not None and onward.name not in walls:
            told = f"{run.name} ends in {run.lower}: the open end there plugged"
            assert any(told in hold for key, hold in holds.items() if key.startswith("pipe"))


def test_the_yard_is_piped_and_stoned_while_the_coat_cures(pumped: Design) -> None:
    tasks = tasks_of(pumped)
    assert not any(key.removesuffix(YARD) != key for key in tasks["coat-2"].held)
    assert tasks["pipe" + YARD].start < tasks["coat-2"].cured
    assert tasks["round"].end <= tasks["board"].end  # all stone of its yard lies round the basin
    assert tasks["pump"].start >= tasks["pipe" + YARD].end  # its discharge line lies in the yard
    assert pumped.build.plan.days == 7


def test_a_basin_is_held_down_the_day_it_is_set(pumped: Design, metric: Design) -> None:
    """In an open hole that fills with water it floats: collar and stone follow at once, before any other work."""
    for design in (pumped, metric):
        tasks = tasks_of(design)
        assert tasks["collar"].start == pytest.approx(tasks["basin"].end)
        assert tasks["round"].start == pytest.approx(tasks["collar"].end)
        assert tasks["round"].end - tasks["basin"].end < design.build.plan.day_length / 4
        bed = next(
            bed for bed in beds(design.site, design.system, cuts(design.site, design.system)) if bed.run == "SUMP"
        )
        told = float(tasks["round"].quantity.split()[0])
        volume = bed.stone - bed.under
        assert told == pytest.approx(volume / CUBIC_YARD if design is pumped else volume, abs=0.05)


def test_a_basin_is_emptied_first_when_the_soil_round_it_holds_it_down(pumped: Design, metric: Design) -> None:
    """Its safety against uplift counts the soil over its collar: the pump is tried when that is back."""
    for design in (pumped, metric):
        tasks = tasks_of(design)
        assert tasks["pump"].start >= max(tasks[key].end for key in ("basin", "backfill" + YARD)) - 1e-6
        assert tasks["finish"].start >= tasks["pump"].end - 1e-6


def test_the_parts_lay_every_foot_once(pumped: Design) -> None:
    tasks = tasks_of(pumped)
    at_walls = sum(run.length for run in pumped.system.runs if run.walls) / FOOT
    elsewhere = sum(run.length for run in pumped.system.runs if not run.walls) / FOOT
    assert tasks["pipe"].quantity.startswith(f"{at_walls:.1f} ft, ")
    assert tasks["pipe" + YARD].quantity.startswith(f"{elsewhere:.1f} ft, ")
    fittings = [int(tasks[key].quantity.split(", ")[1].split()[0]) for key in ("pipe", "pipe" + YARD)]
    bought = sum(line.net for line in pumped.build.takeoff.lines if line.category == "fittings")
    assert sum(fittings) == bought
    assert min(fittings) > 0


def test_the_parts_fill_all_that_is_filled(pumped: Design) -> None:
    tasks, dig = tasks_of(pumped), pumped.build.dig
    loose = [float(tasks[key].quantity.split()[0]) for key in ("backfill", "backfill" + YARD)]
    assert sum(loose) == pytest.approx(dig.backfill_volume / CUBIC_YARD, abs=0.11)


def test_where_no_wall_is_opened_nothing_is_parted() -> None:
    site = make_site()
    walls = tuple(
        replace(wall, wall=wall.wall.model_copy(update={"open_and_coat": False, "coating": None}))
        for wall in site.walls
    )
    closed = replace(site, walls=walls)
    keys = {task.key for task in build_side(closed, _off_the_walls()).plan.tasks}
    assert not any(key.endswith(YARD) for key in keys)
    assert set(SPLIT) <= keys


def _off_the_walls() -> System:
    system = make_system()
    return replace(system, runs=tuple(replace(run, walls=()) for run in system.runs))


def test_no_more_is_hauled_than_what_stands(pumped: Design) -> None:
    """The walls' soil is more than all that leaves; where it is not, the trenches are dug before the haul."""
    dig, tasks = pumped.build.dig, tasks_of(pumped)
    walls = sum(trench.bank_volume for trench in dig.trenches if trench.kind == "wall")
    assert walls * (1 + dig.swell) > dig.haul_volume
    assert tasks["haul"].after == ("open",)
    low = make_wall("front", feet(0, 0), feet(20, 0), footing=GROUND - 1.5 * FOOT)
    built = build_side(make_site((low,)), make_system())
    walls = sum(trench.bank_volume for trench in built.dig.trenches if trench.kind == "wall")
    assert walls * (1 + built.dig.swell) < built.dig.haul_volume
    haul = next(task for task in built.plan.tasks if task.key == "haul")
    assert haul.after == ("open", "trench", "trench-yard")


def test_hours_are_noted_under_one_key() -> None:
    assert [task_key(key) for key in ("pipe", "pipe-yard", "pipe-even")] == ["pipe"] * 3


def test_no_piece_is_longer_than_what_is_bared_at_once(metric: Design) -> None:
    """Walls of 11.2, 8.608 and 11.2 m in 5, 4 and 5 lengths, with the trench past a wall's end in the last of them, and
    what goes on to the basin: 15 pieces, each with the bell of its stick."""
    takeoff, panel = metric.build.takeoff, metric.build.dig.wall_panel
    pieces = [piece for cut in takeoff.cuts for piece in cut.pieces if piece.where == "FD1" and not piece.upright]
    assert max(piece.length for piece in pieces if piece.openings) <= panel + BESIDE
    assert len(pieces) == 15
    assert sum(1 for piece in pieces if piece.openings) == 14
