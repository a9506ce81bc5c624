"""Water let into the ground beside a wall where water came in, the ground water unknown: it is no dry scheme."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from scheme_lots import EXAMPLES, figures

from drainwright.design import Design, design
from drainwright.job.reading import read_text
from drainwright.schemes.comparing import compared
from drainwright.schemes.model import Comparison
from drainwright.schemes.wet_walls import BESIDE, at_wet_walls, wet_walls
from drainwright.schemes.words import explained, verdict

TOLD = "DW lets its water into the ground 12 ft from the south wall"


def soaked(symptom: str, *, table: bool = False) -> Design:
    """The lot on sand, with another symptom; the high water unknown."""
    text = (EXAMPLES / "soak-lot/job.yaml").read_text(encoding="utf-8")
    if not table:
        text = text.replace("  water_table: 90.00 ft, measured\n", "")
    head, found, rest = text.partition("symptoms:\n")
    assert found
    text = f"{head}{found}  - {symptom}\n{rest}"
    return design(read_text(text, "job.yaml", EXAMPLES / "soak-lot").job)


def test_a_soakaway_beside_a_wet_wall_stands_against_its_scheme() -> None:
    """The example's trench lies 20 ft from the east wall (by its own check, OUT-14)."""
    wet = soaked("{what: water at the east wall, when: after rain, sign: water on floor}")
    [soak] = wet.system.soaks
    assert soak.house_distance < BESIDE
    assert "east" in [wall.name for wall in wet_walls(wet.site)]
    [told] = at_wet_walls(wet)
    assert told.startswith("SOAK lets its water into the ground")
    assert "nobody knows how high ground water stands" in told
    assert compared(wet).at_wet_walls == (told,)
    assert at_wet_walls(soaked("{what: water at the east wall, sign: water on floor}", table=True)) == ()


def test_a_drained_house_is_known_dry_only_where_the_ground_water_is_known(pumped: Design) -> None:
    assert compared(pumped).water_known is (pumped.site.water_table is not None)
    assert not compared(replace(pumped, site=replace(pumped.site, water_table=None))).water_known


def two(**soak: Any) -> dict[Any, Comparison]:
    plain = figures("12000", (None, None), pumps=1)
    return {"split": plain, "soak": replace(figures("10000", (None, None), pumps=1), **soak)}


def test_it_is_not_praised_as_dry_and_leads_no_more() -> None:
    praise = "single failures brings water to the floor"
    free, held = two(), two(at_wet_walls=(TOLD,), water_known=False)
    assert "'Rain soaks away on the lot' is behind under no criterion" in verdict(free, "US")
    assert "None is better in all" in verdict(held, "US")
    assert "No water into the ground beside a wet wall: 'Rain by gravity, ground water pumped'" in verdict(held, "US")
    pros, cons = explained(held, "US")["soak"]
    assert cons[0] == f"{TOLD}."
    assert not any(praise in line for line in pros)
    assert any(praise in line for line in explained(held, "US")["split"][0])


@pytest.mark.parametrize(("known", "says"), [(True, "to the floor."), (False, "by rain alone (how high ground water")])
def test_dry_by_rain_alone_is_said_so(known: bool, says: str) -> None:
    one = replace(figures("10000", (None, None), pumps=1), water_known=known)
    other = replace(figures("12000", (None, None, None), pumps=1), water_known=True)
    assert any(says in line for line in explained({"split": one, "soak": other}, "US")["split"][0])
