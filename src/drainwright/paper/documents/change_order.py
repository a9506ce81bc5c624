"""The change order: what was found, what it costs by the prices agreed, and nothing done before it is signed."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Checks,
    Column,
    Document,
    Facts,
    Heading,
    Paragraph,
    PhotoBoxes,
    Signatures,
    Table,
)
from drainwright.paper.documents.offer_blocks import invented_notice, unforeseen_row
from drainwright.paper.documents.say import money, site_of
from drainwright.paper.documents.shell import Sheets, document, first_notices
from drainwright.paper.offer_designs import offer_mark

BLANK = "____________________"
CAUSES = (
    "Found in the ground, not seen at the visit", "A buried line that nobody marked",
    "A footing or wall other than measured",
    "Asked for by the customer", "Asked for by an engineer, arborist or inspector", "Weather or water",
)  # fmt: skip


def _included(count: float) -> str:
    """What of a surprise the price already holds."""
    if count <= 0:
        return ""
    return " (the first is in the price)" if count == 1 else f" (the first {count:g} are in the price)"


def change_order(design: Design, sheets: Sheets) -> Document:
    """A form for one change, with this job's prices of surprises on it.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Not drawn here.

    Returns
    -------
    Document
        To be filled in by hand on site, and signed before the work is done.
    """
    job, price = design.job, design.build.price
    firm = job.firm.name.strip() or "the contractor"
    rows = tuple(
        (f"{title}{_included(one.included)}", unit, each, "", "")
        for one, (title, _, unit, each) in ((one, unforeseen_row(one)) for one in design.build.unit_prices)
    )
    blocks: tuple[Block, ...] = (
        *first_notices(design),
        *invented_notice(design),
        Facts(
            items=(
                ("Change order number", BLANK), ("Date and hour", BLANK), ("Job", f"{job.number} {job.title}".strip()),
                ("Customer", job.customer.name or BLANK), ("Work at", site_of(job) or BLANK),
                ("Price agreed so far", money(price.total, price.currency)),
                ("Mark of the offer", offer_mark(design)),
            )
        ),
        Heading(text="What was found, and where"),
        Checks(items=CAUSES),
        Paragraph(text="Place (along which wall or run, how far from which corner, how deep):"),
        Table(columns=(Column(head="", width=1.0),), rows=(("",), ("",)), tall=True),
        PhotoBoxes(captions=("Photograph with a tape in it", "Sketch"), height=44.0),
        Heading(text="What it costs", new_page=True),
        Paragraph(text="By the prices of the proposal, with tax. Measured together, before it is covered."),
        Table(
            columns=(
                Column(head="Work", width=4.2), Column(head="Unit", width=0.8),
                Column(head=f"Price ({price.currency})", align="right", width=1.2), Column(head="Amount", width=1.2),
                Column(head="Comes to", width=1.4),
            ),
            rows=(*rows, ("Other, priced before it is done:", "", "", "", ""), ("", "", "", "", "")),
            tall=True,
        ),
        Facts(
            items=(
                ("This change", BLANK), ("Price with it", BLANK), ("Days more or fewer", BLANK),
                ("Paid with stage", BLANK),
            )
        ),
        Heading(text="Agreed"),
        Bullets(
            items=(
                "The design stays safe with this change: whoever designed the works has looked at it. A footing, a "
                "wall, a gas or power line, or a tree's roots: the licensed person concerned has been asked.",
                "Nothing of it is done before both have signed, save what makes people and the house safe.",
            )
        ),
        Signatures(lines=(f"Customer: {job.customer.name}".rstrip(": "), f"For {firm}")),
    )  # fmt: skip
    return document(job, name="change-order", kind="Change order", title=job.title, size=10.0, blocks=blocks)


__all__ = ["change_order"]
