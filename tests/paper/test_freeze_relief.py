"""The freeze relief is drawn where it stands and told to crew and owner; nothing is told of it where there is none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.paper.documents.blocks import Facts, Keep
from drainwright.paper.documents.crew_checks import checkpoints
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.handover_built import pump_blocks
from drainwright.paper.documents.told import crew_answers
from drainwright.paper.documents.upkeep import upkeep
from drainwright.paper.plan import plan_sheet
from drainwright.paper.profile import profile_drafts
from drainwright.paper.sheet import Mark, TextMark
from drainwright.system.fittings import network_fittings
from drainwright.system.freeze_relief import freeze_reliefs

MEANS = "squirting there means the line beyond is frozen or blocked"


@pytest.fixture(scope="module")
def relieved(pumped: Design) -> Design:
    """The pumped demonstration with the relief asked for, its fittings named anew."""
    points = [point.model_copy(update={"winter_relief": True}) for point in pumped.job.works.discharge]
    job = pumped.job.model_copy(update={"works": pumped.job.works.model_copy(update={"discharge": points})})
    fits, _ = network_fittings(job, pumped.system)
    return replace(pumped, job=job, system=replace(pumped.system, fittings=fits))


def told(marks: tuple[Mark, ...]) -> str:
    return " ".join(mark.text for mark in marks if isinstance(mark, TextMark))


def test_its_place_is_four_feet_from_the_house_end(relieved: Design, pumped: Design) -> None:
    [relief] = freeze_reliefs(relieved.system)
    assert relief.run == "DL"
    assert relief.along == pytest.approx(4 * 0.3048)
    assert freeze_reliefs(pumped.system) == ()


def test_it_is_drawn_on_profile_and_plan(relieved: Design, pumped: Design) -> None:
    drawn = " ".join(told(draft.marks) for draft in profile_drafts(relieved))
    assert "freeze relief, 4 ft from SUMP" in drawn
    plan, without = plan_sheet(relieved).drawn()[0], plan_sheet(pumped).drawn()[0]
    assert "freeze relief" in told(plan.marks)
    assert "freeze relief" not in told(without.marks)


def test_the_crew_measures_it_and_is_told_what_squirting_means(relieved: Design, pumped: Design) -> None:
    [(_, measure, wanted)] = [check for check in checkpoints(relieved) if check[0] == "Run DL: freeze relief"]
    assert "from SUMP" in measure
    assert wanted == f"4 ft; {MEANS}"
    assert not any("freeze" in what for what, _, _ in checkpoints(pumped))
    assert any(
        "Freeze relief on DL, 4 ft along" in text for answer in crew_answers(relieved) for text in answer.work.do
    )


def test_the_crew_reads_it_in_spanish(relieved: Design) -> None:
    spoken = translator_of(relieved)
    texts = [text for check in checkpoints(relieved) if "freeze" in check[0] for text in check]
    texts += [text for answer in crew_answers(relieved) for text in answer.work.do if "Freeze relief" in text]
    said = [spoken.say(text) for text in texts]
    assert len(said) == 4
    assert not spoken.missing
    assert all("4 ft" in spanish for spanish in said[2:])


def test_the_owner_reads_where_it_is_and_what_it_tells(relieved: Design, pumped: Design) -> None:
    [block] = pump_blocks(relieved)
    assert isinstance(block, Keep)
    [facts] = [part for part in block.blocks if isinstance(part, Facts)]
    assert dict(facts.items)["Freeze relief"] == "on DL, 4 ft from SUMP"
    [care] = [care.what for care in upkeep(relieved) if "freeze relief" in care.what]
    assert "4 ft from SUMP" in care
    assert "Water squirting there means the line beyond is frozen or blocked" in care
    assert not any("freeze relief" in care.what for care in upkeep(pumped))
