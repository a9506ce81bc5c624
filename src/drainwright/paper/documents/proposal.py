"""The proposal: what is wrong, what is done about it, what it costs and what it does not do, in plain words."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.paper.documents.acceptance_blocks import acceptance_blocks
from drainwright.paper.documents.assumed_blocks import assumed_blocks
from drainwright.paper.documents.blocks import Block, Cell, Document, Keep, Table
from drainwright.paper.documents.failure_table import failure_plates
from drainwright.paper.documents.offer_blocks import option_blocks
from drainwright.paper.documents.place_list import place_blocks
from drainwright.paper.documents.proposal_first import decide, parties, plainly, wrong_blocks
from drainwright.paper.documents.proposal_terms import price_blocks, price_first, terms_blocks
from drainwright.paper.documents.proposal_works import measured_blocks, scope_blocks, water_blocks
from drainwright.paper.documents.shaping_paper import shaping_scope
from drainwright.paper.documents.shell import Sheets, document, failing_table, first_notices, picture_plate, plan_plate
from drainwright.paper.documents.slips import customer_slips
from drainwright.paper.documents.storm_words import risk_blocks, storm_short

SHORT = 1500  # letters of a table that stays together with what follows it: they fill half a page at most


def proposal(design: Design, sheets: Sheets) -> Document:
    """The customer's paper.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name: the plan is laid out anew where there is one.

    Returns
    -------
    Document
        Checks that fail stand on its first page.
    """
    job = design.job
    plan, drawings = plan_plate(design, sheets, "The plan of the works")
    picture, pictured = picture_plate(design)
    breaks, broken = failure_plates(design, sheets)
    blocks: tuple[Block, ...] = (
        *first_notices(design),
        *customer_slips(design),
        *parties(design),
        *wrong_blocks(design),
        *plainly(design),
        *price_first(design),
        *decide(design),
        *failing_table(design),
        *picture,  # pages of their own stand together: text between them would leave pages half empty
        *plan,
        *breaks,
        *scope_blocks(design),
        *shaping_scope(design),
        *measured_blocks(design),
        *water_blocks(design),
        *storm_short(design),
        *risk_blocks(design),
        *price_blocks(design),
        *option_blocks(design),
        *terms_blocks(design),
        *place_blocks(design),
        *_last(design),
    )
    return document(
        job, name="proposal", kind="Proposal", title=job.title, size=9.6, blocks=blocks,
        drawings=(*pictured, *drawings, *broken),
    )  # fmt: skip


def _last(design: Design) -> tuple[Block, ...]:
    """What is assumed, and the acceptance: a short table stays with it, so that no page holds signatures alone."""
    assumed, acceptance = assumed_blocks(design), acceptance_blocks(design)
    cells = [cell for block in assumed if isinstance(block, Table) for row in block.rows for cell in row]
    letters = sum(len(cell.text if isinstance(cell, Cell) else cell) for cell in cells)
    if letters <= SHORT and not design.job.notes.strip():
        return (Keep(blocks=(*assumed, *acceptance)),)
    return (*assumed, *acceptance)


__all__ = ["proposal"]
