"""Soil that smells of fuel or sewage stops the digging, and what it costs is not in the price."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from drainwright.design import Design
from drainwright.errors import JobError
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


def test_its_prices_by_yard_and_load_by_hand() -> None:
    """Many roots in loam: 1.4/0.75 h dug, 1.25 yd³ loose wheeled at 2.8 and loaded at 1.75, all half as slow again; a
    load 0.85 h driven and 0.25 h tipped, 70 for the truck and 480 for the place; 24.00 an hour with 35 % burden."""
    made = what_if(designed("block-wall-house/job"), {"ground.fouled": {"kind": "fuel smell", "cleared": "N. Ross"}})[0]
    by_what = {one.extra.what: one for one in made.build.unit_prices}
    soil, load = by_what["fouled"], by_what["fouled load"]
    assert soil.extra.hours == pytest.approx(1.5 * (1.4 / 0.75 + 1.25 * (1 / 2.8 + 1 / 1.75)))
    assert not soil.extra.items
    assert load.extra.hours == pytest.approx(1.10)
    assert load.labour == Decimal("35.64")
    assert load.items == Decimal("550.00")
    assert load.overhead == Decimal("105.42")  # 18 % of 585.64, to the cent
    assert load.before_tax == Decimal("863.83")  # 691.06 / 0.8, half a cent up
    assert all("ASSUMED, no firm price" in one.extra.counts for one in (soil, load))
    assert made.build.price.total == designed("block-wall-house/job").build.price.total
    clean = {one.extra.what for one in designed("block-wall-house/job").build.unit_prices}
    assert not clean & {"fouled", "fouled load"}


def test_an_allowance_for_it_where_none_is_told_of_is_refused() -> None:
    with pytest.raises(JobError, match="no fouled soil"):
        what_if(designed("soak-lot/job"), {"offer.allowances": [{"what": "fouled load", "quantity": 1}]})
