"""What is advised against a failure fits the station that it strikes, and what is there already."""

from __future__ import annotations

from functools import cache

import pytest

from drainwright.design import Design, design, remedies
from drainwright.job import read_job
from drainwright.job.changes import changed_job
from drainwright.job.writing import to_json

from ..conftest import EXAMPLES


@cache
def made(example: str) -> Design:
    return design(read_job(EXAMPLES / example / "job.yaml"))


def advice(example: str, rule: str, word: str) -> str:
    (found,) = (one for one in made(example).findings if one.id == rule and word in one.message)
    return found.advice


@pytest.mark.parametrize("rule", ["STM-05", "STM-13"])
def test_a_second_pump_is_advised_without_a_price_of_its_own(rule: str) -> None:
    """Its price is that of the job designed with it, which the failures and the choices tell."""
    for basin in ("SUMP", "DRIVE"):
        said = advice("two-basins", rule, f"of {basin}")
        assert "; a second pump with a float of its own. 'drainwright storm' tries each remedy" in said


def test_a_second_pump_is_priced_for_the_basin_whose_pump_fails() -> None:
    """By the job designed with it at that basin."""
    base = made("two-basins")
    asked = {
        one.tried.remedy.where: one.cost.total
        for prevention in remedies(base)
        for one in prevention.remedies
        if one.tried.remedy.kind == "second pump"
    }
    assert set(asked) == {"SUMP", "DRIVE"}
    for basin, key in (("SUMP", "works.basin"), ("DRIVE", "works.more_basins.DRIVE")):
        other = design(changed_job(to_json(base.job), {f"{key}.second_pump": True}))
        assert other.build.price.total - base.build.price.total == asked[basin]


def test_a_second_pump_that_is_there_is_not_advised_again() -> None:
    said = advice("block-wall-house", "STM-05", "Pump dead")
    assert "Fit a second pump" not in said
    assert said.startswith("The second pump alone does not hold the storm")
