"""Gravity lines that run into an existing line: the water in that line stands against them."""

from __future__ import annotations

import math
from typing import Any

import pytest
from system_jobs import designed, document

from drainwright.storm import storm_test
from drainwright.storm.network import build_network
from drainwright.system.model import System

RUNS = [
    {"name": "L1", "duty": "leader", "from": "DS1", "to": "OUT", "via": ["45 ft, -10 ft"]},
    {"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "OUT"},
]
JOINS = {"pipe": "d3034 6 in", "grade": "0.5 %, measured", "other_roof": ["DS2"]}


def joining(**point: Any) -> dict[str, Any]:
    data = document(0.03, runs=RUNS, basin="none", invert="2 ft below ground")
    for wall in data["house"]["walls"]:
        wall["wet"] = False
    joins = {**JOINS, **point.pop("joins", {})}
    data["works"]["discharge"][0] |= {"kind": "storm line", "joins": joins, **point}
    return data


def laid(**point: Any) -> System:
    return designed(joining(**point))[2]


def test_a_gravity_line_runs_against_the_water_of_the_line_it_joins() -> None:
    """Manning by hand: at the depth that stands there the joined line carries just all that comes to it."""
    system = laid()
    joined = system.joined
    assert joined is not None
    assert joined.roof > 0.0
    for name in ("L1", "YD1"):
        run = system.run(name)
        assert not run.pressure
        depth, size = run.tail - run.invert_lower, joined.pipe.inside
        angle = 2.0 * math.acos(1.0 - 2.0 * depth / size)
        area, wet = size**2 / 8.0 * (angle - math.sin(angle)), size * angle / 2.0
        carried = area * (area / wet) ** (2 / 3) * math.sqrt(joined.grade) / joined.pipe.manning
        assert carried == pytest.approx(joined.load, rel=1e-4)


def test_an_overloaded_line_stands_full_and_an_air_gap_keeps_it_off() -> None:
    full = laid(joins={"other_flow": "30 l/s, measured"}).run("L1")
    assert full.tail == pytest.approx(full.invert_lower + 0.150241)  # a 6 in sewer pipe's bore
    assert full.surcharged
    assert laid(air_gap=True).run("L1").tail == -math.inf
    drowned = laid(tailwater="1 ft below ground")  # a level that is given and higher counts
    assert drowned.run("L1").tail == pytest.approx(drowned.nodes["OUT"].ground - 0.3048)


def test_the_storm_is_tried_against_it_too() -> None:
    site, water, system = designed(joining(joins={"other_flow": "30 l/s, measured"}))
    network = build_network(site, water, system)
    pipes, joint = network.plant.pipes, network.names.index(system.discharge)
    assert dict(zip(network.runs, pipes.lower[: len(network.runs)], strict=True)) == {"L1": joint, "YD1": joint}
    assert pipes.upper[-1] == joint  # the line goes on from there with all that it carries
    assert abs(storm_test(site, water, system).cases[0].balance_error) < 1e-9
