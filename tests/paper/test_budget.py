"""The customer's budget stands beside the base price on the worksheet, and on no paper of theirs or the crew's."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from drainwright.build.wording import money
from drainwright.design import Design
from drainwright.paper.documents.blocks import plain
from drainwright.paper.documents.worksheet_paper import worksheet_paper
from drainwright.paper.documents.writing import papers_of

BUDGET = Decimal("7654.32")


def with_budget(design: Design, budget: Decimal) -> Design:
    customer = design.job.customer.model_copy(update={"budget": budget})
    job = design.job.model_copy(update={"customer": customer})
    return replace(design, job=job, site=replace(design.site, job=job))


def test_the_worksheet_sets_the_budget_beside_the_base_price(pumped: Design) -> None:
    total, currency = pumped.build.price.total, pumped.build.price.currency
    for off, words in (
        (Decimal(-100), "$100.00 over it"),
        (Decimal(250), "$250.00 under it"),
        (Decimal(0), "as much as"),
    ):
        told = str(plain(worksheet_paper(with_budget(pumped, total + off), {}).blocks))
        assert "The customer's budget" in told
        assert f"{money(total + off, currency)} as the customer told it" in told
        assert money(total, currency) in told
        assert words in told
    assert "budget" not in str(plain(worksheet_paper(pumped, {}).blocks))


def test_no_other_paper_tells_it(pumped: Design) -> None:
    made = papers_of(with_budget(pumped, BUDGET), {})
    ours = {"worksheet.pdf", "cost-sheet.pdf"}
    assert {"proposal.pdf", "crew-packet.pdf", "crew-packet-es.pdf", "handover.pdf"} <= set(made)
    for name in sorted(set(made) - ours):
        if name.endswith(".pdf"):
            told = str(plain(made[name]().blocks))
            assert "7,654" not in told, name
            assert "7654" not in told, name
    assert "7,654.32" in str(plain(made["worksheet.pdf"]().blocks))
