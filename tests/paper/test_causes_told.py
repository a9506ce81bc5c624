"""The proposal says where the water comes from, which first remedy it leaves out, and which damp no drain stops."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.paper.documents.blocks import Block, Cell, Table
from drainwright.paper.documents.cause_words import (
    CAUSES,
    GRADE_FIRST,
    GRADE_TOO,
    ROOF_FIRST,
    cause_words,
    left_out_first,
)
from drainwright.paper.documents.storm_words import risk_blocks
from drainwright.water.moisture_model import Moisture
from drainwright.water.moisture_words import NOT_REACHED

from .papers import first_page_of, pages_of

STAYS_DAMP = (
    "The floor may stay damp: the soil draws water up so high; it takes a membrane or coarse stone under the floor, "
    "which is not in this price."
)


def told(design: Design, **changes: object) -> Design:
    """The same design with another ranking of the causes."""
    return replace(design, moisture=replace(design.moisture, **changes))  # type: ignore[arg-type]


def cells(blocks: tuple[Block, ...]) -> list[str]:
    tables = [block for block in blocks if isinstance(block, Table)]
    return [cell.text if isinstance(cell, Cell) else cell for table in tables for row in table.rows for cell in row]


def test_every_cause_has_words_for_the_customer() -> None:
    assert set(CAUSES) == set(Moisture)


@pytest.mark.parametrize("name", ["pumped", "metric"])
def test_the_first_page_tells_the_cause_before_the_flows(name: str, request: pytest.FixtureRequest) -> None:
    design: Design = request.getfixturevalue(name)
    page = first_page_of(design, "proposal")
    heading, cause, works, price, choice = (
        page.index(words)
        for words in (
            "Where the water comes from", CAUSES[design.moisture.causes[0].cause], "What we will do, in short",
            "Price: ", "What you decide",
        )
    )  # fmt: skip
    assert heading < cause < works < price < choice
    later = pages_of(design, "proposal")[1:]
    assert not any("What you decide" in text for text in later)
    assert any("Water that the works must take" in text for text in later)
    leads = design.moisture.causes[0].cause in (Moisture.SURFACE_WATER, Moisture.ROOF_WATER)
    assert (GRADE_FIRST if leads else GRADE_TOO) in page
    assert (NOT_REACHED in page) is design.moisture.short_of_floor


def test_the_customer_hears_whether_drains_are_the_remedy(pumped: Design) -> None:
    first = pumped.moisture.causes[0]
    assert first.remedy in cause_words(pumped)
    assert "cannot be told yet" in cause_words(told(pumped, drainage_is_remedy=None))
    assert "Drains are not the remedy." in cause_words(told(pumped, drainage_is_remedy=False))
    assert "does not tell yet" in cause_words(told(pumped, causes=()))
    near = tuple(replace(item, share=0.4) for item in pumped.moisture.causes[:2])
    assert f"{CAUSES[near[0].cause]} or {CAUSES[near[1].cause]}." in cause_words(told(pumped, causes=near))


def test_ground_that_falls_away_needs_no_shaping(pumped: Design) -> None:
    graded = tuple(replace(item, severity=Severity.OK) if item.id == "FTG-10" else item for item in pumped.findings)
    assert left_out_first(pumped) == (GRADE_FIRST,)
    assert left_out_first(replace(pumped, findings=graded)) == ()
    unknown = tuple(item for item in pumped.findings if item.id != "FTG-10")
    assert left_out_first(replace(pumped, findings=unknown)) == (GRADE_FIRST,), "surface water leads"


def test_downspouts_that_nothing_takes_are_left_out(pumped: Design) -> None:
    served = next(item for item in pumped.findings if item.id == "MOI-04")
    for severity, words in ((Severity.CAUTION, ROOF_FIRST), (Severity.OK, None)):
        roof = replace(served, severity=severity, figure="roof water 60 %")
        found = left_out_first(replace(pumped, findings=(*pumped.findings, roof)))
        assert (ROOF_FIRST in found) is (words is not None)


def test_damp_that_no_drain_stops_remains_at_risk(metric: Design, gravity: Design, pumped: Design) -> None:
    assert STAYS_DAMP in cells(risk_blocks(metric))
    assert any("sealed cover" in text and "not in this price" in text for text in cells(risk_blocks(gravity)))
    assert not any(text.startswith("The floor may stay") for text in cells(risk_blocks(pumped)))
    wet = tuple(
        replace(item, message="Even with the drains water may stand above it.") if item.id == "GWT-01" else item
        for item in metric.findings
    )
    assert any(text.startswith("The floor may stay wet") for text in cells(risk_blocks(replace(metric, findings=wet))))
