"""The overflow of a soakaway: laid from the last place before it, graded and sized, not where a pump lifts it."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from system_jobs import designed, document


def lot(soak: dict[str, Any], **works: Any) -> dict[str, Any]:
    """The invented lot with a trench south-west of the house, and a way out on lower ground further down."""
    data = copy.deepcopy(document(0.02, **works))
    data["ground"]["water_table"] = "80 ft, measured"
    data["ground"]["conductivity"] = "20 ft/day, measured"
    for wall in data["house"]["walls"]:
        wall.pop("wet", None)
    data["downspouts"], data["roofs"] = [], []
    allowed = "allowed, measured"
    data["works"]["discharge"] = [
        {"name": "SOAK", "at": "-12 ft, -20 ft", "kind": "infiltration trench", "invert": "97.0 ft", "soak": soak,
         "permission": allowed},
        {"name": "LOW", "at": "-12 ft, -85 ft", "kind": "daylight", "invert": "at ground", "permission": allowed},
    ]  # fmt: skip
    data["works"].setdefault("runs", [{"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "SOAK"}])
    data["works"]["basin"] = "none"
    return data


def test_overflow_is_laid_from_the_last_place_and_sized_for_all_that_comes() -> None:
    _, inflows, system = designed(lot({"overflow": "LOW"}))
    run = system.run("OF1")
    assert (run.duty, run.upper, run.lower) == ("overflow", "CB1", "LOW")
    assert run.flow == pytest.approx(inflows.at("CB1"))
    assert run.invert_upper > system.run("YD1").invert_upper - 1e-9
    (over,) = system.overflows
    assert (over.run, over.place, over.to) == ("OF1", "CB1", "LOW")
    assert over.starts >= system.soaks[0].invert
    assert over.holds
    assert any(note.startswith("Proposed: overflow OF1 from CB1 to LOW") for note in system.notes)
    assert system.discharge == "SOAK"


def test_without_a_named_overflow_none_is_laid_and_the_rest_is_the_same() -> None:
    _, _, bare = designed(lot({}))
    _, _, full = designed(lot({"overflow": "LOW"}))
    assert not bare.overflows
    assert [run.name for run in full.runs if run.duty != "overflow"] == [run.name for run in bare.runs]
    assert full.run("YD1").invert_upper == pytest.approx(bare.run("YD1").invert_upper)
    assert full.soaks[0].fullest == pytest.approx(bare.soaks[0].fullest)


def test_an_overflow_that_the_job_draws_is_kept() -> None:
    runs = [
        {"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "SOAK"},
        {"name": "MINE", "duty": "overflow", "from": "CB1", "to": "LOW"},
    ]
    _, _, system = designed(lot({"overflow": "LOW"}, runs=runs))
    assert [run.name for run in system.runs if run.duty == "overflow"] == ["MINE"]


def test_none_is_laid_where_a_pump_lifts_the_water() -> None:
    data = lot(
        {"overflow": "LOW"},
        runs=[
            {"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "SUMP"},
            {"name": "DL", "duty": "discharge line", "from": "SUMP", "to": "SOAK"},
        ],
    )
    data["works"]["basin"] = {"name": "SUMP", "at": "-12 ft, -10 ft"}
    _, _, system = designed(data)
    assert not system.overflows
    assert any("is pumped to it, so no overflow to LOW is laid" in note for note in system.notes)
