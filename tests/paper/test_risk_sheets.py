"""The risk sheet in two languages: the same rows, figures and names."""

from __future__ import annotations

import re

import pytest

from drainwright.paper.documents.hazards import emergencies, risk_rows, risk_sheet
from drainwright.paper.documents.riesgos import KINDS, emergencies_spanish, risk_sheet_spanish, rows_spanish
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
