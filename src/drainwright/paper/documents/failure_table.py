"""What comes of each failure, what would prevent it and what that costs, as a customer reads it."""

from __future__ import annotations

from collections.abc import Mapping

from drainwright.build.remedies import PricedPrevention, PricedRemedy
from drainwright.design import Design
from drainwright.findings.failure_words import GROUPS, Words, came_in, inside
from drainwright.paper.documents.blocks import Block, Cell, Column, Heading, Paragraph, Plate, Row, Table
from drainwright.paper.documents.shell import Sheets
from drainwright.paper.frame import LEAF, on_leaf
from drainwright.paper.storm_failures import failures_drafts, words_of
from drainwright.paper.storm_remedies import preventions_of
from drainwright.paper.svg import to_svg
from drainwright.storm.model import StormCase

TOLD = 2  # remedies for each failure, the cheapest that work alone
RED, SOFT = "#8f1d14", "#5b6670"


def failure_blocks(design: Design) -> tuple[Block, ...]:
    """All failures in groups: the floor, what would prevent it, the cost."""
    cases = design.storm.every[1:]
    if not cases:
        return ()
    found = {one.title: one for one in preventions_of(design)}
    words = words_of(design)
    columns = (
        Column(head="If", width=3), Column(head="The floor", width=2.4),
        Column(head="What would prevent it", width=3.4), Column(head="It costs", width=1.4, align="right"),
    )  # fmt: skip
    rows: list[Row] = []
    for group, title in GROUPS.items():
        chosen = [case for case in cases if case.group == group]
        if chosen:
            rows.append((Cell(text=title, weight="semibold", span=4),))
            rows += [_row(case, found, words) for case in chosen]
    return (
        Heading(text="One thing broken at a time: what would prevent it", level=2),
        Table(columns=columns, rows=tuple(rows), size=0.86),
        *(Paragraph(text=note, style="soft") for note in _notes(design, words)),
    )


def _notes(design: Design, words: Words) -> list[str]:
    """What the remedies rest on, and how long the alarm leaves."""
    cases = design.storm.every[1:]
    invented = any(one.cost.invented for prevention in preventions_of(design) for one in prevention.remedies)
    notes = [
        "Each remedy was tried alone by running the storm again with it; cleaning and visits are taken to keep their "
        "failure away. Costs come on top of this price, built with the rest.",
        *(["The prices behind them are invented."] if invented else []),
        words.dry,
        *(f"{case.title}: {case.note}." for case in cases if "assumed" in case.note),
    ]
    warned = [case for case in cases if case.alarm_to_slab is not None]
    if warned:
        least = min(warned, key=lambda case: case.alarm_to_slab or 0.0)
        notes.insert(
            0,
            f"The alarm leaves {words.hours(least.alarm_to_slab or 0.0)} or more until water is at the {words.floor}. "
            "It keeps nothing dry by itself: someone must hear it and know what to do.",
        )
    return notes


def failure_plates(design: Design, sheets: Sheets) -> tuple[tuple[Plate, ...], tuple[tuple[str, str], ...]]:
    """The failures' time lines for a page each, and their drawings; nothing where the set has none."""
    drafts = failures_drafts(design, LEAF) if "storm-failures" in sheets else []
    pages = [on_leaf(draft) for draft in drafts]
    note = " ".join(_notes(design, words_of(design))) if pages else ""
    plates = tuple(
        Plate(
            file=f"{page.name}.svg", title=page.title, alt=page.description, width=page.width, height=page.height,
            note=note if page is pages[-1] else "",
        )
        for page in pages
    )  # fmt: skip
    return plates, tuple((f"{page.name}.svg", to_svg(page)) for page in pages)


def _row(case: StormCase, found: Mapping[str, PricedPrevention], words: Words) -> Row:
    wet = not case.dry
    entering = came_in(case, words)
    text = inside(case, words).capitalize() + (f"; at most {entering} come in" if entering else "")
    floor = Cell(text=f"{text}.", weight="semibold", colour=RED) if wet else Cell(text=f"{text}.")
    prevention = found.get(case.title)
    if prevention is None:
        return (case.title, floor, Cell(text="nothing needed" if case.dry else "", colour=SOFT), "")
    told = [one for one in prevention.remedies if one.tried.prevents][:TOLD]
    if not wet:
        floor = Cell(text=f"{text}, but more water runs off over the ground.")
    if not told:
        return (case.title, floor, "Nothing that was tried, alone.", "")
    return (case.title, floor, _sentence(told), "; ".join(one.cost.about for one in told))


def _sentence(told: list[PricedRemedy]) -> str:
    text = "; or ".join(one.tried.remedy.title for one in told)
    return f"{text[0].upper()}{text[1:]}."


__all__ = ["failure_blocks", "failure_plates"]
