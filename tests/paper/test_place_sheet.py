"""The place sheet: what is assumed or stale is told, and the law of the place comes before its notice."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.paper.documents.blocks import Keep, plain
from drainwright.paper.documents.place_sheet import place_sheet

from ..conftest import designed


@pytest.fixture(scope="module")
def house() -> Design:
    return designed("block-wall-house/job")


def told(design: Design) -> str:
    return str(plain(place_sheet(design, {})))


def with_rules(design: Design, **rules: object) -> Design:
    job = design.job
    return replace(design, job=job.model_copy(update={"rules": job.rules.model_copy(update=rules)}))


def test_rules_stand_with_source_and_date_and_those_nobody_set_as_assumed(house: Design) -> None:
    words = told(house)
    assert "state one-call law (invented)" in words
    assert "15 January 2026" in words
    assert "ASSUMED" in words  # Fernhollow's rules say nothing of soakaways
    assert "usual value: look it up" in words
    assert "STALE" not in words


def test_a_date_over_a_year_old_is_stale(house: Design) -> None:
    old = house.job.rules.frost_depth.model_copy(update={"date": datetime.date(2025, 3, 1)})
    assert told(with_rules(house, frost_depth=old)).count("STALE") == 1


def test_the_notice_defers_to_the_place_and_takes_the_firms_wording(house: Design) -> None:
    # 16 CFR 429.1, three business days; seen as a state's regulator quotes it.
    words = told(house)
    assert "law of the place decides" in words
    assert "16 CFR 429.1" in words
    assert "within 3 business days" in words
    firm = house.job.firm.model_copy(update={"cancellation": "Our own wording."})
    own = told(replace(house, job=house.job.model_copy(update={"firm": firm})))
    assert "Our own wording." in own
    assert "law of the place decides" in own


def test_the_form_to_cancel_stands_whole_below_the_questions(house: Design) -> None:
    """It had a page of its own, two thirds empty, after another that was as empty; a firm's long wording still has."""
    sheet = place_sheet(house, {})
    [form] = [block for block in sheet.blocks if isinstance(block, Keep) and "I cancel this contract." in str(block)]
    assert form is sheet.blocks[-1]
    firm = house.job.firm.model_copy(update={"cancellation": "Our own wording. " * 300})
    own = place_sheet(replace(house, job=house.job.model_copy(update={"firm": firm})), {})
    assert not any(isinstance(block, Keep) and "I cancel this contract." in str(block) for block in own.blocks)
