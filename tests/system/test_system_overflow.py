"""Gravity overflows as a second way out: what they carry, against full-pipe hydraulics by hand, and in the storm."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from system_jobs import designed, document

from drainwright.storm import storm_test
from drainwright.system.model import System
from drainwright.system.surface.overflow import Overflow

FOOT = 0.3048
OUT2 = {
    "name": "LOW", "at": "46 ft, -80 ft", "kind": "daylight", "invert": "95.9 ft", "permission": "allowed, measured",
}  # fmt: skip
RUNS = [
    {"name": "FD1", "duty": "footing drain", "from": "C", "to": "SUMP", "beside": ["east"]},
    {"name": "L1", "duty": "leader", "from": "DS1", "to": "SUMP"},
    {"name": "L2", "duty": "leader", "from": "DS2", "to": "SUMP"},
    {"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "SUMP", "via": ["-12 ft, -14 ft"]},
    {"name": "DL", "duty": "discharge line", "from": "SUMP", "to": "OUT"},
]  # fmt: skip


def job(pipe: str | None = "d3034 4 in", invert: str = "98.0 ft") -> dict[str, Any]:
    over = {"name": "OV", "duty": "overflow", "from": "SUMP", "to": "LOW", "pipe": pipe, "invert_from": invert}
    runs = [*RUNS, *([over] if pipe else [])]
    data = document(0.02, runs=runs, basin={"name": "SUMP", "at": "46 ft, -10 ft"})
    data["works"]["discharge"].append(dict(OUT2))
    return data | {"criteria": {"roof_water": "to basin"}}


def overflow_of(system: System) -> Overflow:
    (found,) = system.overflows
    return found


def test_an_overflow_s_capacity_is_that_of_its_full_pipe_under_the_head_there() -> None:
    """Manning full, free at its crown wherever it steepens, between an easy entrance (K 0.2) and a poor one (1.5).

    The entrance loss of the water surface is HEC-22's for an access hole, which depends on the depth there.
    """
    _, _, system = designed(job())
    found, run = overflow_of(system), system.run("OV")
    assert found.starts == pytest.approx(98.0 * FOOT)
    size, n = run.pipe.inside, run.pipe.manning
    area = np.pi / 4 * size**2

    def most(loss: float) -> float:
        low, high = 0.0, 0.2
        for _ in range(80):
            flow = (low + high) / 2
            head = (1.0 + loss) * (flow / area) ** 2 / (2 * 9.80665)
            slope = (flow * n / (area * (size / 4) ** (2 / 3))) ** 2
            need = max(place.invert + slope * place.distance for place in run.stations) + size + head
            low, high = (flow, high) if need < found.allowed else (low, flow)
        return low

    assert most(1.5) < found.capacity < most(0.2)


def test_a_larger_overflow_carries_more_and_a_higher_one_less() -> None:
    four = overflow_of(designed(job())[2]).capacity
    six = overflow_of(designed(job("d3034 6 in"))[2]).capacity
    higher = overflow_of(designed(job(invert="98.3 ft"))[2]).capacity
    assert six > four > higher > 0.0


def test_an_overflow_above_what_may_be_holds_nothing() -> None:
    _, _, system = designed(job(invert="99.8 ft"))
    found = overflow_of(system)
    assert found.starts > found.allowed
    assert not found.at_floor  # on this lot the basin's rim lies below the floor
    assert found.capacity == 0.0
    assert not found.holds


def test_an_overflow_takes_no_part_while_the_pump_works() -> None:
    _, _, with_one = designed(job())
    _, _, without = designed(job(None))
    assert with_one.stations[0].inflow == pytest.approx(without.stations[0].inflow)
    assert overflow_of(with_one).inflow == pytest.approx(with_one.stations[0].inflow)


def test_with_the_pump_dead_the_overflow_keeps_the_floor_dry() -> None:
    site, water, system = designed(job("d3034 6 in"))
    test = storm_test(site, water, system)
    dead = test.case("pump dead")
    assert dead is not None
    assert dead.time_to_slab is None
    assert dead.volume_out > 0.0
    bare = storm_test(*_parts(job(None))).case("pump dead")
    assert bare is not None
    assert bare.highest_at_house is not None
    assert dead.highest_at_house is not None
    assert dead.highest_at_house < bare.highest_at_house
    assert abs(dead.balance_error) < 1e-3


def _parts(data: dict[str, Any]) -> Any:
    return designed(data)
