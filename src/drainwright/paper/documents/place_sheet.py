"""What the place demands, with whence and when; whom to ask; and the notice by which the customer may cancel."""

from __future__ import annotations

import datetime
from typing import Any

from drainwright.design import Design
from drainwright.findings.place_checks import DEFERS
from drainwright.job.place import Rules
from drainwright.job.values import Basis, Fact
from drainwright.paper.documents.blocks import (
    Block,
    Cell,
    Column,
    Document,
    Facts,
    Heading,
    Keep,
    Notice,
    Paragraph,
    Signatures,
    Table,
    lines,
)
from drainwright.paper.documents.change_order import BLANK
from drainwright.paper.documents.say import BASIS_WORDS, Say, day, money, site_of
from drainwright.paper.documents.shell import Sheets, document, first_notices
from drainwright.sources import SOURCES, cite

USUAL = {  # a rule, the published source of its usual value
    "Locate notice": "one_call", "Life of a locate ticket": "one_call",
    "Tolerance zone each side of a marked line": "one_call", "Water line to sewer": "ten_states",
    "Soakaway to house": "soak_setbacks", "Soakaway to boundary": "soak_setbacks",
    "Root zone, in trunk diameters": "root_zone",
    "OSHA's 1995 letters on house foundations followed": "osha_1995_06", "Days to cancel": "ftc_cooling_off",
}  # fmt: skip
STALE = datetime.timedelta(days=365)  # a rule is looked up again after a year: common practice, no source


def place_sheet(design: Design, sheets: Sheets) -> Document:
    """The rules of the place, what is to be asked of whom, and the notice of cancellation.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Not drawn here.

    Returns
    -------
    Document
        Rules that nobody looked up are shown as assumed; those looked up more than a year before the visit as stale.
    """
    job = design.job
    rows = tuple(_rule(name, value, fact, job.date) for name, value, fact in _rules(job.rules, Say(job.units)))
    columns = (
        Column(head="Rule", width=2.6), Column(head="Value", width=1.75), Column(head="How known", width=2.15),
        Column(head="Source", width=3.5), Column(head="Looked up", width=1.6),
    )  # fmt: skip
    asked = tuple(
        (item.demand, {None: "", True: "met", False: "NOT MET"}[item.met], "", "") for item in design.checks
    )  # fmt: skip
    asking = (
        Column(head="Permit, notice or question", width=4.6), Column(head="Answer", width=1.2),
        Column(head="Who", width=1.2), Column(head="When", width=1),
    )  # fmt: skip
    price = design.build.price
    blocks: tuple[Block, ...] = (
        *first_notices(design),
        Heading(text=f"Rules of the place{': ' + job.rules.name if job.rules.name.strip() else ''}"),
        Paragraph(text=DEFERS, style="soft"),
        Table(columns=columns, rows=rows, size=0.84),
        Paragraph(
            text=f"For this job the deposit is {money(price.deposit, price.currency)} at most: {price.deposit_rule}."
        ),
        *((Heading(text="Permits, notices and questions"), Table(columns=asking, rows=asked, size=0.84, tall=True))
          if asked else ()),
        *_notice(design),
    )  # fmt: skip
    return document(job, name="place-sheet", kind="Place sheet", title=job.title, size=10.0, blocks=blocks)


def _rules(rules: Rules, say: Say) -> tuple[tuple[str, str, Fact[Any]], ...]:
    def yes(fact: Fact[bool]) -> str:
        return "yes" if fact.value else "no"

    return (
        ("Code", rules.code_edition.value, rules.code_edition),
        ("Locate notice", f"{rules.locate_notice.value} working days", rules.locate_notice),
        ("Life of a locate ticket", f"{rules.ticket_life.value} working days", rules.ticket_life),
        ("Tolerance zone each side of a marked line", say.small(rules.tolerance_zone.value), rules.tolerance_zone),
        ("Outlet to boundary", say.length(rules.boundary_setback.value), rules.boundary_setback),
        ("Outlet to house", say.length(rules.house_setback.value), rules.house_setback),
        ("Depth of frost", say.small(rules.frost_depth.value), rules.frost_depth),
        ("Water line to sewer", say.small(rules.water_sewer_separation.value), rules.water_sewer_separation),
        ("Soakaway to house", say.length(rules.soak_house_setback.value), rules.soak_house_setback),
        ("Soakaway to boundary", say.length(rules.soak_boundary_setback.value), rules.soak_boundary_setback),
        ("Soakaway's bottom over the high water", say.length(rules.soak_above_water.value), rules.soak_above_water),
        ("Root zone, in trunk diameters", f"{rules.root_zone_per_diameter.value:g}", rules.root_zone_per_diameter),
        ("OSHA's 1995 letters on house foundations followed", yes(rules.house_foundation_letters),
         rules.house_foundation_letters),
        ("Licensed professional's seal wanted", rules.professional_seal.value, rules.professional_seal),
        ("Open trench looked at before covering", yes(rules.open_trench_inspection), rules.open_trench_inspection),
        ("Deposit at most", f"{rules.deposit_fraction.value * 100:g} %", rules.deposit_fraction),
        ("Payments follow the work", yes(rules.payments_follow_work), rules.payments_follow_work),
        ("Days to cancel", f"{rules.cancellation_days.value} business days", rules.cancellation_days),
        *((f"Outlet: {one.kind}", one.standing.value, one.standing) for one in rules.outlets),
    )  # fmt: skip


def _rule(name: str, value: str, fact: Fact[Any], visit: datetime.date | None) -> tuple[str | Cell, ...]:
    assumed = fact.basis is Basis.ASSUMED
    when = "not looked up" if fact.date is None else day(fact.date)
    if fact.date is not None and visit is not None and visit - fact.date > STALE:
        when += ": STALE, look it up again"
    source = fact.source or (_usual(name) if assumed else "not given")
    return (
        name, value, Cell(text=BASIS_WORDS[fact.basis], weight="semibold" if assumed else "regular"), source, when,
    )  # fmt: skip


def _usual(name: str) -> str:
    """Where a value that nobody looked up comes from."""
    key = USUAL.get(name)
    return "usual value: look it up" if key is None else f"usual value, after {SOURCES[key].title}"


def _notice(design: Design) -> tuple[Block, ...]:
    """The notice of cancellation: the firm's wording, or a plain one that says which law decides."""
    job = design.job
    own = lines(job.firm.cancellation)
    days = job.rules.cancellation_days
    firm = ", ".join(text for text in (job.firm.name, job.firm.address, job.firm.email) if text.strip()) or BLANK
    law = cite("ftc_cooling_off")
    plain = (
        f"You may cancel this contract, without giving a reason and without any charge, within {days.value} business "
        f"days of the date below ({BASIS_WORDS[days.basis]}). Sign and date a copy of this notice, or write a letter, "
        f"and send or bring it to {firm} before the end of the last day. What you have paid is then returned.",
        "The law of the place decides on days, wording and form, and may give you more. For sales at home in the "
        f"United States at least three business days: {law}. "
        "Have the wording looked over by a lawyer.",
    )
    form: tuple[Block, ...] = (
        Heading(text="Notice of cancellation", new_page=bool(own)),
        Notice(tone="caution", title="A form, not legal advice", text=plain[1]),
        *(Paragraph(text=text) for text in (own or plain[:1])),
        Facts(
            items=(
                ("Contract signed on", BLANK), ("Last day to cancel", BLANK), ("Work at", site_of(job) or BLANK),
                ("Customer", job.customer.name or BLANK),
            )
        ),
        Paragraph(text="I cancel this contract.", style="strong"),
        Signatures(lines=(f"Customer: {job.customer.name}".rstrip(": "),)),
    )  # fmt: skip
    return form if own else (Keep(blocks=form),)  # the firm's own wording may be longer than a page


__all__ = ["place_sheet"]
