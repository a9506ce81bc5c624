"""A live line along inside a dig, on the papers of the customer and the firm."""

from __future__ import annotations

from drainwright.build.wording import asked_guard, entry_rule
from drainwright.paper.documents.blocks import plain
from drainwright.paper.documents.cost_sheet import cost_sheet
from drainwright.paper.documents.proposal_terms import exclusions, price_blocks, price_first
from drainwright.paper.documents.storm_words import risk_blocks
from drainwright.paper.frame import finish
from drainwright.paper.sheet import Circle
from drainwright.paper.wall_section import wall_draft

from ..build.held import built


def test_the_price_is_not_offered_as_fixed_beside_a_live_line() -> None:
    """The live line made the job cheaper than the dead one, and no paper said what was left out."""
    for shored in (False, True):
        job = built(shored=shored)
        [said] = [text for text in exclusions(job) if "beside the live gas line" in text]
        assert said.startswith("The dig at north, beside the live gas line: how people are kept safe in it (shoring)")
        assert "the watch and the work of the line's owner, and the slower digging there" in said
        for blocks in (price_blocks(job), price_first(job)):
            assert "It is not fixed for the dig at north" in str(plain(blocks))
        assert "and agree it apart" in str(plain(cost_sheet(job, {}).blocks))


def test_where_no_live_line_lies_along_nothing_of_it_is_said() -> None:
    job = built(live=False, agreed=False)
    told = str(plain((*price_blocks(job), *price_first(job), *cost_sheet(job, {}).blocks, *risk_blocks(job))))
    assert "live gas line" not in told
    assert "not fixed" not in told
    assert not any("live" in text for text in exclusions(job))


def test_the_line_stands_among_what_remains_at_risk() -> None:
    told = str(plain(risk_blocks(built(shored=True))))
    assert "A live line in the digging" in told
    assert "of it is bared while that is open. Hill Gas, P. Field agreed in writing on 2026-04-20" in told
    assert "any shoring beside the line, is not in this price" in told


def test_the_wall_s_section_shows_the_line_and_says_what_the_safe_dig_sheet_says() -> None:
    for shored in (False, True):
        job = built(shored=shored)
        draft = wall_draft(job)
        assert draft is not None
        sheet = finish(draft, job.job, 1, 1)
        said = " ".join(mark.text for mark in sheet.texts)
        [trench] = [item for item in job.build.dig.trenches if item.name == "north"]
        assert draft.title == "Wall section: north wall"
        assert "G gas line" in " ".join(said.split())
        assert "20 3/8 in off the wall, 2 ft down" in said
        assert "LIVE: as agreed 2026-04-20" in said
        assert "Protection:" not in said
        assert entry_rule(trench) in said
        [dot] = [mark for mark in sheet.marks if isinstance(mark, Circle) and mark.layer == "dot utility gas"]
        assert dot.radius > 1.0
    draft = wall_draft(built(live=False, agreed=False))
    assert draft is not None
    said = " ".join(mark.text for mark in finish(draft, job.job, 1, 1).texts)
    assert "LIVE" not in said
    shown = draft.title.removeprefix("Wall section: ").removesuffix(" wall")
    [trench] = [item for item in built(live=False, agreed=False).build.dig.trenches if item.name == shown]
    said = " ".join(said.split())
    assert f"Protection: {asked_guard(trench)}. A competent person" in said
