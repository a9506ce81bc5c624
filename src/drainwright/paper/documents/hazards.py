"""The two-minute risk sheet: what can hurt people on this job, here, and what is done about it."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.paper.documents.blocks import Block, Cell, Column, Heading, Notice, Paragraph, Table
from drainwright.paper.documents.say import Say, joined

Row = tuple[str, str, str]  # hazard, here, do


def risk_sheet(design: Design) -> tuple[Block, ...]:
    """The risk sheet, read aloud before the first shovel."""
    say = Say(design.job.units)
    rows = [
        _collapse(design, say), _undermining(design, say), _lines(design), *_electricity(design),
        *_fumes(design), _dust(design), *_confined(design, say), _lifting(design, say), _heat(),
    ]  # fmt: skip
    columns = (Column(head="What", width=1.5), Column(head="Here", width=3.6), Column(head="We do", width=4.2))
    cells = tuple((Cell(text=name, weight="semibold", size=1.06), here, do) for name, here, do in rows)
    return (
        Heading(text="Two minutes before the first shovel", new_page=True),
        Paragraph(text="Read it aloud. Anyone may stop the work.", style="strong"),
        Table(columns=columns, rows=cells, size=0.96),
        Notice(
            tone="plain", title="If it goes wrong",
            text="Collapse: nobody jumps in; call the emergency number, dig by hand from the sides. Gas: walk away "
            "upwind, touch no "
            "switch, call from afar. Cable: keep off the tool and away, call. Competent person today: "
            "____________________",
        ),
        Notice(
            tone="caution", title="If the ground tells another story than the paper",
            text="Stop and call. Another footing depth, a line that is not on the sheet, water where none was drawn, "
            "a wall that moves: the design changes before the digging goes on.",
        ),
    )  # fmt: skip


def _collapse(design: Design, say: Say) -> Row:
    dig = design.build.dig
    soil = design.job.ground.osha_type
    deepest = max(dig.trenches, key=lambda item: item.depth_greatest, default=None)
    if deepest is None:
        return ("Collapse", "No trench is dug.", "Look again if that changes.")
    here = f"Deepest: {deepest.name}, {say.deep(deepest.depth_greatest)}. Soil type {soil.value} ({soil.basis.value})."
    guarded = [item.name for item in dig.trenches if item.protection in ("slope or shield", "engineer")]
    letters = [item.name for item in dig.trenches if item.protection == "house-foundation letters"]
    setback = max(item.spoil_setback for item in dig.trenches)
    do = f"Spoil and stone {say.length(setback)} back or more. Out when it rains, cracks or seeps."
    if guarded:
        do = f"Nobody enters {joined(guarded)} unless sloped or shielded. " + do
    if letters:
        do = f"{joined(letters)}: only while every condition of OSHA's 1995 letters holds. " + do
    ladders = [item.name for item in dig.trenches if item.ladder]
    if ladders:
        do += f" Ladder in {joined(ladders)}."
    return ("Trench falls in", here, do)


def _undermining(design: Design, say: Say) -> Row:
    inside = [f"{item.item} at wall {item.wall}" for item in design.build.dig.wedges if item.inside]
    below = [
        finding.message for finding in design.findings if finding.id == "FTG-02" and finding.severity is Severity.FAILS
    ]
    here = "Nothing is dug inside the bearing wedge of a footing."
    if inside:
        here = f"INSIDE the bearing wedge: {', '.join(inside)}."
    if below:
        here += " " + " ".join(dict.fromkeys(below))
    opened = [wall.name for wall in design.site.walls if wall.wall.open_and_coat]
    do = "Never dig below a footing's bottom. Stop if a wall moves or cracks."
    if opened:
        do = (
            f"Open {say.length(design.build.dig.wall_panel)} of wall at most, every other length, close it before "
            "the next. " + do
        )
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
        "the red "
        "lengths; expose before crossing. Shutoffs on the safe-dig sheet."
    )
    return ("Buried lines", here, do)


def _electricity(design: Design) -> tuple[Row, ...]:
    if design.system.station is None:
        return (
            (
                "Power tools in the wet",
                "No pump is fitted. Tools and dewatering pumps still are electric.",
                "Ground-fault protection on every cord. No joints of cords in trench or puddle.",
            ),
        )
    return (
        (
            "Power and water",
            "A pump in a wet basin; cords near wet soil.",
            "Ground-fault protection on every cord. Unplug before a hand goes into the basin. Wiring by a licensed "
            "electrician only.",
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
            "Fumes sink and stay in a trench: air moving, lids on, no flame, no smoking, gloves. The can's sheet "
            "rules.",
        ),
    )


def _dust(design: Design) -> Row:
    here = "Wall cleaning, cutting and drilling of block or concrete."
    return ("Silica dust", here, "Wet cutting or a vacuum shroud; mask that fits. Never dry-sweep. Eyes covered.")


def _confined(design: Design, say: Say) -> tuple[Row, ...]:
    station = design.system.station
    if station is None:
        return ()
    return (
        (
            "Basin",
            f"{say.deep(station.depth)} deep, {say.small(station.inside_diameter)} wide.",
            "Nobody goes in, head or body: work from above. Lid on or guarded whenever nobody stands there.",
        ),
    )


def _lifting(design: Design, say: Say) -> Row:
    dig = design.build.dig
    here = f"About {dig.barrow_rounds} barrow rounds, {say.mass(dig.haul_mass)} of spoil hauled."
    return (
        "Backs, barrows, trailers",
        here,
        f"Half barrows on ramps, two to a bag or basin. No more than {say.mass(dig.load_mass)} in a load: the "
        "payload rules.",
    )


def _heat() -> Row:
    return (
        "Heat, cold, lightning",
        "Look at today's forecast.",
        "Water, shade and rest on the clock; new people slower. Thunder: out of the trench, off the metal.",
    )


__all__ = ["risk_sheet"]
