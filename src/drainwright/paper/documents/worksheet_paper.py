"""The worksheet: every formula with its numbers and source, by place; sources, findings and assumptions."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from drainwright.build.wording import money
from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Cell,
    Column,
    Contents,
    Document,
    Facts,
    Formula,
    Heading,
    Paragraph,
    Row,
    Table,
    Use,
)
from drainwright.paper.documents.failure_table import failure_blocks
from drainwright.paper.documents.marks import leaned_on
from drainwright.paper.documents.say import BASIS_WORDS, SEVERITY_WORDS, Say, places_alike
from drainwright.paper.documents.shell import Sheets, document, first_notices
from drainwright.paper.documents.storm_words import storm_blocks
from drainwright.paper.documents.worksheet_results import result_blocks
from drainwright.quantities import System, convert, unit_label
from drainwright.sources import SOURCES, cite
from drainwright.worksheet import Card, Plain, Step, substituted

COLOURS = {Severity.OK: "", Severity.CAUTION: "#6b4a00", Severity.FAILS: "#8f1d14"}
_PARTS = (  # how a place begins, the part it belongs to
    ("survey", "Survey"), ("house", "House"), ("trees", "Trees"), ("roofs", "Rain and runoff"),
    ("yards", "Rain and runoff"), ("rain", "Rain and runoff"), ("storm", "Storm test"),
    ("works.discharge", "Ways out"), ("works.inlets", "Grates"), ("works", "Lift station"), ("runs", "Runs"),
    ("basin", "Digging"), ("inlets", "Digging"), ("tasks", "Digging"), ("walls", "Digging"), ("equipment", "Digging"),
    ("utilities", "Digging"), ("stone", "Quantities"),
    ("price_book", "Price"), ("rules", "Price"), ("moisture", "Causes of moisture"),
)  # fmt: skip
MANY = 4  # more than these are told by the first of them and the places of the others
FIGURED = ("DIG-17", "FTG-10")  # checks whose figure and place say all that their words do
_SHARED = {"house.walls": "Walls", "trees": "Trees", "survey.points": "Points", "roofs": "Roofs",
           "moisture": "Causes of moisture"}  # fmt: skip
_TOGETHER = tuple(_SHARED)


def worksheet_paper(design: Design, sheets: Sheets) -> Document:
    """The inspector's and engineer's paper.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Not used: this paper has no drawings.

    Returns
    -------
    Document
        Steps are numbered in the order in which they were computed.
    """
    us = design.job.units == "US"
    inside = (
        "Each step stands in the units of the trade, then with its numbers in SI, as the program reckons"
        if us
        else "Values there are in SI, as the program keeps them"
    )
    blocks: tuple[Block, ...] = (
        *first_notices(design),
        Paragraph(
            text="First the results by place, then every formula that was used, with its numbers and its source. "
            f"{inside}; papers and drawings round them to the units of the trade. Steps are numbered in the order of "
            "computing: a number that a step uses was found in a step before it, measured, or assumed. Other "
            "papers cite step 12 as W 12."
        ),
        Paragraph(text="Contents", style="strong"),
        Contents(columns=3),
        *_budget(design),
        *result_blocks(design),
        *storm_blocks(design),
        *failure_blocks(design),
        *_steps(design),
        *_findings(design),
        *_assumptions(design),
        *_sources(design),
    )
    return document(
        design.job, name="worksheet", kind="Worksheet", title=f"Worksheet: {design.job.title}", size=10, blocks=blocks
    )


def _budget(design: Design) -> tuple[Block, ...]:
    """What the customer has for it, beside the base price: here alone, on no paper of the customer's or the crew's."""
    budget, price = design.job.customer.budget, design.build.price
    if budget is None:
        return ()
    off = price.total - budget
    side = "over" if off > 0 else "under"
    far = "as much as it" if off == 0 else f"{money(abs(off), price.currency)} {side} it"
    return (
        Heading(text="The customer's budget", level=2),
        Paragraph(
            text=f"{money(budget, price.currency)} as the customer told it. The base price with tax, "
            f"{money(price.total, price.currency)} ({money(price.low, price.currency, 0)} to "
            f"{money(price.high, price.currency, 0)}), is {far}. It stands on this sheet alone."
        ),
    )


def part_of(place: str) -> str:
    """The part of the worksheet that a place belongs to."""
    return next((part for start, part in _PARTS if place.startswith(start)), "The whole job")


def _place_key(place: str) -> str:
    """Rows of the level book, walls, points and trees stand together."""
    start = place.split("[")[0]
    return next((group for group in _TOGETHER if start.startswith(f"{group}.")), start)


def _steps(design: Design) -> list[Block]:
    say = Say(design.job.units)
    parts: dict[str, dict[str, list[tuple[int, Step]]]] = {}
    for number, step in enumerate(design.steps, start=1):
        places = parts.setdefault(part_of(step.place), {})
        places.setdefault(_place_key(step.place), []).append((number, step))
    blocks: list[Block] = []
    works = {f"tasks.{task.key}": task.title for task in design.build.plan.tasks}
    for part, places in parts.items():
        blocks.append(Heading(text=part))
        for place, steps in places.items():
            words = works.get(place) or _SHARED.get(place) or say.place(place)
            if place and words.lower() != part.lower():
                blocks.append(Heading(text=words[:1].upper() + words[1:], level=2))
            blocks += _formulas(steps, design.job.units, design.build.price.currency)
    return blocks


def _formulas(steps: Sequence[tuple[int, Step]], units: System, currency: str) -> list[Formula]:
    """Each formula once, with all its uses at this place."""
    groups: dict[tuple[str, str], list[tuple[int, Step]]] = {}
    for number, step in steps:
        groups.setdefault((step.formula, step.card.title), []).append((number, step))
    return [_formula(group, units, currency) for group in groups.values()]


def _formula(group: Sequence[tuple[int, Step]], units: System, currency: str) -> Formula:
    card = group[0][1].card
    method = card.expression_kind == "procedure"
    expression = card.expression if method else tidy(card.expression)
    uses = tuple(
        Use(number=f"{number}", where=_note(step), text=_in_money(_put_in(step, method, units), step, currency))
        for number, step in group
    )  # fmt: skip
    return Formula(
        title=card.title,
        expression=f"{card.symbol}: {expression}" if method else f"{card.symbol} = {expression}",
        kind="method" if method else "formula",
        units=f"[{currency}]" if card.units["result"] == "currency" else _units(card),
        source=cite(card.source),
        uses=uses,
    )


def tidy(expression: str) -> str:
    """An expression as the sheet prints it."""
    return expression.replace("**", "^").replace(" ^ ", "^").replace("*", "×").replace("_", " ")


def _units(card: Card) -> str:
    unit = card.units["result"]
    return "" if unit in ("-", "") else f"[{unit}]"


def _note(step: Step) -> str:
    row = step.place.partition("[")[2].removesuffix("]")
    key = _place_key(step.place)
    name = step.place.removeprefix(f"{key}.") if key in _TOGETHER else ""
    parts = [f"row {int(row) + 1}" if row.isdigit() else name, step.note]
    return ", ".join(part for part in parts if part)


def _put_in(step: Step, method: bool, units: System) -> str:
    """The numbers and the result in the job's units, then the formula with them in SI; a method is not said again."""
    text = substituted(step)
    text = text.removeprefix(f"{step.card.symbol}: {step.card.expression}; ") if method else text
    told = _in_job_units(step, units)
    return f"{told}. In SI: {text}" if told else text


def _in_money(text: str, step: Step, currency: str) -> str:
    """A step's amounts in the job's money, where a card can but say that they are money."""
    return text.replace(" currency", f" {currency}") if "currency" in step.card.units.values() else text


def _in_job_units(step: Step, units: System) -> str:
    """``hydraulic radius 1.00 in: v 3.15 ft/s``: what has a unit of the trade; empty where the result has none."""
    card = step.card
    result = in_job_units(step.result, card.units["result"], units, card.symbol, step.formula)
    if not result:
        return ""
    given = {
        name: in_job_units(value, card.units[name], units, formula=step.formula) for name, value in step.inputs.items()
    }
    told = ", ".join(f"{name.replace('_', ' ')} {text}" for name, text in given.items() if text)
    return f"{told}{': ' if told else ''}{card.symbol} {result}"


_US_STYLES = {  # a unit of results: its kind, the style where the value is small, what is small, the usual style
    "m": ("length", "in", 0.3048, "ft"),
    "m²": ("area", "ft2", 0.0, "ft2"),
    "m³": ("volume", "gal", 1.0, "yd3"),
    "m³/s": ("flow", "gpm", 0.0, "gpm"),
    "m/s": ("speed", "in/h", 1e-3, "ft/s"),
    "kg": ("mass", "lb", 0.0, "lb"),
    "Pa": ("pressure", "psi", 0.0, "psi"),
}
_SOLID = ("build.earth.", "field.earthwork.", "hydraulics.buoyancy.ring_volume")  # earth, stone, concrete: no gallons


def in_job_units(value: Plain, unit: str, units: System, symbol: str = "", formula: str = "") -> str:
    """A step's figure in the trade's unit: ``44.2 gpm``; empty where the job is in SI or the unit is not plain.

    A conductivity (``K``) stands in feet a day, earth in cubic yards however little of it, as in the other papers.
    """
    if units != "US" or unit not in _US_STYLES or isinstance(value, bool) or not isinstance(value, int | float):
        return ""
    kind, small, limit, usual = _US_STYLES[unit]
    style = "ft/day" if unit == "m/s" and symbol == "K" else small if abs(value) < limit else usual
    if unit == "m³" and formula.startswith(_SOLID):
        style = usual
    if not math.isfinite(value):
        return ""
    number = convert(value, kind, units, style)
    if abs(number) < 1e-9:
        return f"0 {unit_label(kind, units, style)}"
    digits = max(2 if usual == "ft" else 0, 3 - math.floor(math.log10(abs(number))))
    return f"{number:,.{digits}f} {unit_label(kind, units, style)}"


def _findings(design: Design) -> tuple[Block, ...]:
    say = Say(design.job.units)
    order = (Severity.FAILS, Severity.CAUTION, Severity.OK)
    found = sorted(design.findings, key=lambda finding: order.index(finding.severity))
    counts = [(SEVERITY_WORDS[severity], sum(item.severity is severity for item in found)) for severity in order]
    columns = (
        Column(head="Where", width=2.6), Column(head="Outcome", width=1.1), Column(head="Figure", width=3),
        Column(head="Limit", width=3), Column(head="Rests on", width=1.3),
    )  # fmt: skip
    rows: list[Row] = []
    checks: dict[str, list[Finding]] = {}
    for item in design.findings:
        checks.setdefault(item.id, []).append(item)
    for key, group in checks.items():
        first = group[0]
        band = f"{key}  {first.title}. Source: {cite(first.source)}"
        rows.append((Cell(text=band, weight="semibold", span=len(columns)),))
        rows += [
            (
                say.place(item.where),
                Cell(text=SEVERITY_WORDS[item.severity], weight="semibold", colour=COLOURS[item.severity]),
                item.figure or "–", item.limit or "–", item.basis.value,
            )
            for item in group
        ]  # fmt: skip
    said = tuple(
        (
            Cell(text=group[0].id, weight="semibold"),
            Cell(text=SEVERITY_WORDS[group[0].severity], weight="semibold", colour=COLOURS[group[0].severity]),
            _found(group, say), group[0].advice,
        )
        for group in _of_one_advice(found)
    )  # fmt: skip
    blocks: list[Block] = [
        Heading(text="Findings"),
        Facts(items=tuple((word, f"{count}") for word, count in counts), columns=3),
    ]
    if said:
        columns_said = (
            Column(head="Check"), Column(head="Outcome", width=1), Column(head="What was found", width=5),
            Column(head="What to do", width=5),
        )  # fmt: skip
        blocks += [Heading(text="What fails, and cautions", level=2), Table(columns=columns_said, rows=said, size=0.84)]
    blocks += [Heading(text="All checks", level=2), Table(columns=columns, rows=tuple(rows), size=0.84)]
    return tuple(blocks)


def _of_one_advice(found: Sequence[Finding]) -> list[list[Finding]]:
    """What is not in order, what one advice mends together: forty trenches in ground water are one thing to do."""
    groups: dict[tuple[str, Severity, str], list[Finding]] = {}
    for item in found:
        if item.severity is not Severity.OK:
            groups.setdefault((item.id, item.severity, item.advice), []).append(item)
    return list(groups.values())


def _found(group: Sequence[Finding], say: Say) -> str:
    """What was found, each sentence once; of many the first in full, for the table of all checks has the figures."""
    messages = list(dict.fromkeys(item.message for item in group))
    if len(messages) > MANY and group[0].id in FIGURED:
        bounds = [item for item in group if item.figure.startswith("up to ")]  # no figure, but the most that it may be
        parts = [part for part in ([item for item in group if item not in bounds], bounds) if part]
        likes = [places_alike([item.where for item in part[1:]], say) for part in parts]
        return " ".join(
            f"{part[0].message} The like at {more}: all checks, below, have each figure." if more else part[0].message
            for part, more in zip(parts, likes, strict=True)
        )
    told = [sentence for message in messages for sentence in re.split(r"(?<=\.) (?=[A-Z])", message)]
    return " ".join(reversed(list(dict.fromkeys(reversed(told)))))  # what they share stands after the last of them


def _assumptions(design: Design) -> tuple[Block, ...]:
    items = leaned_on(design.job)
    columns = (
        Column(head="What", width=3), Column(head="Taken as", width=2), Column(head="How known", width=1.8),
        Column(head="Where from", width=3),
    )  # fmt: skip
    rows = tuple((item.what, item.value, BASIS_WORDS[item.basis], item.source or "–") for item in items)
    table: tuple[Block, ...] = (Table(columns=columns, rows=rows, size=0.86),) if rows else (Paragraph(text="None."),)
    notes = tuple(
        dict.fromkeys((*design.site.notes, *design.inflows.notes, *design.system.notes, *design.build.dig.notes))
    )
    return (
        Heading(text="Assumed and only stated"),
        *table,
        *((Heading(text="Notes of the design", level=2), Bullets(items=notes)) if notes else ()),
    )


def _sources(design: Design) -> tuple[Block, ...]:
    used = {step.card.source for step in design.steps} | {finding.source for finding in design.findings}
    rows = tuple(
        (Cell(text=source.title, weight="semibold"), source.edition or "–", source.where or "–", source.seen)
        for source in sorted((SOURCES[key] for key in used), key=lambda item: item.title.lower())
    )
    columns = (
        Column(head="Source", width=4), Column(head="Edition", width=2.6), Column(head="Used", width=3.4),
        Column(head="How seen", width=1.6),
    )  # fmt: skip
    return (
        Heading(text="Sources"),
        Paragraph(
            text="“Seen”: the figure was read in the text or in a public quotation of it. “From memory”: recalled "
            "and not looked up; "
            "confirm before leaning on it.",
            style="soft",
        ),
        Table(columns=columns, rows=rows, size=0.84),
    )


__all__ = ["in_job_units", "part_of", "tidy", "worksheet_paper"]
