"""The first part of the worksheet: what came out, by place, for whoever checks it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Facts, Heading, Paragraph, Row, Table
from drainwright.paper.documents.say import Say, joined
from drainwright.paper.documents.worksheet_station import main_blocks, station_blocks
from drainwright.quantities import percent
from drainwright.system.outlets.soak_model import Soakaway

TRIFLE = 5e-4  # a smaller loss is not told [m]
SIZE = 0.84
HOUR = 3600.0


def result_blocks(design: Design) -> tuple[Block, ...]:
    """Water at the places and in the runs, ways out, stations, and how far the grading is proven."""
    say = Say(design.job.units)
    parts = (
        _places(design, say), _runs(design, say), _grates(design, say), _leaders(design, say), _overflows(design, say),
        *(station_blocks(design, station, say) for station in design.system.by_house), main_blocks(design, say),
        *(_soakaway(soak, say) for soak in design.system.soaks), _grading(design, say),
    )  # fmt: skip
    return (Heading(text="Results", new_page=True), *(block for part in parts for block in part))


def table(title: str, heads: Sequence[tuple[str, float]], rows: Sequence[Row], note: str = "") -> list[Block]:
    """A table whose first column is text and whose others are figures; nothing without rows."""
    if not rows:
        return []
    columns = tuple(
        Column(head=head, width=width, align="left" if number == 0 or width >= 3.0 else "right")
        for number, (head, width) in enumerate(heads)
    )
    soft = (Paragraph(text=note, style="soft"),) if note else ()
    return [Heading(text=title, level=3), Table(columns=columns, rows=tuple(rows), size=SIZE), *soft]


def _name(text: str) -> Cell:
    return Cell(text=text, weight="semibold")


def _places(design: Design, say: Say) -> list[Block]:
    rows: list[Row] = []
    for name, water in design.system.water.items():
        losses = [f"{kind} {say.small(loss)}" for kind, loss in water.losses.items() if loss >= TRIFLE]
        free = say.small(water.freeboard) if water.freeboard >= 0.0 else f"{say.small(-water.freeboard)} OVER"
        rows.append(
            (
                _name(name), say.level(water.level), say.level(water.rim), free, "yes" if water.surcharged else "no",
                ", ".join(losses) or "–",
            )
        )  # fmt: skip
    heads = (("Place", 1.0), ("Water", 1.2), ("Rim or ground", 1.3), ("Freeboard", 1.3), ("Over the crown", 1.1),
             ("Heads lost there", 3.6))  # fmt: skip
    note = (
        f"At the design flow. Freeboard wanted under a grate: {say.small(design.job.criteria.grate_freeboard)}. In a "
        "basin the water stands at the level that its drains run into."
    )
    return table("Water at the places", heads, rows, note)


def _runs(design: Design, say: Say) -> list[Block]:
    rows: list[Row] = []
    for run in design.system.runs:
        if run.pressure:
            continue
        over = [stone - station.water for stone, station in zip(run.stone_water, run.stations, strict=False)]
        top = max((station.water for station in run.stations), default=math.nan)
        rows.append(
            (
                _name(run.name), say.flow(run.flow), say.flow(run.capacity), say.percent(run.fill), say.level(top),
                "–" if not math.isfinite(run.tail) else say.level(run.tail),
                say.length(run.full_length) if run.full_length > 0.0 else "–",
                joined([say.length(jump) for jump in run.jumps]) or "–",
                say.small(max(over)) if over and max(over) >= TRIFLE else "–",
            )
        )  # fmt: skip
    heads = (
        ("Run", 0.9), ("Flow", 1.2), ("Just full", 1.2), ("Depth of pipe", 1.0), ("Highest water", 1.3),
        ("Runs into", 1.3), ("Full over", 1.2), ("Jumps at", 1.2), ("Stone over pipe", 1.1),
    )  # fmt: skip
    note = (
        "Depth: normal depth as a share of the inside diameter. Runs into: water at its lower end, – where it falls "
        "free. Stone over pipe: how much higher the water stands in the stone. The profiles show the surface at each "
        "station."
    )
    blocks = table("Water in the gravity runs", heads, rows, note)
    parted: list[Row] = [
        (_name(name), item.over, say.length(item.distance), say.level(item.level), say.level(item.sill),
         say.flow(item.back), say.flow(item.on))
        for name, item in design.system.parted.items()
    ]  # fmt: skip
    parting = (
        ("Run", 1.0), ("Back over", 1.2), ("Divide from the upper end", 1.6), ("Water there", 1.3), ("Sill", 1.3),
        ("Flows back", 1.2), ("Flows on", 1.2),
    )  # fmt: skip
    return [*blocks, *table("Runs that part their water", parting, parted)]


def _grates(design: Design, say: Say) -> list[Block]:
    rows: list[Row] = []
    for name, water in design.system.water.items():
        grate = water.grate
        if grate is None:
            continue
        to = "nothing runs on"
        if grate.carried > 0.0:
            to = f"{say.flow(grate.carried)} to {grate.name or grate.to or 'a place not known'}"
        rows.append(
            (
                _name(name), say.flow(grate.flow), say.flow(grate.received) if grate.received > 0.0 else "–",
                say.small(grate.head) + ("" if grate.head_known else " (usual)"),
                "never" if math.isinf(grate.wanted) else say.small(grate.wanted), say.flow(grate.takes), to,
            )
        )  # fmt: skip
    heads = (
        ("Grate", 0.9), ("Comes to it", 1.2), ("Of it from others", 1.2), ("Ground holds", 1.4), ("It needs", 1.0),
        ("Takes", 1.1), ("Runs on", 3.0),
    )  # fmt: skip
    note = (
        f"With {say.percent(design.job.criteria.grate_clogging)} of each grate clogged. Ground holds: depth over the "
        "grate before the water runs on; (usual) where the ground does not say. It needs: depth at which it takes all."
    )
    return table("Grates and what they let pass", heads, rows, note)


def _leaders(design: Design, say: Say) -> list[Block]:
    rows: list[Row] = [
        (
            _name(name), say.flow(water.leader.flow),
            say.small(water.leader.standing) if water.leader.standing > 0.0 else "runs part full",
            say.level(water.leader.foot), say.flow(water.leader.to_foot), say.flow(water.leader.to_gutter),
        )
        for name, water in design.system.water.items()
        if water.leader is not None
    ]  # fmt: skip
    heads = (
        ("Downspout", 1.0), ("Brings", 1.2), ("Stands over the crown", 1.5), ("Foot, an open joint", 1.4),
        ("Most to the foot", 1.3), ("Most to the gutter", 1.3),
    )  # fmt: skip
    note = "Most: the flow at which water stands up to the foot, and with sealed joints up to the gutter."
    return table("Leaders", heads, rows, note)


def _overflows(design: Design, say: Say) -> list[Block]:
    rows: list[Row] = [
        (
            _name(item.run), f"{item.place} to {item.to}", say.level(item.starts), say.level(item.allowed),
            "floor" if item.at_floor else "rim", say.flow(item.capacity), say.flow(item.inflow), say.level(item.level),
            "yes" if item.holds else "NO",
        )
        for item in design.system.overflows
    ]  # fmt: skip
    heads = (
        ("Overflow", 1.0), ("From, to", 1.6), ("Starts", 1.2), ("Water may rise to", 1.3), ("By the", 0.7),
        ("Carries", 1.2), ("All that comes", 1.2), ("Then stands at", 1.2), ("Takes all", 0.8),
    )  # fmt: skip
    return table("Overflows by gravity, with nothing else at work", heads, rows)


def _soakaway(soak: Soakaway, say: Say) -> list[Block]:
    def hours(seconds: float) -> str:
        return "never" if math.isinf(seconds) else say.time(seconds)

    facts = [
        ("Fills most in", f"the {say.years(soak.return_period)} rain of {say.time(soak.critical)}"),
        ("Stands then", f"{say.small(soak.fullest)} of {say.small(soak.depth)}"),
        ("Spills then", "nothing" if soak.spilled <= 0.0 else say.volume(soak.spilled)),
        ("Half empty after", f"{hours(soak.half_empty)}, wanted {hours(soak.half_empty_limit)} or less"),
        ("Bottom silted shut", f"{say.small(soak.silted)} would stand"),
        ("Nested storm", "the table is too short" if soak.nested is None else f"{say.small(soak.nested)} would stand"),
        ("Ground water lifted", f"{say.small(soak.mound)}, at the house {say.small(soak.mound_at_house)}"),
        ("From the house", say.length(soak.house_distance)),
        ("Holds", say.volume(soak.storage)),
        ("Overflow", soak.overflow or "none: the lowest grate"),
    ]
    rows: list[Row] = [
        (
            Cell(text=say.time(storm.duration), weight="semibold" if storm.duration == soak.critical else "regular"),
            say.rain(storm.depth), say.volume(storm.came), say.small(storm.fullest),
            say.volume(storm.spilled) if storm.spilled > 0.0 else "–",
        )
        for storm in soak.storms
    ]  # fmt: skip
    heads = (("Rain of", 1.2), ("Depth", 1.0), ("Water", 1.2), ("Stands", 1.2), ("Spills", 1.0))
    return [
        Heading(text=f"Soakaway {soak.name}", level=2),
        Facts(items=tuple(facts)),
        *table(f"{soak.name}, each even rain routed", heads, rows),
    ]


def _grading(design: Design, say: Say) -> list[Block]:
    chosen = [run for run in design.system.runs if not run.pressure and run.grade_chosen_by == "design"]
    fixed = [run for run in design.system.runs if not run.pressure and run.grade_chosen_by == "job"]
    blocks: list[Block] = [Heading(text="Grading", level=2)]
    facts = [
        ("Falls chosen here", joined([run.name for run in chosen]) or "none"),
        ("Falls fixed by the job", joined([run.name for run in fixed]) or "none"),
    ]
    blocks.append(Facts(items=tuple(facts)))
    rows: list[Row] = [
        (
            _name(joined(list(grading.lines))), f"{grading.cost:,.1f}", f"{grading.bound - grading.price:,.1f}",
            percent(grading.gap, 2), joined([f"{one.kind} at {one.line}" for one in grading.relaxed]) or "nothing",
        )
        for grading in design.system.gradings
        if grading.lines
    ]  # fmt: skip
    heads = (("Graded together", 2.4), ("Cost", 1.0), ("Proven least", 1.2), ("Gap", 0.8), ("Gave way", 3.0))
    note = (
        "Cost: pipe, stone, digging by depth and hand, and the pump's lift, in proportion to each other and in no "
        "currency. Proven least: no falls, sizes and levels under the same conditions cost less; a gap of 0 % means "
        "that the answer is that least."
    )
    blocks += table("Proof of the least cost", heads, rows, note)
    for clash in design.system.clashes:
        blocks.append(Paragraph(text=clash.words, style="strong"))
        blocks.append(Bullets(items=clash.remedies, numbered=True))
    if not design.system.clashes:
        blocks.append(Paragraph(text="All conditions are kept together; none stands in another's way."))
    return blocks


__all__ = ["result_blocks", "table"]
