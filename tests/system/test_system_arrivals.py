"""Proposed lines come to the basin from sides of their own."""

from __future__ import annotations

import itertools
import math
from types import SimpleNamespace
from typing import Any

import pytest
from system_jobs import designed, document

from drainwright.system.model import System
from drainwright.system.ways import RoundHouse
from drainwright.system.yard.arrivals import APPROACH, arriving

FOOT = 0.3048


def bearings(system: System, basin: str) -> dict[str, float]:
    """Direction in which each line leaves the basin's wall [rad]."""
    found = {}
    for run in system.runs:
        if basin in (run.upper, run.lower):
            at, toward = run.route[:2] if run.upper == basin else run.route[:-3:-1]
            found[run.name] = math.atan2(toward[1] - at[1], toward[0] - at[0])
    return found


def job(basin: str, wet: set[str], **works: Any) -> dict[str, Any]:
    data = document(0.0, basin={"name": "SUMP", "at": basin}, **works)
    for wall in data["house"]["walls"]:
        wall["wet"] = wall["name"] in wet
    return data | {"criteria": {"roof_water": "to basin"}}


@pytest.mark.parametrize(
    ("basin", "wet"),
    [
        ("44 ft, -6 ft", {"west", "east"}),  # both drains come round the south-east corner
        ("48 ft, -8 ft", {"south", "north"}),
        ("20 ft, -8 ft", {"west", "east"}),
        ("-7 ft, -7 ft", {"north", "south"}),
    ],
)
def test_lines_proposed_from_two_sides_leave_wall_between_their_holes(basin: str, wet: set[str]) -> None:
    site, _, system = designed(job(basin, wet))
    assert sum(run.duty == "footing drain" for run in system.runs) == 2
    found = bearings(system, "SUMP")
    assert len(found) >= 3
    for (one, a), (other, b) in itertools.combinations(found.items(), 2):
        assert abs(math.remainder(a - b, 2 * math.pi)) >= math.radians(30.0) - 1e-9, (one, other)
    house = RoundHouse(site.outline)
    for run in system.runs:
        outside = [place for place in run.route if house.off(place) > 0.0]
        assert all(house.clear(a, b) for a, b in itertools.pairwise(outside))
    lengths = {run.name: run.length for run in system.runs}
    for note in system.notes:  # what is said of a proposed line is what is laid
        if note.startswith("Proposed"):
            name = next(word for word in note.replace(",", "").split() if word in lengths)
            assert f"{lengths[name] / FOOT:.3f} ft long" in note


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_the_last_bend_turns_away_from_the_house(side: float) -> None:
    """Both ways round are as short; the house stands on one side, and a trench beside it is none to dig by choice."""
    house = RoundHouse([(side * x, y) for x, y in ((2.5, -12.0), (12.0, -12.0), (12.0, 12.0), (2.5, 12.0))])
    line = SimpleNamespace(upper="CB1", lower="SUMP", route=((0.0, -10.0), (0.0, 0.0)))
    network: Any = SimpleNamespace(spots={"SUMP": SimpleNamespace(at=(0.0, 0.0))}, lines=[line])
    route = arriving(network, house, lambda to: ((0.0, -20.0), to), "SUMP")
    bend = route[-2]
    assert math.hypot(*bend) == pytest.approx(APPROACH)
    assert side * bend[0] < -0.5


def test_a_line_of_the_job_is_not_moved() -> None:
    runs = [
        {"name": "L1", "duty": "leader", "from": "DS1", "to": "SUMP"},
        {"name": "FD1", "duty": "footing drain", "from": "C", "to": "SUMP", "beside": ["east"]},
    ]
    _, _, system = designed(job("44 ft, -6 ft", {"east"}, runs=runs))
    assert len(system.run("L1").route) == 2
    found = bearings(system, "SUMP")
    assert abs(math.remainder(found["DL1"] - found["L1"], 2 * math.pi)) >= math.radians(45.0) - 1e-9
