"""The last part of the proposal: both sign what bears this mark."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Heading, Keep, Notice, Paragraph, Signatures
from drainwright.paper.documents.offer_blocks import choice_boxes
from drainwright.paper.documents.say import BASIS_WORDS, money
from drainwright.paper.offer_designs import offer_mark


def acceptance_blocks(design: Design) -> tuple[Block, ...]:
    """Where both sign, with the mark of what they sign."""
    job = design.job
    price = design.build.price
    days = job.rules.cancellation_days
    choices = choice_boxes(design)
    ticked = ", or that of the choice ticked here," if choices else ""
    words = (
        f"The customer accepts the work, the price of {money(price.total, price.currency)}{ticked} and the terms of "
        "this proposal, and has been told "
        f"that the contract may be cancelled in writing within {days.value} business days ({BASIS_WORDS[days.basis]})."
    )
    held = () if design.sound else (
        Notice(tone="fails", title="Do not sign yet", text="The checks on the first page are not settled."),
    )  # fmt: skip
    firm = job.firm.name.strip() or "the contractor"
    return (
        Keep(
            blocks=(
                Heading(text="Acceptance"),
                *held,
                Paragraph(text=words),
                *choices,
                Paragraph(
                    text=f"Mark of this offer: {offer_mark(design)}. Another price, scope or term has another.",
                    style="soft",
                ),
                Signatures(lines=(f"Customer: {job.customer.name}".rstrip(": "), f"For {firm}")),
            )
        ),
    )


__all__ = ["acceptance_blocks"]
