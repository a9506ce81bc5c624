"""What the works are made of, what was measured for them and what water they must take, for the proposal."""

from __future__ import annotations

import math

from drainwright.design import Design
from drainwright.findings.places import by_own_line, leads_to, series
from drainwright.findings.pump_words import carried_words
from drainwright.paper.documents.against_causes import ways_out
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Facts, Heading, Paragraph, Table
from drainwright.paper.documents.place_list import ways_out_blocks
from drainwright.paper.documents.say import BASIS_WORDS, DUTY_WORDS, Say, joined
from drainwright.paper.plan_marks import floor_top, floor_underside
from drainwright.paper.wording import FLOATS
from drainwright.system.model import LiftStation, SizedRun
from drainwright.system.trade import nominal_words, pump_words
from drainwright.water.model import Cause, Contribution

WATERS = {"wet season": "with the wet season's ground water alone", "design rain": "with the water of the design rain"}
WEEK = 7 * 86400.0  # [s]
CAUSE_WORDS = {Cause.ROOF: "roof", Cause.YARD: "yard and walks", Cause.GROUND: "water in the ground"}


def scope_blocks(design: Design) -> tuple[Block, ...]:
    """Walls, drains, ways out, basins and pumps, and what a power cut does."""
    say = Say(design.job.units)
    blocks: list[Block] = [Heading(text="What we will do")]
    walls = [wall for wall in design.site.walls if wall.wall.open_and_coat]
    if walls:
        dug = {trench.name: trench.depth_greatest for trench in design.build.dig.trenches}
        rows = []
        for wall in walls:
            coat = wall.wall.coating
            coats = "no coating" if coat.kind == "none" else f"{coat.kind}, {coat.coats} coats"
            extras = [text for text, there in (("parge first", coat.parge), ("protection board", coat.board)) if there]
            rows.append(
                (
                    wall.name,
                    say.length(wall.length),
                    say.dug(dug[wall.name]) if wall.name in dug else "–",
                    f"{say.level(wall.footing_bottom)} ({BASIS_WORDS[wall.wall.footing_bottom.basis]})",
                    wall.wall.material,
                    ", ".join([coats, *extras]),
                )
            )
        columns = (
            Column(head="Wall"), Column(head="Length", width=1.6, align="right"),
            Column(head="Dug to", width=1.3, align="right"),
            Column(head="Footing's bottom", width=2),
            Column(head="Built of", width=0.9), Column(head="Coating", width=4.6),
        )  # fmt: skip
        blocks += [
            Heading(text="Walls opened to the footing, cleaned and coated", level=2),
            Table(columns=columns, rows=tuple(rows)),
        ]
        if any(wall.wall.coating.kind == "damp-proofing" for wall in walls):
            blocks.append(
                Paragraph(
                    text="Damp-proofing keeps damp soil off the wall. It is not waterproofing and does not hold "
                    "standing "
                    "water back: the drain below it does that work.",
                    style="soft",
                )
            )
    blocks += _runs(design, say)
    blocks += ways_out_blocks(design)
    if design.system.station is not None:
        for station in design.system.by_house:
            blocks += _pump(design, station, say)
        blocks += power_cut(design, say)
    else:
        blocks += [
            Heading(text="No pump", level=2),
            Paragraph(
                text=f"The water leaves by its own weight at {ways_out(design)}. Nothing here needs "
                "electricity, and a power cut changes nothing."
            ),
        ]
    return tuple(blocks)


def _runs(design: Design, say: Say) -> list[Block]:
    dug = {trench.name: trench.depth_greatest for trench in design.build.dig.trenches}
    rows = []
    for run in design.system.runs:
        stone = (
            f"{say.small(run.stone_width)} wide{', in fabric' if run.fabric else ''}" if run.stone_width > 0 else "–"
        )
        rows.append(
            (
                Cell(text=run.name, weight="semibold"), DUTY_WORDS[run.duty], f"{run.upper} to {run.lower}",
                say.length(run.length), say.dug(dug.get(run.name, run.deepest)),
                _plain_pipe(run, say), stone,
            )
        )  # fmt: skip
    columns = (
        Column(head="Run", width=0.8), Column(head="What for", width=2.2), Column(head="From, to", width=1.8),
        Column(head="Length", width=1.5, align="right"), Column(head="Dug to", width=1.3),
        Column(head="Pipe", width=2.0), Column(head="Stone", width=2.0),
    )  # fmt: skip
    kinds: dict[str, list[str]] = {}
    for run in design.system.runs:
        kinds.setdefault(say.pipe(run), []).append(run.name)
    standards = "; ".join(f"{kind} for {joined(series(names))}" for kind, names in kinds.items())
    return [
        Heading(text="Drains", level=2),
        Table(columns=columns, rows=tuple(rows), size=0.84, tight=True),
        Paragraph(text=f"For comparing offers, the pipe by its standard: {standards}.", style="soft"),
    ] if rows else []  # fmt: skip


def _plain_pipe(run: SizedRun, say: Say) -> str:
    """``4 in, with holes``, ``3 in, tight``: a pipe as a customer knows it."""
    make = "with holes" if run.pipe.perforated else "tight"
    if run.pipe.family == "wrapped aggregate":
        make = "in a wrapped sleeve of aggregate"
    return f"{nominal_words(run.pipe.nominal, say.units)}, {make}"


def _pump(design: Design, station: LiftStation, say: Say) -> list[Block]:
    heights = ", ".join(
        f"{FLOATS[name]} {say.small(level - station.floor)}" for name, level in station.float_levels.items()
    )
    end = design.system.run(station.discharge_run).lower
    kinds = {point.name: point.kind for point in design.job.works.discharge}
    facts = [
        ("Basin", f"{say.small(station.inside_diameter)} wide inside, {say.small(station.depth)} deep"),
        ("Pump's duty", f"{say.flow(station.operating_flow)} at {say.head(station.operating_head)} of head"),
        ("Pump", pump_words(station.pump, say.units)),
        ("Floats above its floor", heights),
        ("Design inflow", say.flow(station.inflow)),
        ("Starts in the design rain", say.starts(station.starts_design)),
        ("Pumps", "two" if station.second_on is not None else "one"),
        *battery_facts(station, say),
        ("Leaves through", f"{station.discharge_run} to {end}" + (f", {kinds[end]}" if end in kinds else "")),
    ]
    storms = () if station.study is None else station.study.storms
    if storms and station.reaches and any(roof.led for roof in storms[0].roofs):
        spare = f"; one pump alone at the rain's peak, {design.job.criteria.pump_margin:g} times over, nothing stored"
        facts.append(("Downspouts it can take", carried_words(storms, worn=False) + spare))
    if station.collar > 0:
        facts.append(("Held down by", f"{say.mass(station.collar)} of concrete round its foot"))
    return [
        Heading(text="Basin and pump" + (f" {station.name}" if len(design.system.stations) > 1 else ""), level=2),
        Facts(items=tuple(facts)),
        Paragraph(
            text="The pump is bought by this duty. Another make will do only if its data sheet gives at least this "
            "flow "
            "at this head.",
            style="soft",
        ),
    ]


def battery_facts(station: LiftStation, say: Say) -> list[tuple[str, str]]:
    """The battery unit that is in the price, with how long it lasts; nothing where there is none."""
    unit = None if station.study is None else station.study.unit
    if unit is None:
        return []
    lasts = [
        f"{say.time(hours.seconds) if hours.seconds < WEEK else 'over a week'} {WATERS[hours.water]}"
        + ("" if hours.keeps_up else ", which brings more than it lifts")
        for hours in unit.hours
        if hours.water in WATERS
    ]
    whose = ", with a pump of its own" if unit.own_pump else ""
    said = f"; lasts {joined(lasts)}" if unit.reaches else "; it does not lift water so high"
    return [("Battery unit", f"{unit.capacity:g} Ah{whose}{said}")]


def power_cut(design: Design, say: Say) -> list[Block]:
    """What the tested power cut does, and what a battery would change, in two or three sentences."""
    case, station = design.storm.case("power out"), design.system.station
    if case is None or station is None:
        return []
    end = "the floor stays dry"
    if case.undecided:
        end = f"no water reaches the floor within {say.time(case.ended)}, but it still rises"
    elif case.time_to_slab is not None:
        end = f"water reaches the {floor_underside(design)} {say.time(case.time_to_slab)} later"
    words = [f"{case.title}: {end}."]
    study = station.study
    if study is not None and study.unit is not None:
        words.append(
            "The battery unit named above works in that time."
            if study.unit.reaches
            else "The battery unit named above does not lift water so high: it is no help there."
        )
    elif study is None or study.offered is None:
        words.append("No battery is in this price.")
    else:
        unit = study.offered
        wet = next(hours for hours in unit.hours if hours.water == "wet season")
        lasts = "for good" if math.isinf(wet.seconds) else f"for {say.time(wet.seconds)}"
        rain = next(hours for hours in unit.hours if hours.water == "design rain")
        but = "" if rain.keeps_up else ", but in a storm only a part of what comes"
        words.append(
            f"No battery is in this price. A small unit with one of {unit.capacity:.0f} Ah would pump the wet season's "
            f"ground water {lasts}{but}." + (" Each basin needs its own." if len(design.system.stations) > 1 else "")
        )
    return [Heading(text="If the power goes", level=2), Paragraph(text=" ".join(words))]


def measured_blocks(design: Design) -> tuple[Block, ...]:
    """Floor, wet walls, ground water, soil and slopes, each with how it is known."""
    site, say = design.site, Say(design.job.units)
    ground, floor = design.job.ground, floor_top(design)
    items = [
        f"{floor[:1].upper()}{floor[1:]} of the house: {say.level(site.floor)} in this job's levels "
        f"({BASIS_WORDS[site.floor_basis]})."
    ]
    wet = [wall.name for wall in site.walls if wall.wall.wet]
    if wet:
        items.append(f"Wet walls: {joined(wet)}.")
    if site.water_table is not None and ground.water_table is not None:
        gap = site.water_table - site.floor
        far = say.deep(abs(gap))
        level = far.startswith(("0 in", "0.00 "))
        side = "at the level of" if level else f"{far} above" if gap > 0 else f"{far} below"
        source = f": {ground.water_table.source}" if ground.water_table.source.strip() else ""
        items.append(
            f"Ground water in the wet season stands at {say.level(site.water_table)}, {side} the {floor} "
            f"({BASIS_WORDS[ground.water_table.basis]}{source})."
        )
    else:
        items.append("The height of the ground water is not known. It should be measured before the work is bought.")
    items.append(f"Soil: {ground.texture.value} ({BASIS_WORDS[ground.texture.basis]}).")
    slopes = [finding for finding in design.findings if finding.id == "FTG-10" and finding.advice]
    if slopes:
        each = "; ".join(
            f"{say.place(finding.where)} {finding.figure} ({BASIS_WORDS[finding.basis]})" for finding in slopes
        )
        items.append(f"Ground that does not lead water away from the house ({slopes[0].limit} is wanted): {each}.")
    return (Heading(text="What we measured", level=2), Bullets(items=tuple(items)))


def water_blocks(design: Design) -> tuple[Block, ...]:
    """What water the works must take, and what does not come into them."""
    say = Say(design.job.units)
    own = by_own_line(design.system, design.inflows)
    inside = [item for item in design.inflows.contributions if item.entry not in own]
    apart = [item for item in design.inflows.contributions if item.entry in own and item.flow > 0]
    totals = {cause: sum(item.flow for item in inside if item.cause is cause) for cause in Cause}
    together = joined([f"{CAUSE_WORDS[cause]} {say.flow(flow)}" for cause, flow in totals.items() if flow > 0])
    words = f"At the design rain the works must take: {together or 'no water is entered'}."
    bases = joined(list(dict.fromkeys(BASIS_WORDS[item.basis] for item in inside if item.flow > 0)))
    rest = f"These figures rest on values that are: {bases}. The water analysis has each area." if bases else ""
    text = " ".join(filter(None, [words, *_parted(design, inside, say), _apart(apart, say) if apart else "", rest]))
    return (Heading(text="Water that the works must take", level=2), Paragraph(text=text))


def _parted(design: Design, inside: list[Contribution], say: Say) -> list[str]:
    """What comes to the basins and what our gravity lines carry past them; nothing where all comes there."""
    names = [station.name for station in design.system.stations]
    past = [
        item
        for item in inside
        if item.flow > 0 and not any(leads_to(design.system, item.entry, name) for name in names)
    ]
    if not names or not past:
        return []
    pumped = sum(item.flow for item in inside) - sum(item.flow for item in past)
    each = joined([f"{item.source} at {item.entry} ({say.flow(item.flow)})" for item in past])
    basins = f"basin{'' if len(names) == 1 else 's'} {joined(names)}"
    return [
        f"Of it {say.flow(max(0.0, pumped))} comes to the {basins} and is pumped. "
        f"Our gravity lines carry {say.flow(sum(item.flow for item in past))} past the {basins}: {each}."
    ]


def _apart(items: list[Contribution], say: Say) -> str:
    """Water that never comes into the works."""
    each = [f"{item.source} at {item.entry}, {say.flow(item.flow)}" for item in items]
    return f"Not counted here, since it does not come into these works: by its own line, {joined(each)}."


__all__ = ["measured_blocks", "power_cut", "scope_blocks", "water_blocks"]
