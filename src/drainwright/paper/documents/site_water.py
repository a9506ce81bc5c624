"""The water of the site: design flows with their bands, the ground water, and where the moisture comes from."""

from __future__ import annotations

from typing import Protocol

from drainwright.design import Design
from drainwright.paper.band_chart import LABEL, input_value
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Keep, Paragraph, Row, Table
from drainwright.paper.documents.say import Say, joined
from drainwright.paper.documents.site_ground import kept
from drainwright.paper.plan_marks import floor_underside
from drainwright.quantities import Kind, height_beside, percent, write
from drainwright.water.model import Cause, GroundLine
from drainwright.water.moisture import share_words
from drainwright.water.moisture_model import Evidence, MoistureSources, NextTest, RankedCause
from drainwright.water.moisture_words import NO_TEST
from drainwright.water.open_water import water_name

WARNING = "#8f1d14"
QUIET = "#5d6a72"
DAY = 86400.0
LIKELY = 0.02  # causes of a smaller share are only named [-]
MOST_EVIDENCE = 4  # pieces told for or against a cause
STRENGTH = ((1.2, "strong"), (0.6, "fair"), (0.0, "slight"))  # of the logarithm of the likelihood ratio


def water_part(design: Design) -> tuple[Block, ...]:
    """Part 3 of the paper of the site."""
    say, water = Say(design.job.units), design.inflows
    if not water.contributions:
        return (Heading(text="3. The water"), Paragraph(text="No water comes to the works."))
    flows = water.by_cause()
    by_cause: list[Row] = [
        (LABEL[cause], *_flows(flows[cause], water.bands.get(cause), say)) for cause in Cause if flows[cause] > 0.0
    ]
    by_cause.append(("all together", *_flows(sum(flows.values()), water.total, say)))
    columns = (
        Column(head="Cause", width=3), Column(head="designed for", width=2, align="right"),
        Column(head="low", width=2, align="right"), Column(head="high", width=2, align="right"),
    )  # fmt: skip
    return (
        Heading(text="3. The water"),
        Keep(
            blocks=(
                Paragraph(
                    text="Each flow in the design storm, and the band in which it probably lies: nine times of ten "
                    "between low and high."
                ),
                Table(columns=columns, rows=tuple(by_cause), size=0.9, total=len(by_cause) > 1),
            )
        ),
        *_entries(design, say),
        *_inputs(design, say),
    )


class _Bounded(Protocol):
    """What has a low and a high flow."""

    @property
    def low(self) -> float | None:
        """[m³/s]."""

    @property
    def high(self) -> float | None:
        """[m³/s]."""


def _flows(flow: float, band: _Bounded | None, say: Say) -> tuple[str, ...]:
    """Design flow, low and high in one unit."""
    unit = "L/min" if not say.us and 0.0 < flow < 1e-4 else None
    bounds = (None, None) if band is None else (band.low, band.high)
    return tuple("–" if value is None else write(value, Kind.FLOW, say.units, unit) for value in (flow, *bounds))


def _entries(design: Design, say: Say) -> tuple[Block, ...]:
    columns = (
        Column(head="Comes in at", width=1.4), Column(head="Cause", width=1.4), Column(head="From", width=2.2),
        Column(head="area", width=1.4, align="right"), Column(head="designed for", width=1.6, align="right"),
        Column(head="low", width=1.4, align="right"), Column(head="high", width=1.4, align="right"),
        Column(head="known as", width=1.3),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(text=item.entry, weight="semibold"), LABEL[item.cause].removesuffix("s"), item.source,
            say.area(item.area) if item.area > 0.0 else "–", *_flows(item.flow, item, say), item.basis.value,
        )
        for item in design.inflows.contributions
    )  # fmt: skip
    return kept(Heading(text="Entry by entry", level=2), Table(columns=columns, rows=rows, size=0.84))


def _inputs(design: Design, say: Say) -> tuple[Block, ...]:
    ranges = design.inflows.ranges
    if not ranges:
        return ()
    columns = (
        Column(head="Input", width=2.8), Column(head="low", width=1.5, align="right"),
        Column(head="taken", width=1.5, align="right"), Column(head="high", width=1.5, align="right"),
        Column(head="known as", width=1.2), Column(head="share", width=1.0, align="right"),
        Column(head="where the range comes from", width=4.85),
    )  # fmt: skip
    rows = tuple(
        (
            item.name, *(input_value(item, value, say) for value in (item.low, item.middle, item.high)),
            item.basis.value, percent(item.share) if item.share >= 0.005 else "–", item.why,
        )
        for item in ranges
    )  # fmt: skip
    return kept(
        Heading(text="What makes the bands wide", level=2),
        Table(columns=columns, rows=rows, size=0.8),
        Paragraph(
            text="The share is how much of the spread of all flows together an input makes by itself; a dash is under "
            "0.5 %. Measuring the first of these better narrows the band most.",
            style="soft",
        ),
    )


def high_water(design: Design, say: Say) -> str:
    """How high ground water stands against the floor, in a sentence."""
    table, floor = design.site.water_table, floor_underside(design)
    if table is None:
        return "How high ground water stands in the wet season is not known."
    gap = table - design.storm.cases[0].slab_level
    return f"High ground water stands at {say.level(table)}, {height_beside(gap, say.deep, 'ABOVE')} the {floor}."


def groundwater_part(design: Design) -> tuple[Block, ...]:
    """Part 4 of the paper of the site."""
    say, lines = Say(design.job.units), design.inflows.ground_lines
    head = Heading(text="4. The ground water at the house")
    if not lines:
        text = f"{high_water(design, say)} No level under the house is reckoned: no footing drain lies beside a wall."
        return (head, Paragraph(text=text))
    bound = {item.run: item.bound for item in design.inflows.seepage}
    unit = say.level_unit
    columns = (
        Column(head="Wall (drain)", width=1.7), Column(head="without drain", width=1.2, align="right"),
        Column(head="with drain", width=1.1, align="right"), Column(head="low to high", width=1.8, align="right"),
        Column(head="floor's underside", width=1.3, align="right"), Column(head="against the underside", width=1.6),
        Column(head="half-way down after", width=1.4, align="right"), Column(head="known as", width=1.2),
    )  # fmt: skip
    rows: list[Row] = [
        (
            f"{line.wall} ({line.run or 'no drain'})", say.level_number(line.level_without),
            say.level_number(line.level_with) if line.run else "–",
            "–" if line.band is None else f"{say.level_number(line.band.low)} to {say.level_number(line.band.high)}",
            say.level_number(line.floor_underside), _stands(line, say), _days(line.time_to_fall), line.basis.value,
        )
        for line in lines
    ]  # fmt: skip
    rise = lines[0].capillary_rise
    items = [f"The soil draws water up {say.small(rise)} above the water table, as a mean of its texture."]
    damp = [line.wall for line in lines if 0.0 <= line.floor_underside - line.level_with <= line.capillary_rise]
    wet = [line.wall for line in lines if line.level_with > line.floor_underside]
    if wet:
        items.append(
            f"Behind the {joined(wet)} wall{'s' if len(wet) > 1 else ''} water stands above the floor's underside even "
            "with the drain: lower the drain, drain more sides, or drain under the floor."
        )
    if damp:
        items.append(
            f"So drawn up it reaches the floor behind the {joined(damp)} wall{'s' if len(damp) > 1 else ''}: a "
            "membrane or coarse stone under the floor stops it, no drain does."
        )
    open_ = {line.run: bound.get(line.run, "") for line in lines if bound.get(line.run, "")}
    if open_:
        items.append(f"Open water holds the level at {joined([f'{run} ({kind})' for run, kind in open_.items()])}.")
    named = design.job.ground.open_water
    if named is not None:
        beginnings = (f"The {water_name(named.kind)}, ", "Nobody has found the water table: ", "Of the tide's ")
        items += [note for note in design.inflows.notes if note.startswith(beginnings)]
    elif not open_:
        items.append("No open water (tide, canal, pond, stream) is named that would hold the level up.")
    walls: dict[str, list[str]] = {}
    for line in lines:
        walls.setdefault(line.method, []).append(line.wall)
    methods = "; ".join(f"{joined(names)}: {method}" for method, names in walls.items())
    return (
        Keep(
            blocks=(
                head,
                Paragraph(text=f"Levels at mid-house in {unit}, at seasonal high water."),
                Table(columns=columns, rows=tuple(rows), size=0.84),
            )
        ),
        Bullets(items=tuple(items)),
        Paragraph(text=f"How each is reckoned. {methods[:1].upper()}{methods[1:]}.", style="soft"),
    )


def _stands(line: GroundLine, say: Say) -> str | Cell:
    gap = line.floor_underside - (line.level_with if line.run else line.level_without)
    if gap < 0.0:
        return Cell(text=f"{say.small(-gap)} ABOVE", colour=WARNING, weight="semibold")
    return f"{say.small(gap)} below"


def _days(seconds: float | None) -> str:
    if seconds is None:
        return "no fall"
    return f"{seconds / DAY:.1f} days" if seconds >= 0.95 * DAY else write(seconds, Kind.TIME, "SI", "h", 0)


def causes_part(design: Design) -> tuple[Block, ...]:
    """Part 5 of the paper of the site."""
    sources = design.moisture
    head = Heading(text="5. Where the moisture comes from")
    unread = (
        (
            Paragraph(
                text=f"Not used, since the job does not say what kind of sign it is: {'; '.join(sources.unread)}.",
                style="soft",
            ),
        )
        if sources.unread
        else ()
    )
    if not sources.causes:
        return (head, Paragraph(text=sources.verdict), *unread, *next_test_blocks(sources))
    shown = [cause for number, cause in enumerate(sources.causes) if number < 2 or cause.share >= LIKELY]
    rest = [cause.cause.value for cause in sources.causes if cause not in shown]
    columns = (
        Column(head="", width=0.9),
        Column(head="What was seen, tested or measured", width=8),
        Column(head="weighs", width=1),
    )
    rows: list[Row] = []
    for cause in shown:
        name = f"{cause.cause.value[0].upper()}{cause.cause.value[1:]}, {share_words(cause.share)}"
        rows.append((Cell(text=name, weight="semibold", span=len(columns)),))
        rows += _told("for", cause.evidence_for) + _told("against", cause.evidence_against)
        rows.append((Cell(text="cure", colour=QUIET), _cure(cause), ""))
    return (
        head,
        Paragraph(text=sources.verdict, style="strong"),
        Table(columns=columns, rows=tuple(rows), size=0.84),
        *((Paragraph(text=f"Hardly: {joined(rest)}.", style="soft"),) if rest else ()),
        *unread,
        *next_test_blocks(sources),
    )


def _told(side: str, evidence: tuple[Evidence, ...]) -> list[Row]:
    """A row for each of the weightiest pieces."""
    rows: list[Row] = []
    for item in evidence[:MOST_EVIDENCE]:
        strength = next(word for least, word in STRENGTH if abs(item.weight) >= least)
        rows.append((Cell(text=side, colour=QUIET), f"{item.text[0].upper()}{item.text[1:]}", strength))
    more = len(evidence) - MOST_EVIDENCE
    if more > 0:
        rows.append((Cell(text=side, colour=QUIET), Cell(text=f"and {more} that weigh less", colour=QUIET), ""))
    return rows


def _cure(cause: RankedCause) -> str:
    return cause.remedy if cause.drainage_helps else f"{cause.remedy} Drainage is not the remedy."


def next_test_blocks(sources: MoistureSources, *, further: bool = True) -> tuple[Block, ...]:
    """The test that would tell most, how it is done and what each result means; then those after it."""
    test = sources.next_test
    if test is None:
        return (Paragraph(text=f"{NO_TEST}."),) if sources.causes else ()
    blocks: list[Block] = [
        Keep(
            blocks=(
                Heading(text=f"The next test: {test.test}", level=2),
                Paragraph(text=test.how),
                _outcomes(test, sources),
            )
        )
    ]  # fmt: skip
    if test.remedies and all(test.remedies):
        told = "Either way these works stay the same: the test tells only which source comes first."
        blocks.append(Paragraph(text=told))
    if sources.also and further:
        items = tuple(f"{item.test[0].upper()}{item.test[1:]}. {_outcomes_in_short(item)}." for item in sources.also)
        blocks += [Heading(text="If that does not settle it", level=2), Bullets(items=items)]
    return tuple(blocks)


def _outcomes(test: NextTest, sources: MoistureSources) -> Table:
    helps = {cause.cause: cause.drainage_helps for cause in sources.causes}
    columns = (
        Column(head="If it", width=1.6), Column(head="then", width=3.4), Column(head="so that", width=3.4),
    )  # fmt: skip
    leading = sources.causes[0].cause if sources.causes else None
    rows = tuple(
        (
            Cell(text=outcome, weight="semibold"),
            f"{cause.value} {'still leads' if cause is leading else 'would lead'}"
            f"{', and water in the ground is close to it' if close else ''}",
            _built(remedy, helps.get(cause, False)),
        )
        for (outcome, cause), remedy, close in zip(test.outcomes, test.remedies, test.brought_close, strict=True)
    )  # fmt: skip
    return Table(columns=columns, rows=rows, size=0.9)


def _built(remedy: bool | None, helps: bool) -> str:
    """What a result means for the drain."""
    if remedy is None:
        return "we would not build this drain yet: it may not be the remedy; the next test comes first"
    if remedy:
        return "we would build this drain"
    return "we would not build this drain" + (": alone it is not the remedy" if helps else "")


def _outcomes_in_short(test: NextTest) -> str:
    said = "; ".join(
        f"{outcome}: {cause.value}{', but not clearly' if remedy is None or close else ''}"
        for (outcome, cause), remedy, close in zip(test.outcomes, test.remedies, test.brought_close, strict=True)
    )
    return f"{said[0].upper()}{said[1:]}"


__all__ = ["LIKELY", "causes_part", "groundwater_part", "high_water", "next_test_blocks", "water_part"]
