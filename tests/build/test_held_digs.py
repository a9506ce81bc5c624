"""Digs that people may not enter: too deep without protection, and a live line leaves room for none."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import pytest

from drainwright.design import Design, design
from drainwright.errors import JobError
from drainwright.findings.model import Finding, Severity
from drainwright.job.reading import read_text
from drainwright.paper.documents.say import failing

from .hazards.planted import LOTS, Planted, add_line, deeper

WORD = {"by": "Hill Gas, P. Field", "on": "2026-04-20", "text": "held in a padded sling, their watcher on site"}
SHORED = {
    "at": "north", "kind": "timber shoring", "by": "N. Ross", "on": "2026-04-21", "text": "sheets past the line",
}  # fmt: skip


def document(*, agreed: bool = True, protection: tuple[dict[str, str], ...] = (), **line: Any) -> dict[str, Any]:
    """The lot on sand, its north wall opened 5 ft 2 in deep, a live gas line along inside."""
    sand = next(lot for lot in LOTS.values() if any(item.what.startswith("a trench 5 ft 2 in") for item in lot.hazards))
    gas = add_line("gas line", "gas", [(-4, 27.7), (38, 27.7)], "2 ft", **({"agreed": WORD} if agreed else {}), **line)
    plants = (Planted("deep", deeper(5.45), "", "", ""), Planted("gas", gas, "", "", ""))
    job = type(sand)(sand.lot, sand.clean, plants).document(with_hazards=True)
    job["works"]["protection"] = list(protection)
    return job


@cache
def built(*, agreed: bool = True, shored: bool = False, live: bool = True) -> Design:
    job = document(agreed=agreed, protection=(SHORED,) if shored else (), live=live)
    return design(read_text(json.dumps(job)).job)


def says(job: Design, key: str, where: str) -> Finding:
    [found] = [item for item in job.findings if (item.id, item.where) == (key, where)]
    return found


def test_the_owner_s_agreement_on_holding_a_line_keeps_no_side_from_falling_in() -> None:
    held = built()
    assert says(held, "DIG-23", "utilities.gas line").severity is Severity.CAUTION
    found = says(held, "DIG-06", "house.walls.north")
    assert found.severity is Severity.FAILS
    assert "nobody enters it" in found.message
    assert "no other protection is planned" in found.message
    assert "works.protection" in found.advice
    assert failing(held.findings)
    assert "How people are kept safe in north" in held.answers[19].missing


def test_a_line_along_inside_is_told_of_the_dig_that_it_lies_in() -> None:
    """The drain in the wall's dig was called held too, and with it its piece far from the line."""
    digs = {trench.name: trench for trench in built().build.dig.trenches}
    assert digs["north"].bars == ("gas line",)
    assert digs["FD1"].bars == digs["FD1"].along == ()
    assert "FD1" not in says(built(), "DIG-23", "utilities.gas line").message
    shields = built().build.shields
    assert shields is None or not any(place.trench == "north" for place in shields.places)


def test_protection_that_is_named_is_quoted_with_its_date_and_no_longer_fails() -> None:
    found = says(built(shored=True), "DIG-06", "house.walls.north")
    assert found.severity is Severity.CAUTION
    assert "timber shoring, N. Ross, 2026-04-21: “sheets past the line”" in found.advice
    assert "nobody enters" not in found.message
    assert built(shored=True).answers[19].missing == ""


def test_a_dead_line_bars_nothing() -> None:
    assert says(built(live=False, agreed=False), "DIG-06", "house.walls.north").severity is Severity.CAUTION
    assert not any(trench.held for trench in built(live=False, agreed=False).build.dig.trenches)


def test_protection_of_a_dig_that_nobody_digs_is_refused() -> None:
    with pytest.raises(JobError, match=r"works\.protection"):
        read_text(json.dumps(document(protection=({**SHORED, "at": "nort"},))))
