"""What is advised against a failure fits the station that it strikes, and what is there already."""

from __future__ import annotations

from functools import cache

import pytest

from drainwright.design import Design, design
from drainwright.job import read_job

from ..conftest import EXAMPLES


@cache
def made(example: str) -> Design:
    return design(read_job(EXAMPLES / example / "job.yaml"))


def advice(example: str, rule: str, word: str) -> str:
    (found,) = (one for one in made(example).findings if one.id == rule and word in one.message)
    return found.advice


@pytest.mark.parametrize("rule", ["STM-05", "STM-13"])
def test_a_second_pump_is_priced_for_the_basin_whose_pump_fails(rule: str) -> None:
    """The drive's pump is the dearer one: $1,740 against $1,482 by the demonstration book.

    The electrical permit is in the price of the job, once: not these 85.00 x 1.18 x 1.08 / 0.80 = 135 again.
    """
    assert "(about $1,482 by invented prices)" in advice("two-basins", rule, "of SUMP")
    assert "(about $1,740 by invented prices)" in advice("two-basins", rule, "of DRIVE")


def test_a_second_pump_that_is_there_is_not_advised_again() -> None:
    said = advice("block-wall-house", "STM-05", "Pump dead")
    assert "Fit a second pump" not in said
    assert said.startswith("The second pump alone does not hold the storm")
