"""Eleven further hazards, planted in the examples' own jobs: each found by name and place, and not without it.

Written down before the checks were run on them. Five were not told then: the machine's own weight, the tank, the
retaining wall and the porch's footing beside a deep dig, and the power line over a machine: no job could hold them.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
import yaml

from drainwright.design import Design, design
from drainwright.findings.model import Severity
from drainwright.job.reading import read_text
from tests.conftest import EXAMPLES, designed

Record = dict[str, Any]


def spare(kind: str, name: str, *places: str) -> Callable[[Record], None]:
    """A thing on the lot to be spared, or that bears on it."""
    return lambda job: (
        job["property"].setdefault("protected", []).append({"name": name, "kind": kind, "at": list(places)})
    )


def line(name: str, kind: str, *route: str, **changes: object) -> Callable[[Record], None]:
    """One more buried line."""

    def plant(job: Record) -> None:
        job["utilities"].append(
            {"name": name, "kind": kind, "route": list(route), "shutoff": "at the street", "depth": "6 in, assumed"}
            | changes
        )
        job["utilities_absent"].remove(kind)

    return plant


def basin_at(distance: str) -> Callable[[Record], None]:
    """The metric basin elsewhere along its line."""

    def plant(job: Record) -> None:
        next(point for point in job["survey"]["points"] if point["name"] == "S1")["distance"] = distance

    return plant


def late(job: Record) -> None:
    """A ticket that was called for six weeks before the work."""
    job["crew"]["start"] = "2026-06-15"
    job["locates"] = {"number": "T-7", "called": "2026-05-04", "white_marked": True}


HAZARDS: dict[str, tuple[tuple[str, Callable[[Record], object], str, str, str], ...]] = {
    "two-basins": (
        ("a septic tank beside a deep hole",
         spare("septic tank", "old tank", "84 ft, 32 ft", "90 ft, 32 ft", "90 ft, 36 ft", "84 ft, 36 ft"),
         "DIG-16", "works.basin", "old tank (septic tank)"),
        ("the machine's own weight", lambda job: job["equipment"].update(excavator=True),
         "DIG-16", "works.basin", "weight of the small excavator"),
        ("a power line over the machine", spare("overhead line", "service drop", "85 ft, -45 ft", "95 ft, 20 ft"),
         "DIG-18", "works.more_basins.DRIVE", "under the service drop"),
    ),
    "sloping-lot": (
        ("a root zone crossed", lambda job: job.setdefault("trees", []).append(
            {"name": "yard maple", "at": "51 ft, 20 ft", "trunk_diameter": "14 in"}),
         "DIG-10", "trees.yard maple", "root zone"),
        ("a private line that nobody marked",
         line("path lights", "low voltage lighting", "40 ft, -20 ft", "60 ft, -22 ft", located_by="nobody"),
         "DIG-05", "utilities.path lights", "drawn in"),
        ("a locate that has run out", late, "DIG-11", "locates", "before the digging starts"),
    ),
    "metric-basement": (
        ("a porch's footing beside an opened wall",
         spare("footing", "porch pier", "5 m, 10.5 m"), "DIG-16", "house.walls.north", "porch pier (footing)"),
        ("a retaining wall beside a deep hole",
         spare("retaining wall", "garden wall", "16.3 m, -3 m", "16.3 m, 3 m"), "DIG-16", "works.basin",
         "garden wall (retaining wall)"),
        ("a footing beside a deeper sump", basin_at("12.4 m"), "FTG-04", "works.basin", "carries the footing"),
    ),
    "soak-lot": (
        ("a shed's footing in the way",
         spare("footing", "shed", "53 ft, 15 ft", "58 ft, 15 ft", "58 ft, 21 ft", "53 ft, 21 ft"),
         "DIG-19", "works.runs.YD1", "engineer's design"),
        ("gas by the owner's word",
         line("gas to the grill", "gas", "42 ft, 18 ft", "70 ft, 18 ft", located_by="owner says"),
         "DIG-05", "utilities.gas to the grill", "owner says so"),
    ),
}  # fmt: skip
CASES = [(lot, *hazard) for lot, hazards in HAZARDS.items() for hazard in hazards]


@cache
def planted(lot: str) -> Design:
    job = yaml.safe_load((EXAMPLES / lot / "job.yaml").read_text(encoding="utf-8"))
    for _, plant, *_ in HAZARDS[lot]:
        plant(job)
    return design(read_text(yaml.safe_dump(job, default_flow_style=False, sort_keys=False)).job)


def told(made: Design, check: str, where: str) -> list[str]:
    return [
        f"{item.message} {item.figure} {item.advice}"
        for item in made.findings
        if (item.id, item.where) == (check, where) and item.severity is not Severity.OK
    ]


@pytest.mark.parametrize(("lot", "what", "plant", "check", "where", "says"), CASES, ids=[case[1] for case in CASES])
def test_each_is_found_where_it_is_and_not_without_it(
    lot: str, what: str, plant: object, check: str, where: str, says: str
) -> None:
    found = told(planted(lot), check, where)
    assert any(says in text for text in found), (what, found)
    assert not any(says in text for text in told(designed(f"{lot}/job"), check, where)), what
