"""The two-minute risk sheet: what can hurt people on this job, here, and what is done about it."""

from __future__ import annotations

from drainwright.build.earth import barrow_load
from drainwright.build.model import DigPlan
from drainwright.build.wording import BASIS_WORDS, barrow_words, lengths_rule
from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.paper.documents.blocks import Block, Cell, Column, Facts, Heading, Notice, Paragraph, Table
from drainwright.paper.documents.say import Say, joined, site_of
from drainwright.paper.documents.slips import crew_slips

BLANK = "____________________"
Row = tuple[str, str, str]  # hazard, here, do


def risk_sheet(design: Design) -> tuple[Block, ...]:
    """The risk sheet, read aloud before the first shovel."""
    say, rows = Say(design.job.units), risk_rows(design)
    columns = (Column(head="What", width=1.5), Column(head="Here", width=3.6), Column(head="We do", width=4.2))
    cells = tuple((Cell(text=name, weight="semibold", size=1.06), here, do) for name, here, do in rows)
    return (
        Heading(text="Two minutes before the first shovel", new_page=True),
        Paragraph(text="Read it aloud. Anyone may stop the work.", style="strong"),
        *crew_slips(design),
        Table(columns=columns, rows=cells, size=0.96),
        Heading(text="If it goes wrong", new_page=True),
        Paragraph(text="Everyone away first. Nobody goes in after anyone.", style="strong"),
        Table(
            columns=(Column(head="What", width=1.5), Column(head="What everyone does", width=6)),
            rows=tuple(
                (Cell(text=name, weight="semibold", size=1.06, colour="#8f1d14"), what)
                for name, what in emergencies(say, basin=design.system.station is not None)
            ),
            size=1.05, tall=True,
        ),
        Facts(
            items=(
                ("Competent person today", BLANK), ("First aid and extinguisher are at", BLANK),
                ("Tell the rescuers", site_of(design.job) or BLANK),
            ),
            columns=1,
        ),
        Notice(
            tone="caution", title="If the ground tells another story than the paper",
            text="Stop and call. Another footing depth, a line that is not on the sheet, water where none was drawn, "
            "a wall that moves: the design changes before the digging goes on.",
        ),
    )  # fmt: skip


def risk_rows(design: Design) -> tuple[Row, ...]:
    """The rows of hazards: what, how it stands here, what is done."""
    say = Say(design.job.units)
    return (
        _collapse(design, say), _undermining(design, say), _lines(design), *_electricity(design),
        *_fumes(design), _dust(design), *_confined(design, say), _lifting(design, say), _heat(say),
    )  # fmt: skip


def _collapse(design: Design, say: Say) -> Row:
    dig = design.build.dig
    soil = design.job.ground.osha_type
    deepest = max(dig.trenches, key=lambda item: item.depth_greatest, default=None)
    if deepest is None:
        return ("Collapse", "No trench is dug.", "Look again if that changes.")
    here = (
        f"Deepest: {deepest.name}, dug to {say.dug(deepest.depth_greatest)}. Soil type {soil.value} "
        f"({BASIS_WORDS[soil.basis]})."
    )
    guarded = [item.name for item in dig.trenches if item.protection in ("slope or shield", "engineer")]
    letters = [item.name for item in dig.trenches if item.protection == "house-foundation letters"]
    setback = max(item.spoil_setback for item in dig.trenches)
    do = (
        f"Spoil and stone {say.length(setback)} back or more. Out when it rains, cracks, bulges or seeps, until the "
        "competent person has looked again."
    )
    if guarded:
        do = " ".join(f"Nobody enters {joined(names)} unless {how}." for how, names in _guards(dig).items()) + " " + do
    if letters:
        do = f"{joined(letters)}: only while every condition of OSHA's 1995 letters holds. " + do
    ladders = [item.name for item in dig.trenches if item.ladder]
    if ladders:
        do += f" Ladder in {joined(ladders)}."
    return ("Trench falls in", here, do)


def _guards(dig: DigPlan) -> dict[str, list[str]]:
    """What each guarded trench must be before anyone enters, as the safe-dig sheet has it; the trenches by it."""
    found: dict[str, list[str]] = {}
    for item in dig.trenches:
        if item.protection == "engineer":
            how = "an engineer's design guards it"
        elif item.protection != "slope or shield":
            continue
        elif item.slope_fits:
            how = f"sloped {item.slope_run:g} across to 1 up, or shored or shielded"
        else:
            how = "shored or shielded: no room to slope"
        found.setdefault(how, []).append(item.name)
    return found


def _undermining(design: Design, say: Say) -> Row:
    inside = [f"{item.item} at wall {item.wall}" for item in design.build.dig.wedges if item.inside]
    below = [
        f"{finding.where.rsplit('.', 1)[-1]} ({finding.figure})"
        for finding in design.findings
        if finding.id == "FTG-02" and finding.severity is Severity.FAILS
    ]
    here = "Nothing is dug inside the bearing wedge of a footing."
    if inside:
        here = f"INSIDE the bearing wedge: {', '.join(inside)}."
    if below:
        here += f" BELOW the footing: {', '.join(dict.fromkeys(below))}."
    opened = [wall.name for wall in design.site.walls if wall.wall.open_and_coat]
    do = (
        "Never dig below a footing's bottom. If a wall moves or cracks: everyone out of the trench and out of "
        "the rooms behind it, then call the engineer."
    )
    if opened:
        panel = design.build.dig.wall_panel
        first = (
            f"Wall: {lengths_rule(say.length(panel))}. "
            if panel > 0
            else f"Shallow and sound: {joined(opened)} may be opened whole, for no longer than the work needs. "
        )
        do = first + do
    return ("House undermined", here, do)


def _lines(design: Design) -> Row:
    dig = design.build.dig
    met = list(dict.fromkeys(f"{item.utility} ({item.kind})" for item in dig.crossings))
    here = f"In the way: {', '.join(met)}." if met else "No known line is met."
    if dig.unlocated:
        here += f" NOT LOCATED: {', '.join(dig.unlocated)}."
    rules = design.job.rules
    do = (
        f"Ticket number on site, answered, not older than {rules.ticket_life.value} working days. Dig by hand in "
        "the red lengths; expose before crossing. Every line is live until its owner has proved it dead. Shutoffs on "
        "the safe-dig sheet."
    )
    return ("Buried lines", here, do)


def _electricity(design: Design) -> tuple[Row, ...]:
    if design.system.station is None:
        return (
            (
                "Power tools in the wet",
                "No pump is fitted. Tools and dewatering pumps still are electric.",
                "Ground-fault protection on every cord, tested today. No cord joints in trench or puddle. Nobody steps "
                "into water that a cord or cable may reach until the power is off.",
            ),
        )
    return (
        (
            "Power and water",
            "A pump in a wet basin; cords near wet soil.",
            "Ground-fault protection on every cord, tested today. Unplug the pump before a hand or a tool goes into "
            "the basin. Nobody touches water that a cord or cable may reach until the power is off, switched off from "
            "a dry place. Wiring by a licensed electrician only.",
        ),
    )


def _fumes(design: Design) -> tuple[Row, ...]:
    coats = [
        wall.wall.coating.kind
        for wall in design.site.walls
        if wall.wall.open_and_coat and wall.wall.coating.kind != "none"
    ]
    cement = any(run.pipe.family.startswith(("Schedule", "D2729", "D3034")) for run in design.system.runs)
    if not coats and not cement:
        return ()
    here = joined([*dict.fromkeys(coats), *(["pipe primer and cement"] if cement else [])])
    return (
        (
            "Fumes, fire",
            f"{here[:1].upper()}{here[1:]}.",
            "Fumes sink and stay in a trench: air moving, lids on, no flame, no smoking, gloves. Dizzy or headache: "
            "everyone out at once. The can's sheet rules.",
        ),
    )


def _dust(design: Design) -> Row:
    here = "Wall cleaning, cutting and drilling of block or concrete."
    return ("Silica dust", here, "Wet cutting or a vacuum shroud; mask that fits. Never dry-sweep. Eyes covered.")


def _confined(design: Design, say: Say) -> tuple[Row, ...]:
    several = len(design.system.stations) > 1
    return tuple(
        (
            f"Basin {station.name}" if several else "Basin",
            f"{say.deep(station.depth)} deep, {say.small(station.inside_diameter)} wide.",
            "A confined space: bad air has no smell. Nobody goes in, head or body, not even to help: work from above. "
            "Lid on or guarded whenever nobody stands there.",
        )
        for station in design.system.by_house
    )


def _lifting(design: Design, say: Say) -> Row:
    dig = design.build.dig
    kit = design.job.equipment
    spoil = barrow_load(kit.barrow, dig.haul_mass / dig.haul_volume) if dig.haul_volume > 0 else kit.barrow
    here = f"By barrow: {barrow_words(dig, kit)}. {say.mass(dig.haul_mass)} of spoil hauled."
    return (
        "Backs, barrows, trailers",
        here,
        f"Barrows filled as counted, {say.heap(spoil)} of spoil, never heaped; ramps. Two people to a bag or basin. No "
        f"more than {say.mass(dig.load_mass)} in a trailer load: the payload rules.",
    )


def _heat(say: Say) -> Row:
    return (
        "Heat, cold, lightning",
        "Look at today's forecast.",
        "Water, shade and rest on the clock; new people slower. Thunder: out of the trench, off metal, away from "
        f"trees, indoors. Confused or collapsed in the heat: {call_for_help(say)}, shade, cool with water.",
    )


def call_for_help(say: Say) -> str:
    """Whom to call: 911 where the job is in the United States' units."""
    return "call 911" if say.us else "call the emergency number"


def emergencies(say: Say, *, basin: bool) -> tuple[tuple[str, str], ...]:
    """The first minutes of each emergency. No line of it sends anyone into danger, or has an unskilled person dig."""
    call = call_for_help(say)
    call_ = f"{call[0].upper()}{call[1:]}"
    items = (
        (
            "Trench collapse",
            "Everyone out and away from the edge. Nobody goes in, and nobody digs, by hand or machine. "
            f"{call_}: say that it is a trench collapse, how many are under it and how deep. Engines off; keep people "
            "and machines back. Wait for trained rescue.",
        ),
        (
            "Gas: smell, hiss, a hit pipe",
            "Leave at once, upwind. No flame, no switch, no engine started or stopped, no valve turned, no phone until "
            f"well away. Call people out of the house. From afar {call}, then the gas company. Nobody goes back until "
            "they say so.",
        ),
        (
            "Hit cable",
            "Touch neither the tool, the machine, the cable nor anyone who does. Everyone far away, in small steps. On "
            f"a machine: stay on it, unless it burns. {call_} and the power company. Nobody goes back until they say "
            "that it is dead.",
        ),
        (
            "Someone shocked, or live water",
            f"Nobody touches them or the water until the power is known to be off. {call_}.",
        ),
    )
    if not basin:
        return items
    down = (
        f"Nobody enters to help; bad air takes the helper too. {call_}: say that it is a confined space. Wait for "
        "trained rescue."
    )
    return (*items, ("Someone down in the basin", down))


__all__ = ["call_for_help", "emergencies", "risk_rows", "risk_sheet"]
