"""A measurement that the others contradict is told to the crew and to the customer before anybody builds on it."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from drainwright.design import Design, design
from drainwright.field.model import Slip
from drainwright.job.reading import read_job
from drainwright.paper.documents.blocks import Cell, Document, Heading, Keep, Notice, Table
from drainwright.paper.documents.crew import crew_packet
from drainwright.paper.documents.proposal import proposal
from drainwright.paper.documents.slips import hung_places, touches_all
from tests.conftest import EXAMPLES

TIES = "{from: C, distance: 23 ft 3/4 in}]"
BAD = "{from: C, distance: 24 ft 3/4 in}, {from: A, distance: 54 ft 7 in}, {from: D, distance: 42 ft 6 in}]"


@cache
def doubtful(folder: Path) -> Design:
    """The block-wall house with the tie of E1 from C a foot too long, and two more ties that show it."""
    text = (
        (EXAMPLES / "block-wall-house" / "job.yaml")
        .read_text(encoding="utf-8")
        .replace("firm: {file: firm/firm.yaml}", "")
    )
    assert text.count(TIES) == 1
    path = folder / "job.yaml"
    path.write_text(text.replace(TIES, BAD), encoding="utf-8")
    return design(read_job(path))


@pytest.fixture(scope="module")
def bad(tmp_path_factory: pytest.TempPathFactory) -> Design:
    return doubtful(tmp_path_factory.mktemp("slips"))


def part(document: Document, heading: str) -> list[object]:
    """The blocks from a heading to the next that begins a page."""
    blocks = list(document.blocks)
    start = next(n for n, block in enumerate(blocks) if isinstance(block, Heading) and block.text == heading)
    rest = blocks[start + 1 :]
    end = next((n for n, block in enumerate(rest) if isinstance(block, Heading) and block.new_page), len(rest))
    return list(rest[:end])


def test_the_crew_reads_of_it_on_the_first_page_and_beside_the_place(bad: Design) -> None:
    assert [slip.where for slip in bad.site.slips] == ["survey.points[1].ties[1]"]
    message = bad.site.slips[0].message
    packet = crew_packet(bad, {})
    first = next(n for n, block in enumerate(packet.blocks) if isinstance(block, Heading))
    [told] = [
        block for block in packet.blocks[:first]
        if isinstance(block, Notice) and block.title.startswith("Measure again before setting out")
    ]  # fmt: skip
    assert told.tone == "fails"
    assert message in told.items[0]
    assert "On it hangs CB2." in told.items[0]
    table = next(block for block in part(packet, "Setting out by tape") if isinstance(block, Table))
    names = [row[0].text if isinstance(row[0], Cell) else row[0] for row in table.rows]
    warned = [name for name in names if name.startswith("Check this before setting out")]
    assert warned == [f"Check this before setting out CB2: {message}"]
    assert names[names.index(warned[0]) - 1] == "CB2"


def test_the_customer_reads_of_it_on_the_first_page_among_what_is_not_settled(bad: Design) -> None:
    blocks = proposal(bad, {}).blocks
    titles = [block.title for block in blocks[:3] if isinstance(block, Notice)]
    assert "We measure again before work starts" in titles
    told = next(block for block in blocks if isinstance(block, Notice) and block.title == titles[-1])
    assert "One of our measurements does not agree with the others" in told.text


def test_a_survey_that_agrees_says_nothing_of_it(pumped: Design) -> None:
    flat = [
        inner
        for block in (*crew_packet(pumped, {}).blocks, *proposal(pumped, {}).blocks)
        for inner in (block.blocks if isinstance(block, Keep) else (block,))
    ]
    assert not any(isinstance(block, Notice) and "easure again" in block.title for block in flat)
    assert "Check this before setting out" not in repr(flat)


def slip(where: str, *rivals: str) -> Slip:
    return Slip(where=where, kind="misread", size=0.3, meant="", strength=9.0, message="Odd.", rivals=rivals)


def test_what_hangs_on_a_slip_follows_the_survey(pumped: Design) -> None:
    """CB2 is at E1, CB1 at W1, the basin at S1; row 8 of the book reads E1, row 1 the benchmark."""
    rows = pumped.job.survey.level_book
    reading = next(n for n, row in enumerate(rows) if row.point == "E1")
    assert hung_places(pumped, slip(f"survey.level_book[{reading}]")) == ("CB2",)
    assert hung_places(pumped, slip("survey.points[0].ties[0]")) == ("CB1",)
    assert set(hung_places(pumped, slip("survey.points[0].ties[0]", "survey.points[1].ties[0]"))) == {"CB1", "CB2"}
    assert not touches_all(pumped, slip("survey.points[0].ties[0]"))
    assert touches_all(pumped, slip("survey.level_book[0]")), "the benchmark's backsight carries all levels"
    assert not touches_all(pumped, slip(f"survey.level_book[{reading}]"))
    assert touches_all(pumped, slip("survey.perimeter.legs[2].turn"))
    assert touches_all(pumped, slip("survey.points[0].ties[0]", "survey.perimeter.legs[1]"))
    walk = replace(pumped, site=replace(pumped.site, slips=(slip("survey.perimeter.legs[2]"),)))
    notices = [block for block in part(crew_packet(walk, {}), "Setting out by tape") if isinstance(block, Notice)]
    assert notices[0].title == "Check this before setting out anything"
    assert notices[0].items == ("Odd.",)


def test_five_checks_that_fail_are_told_by_what_was_found(wrong: Design) -> None:
    """Seventeen kinds fail: each by its first clause, with its code only after it."""
    notice = next(
        block for block in proposal(wrong, {}).blocks
        if isinstance(block, Notice) and block.title.startswith("Not ready to build")
    )  # fmt: skip
    assert "The discharge point lies 2 ft from the boundary (OUT-03)" in notice.items
    assert "Roof water (12.3 gpm) runs into the perforated footing drain FD1 (NET-06)" in notice.items
    assert any(item.startswith("The pump starts 53 times in the storm's busiest hour") for item in notice.items)
    assert any(", and 1 more of this kind (FTG-05)" in item for item in notice.items)
    assert not any(re.search(r"\b(works|inlets|runs|house)\.|: storm$", item) for item in notice.items)
    assert len(notice.items) == len({item.id for item in wrong.findings if item.severity.value == "fails"})


def test_water_as_high_as_the_floor_is_at_its_level(pumped: Design) -> None:
    site = replace(pumped.site, water_table=pumped.site.floor - 0.004)
    said = repr(proposal(replace(pumped, site=site), {}).blocks)
    assert re.search(r"stands at [\d.]+ ft, at the level of the top of", said)
    assert "0 in below" not in said
