"""The price: from cost to what is asked, for the firm."""

from __future__ import annotations

from drainwright.build.wording import money, money_band
from drainwright.design import Design
from drainwright.findings.offer import brief_percent
from drainwright.office.views.model import Figure, Shown
from drainwright.office.views.picking import part, shown, step_at
from drainwright.paper.documents.cost_sheet import cost_sheet
from drainwright.paper.documents.proposal_terms import price_band

WINGS = ("PRC", "OFF")


def price(design: Design) -> Shown:
    """The page of the price."""
    asked = design.build.price
    book = f"By the price book {asked.book}{', which is invented: no offer' if asked.invented else ''}."
    says = (f"The price with tax is {money(asked.total, asked.currency)}.", price_band(asked), book)
    return shown(
        design, says=says, figures=_figures(design), wings=WINGS, blocks=cost_sheet(design, {}).blocks
    )  # fmt: skip


def price_figure(design: Design) -> Figure:
    """The price with its band."""
    asked = design.build.price
    band = money_band(asked.low, asked.high, asked.currency)
    return Figure(
        what="Price with tax", value=money(asked.total, asked.currency), band=band,
        why="invented prices: no offer" if asked.invented else f"price book {asked.book}",
        at=step_at(
            design, "build.price.price_by_margin", float(asked.before_tax - asked.allowances), otherwise="Price"
        ),
    )  # fmt: skip


def _figures(design: Design) -> list[Figure]:
    asked = design.build.price
    at = part("Price")

    def one(what: str, amount: str, why: str = "", where: str = at) -> Figure:
        return Figure(what=what, value=amount, why=why, at=where)

    return [
        price_figure(design),
        one("Cost", money(asked.cost, asked.currency), "labour, materials, overhead and contingency"),
        one(
            "Profit", money(asked.profit, asked.currency),
            f"margin {brief_percent(asked.margin)}, mark-up {brief_percent(asked.markup)}",
        ),
        one(
            "Deposit at most", money(asked.deposit, asked.currency), asked.deposit_rule,
            step_at(design, "build.price.deposit", float(asked.deposit), otherwise="Price"),
        ),
    ]  # fmt: skip


__all__ = ["price", "price_figure"]
