"""The days in figures: how sure they are, the soil's way, and hands against machines."""

from __future__ import annotations

from decimal import Decimal

from drainwright.build.model import CrewPlan, EarthChain
from drainwright.build.wording import money
from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Cell, Column, Heading, Keep, Notice, Paragraph, Row, Table
from drainwright.quantities import percent


def doubt_blocks(plan: CrewPlan, design: Design) -> tuple[Block, ...]:
    """How long it may take, and what a slow job leaves of the price."""
    doubt = plan.doubt
    if doubt is None:
        return ()
    price = design.build.price
    say = price.currency

    def left(labour: Decimal) -> str:
        """Of the price before contingency and profit, with other labour and its overhead."""
        share = price.overhead / price.direct_cost if price.direct_cost else Decimal(0)
        more = (labour - price.labour) * (1 + share)
        return money(price.before_tax - price.allowances - price.direct_cost - price.overhead - more, say, digits=0)

    largest = "; ".join(f"{name} {percent(share)}" for name, share in doubt.drivers[:4])
    rows: tuple[Row, ...] = (
        ("Working days", f"{plan.days}", f"{doubt.days_mean:.1f}", f"{doubt.days_likely}", f"{doubt.days_bad}"),
        ("With days lost to weather", "–", "–", f"{doubt.booked_likely}", f"{doubt.booked_bad}"),
        (
            "Person-hours", f"{plan.hours:.0f}", f"{doubt.hours_mean:.0f}", f"{doubt.hours_likely:.0f}",
            f"{doubt.hours_bad:.0f}",
        ),
        (
            "Labour", money(design.build.price.labour, say, digits=0), "–", money(doubt.labour_likely, say, digits=0),
            money(doubt.labour_bad, say, digits=0),
        ),
        (
            "Left of the price, contingency and profit", left(price.labour), "–", left(doubt.labour_likely),
            left(doubt.labour_bad),
        ),
    )  # fmt: skip
    columns = (
        Column(head="", width=3), Column(head="Plan", width=1.5, align="right"),
        Column(head="Mean", width=1.5, align="right"), Column(head="Half of all cases", width=2, align="right"),
        Column(head="Eight of ten", width=2, align="right"),
    )  # fmt: skip
    return (
        Keep(
            blocks=(
                Heading(text="How sure the days are", level=2),
                Table(columns=columns, rows=rows),
                Paragraph(
                    text=f"{doubt.trials} cases drawn from the ranges of the rates and of what nobody knows for sure; "
                    f"the plan counts the likely hours. What makes the hours differ: {largest}.",
                    style="soft",
                ),
            )
        ),
    )


def soil_blocks(plan: CrewPlan) -> tuple[Block, ...]:
    """The soil's whole way out, and what comes back, by its links."""
    chain: EarthChain | None = plan.earth
    if chain is None:
        return ()
    columns = (
        Column(head="Link", width=1.5), Column(head="Amount", width=5), Column(head="Person-hours", align="right")
    )  # fmt: skip
    rows: list[Row] = [(link.name, link.amount, f"{link.hours:.1f}") for link in (*chain.out, *chain.back)]
    return (
        Keep(
            blocks=(
                Heading(text="The soil's whole way", level=2),
                Table(columns=columns, rows=tuple(rows)),
                Paragraph(text=chain.told, style="soft"),
            )
        ),
    )


def machine_blocks(plan: CrewPlan, design: Design) -> tuple[Block, ...]:
    """Hands against machines, with days and cost."""
    if not plan.ways:
        return ()
    say = design.build.price.currency
    columns = (
        Column(head="Way", width=3), Column(head="Days", align="right"), Column(head="Hours", align="right"),
        Column(head="Labour", width=1.3, align="right"), Column(head="Hire", width=1.3, align="right"),
        Column(head="What speaks against it", width=3.6),
    )  # fmt: skip
    rows: list[Row] = [
        (
            Cell(text=way.name + (" (this plan)" if way.used else ""), weight="semibold" if way.used else "regular"),
            f"{way.days}", f"{way.hours:.0f}", money(way.labour, say, digits=0), money(way.hire, say, digits=0),
            "; ".join((*way.obstacles, *way.unsure)) or "–",
        )
        for way in plan.ways
    ]  # fmt: skip
    blocked = [way for way in plan.ways if way.used and way.obstacles]
    notice: tuple[Block, ...] = (
        (Notice(tone="caution", title="The machine of this plan may not get in", items=blocked[0].obstacles),)
        if blocked
        else ()
    )
    return (
        Keep(
            blocks=(
                Heading(text="By hand or by machine", level=2),
                *notice,
                Table(columns=columns, rows=tuple(rows)),
                Paragraph(
                    text=f"Of the soil {percent(plan.careful_share)} lies in tolerance zones of buried lines, and "
                    f"{percent(plan.hand_share)} stays hand work with any machine: there, in root zones and "
                    "at the walls' faces. Machines that the firm does not own are hired from the first day of need to "
                    "the last, the days off between them too.",
                    style="soft",
                ),
            )
        ),
    )


__all__ = ["doubt_blocks", "machine_blocks", "soil_blocks"]
