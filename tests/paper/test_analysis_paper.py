"""The water analysis: sources with their evidence, methods against each, and lines to sign."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from drainwright.design import Design, design
from drainwright.job.values import Basis
from drainwright.paper.documents.against_causes import against, led_downspouts, without_a_pump
from drainwright.paper.documents.analysis_paper import plain_evidence
from drainwright.paper.documents.cause_words import CAUSES
from drainwright.water.moisture import share_words
from drainwright.water.moisture_model import Moisture

from ..conftest import designed
from .papers import pages_of, text_of

EXAMPLES = (
    "block-wall-house/job", "metric-basement/job", "sloping-lot/job", "soak-lot/job", "two-basins/job",
    "wrong-choices/job", "wrong-choices/mended", "long-house/job",
)  # fmt: skip


@pytest.mark.parametrize("example", EXAMPLES)
def test_it_is_short_and_names_what_it_must(example: str) -> None:
    made = designed(example)
    text = text_of(made, "water-analysis")
    assert 2 <= len(pages_of(made, "water-analysis")) <= 4
    for part in (
        "Sources of water", "What this rests on", "What one further measurement would settle", "What is proposed",
        "What it will not cure", "What else was considered", "Limits", "Given by", "Received by", "ATCP 110.09",
    ):  # fmt: skip
        assert part in text, part
    for cause in made.moisture.causes[:2]:
        words = CAUSES[cause.cause]
        assert f"{words[0].upper()}{words[1:]}: {share_words(cause.share)}" in text
    assert not re.search(r"\b(nan|None|inf)\b", text)


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_drain_wall_and_way_out_is_among_the_methods(example: str) -> None:
    made = designed(example)
    text = text_of(made, "water-analysis")
    told = " ".join(re.findall(r"Footing drains? ([^.]*)", text))
    named = set(re.findall(r"\w+", told))
    for kind, first, last in re.findall(r"\b([A-Z]+)(\d+)–(?:[A-Z]+)?(\d+)\b", told):  # names in a row, by their ends
        named |= {f"{kind}{number}" for number in range(int(first), int(last) + 1)}
    assert {run.name for run in made.system.runs if run.duty == "footing drain"} <= named
    for wall in made.site.walls:
        if wall.wall.open_and_coat and wall.wall.coating.kind != "none":
            done = " ".join(against(made, Moisture.CAPILLARY_RISE).done)
            assert f"Wall {wall.name}, " in done
            assert f"{wall.wall.coating.coats} coats on {wall.wall.material}" in done
    if made.system.stations and any(run.duty == "footing drain" for run in made.system.runs):
        assert all(station.name in text for station in made.system.stations)


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_next_test_or_that_none_helps(example: str) -> None:
    made = designed(example)
    text, test = text_of(made, "water-analysis"), made.moisture.next_test
    if test is None:
        assert "No cheap test would change" in text
    else:
        assert f"The next test: {test.test}" in text
        assert all(f"{outcome} " in text for outcome, _ in test.outcomes)


def test_what_nothing_reaches_is_said_so(pumped: Design) -> None:
    """No drain cures air that sweats, pipes that leak, or rain through a wall above the ground."""
    text = text_of(pumped, "water-analysis")
    part = text[text.index("What it will not cure") : text.index("What else was considered")]
    for cause in (Moisture.CONDENSATION, Moisture.SUPPLY_LEAK, Moisture.DRAIN_LEAK, Moisture.WALL_RAIN):
        assert CAUSES[cause][1:] in part
        assert against(pumped, cause).done == ()


def test_downspouts_left_out_are_named(pumped: Design) -> None:
    """DS2 ends in a line of its own; DS1 is led to the basin by L1."""
    assert led_downspouts(pumped) == (["DS1"], ["DS2"])
    assert "DS2 is not led into these works" in text_of(pumped, "water-analysis")


def test_measured_stated_and_assumed_stand_apart(metric: Design) -> None:
    text = text_of(metric, "water-analysis")
    part = text[text.index("What this rests on") : text.index("What one further")]
    assert metric.job.ground.water_table is not None
    assert metric.job.ground.water_table.basis is Basis.MEASURED
    assert (
        part.index("Measured") < part.index("high ground water stands 0.35 m below") < part.index("Stated, not checked")
    )
    assert part.index("Stated, not checked") < part.index(metric.job.symptoms[0].what) < part.index("Assumed")
    assert part.index("Assumed") < part.index("how much each sign weighs")


def test_where_nothing_was_seen_it_says_what_to_measure(gravity: Design) -> None:
    bare = design(gravity.job.model_copy(update={"symptoms": (), "moisture_tests": ()}))
    text = text_of(bare, "water-analysis")
    assert "cannot be ranked" in text
    assert "tape a square of plastic" in text
    assert "nobody can say that it is enough" in text


def test_of_a_job_with_a_pump_each_way_out_has_its_conclusion(pumped: Design) -> None:
    """The roof's way out was told by two levels alone, in a paragraph on doing without the pump."""
    system = pumped.system
    out = system.gravity[0]
    assert not out.reaches
    assert without_a_pump(pumped).endswith("So what comes to SUMP is lifted.")
    falls = replace(out, discharge="SOAK", needed=out.available + 0.1, reaches=True, lacks="")
    (run,) = [one for one in system.runs if one.name == "L1"]
    led = replace(run, name="L9", lower="SOAK", upper="DS9")
    both = replace(pumped, system=replace(system, gravity=(out, falls), runs=(*system.runs, led)))
    assert both.system.falls_to("SOAK")
    said = without_a_pump(both)
    assert "what is led there by its own weight can come there at" in said
    assert said.endswith("and needs no pump. So what comes to SUMP is lifted.")
    taken = replace(falls, drains=("FD1",), drains_at=falls.available + 0.05)
    asked = without_a_pump(replace(both, system=replace(both.system, gravity=(out, taken))))
    assert "would take the water of FD1 too" in asked
    assert "is lifted" not in asked
    high = replace(out, reaches=True, needed=out.available + 0.1, lacks="")
    alone = without_a_pump(replace(pumped, system=replace(system, gravity=(high,))))
    assert alone.endswith(
        "by level alone it would do without a pump; cover, fall and leave to let it out there decide."
    )


def test_evidence_is_in_plain_words() -> None:
    assert plain_evidence('time: wet season ("floor finish lifts", west wall)').startswith("seen in the wet season (")
    assert plain_evidence("place: whole floor") == "seen over the whole floor"
    assert plain_evidence("test, plastic on wall: wet behind") == "test, plastic on wall: wet behind"
