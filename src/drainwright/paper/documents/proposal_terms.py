"""Price and terms of the proposal."""

from __future__ import annotations

from functools import partial

from drainwright.build.held import unpriced
from drainwright.build.model import Price
from drainwright.build.pumping import days_pumped
from drainwright.build.visits import new_circuits
from drainwright.build.wording import SEEDED, money_band
from drainwright.design import Design
from drainwright.findings.places import counted, series
from drainwright.paper.documents.against_causes import bared_uncoated, bared_words
from drainwright.paper.documents.blocks import Block, Bullets, Column, Heading, Keep, Notice, Paragraph, Table, lines
from drainwright.paper.documents.cause_words import ground_price, left_out_first
from drainwright.paper.documents.day_words import start_words, weather_words, work_words
from drainwright.paper.documents.offer_blocks import invented_notice, payment_blocks, unforeseen_blocks
from drainwright.paper.documents.price_marks import taxed_kinds
from drainwright.paper.documents.say import BASIS_WORDS, joined, money

FIXED = "The price is fixed for the work described; surprises in the ground go by the prices below."


def fixed_words(design: Design) -> str:
    """What the price is fixed for: not for a dig inside which a live line lies along."""
    barred = [trench.name for trench in design.build.dig.trenches if trench.bars]
    but = f" It is not fixed for the dig at {joined(barred)}: see what is not included." if barred else ""
    return f"{FIXED}{but}"


def _cautions(design: Design) -> tuple[str, ...]:
    """What the customer keeps to while the works go on."""
    opened = any(wall.wall.open_and_coat for wall in design.site.walls)
    wall = " and the wall that is being opened" if opened else ""
    circuit = "the pump's circuit, " if design.system.station is not None else ""
    shelves = ("Empty shelves and move furniture from the inside of the treated walls: digging shakes them.",)
    return (
        f"Keep children, pets and cars away from open trenches{wall}. Earth falls without warning.",
        f"Do not run {circuit}sprinklers or other lines in the work area until we say so.",
        *(shelves if opened else ()),
        "Local codes, permits and licensed practice come before anything in this proposal. Structural doubt goes to a "
        "licensed engineer" + (", electrical work to a licensed electrician." if design.system.stations else "."),
    )


def price_blocks(design: Design) -> tuple[Block, ...]:
    """Price, its band, and what could change it."""
    price = design.build.price
    say = partial(money, currency=price.currency)
    worked = price.before_tax - price.allowances
    rows = [("Work and materials as described", say(worked))]
    if price.allowances:
        rows.append(("Allowances for what the ground may hold", say(price.allowances)))
    taxed = taxed_kinds(design)
    rows += [(f"Sales tax on {taxed}" if taxed else "Sales tax", say(price.tax)), ("Price", say(price.total))]
    if price.minimum is not None:
        rows.insert(1, ("(our least charge for a job)", ""))
    book = f"Prices from: {price.book}."
    return (
        Keep(
            blocks=(
                Heading(text="Price"),
                *invented_notice(design),
                Table(
                    columns=(Column(head="Part", width=3), Column(head="Amount", width=1, align="right")),
                    rows=tuple(rows), total=True, size=1.0,
                ),
                Paragraph(text=fixed_words(design), style="strong"),
            )
        ),
        Paragraph(
            text="Besides those surprises only this changes it: footings at another depth than measured, walls that "
            "turn out to be unsound, and what you ask for."
        ),
        *unforeseen_blocks(design),
        Paragraph(text=f"{book} This offer stands for {design.job.offer.valid_days} days.", style="soft"),
    )  # fmt: skip


def price_band(price: Price) -> str:
    """From where to where the cost may come, for the firm."""
    band = money_band(price.low, price.high, price.currency)
    return f"The price is {band}, without contingency and with twice as much."


def price_first(design: Design) -> tuple[Block, ...]:
    """The price and the days, for the first page: a thing a line."""
    price, plan = design.build.price, design.build.plan
    invented = " Invented prices: not an offer." if price.invented else ""
    first = " ".join(words for words in (*left_out_first(design), ground_price(design)) if words)
    items = (f"{fixed_words(design)}{invented}", work_words(plan), first)
    return (
        Notice(
            tone="plain",
            title=f"Price: {money(price.total, price.currency)}",
            items=tuple(item for item in items if item),
        ),
    )


def terms_blocks(design: Design) -> tuple[Block, ...]:
    """Stages, schedule, exclusions, warranty, terms, cancellation, cautions."""
    job = design.job
    plan, rules = design.build.plan, job.rules
    start = start_words(plan, job.crew.start, "to be agreed")
    coated = any(wall.wall.open_and_coat and wall.wall.coating.kind != "none" for wall in design.site.walls)
    cure = " and the weather lets coatings cure" if coated else ""
    schedule = (
        f"{work_words(plan)} Start: {start}, when the locate ticket is answered "
        f"(notice {rules.locate_notice.value} working days, {BASIS_WORDS[rules.locate_notice.basis]}){cure}. Rain "
        "stops the work: nobody stands in a wet trench."
        + ("" if plan.doubt is None else f" {weather_words(plan.doubt)} With bad luck: two cases of ten take longer.")
    )
    return (
        *payment_blocks(design),
        Heading(text="Schedule", level=2),
        Paragraph(text=schedule),
        Heading(text="Not included", level=2),
        Bullets(items=exclusions(design)),
        Heading(text="Warranty", level=2),
        *_own_words(job.firm.warranty, "This offer states no warranty; what the law gives you stands."),
        Heading(text="Further terms", level=2),
        *_own_words(job.firm.terms, "The firm has not written further terms."),
        Paragraph(
            text=f"Right to cancel: you may cancel in writing within {rules.cancellation_days.value} business days "
            "of signing "
            f"({BASIS_WORDS[rules.cancellation_days.basis]}{_source(rules.cancellation_days.source)}). Law of the "
            "place comes first."
        ),
        Heading(text="Cautions", level=2),
        Bullets(items=_cautions(design)),
    )


def _source(text: str) -> str:
    return f", {text}" if text.strip() else ""


def _own_words(text: str, absent: str) -> tuple[Block, ...]:
    parts = lines(text)
    return tuple(Paragraph(text=part) for part in parts) if parts else (Paragraph(text=absent, style="soft"),)


def exclusions(design: Design) -> tuple[str, ...]:
    """What the price and the works do not hold."""
    surfaces = joined(list(dict.fromkeys(yard.surface for yard in design.job.yards if yard.surface in SEEDED)), "and")
    items = [
        "Rock, buried rubble, tanks, wells or old foundations, but for what the price names: more goes by the prices "
        "of surprises above. Contaminated soil.",
        "Repair of lines that were not marked, or marked wrongly; finding and holding one goes by the prices above.",
        "Structural repair, underpinning, and anything that an engineer asks for.",
        "Inside finishes, floors, mould and drying.",
        "Paving, fences, decks, irrigation and plants, unless a line of the price names them"
        + (f"; disturbed {surfaces} is raked and seeded only." if surfaces else "."),
    ]
    beside = unpriced(design.build.dig)
    if beside:
        items.insert(0, f"{beside}: what it costs is agreed in writing before that dig is opened.")
    if design.job.ground.fouled is not None:
        items.insert(
            0,
            "Tests, haul and disposal of soil or water that smells or looks of fuel, sewage or the like, and the days "
            "they take. Its digging and haul go by the prices of surprises, which are assumed until the licensed place "
            "has answered: what it costs is agreed in writing before the dig is opened.",
        )
    wet = [trench.name for trench in design.build.dig.trenches if trench.water > 0.0]
    if wet:
        days = days_pumped(design.build.plan)
        more = f" on more than the {counted(days, 'day')} in the price" if days else ""
        items.append(
            f"Pumping of ground water out of the digging ({joined(series(wet))}){more}: each "
            f"{'further ' if days else ''}day by the prices of surprises; where it may lawfully go is asked first."
        )
    bared = bared_uncoated(design)
    walls = [wall.name for wall in design.site.walls if not wall.wall.open_and_coat and wall.name not in bared]
    treated = any(wall.wall.open_and_coat for wall in design.site.walls)
    left = [f"walls not named above: {', '.join(walls)}" if treated else "walls: none is opened, cleaned or coated"]
    left = left if walls else []
    left += [f"cleaning and coating of {bared_words(bared)}"] if bared else []
    if left:
        words = "; ".join(left)
        items.append(f"{words[:1].upper()}{words[1:]}.")
    if design.system.station is not None:
        items.append(
            "The pump's electric circuit beyond the allowance in the price; backup power unless named."
            if new_circuits(design.site, design.system) > 0
            else "Work on the pump's electric circuit, which is there already, and its check by a licensed electrician "
            "where the place asks; backup power unless named."
        )
    return (*items, *(text for own in design.job.firm.exclusions for text in lines(own)))


__all__ = ["exclusions", "price_band", "price_blocks", "price_first", "terms_blocks"]
