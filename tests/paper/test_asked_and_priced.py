"""What the customer is sent to ask for has no price in the same proposal."""

from __future__ import annotations

import re

import pytest

from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.paper.documents.customer import meaning
from drainwright.paper.documents.storm_words import risk_blocks
from drainwright.paper.offer_designs import options_of, shaping_left_of
from drainwright.paper.storm_remedies import preventions_of

from .test_readers import text

EXAMPLES = pytest.mark.parametrize("name", ["pumped", "metric", "gravity", "mended"])


@EXAMPLES
def test_nobody_is_asked_to_ask_for_what_has_its_price(name: str, request: pytest.FixtureRequest) -> None:
    design: Design = request.getfixturevalue(name)
    chosen = options_of(design)
    keys = {} if chosen is None else {key: value for one in chosen.every for key, value in one.changes.items()}
    kinds = {one.cheapest.tried.remedy.kind for one in preventions_of(design) if one.cheapest is not None}
    shaped = shaping_left_of(design).walls
    for finding in design.findings:
        if finding.severity is Severity.OK:
            continue
        told = meaning(finding, design)
        for kind, key in (("overflow", "-"), ("second inlet", "-"), ("second pump", ".second_pump"),
                          ("battery", ".battery")):  # fmt: skip
            if kind in kinds or any(item.endswith(key) for item in keys):
                assert not re.search(rf"Ask us for an? {kind}", told), told
        if finding.id == "FTG-10" and finding.where.removeprefix("house.walls.") in shaped:
            assert "Ask us" not in told, told
        if finding.id == "FTG-05" and keys.get(f"{finding.where}.coating.kind") == "waterproofing":
            assert "ask us" not in told, told


@EXAMPLES
def test_no_sentence_stands_twice_in_a_risk_and_no_risk_has_two_rows(name: str, request: pytest.FixtureRequest) -> None:
    told = text(risk_blocks(request.getfixturevalue(name))).split("\n")
    rows = [row.split(" | ") for row in told if row.count(" | ") == 2]
    assert rows
    for _, _, means in rows:
        sentences = re.split(r"(?<=\.) (?=[A-Z])", means)
        assert len(sentences) == len(set(sentences)), means
    assert sum("power cut" in found or "Power out" in found for _, found, _ in rows) <= 1
    worst = [rank for rank, (_, found, _) in enumerate(rows) if "lets most water in" in found]
    assert worst in ([], [0]) or any(one.severity is Severity.FAILS for one in request.getfixturevalue(name).findings)


def test_a_grate_that_spills_at_the_house_is_told_its_remedy_and_price(gravity: Design) -> None:
    """A larger storm has nothing to do with leaves on a grate."""
    spills = [item for item in gravity.findings if item.id == "STM-30" and item.severity is not Severity.OK]
    assert spills, "the sloping lot has water at the house with CB1 under leaves"
    for finding in spills:
        told = meaning(finding, gravity)
        assert "larger storm" not in told
        best = next(one.cheapest for one in preventions_of(gravity) if finding.message.startswith(one.title))
        assert best is not None
        assert best.cost.about in told


@pytest.mark.parametrize(
    ("number", "severity", "says"),
    [
        ("LFT-19", Severity.CAUTION, "joined outside"),
        ("LFT-26", Severity.CAUTION, "that a spring shuts"),
        ("LFT-22", Severity.CAUTION, "flushed"),
        ("LFT-19", Severity.FAILS, "before you sign"),
        ("LFT-30", Severity.CAUTION, "what a larger one costs"),
    ],
)
def test_a_caution_at_the_basin_is_told_by_its_own_matter(number: str, severity: Severity, says: str) -> None:
    """A larger pump does not set two holes apart, nor quiet a check valve."""
    told = meaning(
        Finding(
            id=number, title="", severity=severity, where="works.basin", figure="", limit="", message="", advice="",
            source="common_practice",
        )
    )  # fmt: skip
    assert says in told
    assert ("larger one" in told) == (number == "LFT-30")
