"""The handover: what was built, how it works, what it needs, and what to do when it does not."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.findings.places import series
from drainwright.paper.documents.against_causes import opened_walls, run_words, runs_of, way_out_words
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Code,
    Column,
    Document,
    Facts,
    Heading,
    Keep,
    Log,
    Notice,
    Paragraph,
    Row,
    Table,
    lines,
)
from drainwright.paper.documents.handover_built import built_blocks, pump_blocks, spare_blocks
from drainwright.paper.documents.hazards import call_for_help
from drainwright.paper.documents.job_page import code_of, code_svg, page_address
from drainwright.paper.documents.kept_places import kept_places
from drainwright.paper.documents.proposal_terms import exclusions
from drainwright.paper.documents.say import Say, day, joined, site_of
from drainwright.paper.documents.shell import Sheets, document, first_notices, kept_plate
from drainwright.paper.documents.storm_words import alarm_words
from drainwright.paper.documents.told import view_of
from drainwright.paper.documents.upkeep import upkeep

CODE = "job-page.svg"


def handover(design: Design, sheets: Sheets) -> Document:
    """The paper that stays in the house.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name: the plan is laid out anew where there is one.

    Returns
    -------
    Document
        With room to write what was built, and each visit.
    """
    plan, drawings = kept_plate(design, sheets, "Where everything lies")
    code, drawn = _code(design)
    blocks: tuple[Block, ...] = (
        *first_notices(design),
        *_parties(design),
        *code,
        *_works(design, planned=bool(plan)),
        *_cautions(design),
        *_alarm(design),
        *_shutoffs(design),
        *_care(design),
        *built_blocks(design),
        *pump_blocks(design),
        *kept_places(design),
        *spare_blocks(design),
        *_warranty(design),
        *_log(),
        *plan,
    )
    return document(
        design.job, name="handover", kind="Handover", title=f"Your drainage: {design.job.title}", size=10.5,
        blocks=blocks, drawings=(*drawings, *drawn),
    )  # fmt: skip


def _parties(design: Design) -> tuple[Block, ...]:
    job = design.job
    items = [
        ("House", site_of(job)),
        ("Handed to", job.customer.name),
        ("Built by", job.firm.name),
        ("Call us", job.firm.phone),
        ("E-mail", job.firm.email),
        ("Licence", job.firm.licence),
        ("Designed on the visit of", day(job.date)),
        ("Handed over on", "____________________"),
    ]
    return (Facts(items=tuple((name, text) for name, text in items if text.strip())),)


def _code(design: Design) -> tuple[tuple[Block, ...], tuple[tuple[str, str], ...]]:
    """The code of the job's page with its drawing; nothing where the firm has no such page."""
    address = page_address(design.job)
    if not address:
        return (), ()
    block = Code(
        file=CODE, title="This job's page", text=f"Point a phone at the code, or open {address}",
        alt=f"Code that opens {address}",
    )  # fmt: skip
    return (block,), ((CODE, code_svg(code_of(address))),)


def _works(design: Design, *, planned: bool) -> tuple[Block, ...]:
    """How it works, in a few sentences."""
    say, parts = Say(design.job.units), []
    drains, leaders = runs_of(design, "footing drain"), runs_of(design, "leader")
    yards = runs_of(design, "yard drain")
    inlets = [node.name for node in design.system.nodes.values() if node.kind == "inlet"]
    if drains:
        parts.append(
            "Water in the ground runs through stone into the pipe with holes at the footing: "
            f"{run_words(design, drains)}."
        )
    if leaders:
        parts.append(f"Roof water runs in tight pipe of its own: {run_words(design, leaders)}.")
    if inlets:
        by = f", and on through {run_words(design, yards)}" if yards else ""
        parts.append(
            f"Rain on the yard falls into {'the grate' if len(inlets) == 1 else 'the grates'} "
            f"{joined(series(inlets))}{by}."
        )
    parts.append(way_out_words(design))
    parts += [
        f"At {soak.name} it stands in {say.small(soak.depth)} of stone and soaks away." for soak in design.system.soaks
    ]
    walls = opened_walls(design)
    if walls:
        parts.append(
            f"The {joined(walls)} wall{'s are' if len(walls) > 1 else ' is'} cleaned and coated below the ground."
        )
    storm = say.years(design.job.criteria.storm_return_period)
    parts.append(f"By the figures it was tested with a {storm} storm; a larger one may be more than it takes.")
    if planned:
        parts.append("The last page shows where everything lies.")
    return (Heading(text="How it works"), Paragraph(text=" ".join(parts)))


def _cautions(design: Design) -> tuple[Block, ...]:
    say = Say(design.job.units)
    items = []
    if design.system.stations:
        names = joined([station.name for station in design.system.by_house])
        several = len(design.system.by_house) > 1
        basins, lids = (f"the basins {names}", "their lids") if several else (f"the basin {names}", "its lid")
        items += [
            f"Never enter {basins}, not even with head or arm: bad air has no smell. Keep {lids} closed, and "
            "children away.",
            "Electricity and water: unplug the pump from a dry place before anything goes into the basin. Never step "
            "into water "
            "that a cord or outlet may reach; have the power switched off first.",
            "No extension cord for the pump, and nothing else on its outlet.",
        ]
    if design.system.soaks:
        items.append("No heavy vehicle, and no tree, over the soakaway.")
    items += [
        "Call the one-call centre before anyone digs, and read the plan: the pipes lie where it shows them.",
        "Pour nothing but water into a grate: no oil, paint, soap or cement.",
        f"Somebody hurt or shocked: touch neither them nor the water until the power is off; {call_for_help(say)}.",
    ]
    return (Notice(tone="caution", title="Take care", items=tuple(items)),)


def _alarm(design: Design) -> tuple[Block, ...]:
    """What the alarm means, and a power cut."""
    case, say = view_of(design).case, Say(design.job.units)
    if not design.system.stations:
        return (
            Heading(text="When the power goes"),
            Paragraph(text=f"Nothing changes: the water leaves at {joined(design.system.ways_out)} by its own weight."),
        )
    heights = joined(
        [
            f"{say.small(station.float_levels['alarm'] - station.floor)} above the floor of {station.name}"
            for station in design.system.by_house
        ]
    )
    means = [
        f"The alarm sounds when water stands {heights}: more comes than the pump lifts, or the pump does not lift.",
        *((rings,) if (rings := alarm_words(design)) else ()),
        "Look from a dry place: is its plug in, is the breaker on, is the button of the protected outlet in? Press "
        "it once. "
        "If it trips again, leave it and call an electrician.",
        "Is the end of the line free? If the pump hums and the water does not fall, unplug it and call us.",
        "Use no more water in the house than you must; lift from the floor what water spoils.",
    ]
    means += [f"If the {pump} dies in the design storm: {outcome}." for pump, outcome in case.dead_pumps()]
    cut = design.storm.case("power out")
    power = []
    if cut is not None:
        hours = case.hours(design.job.criteria.power_cut)
        power.append(f"Power out for {hours} at the worst time of the design storm: {case.outcome(cut)}.")
        if cut.alarm_to_slab is not None:
            power.append(
                f"From the alarm you have {case.hours(cut.alarm_to_slab)}, if the alarm has a battery of its own."
            )
    power.append(
        "With the power out the alarm sounds only on a battery of its own: without one, look at the water yourself, "
        "from a dry place."
    )
    cells = [
        f"{basin.name} has a battery of {basin.battery.capacity:g} Ah"
        for basin in design.job.works.basins
        if basin.battery is not None
    ]
    power.append(
        f"{joined(cells)}." if cells else "No battery is fitted: the pump stands still until the power is back."
    )
    power.append("When it is back, hear the pump start. A generator stands outdoors, never indoors or at a window.")
    return (
        Keep(blocks=(Heading(text="When the alarm sounds"), Bullets(items=tuple(means), numbered=True))),
        Keep(blocks=(Heading(text="When the power goes"), Bullets(items=tuple(power)))),
    )


def _shutoffs(design: Design) -> tuple[Block, ...]:
    """Where things are shut off, and who is called."""
    met = list(dict.fromkeys((item.utility, item.kind, item.shutoff) for item in design.build.dig.crossings))
    breaker = "breaker no. ________ in the panel at ________________"
    rows: list[Row] = []
    for station in design.system.by_house:
        rows.append((f"Pump of {station.name}", breaker, "", ""))
        if station.second_on is not None:
            rows.append((f"Second pump of {station.name}, on a circuit of its own", breaker, "", ""))
    rows += [
        (f"{name} ({kind})", shut.strip() or "not written down: ________________", "", "") for name, kind, shut in met
    ]
    shutoffs: tuple[Block, ...] = ()
    if rows:
        shutoffs = (
            Heading(text="Where it is shut off"),
            Table(
                columns=(Column(head="What", width=2.4), Column(head="Shut off at", width=5)),
                rows=tuple(row[:2] for row in rows), size=0.92,
            ),
        )  # fmt: skip
    firm = design.job.firm
    say = Say(design.job.units)
    danger = f"{call_for_help(say)[0].upper()}{call_for_help(say)[1:]}"
    calls: tuple[Row, ...] = (
        ("Danger to people, fire, smell of gas", f"Everyone out. {danger} from afar."),
        (
            "Alarm, pump, drain, wet wall" if design.system.stations else "Drain, wet wall",
            " ".join(part for part in (firm.name, firm.phone) if part.strip()) or "____________",
        ),
        *(
            (("Outlet or breaker trips", "licensed electrician: ____________________"),)
            if design.system.stations
            else ()
        ),
        ("Water pipe, house drain", "plumber: ____________________"),
        ("Before anyone digs", "the one-call centre" + (" (811)" if say.us else "")),
    )
    return (
        *shutoffs,
        Keep(
            blocks=(
                Heading(text="Whom to call"),
                Table(columns=(Column(head="For", width=2.4), Column(head="Call", width=5)), rows=calls, size=0.92),
            )
        ),
    )


def _care(design: Design) -> tuple[Block, ...]:
    rows = tuple((item.when, item.what, item.who, "☐") for item in upkeep(design))
    columns = (
        Column(head="When", width=1.9), Column(head="What", width=5), Column(head="Who", width=1.5), Column(head=""),
    )  # fmt: skip
    return (
        Heading(text="What it needs, and when"),
        Table(columns=columns, rows=rows, size=0.9),
        Paragraph(
            text="Intervals are common practice, no source; what is found at each visit may change them.", style="soft"
        ),
    )


def _warranty(design: Design) -> tuple[Block, ...]:
    words = lines(design.job.firm.warranty)
    told: tuple[Block, ...] = tuple(Paragraph(text=part) for part in words) or (
        Paragraph(text="No warranty was given in writing; what the law gives you stands.", style="soft"),
    )
    return (
        Heading(text="Warranty"),
        *told,
        Heading(text="What the works did not hold", level=2),
        Bullets(items=tuple(_of_the_proposal(item) for item in exclusions(design))),
    )


def _of_the_proposal(item: str) -> str:
    """An exclusion as it reads on another paper than the proposal."""
    told = item.replace("the prices of surprises above", "the proposal's prices of surprises")
    return told.replace("the prices above", "the proposal's prices").replace(
        "Walls not named above", "Walls not treated"
    )


def _log() -> tuple[Block, ...]:
    columns = (
        Column(head="Date", width=1.2), Column(head="Who", width=1.4),
        Column(head="What was done and found", width=4.6),
        Column(head="Flow measured", width=1.3), Column(head="Next", width=1.1),
    )  # fmt: skip
    return (Log(title="Service log", columns=columns),)


__all__ = ["CODE", "handover"]
