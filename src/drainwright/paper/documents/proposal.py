"""The proposal: what is wrong, what is done about it, what it costs and what it does not do, in plain words."""

from __future__ import annotations

import math

from drainwright.design import Design
from drainwright.findings.places import by_own_line, leads_to
from drainwright.findings.pump_words import carried_words
from drainwright.job.values import Basis
from drainwright.paper.documents.acceptance_blocks import acceptance_blocks
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Cell,
    Column,
    Document,
    Facts,
    Heading,
    Paragraph,
    Table,
    lines,
)
from drainwright.paper.documents.cause_words import cause_words
from drainwright.paper.documents.failure_table import failure_blocks, failure_plates
from drainwright.paper.documents.marks import gathered, leaned_on
from drainwright.paper.documents.offer_blocks import option_blocks
from drainwright.paper.documents.place_list import place_blocks, ways_out_blocks
from drainwright.paper.documents.proposal_terms import price_blocks, price_first, terms_blocks
from drainwright.paper.documents.say import BASIS_WORDS, DUTY_WORDS, Say, day, joined, site_of
from drainwright.paper.documents.shaping_paper import shaping_scope
from drainwright.paper.documents.shell import Sheets, document, failing_table, first_notices, picture_plate, plan_plate
from drainwright.paper.documents.slips import customer_slips
from drainwright.paper.documents.storm_words import risk_blocks, storm_blocks
from drainwright.paper.plan_marks import floor_top, floor_underside
from drainwright.paper.wording import FLOATS
from drainwright.system.model import LiftStation
from drainwright.system.trade import pump_words
from drainwright.water.model import Cause, Contribution

WORKINGS = (  # notes that say how a figure was worked out, or what the table of assumptions has: the worksheet has them
    "Yard ", "Curve number ", "The depth of the footing of wall ",
)  # fmt: skip
CAUSE_WORDS = {Cause.ROOF: "Roof", Cause.YARD: "Yard and walks", Cause.GROUND: "Water in the ground"}


def proposal(design: Design, sheets: Sheets) -> Document:
    """The customer's paper.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name: the plan is laid out anew where there is one.

    Returns
    -------
    Document
        Checks that fail stand on its first page.
    """
    job = design.job
    plan, drawings = plan_plate(design, sheets, "The plan of the works")
    picture, pictured = picture_plate(design)
    breaks, broken = failure_plates(design, sheets)
    blocks: tuple[Block, ...] = (
        *first_notices(design),
        *customer_slips(design),
        *_parties(design),
        *price_first(design),
        *failing_table(design),
        *_wrong(design),
        Heading(text="Where the water comes from"),
        Paragraph(text=cause_words(design)),
        *_evidence(design),
        *_water(design),
        *picture,
        *_scope(design),
        *shaping_scope(design),
        *plan,
        *storm_blocks(design),
        *failure_blocks(design),
        *breaks,
        *risk_blocks(design),
        *price_blocks(design),
        *option_blocks(design),
        *terms_blocks(design),
        *place_blocks(design),
        *_assumptions(design),
        *acceptance_blocks(design),
    )
    return document(
        job, name="proposal", kind="Proposal", title=job.title, size=10.5, blocks=blocks,
        drawings=(*pictured, *drawings, *broken),
    )  # fmt: skip


def _parties(design: Design) -> tuple[Block, ...]:
    job = design.job
    items = [
        ("For", job.customer.name),
        ("Address", job.customer.address or site_of(job)),
        ("Phone", job.customer.phone),
        ("E-mail", job.customer.email),
        ("Work at", site_of(job)),
        ("Built", str(job.property.year_built or "")),
        ("Visited", day(job.date)),
        ("Licence", job.firm.licence),
        ("Insurance", job.firm.insurance),
    ]
    return (Facts(items=tuple((name, text) for name, text in items if text.strip())),)


def _wrong(design: Design) -> tuple[Block, ...]:
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
            Column(head="What was seen or told", width=4), Column(head="Where", width=2), Column(head="When", width=2),
            Column(head="Since", width=2), Column(head="Damp band", width=1.6),
        )  # fmt: skip
        notes = tuple(part for symptom in job.symptoms for part in lines(symptom.note))
        seen = (Table(columns=columns, rows=rows), *((Bullets(items=notes),) if notes else ()))
    return (Heading(text="What is wrong"), *seen)


def _evidence(design: Design) -> tuple[Block, ...]:
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
        each = "; ".join(f"{say.place(finding.where)} {finding.figure}" for finding in slopes)
        items.append(f"Ground that does not lead water away from the house ({slopes[0].limit} is wanted): {each}.")
    return (Heading(text="What we measured", level=2), Bullets(items=tuple(items)))


def _water(design: Design) -> tuple[Block, ...]:
    say = Say(design.job.units)
    own = by_own_line(design.system, design.inflows)
    inside = [item for item in design.inflows.contributions if item.entry not in own]
    apart = [item for item in design.inflows.contributions if item.entry in own and item.flow > 0]
    totals = {cause: sum(item.flow for item in inside if item.cause is cause) for cause in Cause}
    rows = [
        (
            CAUSE_WORDS[item.cause], f"{item.source}, {say.area(item.area)}, at {item.entry}",
            f"{say.years(item.return_period)} rain", say.flow(item.flow), BASIS_WORDS[item.basis],
        )
        for item in inside
        if item.cause is not Cause.GROUND
    ]  # fmt: skip
    for basis in Basis:
        drains = [item for item in inside if item.cause is Cause.GROUND and item.basis is basis]
        if drains:
            into = f"into {joined([item.entry for item in drains])}"
            flow = say.flow(sum(item.flow for item in drains))
            rows.append((CAUSE_WORDS[Cause.GROUND], into, "all season", flow, BASIS_WORDS[basis]))
    together = joined([f"{CAUSE_WORDS[cause].lower()} {say.flow(flow)}" for cause, flow in totals.items() if flow > 0])
    words = f"At the design rain the works must take: {together or 'no water is entered'}."
    columns = (
        Column(head="Source", width=2), Column(head="From", width=4), Column(head="In", width=2),
        Column(head="Brings", align="right"), Column(head="Rests on", width=2),
    )  # fmt: skip
    return (
        Heading(text="Water that the works must take", level=2),
        Paragraph(text=" ".join([words, *_parted(design, inside, say), *([_apart(apart, say)] if apart else [])])),
        *((Table(columns=columns, rows=tuple(rows)),) if rows else ()),
    )


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


def _scope(design: Design) -> tuple[Block, ...]:
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
            Column(head="Wall", width=1), Column(head="Length", width=1.6, align="right"),
            Column(head="Dug to", width=1.3, align="right"),
            Column(head="Footing's bottom", width=2),
            Column(head="Built of", width=1.1), Column(head="Coating", width=3.4),
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
        blocks += _power_cut(design, say)
    else:
        verdict = next((item for item in design.system.gravity if item.discharge == design.system.discharge), None)
        kind = "" if verdict is None else f" ({verdict.kind})"
        blocks += [
            Heading(text="No pump", level=2),
            Paragraph(
                text=f"The water leaves by its own weight at {design.system.discharge}{kind}. Nothing here needs "
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
                say.length(run.length), say.dug(dug[run.name]) if run.name in dug else "–",
                say.pipe(run), stone,
            )
        )  # fmt: skip
    columns = (
        Column(head="Run", width=0.8), Column(head="What for", width=1.6), Column(head="From, to", width=1.9),
        Column(head="Length", width=1.5, align="right"), Column(head="Dug to", width=1.3),
        Column(head="Pipe", width=2.6), Column(head="Stone", width=1.8),
    )  # fmt: skip
    return [Heading(text="Drains", level=2), Table(columns=columns, rows=tuple(rows), size=0.86)] if rows else []


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
        ("Leaves through", f"{station.discharge_run} to {end}" + (f", {kinds[end]}" if end in kinds else "")),
    ]
    storms = () if station.study is None else station.study.storms
    if storms and station.reaches and any(roof.led for roof in storms[0].roofs):
        facts.append(("Downspouts it can take", carried_words(storms, worn=False)))
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


def _power_cut(design: Design, say: Say) -> list[Block]:
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
        words.append("The battery named above works in that time.")
    elif study is None or study.offered is None:
        words.append("No battery is in this price.")
    else:
        unit = study.offered
        wet = next(hours for hours in unit.hours if hours.water == "wet season")
        lasts = "for good" if math.isinf(wet.seconds) else f"for {say.time(wet.seconds)}"
        rain = next(hours for hours in unit.hours if hours.water == "design rain")
        but = "" if rain.keeps_up else ", but not a storm's water"
        words.append(
            f"No battery is in this price. A small unit with one of {unit.capacity:.0f} Ah would pump the wet season's "
            f"ground water {lasts}{but}." + (" Each basin needs its own." if len(design.system.stations) > 1 else "")
        )
    return [Heading(text="If the power goes", level=2), Paragraph(text=" ".join(words))]


def _assumptions(design: Design) -> tuple[Block, ...]:
    items = gathered(leaned_on(design.job))
    every = (*design.site.notes, *design.inflows.notes, *design.system.notes)
    notes = tuple(dict.fromkeys(note for note in every if not note.startswith(WORKINGS)))
    blocks: list[Block] = [
        Heading(text="What this proposal assumes"),
        Paragraph(text="If one of these turns out otherwise, design and price change with it."),
    ]
    if items:
        rows = tuple((item.what, item.value, BASIS_WORDS[item.basis], item.source or "–") for item in items)
        columns = (
            Column(head="What", width=3), Column(head="Taken as", width=2), Column(head="How known", width=1.6),
            Column(head="Where from", width=3),
        )  # fmt: skip
        blocks.append(Table(columns=columns, rows=rows, size=0.84))
    else:
        blocks.append(Paragraph(text="Nothing: every value that the design uses was measured or looked up."))
    if notes:
        blocks += [Heading(text="Notes of the design", level=2), Bullets(items=notes)]
    own = lines(design.job.notes)
    if own:
        blocks += [Heading(text="Notes of the visit", level=2), Bullets(items=own)]
    return tuple(blocks)


__all__ = ["proposal"]
