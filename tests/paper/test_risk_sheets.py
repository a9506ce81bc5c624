"""The risk sheet in two languages: the same rows, figures and names."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from drainwright.build.panels import bared_lengths
from drainwright.build.wording import lengths_rule
from drainwright.paper.documents.blocks import plain
from drainwright.paper.documents.hazards import emergencies, risk_rows, risk_sheet
from drainwright.paper.documents.riesgos import KINDS, emergencies_spanish, risk_sheet_spanish, rows_spanish
from drainwright.paper.documents.safe_dig import safe_dig_blocks
from drainwright.paper.documents.say import Say

from ..conftest import designed

JOBS = (
    "block-wall-house/job",
    "sloping-lot/job",
    "wrong-choices/job",
    "metric-basement/job",
    "two-basins/job",
    "soak-lot/job",
)


def figures(text: str) -> list[str]:
    """All numbers with the unit that follows, sorted."""
    return sorted(re.findall(r"\d[\d,./ -]*\d|\d", text))


@pytest.mark.parametrize("path", JOBS)
def test_both_languages_have_the_same_rows_figures_and_names(path: str) -> None:
    design = designed(path)
    english, spanish = risk_rows(design), rows_spanish(design)
    assert len(english) == len(spanish)
    names = {
        *(item.name for item in design.build.dig.trenches), *(line.name for line in design.job.utilities),
        *(wall.wall.name for wall in design.site.walls if wall.wall.name not in ("north", "south", "east", "west")),
    }  # fmt: skip
    for mine, yours in zip(english, spanish, strict=True):
        one, other = " ".join(mine), " ".join(yours)
        assert figures(one) == figures(other), (one, other)
        for name in names - {"north", "south", "east", "west"}:
            assert bool(re.search(rf"\b{re.escape(name)}\b", one)) == bool(
                re.search(rf"\b{re.escape(name)}\b", other)
            ), name
    for name in {item.item for item in design.build.dig.wedges if item.inside}:
        assert any(name in row[1] for row in spanish)


@pytest.mark.parametrize("basin", [True, False])
@pytest.mark.parametrize("units", ["US", "SI"])
def test_both_have_the_same_emergencies(basin: bool, units: str) -> None:
    say = Say(units)  # type: ignore[arg-type]
    english, spanish = emergencies(say, basin=basin), emergencies_spanish(say, basin=basin)
    assert len(english) == len(spanish)
    for mine, yours in zip(english, spanish, strict=True):
        assert figures(mine[1]) == figures(yours[1])


@pytest.mark.parametrize("path", JOBS)
def test_no_english_is_left_over(path: str) -> None:
    text = " ".join(" ".join(row) for row in rows_spanish(designed(path)))
    for word in ("the", "and", "of", "footing", "trench", "spoil", "ladder", "measured", "assumed", "wall", "water"):
        left = text
        for line in designed(path).job.utilities:
            left = left.replace(line.name, "")
        assert not re.search(rf"\b{word}\b", left), (word, text)


def test_every_kind_of_line_has_a_word() -> None:
    from typing import get_args

    from drainwright.job.site import UtilityKind

    assert set(KINDS) == set(get_args(UtilityKind))


def test_both_sheets_have_the_same_blocks() -> None:
    design = designed("sloping-lot/job")
    kinds = [type(block) for block in risk_sheet(design)]
    assert [type(block) for block in risk_sheet_spanish(design)] == kinds


@pytest.mark.parametrize("path", JOBS)
def test_each_trench_has_one_verdict_on_all_sheets(path: str) -> None:
    """What the safe-dig sheet says of a guarded trench is what both risk sheets say of it."""
    design = designed(path)
    sheet = str(plain(safe_dig_blocks(design)))
    english, spanish = risk_rows(design)[0][2], rows_spanish(design)[0][2]
    for item in design.build.dig.trenches:
        if item.protection != "slope or shield":
            continue
        [mine] = re.findall(rf"Nobody enters [^.]*\b{re.escape(item.name)}\b.*? unless (.*?)\. ", english)
        [yours] = re.findall(rf"Nadie entra en [^.]*\b{re.escape(item.name)}\b.*? si no está (.*?)\. ", spanish)
        assert ("no room to slope" in mine) == ("no hay lugar" in yours) == (not item.slope_fits)
        assert (f"{item.slope_run:g} across to 1 up" in mine) == item.slope_fits
        assert ("no room to slope" if not item.slope_fits else f"slope {item.slope_run:g} across") in sheet


def test_short_lengths_have_one_rule_and_a_table() -> None:
    design = designed("metric-basement/job")
    say = Say(design.job.units)
    rule = lengths_rule(say.length(design.build.dig.wall_panel))
    sheet = str(plain(safe_dig_blocks(design)))
    assert rule in sheet
    assert rule in " ".join(" ".join(row) for row in risk_rows(design))
    found = bared_lengths(design.site, design.system, design.build.dig.wall_panel)
    assert "Measured from" in sheet
    assert list(dict.fromkeys(item.wall for item in found)) == ["north", "west", "south"]
    assert found[0].start == 0.0  # the numbers run the way the stations do
    for one, other in pairwise(found):
        assert one.odd != other.odd
    opened = {task.key: task for task in design.build.plan.tasks}
    assert opened["open-even"].start >= opened["backfill"].end - 1e-6
    assert "Measured from" not in str(plain(safe_dig_blocks(designed("block-wall-house/job"))))
