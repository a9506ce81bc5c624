"""Soakaways and aprons as they are dug, bought and priced."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from drainwright.build import build_side
from drainwright.build.book import demonstration_book
from drainwright.build.soak_dig import apron_volume, soak_beds, soak_cuts, soak_lines
from drainwright.build.takeoff.bodies import outlet_words
from drainwright.build.trench import cuts
from drainwright.build.uses import task_of
from drainwright.design import Design
from drainwright.field.model import Plan
from drainwright.system.catalogue import find_pipe
from drainwright.system.outlets.soak_model import TRENCH_PIPE, Soakaway

from ..conftest import designed


@pytest.fixture(scope="module")
def lot() -> Design:
    """The lot with an infiltration trench."""
    return designed("soak-lot/job")


def wells(soak: Soakaway, count: int, across: float) -> Soakaway:
    """The trench as dry wells in a row."""

    def ring(number: int) -> tuple[Plan, ...]:
        turns = [2 * math.pi * step / 24 for step in range(24)]
        east = soak.at[0] + number * (across + 3.0)
        return tuple((east + across / 2 * math.cos(turn), soak.at[1] + across / 2 * math.sin(turn)) for turn in turns)

    tall = soak.top - soak.bottom
    area = count * math.pi / 4 * across**2
    return replace(
        soak, kind="dry well", count=count, length=across, width=across, stone=area * tall,
        fabric=2 * area + count * math.pi * across * tall, outlines=tuple(ring(number) for number in range(count)),
    )  # fmt: skip


def test_trench_is_dug_as_long_wide_and_deep_as_it_is(lot: Design) -> None:
    """From the ground along it, not the lowest over it: by that it was 4 ft 2 in deep where it is 4 ft 10 in."""
    (soak,) = lot.system.soaks
    dug = next(item for item in lot.build.dig.trenches if item.name == soak.name)
    ring = soak.outlines[0]
    ends = [[(a + b) / 2 for a, b in zip(ring[one], ring[other], strict=True)] for one, other in ((0, 3), (1, 2))]
    shares = [(step + 0.5) / 400 for step in range(400)]
    depths = [
        float(lot.site.surface.level(*(a + share * (b - a) for a, b in zip(*ends, strict=True)))) - soak.bottom
        for share in shares
    ]
    assert dug.kind == "soakaway"
    assert dug.depth_greatest == pytest.approx(max(depths), abs=0.005)
    assert dug.depth_greatest > soak.ground - soak.bottom + 0.15
    assert dug.bank_volume == pytest.approx(soak.length * soak.width * math.fsum(depths) / 400, rel=2e-3)
    assert lot.build.dig.bank_volume > dug.bank_volume


def test_wells_hold_their_true_area(lot: Design) -> None:
    (soak,) = lot.system.soaks
    system = replace(lot.system, soaks=(wells(soak, 3, 1.2),))
    found = [cut for cut in cuts(lot.site, system) if cut.kind == "soakaway"]
    assert [cut.name for cut in found] == ["SOAK 1", "SOAK 2", "SOAK 3"]
    dug = [item for item in build_side(lot.site, system).dig.trenches if item.kind == "soakaway"]
    volume = math.fsum(item.bank_volume for item in dug)
    centres = [(sum(x for x, _ in ring) / 24, sum(y for _, y in ring) / 24) for ring in system.soaks[0].outlines]
    depths = [max(float(lot.site.surface.level(*at)), soak.ground) - soak.bottom for at in centres]
    assert volume == pytest.approx(math.pi / 4 * 1.2**2 * math.fsum(depths), rel=5e-3)


def test_soil_where_the_pipe_enters_is_counted_once(lot: Design) -> None:
    alone = replace(lot.system, soaks=())
    with_it, without = ({cut.name: cut for cut in cuts(lot.site, system)} for system in (lot.system, alone))
    length = lot.system.run("YD1").length
    kept = sum((with_it["YD1"].heights[0] > 1e-9) * (with_it["YD1"].distances[1:] - with_it["YD1"].distances[:-1]))
    assert kept < length
    assert kept > length - 0.7  # it ends in the middle of a trench two feet wide
    assert without["YD1"].heights[0].min() > 0.0


def test_stone_is_what_the_hole_holds_less_the_pipe(lot: Design) -> None:
    (soak,) = lot.system.soaks
    (bed,) = soak_beds(lot.system)
    tall = soak.top - soak.bottom
    assert bed.displaced == pytest.approx(soak.length * soak.width * tall)
    assert bed.stone == pytest.approx(bed.displaced - math.pi / 4 * 0.10706**2 * soak.length, rel=1e-3)
    assert bed.fabric > 2 * (soak.width + tall) * soak.length
    line = next(item for item in lot.build.takeoff.lines if item.key == "stone.57")
    assert soak.name in line.where
    pits = sum(inlet.kind == "catch basin" for inlet in lot.job.works.inlets)  # the only other stone on this lot:
    under = pits * (0.3048 + 2 * 0.0064 + 2 * 0.2286) ** 2 * 0.1016  # 4 in under each, 9 in wider all round
    assert line.net * 0.764555 == pytest.approx(bed.stone + under, rel=1e-4)


def test_chamber_buys_no_stone_but_takes_the_room(lot: Design) -> None:
    (soak,) = lot.system.soaks
    (bed,) = soak_beds(replace(lot.system, soaks=(replace(soak, voids=0.95),)))
    assert bed.stone == 0.0
    assert bed.displaced == soak.stone


def test_pipe_along_the_trench_and_further_wells_are_bought(lot: Design) -> None:
    (soak,) = lot.system.soaks
    (line,) = soak_lines(lot.system, "US", demonstration_book())
    assert line.key == "pipe.d2729-4in-perforated.10ft"
    assert line.quantity == math.ceil(soak.length / 3.048 - 1e-9)
    assert line.description == "4 in D2729 perforated pipe along the soakaway, level, sticks of 10 ft"
    (metric,) = soak_lines(lot.system, "SI", demonstration_book())
    assert metric.description == "4 in (DN 100) D2729 perforated pipe along the soakaway, level, sticks of 3.05 m"
    (more,) = soak_lines(replace(lot.system, soaks=(wells(soak, 3, 1.2),)), "US", demonstration_book())
    assert more.description.startswith("dry well chamber")
    assert (more.key, more.quantity) == ("outlet.dry-well", 2.0)


def test_stone_lies_under_the_pipe_before_the_pipe_comes(lot: Design) -> None:
    """Of 11.3 yd³ the order laid all after the pipe, which would have hung 3 ft over a bare trench; its cap and joint
    were for the day after it was covered."""
    (soak,) = lot.system.soaks
    tasks = {task.key: task for task in lot.build.plan.tasks}
    zones = {zone.zone: zone for zone in lot.build.takeoff.stone if zone.where == soak.name}
    under = zones["under the pipe"]
    wall = find_pipe(TRENCH_PIPE).wall
    assert under.height == pytest.approx(soak.invert - wall - soak.bottom)
    assert under.volume == pytest.approx(soak.length * soak.width * under.height)
    both = under.height + zones["round and over the pipe"].height
    assert both == pytest.approx(soak.top - soak.bottom)
    bed, pipe, stone = (tasks[key] for key in ("bed", "pipe", "stone"))
    yard = 0.9144**3
    assert float(bed.quantity.split(" yd³")[0]) == pytest.approx(under.volume / yard, abs=0.06)
    rest = zones["round and over the pipe"].volume / yard
    assert float(stone.quantity.split(" yd³")[0]) == pytest.approx(rest, abs=0.06)
    assert "in SOAK up to the pipe's invert" in bed.title
    assert bed.end <= pipe.start < stone.end
    (kit,) = (line for line in lot.build.takeoff.lines if line.key == "outlet.infiltration-trench")
    assert task_of(kit, {key: task.day for key, task in tasks.items()}) == "pipe"
    assert task_of(kit, {"pipe-yard": 2, "outlet": 3}) == "pipe-yard"


def test_what_is_bought_for_a_soakaway_is_a_thing(lot: Design) -> None:
    """The order had "outlet: infiltration trench", which nobody sells, and no cap for the pipe's far end."""
    told = {line.key: line.description for line in lot.build.takeoff.lines}
    assert told["outlet.infiltration-trench"].startswith("end kit of an infiltration trench, 4 in: cap")
    assert outlet_words("dry well", "SI") == "dry well chamber"
    assert not [words for words in told.values() if words.startswith("outlet: ")]


def test_apron_is_bought_by_its_trapezoid(gravity: Design) -> None:
    (fall,) = gravity.system.outfalls
    assert apron_volume(fall) == 0.0
    stone = replace(fall, apron_given=1.5, apron_width=1.3, apron_thickness=0.2)
    assert apron_volume(stone) == pytest.approx(1.5 * (3 * fall.diameter + 1.3) / 2 * 0.2)
    built = build_side(gravity.site, replace(gravity.system, outfalls=(stone,)))
    line = next(item for item in built.takeoff.lines if item.key == "stone.apron")
    assert line.net == pytest.approx(apron_volume(stone) / 0.764555, rel=1e-5)
    assert built.price.total > gravity.build.price.total


def test_a_larger_soakaway_costs_more(lot: Design) -> None:
    (soak,) = lot.system.soaks
    longer = replace(soak, stone=soak.stone * 1.5, fabric=soak.fabric * 1.5)
    built = build_side(lot.site, replace(lot.system, soaks=(longer,)))
    assert built.price.total > lot.build.price.total
    assert len(soak_cuts(lot.site, lot.system)) == 1
