"""Soil that smells of fuel or sewage stops the digging, and what it costs is not in the price."""

from __future__ import annotations

from typing import Any

import pytest

from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.offer import what_if
from drainwright.paper.documents.blocks import Bullets, Notice
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.proposal_terms import exclusions
from drainwright.paper.documents.safe_dig import safe_dig_blocks
from tests.conftest import designed

WORDS = "smells or looks of fuel"


def with_(**told: Any) -> Design:
    return what_if(designed("soak-lot/job"), {"ground.fouled": told})[0]


@pytest.mark.parametrize(
    ("told", "severity", "stops"),
    [
        ({"kind": "fuel smell", "where": "at the oil tank's fill"}, Severity.FAILS, True),
        ({"kind": "septic effluent", "cleared": "tested clean by N. Ross, 2026-03-02"}, Severity.CAUTION, False),
    ],
)
def test_it_is_told_where_people_dig_and_where_it_is_paid(
    told: dict[str, str], severity: Severity, stops: bool
) -> None:
    base, made = designed("soak-lot/job"), with_(**told)
    (found,) = [item for item in made.findings if item.id == "DIG-26"]
    assert found.severity is severity
    (notice,) = [
        block for block in safe_dig_blocks(made) if isinstance(block, Notice) and block.title == "Fouled soil or water"
    ]
    assert ("No digging there" in notice.text) is stops
    assert "no flame" in notice.text
    assert WORDS in exclusions(made)[0]
    assert made.build.price.total == base.build.price.total
    say = translator_of(made).say
    assert say(notice.title) == "Suelo o agua contaminados"
    assert "air tested" not in say(notice.text)
    assert "medir el aire antes" in say(notice.text)


def test_a_lot_without_it_says_nothing_of_it() -> None:
    base = designed("soak-lot/job")
    assert not any(item.id == "DIG-26" for item in base.findings)
    assert not any(WORDS in text for text in exclusions(base))
    assert "Fouled soil" not in repr([block for block in safe_dig_blocks(base) if not isinstance(block, Bullets)])
