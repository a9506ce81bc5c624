"""The storm test in plain words, what remains at risk, and what the works will not cure."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Paragraph, Table
from drainwright.paper.documents.say import Say, failing
from drainwright.paper.documents.shell import FEW
from drainwright.storm.model import StormCase

RISKS = ("STM", "LFT", "OUT", "FTG", "SIZ", "NET", "RAI", "SOI")  # findings that a customer should hear of


def storm_blocks(design: Design) -> tuple[Block, ...]:
    """What happens in the storm, with everything in order and with one thing broken at a time."""
    say = Say(design.job.units)
    storm = design.storm.storm
    rows = [_row(case, say, design.system.station is not None) for case in design.storm.cases]
    columns = [
        Column(head="If", width=3), Column(head="Water at the house rises to", width=2, align="right"),
        Column(head="against the floor", width=2), Column(head="Outcome", width=3.4),
    ]  # fmt: skip
    if design.system.station is not None:
        columns.append(Column(head="Pump starts", align="right"))
    where = "over its rims, onto the lawn" if any(case.volume_lost > 0 for case in design.storm.cases) else ""
    words = (
        f"We ran the {storm.name} ({say.rain(storm.depth)} of rain) through the whole system, minute by minute: "
        "roofs, yard, "
        "ground, pipes"
        + (", basin and pump" if design.system.station is not None else "")
        + ". Then once more with one thing "
        "broken each time."
    )
    sound = design.storm.cases[0] if design.storm.cases else None
    spill = ""
    if sound is not None and sound.volume_lost > 0:
        spill = (
            f" With everything working, {say.volume(sound.volume_lost)} of {say.volume(sound.volume_in)} runs off "
            "above ground "
            f"{where}."
        )
    return (
        Heading(text="What a big storm does"),
        Paragraph(text=words + spill),
        Table(columns=tuple(columns), rows=tuple(rows)),
        Paragraph(text=f"The storm: {storm.source}.", style="soft"),
    )


def _row(case: StormCase, say: Say, pumped: bool) -> tuple[str | Cell, ...]:
    level, side = "no drain or basin there", "–"
    if case.highest_at_house is not None:
        level = say.level(case.highest_at_house)
        gap = case.slab_level - case.highest_at_house
        side = f"{say.deep(gap)} below it" if gap >= 0 else f"{say.deep(-gap)} ABOVE it"
    if case.time_to_slab is None:
        outcome = Cell(text="The floor stays dry.")
    else:
        since = "after the failure" if case.failure_at else "after the rain begins"
        outcome = Cell(
            text=f"Water reaches the floor {say.time(case.time_to_slab)} {since}.", weight="semibold", colour="#8f1d14"
        )
    cells: tuple[str | Cell, ...] = (case.title, level, side, outcome)
    return (*cells, f"{case.pump_starts}") if pumped else cells


def risk_blocks(design: Design) -> tuple[Block, ...]:
    """Findings that stay open, and what no drain cures."""
    told = len(failing(design.findings)) > FEW  # those that fail have a table of their own
    open_ = [
        finding
        for finding in design.findings
        if finding.severity is Severity.CAUTION or (finding.severity is Severity.FAILS and not told)
        if finding.id.split("-")[0] in RISKS and finding.id != "FTG-09"
    ]
    say = Say(design.job.units)
    by_advice: dict[tuple[str, str], list[Finding]] = {}
    for finding in open_:
        by_advice.setdefault((finding.title, finding.advice), []).append(finding)
    rows = tuple(
        (Cell(text=title, weight="semibold"), _found(group, say), advice)
        for (title, advice), group in by_advice.items()
    )
    columns = (Column(head="What", width=2), Column(head="What we found", width=4), Column(head="What to do", width=4))
    risks: tuple[Block, ...] = (
        (Table(columns=columns, rows=rows, size=0.86),)
        if rows
        else (
            Paragraph(
                text="No open point was found. Storms larger than the tested one, and things nobody could see, remain."
            ),
        )
    )
    return (
        Heading(text="What remains at risk"),
        *risks,
        Heading(text="What this will not cure"),
        Bullets(items=_not_cured(design)),
    )


def _found(group: list[Finding], say: Say) -> str:
    """What was found: the first in full, the rest by place."""
    messages = list(dict.fromkeys(finding.message for finding in group))
    if len(messages) < 3:
        return " ".join(messages)
    others = ", ".join(dict.fromkeys(say.place(finding.where) for finding in group[1:]))
    return f"{messages[0]} Likewise: {others}."


def _not_cured(design: Design) -> tuple[str, ...]:
    coated = [wall.name for wall in design.site.walls if wall.wall.open_and_coat]
    others = [wall.name for wall in design.site.walls if not wall.wall.open_and_coat]
    items = [
        "Condensation, humid air, and leaks of water pipes, heating, sewer or roof.",
        "Water that rises through the floor itself, away from the drained walls.",
        "Floods: water that comes over the ground from elsewhere, and storms beyond the one tested.",
        "Damage that is already there: finishes, salts, mould, settlement, bowed or cracked walls.",
    ]
    if others and coated:
        items.append(f"Water through walls that are not opened: {', '.join(others)}.")
    if design.system.station is not None:
        items.append(
            "A pump without power, worn out, switched off or blocked: it needs the tests and the yearly visit."
        )
    return tuple(items)


__all__ = ["risk_blocks", "storm_blocks"]
