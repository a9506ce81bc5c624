"""The proposal's first page: who, what is wrong and why, what we will do, price and days, what to decide."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.offer.model import OptionSet
from drainwright.paper.documents.against_causes import (
    by_itself,
    falling_words,
    led_downspouts,
    opened_walls,
    runs_of,
    ways_out,
)
from drainwright.paper.documents.blocks import Block, Bullets, Column, Facts, Heading, Paragraph, Table, lines
from drainwright.paper.documents.cause_words import cause_words, first_then_see
from drainwright.paper.documents.say import Say, day, joined, money, site_of
from drainwright.paper.offer_designs import options_of


def parties(design: Design) -> tuple[Block, ...]:
    """For whom, where, and by whom."""
    job = design.job
    site = site_of(job)
    home = job.customer.address
    items = [
        ("For", job.customer.name),
        ("Phone", job.customer.phone),
        ("E-mail", job.customer.email),
        ("Address", "" if home == site else home),
        ("Work at", site),
        ("House built", str(job.property.year_built or "")),
        ("Visited", day(job.date)),
        ("Licence", job.firm.licence),
        ("Insurance", job.firm.insurance),
    ]
    return (Facts(items=tuple((name, text) for name, text in items if text.strip())),)


def wrong_blocks(design: Design) -> tuple[Block, ...]:
    """What was seen or told, and what it most likely comes from."""
    job, say = design.job, Say(design.job.units)
    if not job.symptoms:
        seen: tuple[Block, ...] = (Paragraph(text="No symptom is written down for this house.", style="soft"),)
    else:
        rows = tuple(
            (
                symptom.what,
                symptom.where or "–",
                "–" if symptom.when == "unknown" else symptom.when,
                symptom.since or "–",
                "–" if symptom.height is None else f"{say.small(symptom.height)} up",
            )
            for symptom in job.symptoms
        )
        columns = (
            Column(head="What was seen or told", width=5), Column(head="Where", width=2), Column(head="When", width=2),
            Column(head="Since", width=2), Column(head="Damp band", width=1.6),
        )  # fmt: skip
        notes = tuple(part for symptom in job.symptoms for part in lines(symptom.note))
        seen = (Table(columns=columns, rows=rows, tight=True), *((Bullets(items=notes),) if notes else ()))
    return (
        Heading(text="What is wrong"),
        *seen,
        Heading(text="Where the water comes from", level=2),
        Paragraph(text=cause_words(design)),
    )


def plainly(design: Design) -> tuple[Block, ...]:
    """What we will do, in a few plain lines."""
    return (Heading(text="What we will do, in short", level=2), Bullets(items=work_lines(design)))


def work_lines(design: Design) -> tuple[str, ...]:
    """The works, a line each: walls, drains, inlets, shaped ground, and how the water leaves.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of str
        At most five sentences.
    """
    say, system, items = Say(design.job.units), design.system, list[str]()
    walls = opened_walls(design)
    if walls:
        coated = all(wall.wall.coating.kind != "none" for wall in design.site.walls if wall.wall.open_and_coat)
        coat = "clean them and coat them" if coated else "clean them"
        items.append(f"Open the {joined(walls)} wall{'s' if len(walls) > 1 else ''} to the footing, {coat}.")
    drains = runs_of(design, "footing drain")
    if drains:
        beside = joined(list(dict.fromkeys(name for run in drains for name in run.walls)))
        at = f" at the foot of the {beside} wall{'s' if ' and ' in beside else ''}" if beside else ""
        items.append(f"Lay {say.whole(sum(run.length for run in drains))} of drain in stone{at}.")
    led, _ = led_downspouts(design)
    grates = [node.name for node in system.nodes.values() if node.kind == "inlet" and node.name not in led]
    above = [f"{len(grates)} grate{'s' if len(grates) > 1 else ''} in the ground"] if grates else []
    above += [f"{len(led)} downspout{'s' if len(led) > 1 else ''}"] if led else []
    if above:
        items.append(f"Lead the rain of {joined(above)} away in pipes of its own.")
    shaped = list(dict.fromkeys(strip.wall.name for strip in design.site.shaped))
    if shaped:
        items.append(f"Shape the ground to fall away from the house along: {joined(shaped)}.")
    items.append(_way_out(design))
    return tuple(items)


def _way_out(design: Design) -> str:
    system = design.system
    stations = system.stations
    if not stations:
        return f"The water leaves by its own weight at {ways_out(design)}. No pump is needed."
    (pumped, _), falling = by_itself(design), falling_words(design)
    what = f"What comes to the basin{'s' if len(stations) > 1 else ''}" if falling else "The water"
    each = joined([f"{station.name} with {'two pumps' if station.second_on else 'one pump'}" for station in stations])
    basins = (
        f"Set the basins {each}, each with an alarm." if len(stations) > 1 else f"Set the basin {each} and an alarm."
    )
    return f"{basins} {what} is lifted to {ways_out(design, pumped)}.{falling}"


def decide(design: Design) -> tuple[Block, ...]:
    """What the customer has to decide or to settle, in the order in which it comes."""
    job, price = design.job, design.build.price
    found: OptionSet | None = options_of(design)
    items = []
    if design.moisture.causes and design.moisture.drainage_is_remedy is None and design.moisture.next_test is not None:
        items.append(
            f"First, before you sign: the test '{design.moisture.next_test.test}'. It tells whether drains are the "
            "remedy; how it is done is in the water analysis."
        )
    if choice := first_then_see(design):
        items.append(choice)
    if found is not None and len(found.every) > 1:
        names = joined([one.title for one in found.every[1:]], "or")
        items.append(f"What you want besides: {names}. Tick it where you sign.")
    last = []
    open_ = sum(item.met is None for item in design.checks)
    if open_:
        one = open_ == 1
        last.append(
            f"{open_} question{'' if one else 's'} to the authorities {'is' if one else 'are'} settled before you sign."
        )
    deposit = next((item for item in design.build.payments if item.when == "signing"), None)
    if deposit is not None and deposit.amount > 0:
        last.append(f"On signing you pay {money(deposit.amount, price.currency)}.")
    days = job.rules.cancellation_days.value
    last.append(
        f"This offer stands for {job.offer.valid_days} days. After signing you may cancel in writing within {days} "
        "business days."
    )
    items.append(" ".join(last))  # in one: the first page must not run over by a line
    return (Heading(text="What you decide", level=2), Bullets(items=tuple(items)))


__all__ = ["decide", "parties", "plainly", "work_lines", "wrong_blocks"]
