"""Price and terms of the proposal."""

from __future__ import annotations

from drainwright.build.model import PriceLine
from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Bullets, Column, Heading, Keep, Notice, Paragraph, Table, lines
from drainwright.paper.documents.say import BASIS_WORDS, Say, day, joined, money, round_money

CAUTIONS = (
    "Keep children, pets and cars away from open trenches and from the wall that is being opened. Walls of earth fall "
    "without warning.",
    "Do not run the pump's circuit, sprinklers or other lines in the work area until we say so.",
    "Empty shelves and move furniture from the inside of the treated walls: digging shakes them.",
    "Local codes, permits and licensed practice come before anything in this proposal. Structural doubt goes to a "
    "licensed engineer, electrical work to a licensed electrician.",
)


def price_blocks(design: Design) -> tuple[Block, ...]:
    """Price, its band, and what could change it."""
    price = design.build.price
    groups: dict[str, list[PriceLine]] = {}
    for row in price.lines:
        groups.setdefault(row.category, []).append(row)
    rows: list[tuple[str, str]] = [
        ("Labour", money(price.labour)),
        ("Materials", money(price.materials)),
        ("Haul, hire and permits", money(price.other)),
        ("Overhead", money(price.overhead)),
        ("Contingency for what the ground hides", money(price.contingency)),
        ("Profit", money(price.profit)),
        ("Tax", money(price.tax)),
        ("Price", money(price.total)),
    ]
    band = (
        f"Likely between {round_money(price.low)} (nothing unforeseen) and {round_money(price.high)} (twice the usual "
        "surprises)."
    )
    book = f"Prices from: {price.book}."
    invented: tuple[Block, ...] = (
        (
            Notice(
                tone="invented", title="Invented prices",
                text="These prices come from the demonstration book. Enter the firm's own before anyone is shown a "
                "figure.",
            ),
        )
        if price.invented
        else ()
    )  # fmt: skip
    return (
        Heading(text="Price"),
        *invented,
        Keep(
            blocks=(
                Table(
                    columns=(Column(head="Part", width=3), Column(head="Amount", width=1, align="right")),
                    rows=tuple(rows), total=True, size=1.0,
                ),
                Paragraph(text=band, style="strong"),
            )
        ),
        Paragraph(
            text="What could change it: rock, roots, rubble or ground water where none was found; buried lines "
            "that nobody "
            "marked; footings at another depth than measured; walls that turn out to be unsound; changes that you "
            "ask for."
        ),
        Paragraph(text=book, style="soft"),
    )  # fmt: skip


def terms_blocks(design: Design) -> tuple[Block, ...]:
    """Stages, schedule, exclusions, warranty, terms, cancellation, cautions."""
    job, say = design.job, Say(design.job.units)
    price, plan = design.build.price, design.build.plan
    rules = job.rules
    rows = (
        ("On signing", f"deposit: {price.deposit_rule}", money(price.deposit)),
        (
            "On completion",
            "after the water test, with this packet's as-built sheets handed over",
            money(price.total - price.deposit),
        ),
        ("Together", "", money(price.total)),
    )
    stages = Table(
        columns=(Column(head="When", width=2), Column(head="What", width=5), Column(head="Amount", align="right")),
        rows=rows, total=True,
    )  # fmt: skip
    start = "to be agreed" if job.crew.start is None else day(job.crew.start)
    schedule = (
        f"{plan.days} working days for a crew of {plan.crew}, starting {start}, when the locate ticket is answered "
        f"(notice {rules.locate_notice.value} working days, {BASIS_WORDS[rules.locate_notice.basis]}) and the "
        "weather lets coatings "
        "cure. Rain stops the work: nobody stands in a wet trench."
    )
    return (
        Heading(text="Payment"),
        stages,
        Heading(text="Schedule"),
        Paragraph(text=schedule),
        Heading(text="Not included"),
        Bullets(items=_exclusions(design, say)),
        Heading(text="Warranty"),
        *_own_words(
            job.firm.warranty, "The firm has not written its warranty yet. Ask for it in writing before signing."
        ),
        Heading(text="Terms"),
        *_own_words(job.firm.terms, "The firm has not written further terms."),
        Paragraph(
            text=f"Right to cancel: you may cancel in writing within {rules.cancellation_days.value} business days "
            "of signing "
            f"({BASIS_WORDS[rules.cancellation_days.basis]}{_source(rules.cancellation_days.source)}). Law of the "
            "place comes first."
        ),
        Heading(text="Cautions"),
        Bullets(items=CAUTIONS),
    )


def _source(text: str) -> str:
    return f", {text}" if text.strip() else ""


def _own_words(text: str, absent: str) -> tuple[Block, ...]:
    parts = lines(text)
    return tuple(Paragraph(text=part) for part in parts) if parts else (Paragraph(text=absent, style="soft"),)


def _exclusions(design: Design, say: Say) -> tuple[str, ...]:
    surfaces = joined(list(dict.fromkeys(yard.surface for yard in design.job.yards)), "and")
    items = [
        "Rock, buried rubble, tanks, wells or old foundations; contaminated soil.",
        "Repair of lines that were not marked, or marked wrongly.",
        "Structural repair, underpinning, and anything that an engineer asks for.",
        "Inside finishes, floors, mould and drying.",
        "Paving, fences, decks, irrigation and plants, unless a line of the price names them"
        + (f"; disturbed {surfaces} is raked and seeded only." if surfaces else "."),
    ]
    walls = [wall.name for wall in design.site.walls if not wall.wall.open_and_coat]
    if walls:
        items.append(f"Walls not named above: {', '.join(walls)}.")
    if design.system.station is not None:
        items.append("The pump's electric circuit beyond the allowance in the price; backup power unless named.")
    return tuple(items)


__all__ = ["price_blocks", "terms_blocks"]
