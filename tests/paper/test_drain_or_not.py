"""Why a drain, and whether now: the leading cause decides what is said first, and a test decides what is built."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.paper.documents.cause_words import (
    GRADE_FIRST,
    GRADE_TOO,
    above_ground_water,
    cause_words,
    first_then_see,
    left_out_first,
)
from drainwright.paper.documents.proposal_first import decide
from drainwright.paper.documents.site_water import next_test_blocks
from drainwright.water.moisture_model import Moisture

from .test_readers import text

EXAMPLES = pytest.mark.parametrize("name", ["pumped", "metric", "gravity", "mended", "wrong"])


@EXAMPLES
def test_shaping_is_the_first_remedy_only_where_water_over_the_ground_leads(
    name: str, request: pytest.FixtureRequest
) -> None:
    design: Design = request.getfixturevalue(name)
    left = left_out_first(design)
    close = [cause for cause in design.moisture.causes if 2 * cause.share > design.moisture.causes[0].share]
    over = any(cause.cause in (Moisture.SURFACE_WATER, Moisture.ROOF_WATER) for cause in close)
    assert GRADE_FIRST not in left or over
    assert GRADE_TOO not in left or not over


@EXAMPLES
def test_the_ground_first_is_a_choice_to_tick_where_it_leads(name: str, request: pytest.FixtureRequest) -> None:
    design: Design = request.getfixturevalue(name)
    told = text(decide(design))
    assert ("☐ Shape the ground first" in told) is bool(first_then_see(design))
    causes = design.moisture.causes
    if causes and causes[0].cause is Moisture.SURFACE_WATER and GRADE_FIRST in left_out_first(design):
        assert "☐ these works now" in told
    if causes and design.moisture.drainage_is_remedy is None and design.moisture.next_test is not None:
        assert f"First, before you sign: the test '{design.moisture.next_test.test}'" in told


def test_no_offer_is_advised_against_where_what_was_seen_is_what_ground_water_does(pumped: Design) -> None:
    """A proposal said "do not sign this offer" to a house that was wet for days after rain."""
    assert any(item.when == "days after rain" for item in pumped.job.symptoms)
    told = first_then_see(pumped)
    assert "do not sign" not in told
    assert "'days after rain'" in told
    assert pumped.moisture.next_test is not None
    assert f"the test '{pumped.moisture.next_test.test}' comes first" in told
    at_once = [item.model_copy(update={"when": "after rain"}) for item in pumped.job.symptoms]
    rain = replace(pumped, job=pumped.job.model_copy(update={"symptoms": at_once}))
    assert "do not sign this offer" in first_then_see(rain)


def test_a_pipe_over_the_measured_ground_water_is_told_plainly(metric: Design, pumped: Design) -> None:
    """FD1 of the half basement climbs from 48.92 to 49.27 m, and the water was found at 49.19 m."""
    assert "the upper part of FD1" in above_ground_water(metric)
    assert above_ground_water(metric) in cause_words(metric)
    assert not above_ground_water(pumped), "its water stands above both drains"
    low = replace(metric, site=replace(metric.site, water_table=48.0))
    assert "the pipe of FD1" in above_ground_water(low)


@EXAMPLES
def test_each_result_of_the_next_test_says_whether_the_drain_is_built(
    name: str, request: pytest.FixtureRequest
) -> None:
    sources = request.getfixturevalue(name).moisture
    if sources.next_test is None:
        return
    rows = [row for row in text(next_test_blocks(sources, further=False)).split("\n") if row.count(" | ") == 2]
    assert len(rows) == len(sources.next_test.outcomes)
    for row, remedy in zip(rows, sources.next_test.remedies, strict=True):
        assert ("we would build this drain" in row) is (remedy is True)
        assert ("we would not build this drain" in row) is (remedy is not True)
