"""Pits of catch basins: soil that no trench takes, bed, and pipe, stone and fabric that end at the bodies."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from drainwright.build.bodies import inlet_bodies
from drainwright.build.model import Trench
from drainwright.build.side import dig_plan
from drainwright.build.stone import bed, beds, in_bodies
from drainwright.build.trench import cuts
from drainwright.field.model import Plan, Site
from drainwright.system.model import Node, System
from drainwright.worksheet import worksheet

from .sample import GROUND, job_data, make_pipe, make_run, make_site, make_system

INCH = 0.0254
SIZE, SUMP, SHELL = 12 * INCH, 6 * INCH, 0.0064
SIDE = SIZE + 2 * SHELL + 18 * INCH  # of the pit
INVERT = GROUND - 0.5
FOOT_OF_PIT = INVERT - SUMP - SHELL - 4 * INCH
AT = (10.0, -10.0)


def site(kind: str = "catch basin", at: Plan = AT) -> Site:
    works = job_data()["works"] | {"inlets": [{"name": "CB", "at": f"{at[0]} m, {at[1]} m", "kind": kind}]}
    return make_site(walls=(), works=works)


def system(*ways: tuple[Plan, Plan], at: Plan = AT, **run: Any) -> System:
    """A catch basin, and level runs of solid pipe from it or past it."""
    node = Node(name="CB", kind="inlet", at=at, ground=GROUND, rim=GROUND, invert=INVERT)
    runs = tuple(
        make_run(
            f"R{index}", way, INVERT, INVERT, ends=("CB" if way[0] == at else "A", "B"),
            pipe=make_pipe(perforated=False), duty="yard drain", stone=0.0, **run,
        )
        for index, way in enumerate(ways, 1)
    )  # fmt: skip
    return replace(make_system(), runs=runs, nodes={"CB": node}, stations=())


def pit(lot: Site, made: System) -> Trench | None:
    plan = dig_plan(lot, cuts(lot, made), beds(lot, made, cuts(lot, made)), inlet_bodies(lot, made))
    return next((item for item in plan.trenches if item.name == "CB"), None)


def test_a_pit_alone_is_dug_whole() -> None:
    with worksheet() as steps:
        found = pit(site(), system())
    assert found is not None
    depth = GROUND - FOOT_OF_PIT
    assert found.kind == "inlet"
    assert found.bank_volume == pytest.approx(SIDE**2 * depth)
    assert (found.length, found.width, found.depth_greatest) == pytest.approx((SIDE, SIDE, depth))
    (step,) = [step for step in steps if step.formula == "build.earth.pieces_volume"]
    assert (step.place, step.result) == ("inlets.CB", pytest.approx(SIDE**2 * depth))


def test_a_trench_that_ends_in_the_pit_takes_its_own_soil_first() -> None:
    """A slot of 10.215 in to the middle of the pit, at the pipe's underside: below it the pit digs on."""
    made = system((AT, (30.0, -10.0)))
    (run,) = made.runs
    slot = run.pipe.outside + 6 * INCH
    taken = SIDE / 2 * slot * (GROUND - INVERT + run.pipe.wall)
    found = pit(site(), made)
    assert found is not None
    assert found.bank_volume == pytest.approx(SIDE**2 * (GROUND - FOOT_OF_PIT) - taken)


def test_what_a_deeper_trench_takes_is_not_dug_again() -> None:
    made = system(((0.0, -10.0), (30.0, -10.0)))
    (run,) = made.runs
    low = replace(run, stations=tuple(replace(one, invert=one.invert - 1, cut=one.cut + 1) for one in run.stations))
    found = pit(site(), replace(made, runs=(low,)))
    assert found is not None
    room = 24 * INCH  # a person stands in it
    assert found.bank_volume == pytest.approx(SIDE * (SIDE - room) * (GROUND - FOOT_OF_PIT))
    assert found.length == pytest.approx(SIDE - room)


def test_soil_under_the_house_is_not_dug() -> None:
    at = (6 * 0.3048, -0.3)  # a foot off the house's south side
    found = pit(site(at=at), system(at=at))
    assert found is not None
    assert found.bank_volume == pytest.approx(SIDE * (SIDE / 2 + 0.3) * (GROUND - FOOT_OF_PIT))


@pytest.mark.parametrize(("kind", "dug"), [("area grate", True), ("channel grate", False), ("cleanout", False)])
def test_only_bodies_have_pits(kind: str, dug: bool) -> None:
    assert (pit(site(kind), system()) is not None) == dug


def test_the_spoil_and_the_stone_know_of_the_pit() -> None:
    lot, made = site(), system()
    digs = cuts(lot, made)
    (placed,) = beds(lot, made, digs)
    stone, body = SIDE**2 * 4 * INCH, (SIZE + 2 * SHELL) ** 2 * (0.5 + SUMP + SHELL)
    assert placed.stone == placed.under == pytest.approx(stone)
    assert placed.displaced == pytest.approx(stone + body)
    plan = dig_plan(lot, digs, (placed,))
    assert plan.haul_volume == pytest.approx((stone + body) * (1 + plan.swell))  # what is unfit to go back is less


def test_stone_fabric_and_pipe_end_at_the_bodies() -> None:
    lot, made = site(), system((AT, (30.0, -10.0)))
    (run,) = made.runs
    inside = SIZE / 2 + SHELL
    assert in_bodies(lot.job, made, run) == pytest.approx(inside)
    section = math.pi / 4 * run.pipe.outside**2
    assert beds(lot, made, cuts(lot, made))[0].displaced == pytest.approx(section * (20.0 - inside))
    stoned = replace(run, stone_width=12 * INCH, stone_under=2 * INCH, stone_over=6 * INCH, fabric=True)
    whole, short = bed(stoned), bed(stoned, inside)
    assert short.stone == pytest.approx(whole.stone * (1 - inside / 20.0))
    assert short.displaced == pytest.approx(whole.displaced * (1 - inside / 20.0))
    assert short.strip[1] == pytest.approx(whole.strip[1] - inside)


def test_a_drain_ends_at_the_outside_of_the_sump_basin() -> None:
    lot, made = make_site(), make_system()
    (placed,) = [one for one in beds(lot, made, cuts(lot, made)) if one.run == "FD"]
    run, station = made.run("FD"), made.stations[0]
    long = run.length - station.inside_diameter / 2 - SHELL
    assert placed.stone == pytest.approx(bed(run).stone * long / run.length)
